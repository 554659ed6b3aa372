//! What is known and contested about each pest, as structured notes with test conditions, sources and grades, and the
//! reference tables on mesh, trap height and covers.
//!
//! To add a pest: write the file and its line in [`EVIDENCE`].

use crate::catalogue::{Grade, file, files, spoken, told};
use serde::Deserialize;

/// Evidence files, by pest.
pub const EVIDENCE: &[(&str, &str)] = files!(".":
    "japanese-beetle",
    "brown-marmorated-stink-bug",
    "codling-moth",
    "spotted-wing-drosophila",
    "gray-field-slug",
);

/// The reference tables, as they are.
pub const TABLES: &str = include_str!("tables.json");

/// What is known about one pest.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// The pest's identifier.
    pub pest: String,
    /// Questions that people ask, contested ones with both sides.
    pub questions: Vec<Question>,
    /// What nobody has measured.
    pub not_known: Vec<String>,
}

/// A question with its sides.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// The question.
    pub question: String,
    /// The answer in a sentence or two.
    pub answer: String,
    /// The sides, two or more.
    pub sides: Vec<Side>,
}

/// One side of a question.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Side {
    /// What this side says.
    pub side: String,
    /// What speaks for it.
    pub findings: Vec<Finding>,
}

/// A finding with the conditions under which it was made.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// What was found.
    pub says: String,
    /// How it was tested.
    pub test: String,
    /// Where it stands.
    pub source: String,
    /// How far to trust the number.
    pub grade: Grade,
}

/// The reference tables.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tables {
    /// Largest hole that keeps a pest out.
    pub mesh: Vec<MeshRow>,
    /// Height of a trap.
    pub height: Vec<HeightRow>,
    /// Which crops to cover, and when.
    pub cover: Vec<CoverRow>,
}

/// A row of the mesh table.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeshRow {
    /// Pest.
    pub pest: String,
    /// Largest hole, millimetres, in words.
    pub hole_mm: String,
    /// What is known.
    pub says: String,
    /// Source.
    pub source: String,
    /// Grade.
    pub grade: Grade,
}

/// A row of the height table.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeightRow {
    /// Pest.
    pub pest: String,
    /// Height in words.
    pub height: String,
    /// What is known.
    pub says: String,
    /// Source.
    pub source: String,
    /// Grade.
    pub grade: Grade,
}

/// A row of the table of covers.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoverRow {
    /// Crop.
    pub crop: String,
    /// Pest.
    pub pest: String,
    /// Yes, no or not known.
    pub cover: String,
    /// When to cover and uncover.
    pub when: String,
    /// Source.
    pub source: String,
    /// Grade.
    pub grade: Grade,
}

/// The evidence on a pest; `None` for a pest without a file.
pub fn evidence(pest: &str) -> Option<Evidence> {
    Some(spoken(file(EVIDENCE, pest)?, told::QUESTIONS))
}

/// The reference tables.
pub fn tables() -> Tables {
    spoken(TABLES, told::ROWS)
}
