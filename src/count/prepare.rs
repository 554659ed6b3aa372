//! Before the summers: how dense the insects must be to give the pressure the asker described, and which day rules hold.

use crate::catalogue::Guild;
use crate::engine::arrival::{self, Arrivals};
use crate::engine::ensemble::{DayRules, StopOnly, Stopped, Watch, run_plan, until_s};
use crate::engine::event::{Event, Observer};
use crate::engine::flight::Lures;
use crate::engine::ground::{Ground, Wall};
use crate::engine::insect::mean_stay_s;
use crate::engine::shares::{Size, each_shared, once};
use crate::say::say;
use crate::scenario::{Owner, Plan, Scenario};
use crate::stats::spread::{mean, standard_error};

/// Draws of the unknown biology in the pilot that fixes the density: a whole turn of the fitted sets.
pub const PILOT_SUMMERS: u32 = 200;
/// They are numbered apart from the summers.
const PILOT_FIRST: u32 = 0x8000_0000;
/// Landings that each draw of the pilot asks for.
const PILOT_LANDINGS: f64 = 40.0;
/// Insects that each draw of a closed yard holds at least: they come back, and their number is whole.
const PILOT_INSECTS: f64 = 10.0;
/// The pilot takes further turns until luck leaves no more than this share of the factor open (standard error of [`error`]).
const PILOT_ERROR: f64 = 0.009;
/// Turns of the pilot at least (luck is told from them) and at most.
const PILOT_TURNS: std::ops::RangeInclusive<usize> = 3..=10;

/// Standard error of a pilot. What differs between its turns is luck, since each goes through all of the unknown biology, but
/// few turns tell it badly; what differs within a draw tells it well, but holds some of the biology. Their variances are
/// pooled, as if the second rested on four degrees of freedom.
///
/// Shape: `seen` by draw and turn, `turns` the mean of each turn.
fn error(seen: &[Vec<f64>], turns: &[f64]) -> f64 {
    const WITHIN: f64 = 4.0;
    let square = |of: &[f64]| standard_error(of).map_or(f64::MAX, |se| se * se);
    let draws = seen.len() as f64;
    let within = seen.iter().map(|of| square(of)).sum::<f64>() / (draws * draws);
    let between = turns.len() as f64 - 1.0;
    ((WITHIN * within + between * square(turns)) / (WITHIN + between)).sqrt()
}

/// The time that insects sit on the asker's plants. Each landing counts as long as stays last on average from then on,
/// instead of as long as this one lasts: the mean is the same, and half of the luck is gone.
struct Sitting<'a> {
    ground: &'a Ground,
    mine: &'a [bool],
    expected_s: f64,
}

impl Observer for Sitting<'_> {
    fn hear(&mut self, event: &Event) {
        let Event::Landed(plant, t_s) = *event else {
            return;
        };
        if self.mine[plant as usize] {
            let ground = self.ground;
            let until_s = until_s(ground, ground.clock.day_at(t_s)).min(ground.clock.end_s());
            let per_s = 1.0 / mean_stay_s(ground) + ground.death_per_s;
            self.expected_s -= libm::expm1(-per_s * (until_s - t_s)) / per_s;
        }
    }

    fn counts_alone(&self) -> bool {
        true
    }
}

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
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize, thiserror::Error)]
pub enum Refusal {
    /// Too many insects.
    #[error("{}", say!("stop.too-many", summer = summer, expected = format!("{expected:.0}"), allowed = most))]
    TooMany {
        /// Which summer.
        summer: u32,
        /// How many.
        expected: f64,
        /// The limit.
        most: u64,
    },
    /// Nothing of the asker's grows in the yard.
    #[error("{}", say!("stop.no-plants"))]
    NoPlants,
    /// Stopped by the user.
    #[error("{}", say!("stop.stopped"))]
    Stopped,
}

impl From<Stopped> for Refusal {
    fn from(_: Stopped) -> Refusal {
        Refusal::Stopped
    }
}

/// Scales the density to the asker's pressure, from a pilot in the yard where nothing is done.
///
/// The first estimate takes the exact approach rate of isotropic flight; the pilot corrects it for plants that shade
/// one another, for the edge, for the empty start and for crawlers' homes. Insects do not see one another, so the number on
/// the plants is proportional to the density: every draw of the biology gets the density that is worth as many landings,
/// and the pilot ends when luck is small. Chewed leaves that call break the proportion; then the pressure itself is used.
///
/// # Errors
/// [`Refusal`] when there is nothing to protect or too many insects.
pub fn prepare<'a>(scenario: &'a Scenario, watch: &dyn Watch) -> Result<Prepared<'a>, Refusal> {
    let mut prepared = unchecked(scenario)?;
    prepared.density_factor = once(watch, || {
        once(watch, || prepared.check_sizes())?;
        let scaled = Prepared {
            density_factor: 1.0 / prepared.seen_over_wanted(watch)?,
            ..prepared.clone()
        };
        scaled.check_sizes()?;
        Ok::<f64, Refusal>(scaled.density_factor)
    })?;
    Ok(prepared)
}

/// As [`prepare`] with the first estimate of the density.
///
/// # Errors
/// [`Refusal`] when there is nothing to protect or too many insects.
pub fn unscaled(scenario: &Scenario) -> Result<Prepared<'_>, Refusal> {
    let prepared = unchecked(scenario)?;
    prepared.check_sizes()?;
    Ok(prepared)
}

fn unchecked(scenario: &Scenario) -> Result<Prepared<'_>, Refusal> {
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
    Ok(Prepared {
        scenario,
        density_factor: 1.0,
        day_by_day: mating || scenario.chewed_leaves_call,
        mating,
    })
}

impl Prepared<'_> {
    /// Insects seen on the asker's plants over those wanted, by the first estimate of the density: mean over the unknown
    /// biology.
    fn seen_over_wanted(&self, watch: &dyn Watch) -> Result<f64, Refusal> {
        let scenario = self.scenario;
        let plants = scenario.plants.iter();
        let mine: Vec<bool> = plants
            .map(|plant| scenario.crops[plant.crop].owner == Owner::Mine)
            .collect();
        let one = |number: u32| {
            let draw = (number - PILOT_FIRST) % PILOT_SUMMERS;
            let mut ground = Ground::for_even_draw(scenario, (draw, PILOT_SUMMERS), number);
            ground.source_per_day.fill(0.0);
            if !scenario.chewed_leaves_call {
                let stays = ground.clock.end_s() / ground.pest.residence_mean;
                ground.seen_on_plants = PILOT_LANDINGS / stays;
                if ground.arena.wall == Wall::Reflecting {
                    let there = self.density(&ground) * ground.arena.visited().area();
                    ground.seen_on_plants *= (PILOT_INSECTS / there).max(1.0);
                }
            }
            // Without a lure nothing happens away from the plants.
            if ground.arena.core.is_some() {
                ground.arena.core = Some(ground.lookup.region);
            }
            let arrivals = self.arrivals(&ground);
            let mut sitting = Sitting {
                ground: &ground,
                mine: &mine,
                expected_s: 0.0,
            };
            let rules = DayRules {
                day_by_day: self.day_by_day,
                ..DayRules::default()
            };
            run_plan(&ground, &arrivals, &mut Lures::none(), &rules, &mut sitting);
            sitting.expected_s / ground.clock.end_s() / ground.seen_on_plants
        };
        let mut seen = vec![Vec::new(); PILOT_SUMMERS as usize];
        let mut turns = Vec::new();
        while turns.len() < *PILOT_TURNS.end() {
            let first = PILOT_FIRST + turns.len() as u32 * PILOT_SUMMERS;
            let mut turn = 0.0;
            each_shared(
                (first..first + PILOT_SUMMERS, Size::Draws),
                &StopOnly(watch),
                one,
                |number, share| {
                    seen[((number - PILOT_FIRST) % PILOT_SUMMERS) as usize].push(share);
                    turn += share / f64::from(PILOT_SUMMERS);
                },
            )?;
            turns.push(turn);
            if turns.len() >= *PILOT_TURNS.start()
                && error(&seen, &turns) <= PILOT_ERROR * mean(&turns)
            {
                break;
            }
        }
        let found = mean(&turns);
        watch.advance(PILOT_SUMMERS);
        Ok(if found > 0.0 { found } else { 1.0 })
    }

    /// Flying insects per m2 of a summer.
    pub fn flying_density(&self, ground: &Ground) -> f64 {
        self.density_factor * ground.seen_on_plants * ground.flying_density_per_seen(self.scenario)
    }

    /// Flying and resting insects per m2.
    fn density(&self, ground: &Ground) -> f64 {
        self.flying_density(ground) * (1.0 + ground.pest.rest_mean / ground.mean_bout_s())
    }

    /// The insects of a summer; the same for every plan.
    pub fn arrivals(&self, ground: &Ground) -> Arrivals {
        arrival::draw(
            ground,
            &self.scenario.sources,
            self.flying_density(ground),
            &self.scenario.window.day_weights,
            self.scenario.from_side,
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

    /// Refuses summers with too many insects, before any is made.
    fn check_sizes(&self) -> Result<(), Refusal> {
        let summers = 0..self.scenario.settings.summers.min(200);
        summers
            .into_iter()
            .try_for_each(|summer| self.check_size(&Ground::for_summer(self.scenario, summer)))
    }

    /// Refuses a summer with too many insects, before any is made.
    pub(crate) fn check_size(&self, ground: &Ground) -> Result<(), Refusal> {
        let flying = self.flying_density(ground);
        let density = self.density(ground);
        let visited = ground.arena.visited();
        let area = visited.area();
        let end_s = ground.clock.end_s();
        let over_edge = if ground.arena.wall == Wall::Open {
            flying * ground.pest.speed / std::f64::consts::PI * visited.perimeter() * end_s
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
