//! The desk of a page that holds the program: requests in, answers out, both as bytes.
//!
//! A request and an answer are four bytes (the length of a JSON head, little-endian), the head, then raw bytes: the shares
//! of workers ([`crate::engine::shares`]). A question is begun, then advanced step by step; between two steps each worker
//! takes in what all have done. What cannot be answered is told in a sentence; nothing here panics on what is asked.

mod choices;
mod question;
pub mod ready;
mod yard;

use crate::engine::shares::Broken;
use crate::report::products::unknown_language;
use crate::say::{LANGUAGES, say, speak, voice};
use question::{Begin, Question};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Most workers that may share a question.
const MOST_WORKERS: u32 = 64;

/// One worker's desk.
#[derive(Default)]
pub struct Desk {
    questions: BTreeMap<String, Question>,
}

#[derive(Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
enum Request {
    Texts {
        language: Option<String>,
    },
    Choices {
        language: Option<String>,
    },
    Read(yard::Read),
    Begin(Box<Begin>),
    Advance {
        id: Value,
        /// How long the last step of this worker took, milliseconds.
        took_ms: Option<f64>,
    },
    Drop {
        id: Value,
    },
    Story(yard::Story),
}

type Answer = Result<(Value, Vec<u8>), String>;

impl Desk {
    /// Answers a request.
    pub fn call(&mut self, request: &[u8]) -> Vec<u8> {
        let (mut head, raw) = match self.answer(request) {
            Ok(answer) => answer,
            Err(why) => (json!({ "ok": false, "say": why }), Vec::new()),
        };
        if let Some(head) = head.as_object_mut() {
            head.entry("ok").or_insert(true.into());
        }
        let head = head.to_string();
        let mut bytes = (head.len() as u32).to_le_bytes().to_vec();
        bytes.extend(head.as_bytes());
        bytes.extend(raw);
        bytes
    }

    fn answer(&mut self, request: &[u8]) -> Answer {
        let parted = part(request).and_then(|(head, raw)| {
            let head = serde_json::from_slice::<Request>(head).ok()?;
            Some((head, raw))
        });
        let (request, raw) = parted.ok_or_else(|| say!("desk.broken-request"))?;
        match request {
            Request::Texts { language } => {
                spoken(language.as_deref())?;
                let texts: BTreeMap<&str, &str> = voice().all().collect();
                let languages = LANGUAGES.iter().map(|(code, _)| *code);
                let languages: Vec<&str> = languages.collect();
                let version = env!("CARGO_PKG_VERSION");
                plain(json!({ "texts": texts, "languages": languages, "version": version }))
            }
            Request::Choices { language } => {
                spoken(language.as_deref())?;
                plain(choices::all())
            }
            Request::Read(read) => {
                spoken(read.language.as_deref())?;
                plain(read.answer())
            }
            Request::Story(story) => {
                spoken(story.language.as_deref())?;
                story.answer().and_then(plain)
            }
            Request::Begin(begin) => {
                spoken(begin.options.language.as_deref())?;
                if begin.workers == 0
                    || begin.workers > MOST_WORKERS
                    || begin.worker >= begin.workers
                {
                    return Err(say!("desk.broken-request"));
                }
                let id = begin.id.to_string();
                let mut question = Question::new(*begin)?;
                let answer = question.step()?;
                self.questions.insert(id, question);
                Ok(answer)
            }
            Request::Advance { id, took_ms } => {
                let id = id.to_string();
                let question = self.questions.get_mut(&id);
                let question = question.ok_or_else(|| say!("desk.no-question"))?;
                let answer = question.advance(raw, took_ms);
                if answer.is_err() {
                    self.questions.remove(&id);
                }
                answer
            }
            Request::Drop { id } => {
                self.questions.remove(&id.to_string());
                plain(json!({}))
            }
        }
    }
}

fn plain(head: Value) -> Answer {
    Ok((head, Vec::new()))
}

/// Speaks a language from now on, where one is named.
fn spoken(language: Option<&str>) -> Result<(), String> {
    match language {
        Some(code) if !speak(code) => Err(unknown_language(code)),
        _ => Ok(()),
    }
}

/// Head and rest of bytes that begin with the length of the head.
fn part(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let (length, rest) = bytes.split_first_chunk::<4>()?;
    rest.split_at_checked(u32::from_le_bytes(*length) as usize)
}

/// The shares of all workers, each with its length before it.
fn shares(mut raw: &[u8]) -> Result<Vec<&[u8]>, Broken> {
    let mut all = Vec::new();
    while !raw.is_empty() {
        let (share, rest) = part(raw).ok_or(Broken)?;
        all.push(share);
        raw = rest;
    }
    Ok(all)
}
