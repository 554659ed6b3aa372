//! Before the summers: how dense the insects must be to give the pressure the asker described, and which day rules hold.

use crate::catalogue::Guild;
use crate::engine::arrival::{self, Arrivals};
use crate::engine::ensemble::{DayRules, Stopped, Watch, each_summer, run_plan};
use crate::engine::flight::Lures;
use crate::engine::ground::{Ground, TICKS_PER_S, Wall};
use crate::scenario::{Owner, Plan, Scenario};
use crate::tally::summer::SummerTally;

/// Summers of the pilot that fixes the density. Numbered apart from the real ones.
pub const PILOT_SUMMERS: u32 = 24;
const PILOT_FIRST: u32 = 0x8000_0000;

/// A scenario ready to run.
#[derive(Clone, Debug)]
pub struct Prepared<'a> {
    /// The scenario.
    pub scenario: &'a Scenario,
    /// Density of the run relative to the first estimate, from the pilot.
    pub density_factor: f64,
    /// Whether insects are run day by day in every plan.
    pub day_by_day: bool,
    /// Whether mating is followed.
    pub mating: bool,
}

/// Why a scenario cannot be run.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// Too many insects.
    #[error(
        "surroundings.pressure: summer {summer} would hold about {expected:.0} insects, more than the {most} allowed; \
         lower the pressure, shorten the window, or raise \"settings.most_insects\""
    )]
    TooMany {
        /// Which summer.
        summer: u32,
        /// How many.
        expected: f64,
        /// The limit.
        most: u64,
    },
    /// Nothing of the asker's grows in the yard.
    #[error(
        "crops: the yard has no plants of your own, so there is nothing to protect; add a crop"
    )]
    NoPlants,
    /// Stopped by the user.
    #[error("stopped; nothing was written")]
    Stopped,
}

impl From<Stopped> for Refusal {
    fn from(_: Stopped) -> Refusal {
        Refusal::Stopped
    }
}

/// Runs the no-trap yard for a few summers and scales the density to the asker's pressure.
///
/// The first estimate takes the exact approach rate of isotropic flight; the pilot corrects it for plants that shade
/// one another, for the edge and for crawlers' homes.
///
/// # Errors
/// [`Refusal`] when there is nothing to protect or too many insects.
pub fn prepare<'a>(scenario: &'a Scenario, watch: &dyn Watch) -> Result<Prepared<'a>, Refusal> {
    if !scenario
        .plants
        .iter()
        .any(|p| scenario.crops[p.crop].owner == Owner::Mine)
    {
        return Err(Refusal::NoPlants);
    }
    let male_lure = scenario
        .plans
        .iter()
        .flat_map(|p| &p.traps)
        .next()
        .is_some();
    let mating = scenario.pest.guild == Guild::EggLayer && male_lure;
    let crawls = scenario.pest.mover == crate::catalogue::Mover::Crawler;
    let mut prepared = Prepared {
        scenario,
        density_factor: 1.0,
        day_by_day: mating || crawls || scenario.chewed_leaves_call,
        mating,
    };
    for summer in 0..scenario.settings.summers.min(200) {
        prepared.check_size(&Ground::for_summer(scenario, summer))?;
    }
    let (mut wanted, mut seen) = (0.0, 0.0);
    let pilot = |summer: u32| {
        let mut ground = Ground::for_summer(scenario, summer);
        ground.source_per_day.fill(0.0);
        let arrivals = prepared.arrivals(&ground);
        let mut tally = SummerTally::new(ground.plants.len(), 0, ground.clock.days, None);
        let rules = DayRules {
            day_by_day: prepared.day_by_day,
            ..DayRules::default()
        };
        run_plan(&ground, &arrivals, &mut Lures::none(), &rules, &mut tally);
        let ticks: u64 = scenario
            .plants
            .iter()
            .zip(&tally.sitting_ticks)
            .filter(|(plant, _)| scenario.crops[plant.crop].owner == Owner::Mine)
            .map(|(_, ticks)| ticks)
            .sum();
        (
            ground.seen_on_plants,
            ticks as f64 / TICKS_PER_S / ground.clock.end_s(),
        )
    };
    each_summer(
        PILOT_FIRST..PILOT_FIRST + PILOT_SUMMERS,
        watch,
        pilot,
        |_, (want, got)| {
            wanted += want;
            seen += got;
        },
    )?;
    if seen > 0.0 {
        prepared.density_factor = wanted / seen;
    }
    for summer in 0..scenario.settings.summers.min(200) {
        prepared.check_size(&Ground::for_summer(scenario, summer))?;
    }
    Ok(prepared)
}

impl Prepared<'_> {
    /// Flying insects per m2 of a summer.
    pub fn flying_density(&self, ground: &Ground) -> f64 {
        self.density_factor * ground.seen_on_plants * ground.flying_density_per_seen(self.scenario)
    }

    /// The insects of a summer; the same for every plan.
    pub fn arrivals(&self, ground: &Ground) -> Arrivals {
        arrival::draw(
            ground,
            &self.scenario.sources,
            self.flying_density(ground),
            &self.scenario.window.day_weights,
        )
    }

    /// The traps of a plan as live lures, their index in the plan, and the day rules.
    pub fn lures(&self, ground: &Ground, plan: &Plan) -> (Lures, Vec<usize>, DayRules) {
        let (which, sites): (Vec<usize>, Vec<_>) = ground.lures_of(plan).into_iter().unzip();
        let capacity = which
            .iter()
            .map(|&i| {
                let trap = &plan.traps[i];
                trap.empty_every_d
                    .map(|every| (ground.traps[trap.kind].capacity, every))
            })
            .collect();
        let rules = DayRules {
            day_by_day: self.day_by_day,
            mating: self.mating,
            chewed_leaves_call: self.scenario.chewed_leaves_call,
            capacity,
        };
        (Lures::new(sites), which, rules)
    }

    /// Refuses a summer with too many insects, before any is made.
    pub(crate) fn check_size(&self, ground: &Ground) -> Result<(), Refusal> {
        let flying = self.flying_density(ground);
        let density = flying * (1.0 + ground.pest.rest_mean / ground.pest.bout_mean);
        let area = ground.arena.area();
        let end_s = ground.clock.end_s();
        let over_edge = if ground.arena.wall == Wall::Open {
            flying * ground.pest.speed / std::f64::consts::PI * ground.arena.perimeter() * end_s
        } else {
            0.0
        };
        let sources: f64 = ground.source_per_day.iter().sum::<f64>() * f64::from(ground.clock.days);
        let expected = density * area * (1.0 + ground.death_per_s * end_s) + over_edge + sources;
        let most = self
            .scenario
            .settings
            .most_insects
            .min(u64::from(u32::MAX) / 2);
        if expected > most as f64 {
            return Err(Refusal::TooMany {
                summer: ground.summer,
                expected,
                most,
            });
        }
        Ok(())
    }
}
