//! The plans of a run in one summer.

use crate::count::prepare::Prepared;
use crate::count::rerun::{Variant, rerun};
use crate::count::summer::{MapCount, SummerTally};
use crate::engine::arrival::Arrivals;
use crate::engine::ensemble::run_plan;
use crate::engine::flight::Lures;
use crate::engine::ground::Ground;
use crate::scenario::Plan;
use std::borrow::Borrow;

/// One plan in one summer, boiled down.
#[derive(serde::Serialize, serde::Deserialize)]
pub(crate) struct PlanSummer {
    pub(crate) plant_damage: Vec<f64>,
    /// Share taken of each plant; for chewers the leaf area eaten.
    pub(crate) plant_loss: Vec<f64>,
    pub(crate) tally: SummerTally,
    pub(crate) which: Vec<usize>,
}

/// Runs one plan in one summer. The traps' catch is told in the order of the second result, their index in the plan.
///
/// Insects live their whole life at once unless something that one day does to the next can act: only if the catch
/// shows that a trap would have filled is the plan run again, day by day.
pub fn plan_summer(
    prepared: &Prepared,
    ground: &Ground,
    plan: &Plan,
    maps: Option<MapCount>,
) -> (SummerTally, Vec<usize>) {
    let arrivals = prepared.arrivals(ground);
    plan_alone(prepared, (ground, &arrivals), plan, maps, false)
}

/// One plan by itself; `by_day` when it is known that a trap fills.
pub(crate) fn plan_alone(
    prepared: &Prepared,
    (bare, arrivals): (&Ground, &Arrivals),
    plan: &Plan,
    maps: Option<MapCount>,
    by_day: bool,
) -> (SummerTally, Vec<usize>) {
    let treated = bare.under(plan);
    let ground = treated.as_ref().unwrap_or(bare);
    let (mut lures, which, mut rules) = prepared.lures(ground, plan);
    rules.day_by_day |= by_day;
    let (plants, days) = (ground.plants.len(), ground.clock.days);
    let mut tally = SummerTally::new(plants, which.len(), days, maps.clone());
    run_plan(ground, arrivals, &mut lures, &rules, &mut tally);
    if !rules.day_by_day && rules.would_fill(&tally.caught_by_day) {
        return plan_alone(prepared, (bare, arrivals), plan, maps, true);
    }
    tally.bags = bags(ground);
    (tally, which)
}

/// What the events do not tell: the bags of each plant.
fn bags(ground: &Ground) -> Vec<(f64, f64)> {
    let plants = 0..ground.plants.len();
    plants.map(|i| ground.care.bagged(i)).collect()
}

/// Runs plans in one summer, in their order.
pub(crate) fn summer<P: Borrow<Plan>>(
    prepared: &Prepared,
    ground: &Ground,
    plans: &[P],
    map: Option<&MapCount>,
) -> Vec<PlanSummer> {
    let arrivals = prepared.arrivals(ground);
    let guild = prepared.scenario.pest.guild;
    let boil = |(tally, which): (SummerTally, Vec<usize>)| PlanSummer {
        plant_damage: tally.plant_damage(ground, guild),
        plant_loss: tally.plant_loss(ground, guild),
        tally,
        which,
    };
    let alone = |plan: &Plan, by_day: bool| {
        let maps = map.cloned();
        boil(plan_alone(
            prepared,
            (ground, &arrivals),
            plan,
            maps,
            by_day,
        ))
    };
    if prepared.day_by_day || plans.len() < 2 {
        return plans.iter().map(|p| alone(p.borrow(), false)).collect();
    }
    let (mut variants, mut rest) = (Vec::new(), Vec::new());
    for plan in plans {
        let treated = ground.under(plan.borrow());
        let own = treated.as_ref().unwrap_or(ground);
        let (lures, which, rules) = prepared.lures(own, plan.borrow());
        rest.push((which, rules, bags(own)));
        variants.push(Variant::of(plan.borrow(), lures, treated));
    }
    let blank = SummerTally::new(ground.plants.len(), 0, ground.clock.days, map.cloned());
    let insects = arrivals.insects(ground);
    let reran = rerun(ground, insects, &Lures::none(), variants, &blank);
    let done = reran.variants.into_iter().zip(rest).zip(plans);
    done.map(|((mut tally, (which, rules, bags)), plan)| {
        if rules.would_fill(&tally.caught_by_day) {
            return alone(plan.borrow(), true);
        }
        tally.bags = bags;
        boil((tally, which))
    })
    .collect()
}
