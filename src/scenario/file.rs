//! The scenario file as people write it: feet and plain words, nearly everything optional.
//!
//! These types are also the source of the shipped JSON Schema. In a description, the words after "Write" are
//! what a message proposes when the value does not fit.

use crate::catalogue::words::Kind;
use crate::units::Dimension;
use schemars::JsonSchema;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $dimension:expr) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
        #[serde(untagged)]
        pub enum $name {
            /// A number in the unit used inside.
            Number(f64),
            /// A text with its unit.
            Text(String),
        }

        impl $name {
            /// Value in the unit used inside.
            ///
            /// # Errors
            /// Says what was expected when the text is no such quantity.
            pub fn inside(&self) -> Result<f64, String> {
                match self {
                    Self::Number(value) => Ok(*value),
                    Self::Text(text) => crate::units::read_quantity(text, $dimension),
                }
            }
        }
    };
}

quantity!(
    /// Write a length such as "30 ft", "30 ft 6 in", "9.1 m", "91 cm", "10 yd" or a number of meters.
    Length, Dimension::Length
);
quantity!(
    /// Write a speed such as "5 mph", "2 m/s", "4 kn" or a number of meters per second.
    Speed, Dimension::Speed
);

/// Names of the catalogue for editors that complete, each with what it is; any word of the table is read as well.
fn names(kind: Kind) -> Value {
    let known = kind.files().iter().map(|(id, file)| {
        let file: Value = serde_json::from_str(file).unwrap_or_default();
        json!({ "type": "string", "const": id, "description": file["name"] })
    });
    let more = ["string", "null"].map(|kind| json!({ "type": kind }));
    known.chain(more).collect()
}

/// Write a place as [x, y]: lengths to the east and to the north of the yard's south-west corner.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Position(pub [Length; 2]);

/// Write a side such as "west", "NW", "south-south-west", or degrees clockwise from north.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Direction {
    /// Degrees clockwise from north.
    Degrees(f64),
    /// A compass word.
    Word(String),
}

/// Write a number, a text with its unit, or [low, high] for a range.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Override {
    /// A number in the catalogue's unit.
    Number(f64),
    /// A text with its unit.
    Text(String),
    /// A range, low and high.
    Range([Bound; 2]),
}

/// Write a number or a text with its unit.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Bound {
    /// A number in the catalogue's unit.
    Number(f64),
    /// A text with its unit.
    Text(String),
}

/// Write a number or [low, high].
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Count {
    /// One number.
    One(f64),
    /// A range, low and high.
    Range([f64; 2]),
}

/// A scenario: one yard, its pest and the plans to compare.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct File {
    /// The schema this file follows, for editors.
    #[serde(rename = "$schema")]
    pub schema: Option<String>,
    /// Format number. Write 1.
    pub format: u32,
    /// Short name for folders: letters, digits and hyphens; the file's name when absent.
    pub name: Option<String>,
    /// Title for people.
    pub title: String,
    /// Free note, for example where the yard comes from.
    pub note: Option<String>,
    /// The yard. Write { "width": "60 ft", "depth": "40 ft" }.
    pub yard: Yard,
    /// The plants that matter to you.
    pub crops: Vec<Crop>,
    /// House, shed, fence and the like.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub structures: Vec<Structure>,
    /// Places where no trap may hang.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub no_hang: Vec<Zone>,
    /// Places in the yard where you might hang a trap; `place` ranks them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spots: Vec<Spot>,
    /// Neighbors' plots, outside the yard.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub neighbours: Vec<Neighbour>,
    /// How many insects are about and where they come from.
    pub surroundings: Option<Surroundings>,
    /// Wind; unknown when absent.
    pub wind: Option<Wind>,
    /// Hourly weather, for the hours fit for movement; every active hour counts when absent.
    pub weather: Option<Weather>,
    /// The pest. Write a name such as "japanese-beetle", or { "base": "japanese-beetle" } with changes.
    pub pest: Pest,
    /// Where the unknown numbers of a summer come from; "fitted" when absent.
    pub biology: Option<Biology>,
    /// Changes to lures, by lure and number.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub lure_values: BTreeMap<String, BTreeMap<String, Override>>,
    /// Changes to traps, by trap kind and number.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub trap_values: BTreeMap<String, BTreeMap<String, Override>>,
    /// The days simulated.
    pub window: Option<Window>,
    /// The plans to compare; one without traps is added when absent.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plans: Vec<Plan>,
    /// How to simulate.
    pub settings: Option<Settings>,
}

/// Where the unknown numbers of a summer come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Biology {
    /// Write "fitted": each summer uses one set of numbers that together reproduce field trials, where there are such
    /// sets for the pest.
    Fitted,
    /// Write "ranges": each number is drawn from its own range.
    Ranges,
}

/// The yard, a rectangle.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Yard {
    /// West to east.
    pub width: Length,
    /// South to north.
    pub depth: Length,
    /// The side at the top of the map; north when absent. With another side up, read east as right and north as up.
    pub up: Option<Direction>,
}

/// Plants of one kind; exactly one of `row`, `block`, `ring` and `single`.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Crop {
    /// Your name for it, unique.
    pub name: String,
    /// Kind of plant. Write a name such as "raspberry" or "other".
    #[schemars(extend("anyOf" = names(Kind::Crop)))]
    pub kind: String,
    /// Plants along a line.
    pub row: Option<Row>,
    /// Plants on a rectangle.
    pub block: Option<Block>,
    /// Plants on a circle.
    pub ring: Option<Ring>,
    /// One plant.
    pub single: Option<Position>,
    /// Radius of one plant's leaves.
    pub canopy: Option<Length>,
    /// Worth of one plant beside others; 1 when absent.
    pub worth: Option<f64>,
    /// "me", or the name of a neighbor; yours when absent.
    pub owner: Option<String>,
    /// A trap crop: it stands only in plans with the method "trap-crop", and its damage does not count.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub trap_crop: bool,
    /// Changes to how the pest takes it: `detection`, `acceptance`, `units`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub values: BTreeMap<String, Override>,
}

/// Plants along a line, the first and last at its ends.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// First plant.
    pub from: Position,
    /// Last plant.
    pub to: Position,
    /// Number of plants.
    pub count: Option<u32>,
    /// Distance between plants, instead of a number.
    pub spacing: Option<Length>,
}

/// Plants in the middle of equal squares of a rectangle.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Block {
    /// One corner.
    pub from: Position,
    /// The opposite corner.
    pub to: Position,
    /// Number of plants west to east and south to north.
    pub count: Option<[u32; 2]>,
    /// Distance between plants, instead of numbers.
    pub spacing: Option<Length>,
}

/// Plants on a circle, the first due north.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ring {
    /// Center.
    pub centre: Position,
    /// Radius.
    pub radius: Length,
    /// Number of plants.
    pub count: Option<u32>,
    /// Distance between plants, instead of a number.
    pub spacing: Option<Length>,
}

/// Something that stands in the yard: a rectangle (`from`, `to`) or a disc (`at`, `radius`).
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Structure {
    /// Name.
    pub name: String,
    /// Kind; `other` when absent.
    pub kind: Option<super::StructureKind>,
    /// One corner.
    pub from: Option<Position>,
    /// The opposite corner.
    pub to: Option<Position>,
    /// Center of a disc.
    pub at: Option<Position>,
    /// Radius of a disc.
    pub radius: Option<Length>,
}

/// A zone: a rectangle (`from`, `to`) or a disc (`at`, `radius`).
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Zone {
    /// Name.
    pub name: String,
    /// One corner.
    pub from: Option<Position>,
    /// The opposite corner.
    pub to: Option<Position>,
    /// Center of a disc.
    pub at: Option<Position>,
    /// Radius of a disc.
    pub radius: Option<Length>,
}

/// A place where you might hang a trap.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// Name, unique.
    pub name: String,
    /// Where it is.
    pub at: Position,
}

/// A neighbor's plot, a rectangle outside the yard.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Neighbour {
    /// Name, unique.
    pub name: String,
    /// One corner.
    pub from: Position,
    /// The opposite corner.
    pub to: Position,
    /// Their plants.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub crops: Vec<Crop>,
    /// A trap they hang; it stands in every plan but "no trap".
    pub trap: Option<Trap>,
}

/// How many insects are about and where they come from.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Surroundings {
    /// Write "light", "usual", "heavy" or { "on_plants_a_day": 20 }.
    pub pressure: Option<Pressure>,
    /// Places nearby that breed insects.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sources: Vec<Source>,
    /// Open country all round, or a population of its own.
    pub setting: Option<Setting>,
    /// Width of the land round the yard that shares an isolated population.
    pub margin: Option<Length>,
    /// Seasons one after the other in an isolated yard; 1 when absent.
    pub seasons: Option<u32>,
    /// Insects that come from outside before each season, as a share of the first season's number; 0 when absent.
    pub arrivals_a_season: Option<f64>,
    /// A side that many of the insects come from.
    pub arrivals_from: Option<ArrivalsFrom>,
    /// Chewed leaves call more insects the day after. Write true, or false when absent.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub chewed_leaves_call: bool,
}

/// A side that many of the insects come from.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ArrivalsFrom {
    /// The side: a compass point such as "south", or degrees.
    pub side: Direction,
    /// Share of the arrivals that comes from there, 0 to 1; 0.6 when absent.
    pub share: Option<f64>,
}

/// How many insects sit on your plants.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Pressure {
    /// In words.
    Word(PressureWord),
    /// As counted.
    Counted(CountedPressure),
}

/// Pressure in words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum PressureWord {
    /// A few.
    Light,
    /// As in most years.
    Usual,
    /// Many.
    Heavy,
}

/// Pressure as counted.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CountedPressure {
    /// Insects sitting on all your plants at one look on a usual day, without a trap. Write a number or [low, high].
    pub on_plants_a_day: Count,
}

/// A place that breeds insects.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Name, for example "lawn" or "old apple tree".
    pub name: String,
    /// Center; may lie outside the yard. Left out when `bed` is given.
    pub at: Option<Position>,
    /// Name of a crop whose soil they come out of: they start on its plants, under any cover.
    pub bed: Option<String>,
    /// Radius over which insects appear; 10 ft when absent.
    pub radius: Option<Length>,
    /// Insects that appear there a day. Write a number or [low, high].
    pub a_day: Option<Count>,
}

/// The land round the yard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Setting {
    /// Insects keep arriving from all sides.
    Open,
    /// No insect arrives from outside.
    Isolated,
}

/// Wind: words (`usually_from`, `strength`), a table (`sectors`, `calm`) or a record (`file`).
#[derive(Clone, Debug, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Wind {
    /// The side it usually comes from.
    pub usually_from: Option<Direction>,
    /// How strong it usually is at the height of the plants.
    pub strength: Option<Strength>,
    /// A table of 4, 8 or 16 sides.
    pub sectors: Option<Vec<Sector>>,
    /// Share of calm hours, in the same unit as the shares of the sides.
    pub calm: Option<f64>,
    /// Hourly record, a CSV file beside the scenario.
    pub file: Option<String>,
    /// Column with the local time, ISO 8601.
    pub time_column: Option<String>,
    /// The station to take, when the file holds several.
    pub station: Option<String>,
    /// Hours to add to times marked UTC, for example -5.
    pub utc_offset: Option<f64>,
    /// Column with the direction the wind comes from, degrees.
    pub direction_column: Option<String>,
    /// Column with the speed; its name ends in the unit, for example `wind_mph`.
    pub speed_column: Option<String>,
    /// Where it was measured; an airport mast stands higher and more open than a yard.
    pub measured_at: Option<MeasuredAt>,
}

/// Hours that are fit for the insects to move, from the weather.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Weather {
    /// Hourly record, a CSV file beside the scenario: local time, temperature, and where it has them wind and sun.
    pub file: String,
    /// Column with the local time, ISO 8601.
    pub time_column: Option<String>,
    /// The station to take, when the file holds several.
    pub station: Option<String>,
    /// Hours to add to times marked UTC, for example -5.
    pub utc_offset: Option<f64>,
    /// Column with the temperature of the air; its name ends in `_f` or `_c`.
    pub temperature_column: Option<String>,
    /// Column with the speed of the wind; its name ends in the unit, for example `wind_mph`.
    pub speed_column: Option<String>,
    /// Column with the sun's radiation, watts a square meter.
    pub sun_column: Option<String>,
}

/// Strength of the wind in words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Strength {
    /// Leaves hardly move.
    Still,
    /// Leaves rustle.
    Light,
    /// Small branches move.
    Moderate,
    /// Large branches move.
    Strong,
}

/// How well the edges of a net are closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Edges {
    /// Buried or weighed down all along, and looked after.
    Tight,
    /// Weighed down here and there.
    Usual,
    /// Loose, or often left open.
    Gappy,
}

/// Where wind was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum MeasuredAt {
    /// At the height of the plants.
    Yard,
    /// On a mast of about 10 m (33 ft) in the open.
    Airport,
}

/// One side of a wind table.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sector {
    /// Where the wind comes from.
    pub from: Direction,
    /// Share of all hours; shares and calm add up to 1 or to 100.
    pub share: f64,
    /// Mean speed.
    pub speed: Speed,
}

/// The pest: a name, or a base with changes.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Pest {
    /// A name from the catalogue.
    #[schemars(extend("anyOf" = names(Kind::Pest)))]
    Id(String),
    /// A changed one.
    Changed(Box<ChangedPest>),
}

/// A pest of the catalogue with changes; `custom` is the base of one of your own.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChangedPest {
    /// The pest to start from. Write a name such as "japanese-beetle" or "custom".
    #[schemars(extend("anyOf" = names(Kind::Pest)))]
    pub base: String,
    /// Your name for it, singular.
    pub name: Option<String>,
    /// What it does to plants.
    pub guild: Option<crate::catalogue::Guild>,
    /// Whether it flies or crawls.
    pub mover: Option<crate::catalogue::Mover>,
    /// First hour of movement, 0 to 24.
    pub start_hour: Option<f64>,
    /// Hours of movement a day, 1 to 24.
    pub hours: Option<f64>,
    /// Changed numbers by name.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub overrides: BTreeMap<String, Override>,
}

/// The days simulated.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Window {
    /// First day. Write a date such as "2026-06-25".
    pub first_day: Option<String>,
    /// Number of days.
    pub days: Option<u32>,
    /// Relative number of insects about, one number a day; even when absent.
    pub day_weights: Option<Vec<f64>>,
    /// In place of day_weights: a season.json beside the scenario, as `lurefield season` writes it. First day and number
    /// of days come from it too.
    pub flight: Option<String>,
}

/// What you might do.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// Name, unique.
    pub name: String,
    /// Traps; none for "no trap".
    #[serde(default)]
    pub traps: Vec<Trap>,
    /// Everything else you might do.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub methods: Vec<Method>,
    /// What it costs you in all, dollars, instead of the assumed cost.
    pub dollars: Option<f64>,
    /// What it takes you in all, minutes, instead of the assumed time.
    pub minutes: Option<f64>,
}

/// Something you might do besides hanging traps.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Method {
    /// What. Write "row-cover", "fruit-bags", "hand-removal", "repellent", "water-spray" or "trap-crop".
    #[schemars(extend("anyOf" = names(Kind::Method)))]
    pub method: String,
    /// Names of your crops it acts on; all of yours when absent.
    pub crops: Option<Vec<String>>,
    /// Cover: hole of the mesh in millimeters; 0 for cloth without holes.
    pub mesh_mm: Option<f64>,
    /// Cover: first day it is on. Repellent: first day it is sprayed. Day 1 is the first day of the window.
    pub from_day: Option<u32>,
    /// Cover: last day it is on.
    pub to_day: Option<u32>,
    /// Cover: first and last day on which it is open for bees.
    pub open_days: Option<[u32; 2]>,
    /// Cover: how well its edges are closed; usual when absent.
    pub edges: Option<Edges>,
    /// Bags: share of the fruit bagged, 0 to 1; all when absent.
    pub share: Option<f64>,
    /// Hand removal, water, repellent, clearing of a trap crop: times of day. Write a list of times such as "19:00".
    pub times: Option<Vec<String>>,
    /// Hand removal, water: days a week, 1 to 7; 7 when absent.
    pub days_a_week: Option<u32>,
    /// Repellent: sprayed every so many days. Trap crop: cleared every so many days, never when absent.
    pub every: Option<u32>,
    /// Changes to its numbers, for example { "leak": [0.01, 0.05] }.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub values: BTreeMap<String, Override>,
}

/// A trap.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Trap {
    /// Name; numbered when absent.
    pub name: Option<String>,
    /// Where it hangs.
    pub at: Position,
    /// Kind of trap, for example `bucket`; the usual one for the pest when absent.
    #[schemars(extend("anyOf" = names(Kind::Trap)))]
    pub kind: Option<String>,
    /// Lure; the usual one for the pest when absent.
    #[schemars(extend("anyOf" = names(Kind::Lure)))]
    pub lure: Option<String>,
    /// Number of lures in it; 1 when absent.
    pub lures: Option<u32>,
    /// What it is for.
    pub role: Option<super::Role>,
    /// Age of the lure on the first day, days; 0 when absent.
    pub lure_age: Option<f64>,
    /// First day it hangs; day 1 is the first day of the window.
    pub from_day: Option<u32>,
    /// Last day it hangs.
    pub to_day: Option<u32>,
    /// Emptied every so many days; weekly when absent.
    pub empty_every: Option<u32>,
    /// Strength of the lure beside a fresh one: 0 for no lure, 1 for a fresh one.
    pub strength: Option<f64>,
    /// "me", or the name of the neighbor whose trap it is.
    pub owner: Option<String>,
    /// Effective attraction radius in the plane, when the trap is known by it instead of by a lure's reach: every insect
    /// of a sex that the lure calls and that crosses the disc is caught.
    pub catch_radius: Option<Length>,
    /// Hang it there even inside a structure or a no-hang zone.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub place_anyway: bool,
}

/// How to simulate.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// Most simulated summers; 2,000 when absent. Fewer are taken when they settle the answer.
    pub summers: Option<u32>,
    /// Seed of the random numbers; 1 when absent.
    pub seed: Option<u64>,
    /// Cell of the maps; 0.5 m when absent.
    pub cell: Option<Length>,
    /// A smaller difference, in points of 100, is "no change"; 1 when absent.
    pub tie_band: Option<f64>,
    /// Most insects in one summer before a run is refused.
    pub most_insects: Option<u64>,
}
