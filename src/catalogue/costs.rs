//! What traps and lures cost, and what else a pair of them takes. These numbers move no insect and are never drawn.

use super::parameter::sourced;
use super::{LureKind, ParameterInfo, Sourced, TrapKind};
use crate::say::{say, voice};
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

/// The same in a sentence.
pub fn says_of(trap: &TrapKind, lure: &LureKind) -> String {
    counted(trap, lure).map_or_else(
        || say!("flag.nobody-counted", kind = trap.name, lure = lure.name),
        |b| b.says.clone(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::{LURES, TRAPS, lure, trap};

    #[test]
    fn every_cost_and_count_has_its_source() {
        for (id, _) in TRAPS {
            let kind = trap(id).expect("tested here");
            for info in TrapCosts::TABLE {
                let cost = kind.costs.get(info.key).expect("the table is the struct");
                assert_eq!(cost.fault(), None, "{id}.{}", info.key);
            }
            for pair in &kind.by_catch {
                for id in &pair.lures {
                    assert!(lure(id).is_some(), "no lure {id}");
                }
                for (key, count) in &pair.counts {
                    assert_eq!(count.fault(), None, "{id}.{key}");
                    let written = pair.says.contains(&count.value.to_string());
                    assert!(written, "{id}: {key} is not in the sentence");
                }
            }
        }
        for (id, _) in LURES {
            let kind = lure(id).expect("tested here");
            for info in LureCosts::TABLE {
                let cost = kind.costs.get(info.key).expect("the table is the struct");
                assert_eq!(cost.fault(), None, "{id}.{}", info.key);
            }
        }
    }

    #[test]
    fn bees_are_counted_for_the_bucket_with_a_flower_scent_and_for_no_other_pair() {
        for (t, _) in TRAPS {
            for (l, _) in LURES {
                let (kind, scent) = (trap(t).expect("known"), lure(l).expect("known"));
                let bees = *t == "bucket" && ["floral", "both"].contains(&scent.class.as_str());
                let flag = if bees { "some bees" } else { "not known" };
                assert_eq!(flag_of(&kind, &scent), flag, "{t} with {l}");
                assert_eq!(says_of(&kind, &scent).contains("856"), bees, "{t} with {l}");
            }
        }
    }
}
