//! The texts of the data that people read: names, cautions, events, questions and answers, notes. They stand in English in
//! the files of the catalogue, and are put into the language that is spoken when a file is read. Sources stay as they
//! were written.

use super::evidence::{EVIDENCE, Evidence, TABLES, Tables};
use super::season::{BLOOM, BloomEntry, SEASONS, SeasonPest};
use super::{
    CROPS, CropKind, HostValues, LURES, LureCosts, LureKind, LureValues, METHOD_NUMBERS, METHODS,
    MethodKind, PESTS, Pest, PestValues, TRAPS, TrapCosts, TrapKind, TrapValues,
};
use crate::say::translated;
use serde::de::DeserializeOwned;
use std::collections::{BTreeMap, BTreeSet};

/// Data that holds texts for people.
pub(crate) trait Told {
    /// Shows each of its texts, to read or to change.
    fn each(&mut self, see: &mut dyn FnMut(&mut String));
}

/// The data with its texts in the language that is spoken.
pub(crate) fn spoken<T: Told>(mut data: T) -> T {
    data.each(&mut |text| {
        let said = translated(text);
        if said != text {
            *text = said.to_owned();
        }
    });
    data
}

/// Every text of the data that people read, in English.
pub fn texts() -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    let files = |list: &[(&str, &'static str)]| -> Vec<&'static str> {
        list.iter().map(|(_, text)| *text).collect()
    };
    gather::<Pest>(&files(PESTS), &mut all);
    gather::<CropKind>(&files(CROPS), &mut all);
    gather::<LureKind>(&files(LURES), &mut all);
    gather::<TrapKind>(&files(TRAPS), &mut all);
    gather::<MethodKind>(&files(METHODS), &mut all);
    gather::<SeasonPest>(&files(SEASONS), &mut all);
    gather::<BTreeMap<String, BloomEntry>>(&[BLOOM], &mut all);
    gather::<Evidence>(&files(EVIDENCE), &mut all);
    gather::<Tables>(&[TABLES], &mut all);
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

fn gather<T: Told + DeserializeOwned>(files: &[&str], all: &mut BTreeSet<String>) {
    for file in files {
        let read = serde_json::from_str::<T>(file);
        read.expect("compiled-in files are tested to read")
            .each(&mut |text| {
                all.insert(text.clone());
            });
    }
}

impl Told for Pest {
    fn each(&mut self, see: &mut dyn FnMut(&mut String)) {
        let texts = [&mut self.name, &mut self.plural, &mut self.short];
        texts.into_iter().for_each(&mut *see);
        see(&mut self.badge_reason);
        self.notes.iter_mut().for_each(see);
    }
}

impl Told for CropKind {
    fn each(&mut self, see: &mut dyn FnMut(&mut String)) {
        see(&mut self.name);
        see(&mut self.plural);
    }
}

impl Told for LureKind {
    fn each(&mut self, see: &mut dyn FnMut(&mut String)) {
        see(&mut self.name);
        self.notes.iter_mut().for_each(see);
    }
}

impl Told for TrapKind {
    fn each(&mut self, see: &mut dyn FnMut(&mut String)) {
        see(&mut self.name);
        for taken in &mut self.by_catch {
            see(&mut taken.flag);
            see(&mut taken.says);
        }
        self.notes.iter_mut().for_each(see);
    }
}

impl Told for MethodKind {
    fn each(&mut self, see: &mut dyn FnMut(&mut String)) {
        see(&mut self.name);
        see(&mut self.flag);
        see(&mut self.flag_reason);
        self.notes.iter_mut().for_each(see);
    }
}

impl Told for SeasonPest {
    fn each(&mut self, see: &mut dyn FnMut(&mut String)) {
        let texts = [&mut self.name, &mut self.short, &mut self.trap_role];
        texts.into_iter().for_each(&mut *see);
        see(&mut self.trap_caution);
        for table in &mut self.tables {
            see(&mut table.title);
            let more = table.start_note.iter_mut();
            more.chain(&mut table.stands_for_biofix).for_each(&mut *see);
            table.events.iter_mut().for_each(|e| see(&mut e.name));
        }
        see(&mut self.biofix.words);
        see(&mut self.counts.caught);
        let full = self.counts.saturation.iter_mut();
        full.for_each(|s| see(&mut s.what));
        for threshold in &mut self.counts.thresholds {
            see(&mut threshold.words);
            see(&mut threshold.made_for);
        }
        see(&mut self.cover.reason);
        see(&mut self.pick.reason);
        self.notes.iter_mut().for_each(see);
    }
}

impl Told for BTreeMap<String, BloomEntry> {
    fn each(&mut self, see: &mut dyn FnMut(&mut String)) {
        for bloom in self.values_mut() {
            see(&mut bloom.name);
        }
    }
}

impl Told for Evidence {
    fn each(&mut self, see: &mut dyn FnMut(&mut String)) {
        for question in &mut self.questions {
            see(&mut question.question);
            see(&mut question.answer);
            for side in &mut question.sides {
                see(&mut side.side);
                for finding in &mut side.findings {
                    see(&mut finding.says);
                    see(&mut finding.test);
                }
            }
        }
        self.not_known.iter_mut().for_each(see);
    }
}

impl Told for Tables {
    fn each(&mut self, see: &mut dyn FnMut(&mut String)) {
        for row in &mut self.mesh {
            see(&mut row.pest);
            see(&mut row.hole_mm);
            see(&mut row.says);
        }
        for row in &mut self.height {
            see(&mut row.pest);
            see(&mut row.height);
            see(&mut row.says);
        }
        for row in &mut self.cover {
            see(&mut row.crop);
            see(&mut row.pest);
            see(&mut row.cover);
            see(&mut row.when);
        }
    }
}
