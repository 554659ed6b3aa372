//! One trap at every candidate site in one summer, beside the live lures of a base plan.

use crate::count::rerun::{Reran, Variant, rerun};
use crate::count::summer::SummerTally;
use crate::engine::arrival::Arrivals;
use crate::engine::ensemble::{DayRules, run_plan};
use crate::engine::flight::Lures;
use crate::engine::ground::Ground;
use crate::engine::log::Watched;
use crate::engine::lure::LureSite;
use std::sync::Arc;

fn blank(ground: &Ground, watched: Option<Watched>) -> SummerTally {
    SummerTally {
        watched: watched.map(Arc::new),
        ..SummerTally::new(ground.plants.len(), 0, ground.clock.days, None)
    }
}

/// The base, and the trap at each site: it is the last lure there. Part 0 of 1 is all insects of the summer; the counts of
/// all parts add up to them, so that more than one thread may work on a summer.
///
/// Shape: every candidate is the same trap, `at` and `near_plants` apart, and stands in the arena. Day rules do not act
/// here, crawlers' nights apart.
pub fn sites(
    ground: &Ground,
    arrivals: &Arrivals,
    base: &[LureSite],
    candidates: &[LureSite],
    watched: Option<Watched>,
    (part, parts): (u32, u32),
) -> Reran {
    let variants = candidates.iter().map(|trap| Variant::beside(base, trap));
    let ids = (part..arrivals.total()).step_by(parts as usize);
    rerun(
        ground,
        ids.filter_map(|id| arrivals.insect(ground, id)),
        &Lures::new(base.to_vec()),
        variants.collect(),
        &blank(ground, watched),
    )
}

/// The same by brute force, for fixed arrangements, the bench and the tests: the summer with the trap at one site, from the
/// first insect on.
pub fn full(
    ground: &Ground,
    arrivals: &Arrivals,
    base: &[LureSite],
    candidate: &LureSite,
    watched: Option<Watched>,
) -> SummerTally {
    let mut lures = Lures::new(base.iter().chain([candidate]).cloned().collect());
    let mut tally = blank(ground, watched).for_lures(lures.sites.len());
    let rules = DayRules::default();
    run_plan(ground, arrivals, &mut lures, &rules, &mut tally);
    tally
}
