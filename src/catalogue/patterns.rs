//! The field patterns that the model must show, with bands written down before the runs.

use crate::say::say;
use serde::{Deserialize, Serialize};

/// The file of patterns, as it is.
pub const PATTERNS_TEXT: &str = include_str!("patterns.json");

/// Patterns added later, as they are: in a file of their own, because fitted sets are tied to the bytes of
/// [`PATTERNS_TEXT`].
pub const ADDED_TEXT: &str = include_str!("patterns-added.json");

/// Patterns written down before the rules of version 0.5 were first run, as they are.
pub const FIELD_TEXT: &str = include_str!("patterns-field.json");

/// The file of patterns.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Patterns {
    /// Format number.
    pub format: u32,
    /// Day on which the bands were written.
    pub bands_written: String,
    /// What had been seen before that.
    pub honesty: String,
    /// The patterns, P1 first.
    pub patterns: Vec<Pattern>,
}

/// The file of patterns added later; each takes the place of the one with its identifier.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Added {
    /// Day on which the bands were written.
    bands_written: String,
    /// What had been seen before that.
    honesty: String,
    patterns: Vec<Pattern>,
}

/// One pattern.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pattern {
    /// Identifier, such as `P1`.
    pub id: String,
    /// A few plain words.
    #[serde(rename = "title")]
    pub name: String,
    /// `tuned`, `held out` or `fed in`.
    #[serde(rename = "use")]
    pub role: String,
    /// Whether runs of this pattern had been seen before its band was written.
    pub seen_before: bool,
    /// What was observed.
    pub observed: String,
    /// Where.
    pub source: String,
    /// What the simulation must show; empty when it is not run.
    pub checks: Vec<Check>,
    /// Why it is not run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_run: Option<String>,
    /// What was taken where the source is silent.
    pub note: String,
    /// Day on which its bands were written: that of the last file that has it.
    #[serde(skip)]
    pub written: String,
}

/// A measure and its band.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// Name of the measure, as the runs give it.
    pub measure: String,
    /// The measure in words with its unit.
    pub words: String,
    /// Lowest value that passes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least: Option<f64>,
    /// Highest value that passes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_most: Option<f64>,
    /// Standard errors by which the value must clear the band.
    #[serde(default)]
    pub errors: f64,
}

impl Check {
    /// Whether a value with its standard error lies in the band.
    pub fn holds(&self, value: f64, error: f64) -> bool {
        let room = self.errors * error;
        self.at_least.is_none_or(|low| value - room >= low)
            && self.at_most.is_none_or(|high| value + room <= high)
    }

    /// The band in words.
    pub fn band(&self) -> String {
        let limits = match (self.at_least, self.at_most) {
            (Some(low), Some(high)) => say!("detail.band.between", low, high),
            (Some(low), None) => say!("detail.band.at-least", low),
            (None, Some(high)) => say!("detail.band.at-most", high),
            (None, None) => say!("detail.band.any"),
        };
        if self.errors > 0.0 {
            say!("detail.band.clear", limits, errors = self.errors)
        } else {
            limits
        }
    }
}

/// How far a pattern stands from the numbers of the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kin {
    /// Its measure tuned fitted sets, or its numbers are fed in.
    Tuned,
    /// Another measure of a trial that tuned or gave numbers of this pest.
    SameFamily,
    /// A trial that gave the model nothing.
    Independent,
}

impl Pattern {
    /// How far it stands from the numbers of the model: P5, P8 and P12 tune; P6, P15, P16, A6 and A7 are fed in; P7 was
    /// watched in the trial of P6 and P8; the ranges of the codling moth's lure come from the trial of P13 and P14.
    pub fn kin(&self) -> Kin {
        match self.id.as_str() {
            "P5" | "P6" | "P8" | "P12" | "P15" | "P16" | "A6" | "A7" => Kin::Tuned,
            "P7" | "P13" | "P13b" | "P14" | "P14b" => Kin::SameFamily,
            _ => Kin::Independent,
        }
    }

    /// Whether it asks for a size, not for a sign: some measure has a band with two ends.
    pub fn is_quantitative(&self) -> bool {
        let both = |c: &Check| c.at_least.is_some() && c.at_most.is_some();
        self.checks.iter().any(both)
    }
}

/// The compiled-in patterns, with those added later in their places.
pub fn patterns() -> Patterns {
    let mut all: Patterns = super::read(PATTERNS_TEXT);
    for pattern in &mut all.patterns {
        pattern.written.clone_from(&all.bands_written);
    }
    for text in [ADDED_TEXT, FIELD_TEXT] {
        let added: Added = super::read(text);
        for mut pattern in added.patterns {
            pattern.written.clone_from(&added.bands_written);
            match all.patterns.iter_mut().find(|p| p.id == pattern.id) {
                Some(place) => *place = pattern,
                None => all.patterns.push(pattern),
            }
        }
        all.honesty = [all.honesty, added.honesty].join(" ");
        if !all.bands_written.ends_with(&added.bands_written) {
            let (first, then) = (all.bands_written, added.bands_written);
            all.bands_written = say!("detail.band.days", first, then);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_of_three_lists_each_with_checks_or_a_reason() {
        let all = patterns().patterns;
        let mut wanted: Vec<String> = (1..=16).map(|i| format!("P{i}")).collect();
        wanted.extend([1, 2, 9, 11, 13, 14].map(|i| format!("P{i}b")));
        wanted.extend((1..=10).map(|i| format!("A{i}")));
        let ids: Vec<String> = all.iter().map(|p| p.id.clone()).collect();
        assert_eq!(ids, wanted);
        for p in &all {
            assert_eq!(p.checks.is_empty(), p.not_run.is_some(), "{}", p.id);
            assert!(["tuned", "held out", "fed in"].contains(&p.role.as_str()));
            for c in &p.checks {
                assert!(c.at_least.is_some() || c.at_most.is_some(), "{}", c.measure);
            }
        }
    }

    #[test]
    fn a_pattern_added_later_takes_the_place_of_one_that_was_not_run() {
        let first: Patterns = serde_json::from_str(PATTERNS_TEXT).expect("tested here");
        let added: Added = serde_json::from_str(ADDED_TEXT).expect("tested here");
        for pattern in &added.patterns {
            let before = first.patterns.iter().find(|p| p.id == pattern.id);
            assert!(before.is_some_and(|p| p.not_run.is_some() && p.observed == pattern.observed));
            let now = patterns().patterns;
            let now = now.iter().find(|p| p.id == pattern.id);
            assert_eq!(now.map(|p| &p.checks), Some(&pattern.checks));
        }
        assert!(patterns().honesty.contains(&added.honesty));
    }

    #[test]
    fn every_band_has_its_day() {
        let all = patterns().patterns;
        let day = |id: &str| all.iter().find(|p| p.id == id).map(|p| p.written.as_str());
        assert_eq!(day("P1"), Some("2026-11-25"));
        assert_eq!(day("P1b"), Some("2026-11-28"));
        assert!(all.iter().all(|p| !p.written.is_empty()));
    }

    #[test]
    fn a_band_that_asks_for_errors_needs_them() {
        let check = Check {
            measure: "m".into(),
            words: "w".into(),
            at_least: Some(0.0),
            at_most: None,
            errors: 2.0,
        };
        assert!(check.holds(1.0, 0.4) && !check.holds(1.0, 0.6) && !check.holds(-1.0, 0.1));
    }
}
