//! The texts of the data that people read: names, cautions, events, questions and answers, notes. They stand in English in
//! the files of the catalogue, and are put into the language that is spoken when a file is read. Sources stay as they
//! were written.

use super::evidence::{EVIDENCE, TABLES};
use super::season::{BLOOM, SEASONS};
use super::unmodelled;
use super::{
    CROPS, HostValues, LURES, LureCosts, LureValues, METHOD_NUMBERS, METHODS, PESTS, PestValues,
    TRAPS, TrapCosts, TrapValues,
};
use crate::say::translated;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::collections::BTreeSet;

/// Members of the files, by kind of file, that hold texts for people: one text or a list of them.
pub(crate) const PEST: &[&str] = &["name", "plural", "short", "badge_reason", "notes"];
pub(crate) const CROP: &[&str] = &["name", "plural"];
pub(crate) const LURE: &[&str] = &["name", "notes"];
pub(crate) const TRAP: &[&str] = &["name", "flag", "says", "notes"];
pub(crate) const METHOD: &[&str] = &["name", "flag", "flag_reason", "notes"];
pub(crate) const SEASON: &[&str] = &[
    "name",
    "short",
    "trap_role",
    "trap_caution",
    "title",
    "start_note",
    "stands_for_biofix",
    "words",
    "caught",
    "what",
    "made_for",
    "reason",
    "notes",
];
pub(crate) const BLOOMS: &[&str] = &["name"];
pub(crate) const QUESTIONS: &[&str] = &["question", "answer", "side", "says", "test", "not_known"];
pub(crate) const ROWS: &[&str] = &["pest", "hole_mm", "says", "height", "crop", "cover", "when"];

/// The data of a compiled-in file with its texts in the language that is spoken.
pub(crate) fn spoken<T: DeserializeOwned>(text: &str, told: &[&str]) -> T {
    let mut data: Value = super::read(text);
    each(&mut data, told, false, &mut |text| {
        let said = translated(text);
        if said != text {
            *text = said.to_owned();
        }
    });
    serde_json::from_value(data).expect("compiled-in files are tested to read")
}

/// Shows each text of the data that people read, to read or to change.
fn each(data: &mut Value, told: &[&str], is_told: bool, see: &mut dyn FnMut(&mut String)) {
    match data {
        Value::String(text) if is_told => see(text),
        Value::Array(list) => list
            .iter_mut()
            .for_each(|one| each(one, told, is_told, see)),
        Value::Object(members) => {
            for (key, one) in members {
                each(one, told, told.contains(&key.as_str()), see);
            }
        }
        _ => {}
    }
}

/// Every text of the data that people read, in English.
pub fn texts() -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    let lists = [
        (PESTS, PEST),
        (CROPS, CROP),
        (LURES, LURE),
        (TRAPS, TRAP),
        (METHODS, METHOD),
        (SEASONS, SEASON),
        (&[("bloom", BLOOM)], BLOOMS),
        (EVIDENCE, QUESTIONS),
        (&[("tables", TABLES)], ROWS),
        (unmodelled::FILE, unmodelled::TOLD),
    ];
    for (files, told) in lists {
        for (_, file) in files {
            each(&mut super::read(file), told, false, &mut |text| {
                all.insert(text.clone());
            });
        }
    }
    let numbers = [
        PestValues::TABLE,
        LureValues::TABLE,
        TrapValues::TABLE,
        HostValues::TABLE,
        TrapCosts::TABLE,
        LureCosts::TABLE,
        METHOD_NUMBERS,
    ];
    all.extend(numbers.into_iter().flatten().map(|n| n.meaning.to_owned()));
    all.extend(["HIGH", "MEDIUM", "LOW"].map(str::to_owned));
    all.retain(|text| text.contains(char::is_alphabetic));
    all
}
