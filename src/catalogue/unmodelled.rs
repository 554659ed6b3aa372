//! Pests that the program has no numbers of: what is known of each, and no count.

use super::words::{plain, singulars};
use super::{Grade, told};
use crate::say::{say, translated, voice};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// The notes.
const NOTES: &str = include_str!("unmodelled.json");

/// What is known of a pest.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// Name, plural.
    pub name: String,
    /// Scientific name.
    pub scientific: String,
    /// Other words for it, in any language.
    pub words: Vec<String>,
    /// What it is and does.
    pub says: String,
    /// What a trap does.
    pub trap: String,
    /// What helps.
    pub helps: Vec<String>,
    /// What nobody knows.
    pub not_known: String,
    /// What to mind.
    #[serde(default)]
    pub cautions: Vec<String>,
    /// Where it stands.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

/// Members of a note that are told, for the languages.
pub(crate) const TOLD: &[&str] = &["name", "says", "trap", "helps", "not_known", "cautions"];

/// The file of the notes, for the languages.
pub(crate) const FILE: &[(&str, &str)] = &[("unmodelled", NOTES)];

/// All notes by identifier, in English.
pub fn all() -> &'static BTreeMap<String, Note> {
    static READ: OnceLock<BTreeMap<String, Note>> = OnceLock::new();
    READ.get_or_init(|| super::read(NOTES))
}

/// The identifier of the pest that a word names.
pub fn id(said: &str) -> Option<&'static str> {
    let tried = singulars(&plain(said));
    let same = |word: &str| {
        let word = plain(word);
        tried.contains(&word) || singulars(&word).iter().any(|one| tried.contains(one))
    };
    let named = |(id, note): &(&String, &Note)| {
        let names = [*id, &note.name, &note.scientific].into_iter();
        let mut names = names.chain(&note.words).map(String::as_str);
        names.any(same) || same(translated(&note.name))
    };
    all().iter().find(named).map(|(id, _)| id.as_str())
}

/// The note of the pest that a word names, in the language that is spoken.
pub fn find(said: &str) -> Option<Note> {
    let id = id(said)?;
    let mut notes: BTreeMap<String, Note> = told::spoken(NOTES, TOLD);
    notes.remove(id)
}

impl Note {
    /// The note as it is read aloud: what it is, whether a trap helps, what does, and what is not known.
    pub fn tells(&self, grade: &str) -> String {
        let helps: Vec<String> = self.helps.iter().map(|one| format!("- {one}")).collect();
        let mut parts = vec![
            say!("note.first", name = self.name),
            self.says.clone(),
            say!("note.trap", says = self.trap),
            say!("note.helps"),
            helps.join("\n"),
            say!("note.not-known", says = self.not_known),
        ];
        parts.extend(self.cautions.iter().cloned());
        parts.push(voice().get("caution.local").to_owned());
        parts.push(say!("note.source", source = self.source, grade));
        parts.join("\n")
    }
}
