//! `summary.json`: the numbers of a run for other programs.

use crate::catalogue::believe::Believe;
use crate::count::outcome::{
    AnswerAccount, InsectAccount, PlanOutcome, Ring, RunOutcome, Standing,
};
use crate::report::compare_data::word;
use crate::report::words::{believe_in, believe_least, grade_in_words, weakest_grade};
use crate::scenario::Scenario;
use crate::stats::paired::Told;
use crate::stats::quantile::dots;
use crate::stats::spread::mean;
use crate::study::finding::Finding;
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
pub(crate) struct Summary {
    pub(crate) format: u32,
    pub(crate) scenario: String,
    pub(crate) seed: u64,
    pub(crate) summers: u32,
    #[serde(skip_deserializing)]
    most_summers: u32,
    pub(crate) preview: bool,
    #[serde(skip_deserializing)]
    settled: bool,
    pub(crate) tie_band: f64,
    pub(crate) plans: Vec<PlanSummary>,
    #[serde(skip_deserializing)]
    warnings: Vec<String>,
    #[serde(skip_deserializing)]
    badge: Badge,
    #[serde(skip_deserializing)]
    believe: Option<Believe>,
}

#[derive(Default, Serialize)]
struct Badge {
    level: String,
    reason: String,
    weakest_grade: String,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct PlanSummary {
    pub(crate) name: String,
    pub(crate) damage: Damage,
    pub(crate) against_first: Option<Against>,
    #[serde(skip_deserializing)]
    believe: Option<Believe>,
    pub(crate) caught_mean: f64,
    #[serde(skip_deserializing)]
    female_share_of_catch: Option<f64>,
    #[serde(skip_deserializing)]
    insects: InsectAccount,
    pub(crate) answers: AnswerAccount,
    pub(crate) crops: Vec<Named>,
    #[serde(default)]
    pub(crate) plots: Vec<Named>,
    #[serde(skip_deserializing)]
    rings: Vec<Ring>,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct Damage {
    pub(crate) mean: f64,
    #[serde(skip_deserializing)]
    standard_error: f64,
    #[serde(skip_deserializing)]
    plain_mean: f64,
    #[serde(skip_deserializing)]
    plain_standard_error: f64,
    #[serde(skip_deserializing)]
    dots: Vec<f64>,
    #[serde(skip_deserializing)]
    unit: String,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct Against {
    /// The counts as they are told; files of before 0.8 have those of the twenty dots only.
    #[serde(default)]
    pub(crate) told: Option<Told>,
    pub(crate) more_of_20: usize,
    pub(crate) no_change_of_20: usize,
    pub(crate) less_of_20: usize,
    pub(crate) dots: Vec<f64>,
    #[serde(default)]
    pub(crate) word: String,
    #[serde(skip_deserializing)]
    word_settled: bool,
    #[serde(skip_deserializing)]
    mean: f64,
    #[serde(skip_deserializing)]
    standard_error: f64,
    #[serde(skip_deserializing)]
    plain_mean: f64,
    #[serde(skip_deserializing)]
    plain_standard_error: f64,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct Named {
    pub(crate) name: String,
    pub(crate) damage: Option<f64>,
}

/// The unit of every damage number, for example "leaves chewed of 100".
pub fn damage_unit(scenario: &Scenario) -> String {
    let guild = scenario.pest.guild;
    format!("{} {} of 100", guild.damage_noun(), guild.damage_verb())
}

/// The summary as JSON text.
pub fn summary(scenario: &Scenario, outcome: &RunOutcome) -> String {
    let findings = Finding::all(scenario, outcome);
    let plans = outcome
        .plans
        .iter()
        .enumerate()
        .map(|(i, plan)| {
            let own = believe_in(scenario, &scenario.plans[i]);
            plan_summary(scenario, (plan, own), findings.get(i).filter(|_| i > 0))
        })
        .collect();
    let summary = Summary {
        format: 1,
        scenario: scenario.name.clone(),
        seed: outcome.seed,
        summers: outcome.summers,
        most_summers: outcome.most,
        preview: outcome.standing() == Standing::Preview,
        settled: outcome.standing() == Standing::Settled,
        tie_band: scenario.settings.tie_band,
        plans,
        warnings: [&scenario.warnings[..], &outcome.warnings].concat(),
        badge: Badge {
            level: scenario.pest.badge.clone(),
            reason: scenario.pest.badge_reason.clone(),
            weakest_grade: grade_in_words(weakest_grade(scenario)).into(),
        },
        believe: Some(believe_least(scenario)),
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

fn plan_summary(
    scenario: &Scenario,
    (plan, believe): (&PlanOutcome, Believe),
    finding: Option<&Finding>,
) -> PlanSummary {
    let against_first = finding.map(|finding| {
        let Finding { count, change, .. } = finding;
        Against {
            told: Some(count.told()),
            more_of_20: count.more,
            no_change_of_20: count.no_change,
            less_of_20: count.less,
            dots: count.dots.to_vec(),
            word: word(&finding.word),
            word_settled: finding.word.settled,
            mean: change.mean,
            standard_error: change.error,
            plain_mean: change.plain_mean,
            plain_standard_error: change.plain_error,
        }
    });
    let catches: Vec<f64> = plan.caught_by_summer.iter().map(|c| *c as f64).collect();
    let crops = scenario
        .crops
        .iter()
        .zip(&plan.crop_damage)
        .map(|(c, d)| Named {
            name: c.name.clone(),
            damage: Some(*d),
        });
    let plots = scenario
        .plots
        .iter()
        .zip(&plan.plot_damage)
        .map(|(p, d)| Named {
            name: p.name.clone(),
            damage: *d,
        });
    PlanSummary {
        name: plan.name.clone(),
        believe: Some(believe),
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
        insects: plan.insects,
        answers: plan.answers,
        crops: crops.collect(),
        plots: plots.collect(),
        rings: plan.rings.clone(),
    }
}
