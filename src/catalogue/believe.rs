//! The second badge: how sure the biology behind an answer is. It rests on the pest and the methods alone, so more
//! summers never raise it.

use crate::catalogue::{Grade, MethodKind, Pest};
use serde::Serialize;

/// The three levels, least first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "UPPERCASE")]
pub enum Level {
    /// Hardly anything was measured.
    Low,
    /// Something was measured, the question itself was not asked in a trial, or only once.
    Medium,
    /// Field trials asked the question.
    High,
}

impl Level {
    /// The level in capitals, as printed.
    pub fn word(self) -> &'static str {
        match self {
            Level::Low => "LOW",
            Level::Medium => "MEDIUM",
            Level::High => "HIGH",
        }
    }
}

/// How sure we are, with one reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Believe {
    /// The level.
    pub level: Level,
    /// One sentence.
    pub reason: String,
}

/// Beginnings of the names of numbers that only say what a method costs.
const COSTS: [&str; 5] = ["dollars", "minutes", "seconds", "setup_min", "check_min"];

/// The weakest grade among the numbers of a method's effect; costs and counts of fruit do not bear on damage.
fn weakest_effect(method: &MethodKind) -> Grade {
    method
        .values
        .iter()
        .filter(|(key, _)| !COSTS.iter().any(|c| key.starts_with(c)))
        .filter(|(key, _)| *key != "fruit_per_cluster")
        .map(|(_, number)| number.grade)
        .max()
        .unwrap_or(Grade::Exact)
}

/// The badge of a pest and of the methods used against it: the pest's own, held down by the weakest method. A method whose
/// effect was read in a source holds at HIGH, one that was read second-hand or recalled at MEDIUM, an assumed one at LOW.
pub fn believe<'a>(pest: &Pest, methods: impl IntoIterator<Item = &'a MethodKind>) -> Believe {
    let level = match pest.badge.as_str() {
        "HIGH" => Level::High,
        "MEDIUM" => Level::Medium,
        _ => Level::Low,
    };
    let mut found = Believe {
        level,
        reason: pest.badge_reason.clone(),
    };
    for method in methods {
        let (most, reason) = match weakest_effect(method) {
            Grade::Exact | Grade::Published => continue,
            Grade::Secondary | Grade::Memory => (Level::Medium, "was read second-hand or recalled"),
            Grade::Assumed => (Level::Low, "is an assumed range"),
        };
        if most < found.level {
            found = Believe {
                level: most,
                reason: format!("How much the {} does {reason}.", method.name),
            };
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::{method, pest};

    #[test]
    fn the_weakest_of_pest_and_methods_holds() {
        let beetle = pest("japanese-beetle").expect("known");
        let slug = pest("gray-field-slug").expect("known");
        let get = |id: &str| method(id).expect("known");
        let level = |p: &Pest, ids: &[&str]| {
            let kinds: Vec<MethodKind> = ids.iter().map(|id| get(id)).collect();
            believe(p, &kinds).level
        };
        assert_eq!(level(&beetle, &[]), Level::High);
        assert_eq!(level(&beetle, &["row-cover"]), Level::High);
        assert_eq!(level(&beetle, &["row-cover", "hand-removal"]), Level::Low);
        assert_eq!(level(&slug, &["row-cover"]), Level::Low);
        let said = believe(&beetle, &[get("hand-removal")]);
        assert!(said.reason.contains("assumed"), "{}", said.reason);
        assert_eq!(said.level.word(), "LOW");
    }
}
