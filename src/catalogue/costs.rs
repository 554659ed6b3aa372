//! What traps and lures cost, and what else a pair of them takes. These numbers move no insect and are never drawn.

use super::parameter::sourced;
use super::{LureKind, ParameterInfo, Sourced, TrapKind};
use crate::say::{say, translated, voice};
use serde::Deserialize;
use std::collections::BTreeMap;

sourced! {
    /// Dollars and minutes of one trap.
    TrapCosts {
        dollars_per_trap: "1", "dollars for a trap";
        minutes_to_hang: "1", "minutes to hang a trap";
        minutes_a_visit: "1", "minutes to empty or read a trap";
    }
}

sourced! {
    /// Dollars of one lure.
    LureCosts {
        dollars_per_lure: "1", "dollars for a lure, or for one fill of bait";
    }
}

/// What a kind of trap takes beside the pest with some lures, as somebody has counted it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ByCatch {
    /// Lures that it was counted with.
    pub lures: Vec<String>,
    /// Short flag for a table.
    pub flag: String,
    /// The flag in a sentence, with its source.
    pub says: String,
    /// What was counted, by name.
    pub counts: BTreeMap<String, Sourced>,
}

fn counted<'a>(trap: &'a TrapKind, lure: &LureKind) -> Option<&'a ByCatch> {
    trap.by_catch.iter().find(|b| b.lures.contains(&lure.id))
}

/// Short flag about the by-catch of a trap with a lure.
pub fn flag_of<'a>(trap: &'a TrapKind, lure: &LureKind) -> &'a str {
    counted(trap, lure).map_or_else(|| voice().get("flag.not-known"), |b| b.flag.as_str())
}

/// The flag of what harms no other insect that is known of.
pub fn nothing_known() -> &'static str {
    translated("none known")
}

/// The same in a sentence.
pub fn says_of(trap: &TrapKind, lure: &LureKind) -> String {
    counted(trap, lure).map_or_else(
        || say!("flag.nobody-counted", kind = trap.name, lure = lure.name),
        |b| b.says.clone(),
    )
}
