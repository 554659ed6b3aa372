//! Several seasons in an isolated yard: the survivors' offspring are the next season's insects.
//!
//! Eggs left are taken as days lived by females. Where nothing is done the population grows by a factor that is drawn for
//! each repeat (1 to 3 a season, assumed), so a plan's next season holds the first number times that factor and its female
//! days, divided by those of the same season without the plan. Insects from outside are added; crowding caps the sum at
//! three times the first number.

use crate::count::plans::plan_alone;
use crate::count::prepare::{Prepared, Refusal};
use crate::count::summer::weighted_damage;
use crate::engine::ensemble::Watch;
use crate::engine::ground::Ground;
use crate::engine::shares::{Size, each_shared};
use crate::scenario::{Owner, Plan};
use crate::stats::spread::mean;

/// Most repeats of the whole run of seasons: a whole orchard over years is heavy work.
pub const MOST_REPEATS: u32 = 200;
/// Crowding holds a population at so many times the first number (assumed).
const CROWDED: f64 = 3.0;

/// One plan over the seasons; means over repeats.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PlanSeasons {
    /// Plan name.
    pub name: String,
    /// Insects at the start of each season, and after the last one, of 100 at the start of the first.
    pub insects_of_100: Vec<f64>,
    /// Damage of the asker's plants in each season, of 100.
    pub damage: Vec<f64>,
    /// Mean factor from one season to the next: the n-th root of the whole change.
    pub factor: f64,
}

/// Result of several seasons.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SeasonsOutcome {
    /// Seasons.
    pub seasons: u32,
    /// Insects from outside before each season but the first, as a share of the first number.
    pub arrivals: f64,
    /// Repeats.
    pub repeats: u32,
    /// One entry a plan.
    pub plans: Vec<PlanSeasons>,
}

/// Share of the first number at the start of each season and damage in each.
type Course = (Vec<f64>, Vec<f64>);

/// Runs the seasons; `None` for a single one.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
pub fn seasons(
    prepared: &Prepared,
    summers: u32,
    watch: &dyn Watch,
) -> Result<Option<SeasonsOutcome>, Refusal> {
    with_growth(prepared, summers, None, watch)
}

/// As [`seasons`], where a population without traps grows by a given factor each season in every repeat.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
pub fn with_growth(
    prepared: &Prepared,
    summers: u32,
    growth: Option<f64>,
    watch: &dyn Watch,
) -> Result<Option<SeasonsOutcome>, Refusal> {
    let scenario = prepared.scenario;
    let rule = scenario.seasons;
    if rule.count < 2 {
        return Ok(None);
    }
    let repeats = summers.min(MOST_REPEATS);
    let one = |repeat: u32| courses(prepared, repeat, growth);
    let mut sums: Vec<Vec<Course>> = vec![Vec::new(); scenario.plans.len()];
    each_shared((0..repeats, Size::Plans), watch, one, |_, plans| {
        for (all, course) in sums.iter_mut().zip(plans) {
            all.push(course);
        }
    })?;
    let column = |all: &[Course], of: fn(&Course) -> &Vec<f64>, i: usize| {
        mean(&all.iter().map(|c| of(c)[i]).collect::<Vec<f64>>())
    };
    let plans = scenario
        .plans
        .iter()
        .zip(&sums)
        .map(|(plan, all)| {
            let n = rule.count as usize;
            let insects: Vec<f64> = (0..=n).map(|i| 100.0 * column(all, |c| &c.0, i)).collect();
            PlanSeasons {
                name: plan.name.clone(),
                factor: libm::pow(insects[n] / insects[0], 1.0 / n as f64),
                damage: (0..n).map(|i| column(all, |c| &c.1, i)).collect(),
                insects_of_100: insects,
            }
        })
        .collect();
    Ok(Some(SeasonsOutcome {
        seasons: rule.count,
        arrivals: rule.arrivals,
        repeats,
        plans,
    }))
}

/// All plans over all seasons of one repeat: the biology stays, the luck of each season is its own.
fn courses(prepared: &Prepared, repeat: u32, growth: Option<f64>) -> Vec<Course> {
    let scenario = prepared.scenario;
    let rule = scenario.seasons;
    let mine = |i: usize| scenario.crops[scenario.plants[i].crop].owner == Owner::Mine;
    let nothing = Plan {
        name: String::new(),
        traps: Vec::new(),
        methods: Vec::new(),
        own_cost: [None; 2],
    };
    let mut courses: Vec<Course> = vec![(vec![1.0], Vec::new()); scenario.plans.len()];
    for season in 0..rule.count {
        // The number of a summer stays below 2^20.
        let ground = Ground::for_draws(scenario, repeat, repeat | (season << 24));
        let full = prepared.arrivals(&ground);
        let first = f64::from(full.initial);
        let untouched = plan_alone(prepared, (&ground, &full), &nothing, None, false)
            .0
            .female_days;
        for (plan, course) in scenario.plans.iter().zip(&mut courses) {
            let share = course.0[season as usize];
            let mut arrivals = full.clone();
            arrivals.initial = (share * first).round() as u32;
            let (tally, _) = plan_alone(prepared, (&ground, &arrivals), plan, None, false);
            let damage = tally.plant_damage(&ground, scenario.pest.guild);
            course
                .1
                .push(weighted_damage(scenario, &damage, mine).unwrap_or(0.0));
            let offspring = if untouched > 0 {
                tally.female_days as f64 / untouched as f64
            } else {
                0.0
            };
            course
                .0
                .push((growth.unwrap_or(ground.growth) * offspring + rule.arrivals).min(CROWDED));
        }
    }
    courses
}
