//! Luck and ignorance apart: some draws of the unknown biology, several draws of luck under each.

use crate::count::plans;
use crate::count::prepare::{Prepared, Refusal};
use crate::count::summer::weighted_damage;
use crate::engine::ensemble::Watch;
use crate::engine::ground::Ground;
use crate::engine::shares::{Size, each_shared};
use crate::scenario::Owner;
use crate::stats::components::{Components, components};

/// Draws of the biology in the nested design.
pub const BIOLOGIES: u32 = 60;
/// Draws of luck under each of them.
pub const LUCKS: u32 = 8;
/// Numbers of the draws of luck start here, apart from all other summers.
const FIRST_LUCK: u32 = 0x4000_0000;

/// Spread of one plan.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PlanSpread {
    /// Plan name.
    pub name: String,
    /// Damage, points squared: between biologies and within one.
    pub damage: Components,
    /// Change against the first plan; absent for the first plan.
    pub change: Option<Components>,
}

/// The largest factor by which sharing luck between plans could cut the variance of their differences, all plans
/// together, when sharing cuts it by `factor` now: what not knowing the insects does to a difference stays, however well
/// luck is shared. `None` without a bound.
pub fn pairing_ceiling(plans: &[PlanSpread], factor: f64) -> Option<f64> {
    let changes = || plans.iter().filter_map(|p| p.change);
    let stays: f64 = changes().map(|c| c.between).sum();
    let luck: f64 = changes().map(|c| c.within).sum();
    (stays > 0.0).then(|| factor * (stays + luck) / stays)
}

/// Runs the nested design.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
pub fn spread(prepared: &Prepared, watch: &dyn Watch) -> Result<Vec<PlanSpread>, Refusal> {
    let scenario = prepared.scenario;
    let mine = |i: usize| scenario.crops[scenario.plants[i].crop].owner == Owner::Mine;
    let one = |cell: u32| {
        let ground = Ground::for_draws(scenario, cell / LUCKS, FIRST_LUCK + cell);
        plans::summer(prepared, &ground, &scenario.plans, None)
            .iter()
            .map(|p| weighted_damage(scenario, &p.plant_damage, mine).unwrap_or(0.0))
            .collect::<Vec<f64>>()
    };
    let empty = || vec![Vec::new(); BIOLOGIES as usize];
    let mut damage: Vec<Vec<Vec<f64>>> = scenario.plans.iter().map(|_| empty()).collect();
    each_shared(
        (0..BIOLOGIES * LUCKS, Size::Plans),
        watch,
        one,
        |cell, plans| {
            for (groups, value) in damage.iter_mut().zip(plans) {
                groups[(cell / LUCKS) as usize].push(value);
            }
        },
    )?;
    let change = |k: usize| -> Vec<Vec<f64>> {
        let pairs = damage[0].iter().zip(&damage[k]);
        pairs
            .map(|(a, b)| a.iter().zip(b).map(|(a, b)| b - a).collect())
            .collect()
    };
    Ok(scenario
        .plans
        .iter()
        .enumerate()
        .filter_map(|(k, plan)| {
            Some(PlanSpread {
                name: plan.name.clone(),
                damage: components(&damage[k])?,
                change: if k == 0 { None } else { components(&change(k)) },
            })
        })
        .collect())
}
