//! What the answer hangs on: each unknown held in turn at values across its range, on the same summers.
//!
//! The answer is the change of damage of one plan against the first (no trap), of 100, averaged over summers. All other
//! unknowns keep each summer's own draw, so every value meets the same summers, insects and luck.

use crate::catalogue::{
    Grade, HostValues, LureValues, ParameterInfo, PestValues, Sourced, TrapValues,
};
use crate::engine::ensemble::{Watch, each_summer};
use crate::engine::ground::{Ground, Held, study_uniform};
use crate::scenario::{Owner, Scenario};
use crate::stats::spread::{mean, standard_error};
use crate::stats::{morris, sequence, sobol};
use crate::tally::prepare::{Prepared, Refusal};
use crate::tally::run::plan_summer;
use crate::tally::summer::weighted_damage;
use serde::Serialize;

/// Values tried across each range, both ends included.
pub const LEVELS: usize = 7;
/// Grid levels of the screening.
pub const GRID_LEVELS: usize = 4;
/// Resamples behind the ranges of variance shares.
pub const RESAMPLES: usize = 400;
/// Inputs that the variance shares are computed for; the even sequence serves twice as many dimensions.
pub const MOST_SHARED: usize = 8;

/// A number that nobody knows, drawn anew for each summer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unknown {
    /// Whose it is, as the draws are keyed.
    pub id: String,
    /// Place in the parameter table of its kind.
    pub number: usize,
    /// Name in the catalogue files.
    pub key: String,
    /// Plain words.
    pub name: String,
    /// Unit of [`Self::low`] and [`Self::high`], for people.
    pub unit: String,
    /// Low end of the range.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Whether every factor, instead of every value, is equally likely.
    pub log: bool,
    /// How far the range can be trusted.
    pub grade: Grade,
    /// Where it comes from.
    pub source: String,
}

impl Unknown {
    fn new(id: &str, number: usize, key: &str, name: String, sourced: &Sourced) -> Option<Unknown> {
        let [low, high] = sourced.range.filter(|[low, high]| low < high)?;
        // Lengths are told in feet; everything else in the unit of its file.
        let (unit, factor) = match sourced.unit.as_str() {
            "m" => ("ft", 1.0 / crate::units::METRES_PER_FOOT),
            "m/s" => ("mph", 1.0 / crate::units::M_PER_S_PER_MPH),
            other => (other, 1.0),
        };
        Some(Unknown {
            id: id.to_owned(),
            number,
            key: key.to_owned(),
            name,
            unit: unit.to_owned(),
            low: low * factor,
            high: high * factor,
            log: sourced.spread == crate::catalogue::Spread::Log,
            grade: sourced.grade,
            source: sourced.source.clone(),
        })
    }

    /// The value at a quantile of the range, in [`Self::unit`].
    pub fn at(&self, quantile: f64) -> f64 {
        if self.log {
            let (a, b) = (libm::log(self.low), libm::log(self.high));
            libm::exp(a + (b - a) * quantile)
        } else {
            self.low + (self.high - self.low) * quantile
        }
    }

    fn held(&self, quantile: f64) -> Held {
        Held {
            id: self.id.clone(),
            number: self.number,
            quantile,
        }
    }
}

/// Plain words for a name of the parameter table; the name itself for one that is new.
pub fn plain_name(key: &str) -> &str {
    match key {
        "speed" => "speed on the move",
        "segment_mean" => "length of a straight stretch",
        "turn_sd" => "sharpness of turns",
        "bout_mean" => "length of a flight",
        "rest_mean" => "rest between flights",
        "daily_survival" => "survival from day to day",
        "residence_mean" => "stay on a plant",
        "late_feeding" => "feeding after the active hours",
        "damage_rate" => "damage in an hour of feeding",
        "female_share" => "share of females",
        "mated_on_arrival" => "share mated on arrival",
        "matings" => "matings of a female",
        "refractory" => "pause before the lure works again",
        "approach_segment" => "zigzag on the way to the lure",
        "approach_turn_sd" => "straying on the way to the lure",
        "approach_loss" => "losing the scent on the way",
        "plant_first" => "landing on a plant before the trap",
        "nearby_rest" => "pause beside the trap",
        "search_mean" => "length of the search after a miss",
        "search_segment" => "stretch of the search after a miss",
        "search_turn_sd" => "turns of the search after a miss",
        "homing" => "return to the same shelter",
        "body_width" => "width of the body",
        "reach" => "reach of the lure",
        "near_share" => "reach of the lure from upwind",
        "response" => "eagerness to answer the lure",
        "female_response" => "answer of females to the lure",
        "male_response" => "answer of males to the lure",
        "life" => "life of the lure",
        "capture" => "share the trap keeps",
        "land" => "share that lands by the trap",
        "arrestment" => "distance that counts as arrived",
        "capacity" => "insects that fill the trap",
        "detection" => "distance at which a plant is noticed",
        "acceptance" => "chance of landing on a plant",
        "units" => "leaf area or fruit of a plant",
        other => other,
    }
}

/// A number of an unknown with its unit, about three digits, in plain words.
pub fn with_unit(value: f64, unit: &str) -> String {
    match unit {
        "share" => format!("{} in 100", digits(100.0 * value)),
        "insects" | "count" => digits(value),
        "deg" => format!("{} degrees", digits(value)),
        "1/s" => format!("{} a second", digits(value)),
        "cm2/h" => format!("{} sq cm an hour", digits(value)),
        "m2" => format!("{} sq m", digits(value)),
        "d" => format!("{} days", digits(value)),
        other => format!("{} {other}", digits(value)),
    }
}

fn digits(value: f64) -> String {
    let places = match value.abs() {
        v if v >= 10.0 => 0,
        v if v >= 1.0 => 1,
        v if v >= 0.1 => 2,
        _ => 4,
    };
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Every unknown that the summers of a scenario draw, in a fixed order. Numbers without a range are left out.
pub fn unknowns(scenario: &Scenario) -> Vec<Unknown> {
    let mut all: Vec<Unknown> = Vec::new();
    let mut table = |id: String,
                     of: &str,
                     infos: &[ParameterInfo],
                     get: &dyn Fn(&str) -> Option<Sourced>| {
        // Two crops of one kind share their draws, so they are one unknown.
        if all.iter().any(|u| u.id == id) {
            return;
        }
        for (number, info) in infos.iter().enumerate() {
            let plain = plain_name(info.key);
            let name = if of.is_empty() {
                plain.to_owned()
            } else {
                format!("{plain} ({of})")
            };
            all.extend(get(info.key).and_then(|s| Unknown::new(&id, number, info.key, name, &s)));
        }
    };
    let pest = &scenario.pest;
    table(format!("pest:{}", pest.id), "", PestValues::TABLE, &|k| {
        pest.values.get(k).cloned()
    });
    let several = scenario.lures.len() > 1;
    for l in &scenario.lures {
        let of = if several { l.name.as_str() } else { "" };
        table(format!("lure:{}", l.id), of, LureValues::TABLE, &|k| {
            l.values.get(k).cloned()
        });
    }
    let several = scenario.trap_kinds.len() > 1;
    for t in &scenario.trap_kinds {
        let of = if several { t.name.as_str() } else { "" };
        table(format!("trap:{}", t.id), of, TrapValues::TABLE, &|k| {
            t.values.get(k).cloned()
        });
    }
    for c in &scenario.crops {
        let id = format!("crop:{}", c.kind.id);
        table(id, &c.kind.name, HostValues::TABLE, &|k| {
            c.host.get(k).cloned()
        });
    }
    if scenario.pressure.low < scenario.pressure.high {
        all.push(Unknown {
            id: "pressure".into(),
            number: 0,
            key: "pressure".into(),
            name: format!("{} on your plants at one look", pest.short),
            unit: "insects".into(),
            low: scenario.pressure.low,
            high: scenario.pressure.high,
            log: true,
            grade: Grade::Assumed,
            source: scenario.pressure.said.clone(),
        });
    }
    all
}

/// Averages over the summers at one point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Point {
    /// Damage without a trap, of 100.
    pub without: f64,
    /// Damage under the plan, of 100.
    pub with: f64,
    /// Their difference.
    pub change: f64,
    /// Its standard error over summers.
    pub error: f64,
}

/// Damage of the asker's plants of 100, without a trap and under the plan, in one summer.
fn pair(prepared: &Prepared, plan: usize, summer: u32, held: &[Held]) -> Result<[f64; 2], Refusal> {
    let scenario = prepared.scenario;
    let ground = Ground::for_summer_with(scenario, summer, held);
    prepared.check_size(&ground)?;
    let damage = |plan: usize| {
        let (tally, _) = plan_summer(prepared, &ground, &scenario.plans[plan], None);
        let by_plant = tally.plant_damage(&ground, scenario.pest.guild);
        let mine = |i: usize| scenario.crops[scenario.plants[i].crop].owner == Owner::Mine;
        weighted_damage(scenario, &by_plant, mine).unwrap_or(0.0)
    };
    Ok([damage(0), damage(plan)])
}

/// Both damages in every summer.
fn series(
    prepared: &Prepared,
    plan: usize,
    summers: u32,
    watch: &dyn Watch,
) -> Result<Vec<[f64; 2]>, Refusal> {
    let mut all = Vec::with_capacity(summers as usize);
    let mut fault = None;
    each_summer(
        0..summers,
        watch,
        |summer| pair(prepared, plan, summer, &[]),
        |_, result| match result {
            Ok(damages) => all.push(damages),
            Err(refusal) => fault = fault.take().or(Some(refusal)),
        },
    )?;
    fault.map_or(Ok(all), Err)
}

/// Averages at each point over the same summers.
///
/// # Errors
/// [`Refusal`] when stopped or when a point holds too many insects.
pub fn evaluate(
    prepared: &Prepared,
    plan: usize,
    points: &[Vec<Held>],
    summers: u32,
    watch: &dyn Watch,
) -> Result<Vec<Point>, Refusal> {
    let mut sums = vec![[0.0_f64; 4]; points.len()];
    let mut fault = None;
    let jobs = points.len() as u32 * summers;
    each_summer(
        0..jobs,
        watch,
        |job| {
            pair(
                prepared,
                plan,
                job % summers,
                &points[(job / summers) as usize],
            )
        },
        |job, result| match result {
            Ok([without, with]) => {
                let sum = &mut sums[(job / summers) as usize];
                let change = with - without;
                for (s, v) in sum.iter_mut().zip([without, with, change, change * change]) {
                    *s += v;
                }
            }
            Err(refusal) => fault = fault.take().or(Some(refusal)),
        },
    )?;
    if let Some(refusal) = fault {
        return Err(refusal);
    }
    let n = f64::from(summers);
    Ok(sums
        .iter()
        .map(|[without, with, change, squares]| {
            let m = change / n;
            let variance = (squares / n - m * m).max(0.0) * n / (n - 1.0).max(1.0);
            Point {
                without: without / n,
                with: with / n,
                change: m,
                error: (variance / n).sqrt(),
            }
        })
        .collect())
}

/// One value of an unknown and what the answer is there.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Level {
    /// Quantile of the range.
    pub quantile: f64,
    /// Value in the unknown's unit.
    pub value: f64,
    /// The answer.
    #[serde(flatten)]
    pub point: Point,
}

/// One unknown across its range.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sweep {
    /// The unknown.
    pub unknown: Unknown,
    /// Its values, ascending.
    pub levels: Vec<Level>,
    /// Largest answer less the smallest, of 100.
    pub swing: f64,
}

/// What the average change amounts to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// More damage than without a trap, by more than the tie band.
    More,
    /// A change within the tie band.
    NoChange,
    /// Less damage.
    Less,
}

/// The verdict on an average change.
pub fn verdict(change: f64, tie_band: f64) -> Verdict {
    if change > tie_band {
        Verdict::More
    } else if change < -tie_band {
        Verdict::Less
    } else {
        Verdict::NoChange
    }
}

/// A number that turns the verdict.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Flip {
    /// Index in [`Study::sweeps`].
    pub sweep: usize,
    /// Value beyond which the verdict differs, in the unknown's unit.
    pub at: f64,
    /// True when the other verdict holds above the value, false when below.
    pub above: bool,
    /// The other verdict.
    pub to: Verdict,
    /// Whether it stands out from chance: more than two standard errors beyond the edge.
    pub sure: bool,
}

/// Turns of one sweep. The value is interpolated between neighbours, in the quantile of the range.
///
/// Looks from the verdict `base` outwards: one turn for each end of the range at most.
pub fn flips(
    sweep: usize,
    levels: &[Level],
    unknown: &Unknown,
    base: Verdict,
    tie_band: f64,
) -> Vec<Flip> {
    let of = |l: &Level| verdict(l.point.change, tie_band);
    let mut found = Vec::new();
    for above in [true, false] {
        let end = if above { levels.last() } else { levels.first() };
        let Some(end) = end.filter(|l| of(l) != base) else {
            continue;
        };
        let mut order: Vec<&Level> = levels.iter().collect();
        if above {
            order.reverse();
        }
        // From the end inwards to the first value where the usual verdict holds.
        let Some(inner) = order.iter().position(|l| of(l) == base) else {
            continue;
        };
        let (inside, outside) = (order[inner], order[inner - 1]);
        let edge = edge(base, of(outside), tie_band);
        let (a, b) = (inside.point.change - edge, outside.point.change - edge);
        let share = if a == b {
            0.5
        } else {
            (a / (a - b)).clamp(0.0, 1.0)
        };
        let quantile = inside.quantile + share * (outside.quantile - inside.quantile);
        let beyond = order[..inner]
            .iter()
            .any(|l| (l.point.change - edge).abs() > 2.0 * l.point.error);
        found.push(Flip {
            sweep,
            at: unknown.at(quantile),
            above,
            to: of(end),
            sure: beyond,
        });
    }
    found
}

/// The change at which one verdict gives way to another.
fn edge(from: Verdict, to: Verdict, tie_band: f64) -> f64 {
    match (from, to) {
        (Verdict::More, _) | (Verdict::NoChange, Verdict::More) => tie_band,
        _ => -tie_band,
    }
}

/// How the average settles with more summers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Settling {
    /// Number of summers, average change of the first so many, standard error.
    pub steps: Vec<SettlingStep>,
    /// Standard deviation of the change from summer to summer.
    pub spread: f64,
    /// Summers after which two standard errors are half a tie band, in steps of 50.
    pub recommended: u32,
}

/// One step of [`Settling`].
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SettlingStep {
    /// Summers.
    pub summers: u32,
    /// Average change.
    pub change: f64,
    /// Its standard error.
    pub error: f64,
}

/// How the average of a series settles.
pub fn settling(changes: &[f64], tie_band: f64) -> Settling {
    let mut counts: Vec<usize> = [10, 20, 50, 100, 200, 500, 1000, 2000, 5000]
        .into_iter()
        .filter(|n| *n < changes.len())
        .collect();
    counts.push(changes.len());
    let steps = counts
        .iter()
        .map(|&n| SettlingStep {
            summers: n as u32,
            change: mean(&changes[..n]),
            error: standard_error(&changes[..n]).unwrap_or(0.0),
        })
        .collect();
    let n = changes.len() as f64;
    let spread = standard_error(changes).unwrap_or(0.0) * n.sqrt();
    let need = 4.0 * spread / tie_band.max(1e-6);
    let recommended = (need * need / 50.0).ceil().clamp(1.0, 20_000.0) as u32 * 50;
    Settling {
        steps,
        spread,
        recommended,
    }
}

/// Screening result of one unknown.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Screened {
    /// Index in [`Study::sweeps`].
    pub sweep: usize,
    /// Mean effect of a step over the whole range.
    pub mu: f64,
    /// Mean size of the effect.
    pub mu_star: f64,
    /// Its standard error.
    pub mu_star_error: f64,
    /// Standard deviation of the effects.
    pub sigma: f64,
}

/// Variance shares of one unknown: value, low and high end of the range.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Shared {
    /// Index in [`Study::sweeps`].
    pub sweep: usize,
    /// Of the unknown alone.
    pub first: [f64; 3],
    /// With everything it combines with.
    pub total: [f64; 3],
}

/// What to do besides the sweep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// The sweep only.
    OneAtATime,
    /// Elementary effects on the unknowns with the widest swing.
    Morris {
        /// How many unknowns.
        top: usize,
        /// How many paths.
        paths: usize,
        /// Summers at each point.
        summers: u32,
    },
    /// Variance shares of the unknowns with the widest swing, at most [`MOST_SHARED`].
    Sobol {
        /// How many unknowns.
        top: usize,
        /// Points of the base sample.
        base: usize,
        /// Summers at each point.
        summers: u32,
    },
}

/// A whole study.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Study {
    /// Index of the plan.
    pub plan: usize,
    /// Summers at each value of the sweep.
    pub summers: u32,
    /// The answer when every unknown is drawn, over the same summers as the sweep.
    pub base: Point,
    /// Verdict there.
    pub verdict: Verdict,
    /// Sweeps, widest swing first.
    pub sweeps: Vec<Sweep>,
    /// Turns of the verdict, sure ones first.
    pub flips: Vec<Flip>,
    /// How the average settles.
    pub settling: Settling,
    /// Screening, largest effect first.
    pub screened: Option<Vec<Screened>>,
    /// Variance shares, largest total first.
    pub shared: Option<Vec<Shared>>,
}

/// Simulated summers of a [`study`]; must stay below 2^32.
pub fn work(scenario: &Scenario, method: Method, summers: u32, settle: u32) -> u64 {
    let n = unknowns(scenario).len();
    let times = |points: usize, summers: u32| points as u64 * u64::from(summers);
    let sweep = times(n * LEVELS, summers);
    let more = match method {
        Method::OneAtATime => 0,
        Method::Morris {
            top,
            paths,
            summers,
        } => times(paths * (top.min(n) + 1), summers),
        Method::Sobol { top, base, summers } => times(base * (top.min(n) + 2), summers),
    };
    u64::from(settle.max(summers)) + sweep + more
}

/// Sweeps every unknown and, if asked, screens or shares out the widest.
///
/// Shape: `plan` is an index above 0; `summers` for each value; `settle` summers for the settling of the average.
///
/// # Errors
/// [`Refusal`] when stopped or when a point holds too many insects.
pub fn study(
    prepared: &Prepared,
    plan: usize,
    method: Method,
    summers: u32,
    settle: u32,
    watch: &dyn Watch,
) -> Result<Study, Refusal> {
    let scenario = prepared.scenario;
    let tie_band = scenario.settings.tie_band;
    let all = series(prepared, plan, settle.max(summers), watch)?;
    let changes: Vec<f64> = all.iter().map(|[without, with]| with - without).collect();
    let firsts = &all[..summers as usize];
    let base = Point {
        without: firsts.iter().map(|d| d[0]).sum::<f64>() / f64::from(summers),
        with: firsts.iter().map(|d| d[1]).sum::<f64>() / f64::from(summers),
        change: mean(&changes[..summers as usize]),
        error: standard_error(&changes[..summers as usize]).unwrap_or(0.0),
    };
    let usual = verdict(base.change, tie_band);
    let sweeps = sweep_all(prepared, plan, summers, watch)?;
    let mut turns: Vec<Flip> = sweeps
        .iter()
        .enumerate()
        .flat_map(|(i, s)| flips(i, &s.levels, &s.unknown, usual, tie_band))
        .collect();
    turns.sort_by_key(|f| !f.sure);
    let mut study = Study {
        plan,
        summers,
        base,
        verdict: usual,
        sweeps,
        flips: turns,
        settling: settling(&changes, tie_band),
        screened: None,
        shared: None,
    };
    match method {
        Method::OneAtATime => {}
        Method::Morris {
            top,
            paths,
            summers,
        } => study.screened = Some(screen(prepared, &study, top, paths, summers, watch)?),
        Method::Sobol { top, base, summers } => {
            study.shared = Some(share_out(prepared, &study, top, base, summers, watch)?);
        }
    }
    Ok(study)
}

fn sweep_all(
    prepared: &Prepared,
    plan: usize,
    summers: u32,
    watch: &dyn Watch,
) -> Result<Vec<Sweep>, Refusal> {
    let unknowns = unknowns(prepared.scenario);
    let quantile = |level: usize| level as f64 / (LEVELS - 1) as f64;
    let points: Vec<Vec<Held>> = unknowns
        .iter()
        .flat_map(|u| (0..LEVELS).map(|l| vec![u.held(quantile(l))]))
        .collect();
    let found = evaluate(prepared, plan, &points, summers, watch)?;
    let mut sweeps: Vec<Sweep> = unknowns
        .into_iter()
        .zip(found.chunks(LEVELS))
        .map(|(unknown, points)| {
            let levels: Vec<Level> = points
                .iter()
                .enumerate()
                .map(|(l, point)| Level {
                    quantile: quantile(l),
                    value: unknown.at(quantile(l)),
                    point: *point,
                })
                .collect();
            let (low, high) = points
                .iter()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| {
                    (a.min(p.change), b.max(p.change))
                });
            Sweep {
                unknown,
                levels,
                swing: high - low,
            }
        })
        .collect();
    sweeps.sort_by(|a, b| b.swing.total_cmp(&a.swing));
    Ok(sweeps)
}

/// Uniform numbers of a study, one after the other.
fn uniforms(seed: u64, study: &'static str) -> impl FnMut() -> f64 {
    let mut i = 0;
    move || {
        i += 1;
        study_uniform(seed, study, i)
    }
}

/// Points in the unit cube as held unknowns.
fn hold(study: &Study, points: &[Vec<f64>]) -> Vec<Vec<Held>> {
    points
        .iter()
        .map(|p| {
            p.iter()
                .zip(&study.sweeps)
                .map(|(q, s)| s.unknown.held(*q))
                .collect()
        })
        .collect()
}

fn screen(
    prepared: &Prepared,
    study: &Study,
    top: usize,
    n: usize,
    summers: u32,
    watch: &dyn Watch,
) -> Result<Vec<Screened>, Refusal> {
    let inputs = top.min(study.sweeps.len());
    let seed = prepared.scenario.settings.seed;
    let paths = morris::paths(inputs, n, GRID_LEVELS, uniforms(seed, "study:morris"));
    let flat: Vec<Vec<f64>> = paths.iter().flat_map(|p| p.points.clone()).collect();
    let found = evaluate(prepared, study.plan, &hold(study, &flat), summers, watch)?;
    let answers: Vec<Vec<f64>> = found
        .chunks(inputs + 1)
        .map(|points| points.iter().map(|p| p.change).collect())
        .collect();
    let mut all: Vec<Screened> = morris::effects(&paths, &answers)
        .iter()
        .enumerate()
        .map(|(sweep, e)| Screened {
            sweep,
            mu: e.mu,
            mu_star: e.mu_star,
            mu_star_error: e.mu_star_error,
            sigma: e.sigma,
        })
        .collect();
    all.sort_by(|a, b| b.mu_star.total_cmp(&a.mu_star));
    Ok(all)
}

fn share_out(
    prepared: &Prepared,
    study: &Study,
    top: usize,
    base: usize,
    summers: u32,
    watch: &dyn Watch,
) -> Result<Vec<Shared>, Refusal> {
    let inputs = top.min(study.sweeps.len()).min(MOST_SHARED);
    let seed = prepared.scenario.settings.seed;
    let mut uniform = uniforms(seed, "study:sobol");
    let shift: Vec<f64> = (0..2 * inputs).map(|_| uniform()).collect();
    let design = sobol::Design::new(&sequence::sobol_points(base, &shift));
    let points = hold(study, &design.points());
    let found = evaluate(prepared, study.plan, &points, summers, watch)?;
    let flat: Vec<f64> = found.iter().map(|p| p.change).collect();
    let three = |s: sobol::Share| [s.value, s.low, s.high];
    let mut all: Vec<Shared> = sobol::shares(&design.answers(&flat), RESAMPLES, uniform)
        .into_iter()
        .enumerate()
        .map(|(sweep, s)| Shared {
            sweep,
            first: three(s.first),
            total: three(s.total),
        })
        .collect();
    all.sort_by(|a, b| b.total[0].total_cmp(&a.total[0]));
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unknown() -> Unknown {
        Unknown {
            id: "lure:x".into(),
            number: 0,
            key: "reach".into(),
            name: "reach of the lure".into(),
            unit: "ft".into(),
            low: 0.0,
            high: 60.0,
            log: false,
            grade: Grade::Assumed,
            source: "invented".into(),
        }
    }

    fn levels(changes: &[f64]) -> Vec<Level> {
        let last = (changes.len() - 1) as f64;
        changes
            .iter()
            .enumerate()
            .map(|(i, &change)| Level {
                quantile: i as f64 / last,
                value: 60.0 * i as f64 / last,
                point: Point {
                    change,
                    error: 0.5,
                    ..Point::default()
                },
            })
            .collect()
    }

    #[test]
    fn a_flip_is_found_between_the_two_values_that_enclose_it() {
        // 5 at 20 ft, -3 at 10 ft; the edge of "more" at +1 lies half way down.
        let l = levels(&[-9.0, -3.0, 5.0, 6.0, 7.0, 8.0, 9.0]);
        let found = flips(3, &l, &unknown(), Verdict::More, 1.0);
        assert_eq!(found.len(), 1);
        assert!((found[0].at - 15.0).abs() < 1e-9, "{found:?}");
        assert!(!found[0].above && found[0].sure && found[0].to == Verdict::Less);
    }

    #[test]
    fn a_range_that_never_turns_has_no_flip_and_a_close_one_is_not_sure() {
        assert!(flips(0, &levels(&[4.0; 7]), &unknown(), Verdict::More, 1.0).is_empty());
        let l = levels(&[4.0, 4.0, 4.0, 4.0, 3.0, 2.0, 0.8]);
        let found = flips(0, &l, &unknown(), Verdict::More, 1.0);
        assert!(found[0].above && !found[0].sure && found[0].to == Verdict::NoChange);
    }

    #[test]
    fn settling_recommends_what_the_spread_asks_for() {
        let changes: Vec<f64> = (0..400)
            .map(|i| if i % 2 == 0 { 0.0 } else { 4.0 })
            .collect();
        let s = settling(&changes, 1.0);
        assert!((s.spread - 2.0).abs() < 0.01);
        // 2 standard errors of spread 2 are half a point at 64 summers.
        assert_eq!(s.recommended, 100);
        assert_eq!(s.steps.last().map(|s| s.summers), Some(400));
    }

    #[test]
    fn every_parameter_of_the_table_has_plain_words() {
        for table in [
            PestValues::TABLE,
            LureValues::TABLE,
            TrapValues::TABLE,
            HostValues::TABLE,
        ] {
            for info in table {
                assert_ne!(plain_name(info.key), info.key);
            }
        }
    }
}
