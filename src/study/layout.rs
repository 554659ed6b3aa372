//! The invented layouts of the field patterns: a yard, a pest, plans, and what each plan did summer by summer.

use crate::count::outcome::AnswerAccount;
use crate::count::plans;
use crate::count::prepare::{Prepared, Refusal, prepare};
use crate::count::summer::weighted_damage;
use crate::engine::ensemble::{Watch, each_summer, run_plan};
use crate::engine::event::Observer;
use crate::engine::ground::{Ground, TICKS_PER_S};
use crate::scenario::{Fault, Scenario, read};
use crate::stats::spread::{mean, standard_error};
use crate::units::SECONDS_PER_HOUR;
use std::fmt::Write as _;

/// Name of the hourly weather that patterns may use: Newark, June to August 2013 (see scenarios/data/README.md).
const HOURLY: &str = "newark-2013-hourly.csv";
const HOURLY_WEATHER: &str = include_str!("../../scenarios/data/newark-2013-hourly.csv");

/// What one plan did, summer by summer.
#[derive(Clone, Debug, Default)]
pub(crate) struct Series {
    pub(crate) damage: Vec<f64>,
    /// Leaf area eaten, or fruit injured, of 100.
    pub(crate) loss: Vec<f64>,
    pub(crate) feeding_h: Vec<f64>,
    pub(crate) caught: Vec<f64>,
    pub(crate) plant_h: Vec<f64>,
    /// Damage of the plants of each crop.
    pub(crate) crop: Vec<Vec<f64>>,
    pub(crate) answers: AnswerAccount,
    /// Insects at the start.
    pub(crate) initial: Vec<f64>,
    pub(crate) seen: Vec<f64>,
}

/// Changed ranges, each a JSON object as a scenario writes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Changes {
    /// Of the pest, by name.
    pub pest_values: String,
    /// Of lures, by lure and name.
    pub lure_values: String,
    /// Of traps, by trap and name.
    pub trap_values: String,
}

impl Default for Changes {
    fn default() -> Changes {
        Changes {
            pest_values: "{}".into(),
            lure_values: "{}".into(),
            trap_values: "{}".into(),
        }
    }
}

/// How many summers, from which seed, and who watches.
#[derive(Clone, Copy)]
pub(crate) struct Runs<'a> {
    pub(crate) summers: u32,
    pub(crate) seed: u64,
    pub(crate) watch: &'a dyn Watch,
}

/// A yard, a pest and its plans.
pub(crate) struct Layout {
    pub(crate) yard_m: [f64; 2],
    pub(crate) crops: String,
    pub(crate) pest: &'static str,
    pub(crate) lure: &'static str,
    pub(crate) kind: &'static str,
    pub(crate) pressure: String,
    pub(crate) days: u32,
    pub(crate) plans: Vec<(String, Vec<[f64; 2]>, u32)>,
    /// Further parts of the scenario, each with a comma after it.
    pub(crate) more: &'static str,
    /// Plans without traps: name and methods as a scenario writes them.
    pub(crate) methods: Vec<(&'static str, &'static str)>,
}

impl Layout {
    /// One vine in the middle of a square yard of 24 m: the plant of the trials.
    pub(crate) fn vine(plans: Vec<(String, Vec<[f64; 2]>, u32)>) -> Layout {
        Layout {
            yard_m: [24.0, 24.0],
            crops: r#"[{"name":"vine","kind":"grape","single":[12,12]}]"#.into(),
            pest: "japanese-beetle",
            lure: "japanese-beetle-both",
            kind: "bucket",
            pressure: r#"{"pressure":{"on_plants_a_day":[1,3]}}"#.into(),
            days: 14,
            plans,
            more: "",
            methods: Vec::new(),
        }
    }

    fn text(&self, summers: u32, seed: u64, changes: &Changes) -> String {
        let pest = format!(
            r#"{{"base":"{}","overrides":{}}}"#,
            self.pest, changes.pest_values
        );
        let mut plans = String::from(r#"{"name":"no trap","traps":[]}"#);
        for (name, traps, lures) in &self.plans {
            let hung: Vec<String> = traps
                .iter()
                .map(|[x, y]| {
                    format!(
                        r#"{{"at":[{x},{y}],"kind":"{}","lure":"{}","lures":{lures}}}"#,
                        self.kind, self.lure
                    )
                })
                .collect();
            write!(
                plans,
                r#",{{"name":"{name}","traps":[{}]}}"#,
                hung.join(",")
            )
            .expect("writing to a string cannot fail");
        }
        for (name, methods) in &self.methods {
            write!(plans, r#",{{"name":"{name}","methods":[{methods}]}}"#)
                .expect("writing to a string cannot fail");
        }
        format!(
            r#"{{"format":1,"title":"pattern","yard":{{"width":{},"depth":{}}},"crops":{},"surroundings":{},{}
            "wind":{{"usually_from":"west","strength":"light"}},"pest":{},"lure_values":{},"trap_values":{},
            "window":{{"days":{}}},"plans":[{plans}],"settings":{{"summers":{summers},"seed":{seed}}}}}"#,
            self.yard_m[0],
            self.yard_m[1],
            self.crops,
            self.pressure,
            self.more,
            pest,
            changes.lure_values,
            changes.trap_values,
            self.days
        )
    }

    /// The layout with changed ranges.
    ///
    /// # Errors
    /// The faults of the changes.
    pub(crate) fn changed(
        &self,
        summers: u32,
        seed: u64,
        changes: &Changes,
    ) -> Result<Scenario, Vec<Fault>> {
        let weather = |name: &str| match name {
            HOURLY => Ok(HOURLY_WEATHER.to_owned()),
            _ => Err(name.to_owned()),
        };
        read(&self.text(summers, seed, changes), "pattern", &weather)
    }

    pub(crate) fn scenario(&self, summers: u32, seed: u64) -> Scenario {
        self.changed(summers, seed, &Changes::default())
            .unwrap_or_else(|faults| {
                let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
                unreachable!(
                    "the layouts of the patterns are tested to read: {}",
                    said.join("; ")
                )
            })
    }

    /// Runs every plan on the same summers.
    pub(crate) fn run(&self, runs: Runs) -> Result<Vec<Series>, Refusal> {
        run_all(&self.scenario(runs.summers, runs.seed), runs)
    }
}

/// Runs every plan of a scenario on the same summers.
pub(crate) fn run_all(scenario: &Scenario, runs: Runs) -> Result<Vec<Series>, Refusal> {
    let prepared = prepare(scenario, runs.watch)?;
    let mut all = empty_series(scenario);
    let one = |summer: u32| simulate(&prepared, &Ground::for_summer(scenario, summer));
    each_summer(0..runs.summers, runs.watch, one, |_, seen| {
        for (series, one) in all.iter_mut().zip(&seen) {
            series.push(one);
        }
    })?;
    Ok(all)
}

/// Share, with its error, of what an observer of the second plan counts: some of all.
pub(crate) fn share_of<O: Observer>(
    scenario: &Scenario,
    runs: Runs,
    begin: impl Fn(&Ground) -> O + Sync,
    counts: impl Fn(&O) -> [u64; 2] + Sync,
) -> Result<(f64, f64), Refusal> {
    let prepared = prepare(scenario, runs.watch)?;
    let (mut some, mut all) = (Vec::new(), Vec::new());
    let one = |summer: u32| {
        let ground = Ground::for_summer(scenario, summer);
        let (mut lures, _, rules) = prepared.lures(&ground, &scenario.plans[1]);
        let mut seen = begin(&ground);
        let arrivals = prepared.arrivals(&ground);
        run_plan(&ground, &arrivals, &mut lures, &rules, &mut seen);
        counts(&seen).map(|n| n as f64)
    };
    each_summer(0..runs.summers, runs.watch, one, |_, [a, b]| {
        some.push(a);
        all.push(b);
    })?;
    Ok(ratio(&some, &all))
}

/// One plan in one summer, as a pattern reads it.
pub(crate) struct Seen {
    damage: f64,
    loss: f64,
    crop: Vec<f64>,
    plant_h: Vec<f64>,
    caught: f64,
    answers: AnswerAccount,
    initial: f64,
    on_plants: f64,
}

/// A series without summers for each plan.
pub(crate) fn empty_series(scenario: &Scenario) -> Vec<Series> {
    let one = Series {
        plant_h: vec![0.0; scenario.plants.len()],
        crop: vec![Vec::new(); scenario.crops.len()],
        ..Series::default()
    };
    vec![one; scenario.plans.len()]
}

/// All plans of a layout in one summer.
pub(crate) fn simulate(prepared: &Prepared, ground: &Ground) -> Vec<Seen> {
    let scenario = prepared.scenario;
    let of_crop = |damage: &[f64], k: usize| {
        weighted_damage(scenario, damage, |i| scenario.plants[i].crop == k).unwrap_or(0.0)
    };
    plans::summer(prepared, ground, &scenario.plans, None)
        .into_iter()
        .map(|plan| {
            let damage = &plan.plant_damage;
            let hours = |ticks: &u64| *ticks as f64 / (TICKS_PER_S * SECONDS_PER_HOUR);
            Seen {
                damage: weighted_damage(scenario, damage, |_| true).unwrap_or(0.0),
                loss: weighted_damage(scenario, &plan.plant_loss, |_| true).unwrap_or(0.0),
                crop: (0..scenario.crops.len())
                    .map(|k| of_crop(damage, k))
                    .collect(),
                plant_h: plan.tally.fed_ticks.iter().map(hours).collect(),
                caught: plan.tally.caught_total() as f64,
                answers: plan.tally.answers,
                initial: plan.tally.insects.initial as f64,
                on_plants: ground.seen_on_plants,
            }
        })
        .collect()
}

impl Series {
    /// Adds a summer.
    pub(crate) fn push(&mut self, one: &Seen) {
        self.damage.push(one.damage);
        self.loss.push(one.loss);
        for (crop, damage) in self.crop.iter_mut().zip(&one.crop) {
            crop.push(*damage);
        }
        self.feeding_h.push(one.plant_h.iter().sum());
        for (sum, h) in self.plant_h.iter_mut().zip(&one.plant_h) {
            *sum += h;
        }
        self.caught.push(one.caught);
        self.answers.add(&one.answers);
        self.initial.push(one.initial);
        self.seen.push(one.on_plants);
    }
}

/// A place at a distance and direction (degrees from east, counter-clockwise) from a centre.
pub(crate) fn around(centre: [f64; 2], distance: f64, degrees: f64) -> [f64; 2] {
    let (s, c) = libm::sincos(degrees.to_radians());
    // Whole millimetres keep the layout the same in the file and here.
    let mm = |v: f64| (v * 1000.0).round() / 1000.0;
    [mm(centre[0] + distance * c), mm(centre[1] + distance * s)]
}

/// Places on a ring, evenly spaced.
pub(crate) fn ring(n: usize, centre: [f64; 2], distance: f64) -> Vec<[f64; 2]> {
    (0..n)
        .map(|i| around(centre, distance, 360.0 * i as f64 / n as f64))
        .collect()
}

/// Differences, summer by summer.
pub(crate) fn minus(a: &[f64], b: &[f64]) -> Vec<f64> {
    a.iter().zip(b).map(|(a, b)| a - b).collect()
}

/// Sum.
pub(crate) fn sum(v: &[f64]) -> f64 {
    v.iter().sum()
}

/// Ratio of sums with its standard error (ratio estimate over paired summers).
pub(crate) fn ratio(a: &[f64], b: &[f64]) -> (f64, f64) {
    let r = sum(a) / sum(b).max(1e-9);
    let residual: Vec<f64> = a.iter().zip(b).map(|(a, b)| a - r * b).collect();
    let error = standard_error(&residual).unwrap_or(0.0) / mean(b).max(1e-9);
    (r, error)
}
