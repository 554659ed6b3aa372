//! What counts at a site. Smaller is better for every objective.

use crate::count::summer::{SummerTally, weighted_damage};
use crate::engine::ground::Ground;
use crate::engine::log::Watched;
use crate::geometry::Point;
use crate::placement::kriging::Near;
use crate::say::say;
use crate::scenario::{Owner, Scenario, Shape};

/// What the trap is to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Objective {
    /// Least worth-weighted damage of the asker's plants, of 100.
    Damage,
    /// Fewest summers with more damage than this, of 100.
    Tolerance(f64),
    /// Fewest flights of insects over the structure of this index and landings beside it.
    People(usize),
    /// First catch as early as possible, for monitoring.
    Catch,
}

/// How near to the people area a plant is "beside" it, metres (3 ft).
const BESIDE_M: f64 = 0.9144;

/// One site in one summer.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Valued {
    /// The objective.
    pub value: f64,
    /// Damage of the asker's plants, of 100.
    pub damage: f64,
    /// Damage of all neighbours' plants, of 100; `None` where nothing grows.
    pub theirs: Option<f64>,
    /// Insects that the trap in question caught.
    pub caught: u64,
}

impl Objective {
    /// Short name for files.
    pub fn name(self) -> &'static str {
        match self {
            Objective::Damage => "damage",
            Objective::Tolerance(_) => "tolerance",
            Objective::People(_) => "people",
            Objective::Catch => "catch",
        }
    }

    /// Unit of the value, in words.
    pub fn unit(self, scenario: &Scenario) -> String {
        let guild = scenario.pest.guild;
        let (noun, verb) = (guild.damage_noun(), guild.damage_verb());
        match self {
            Objective::Damage => say!("place.unit.damage", noun, verb),
            Objective::Tolerance(limit) => say!("place.unit.tolerance", limit, noun, verb),
            Objective::People(i) => say!(
                "place.unit.people",
                insects = scenario.pest.short,
                area = scenario.structures[i].name
            ),
            Objective::Catch => say!("place.unit.catch"),
        }
    }

    /// The things beside which a trap's place matters most: the asker's plants, the area to keep clear, or where the
    /// insects come from.
    pub fn near(self, scenario: &Scenario) -> Near {
        let disc = |at: Point, radius_m: f64| Shape::Disc { at, radius_m };
        let plants = scenario.plants.iter();
        let own = plants
            .map(|p| (disc(p.at, 0.0), &scenario.crops[p.crop]))
            .filter(|(_, crop)| crop.owner == Owner::Mine)
            .map(|(shape, crop)| (shape, crop.worth.max(1e-9)));
        let sources = scenario.sources.iter();
        Near {
            things: match self {
                Objective::People(i) => vec![(scenario.structures[i].shape, 1.0)],
                Objective::Catch => own
                    .chain(sources.map(|s| (disc(s.at, s.radius_m), 1.0)))
                    .collect(),
                _ => own.collect(),
            },
        }
    }

    /// A smaller change of one summer is no change.
    pub fn tie_band(self, scenario: &Scenario, base_mean: f64) -> f64 {
        match self {
            Objective::Damage => scenario.settings.tie_band,
            Objective::Tolerance(_) => 0.0,
            Objective::People(_) => 0.05 * base_mean,
            Objective::Catch => 0.5,
        }
    }

    /// The area to watch, if any.
    pub fn watched(self, scenario: &Scenario, ground: &Ground) -> Option<Watched> {
        match self {
            Objective::People(i) => {
                let shape = scenario.structures[i].shape;
                Some(Watched::area(ground, shape, BESIDE_M))
            }
            _ => None,
        }
    }

    /// Values of one site in one summer; `lure` is the trap whose catch counts, if any.
    pub fn value(
        self,
        scenario: &Scenario,
        ground: &Ground,
        tally: &SummerTally,
        lure: Option<usize>,
    ) -> Valued {
        let plants = tally.plant_damage(ground, scenario.pest.guild);
        let owner = |i: usize| scenario.crops[scenario.plants[i].crop].owner;
        let damage = weighted_damage(scenario, &plants, |i| owner(i) == Owner::Mine).unwrap_or(0.0);
        let by_day = lure.map_or(&[][..], |k| &tally.caught_by_day[k]);
        let value = match self {
            Objective::Damage => damage,
            Objective::Tolerance(limit) => 100.0 * f64::from(u8::from(damage > limit)),
            Objective::People(_) => tally.passes as f64,
            Objective::Catch => {
                let first = by_day.iter().position(|&n| n > 0);
                first.map_or(f64::from(ground.clock.days) + 1.0, |d| d as f64 + 1.0)
            }
        };
        Valued {
            value,
            damage,
            theirs: weighted_damage(scenario, &plants, |i| owner(i) != Owner::Mine),
            caught: by_day.iter().sum(),
        }
    }
}
