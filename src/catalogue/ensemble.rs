//! Parameter sets that reproduce field patterns: what `calibrate` writes and every summer draws from.
//!
//! Sets are quantiles of the prior ranges in the catalogue; the ranges stand beside them, so that a range that was
//! changed since then is noticed (a test compares them).

use crate::catalogue::{file, files, read};
use serde::{Deserialize, Serialize};

/// One pest's sets.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ensemble {
    /// Format number.
    pub format: u32,
    /// The pest.
    pub pest: String,
    /// How they were made.
    pub made: Made,
    /// The parameters, one a column.
    pub parameters: Vec<Column>,
    /// Quantiles of each set, one a column.
    pub sets: Vec<Vec<f64>>,
}

/// Where an ensemble comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Made {
    /// The command that makes it again.
    pub command: String,
    /// Version of the program.
    pub version: String,
    /// Seed.
    pub seed: u64,
    /// Sets tried.
    pub draws: u32,
    /// Sets that fit; the file holds the first of them at most.
    pub kept: u32,
    /// Day on which the bands were written.
    pub bands_written: String,
    /// SHA-256 of the file of patterns.
    pub patterns_sha256: String,
    /// SHA-256 of the file of rules.
    pub rules_sha256: String,
}

/// A parameter of the sets.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Column {
    /// Whose it is, as the draws are keyed, for example `lure:japanese-beetle-both`.
    pub id: String,
    /// Name in the catalogue file.
    pub key: String,
    /// Unit of the range, as in the catalogue file.
    pub unit: String,
    /// Prior range.
    pub range: [f64; 2],
}

/// The compiled-in ensembles, by pest.
pub const ENSEMBLES: &[(&str, &str)] =
    files!("ensemble": "japanese-beetle", "brown-marmorated-stink-bug");

/// The ensemble of a pest; `None` where none was made.
pub fn ensemble(pest: &str) -> Option<Ensemble> {
    Some(read(file(ENSEMBLES, pest)?))
}
