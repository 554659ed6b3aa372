//! Results of a search, as plain data: what figures and reports read. Nothing here computes.

use crate::placement::finding::{Against, Finding, Note};
use crate::stats::paired::{MeanChange, Told};
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

/// One site.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SiteOutcome {
    /// The asker's name for it; null where the program chose the place.
    pub name: Option<String>,
    /// East of the south-west corner, metres.
    pub x_m: f64,
    /// North of it, metres.
    pub y_m: f64,
    /// Mean change of the objective against no trap; below 0 is better.
    pub change_mean: f64,
    /// Standard error of that mean.
    pub se: f64,
    /// Summers in which it is more, the same and less.
    #[serde(flatten)]
    pub counts: Told,
    /// Class of these counts.
    pub zone: Zone,
    /// Share of summers in which it is more, unrounded; for the map.
    pub more_share: f64,
    /// Share of summers in which it is less.
    pub less_share: f64,
    /// Mean damage of the asker's plants, of 100.
    pub damage_mean: f64,
    /// Mean catch a summer.
    pub caught_mean: f64,
    /// Share of summers with a catch.
    pub catches_share: f64,
    /// Mean change of damage on all neighbours' plants, of 100; null where nothing grows.
    pub neighbour_change: Option<f64>,
    /// Summers simulated at this site.
    pub summers: usize,
}

/// A site in a ranking.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ranked {
    /// Place in the ranking from 1; sites that cannot be told apart share it.
    pub rank: usize,
    /// Index in the list of sites.
    pub site: usize,
    /// Whether another site of the list has the same rank.
    pub tied: bool,
    /// Counts come from full runs, with everything that one day does to the next.
    pub full_run: bool,
}

/// What the search found, in one word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The best spot is better than no trap by its counts.
    SpotBeatsNoTrap,
    /// The best spot is better on average, but not in enough summers.
    TooCloseToCall,
    /// At the best spot nothing changes in most summers.
    MakesNoDifference,
    /// No spot beats no trap.
    NoSpotBeatsNoTrap,
    /// Monitoring: every trap catches more than none, so spots are only ranked.
    RankedForCatch,
}

/// A mean change as the file of a search names it.
fn in_file<S: Serializer>(mean: &MeanChange, to: S) -> Result<S::Ok, S::Error> {
    BTreeMap::from([("change_mean", mean.change), ("se", mean.error)]).serialize(to)
}

/// A point of a sweep.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SweepPoint {
    /// What was varied, in words.
    pub label: String,
    /// What was varied, as a number (metres, degrees or traps).
    pub at: f64,
    /// Mean damage of the asker's plants, of 100.
    pub damage_mean: f64,
    /// Change against no trap.
    #[serde(flatten, serialize_with = "in_file")]
    pub mean: MeanChange,
    /// Summers with more, the same and less damage, as they are told.
    pub counts: [usize; 3],
    /// Mean catch of all traps.
    pub caught_mean: f64,
    /// Number of traps.
    pub traps: usize,
    /// Where they hang, metres.
    pub places_m: Vec<[f64; 2]>,
    /// How many of the places lie outside the yard.
    pub outside: usize,
}

/// A sweep.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sweep {
    /// "distance", "side", "number" or "spacing".
    pub name: &'static str,
    /// Mean damage without a trap on the summers of the sweep, of 100.
    pub damage_without: f64,
    /// Summers.
    pub summers: usize,
    /// Points in order.
    pub points: Vec<SweepPoint>,
    /// The finding; a sentence in files.
    pub finding: Finding,
}

/// Class of a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Zone {
    /// Lowers it in most summers, or in some and hardly ever raises it.
    Lowers,
    /// Could go either way.
    EitherWay,
    /// Changes less than counts as a change in most summers.
    NoDifference,
    /// Raises it in most summers, or in some and hardly ever lowers it.
    Raises,
    /// No trap may hang here.
    Closed,
}

impl Zone {
    /// All where a trap may hang, in the order in which they are told.
    pub const OPEN: [Zone; 4] = [
        Zone::Lowers,
        Zone::EitherWay,
        Zone::NoDifference,
        Zone::Raises,
    ];
}

/// The map between the sites.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZoneMap {
    /// West edge, metres.
    pub x0_m: f64,
    /// South edge.
    pub y0_m: f64,
    /// Cell, metres.
    pub cell_m: f64,
    /// Columns, west to east.
    pub columns: usize,
    /// Rows, south to north.
    pub rows: usize,
    /// Mean change in each cell, row-major from the south-west.
    pub change: Vec<f64>,
    /// Its standard error.
    pub se: Vec<f64>,
    /// Zone of each cell.
    pub zone: Vec<Zone>,
    /// Model of the surface, in words: the one that foretells left-out sites best.
    pub model: String,
    /// Root mean square of what it missed at sites left out in turn.
    pub left_out_rms: f64,
    /// Sites left out whose value lay within two standard errors of what was foretold.
    pub left_out_within: usize,
    /// Covariance used.
    pub kernel: &'static str,
    /// Its sill.
    pub sill: f64,
    /// Its length, metres.
    pub length_m: f64,
}

/// Everything a search found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlaceOutcome {
    /// Format number.
    pub format: u32,
    /// Scenario.
    pub scenario: String,
    /// Objective.
    pub objective: &'static str,
    /// Its unit.
    pub unit: String,
    /// Seed.
    pub seed: u64,
    /// Summers simulated.
    pub summers: usize,
    /// Summers asked for.
    pub summers_asked: usize,
    /// Whether more summers would hardly change the verdict or a class.
    pub settled: bool,
    /// A budget of time ended it before all summers or sweeps that were asked for.
    pub stopped_early: bool,
    /// What the changes are set against.
    pub against: Against,
    /// Mean of the objective without the trap.
    pub base_mean: f64,
    /// Mean damage without the trap, of 100.
    pub damage_without: f64,
    /// A smaller change is no change.
    pub tie_band: f64,
    /// The finding.
    pub verdict: Verdict,
    /// The best spots, some distance apart.
    pub best: Vec<Ranked>,
    /// Index of the worst site.
    pub worst: usize,
    /// Change of the neighbours' damage at the best site.
    pub neighbour_change: Option<f64>,
    /// The asker's own spots, ranked.
    pub spots: Vec<Ranked>,
    /// All sites: the asker's spots, the corners, those spread over the yard, and those added where they were needed.
    pub sites: Vec<SiteOutcome>,
    /// The map; null with too few sites.
    pub map: Option<ZoneMap>,
    /// Share of the yard in each zone: lowers, either way, no difference, raises.
    pub zone_shares: [f64; 4],
    /// Sweeps.
    pub sweeps: Vec<Sweep>,
    /// Lives that were lived again, over all sites and summers (work, not time).
    pub lived_again: u64,
    /// Doubts and what the search left out.
    pub notes: Vec<Note>,
}
