//! `summary.json`: the numbers of a run for other programs.

use crate::catalogue::believe::Believe;
use crate::count::outcome::{
    AnswerAccount, InsectAccount, PlanOutcome, Ring, RunOutcome, Standing,
};
use crate::report::compare_data::word;
use crate::report::words::{believe_in, believe_least, grade_in_words, weakest_grade};
use crate::scenario::Scenario;
use crate::stats::paired;
use crate::stats::quantile::dots;
use crate::stats::spread::mean;
use serde::Serialize;

#[derive(Serialize)]
struct Summary<'a> {
    format: u32,
    scenario: &'a str,
    seed: u64,
    summers: u32,
    most_summers: u32,
    preview: bool,
    settled: bool,
    tie_band: f64,
    plans: Vec<PlanSummary<'a>>,
    warnings: Vec<&'a String>,
    badge: Badge<'a>,
    believe: Believe,
}

#[derive(Serialize)]
struct Badge<'a> {
    level: &'a str,
    reason: &'a str,
    weakest_grade: &'a str,
}

#[derive(Serialize)]
struct PlanSummary<'a> {
    name: &'a str,
    damage: Damage,
    against_first: Option<Against>,
    believe: Believe,
    caught_mean: f64,
    female_share_of_catch: Option<f64>,
    insects: &'a InsectAccount,
    answers: &'a AnswerAccount,
    crops: Vec<Named<'a>>,
    plots: Vec<Named<'a>>,
    rings: &'a [Ring],
}

#[derive(Serialize)]
struct Damage {
    mean: f64,
    standard_error: f64,
    plain_mean: f64,
    plain_standard_error: f64,
    dots: Vec<f64>,
    unit: String,
}

#[derive(Serialize)]
struct Against {
    more_of_20: usize,
    no_change_of_20: usize,
    less_of_20: usize,
    dots: Vec<f64>,
    word: String,
    word_settled: bool,
    mean: f64,
    standard_error: f64,
    plain_mean: f64,
    plain_standard_error: f64,
}

#[derive(Serialize)]
struct Named<'a> {
    name: &'a str,
    damage: Option<f64>,
}

/// The unit of every damage number, for example "leaves chewed of 100".
pub fn damage_unit(scenario: &Scenario) -> String {
    let guild = scenario.pest.guild;
    format!("{} {} of 100", guild.damage_noun(), guild.damage_verb())
}

/// The summary as JSON text.
pub fn summary(scenario: &Scenario, outcome: &RunOutcome) -> String {
    let first = outcome.plans.first();
    let plans = outcome
        .plans
        .iter()
        .enumerate()
        .map(|(i, plan)| {
            let own = believe_in(scenario, &scenario.plans[i]);
            plan_summary(scenario, (plan, own), first.filter(|_| i > 0))
        })
        .collect();
    let summary = Summary {
        format: 1,
        scenario: &scenario.name,
        seed: outcome.seed,
        summers: outcome.summers,
        most_summers: outcome.most,
        preview: outcome.standing() == Standing::Preview,
        settled: outcome.standing() == Standing::Settled,
        tie_band: scenario.settings.tie_band,
        plans,
        warnings: scenario.warnings.iter().chain(&outcome.warnings).collect(),
        badge: Badge {
            level: &scenario.pest.badge,
            reason: &scenario.pest.badge_reason,
            weakest_grade: grade_in_words(weakest_grade(scenario)),
        },
        believe: believe_least(scenario),
    };
    pretty(&summary)
}

/// JSON with two-space indents and a final line break.
pub(crate) fn pretty(value: &impl Serialize) -> String {
    serde_json::to_string_pretty(value).expect("plain data always serialise") + "\n"
}

/// JSON on one line with a final line break, for files that programs read.
pub(crate) fn compact(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("plain data always serialise") + "\n"
}

fn plan_summary<'a>(
    scenario: &'a Scenario,
    (plan, believe): (&'a PlanOutcome, Believe),
    first: Option<&PlanOutcome>,
) -> PlanSummary<'a> {
    let against_first = first.map(|first| {
        let differences = paired::differences(&first.damage_by_summer, &plan.damage_by_summer);
        let count = paired::count(&differences, scenario.settings.tie_band);
        Against {
            more_of_20: count.more,
            no_change_of_20: count.no_change,
            less_of_20: count.less,
            dots: count.dots.to_vec(),
            word: word(&plan.word),
            word_settled: plan.word.settled,
            mean: plan.change.mean,
            standard_error: plan.change.error,
            plain_mean: plan.change.plain_mean,
            plain_standard_error: plan.change.plain_error,
        }
    });
    let catches: Vec<f64> = plan.caught_by_summer.iter().map(|c| *c as f64).collect();
    let crops = scenario
        .crops
        .iter()
        .zip(&plan.crop_damage)
        .map(|(c, d)| Named {
            name: &c.name,
            damage: Some(*d),
        });
    let plots = scenario
        .plots
        .iter()
        .zip(&plan.plot_damage)
        .map(|(p, d)| Named {
            name: &p.name,
            damage: *d,
        });
    PlanSummary {
        name: &plan.name,
        believe,
        damage: Damage {
            mean: plan.damage.mean,
            standard_error: plan.damage.error,
            plain_mean: plan.damage.plain_mean,
            plain_standard_error: plan.damage.plain_error,
            dots: dots(&plan.damage_by_summer).to_vec(),
            unit: damage_unit(scenario),
        },
        against_first,
        caught_mean: mean(&catches),
        female_share_of_catch: plan.female_share_of_catch,
        insects: &plan.insects,
        answers: &plan.answers,
        crops: crops.collect(),
        plots: plots.collect(),
        rings: &plan.rings,
    }
}
