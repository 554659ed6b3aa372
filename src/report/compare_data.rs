//! `compare.json` and the tidy `compare.csv`.

use crate::catalogue::believe::Believe;
use crate::count::outcome::Standing;
use crate::count::seasons::SeasonsOutcome;
use crate::report::csv::{counted, harmless};
use crate::report::json::{damage_unit, pretty};
use crate::report::words::{believe_in, believe_least, grade_in_words, weakest_grade};
use crate::scenario::Scenario;
use crate::stats::paired::Told;
use crate::stats::words::Settled;
use crate::study::compare::{CompareOutcome, PlanCompared};
use crate::study::spread::PlanSpread;
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
pub(crate) struct Compare {
    pub(crate) format: u32,
    pub(crate) scenario: String,
    #[serde(skip_deserializing)]
    title: String,
    pub(crate) seed: u64,
    pub(crate) summers: u32,
    #[serde(skip_deserializing)]
    most_summers: u32,
    #[serde(default)]
    pub(crate) preview: bool,
    #[serde(skip_deserializing)]
    settled: bool,
    pub(crate) tie_band: f64,
    #[serde(skip_deserializing)]
    unit: String,
    #[serde(skip_deserializing)]
    against: String,
    #[serde(skip_deserializing)]
    pairing_overall: Option<f64>,
    #[serde(skip_deserializing)]
    variance_cut_overall: Option<f64>,
    pub(crate) plans: Vec<PlanRow>,
    #[serde(skip_deserializing, skip_serializing_if = "Option::is_none")]
    spread: Option<Vec<PlanSpread>>,
    #[serde(skip_deserializing, skip_serializing_if = "Option::is_none")]
    seasons: Option<SeasonsOutcome>,
    #[serde(skip_deserializing)]
    badge: String,
    #[serde(skip_deserializing)]
    believe: Option<Believe>,
    #[serde(skip_deserializing)]
    weakest_grade: String,
    #[serde(skip_deserializing)]
    warnings: Vec<String>,
    #[serde(skip_deserializing)]
    caution: String,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct PlanRow {
    pub(crate) name: String,
    #[serde(skip_deserializing)]
    against: String,
    #[serde(flatten)]
    pub(crate) told: Told,
    pub(crate) word: String,
    #[serde(skip_deserializing)]
    settled: bool,
    #[serde(skip_deserializing)]
    difference_mean: f64,
    #[serde(skip_deserializing)]
    difference_se: f64,
    #[serde(skip_deserializing)]
    difference_plain_mean: f64,
    #[serde(skip_deserializing)]
    difference_plain_se: f64,
    #[serde(default)]
    pub(crate) difference_dots: Option<[f64; 20]>,
    #[serde(skip_deserializing)]
    pairing_factor: Option<f64>,
    #[serde(skip_deserializing)]
    pairing_limit: Option<f64>,
    #[serde(skip_deserializing)]
    variance_cut: Option<f64>,
    pub(crate) damage_mean: f64,
    #[serde(skip_deserializing)]
    damage_se: f64,
    #[serde(skip_deserializing)]
    damage_plain_mean: f64,
    #[serde(skip_deserializing)]
    damage_plain_se: f64,
    #[serde(skip_deserializing)]
    damage_dots: [f64; 20],
    /// Leaf area eaten, of 100; null where fruit is counted.
    #[serde(skip_deserializing)]
    eaten_mean: Option<f64>,
    pub(crate) caught_mean: f64,
    #[serde(skip_deserializing)]
    removed_mean: f64,
    #[serde(skip_deserializing)]
    killed_mean: f64,
    pub(crate) minutes: f64,
    #[serde(skip_deserializing)]
    minutes_range: [f64; 2],
    pub(crate) dollars: f64,
    #[serde(skip_deserializing)]
    dollars_range: [f64; 2],
    #[serde(skip_deserializing)]
    minutes_per_10_saved: Option<f64>,
    #[serde(skip_deserializing)]
    dollars_per_10_saved: Option<f64>,
    #[serde(default)]
    pub(crate) flags: Vec<String>,
    #[serde(skip_deserializing)]
    believe: Option<Believe>,
    #[serde(default)]
    pub(crate) plots: Vec<PlotRow>,
    #[serde(skip_deserializing, skip_serializing_if = "Option::is_none")]
    mating: Option<crate::count::outcome::MatingAccount>,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct PlotRow {
    pub(crate) name: String,
    pub(crate) damage_mean: Option<f64>,
    difference_mean: Option<f64>,
    more: Option<usize>,
    same: Option<usize>,
    less: Option<usize>,
    of: Option<usize>,
}

/// The verdict word of a plan as other programs read it, for example "usually less"; "less" where no word is settled, and "could go either way".
pub fn word(settled: &Settled) -> String {
    match (settled.word, settled.way) {
        (_, "") => "could go either way".into(),
        (Some(word), way) => format!("{} {way}", word.name()),
        (None, way) => way.into(),
    }
}

/// Middle value of dollars or minutes for each 10 of 100 saved; `None` when the plan saves less than the tie band.
pub fn per_10_saved(scenario: &Scenario, plan: &PlanCompared, middle: f64) -> Option<f64> {
    let saved = -plan.finding.change.mean;
    (saved > scenario.settings.tie_band.max(0.1)).then(|| 10.0 * middle / saved)
}

/// The comparison as JSON text.
pub fn json(scenario: &Scenario, outcome: &CompareOutcome) -> String {
    let against = outcome.plans.first().map_or("", |p| p.name.as_str());
    let run = &outcome.run;
    let rows = scenario
        .plans
        .iter()
        .zip(outcome.plans.iter().zip(&run.plans));
    pretty(&Compare {
        format: 1,
        scenario: scenario.name.clone(),
        title: scenario.title.clone(),
        seed: run.seed,
        summers: run.summers,
        most_summers: run.most,
        preview: run.standing() == Standing::Preview,
        settled: run.standing() == Standing::Settled,
        tie_band: scenario.settings.tie_band,
        unit: damage_unit(scenario),
        against: against.into(),
        pairing_overall: outcome.pairing_overall,
        variance_cut_overall: outcome.variance_cut_overall,
        plans: rows
            .map(|(written, (plan, raw))| PlanRow {
                name: plan.name.clone(),
                against: against.into(),
                told: plan.finding.count.told(),
                word: word(&plan.finding.word),
                settled: plan.finding.word.settled,
                difference_mean: plan.finding.change.mean,
                difference_se: plan.finding.change.error,
                difference_plain_mean: raw.change.plain_mean,
                difference_plain_se: raw.change.plain_error,
                difference_dots: Some(plan.finding.count.dots),
                pairing_factor: plan.pairing_factor,
                pairing_limit: plan.pairing_limit,
                variance_cut: plan.variance_cut,
                damage_mean: plan.finding.after(),
                damage_se: raw.damage.error,
                damage_plain_mean: raw.damage.plain_mean,
                damage_plain_se: raw.damage.plain_error,
                damage_dots: crate::stats::quantile::dots(&raw.damage_by_summer),
                eaten_mean: raw.eaten,
                caught_mean: plan.caught_mean,
                removed_mean: plan.removed_mean,
                killed_mean: plan.killed_mean,
                minutes: plan.effort.minutes[1],
                minutes_range: [plan.effort.minutes[0], plan.effort.minutes[2]],
                dollars: plan.effort.dollars[1],
                dollars_range: [plan.effort.dollars[0], plan.effort.dollars[2]],
                minutes_per_10_saved: per_10_saved(scenario, plan, plan.effort.minutes[1]),
                dollars_per_10_saved: per_10_saved(scenario, plan, plan.effort.dollars[1]),
                flags: plan.flags.clone(),
                believe: Some(believe_in(scenario, written)),
                plots: scenario
                    .plots
                    .iter()
                    .zip(&plan.plots)
                    .zip(&raw.plot_damage)
                    .map(|((plot, change), damage)| {
                        let told = change.map(|c| c.0.told());
                        PlotRow {
                            name: plot.name.clone(),
                            damage_mean: *damage,
                            difference_mean: change.map(|c| c.1),
                            more: told.map(|t| t.more),
                            same: told.map(|t| t.same),
                            less: told.map(|t| t.less),
                            of: told.map(|t| t.of),
                        }
                    })
                    .collect(),
                mating: (plan.mating.males > 0).then_some(plan.mating),
            })
            .collect(),
        spread: outcome.spread.clone(),
        seasons: outcome.seasons.clone(),
        badge: scenario.pest.badge.clone(),
        believe: Some(believe_least(scenario)),
        weakest_grade: grade_in_words(weakest_grade(scenario)).into(),
        warnings: [&scenario.warnings[..], &run.warnings].concat(),
        caution: crate::say::voice().get("caution.forecast").into(),
    })
}

/// The comparison as a tidy table: plan, object, quantity, value, unit.
///
/// # Panics
/// Never: rows are as long as the header and memory takes them.
pub fn csv(scenario: &Scenario, outcome: &CompareOutcome) -> String {
    let unit = damage_unit(scenario);
    let mut rows = vec![["plan", "object", "quantity", "value", "unit"].map(String::from)];
    for (plan, raw) in outcome.plans.iter().zip(&outcome.run.plans) {
        let mut add = |object: &str, quantity: &str, value: Option<f64>, unit: &str| {
            let value = value.map_or_else(String::new, |v| v.to_string());
            rows.push([
                harmless(&plan.name),
                harmless(object),
                quantity.to_owned(),
                value,
                unit.to_owned(),
            ]);
        };
        let mine = crate::report::words::yours(scenario);
        add(mine, "damage mean", Some(plan.finding.after()), &unit);
        add(mine, "damage standard error", Some(raw.damage.error), &unit);
        add(mine, "change mean", Some(plan.finding.change.mean), &unit);
        add(
            mine,
            "change standard error",
            Some(plan.finding.change.error),
            &unit,
        );
        for (quantity, n, of) in counted(&plan.finding.count) {
            add(mine, quantity, Some(n), &of);
        }
        for (i, dot) in plan.finding.count.dots.iter().enumerate() {
            add(
                mine,
                &format!("change dot {} of 20", i + 1),
                Some(*dot),
                &unit,
            );
        }
        add(mine, "pairing factor", plan.pairing_factor, "times");
        add(mine, "largest pairing factor", plan.pairing_limit, "times");
        add(mine, "variance cut in all", plan.variance_cut, "times");
        add(
            "insects",
            "caught",
            Some(plan.caught_mean),
            "insects a summer",
        );
        add(
            "insects",
            "removed",
            Some(plan.removed_mean),
            "insects a summer",
        );
        add(
            "insects",
            "killed",
            Some(plan.killed_mean),
            "insects a summer",
        );
        for (name, range) in [
            ("dollars", plan.effort.dollars),
            ("minutes", plan.effort.minutes),
        ] {
            for (end, value) in ["low", "middle", "high"].iter().zip(range) {
                add("effort", &format!("{name} {end}"), Some(value), name);
            }
            let saved = per_10_saved(scenario, plan, range[1]);
            add(
                "effort",
                &format!("{name} for each 10 of 100 saved"),
                saved,
                name,
            );
        }
        let plots = scenario.plots.iter().zip(&plan.plots).zip(&raw.plot_damage);
        for ((plot, change), damage) in plots {
            add(&plot.name, "damage mean", *damage, &unit);
            add(&plot.name, "change mean", change.map(|c| c.1), &unit);
            for (quantity, n, of) in counted(change.as_ref().map_or(&plan.finding.count, |c| &c.0))
            {
                add(&plot.name, quantity, change.map(|_| n), &of);
            }
        }
    }
    for plan in outcome.seasons.iter().flat_map(|s| &s.plans) {
        for (i, value) in plan.insects_of_100.iter().enumerate() {
            rows.push([
                harmless(&plan.name),
                format!("start of season {}", i + 1),
                "insects".into(),
                value.to_string(),
                "of 100 at the start".into(),
            ]);
        }
    }
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    for row in &rows {
        writer
            .write_record(row)
            .expect("writing to memory cannot fail and every row is as long as the header");
    }
    let bytes = writer.into_inner().expect("writing to memory cannot fail");
    String::from_utf8(bytes).expect("text in, text out")
}
