//! The rules of a calibration, written down before it is run.

use serde::{Deserialize, Serialize};

/// The file of rules, as it is.
pub const RULES_TEXT: &str = include_str!("calibration.json");

/// The rules.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rules {
    /// Format number.
    pub format: u32,
    /// Day on which they were written.
    pub written: String,
    /// The rule in words.
    pub rule: String,
    /// Which patterns tune and which are held out, and why.
    pub split: String,
    /// Why the numbers that are drawn were chosen.
    pub why: String,
    /// Largest distance of a set that is kept.
    pub epsilon: f64,
    /// Fewer kept sets than this are too few to say much.
    pub few: u32,
    /// Most sets in the data file.
    pub most_shipped: u32,
    /// The pests that can be calibrated.
    pub pests: Vec<PestRule>,
}

/// What is simulated for one pest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PestRule {
    /// The pest.
    pub pest: String,
    /// Sets tried.
    pub draws: u32,
    /// Names of the numbers that are drawn; all others come from their own ranges, summer by summer.
    pub numbers: Vec<String>,
    /// The layouts.
    pub parts: Vec<Part>,
}

/// One layout and what is measured in it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Name of the layout, as the patterns know it.
    pub layout: String,
    /// Summers of each set.
    pub summers: u32,
    /// Measures.
    pub measures: Vec<Tuned>,
}

/// A measure that tunes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tuned {
    /// Its name, as the bands have it.
    pub measure: String,
    /// What was observed; absent where only a limit is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub observed: Option<f64>,
    /// Standard error of the observation.
    #[serde(default)]
    pub error: f64,
}

/// The compiled-in rules.
pub fn rules() -> Rules {
    super::read(RULES_TEXT)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::patterns::patterns;

    #[test]
    fn every_tuned_measure_has_a_band_in_the_file_of_patterns() {
        let known: Vec<String> = patterns()
            .patterns
            .into_iter()
            .flat_map(|p| p.checks)
            .map(|c| c.measure)
            .collect();
        for pest in rules().pests {
            assert!(crate::catalogue::pest(&pest.pest).is_some());
            for tuned in pest.parts.iter().flat_map(|p| &p.measures) {
                assert!(known.contains(&tuned.measure), "{}", tuned.measure);
            }
        }
    }
}
