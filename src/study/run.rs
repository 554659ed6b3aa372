//! A run: every plan on the same summers.

use crate::catalogue::Guild;
use crate::count::one_summer::{self, OneSummer};
use crate::count::outcome::{
    AnswerAccount, GridMap, InsectAccount, PlanOutcome, Ring, RunOutcome, SingleSummer,
};
use crate::count::plans::{self, PlanSummer};
use crate::count::prepare::{Prepared, Refusal};
use crate::count::summer::{MapCount, weighted_damage};
use crate::engine::ensemble::{StopOnly, Watch, each_summer};
use crate::engine::ground::{Ground, TICKS_PER_S};
use crate::engine::shares::{Size, each_shared, once};
use crate::scenario::{Owner, Plan, Scenario};
use crate::stats::covariate::Adjusted;
use crate::stats::paired;
use crate::stats::settle::next_look;
use crate::study::finding::{Ended, Finding};
use crate::study::settle::{Judge, Take};
use crate::units::{METRES_PER_FOOT, SECONDS_PER_HOUR};

/// Edges of the rings around a trap, feet.
pub const RING_EDGES_FT: [f64; 8] = [0.0, 10.0, 20.0, 30.0, 50.0, 75.0, 100.0, 150.0];

/// Summers between the first counts that are told.
const TOLD_SOON: u32 = 10;

/// Sums of one plan over summers.
struct PlanSums {
    damage_by_summer: Vec<f64>,
    eaten: f64,
    plant_damage: Vec<f64>,
    fed_ticks: Vec<u64>,
    crop_damage: Vec<f64>,
    plot_damage: Vec<Option<f64>>,
    caught_by_summer: Vec<u64>,
    trap_catch: Vec<u64>,
    sexes: [u64; 2],
    insects: InsectAccount,
    answers: AnswerAccount,
    maps: MapCount,
}

/// Runs every plan of a scenario on the same summers.
///
/// Memory does not grow with the number of summers, except one number a summer and plan for the dots.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
///
/// # Panics
/// When the account of insects does not balance: a fault of the program that must never be shown as a result.
pub fn run(prepared: &Prepared, watch: &dyn Watch) -> Result<RunOutcome, Refusal> {
    run_for(
        prepared,
        Take::exactly(prepared.scenario.settings.summers),
        watch,
    )
}

/// As [`run`] for as many summers as `take` says.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
///
/// # Panics
/// As [`run`].
pub fn run_for(prepared: &Prepared, take: Take, watch: &dyn Watch) -> Result<RunOutcome, Refusal> {
    let mut outcome = run_told(prepared, take, watch, &mut |_| {})?;
    outcome.one_summers = one_summers(prepared, &outcome.plans, watch)?;
    Ok(outcome)
}

/// As [`run_for`] without recorded summers; `told` is shown what is known after each stretch of summers. Workers that share
/// the summers leave out the maps of visits and feeding.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
///
/// # Panics
/// As [`run`].
pub fn run_told(
    prepared: &Prepared,
    take: Take,
    watch: &dyn Watch,
    told: &mut dyn FnMut(&mut Runner),
) -> Result<RunOutcome, Refusal> {
    let mut runner = Runner::new(prepared, watch.shares().is_none());
    runner.take(take, watch, |_| {}, told)?;
    runner.finish(watch)
}

/// What the summers so far say of one plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanSoFar {
    /// What it does against the first plan.
    pub finding: Finding,
    /// Insects that the asker's traps caught, a summer.
    pub caught: f64,
    /// Damage of each plant, of 100.
    pub plants: Vec<f64>,
    /// Damage of each neighbour's plot, of 100; `None` where nothing grows.
    pub plots: Vec<Option<f64>>,
}

/// Summers that may be added to.
pub struct Runner<'a> {
    prepared: &'a Prepared<'a>,
    sums: Vec<PlanSums>,
    maps: bool,
    segments: u64,
    done: u32,
    most: u32,
    judge: Judge<'a>,
}

impl<'a> Runner<'a> {
    /// No summer yet; `maps` asks for visits and feeding by cell.
    pub(crate) fn new(prepared: &'a Prepared<'a>, maps: bool) -> Runner<'a> {
        let scenario = prepared.scenario;
        let sums = scenario.plans.iter().map(|plan| PlanSums {
            damage_by_summer: Vec::new(),
            eaten: 0.0,
            plant_damage: vec![0.0; scenario.plants.len()],
            fed_ticks: vec![0; scenario.plants.len()],
            crop_damage: vec![0.0; scenario.crops.len()],
            plot_damage: vec![None; scenario.plots.len()],
            caught_by_summer: Vec::new(),
            trap_catch: vec![0; plan.traps.len()],
            sexes: [0; 2],
            insects: InsectAccount::default(),
            answers: AnswerAccount::default(),
            maps: MapCount::new(scenario.yard, scenario.settings.cell_m),
        });
        Runner {
            prepared,
            sums: sums.collect(),
            maps,
            segments: 0,
            done: 0,
            most: 0,
            judge: Judge::new(scenario),
        }
    }

    /// Damage of each plan so far, one value a summer.
    pub(crate) fn damage(&self) -> Vec<&[f64]> {
        let by_plan = self.sums.iter();
        by_plan.map(|s| s.damage_by_summer.as_slice()).collect()
    }

    /// Summers taken.
    pub fn done(&self) -> u32 {
        self.done
    }

    /// What they say of each plan.
    pub fn so_far(&mut self) -> Vec<PlanSoFar> {
        let n = f64::from(self.done.max(1));
        let damage = self.sums.iter().map(|s| s.damage_by_summer.as_slice());
        let findings = self.judge.findings(&damage.collect::<Vec<_>>());
        let plans = self.sums.iter().zip(findings);
        let scenario = self.prepared.scenario;
        let mine = |crop: usize| scenario.crops[crop].owner == Owner::Mine;
        plans
            .map(|(sum, finding)| PlanSoFar {
                caught: sum.caught_by_summer.iter().sum::<u64>() as f64 / n,
                plants: scenario
                    .plants
                    .iter()
                    .zip(&sum.plant_damage)
                    .map(|(p, d)| in_step(&finding.damage[1], mine(p.crop), d / n))
                    .collect(),
                finding: Finding {
                    reason: Ended::of(&sum.answers),
                    ..finding
                },
                plots: sum.plot_damage.iter().map(|d| d.map(|d| d / n)).collect(),
            })
            .collect()
    }

    /// Adds summers until there are enough; `also` sees the plans of each, `told` is called after each stretch.
    pub(crate) fn take(
        &mut self,
        take: Take,
        watch: &dyn Watch,
        mut also: impl FnMut(&[PlanSummer]),
        told: &mut dyn FnMut(&mut Runner),
    ) -> Result<(), Refusal> {
        let end = take.exactly.unwrap_or(take.most);
        self.most = take.most;
        while self.done < end {
            let look = next_look(self.done, end);
            while self.done < look {
                // In small steps at first, so that something is told soon.
                let to = look.min(self.done + self.done.max(TOLD_SOON));
                let ahead = self.segments * u64::from(to) / u64::from(self.done.max(1));
                if self.done >= 2 * TOLD_SOON && take.work.is_some_and(|work| ahead > work) {
                    return Ok(());
                }
                self.extend(to, watch, &mut also)?;
                let counts =
                    paired::against_first(&self.damage(), self.prepared.scenario.settings.tie_band);
                let counts: Vec<[usize; 3]> = counts.iter().map(|c| c.told().all()).collect();
                watch.so_far(self.done, &counts);
                told(self);
            }
            let settled = || {
                let series = self.sums.iter().map(|s| s.damage_by_summer.as_slice());
                Ok::<bool, Refusal>(self.judge.settled(&series.collect::<Vec<_>>()))
            };
            if take.exactly.is_none() && once(watch, settled)? {
                break;
            }
        }
        Ok(())
    }

    /// Adds summers up to a number.
    fn extend(
        &mut self,
        to: u32,
        watch: &dyn Watch,
        mut also: impl FnMut(&[PlanSummer]),
    ) -> Result<(), Refusal> {
        let (prepared, scenario) = (self.prepared, self.prepared.scenario);
        let map = self
            .maps
            .then(|| MapCount::new(scenario.yard, scenario.settings.cell_m));
        let one = |summer: u32| {
            let ground = Ground::for_summer(scenario, summer);
            plans::summer(prepared, &ground, &scenario.plans, map.as_ref())
        };
        let (sums, segments, done) = (&mut self.sums, &mut self.segments, &mut self.done);
        each_shared((*done..to, Size::Plans), watch, one, |summer, plans| {
            // One that is stopped can be taken up again.
            *done = summer + 1;
            for ((result, sum), plan) in plans.iter().zip(sums.iter_mut()).zip(&scenario.plans) {
                *segments += result.tally.segments;
                sum.add(scenario, plan, result);
            }
            also(&plans);
        })?;
        Ok(())
    }

    /// The results, with four single summers and no recorded one.
    pub(crate) fn finish(mut self, watch: &dyn Watch) -> Result<RunOutcome, Refusal> {
        let (prepared, scenario) = (self.prepared, self.prepared.scenario);
        // They are for pictures, which workers that share the summers do not draw.
        let chosen = if watch.shares().is_some() {
            Vec::new()
        } else {
            quarter_summers(&self.sums[0].damage_by_summer)
        };
        let n = f64::from(self.done);
        let series: Vec<&[f64]> = self
            .sums
            .iter()
            .map(|s| s.damage_by_summer.as_slice())
            .collect();
        let found = self.judge.findings(&series);
        let mut plans: Vec<PlanOutcome> = self
            .sums
            .into_iter()
            .zip(&scenario.plans)
            .zip(found)
            .map(|((sum, plan), found)| sum.finish(scenario, plan, &found, n))
            .collect();
        let one = |k: u32| {
            let ground = Ground::for_summer(scenario, chosen[k as usize]);
            plans::summer(prepared, &ground, &scenario.plans, None)
        };
        let watch = StopOnly(watch);
        each_summer(0..chosen.len() as u32, &watch, one, |k, found| {
            for (outcome, found) in plans.iter_mut().zip(found) {
                outcome.single_summers.push(SingleSummer {
                    summer: chosen[k as usize],
                    plant_damage: found.plant_damage.iter().map(|d| 100.0 * d).collect(),
                });
            }
        })?;
        fill_rings(scenario, &mut plans);
        Ok(RunOutcome {
            seed: scenario.settings.seed,
            summers: self.done,
            most: self.most,
            settled: plans.iter().all(PlanOutcome::settled),
            segments_per_summer: self.segments as f64 / n / plans.len() as f64,
            plans,
            one_summers: Vec::new(),
            warnings: scenario.warnings.clone(),
        })
    }
}

/// For each plan but the first that an insect can meet: days of the summer whose change in damage is the middle one.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
pub fn one_summers(
    prepared: &Prepared,
    plans: &[PlanOutcome],
    watch: &dyn Watch,
) -> Result<Vec<OneSummer>, Refusal> {
    let all = &prepared.scenario.plans;
    let record = |with: u32| {
        let with = with as usize;
        let (before, after) = (&plans[0].damage_by_summer, &plans[with].damage_by_summer);
        let summer = one_summer::middle_summer(&paired::differences(before, after));
        one_summer::record(prepared, summer, &all[0], &all[with])
    };
    let mut found = Vec::new();
    let watch = StopOnly(watch);
    each_shared(
        (1..all.len() as u32, Size::Plans),
        &watch,
        record,
        |_, one| {
            found.extend(one);
        },
    )?;
    Ok(found)
}

impl PlanSums {
    fn add(&mut self, scenario: &Scenario, plan: &Plan, result: &PlanSummer) {
        let damage = &result.plant_damage;
        let owner = |i: usize| scenario.crops[scenario.plants[i].crop].owner;
        self.damage_by_summer
            .push(weighted_damage(scenario, damage, |i| owner(i) == Owner::Mine).unwrap_or(0.0));
        self.eaten += weighted_damage(scenario, &result.plant_loss, |i| owner(i) == Owner::Mine)
            .unwrap_or(0.0);
        for (sum, d) in self.plant_damage.iter_mut().zip(damage) {
            *sum += 100.0 * d;
        }
        for (sum, t) in self.fed_ticks.iter_mut().zip(&result.tally.fed_ticks) {
            *sum += t;
        }
        for (k, sum) in self.crop_damage.iter_mut().enumerate() {
            *sum +=
                weighted_damage(scenario, damage, |i| scenario.plants[i].crop == k).unwrap_or(0.0);
        }
        for (k, sum) in self.plot_damage.iter_mut().enumerate() {
            if let Some(d) = weighted_damage(scenario, damage, |i| owner(i) == Owner::Neighbour(k))
            {
                *sum = Some(sum.unwrap_or(0.0) + d);
            }
        }
        let mut own_catch = 0;
        for (&trap, caught) in result.which.iter().zip(&result.tally.caught) {
            let both = caught[0] + caught[1];
            self.trap_catch[trap] += both;
            if !plan.traps[trap].neighbours {
                own_catch += both;
                self.sexes[0] += caught[0];
                self.sexes[1] += caught[1];
            }
        }
        self.caught_by_summer.push(own_catch);
        let account = result.tally.insects;
        assert!(
            account.balances(),
            "insects of a summer do not balance: {account:?}; please report this"
        );
        self.insects.add(&account);
        self.answers.add(&result.tally.answers);
        if let Some(maps) = &result.tally.maps {
            self.maps.add(maps);
        }
    }

    fn finish(self, scenario: &Scenario, plan: &Plan, found: &Finding, n: f64) -> PlanOutcome {
        let [_, damage] = found.damage;
        let grid = |values: Vec<f64>| GridMap {
            cell_m: scenario.settings.cell_m,
            columns: self.maps.columns,
            rows: self.maps.rows,
            values,
        };
        let hours = |ticks: u64| ticks as f64 / (TICKS_PER_S * SECONDS_PER_HOUR * n);
        let caught = self.sexes[0] + self.sexes[1];
        // The adjustment of the asker's mean is shared by all that the mean is made of, so that plants, crops and area eaten
        // agree with it.
        let share = |mine: bool, sum: f64| in_step(&damage, mine, sum / n);
        let mine = |crop: usize| scenario.crops[crop].owner == Owner::Mine;
        let plants = scenario.plants.iter().zip(&self.plant_damage);
        let crops = self.crop_damage.iter().enumerate();
        PlanOutcome {
            name: plan.name.clone(),
            damage,
            change: found.change,
            word: found.word,
            eaten: (scenario.pest.guild == Guild::Chewer).then(|| share(true, self.eaten)),
            plant_damage: plants.map(|(p, d)| share(mine(p.crop), *d)).collect(),
            plant_feeding_h: self.fed_ticks.iter().map(|&t| hours(t)).collect(),
            crop_damage: crops.map(|(crop, d)| share(mine(crop), *d)).collect(),
            plot_damage: self.plot_damage.iter().map(|d| d.map(|d| d / n)).collect(),
            trap_catch: self.trap_catch.iter().map(|&c| c as f64 / n).collect(),
            female_share_of_catch: (caught > 0).then(|| self.sexes[1] as f64 / caught as f64),
            insects: self.insects,
            answers: self.answers,
            visits: grid(self.maps.visits.iter().map(|&v| v as f64 / n).collect()),
            feeding: grid(self.maps.fed_ticks.iter().map(|&t| hours(t)).collect()),
            damage_by_summer: self.damage_by_summer,
            caught_by_summer: self.caught_by_summer,
            rings: Vec::new(),
            single_summers: Vec::new(),
        }
    }
}

/// A plain mean of the asker's, adjusted as that of the whole; a neighbor's stays plain.
fn in_step(whole: &Adjusted, mine: bool, mean: f64) -> f64 {
    if mine && whole.plain_mean > 0.0 {
        (whole.mean / whole.plain_mean * mean).clamp(0.0, 100.0)
    } else {
        mean
    }
}

/// The summers nearest the 1/8, 3/8, 5/8 and 7/8 quantile of damage.
fn quarter_summers(damage: &[f64]) -> Vec<u32> {
    let mut order: Vec<usize> = (0..damage.len()).collect();
    order.sort_by(|&a, &b| damage[a].total_cmp(&damage[b]).then(a.cmp(&b)));
    [1, 3, 5, 7]
        .iter()
        .map(|k| order[(k * damage.len() / 8).min(damage.len() - 1)] as u32)
        .collect()
}

fn fill_rings(scenario: &Scenario, plans: &mut [PlanOutcome]) {
    let Some(fallback) = scenario.plans.iter().find_map(|p| p.traps.first()) else {
        return;
    };
    let without = plans[0].plant_damage.clone();
    for (plan, outcome) in scenario.plans.iter().zip(plans) {
        let centre = plan.traps.first().unwrap_or(fallback).at;
        outcome.rings = RING_EDGES_FT
            .windows(2)
            .map(|edge| {
                let (from_m, to_m) = (edge[0] * METRES_PER_FOOT, edge[1] * METRES_PER_FOOT);
                let inside: Vec<usize> = (0..scenario.plants.len())
                    .filter(|&i| {
                        let d = scenario.plants[i].at.distance(centre);
                        d >= from_m && d < to_m
                    })
                    .collect();
                let mean = |damage: &[f64]| {
                    (!inside.is_empty()).then(|| {
                        inside.iter().map(|&i| damage[i]).sum::<f64>() / inside.len() as f64
                    })
                };
                Ring {
                    from_m,
                    to_m,
                    n_plants: inside.len(),
                    damage: mean(&outcome.plant_damage),
                    damage_without: mean(&without),
                }
            })
            .collect();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::count::prepare::unscaled;
    use crate::engine::ensemble::Unwatched;
    use std::sync::atomic::{AtomicU32, Ordering};

    /// Stops after so many summers.
    struct StopsAfter(u32, AtomicU32);

    impl Watch for StopsAfter {
        fn advance(&self, summers: u32) {
            self.1.fetch_add(summers, Ordering::Relaxed);
        }
        fn stopped(&self) -> bool {
            self.1.load(Ordering::Relaxed) >= self.0
        }
    }

    #[test]
    fn summers_in_parts_or_stopped_and_taken_up_again_are_the_same_to_the_bit() {
        let text = include_str!("../../scenarios/backyard-pears-stink-bug.json");
        let scenario = crate::scenario::read(text, "backyard-pears-stink-bug.json", &|_| {
            Err(String::new())
        })
        .unwrap_or_else(|_| panic!("the shipped scenario reads"));
        let prepared = unscaled(&scenario).expect("it runs");
        let outcome = |splits: &[u32], stops_after: Option<u32>| {
            let mut runner = Runner::new(&prepared, true);
            if let Some(n) = stops_after {
                let watch = StopsAfter(n, AtomicU32::new(0));
                let stopped = runner.take(Take::exactly(150), &watch, |_| {}, &mut |_| {});
                assert_eq!(stopped, Err(Refusal::Stopped));
                assert!(runner.done < 150);
            }
            for &n in splits {
                let taken = runner.take(Take::exactly(n), &Unwatched, |_| {}, &mut |_| {});
                assert_eq!(taken, Ok(()));
            }
            runner.finish(&Unwatched).expect("nobody stops it")
        };
        let whole = outcome(&[150], None);
        assert_eq!(whole.summers, 150);
        assert_eq!(outcome(&[1, 30, 31, 107, 150], None), whole);
        for stop in [5, 70] {
            assert_eq!(outcome(&[150], Some(stop)), whole);
        }
    }
}
