//! When pests appear, and how their traps are read: event tables, flights, counts and upkeep, one JSON file a pest.
//!
//! To add a pest: write `season/<name>.json` and its line in [`SEASONS`].

use crate::catalogue::sourced::{Grade, Sourced};
use crate::catalogue::{file, files, spoken, told};
use crate::say::say;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A method with its thresholds, as a file holds it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RuleEntry {
    /// Name of the method, for example `sine`.
    pub method: String,
    /// `F` or `C`; holds for the thresholds.
    pub unit: String,
    /// Lower threshold.
    pub lower: f64,
    /// Upper threshold, if there is one.
    pub upper: Option<f64>,
    /// Name of the cutoff, for example `horizontal`.
    pub cutoff: String,
    /// Citation.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

/// What an event is about; decides its place in the calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EventKind {
    /// First adults of the season.
    FirstAdults,
    /// Adults at their most.
    Peak,
    /// Eggs hatch, or larvae begin to feed.
    Hatch,
    /// A later generation begins.
    NextGeneration,
    /// A stage of another kind.
    Stage,
    /// Traps should hang.
    Hang,
}

/// One event of a table.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventEntry {
    /// What happens.
    pub name: String,
    /// What it is about.
    pub kind: EventKind,
    /// Degree-days from the table's start.
    pub at: f64,
    /// Published range, if there is one.
    pub range: Option<[f64; 2]>,
    /// Citation.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

/// A table of events on one degree-day count.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventTable {
    /// Identifier.
    pub id: String,
    /// Title for people.
    pub title: String,
    /// First day of the count as month and day; absent when the count starts at the biofix.
    pub start: Option<[u8; 2]>,
    /// Why the count starts there, if the source does not say.
    pub start_note: Option<String>,
    /// Unit of the degree-days: `F` or `C`.
    pub unit: String,
    /// The table's own method, if it differs from the pest's.
    pub rule: Option<RuleEntry>,
    /// The event of this table that stands for the biofix, so that the biofix table can be added to it.
    pub stands_for_biofix: Option<String>,
    /// The events, in order.
    pub events: Vec<EventEntry>,
}

/// One flight of adults, as degree-days on the count of `table`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FlightEntry {
    /// Generation, from 1.
    pub generation: u32,
    /// Degree-days when 1 in 100 have emerged.
    pub start: Sourced,
    /// Degree-days when half have emerged.
    pub middle: Sourced,
    /// Size relative to the first generation.
    pub size: Sourced,
}

/// The flights of a pest.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Flights {
    /// Identifier of the event table whose count is used.
    pub table: String,
    /// Mean life of an adult.
    pub adult_life: Sourced,
    /// The generations.
    pub generations: Vec<FlightEntry>,
}

/// The rule that finds the biofix.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BiofixEntry {
    /// In words.
    pub words: String,
    /// True when the trap counts of adults can set it; false when it is something else, such as the first eggs.
    pub from_counts: bool,
    /// Least temperature at dusk for a catch to count.
    pub dusk: Option<Sourced>,
    /// Citation.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

/// A count above which a trap tells less.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SaturationEntry {
    /// What happens, in words.
    pub what: String,
    /// Insects in the trap, from and to.
    pub insects: [f64; 2],
    /// True when the whole season's catch counts; false for one stretch between two checks.
    #[serde(default)]
    pub over_season: bool,
    /// Citation.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

/// An action threshold that somebody uses: an example, never the user's own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThresholdEntry {
    /// In words.
    pub words: String,
    /// For whom it was made, plural: `orchards`, `farm fields`.
    pub made_for: String,
    /// Insects per trap and week, where it is one.
    pub per_trap_week: Option<f64>,
    /// True when only more than that reaches it.
    #[serde(default)]
    pub exceeded: bool,
    /// Weeks running in which it must be reached; 1 when the file does not say.
    #[serde(default = "one_week")]
    pub weeks_running: usize,
    /// First and last month in which it holds; the whole year when absent.
    pub months: Option<[i8; 2]>,
    /// Citation.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

/// How counts are read.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CountsEntry {
    /// Whom the trap catches: `males`, `adults`.
    pub caught: String,
    /// Share of those in the trapping area that one trap catches.
    pub captured_share: Option<Sourced>,
    /// Ground from which one trap draws.
    pub trapping_area: Option<Sourced>,
    /// Dispersion k of counts (negative binomial).
    pub dispersion: Sourced,
    /// When a trap fills or stops telling.
    pub saturation: Vec<SaturationEntry>,
    /// Example thresholds.
    pub thresholds: Vec<ThresholdEntry>,
}

/// Lure, trap and visits.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UpkeepEntry {
    /// Life of a lure at the reference temperature.
    pub lure_life: Sourced,
    /// Factor by which a lure ages faster for 10 degC more.
    pub lure_q10: Sourced,
    /// Temperature at which the life holds, degC.
    pub lure_reference: Sourced,
    /// Insects that fill the trap.
    pub capacity: Option<Sourced>,
    /// Days between two checks in the season.
    pub check_every: Sourced,
    /// Minutes for one visit to one trap.
    pub visit: Sourced,
}

/// Whether covering and picking make sense, and why.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ActionEntry {
    /// True when it makes sense.
    pub useful: bool,
    /// One reason.
    pub reason: String,
    /// Citation, or "common practice, no source".
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

/// A pest's season file.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SeasonPest {
    /// Identifier, the file's name.
    pub id: String,
    /// Common name.
    pub name: String,
    /// Short plural, for sentences.
    pub short: String,
    /// Scientific name.
    pub scientific: String,
    /// What the trap is for: `tells you` or `removes some`.
    pub trap_role: String,
    /// What must stand beside any advice to hang the trap.
    pub trap_caution: String,
    /// True when a trap near plants often raises the damage there.
    #[serde(default)]
    pub trap_draws_damage: bool,
    /// Method and thresholds.
    pub rule: RuleEntry,
    /// Event tables.
    pub tables: Vec<EventTable>,
    /// The biofix rule.
    pub biofix: BiofixEntry,
    /// Flights of adults, where something is known.
    pub flights: Option<Flights>,
    /// Counts.
    pub counts: CountsEntry,
    /// Upkeep.
    pub upkeep: UpkeepEntry,
    /// Covering the crop.
    pub cover: ActionEntry,
    /// Picking by hand.
    pub pick: ActionEntry,
    /// What is known and contested.
    pub notes: Vec<String>,
}

const fn one_week() -> usize {
    1
}

impl ThresholdEntry {
    /// For whom it was made, as a sentence that stands beside it.
    pub fn label(&self) -> String {
        say!("threshold.made-for", farms = self.made_for)
    }
}

impl SeasonPest {
    /// The table of one identifier.
    pub fn table(&self, id: &str) -> Option<&EventTable> {
        self.tables.iter().find(|t| t.id == id)
    }
}

/// Days on which a crop blooms, as assumed ranges for a mild northern climate.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BloomEntry {
    /// Identifier of the crop, the key in the file.
    #[serde(skip)]
    pub id: String,
    /// Name of the crop.
    pub name: String,
    /// First open flower: earliest and latest, as month and day.
    pub first: [[u8; 2]; 2],
    /// Last open flower: earliest and latest.
    pub last: [[u8; 2]; 2],
    /// Fruit depends on insects at bloom.
    pub needs_bees: bool,
    /// Why, or the reason of the assumption.
    pub source: String,
    /// Trust.
    pub grade: Grade,
}

/// Season files, by identifier.
pub const SEASONS: &[(&str, &str)] = files!("season":
    "codling-moth",
    "japanese-beetle",
    "brown-marmorated-stink-bug",
    "oriental-fruit-moth",
    "squash-vine-borer",
    "greater-peachtree-borer",
    "peach-twig-borer",
    "corn-earworm",
    "cabbage-looper",
    "colorado-potato-beetle",
    "cabbage-maggot",
    "custom",
);

/// The bloom windows.
pub const BLOOM: &str = include_str!("season/bloom.json");

/// Three years of daily extremes in Seattle, Washington, ready to try (open data; see the file's note beside it).
pub const SEATTLE: &str = include_str!("../../scenarios/data/seattle-2012-2014-daily.csv");

/// Names of the weather data that come with the program, with the text of each.
pub const SHIPPED_WEATHER: &[(&str, &str)] = &[("seattle", SEATTLE)];

/// The season of one pest; `None` for an unknown identifier.
pub fn season(id: &str) -> Option<SeasonPest> {
    Some(spoken(file(SEASONS, id)?, told::SEASON))
}

/// Bloom windows by crop.
pub fn bloom() -> BTreeMap<String, BloomEntry> {
    let mut all: BTreeMap<String, BloomEntry> = spoken(BLOOM, told::BLOOMS);
    for (id, entry) in &mut all {
        entry.id.clone_from(id);
    }
    all
}
