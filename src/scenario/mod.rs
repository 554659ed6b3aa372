//! The question asked: a complete, checked, immutable yard in inside units.
//!
//! `file` holds the JSON as people write it, `check` turns it into a [`Scenario`] and collects every fault.
//! Coordinates: x right, y up on the map, meters from the yard's lower left corner: east and north unless another side is up.

pub mod answers;
mod around;
pub mod asked;
pub mod biology;
mod change;
pub mod check;
mod crops;
mod describe;
mod doubts;
pub mod error;
pub mod fence;
pub mod file;
pub(crate) mod methods;
mod notes;
mod phrase;
mod place;
mod plans;
mod record;
mod structure;
mod weather;
mod wind;

pub use check::{last_part, read, schema, schema_texts};
pub use describe::describe;
pub use error::Fault;
pub use weather::Weather;
pub use wind::side_of;

use crate::catalogue::{CropKind, HostValues, LureKind, Pest, TrapKind};
use crate::geometry::{Point, Rect};
use crate::say::voice;

/// A yard, its surroundings, its pest and the plans to try. Cannot be wrong once it exists.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// Name used for the output folder: letters, digits, hyphens.
    pub name: String,
    /// Title for people.
    pub title: String,
    /// Free note, for example "invented for demonstration".
    pub note: String,
    /// The yard, from (0, 0).
    pub yard: Rect,
    /// Direction that the top of the map points to, clockwise from north, radians (0 = north).
    pub up_bearing_rad: f64,
    /// Crops, the asker's own first.
    pub crops: Vec<Crop>,
    /// All plants, grouped by crop in order.
    pub plants: Vec<Plant>,
    /// House, shed, fence, tree: drawn, and nothing hangs inside them.
    pub structures: Vec<Structure>,
    /// Zones where no trap may hang.
    pub no_hang: Vec<Zone>,
    /// Places the asker thinks of hanging a trap.
    pub spots: Vec<Spot>,
    /// Neighbors' plots.
    pub plots: Vec<Plot>,
    /// The pest, with the user's overrides applied.
    pub pest: Pest,
    /// Fitted sets of the unknown numbers, of which every summer uses one, in turn; `None` draws each number from its own range.
    pub kept_sets: Option<biology::KeptSets>,
    /// Pressure: insects sitting on the asker's plants at one look, without a trap; sampled log-uniformly from low to high.
    pub pressure: Pressure,
    /// Extra places where insects come from.
    pub sources: Vec<Source>,
    /// True when the boundary is closed and the population is the yard's own.
    pub isolated: bool,
    /// Width of land around the yard that belongs to an isolated population, meters; ignored when open.
    pub isolated_margin_m: f64,
    /// Seasons to simulate; one in open country.
    pub seasons: Seasons,
    /// Whether chewed leaves call more insects the day after.
    pub chewed_leaves_call: bool,
    /// A side that a share of the arrivals comes from.
    pub from_side: Option<FromSide>,
    /// Wind.
    pub wind: Wind,
    /// Hours fit for movement, where an hourly record is given.
    pub weather: Option<Weather>,
    /// The days simulated.
    pub window: Window,
    /// Lures used by any plan.
    pub lures: Vec<LureKind>,
    /// Traps used by any plan.
    pub trap_kinds: Vec<TrapKind>,
    /// Plans, in the order of the file; the first is "no trap" (added when the file has none).
    pub plans: Vec<Plan>,
    /// Number of summers, seed and the like.
    pub settings: Settings,
    /// Every default that was used, for `check` and the manifest.
    pub defaults: Vec<DefaultUsed>,
    /// Doubts that travel with every result.
    pub warnings: Vec<String>,
}

impl Scenario {
    /// The key of a text about places on the map: `key@turned` where another side than north is at its top, since x then
    /// runs to the right of the map and y up it, not east and north.
    pub fn sided(&self, key: &str) -> String {
        if self.up_bearing_rad == 0.0 {
            key.to_owned()
        } else {
            format!("{key}@turned")
        }
    }

    /// The asker's nearest plant that stands in every plan, so none of a trap crop: its distance, metres, and its crop.
    pub fn nearest_plant(&self, at: Point) -> Option<(f64, &Crop)> {
        let plants = self.plants.iter();
        let plants = plants.map(|p| (p.at.distance(at), &self.crops[p.crop]));
        let mine = plants.filter(|(_, crop)| crop.owner == Owner::Mine && !crop.trap_crop);
        mine.min_by(|a, b| a.0.total_cmp(&b.0))
    }
}

/// Whose plants they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Owner {
    /// The asker.
    Mine,
    /// The neighbor of this index in [`Scenario::plots`].
    Neighbour(usize),
}

/// A planting of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Crop {
    /// Name in this scenario, unique.
    pub name: String,
    /// Catalogue entry.
    pub kind: CropKind,
    /// Whose it is.
    pub owner: Owner,
    /// The host values for this scenario's pest.
    pub host: HostValues,
    /// Worth of one plant relative to others; weighs the damage headline.
    pub worth: f64,
    /// Plants of this crop: `plants[first .. first + count]`.
    pub first: usize,
    /// Number of plants.
    pub count: usize,
    /// Stands only in plans with the method "trap-crop"; its damage does not count.
    pub trap_crop: bool,
}

/// One plant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plant {
    /// Index in [`Scenario::crops`].
    pub crop: usize,
    /// Stem.
    pub at: Point,
    /// Canopy radius, meters.
    pub canopy_m: f64,
}

/// What a structure is, for its drawing and its hanging rule.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum StructureKind {
    /// A house.
    House,
    /// A shed, garage or greenhouse.
    Shed,
    /// A fence or hedge.
    Fence,
    /// A tree that is no crop.
    Tree,
    /// A patio or seat.
    Patio,
    /// A path.
    Path,
    /// A pond.
    Pond,
    /// Anything else.
    Other,
}

/// Something that stands in the yard.
#[derive(Clone, Debug, PartialEq)]
pub struct Structure {
    /// Name.
    pub name: String,
    /// Kind.
    pub kind: StructureKind,
    /// Outline.
    pub shape: Shape,
}

/// A rectangle or a disc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Axis-parallel rectangle.
    Rect(Rect),
    /// Disc.
    Disc {
        /// Center.
        at: Point,
        /// Radius, meters.
        radius_m: f64,
    },
}

impl Shape {
    /// Whether a point lies inside or on the edge.
    pub fn contains(&self, p: Point) -> bool {
        match *self {
            Shape::Rect(r) => r.contains(p),
            Shape::Disc { at, radius_m } => p.distance_squared(at) <= radius_m * radius_m,
        }
    }

    /// Distance to a point outside, meters; 0 inside.
    pub fn distance(&self, p: Point) -> f64 {
        match *self {
            Shape::Rect(r) => r.distance_to(p),
            Shape::Disc { at, radius_m } => (p.distance(at) - radius_m).max(0.0),
        }
    }
}

/// A zone with a name.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// Name.
    pub name: String,
    /// Outline.
    pub shape: Shape,
}

/// A place where a trap may hang.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Name.
    pub name: String,
    /// Where.
    pub at: Point,
}

/// A neighbor's plot.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// Name.
    pub name: String,
    /// Outline; lies outside the yard.
    pub area: Rect,
}

/// Pressure of the pest.
#[derive(Clone, Debug, PartialEq)]
pub struct Pressure {
    /// The word or sentence it came from.
    pub said: String,
    /// Fewest insects on the asker's plants at one look.
    pub low: f64,
    /// Most.
    pub high: f64,
}

/// An extra source of insects.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Name.
    pub name: String,
    /// Center.
    pub at: Point,
    /// Radius over which they appear, meters.
    pub radius_m: f64,
    /// Crop whose soil they come out of, by index: they start on its plants.
    pub bed: Option<usize>,
    /// Fewest insects a day.
    pub per_day_low: f64,
    /// Most.
    pub per_day_high: f64,
}

/// A side that insects come from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FromSide {
    /// Its bearing on the map, clockwise from the y axis, radians.
    pub bearing_rad: f64,
    /// Share of the flux over the edge that comes from it; the rest comes from all sides alike.
    pub share: f64,
}

/// Wind as known.
#[derive(Clone, Debug, PartialEq)]
pub enum Wind {
    /// Still air, because the user says so.
    Still,
    /// Nobody knows: light wind that turns, as [`Wind::turning`] has it.
    Unknown,
    /// A rose: shares by sector.
    Rose {
        /// Sentence it came from.
        said: String,
        /// Sectors.
        sectors: Vec<WindSector>,
        /// Share of calm hours.
        calm_share: f64,
        /// Chance that an hour keeps the sector of the hour before (assumed range, drawn each summer).
        persistence: [f64; 2],
    },
    /// Recorded days; whole days are drawn at random, so that hours keep their order.
    Record {
        /// File it came from.
        said: String,
        /// For each recorded day one entry an active hour.
        days: Vec<Vec<WindHour>>,
    },
}

impl Wind {
    /// What stands for an unknown wind: light wind from all eight sides alike, calm for 30 hours of 100 (assumed, as for
    /// "light" in the words).
    pub fn turning() -> Wind {
        let side = std::f64::consts::FRAC_PI_4;
        let sectors = (0..8).map(|k| WindSector {
            from_rad: f64::from(k) * side,
            width_rad: side,
            share: (1.0 - wind::LIGHT.1) / 8.0,
            speed_m_per_s: wind::LIGHT.0,
        });
        Wind::Rose {
            said: voice().get("yard.wind.said-unknown").into(),
            sectors: sectors.collect(),
            calm_share: wind::LIGHT.1,
            persistence: wind::PERSISTENCE,
        }
    }
}

/// One sector of a wind rose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindSector {
    /// Where the wind comes from, clockwise from north, radians.
    pub from_rad: f64,
    /// Width of the sector, radians; the direction is uniform within it.
    pub width_rad: f64,
    /// Share of all hours, calm ones included.
    pub share: f64,
    /// Mean speed, meters per second.
    pub speed_m_per_s: f64,
}

/// Wind of one hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WindHour {
    /// No wind.
    Calm,
    /// Wind without a steady direction.
    Variable {
        /// Speed, meters per second.
        speed_m_per_s: f64,
    },
    /// Wind with a direction.
    Steady {
        /// Where it comes from, clockwise from north, radians.
        from_rad: f64,
        /// Speed, meters per second.
        speed_m_per_s: f64,
    },
}

/// The days simulated.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// First day, `YYYY-MM-DD`, when given.
    pub first_day: Option<String>,
    /// Number of days.
    pub days: u32,
    /// Relative number of insects about, day by day; mean 1.
    pub day_weights: Vec<f64>,
}

/// What a trap is for.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all(serialize = "kebab-case"))]
#[schemars(rename = "TrapRole")]
pub enum Role {
    /// It tells you that the pest is about.
    #[serde(rename(deserialize = "tells you"))]
    TellsYou,
    /// It takes insects away.
    #[serde(rename(deserialize = "removes some"))]
    RemovesSome,
    /// It keeps wasps from people.
    #[serde(rename(deserialize = "people area"))]
    PeopleArea,
}

impl Role {
    /// The label in words.
    pub fn label(self) -> &'static str {
        voice().get(match self {
            Role::TellsYou => "role.tells-you",
            Role::RemovesSome => "role.removes-some",
            Role::PeopleArea => "role.people-area",
        })
    }
}

/// A trap in a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Trap {
    /// Name, unique in the plan.
    pub name: String,
    /// Where it hangs.
    pub at: Point,
    /// Index in [`Scenario::lures`].
    pub lure: usize,
    /// Number of lures of that kind in it.
    pub n_lures: u32,
    /// Index in [`Scenario::trap_kinds`].
    pub kind: usize,
    /// What it is for.
    pub role: Role,
    /// Strength of the lure relative to a fresh one, 0 for none.
    pub strength: f64,
    /// Age of the lure on the first day, days.
    pub lure_age_d: f64,
    /// First day it hangs, counted from 0.
    pub from_day: u32,
    /// First day it no longer hangs.
    pub to_day: u32,
    /// Emptied every so many days; `None` for never full.
    pub empty_every_d: Option<u32>,
    /// True if somebody else owns it.
    pub neighbours: bool,
    /// Effective attraction radius in the plane (EARc), meters, when the trap is described by it instead of a plume:
    /// every insect of a sex that the lure calls is caught when it crosses the disc.
    pub catch_radius_m: Option<f64>,
}

/// A plan: what the gardener does.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// Name, unique.
    pub name: String,
    /// Traps.
    pub traps: Vec<Trap>,
    /// Everything else.
    pub methods: Vec<crate::control::Method>,
    /// The user's own dollars and minutes for the whole plan, where given.
    pub own_cost: [Option<f64>; 2],
}

impl Plan {
    /// The traps that the asker hangs.
    pub fn own_traps(&self) -> impl Iterator<Item = &Trap> {
        self.traps.iter().filter(|t| !t.neighbours)
    }

    /// Whether the asker hangs a trap.
    pub fn hangs(&self) -> bool {
        self.own_traps().next().is_some()
    }
}

/// Several seasons one after the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seasons {
    /// Seasons.
    pub count: u32,
    /// Insects that come from outside before each season but the first, as a share of the first season's number.
    pub arrivals: f64,
}

/// How to simulate.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Summers.
    pub summers: u32,
    /// Master seed.
    pub seed: u64,
    /// Cell of the maps, meters.
    pub cell_m: f64,
    /// Tie band: a smaller difference, in points of 100, is "no change".
    pub tie_band: f64,
    /// Most insects in one summer before the run is refused.
    pub most_insects: u64,
}

/// A default that was used because the file does not say.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct DefaultUsed {
    /// JSON path it stands for.
    pub path: String,
    /// What was taken, in words with units.
    pub taken: String,
    /// Source or "assumed".
    pub source: String,
}
