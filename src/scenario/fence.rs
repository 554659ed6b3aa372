//! Both sides of the fence: neither hangs a trap, I do, they do, both do.

use super::{Plan, Scenario, Trap};
use crate::geometry::Point;
use crate::say::say;

/// Keys of the names of the four plans, in order.
const FENCE: [&str; 4] = [
    "yard.fence.neither",
    "yard.fence.me",
    "yard.fence.them",
    "yard.fence.both",
];

/// Distance a mirrored trap keeps from the edge of the neighbor's plot, meters.
const INSET_M: f64 = 0.3;

/// Replaces the plans by neither, me, them and both.
///
/// My traps are those of the first plan that has any of mine. Theirs are those the file gives them; without one, the
/// mirror image of mine across the fence to the first neighbor.
///
/// # Errors
/// What is missing, and how to add it.
pub fn fence(scenario: &mut Scenario) -> Result<(), String> {
    if scenario.plots.is_empty() {
        return Err(say!("fault.fence.no-plot"));
    }
    let first = |neighbours: bool| {
        let of = |plan: &Plan| -> Vec<Trap> {
            let traps = plan.traps.iter().filter(|t| t.neighbours == neighbours);
            traps.cloned().collect()
        };
        scenario.plans.iter().map(of).find(|t| !t.is_empty())
    };
    let (mine, given) = (first(false), first(true));
    let mine = mine.ok_or_else(|| say!("fault.fence.no-trap"))?;
    let theirs = given.unwrap_or_else(|| {
        let name = &scenario.plots[0].name;
        let invented = say!("yard.warn.invented", name);
        scenario.warnings.push(invented);
        mirrored(scenario, &mine)
    });
    let both = mine.iter().chain(&theirs).cloned().collect();
    let plans = [Vec::new(), mine, theirs, both];
    let plan = |(name, traps): (&&str, _)| Plan {
        name: say!(name),
        traps,
        ..Plan::default()
    };
    scenario.plans = FENCE.iter().zip(plans).map(plan).collect();
    Ok(())
}

fn mirrored(scenario: &Scenario, mine: &[Trap]) -> Vec<Trap> {
    let (yard, plot) = (&scenario.yard, &scenario.plots[0].area);
    let keep = |v: f64, low: f64, high: f64| v.max(low + INSET_M).min(high - INSET_M);
    let mirror = |at: Point| {
        let (mut x, mut y) = (at.x, at.y);
        if plot.x0 >= yard.x1 {
            x = plot.x0 + yard.x1 - x;
        } else if plot.x1 <= yard.x0 {
            x = plot.x1 + yard.x0 - x;
        } else if plot.y0 >= yard.y1 {
            y = plot.y0 + yard.y1 - y;
        } else {
            y = plot.y1 + yard.y0 - y;
        }
        Point::new(keep(x, plot.x0, plot.x1), keep(y, plot.y0, plot.y1))
    };
    mine.iter()
        .map(|trap| Trap {
            name: say!("yard.trap.their", name = trap.name),
            at: mirror(trap.at),
            neighbours: true,
            ..trap.clone()
        })
        .collect()
}
