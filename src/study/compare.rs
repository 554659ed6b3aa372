//! Plans set against one of them on the same summers: what a comparison needs beyond a run.

use crate::catalogue::{flag_of, nothing_known};
use crate::control::effort::{plus, times};
use crate::control::{Effort, Planted, range_of};
use crate::count::outcome::RunOutcome;
use crate::count::plans::PlanSummer;
use crate::count::prepare::{Prepared, Refusal};
use crate::count::seasons::{self, SeasonsOutcome};
use crate::count::summer::weighted_damage;
use crate::engine::ensemble::Watch;
use crate::engine::event::MatingAccount;
use crate::scenario::{Owner, Plan, Scenario};
use crate::stats::paired::{self, PairedCount};
use crate::stats::spread::{mean, standard_error};
use crate::study::finding::Finding;
use crate::study::run::Runner;
use crate::study::settle::Take;
use crate::study::spread::{self, PlanSpread};

/// Result of a comparison. The first plan is the one that all others are set against.
#[derive(Clone, Debug, PartialEq)]
pub struct CompareOutcome {
    /// The run behind it.
    pub run: RunOutcome,
    /// One entry a plan.
    pub plans: Vec<PlanCompared>,
    /// Variance of the differences of all plans under independent summers, over that under the same summers; `None`
    /// when nothing varies.
    pub pairing_overall: Option<f64>,
    /// Variance of the mean differences of all plans under independent draws, over what it is here; `None` when nothing
    /// varies.
    pub variance_cut_overall: Option<f64>,
    /// Luck and unknown biology apart, when asked for.
    pub spread: Option<Vec<PlanSpread>>,
    /// Several seasons, in an isolated yard that asks for them.
    pub seasons: Option<SeasonsOutcome>,
}

/// One plan of a comparison.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanCompared {
    /// Plan name.
    pub name: String,
    /// What it does against the first plan.
    pub finding: Finding,
    /// How many times smaller pairing makes the variance of the difference than independent summers would; `None`
    /// when the difference does not vary.
    pub pairing_factor: Option<f64>,
    /// Largest factor that any pairing could give with the two spreads: (sa² + sb²)/(sb − sa)², reached when the plans
    /// rank all summers alike on a straight line. `None` without a bound (equal spreads) and where nothing varies.
    pub pairing_limit: Option<f64>,
    /// How many times smaller the variance of the mean difference is than with independent draws for both plans and for
    /// every summer: by pairing, by using every fitted set equally often, and by what is known of each summer. `None` when
    /// the difference does not vary.
    pub variance_cut: Option<f64>,
    /// Insects caught by the asker's own traps, a summer.
    pub caught_mean: f64,
    /// Insects picked by hand or cleared, a summer.
    pub removed_mean: f64,
    /// Insects killed by other methods, a summer.
    pub killed_mean: f64,
    /// Dollars and minutes.
    pub effort: Effort,
    /// Flags about by-catch and pollination, each once.
    pub flags: Vec<String>,
    /// For each neighbour's plot: counts of 20 and mean change; `None` where nothing grows.
    pub plots: Vec<Option<(PairedCount, f64)>>,
    /// For each plant: summers with more, no change and less damage than under the first plan.
    pub plant_classes: Vec<[u32; 3]>,
    /// Who mated, summed over summers; all zero when mating is not followed.
    pub mating: MatingAccount,
}

/// How a comparison is run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct How {
    /// How many summers.
    pub take: Take,
    /// Whether luck and unknown biology are told apart.
    pub spread: bool,
}

/// What is kept of each summer.
struct Kept {
    plots: Vec<Vec<Vec<f64>>>,
    classes: Vec<Vec<[u32; 3]>>,
    mating: Vec<MatingAccount>,
}

/// Puts the plan of one name first; `None` when there is no such plan.
pub fn put_first(scenario: &mut Scenario, name: &str) -> Option<()> {
    let same = |p: &Plan| p.name.trim().to_lowercase() == name.trim().to_lowercase();
    let at = scenario.plans.iter().position(same)?;
    let plan = scenario.plans.remove(at);
    scenario.plans.insert(0, plan);
    Some(())
}

/// Sets every plan against the first.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
pub fn compare(
    prepared: &Prepared,
    how: How,
    watch: &dyn Watch,
) -> Result<CompareOutcome, Refusal> {
    compare_told(prepared, how, watch, &mut |_| {})
}

/// As [`compare`]; `told` is shown what is known after each stretch of summers.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
pub fn compare_told(
    prepared: &Prepared,
    how: How,
    watch: &dyn Watch,
    told: &mut dyn FnMut(&mut Runner),
) -> Result<CompareOutcome, Refusal> {
    let scenario = prepared.scenario;
    let n_plans = scenario.plans.len();
    let mut kept = Kept {
        plots: vec![vec![Vec::new(); scenario.plots.len()]; n_plans],
        classes: vec![vec![[0; 3]; scenario.plants.len()]; n_plans],
        mating: vec![MatingAccount::default(); n_plans],
    };
    let mut runner = Runner::new(prepared, false);
    let also = |plans: &[PlanSummer]| kept.add(scenario, plans);
    runner.take(how.take, watch, also, told)?;
    let run = runner.finish(watch)?;
    let series: Vec<&[f64]> = run
        .plans
        .iter()
        .map(|p| p.damage_by_summer.as_slice())
        .collect();
    let findings = Finding::all(scenario, &run).into_iter().enumerate();
    let plans: Vec<PlanCompared> = findings
        .map(|(k, finding)| compared(scenario, (&run, finding), &series, &kept, k))
        .collect();
    let pairing_overall = overall(&series);
    let variance_cut_overall = {
        let here: f64 = plans
            .iter()
            .map(|p| p.finding.change.error * p.finding.change.error)
            .sum();
        (here > 0.0).then(|| all_alone(&series) / f64::from(run.summers) / here)
    };
    let spread = if how.spread {
        Some(spread::spread(prepared, watch)?)
    } else {
        None
    };
    let seasons = seasons::seasons(prepared, run.summers, watch)?;
    Ok(CompareOutcome {
        run,
        plans,
        pairing_overall,
        variance_cut_overall,
        spread,
        seasons,
    })
}

impl Kept {
    fn add(&mut self, scenario: &Scenario, plans: &[PlanSummer]) {
        let band = scenario.settings.tie_band;
        let owner = |i: usize| scenario.crops[scenario.plants[i].crop].owner;
        for (k, plan) in plans.iter().enumerate() {
            for (plot, values) in self.plots[k].iter_mut().enumerate() {
                let theirs = |i: usize| owner(i) == Owner::Neighbour(plot);
                values.extend(weighted_damage(scenario, &plan.plant_damage, theirs));
            }
            let pairs = plans[0].plant_damage.iter().zip(&plan.plant_damage);
            for (class, (before, after)) in self.classes[k].iter_mut().zip(pairs) {
                let change = 100.0 * (after - before);
                let which = if change > band {
                    0
                } else {
                    1 + usize::from(change < -band)
                };
                class[which] += 1;
            }
            self.mating[k].add(&plan.tally.mating);
        }
    }
}

fn variance(values: &[f64]) -> f64 {
    standard_error(values).map_or(0.0, |se| se * se * values.len() as f64)
}

/// Variance of the difference of one plan to the first, if each had summers of its own.
fn alone(series: &[&[f64]], k: usize) -> f64 {
    variance(series[0]) + variance(series[k])
}

/// The same, summed over all plans.
fn all_alone(series: &[&[f64]]) -> f64 {
    (1..series.len()).map(|k| alone(series, k)).sum()
}

/// Largest variance cut that pairing can give: (sa² + sb²)/(sb − sa)².
fn largest_factor(a: &[f64], b: &[f64]) -> Option<f64> {
    let (va, vb) = (variance(a), variance(b));
    let gap = vb.sqrt() - va.sqrt();
    (gap != 0.0).then(|| (va + vb) / (gap * gap))
}

/// Total variance of the differences under independent summers over the total under the same summers.
fn overall(series: &[&[f64]]) -> Option<f64> {
    let (first, others) = series.split_first()?;
    let paired: f64 = others
        .iter()
        .map(|s| variance(&paired::differences(first, s)))
        .sum();
    (paired > 0.0).then(|| all_alone(series) / paired)
}

fn compared(
    scenario: &Scenario,
    (run, finding): (&RunOutcome, Finding),
    series: &[&[f64]],
    kept: &Kept,
    k: usize,
) -> PlanCompared {
    let band = scenario.settings.tie_band;
    let (plan, outcome) = (&scenario.plans[k], &run.plans[k]);
    let paired_variance = variance(&finding.changes);
    let alone = alone(series, k);
    let n = f64::from(run.summers);
    let error = finding.change.error;
    let plots = kept.plots[k].iter().zip(&kept.plots[0]);
    let caught: Vec<f64> = outcome.caught_by_summer.iter().map(|c| *c as f64).collect();
    PlanCompared {
        name: plan.name.clone(),
        variance_cut: (error > 0.0).then(|| alone / n / (error * error)),
        pairing_factor: (paired_variance > 0.0).then(|| alone / paired_variance),
        pairing_limit: (k > 0)
            .then(|| largest_factor(series[0], series[k]))
            .flatten(),
        caught_mean: mean(&caught),
        removed_mean: outcome.insects.removed as f64 / n,
        killed_mean: outcome.insects.killed as f64 / n,
        effort: effort(scenario, plan),
        flags: flags(scenario, plan),
        plots: plots
            .map(|(own, first)| {
                let change = paired::differences(first, own);
                (!change.is_empty()).then(|| (paired::count(&change, band), mean(&change)))
            })
            .collect(),
        plant_classes: kept.classes[k].clone(),
        mating: kept.mating[k],
        finding,
    }
}

/// Flags of a plan, each once; a neighbour's trap is not the asker's.
pub fn flags(scenario: &Scenario, plan: &Plan) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut add = |flag: &str| {
        if !out.iter().any(|f| f == flag) {
            out.push(flag.to_owned());
        }
    };
    for trap in plan.own_traps() {
        let (kind, lure) = (&scenario.trap_kinds[trap.kind], &scenario.lures[trap.lure]);
        add(flag_of(kind, lure));
    }
    for method in &plan.methods {
        add(method.flag());
    }
    if out.len() > 1 {
        out.retain(|f| f != nothing_known());
    }
    out
}

/// An arm's length round a plant that a cover must reach, metres.
const COVER_EDGE_M: f64 = 0.3;

/// Dollars and minutes of a plan over the window: its methods and the asker's own traps, or what the asker says.
pub fn effort(scenario: &Scenario, plan: &Plan) -> Effort {
    let planted = planted(scenario);
    let mut sum = Effort::default();
    for method in &plan.methods {
        sum.add(&method.effort(&planted));
    }
    for trap in plan.own_traps() {
        let days = trap.to_day - trap.from_day;
        let visits = trap.empty_every_d.map_or(1, |every| days.div_ceil(every));
        let (kind, lure) = (&scenario.trap_kinds[trap.kind], &scenario.lures[trap.lure]);
        // The last visit takes the trap down, and the first fill goes in when it is hung.
        let fills = if lure.bait { visits } else { 1 };
        let lures = f64::from(trap.n_lures) * f64::from(fills);
        let (a_trap, a_lure) = (&kind.costs, &lure.costs);
        sum.add(&Effort {
            dollars: plus(
                range_of(Some(&a_trap.dollars_per_trap)),
                times(range_of(Some(&a_lure.dollars_per_lure)), lures),
            ),
            minutes: plus(
                range_of(Some(&a_trap.minutes_to_hang)),
                times(range_of(Some(&a_trap.minutes_a_visit)), f64::from(visits)),
            ),
        });
    }
    if let Some(dollars) = plan.own_cost[0] {
        sum.dollars = [dollars; 3];
    }
    if let Some(minutes) = plan.own_cost[1] {
        sum.minutes = [minutes; 3];
    }
    sum
}

fn planted(scenario: &Scenario) -> Planted {
    let crops = &scenario.crops;
    Planted {
        plants: crops.iter().map(|c| c.count).collect(),
        ground_m2: crops
            .iter()
            .map(|c| {
                let plants = &scenario.plants[c.first..c.first + c.count];
                // Each plant's square; a cover also hangs down on both sides, which this counts in.
                let side = |canopy_m: f64| 2.0 * (canopy_m + COVER_EDGE_M);
                plants
                    .iter()
                    .map(|p| side(p.canopy_m) * side(p.canopy_m))
                    .sum()
            })
            .collect(),
        fruit: crops
            .iter()
            .map(|c| {
                c.kind
                    .fruit
                    .as_ref()
                    .map_or(0.0, crate::catalogue::Sourced::central)
                    * c.count as f64
            })
            .collect(),
        days: scenario.window.days,
    }
}
