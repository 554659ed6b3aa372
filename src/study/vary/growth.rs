//! The seasons of an isolated yard under slow, middling and fast growth, on the same repeats.

use crate::count::prepare::{Prepared, Refusal};
use crate::count::seasons;
use crate::engine::ensemble::Watch;
use crate::engine::ground::MOST_GROWTH;
use serde::Serialize;

/// Repeats for each growth: seasons of a whole orchard are heavy work.
const REPEATS: u32 = 8;
/// Ends and middle of the range, on a log scale.
const LEVELS: [f64; 3] = [0.0, 0.5, 1.0];

/// Where a population stands after the seasons, with one growth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UnderGrowth {
    /// Growth from one season to the next where nothing is done.
    pub growth: f64,
    /// Seasons.
    pub seasons: u32,
    /// Repeats.
    pub repeats: u32,
    /// Insects after the last season without the plan, of 100 at the start.
    pub without: f64,
    /// The same with it.
    pub with: f64,
}

/// The plan and doing nothing under each growth; empty for a yard of one season.
pub(super) fn all(
    prepared: &Prepared,
    plan: usize,
    summers: u32,
    watch: &dyn Watch,
) -> Result<Vec<UnderGrowth>, Refusal> {
    if prepared.scenario.seasons.count < 2 {
        return Ok(Vec::new());
    }
    let mut scenario = prepared.scenario.clone();
    scenario.plans = vec![scenario.plans[0].clone(), scenario.plans[plan].clone()];
    let two = Prepared {
        scenario: &scenario,
        ..prepared.clone()
    };
    let mut found = Vec::new();
    for level in LEVELS {
        let growth = libm::exp(level * libm::log(MOST_GROWTH));
        let outcome = seasons::with_growth(&two, summers.min(REPEATS), Some(growth), watch)?;
        found.extend(outcome.map(|outcome| {
            let last = |plan: usize| outcome.plans[plan].insects_of_100.last().copied();
            UnderGrowth {
                growth,
                seasons: outcome.seasons,
                repeats: outcome.repeats,
                without: last(0).unwrap_or(0.0),
                with: last(1).unwrap_or(0.0),
            }
        }));
    }
    Ok(found)
}
