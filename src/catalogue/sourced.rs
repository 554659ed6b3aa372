//! A number with its unit, range, source and grade.

use serde::{Deserialize, Serialize};

/// How far a number can be trusted. The weakest grade an answer rests on is printed beside it.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Grade {
    /// Mathematics or a definition.
    Exact,
    /// Read in the source itself or in its abstract.
    Published,
    /// Read in a page that quotes the source.
    Secondary,
    /// Recalled, not read again.
    Memory,
    /// Nobody has measured it; a range is sampled.
    Assumed,
}

/// How a value is drawn from its range.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Spread {
    /// Every value in the range is equally likely.
    #[default]
    Uniform,
    /// Every factor is equally likely (uniform in the logarithm).
    Log,
}

/// A number that says where it comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sourced {
    /// Central value, in `unit`.
    pub value: f64,
    /// Unit as written in the file.
    pub unit: String,
    /// Range that is sampled, one draw a summer; absent for a fixed value.
    pub range: Option<[f64; 2]>,
    /// Shape of the draw.
    #[serde(default)]
    pub spread: Spread,
    /// Citation, or the reason of an assumption.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

impl Sourced {
    /// The value in inside units at quantile `u` of the range (`u` in \[0, 1)); the value itself when there is no range.
    pub fn at(&self, u: f64) -> f64 {
        let factor = crate::units::to_inside(&self.unit).unwrap_or(1.0);
        match (self.range, self.spread) {
            (None, _) => self.value * factor,
            (Some([low, high]), Spread::Uniform) => (low + (high - low) * u) * factor,
            (Some([low, high]), Spread::Log) => {
                let (a, b) = (libm::log(low), libm::log(high));
                libm::exp(a + (b - a) * u) * factor
            }
        }
    }

    /// Central value in inside units.
    pub fn central(&self) -> f64 {
        self.value * crate::units::to_inside(&self.unit).unwrap_or(1.0)
    }

    /// Largest value that can be drawn, in inside units.
    pub fn highest(&self) -> f64 {
        self.range.map_or(self.value, |r| r[1]) * crate::units::to_inside(&self.unit).unwrap_or(1.0)
    }
}
