//! The desk of a page that holds the program: requests in, answers out, both as bytes.
//!
//! A request and an answer are four bytes (the length of a JSON head, little-endian), the head, then raw bytes: the shares
//! of workers ([`crate::engine::shares`]). What cannot be answered is told in a sentence (`"ok": false, "say"`); nothing here
//! panics on what is asked.
//!
//! | `do` | asks | answers |
//! | --- | --- | --- |
//! | `texts` | `language` | `texts`, `languages`, `version` |
//! | `choices` | `language` | `pests`, `crops`, `lures`, `traps`, `methods`, `yards` (`name`, `title`, `text`) |
//! | `read` | `text`, `name`, `inputs`, `language` | `faults` (`place`, `line`, `say`), `doubts`, `yard` in feet or null |
//! | `compose` | `pest`, `crop`, `width_ft`, `depth_ft`, `plants`, `side`, `trap_ft`, `wind`, `pressure` ([`crate::scenario::answers`]), `language` | `text` |
//! | `begin` | `id`, `question` (`run`, `compare`, `place`, `vary`, `watch`), `text`, `name`, `inputs`, `options`, `files` | as `advance` |
//! | `advance` | `id`, `stretch` and `units` of it that this worker is to do, raw: shares that it does not have yet, each after its length | `state` |
//! | `drop` | `id` | nothing |
//! | `story` | `text`, `name`, `inputs`, `files` (by name), `plan`, `products` (by name), `language` | `files`, `missing` (why, by product), `doubts`, `repeat` (a command) |
//!
//! `state` is `wants` (with `part`, the `stretch` of work that stands before this worker, its `stage` and how many units are
//! `done` `of` all; `so_far` where something new is known; and what the worker just did as raw bytes, for all workers and
//! itself) or `done` (with the last `so_far` and the `files` of the worker that was asked
//! for them). `options` are `summers`, `most`, `seed`, `objective`, `tolerance`, `sites`, `neighbors_traps`, `plan` (to vary),
//! `against` (the plan that a `run` or `compare` sets the others against, by its name; else the one that does nothing)
//! and `language`. `inputs` are texts of weather files by the name that the yard gives them.
//!
//! All workers of a question must have been asked the same questions since they were made, or one is told that a share was
//! lost; asked again, it is answered.

mod choices;
mod question;
pub mod ready;
mod yard;

use crate::engine::shares::Broken;
use crate::report::products::unknown_language;
use crate::say::{LANGUAGES, say, speak, voice};
use question::{Begin, Pilots, Question};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Most pilots that are kept.
const MOST_PILOTS: usize = 50;

/// One worker's desk.
#[derive(Default)]
pub struct Desk {
    questions: BTreeMap<String, Question>,
    pilots: Pilots,
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
    Compose(yard::Compose),
    Begin(Box<Begin>),
    Advance {
        id: Value,
        #[serde(default)]
        stretch: u32,
        #[serde(default)]
        units: Vec<u32>,
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
                Ok(plain(
                    json!({ "texts": texts, "languages": languages, "version": version }),
                ))
            }
            Request::Choices { language } => {
                spoken(language.as_deref())?;
                Ok(plain(choices::all()))
            }
            Request::Read(read) => {
                spoken(read.language.as_deref())?;
                Ok(plain(read.answer()))
            }
            Request::Compose(compose) => {
                spoken(compose.language.as_deref())?;
                Ok(plain(json!({ "text": compose.text()? })))
            }
            Request::Story(story) => {
                spoken(story.language.as_deref())?;
                Ok(plain(story.answer()?))
            }
            Request::Begin(begin) => {
                spoken(begin.options.language.as_deref())?;
                let id = begin.id.to_string();
                let mut question = Question::new(*begin, &self.pilots)?;
                let answer = question.step()?;
                self.questions.insert(id, question);
                Ok(answer)
            }
            Request::Advance { id, stretch, units } => {
                let id = id.to_string();
                let question = self.questions.get_mut(&id);
                let question = question.ok_or_else(|| say!("desk.no-question"))?;
                let answer = question.advance(raw, (stretch, units));
                if answer.is_err() {
                    // Another worker may not know what this one knows of the pilot.
                    self.pilots.clear();
                    self.questions.remove(&id);
                } else if let Some((of, found)) = question.pilot() {
                    if self.pilots.len() >= MOST_PILOTS {
                        self.pilots.clear();
                    }
                    self.pilots.insert(of, found);
                }
                answer
            }
            Request::Drop { id } => {
                self.questions.remove(&id.to_string());
                Ok(plain(json!({})))
            }
        }
    }
}

fn plain(head: Value) -> (Value, Vec<u8>) {
    (head, Vec::new())
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
