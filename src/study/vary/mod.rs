//! What the answer hangs on: each unknown held in turn at values across its range, on the same summers.
//!
//! The answer is the change of damage of one plan against the first (no trap), of 100, averaged over summers. All other
//! unknowns keep each summer's own draw, so every value meets the same summers, insects and luck.

mod growth;
pub mod habit_words;
pub mod habits;
mod morris;
mod point;
mod settling;
mod sobol;
mod sweep;
mod unknown;
mod winds;

pub use growth::UnderGrowth;
pub use habits::Habit;
pub use morris::Screened;
pub use point::{Point, evaluate};
pub use settling::{Settling, SettlingStep, settling};
pub use sobol::Shared;
pub use sweep::{Flip, Level, Sweep, flips};
pub use unknown::{Unknown, moved, plain_name, unknowns, with_unit};
pub use winds::UnderWind;

use crate::count::prepare::{Prepared, Refusal};
use crate::engine::ensemble::{StopOnly, Watch};
use crate::engine::ground::{Held, study_uniform};
use crate::scenario::Scenario;
use crate::stats::covariate::Adjusted;
use crate::stats::paired::Class;
use crate::study::keep::Keep;
use crate::study::settle::Take;
use serde::Serialize;

/// Values tried across each range, both ends included.
pub const LEVELS: usize = 7;
/// Grid levels of the screening.
pub const GRID_LEVELS: usize = 4;
/// Resamples behind the ranges of variance shares.
pub const RESAMPLES: usize = 400;
/// Inputs that the variance shares are computed for; the even sequence serves twice as many dimensions.
pub const MOST_SHARED: usize = 8;

/// What to do besides the sweep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// The sweep only.
    OneAtATime,
    /// Elementary effects on the unknowns with the widest swing.
    Morris {
        /// How many unknowns.
        top: usize,
        /// How many paths.
        paths: usize,
        /// Summers at each point.
        summers: u32,
    },
    /// Variance shares of the unknowns with the widest swing, at most [`MOST_SHARED`].
    Sobol {
        /// How many unknowns.
        top: usize,
        /// Points of the base sample.
        base: usize,
        /// Summers at each point.
        summers: u32,
    },
}

/// A whole study.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Study {
    /// Index of the plan.
    pub plan: usize,
    /// Summers at each value of the sweep.
    pub summers: u32,
    /// The answer when every unknown is drawn, over the same summers as the sweep.
    pub base: Point,
    /// The answer when every unknown is drawn, over all summers.
    pub usual: Usual,
    /// Verdict there, from the summers of the sweep.
    pub verdict: Class,
    /// Sweeps, widest swing first.
    pub sweeps: Vec<Sweep>,
    /// Turns of the verdict, sure ones first.
    pub flips: Vec<Flip>,
    /// How the average settles.
    pub settling: Settling,
    /// Summers at each value of what the gardener does.
    pub habit_summers: u32,
    /// What the gardener does, each in turn.
    pub habits: Vec<Habit>,
    /// The answer under other winds; empty for a plan without a trap.
    pub winds: Vec<UnderWind>,
    /// The seasons under other growths; empty for a yard of one season.
    pub growths: Vec<UnderGrowth>,
    /// Screening, largest effect first.
    pub screened: Option<Vec<Screened>>,
    /// Variance shares, largest total first.
    pub shared: Option<Vec<Shared>>,
}

/// Averages over as many summers as they need.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Usual {
    /// Summers.
    pub summers: u32,
    /// Damage without the plan, of 100.
    pub without: Adjusted,
    /// Damage under the plan.
    pub with: Adjusted,
    /// Their difference.
    pub change: Adjusted,
}

/// What a study is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ask {
    /// Index of the plan, above 0.
    pub plan: usize,
    /// What to do besides the sweep.
    pub method: Method,
    /// Summers at each value of the sweep.
    pub summers: u32,
    /// Summers for the usual answer, which show how the average settles; never fewer than [`Ask::summers`].
    pub settle: Take,
    /// Summers at each value of what the gardener does; 0 leaves that out.
    pub habit_summers: u32,
}

/// Points of each stage of a [`study`], with the simulated summers of one point.
fn stages(scenario: &Scenario, ask: Ask) -> Vec<(usize, u32)> {
    let n = moved(scenario, ask.plan).len();
    let mut all = vec![
        (
            ask.settle
                .exactly
                .unwrap_or(ask.settle.most)
                .max(ask.summers) as usize,
            1,
        ),
        (n * LEVELS, ask.summers),
    ];
    match ask.method {
        Method::OneAtATime => {}
        Method::Morris {
            top,
            paths,
            summers,
        } => all.push((paths * (top.min(n) + 1), summers)),
        Method::Sobol { top, base, summers } => {
            all.push((base * (top.min(n).min(MOST_SHARED) + 2), summers));
        }
    }
    all.extend(habits::lengths(scenario, ask).map(|lives| (ask.habit_summers as usize, lives)));
    all
}

/// Most simulated summers of a [`study`]; must stay below 2^32.
pub fn work(scenario: &Scenario, ask: Ask) -> u64 {
    let stages = stages(scenario, ask);
    let each = |(points, summers): &(usize, u32)| *points as u64 * u64::from(*summers);
    stages.iter().map(each).sum()
}

/// Most points of a [`study`] that are kept when it is stopped.
pub fn points(scenario: &Scenario, ask: Ask) -> usize {
    stages(scenario, ask).iter().map(|(points, _)| points).sum()
}

/// Sweeps every unknown and what the gardener does and, if asked, screens or shares out the widest unknowns.
///
/// What an earlier call has kept is not simulated again; the study is the same.
///
/// # Errors
/// [`Refusal`] when stopped or when a point holds too many insects.
pub fn study(
    prepared: &Prepared,
    ask: Ask,
    watch: &dyn Watch,
    keep: &mut dyn Keep,
) -> Result<Study, Refusal> {
    let scenario = prepared.scenario;
    let tie_band = scenario.settings.tie_band;
    let Ask { plan, summers, .. } = ask;
    let (both, found) = point::series(prepared, plan, (ask.settle, summers), watch, keep)?;
    let [without, with] = found.damage;
    let base = Point::of([0, 1].map(|k| &both[k][..summers as usize]));
    let usual = base.mean.class(tie_band);
    let sweeps = sweep::sweep_all(prepared, plan, summers, watch, keep)?;
    let mut turns: Vec<Flip> = sweeps
        .iter()
        .enumerate()
        .flat_map(|(i, s)| flips(i, &s.levels, &s.unknown, usual, tie_band))
        .collect();
    turns.sort_by_key(|f| !f.sure);
    let mut study = Study {
        plan,
        summers,
        base,
        usual: Usual {
            summers: found.changes.len() as u32,
            without,
            with,
            change: found.change,
        },
        verdict: usual,
        sweeps,
        flips: turns,
        settling: settling(&found.changes, tie_band),
        habit_summers: ask.habit_summers,
        habits: habits::all(prepared, ask, watch, keep)?,
        winds: if scenario.plans[plan].traps.is_empty() {
            Vec::new()
        } else {
            winds::all(prepared, plan, summers, &StopOnly(watch))?
        },
        growths: growth::all(prepared, plan, summers, &StopOnly(watch))?,
        screened: None,
        shared: None,
    };
    match ask.method {
        Method::OneAtATime => {}
        Method::Morris {
            top,
            paths,
            summers,
        } => {
            let found = morris::screen(prepared, &study, (top, paths), summers, watch, keep)?;
            study.screened = Some(found);
        }
        Method::Sobol { top, base, summers } => {
            let found = sobol::share_out(prepared, &study, (top, base), summers, watch, keep)?;
            study.shared = Some(found);
        }
    }
    Ok(study)
}

/// Uniform numbers of a study, one after the other.
fn uniforms(seed: u64, study: &'static str) -> impl FnMut() -> f64 {
    let mut i = 0;
    move || {
        i += 1;
        study_uniform(seed, study, i)
    }
}

/// Points in the unit cube as held unknowns.
fn hold(study: &Study, points: &[Vec<f64>]) -> Vec<Vec<Held>> {
    points
        .iter()
        .map(|p| {
            p.iter()
                .zip(&study.sweeps)
                .map(|(q, s)| s.unknown.held(*q))
                .collect()
        })
        .collect()
}
