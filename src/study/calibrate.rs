//! Calibration: which sets of the unknown numbers reproduce the tuned field patterns.
//!
//! Sets are drawn evenly in the quantiles of the prior ranges (a Latin hypercube). Every set meets the same summers,
//! insects and luck. A set is kept when all tuned measures lie in the bands that were written beforehand.

use crate::catalogue::calibration::{PestRule, Rules, rules};
use crate::catalogue::patterns::Check;
use crate::count::prepare::{PILOT_SUMMERS, Prepared, Refusal, prepare};
use crate::engine::ensemble::{Watch, each_summer};
use crate::engine::ground::{Ground, Held, study_uniform};
use crate::scenario::{Fault, Scenario};
use crate::stats::abc::{self, Band, Marginal, Recovered};
use crate::stats::hypercube::latin_hypercube;
use crate::study::keep::{Keep, Stage, in_pieces};
pub use crate::study::layout::Changes;
use crate::study::layout::{Layout, Series, empty_series, simulate};
use crate::study::patterns::{self, Values};
use crate::study::vary::{Unknown, unknowns};
use serde::Serialize;

/// Sets simulated between two savings.
pub const CHUNK: usize = 32;
/// Name under which sets are kept.
pub const STAGE: &str = "sets";
/// Kept sets that are looked for again at most.
const TRUTHS: usize = 200;
/// Resamples behind the range of a width ratio.
const RESAMPLES: usize = 200;

/// A calibration to run.
#[derive(Clone, Debug)]
pub struct Task {
    /// What is simulated.
    pub pest: PestRule,
    /// The rules.
    pub rules: Rules,
    /// Seed.
    pub seed: u64,
    /// Sets tried.
    pub draws: usize,
    /// The unknowns, one an axis.
    pub parameters: Vec<Unknown>,
    /// Their catalogue units and ranges as the file has them.
    pub ranges: Vec<(String, [f64; 2])>,
    /// Pattern and check of each measure.
    pub checks: Vec<(String, Check)>,
    /// What was observed, with its error, where it is more than a limit.
    pub observed: Vec<Option<(f64, f64)>>,
    scenarios: Vec<Scenario>,
}

/// How a layout's summers become measures.
type Measuring = fn(&mut Values, &[Series]);

/// The layout of a part, by name, and how it is measured.
fn layout(name: &str) -> Option<(Layout, Measuring)> {
    match name {
        "trap in a block of beans" => {
            Some((patterns::bean_block(), patterns::landed_share as Measuring))
        }
        "one trap, three traps, three lures" => {
            Some((patterns::three_lures(), patterns::three_and_one))
        }
        "row of tomatoes, trap beyond its end" => {
            Some((patterns::tomato_row(), patterns::near_over_far))
        }
        _ => None,
    }
}

/// Every check with the pattern it belongs to.
fn bands() -> Vec<(String, Check)> {
    crate::catalogue::patterns::patterns()
        .patterns
        .into_iter()
        .flat_map(|p| p.checks.into_iter().map(move |c| (p.id.clone(), c)))
        .collect()
}

impl Task {
    /// The calibration of a pest by the compiled-in rules; `None` for a pest without tuned patterns.
    ///
    /// # Errors
    /// The faults of the changed ranges.
    pub fn of(
        pest: &str,
        draws: Option<usize>,
        seed: u64,
        changes: &Changes,
    ) -> Option<Result<Task, Vec<Fault>>> {
        let rules = rules();
        let rule = rules.pests.iter().find(|p| p.pest == pest)?.clone();
        Some(Task::by(rules, rule, draws, seed, changes))
    }

    /// A calibration by rules of one's own.
    ///
    /// # Errors
    /// The faults of the changed ranges.
    ///
    /// # Panics
    /// When a part names a layout or a measure that does not exist: a fault of the rules, which are tested.
    pub fn by(
        rules: Rules,
        pest: PestRule,
        draws: Option<usize>,
        seed: u64,
        changes: &Changes,
    ) -> Result<Task, Vec<Fault>> {
        let scenarios = pest
            .parts
            .iter()
            .map(|part| {
                let (layout, _) = layout(&part.layout).expect("the rules name known layouts");
                let mut scenario = layout.changed(part.summers, seed, changes)?;
                // A calibration starts from the ranges, never from an earlier calibration.
                scenario.kept_sets = None;
                Ok(scenario)
            })
            .collect::<Result<Vec<Scenario>, Vec<Fault>>>()?;
        let first = scenarios.first().expect("the rules name a layout");
        let parameters: Vec<Unknown> = unknowns(first)
            .into_iter()
            .filter(|u| {
                ["pest:", "lure:", "trap:"]
                    .iter()
                    .any(|k| u.id.starts_with(k))
                    && pest.numbers.contains(&u.key)
            })
            .collect();
        let ranges = parameters.iter().map(|u| own_range(first, u)).collect();
        let known = bands();
        let checks = pest
            .parts
            .iter()
            .flat_map(|part| &part.measures)
            .map(|tuned| {
                known
                    .iter()
                    .find(|(_, check)| check.measure == tuned.measure)
                    .cloned()
                    .expect("the rules are tested to name measures with bands")
            })
            .collect();
        let observed = pest
            .parts
            .iter()
            .flat_map(|part| &part.measures)
            .map(|tuned| tuned.observed.map(|value| (value, tuned.error)))
            .collect();
        Ok(Task {
            draws: draws.unwrap_or(pest.draws as usize),
            pest,
            rules,
            seed,
            parameters,
            ranges,
            checks,
            observed,
            scenarios,
        })
    }

    /// Summers of one set, all layouts and plans together.
    pub fn summers_of_a_set(&self) -> u32 {
        self.pest.parts.iter().map(|p| p.summers).sum()
    }

    /// Summers that [`values`] reports to its watch when no set is done yet.
    pub fn work(&self) -> u64 {
        self.draws as u64 * u64::from(self.summers_of_a_set())
            + u64::from(PILOT_SUMMERS) * self.scenarios.len() as u64
    }

    /// The band of each measure.
    pub fn bands(&self) -> Vec<Band> {
        let of = |(_, check): &(String, Check)| Band {
            low: check.at_least,
            high: check.at_most,
        };
        self.checks.iter().map(of).collect()
    }

    /// The sets, in quantiles of the prior ranges.
    pub fn points(&self) -> Vec<Vec<f64>> {
        let names: Vec<String> = self
            .parameters
            .iter()
            .map(|u| format!("calibrate:{}:{}", u.id, u.number))
            .collect();
        let uniform = |axis: usize, i: usize| study_uniform(self.seed, &names[axis], i);
        let mut points = latin_hypercube(self.draws, names.len(), uniform);
        for q in points.iter_mut().flatten() {
            // Six digits are what the data file holds, so that a shipped set is the set that was tried.
            *q = (*q * 1e6).floor() / 1e6;
        }
        points
    }

    fn held(&self, point: &[f64]) -> Vec<Held> {
        self.parameters
            .iter()
            .zip(point)
            .map(|(u, &quantile)| Held {
                id: u.id.clone(),
                number: u.number,
                quantile,
            })
            .collect()
    }
}

/// Unit and range of an unknown as its file has them.
fn own_range(scenario: &Scenario, unknown: &Unknown) -> (String, [f64; 2]) {
    let entry = match unknown.id.split_once(':') {
        Some(("pest", _)) => scenario.pest.values.get(&unknown.key),
        Some(("lure", id)) => scenario
            .lures
            .iter()
            .find(|l| l.id == id)
            .and_then(|l| l.values.get(&unknown.key)),
        Some((_, id)) => scenario
            .trap_kinds
            .iter()
            .find(|t| t.id == id)
            .and_then(|t| t.values.get(&unknown.key)),
        None => None,
    };
    let entry = entry.expect("an unknown comes from an entry");
    let range = entry.range.expect("an unknown has a range");
    (entry.unit.clone(), range)
}

/// Passes summers on in sets.
struct BySet<'a> {
    watch: &'a dyn Watch,
    summers: u32,
}

impl Watch for BySet<'_> {
    fn advance(&self, sets: u32) {
        self.watch.advance(sets * self.summers);
    }

    fn stopped(&self) -> bool {
        self.watch.stopped()
    }
}

/// The measures of one set.
fn measures_of(task: &Task, prepared: &[Prepared], held: &[Held]) -> Result<Vec<f64>, Refusal> {
    let mut values = Values::default();
    for (part, prepared) in task.pest.parts.iter().zip(prepared) {
        let (_, measure) = layout(&part.layout).expect("the rules name known layouts");
        let mut all = empty_series(prepared.scenario);
        for summer in 0..part.summers {
            let ground = Ground::for_summer_with(prepared.scenario, summer, held);
            prepared.check_size(&ground)?;
            for (series, one) in all.iter_mut().zip(&simulate(prepared, &ground)) {
                series.push(one);
            }
        }
        measure(&mut values, &all);
    }
    Ok(task
        .checks
        .iter()
        .map(|(_, check)| values.get(&check.measure).unwrap_or(f64::NAN))
        .collect())
}

/// Simulates all sets that are not done yet; the values do not depend on where earlier work was cut.
///
/// Shape: `result[set][measure]`.
///
/// # Errors
/// [`Refusal`] when stopped or when a set holds too many insects.
pub fn values(
    task: &Task,
    points: &[Vec<f64>],
    watch: &dyn Watch,
    keep: &mut dyn Keep,
) -> Result<Vec<Vec<f64>>, Refusal> {
    let prepared = task
        .scenarios
        .iter()
        .map(|s| prepare(s, watch))
        .collect::<Result<Vec<_>, _>>()?;
    let by_set = BySet {
        watch,
        summers: task.summers_of_a_set(),
    };
    let stage = Stage {
        name: STAGE,
        points: points.len(),
        width: task.checks.len(),
        chunk: CHUNK,
    };
    let one = |i: u32| measures_of(task, &prepared, &task.held(&points[i as usize]));
    in_pieces(
        stage,
        keep,
        |done| by_set.advance(done as u32),
        |sets| {
            let mut found = Vec::with_capacity(sets.len());
            let mut fault = None;
            each_summer(
                sets.start as u32..sets.end as u32,
                &by_set,
                one,
                |_, result| match result {
                    Ok(values) => found.push(values),
                    Err(refusal) => fault = fault.take().or(Some(refusal)),
                },
            )?;
            fault.map_or(Ok(found), Err)
        },
    )
}

/// One tuned measure over all sets.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measure {
    /// Pattern it belongs to.
    pub pattern: String,
    /// Its name.
    pub measure: String,
    /// In words with its unit.
    pub words: String,
    /// Its band.
    pub band: Band,
    /// Sets outside the band.
    pub outside: usize,
    /// Sets that only this measure rejects.
    pub alone: usize,
    /// Middle 90 of 100 of all sets, and their median: low, median, high.
    pub tried: [f64; 3],
    /// The same of the kept sets.
    pub kept: Option<[f64; 3]>,
}

/// A calibrated parameter.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fitted {
    /// The unknown with its prior range.
    #[serde(flatten)]
    pub unknown: Unknown,
    /// What was learnt; absent without a kept set.
    pub learnt: Option<Marginal>,
}

/// A set with its values.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Set {
    /// Its number among the draws, from 0.
    pub draw: usize,
    /// Distance to the bands.
    pub distance: f64,
    /// Value of each measure.
    pub simulated: Vec<f64>,
    /// Quantile of each parameter.
    pub quantiles: Vec<f64>,
    /// Value of each parameter in its unit.
    pub values: Vec<f64>,
}

/// The result.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Calibration {
    /// Format number.
    pub format: u32,
    /// The pest.
    pub pest: String,
    /// Seed.
    pub seed: u64,
    /// Sets tried.
    pub draws: usize,
    /// Sets kept.
    pub accepted: usize,
    /// Share kept.
    pub acceptance: f64,
    /// Largest distance of a kept set.
    pub epsilon: f64,
    /// Day on which the bands were written.
    pub bands_written: String,
    /// Day on which the rule was written.
    pub rule_written: String,
    /// The rule.
    pub rule: String,
    /// What tunes and what is held out.
    pub split: String,
    /// Fewer kept sets than this are too few.
    pub few: u32,
    /// The tuned measures.
    pub measures: Vec<Measure>,
    /// The parameters in the order of the sets' columns.
    pub parameters: Vec<Fitted>,
    /// Sets taken for the truth in turn, and looked for among the others.
    pub truths: usize,
    /// How well each parameter comes back then.
    pub recovery: Vec<Recovered>,
    /// Kept sets.
    pub kept: Vec<Set>,
    /// The ten sets nearest to the bands that were not kept.
    pub nearest_misses: Vec<Set>,
    /// Distance of every set, in order.
    pub distances: Vec<f64>,
}

impl Calibration {
    /// Parameters from the most to the least learnt.
    pub fn by_gain(&self) -> Vec<&Fitted> {
        let mut all: Vec<&Fitted> = self.parameters.iter().collect();
        let gap = |f: &Fitted| f.learnt.map_or(0.0, |l| l.gap);
        all.sort_by(|a, b| gap(b).total_cmp(&gap(a)));
        all
    }
}

fn middle(values: &[f64]) -> Option<[f64; 3]> {
    let ladder = crate::stats::quantile::sorted(values);
    (!ladder.is_empty())
        .then(|| [0.05, 0.5, 0.95].map(|p| crate::stats::quantile::quantile(&ladder, p)))
}

/// Keeps sets and says what they teach.
pub fn judge(task: &Task, points: &[Vec<f64>], values: &[Vec<f64>]) -> Calibration {
    let bands = task.bands();
    let distances = abc::distances(values, &bands);
    let kept = abc::kept(&distances, task.rules.epsilon);
    let set = |draw: usize, quantiles: Vec<f64>| Set {
        draw,
        distance: distances[draw],
        simulated: values[draw].clone(),
        values: task
            .parameters
            .iter()
            .zip(&quantiles)
            .map(|(u, q)| u.at(*q))
            .collect(),
        quantiles,
    };
    let moved = moved(task, points, values, &kept);
    // One in three, so that most are left to find them among.
    let truths: Vec<usize> = kept.iter().step_by(3).take(TRUTHS).copied().collect();
    let observed: Vec<bool> = task.observed.iter().map(Option::is_some).collect();
    let mut misses: Vec<usize> = (0..values.len()).filter(|i| !kept.contains(i)).collect();
    misses.sort_by(|&a, &b| distances[a].total_cmp(&distances[b]).then(a.cmp(&b)));
    misses.truncate(10);
    let mut i = 0;
    let mut uniform = || {
        i += 1;
        study_uniform(task.seed, "calibrate:resamples", i)
    };
    let parameters = task
        .parameters
        .iter()
        .enumerate()
        .map(|(axis, unknown)| {
            let of_kept: Vec<f64> = moved.iter().map(|q| q[axis]).collect();
            Fitted {
                unknown: unknown.clone(),
                learnt: abc::marginal(&of_kept, task.parameters.len(), RESAMPLES, &mut uniform),
            }
        })
        .collect();
    Calibration {
        format: 1,
        pest: task.pest.pest.clone(),
        seed: task.seed,
        draws: values.len(),
        accepted: kept.len(),
        acceptance: kept.len() as f64 / values.len().max(1) as f64,
        epsilon: task.rules.epsilon,
        bands_written: crate::catalogue::patterns::patterns().bands_written,
        rule_written: task.rules.written.clone(),
        rule: task.rules.rule.clone(),
        split: task.rules.split.clone(),
        few: task.rules.few,
        measures: measures(task, values, &bands, &kept),
        parameters,
        truths: truths.len(),
        recovery: abc::recovery(points, values, &bands, &observed, &truths),
        kept: kept
            .iter()
            .zip(moved)
            .map(|(&d, moved)| set(d, moved))
            .collect(),
        nearest_misses: misses.iter().map(|&d| set(d, points[d].clone())).collect(),
        distances,
    }
}

/// The kept sets, moved to what was observed; six digits are what the data file holds.
fn moved(task: &Task, points: &[Vec<f64>], values: &[Vec<f64>], kept: &[usize]) -> Vec<Vec<f64>> {
    let of_kept = |all: &[Vec<f64>]| kept.iter().map(|&d| all[d].clone()).collect::<Vec<_>>();
    let mut i = 0;
    let normal = || {
        i += 1;
        crate::stats::normal::quantile(study_uniform(task.seed, "calibrate:observed", i))
    };
    let mut moved = abc::moved(&of_kept(points), &of_kept(values), &task.observed, normal);
    for q in moved.iter_mut().flatten() {
        *q = ((*q * 1e6).floor() / 1e6).clamp(0.0, 0.999_999);
    }
    moved
}

fn measures(task: &Task, values: &[Vec<f64>], bands: &[Band], kept: &[usize]) -> Vec<Measure> {
    let out = |set: &[f64], m: usize| bands[m].distance(set[m]) > task.rules.epsilon;
    task.checks
        .iter()
        .enumerate()
        .map(|(m, (pattern, check))| {
            let alone = |set: &&Vec<f64>| {
                out(set, m) && (0..bands.len()).filter(|o| out(set, *o)).count() == 1
            };
            let all: Vec<f64> = values.iter().map(|v| v[m]).collect();
            let of_kept: Vec<f64> = kept.iter().map(|&d| values[d][m]).collect();
            Measure {
                pattern: pattern.clone(),
                measure: check.measure.clone(),
                words: check.words.clone(),
                band: bands[m],
                outside: values.iter().filter(|v| out(v, m)).count(),
                alone: values.iter().filter(alone).count(),
                tried: middle(&all).unwrap_or([0.0; 3]),
                kept: middle(&of_kept),
            }
        })
        .collect()
}

/// The pests that can be calibrated.
pub fn pests() -> Vec<String> {
    rules().pests.into_iter().map(|p| p.pest).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_layout_of_the_rules_is_known_and_gives_its_measures() {
        for rule in rules().pests {
            for part in &rule.parts {
                let (layout, measure) = layout(&part.layout).expect("known");
                let all = layout
                    .run(crate::study::layout::Runs {
                        summers: 2,
                        seed: 1,
                        watch: &crate::engine::ensemble::Unwatched,
                    })
                    .expect("nobody stops it");
                let mut values = Values::default();
                measure(&mut values, &all);
                for name in &part.measures {
                    assert!(values.get(&name.measure).is_some(), "{}", name.measure);
                }
            }
        }
    }

    #[test]
    fn the_bands_of_a_task_are_those_of_the_file_of_patterns() {
        let task = Task::of("japanese-beetle", Some(4), 1, &Changes::default())
            .expect("has rules")
            .expect("reads");
        let file = crate::catalogue::patterns::patterns();
        for (pattern, check) in &task.checks {
            let known = file.patterns.iter().find(|p| p.id == *pattern);
            assert!(known.is_some_and(|p| p.checks.contains(check)));
        }
        assert_eq!(task.parameters.len(), task.pest.numbers.len());
        assert!(Task::of("codling-moth", None, 1, &Changes::default()).is_none());
    }
}
