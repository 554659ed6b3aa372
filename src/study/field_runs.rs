//! The patterns written down on 2026-11-28: the trials of the beetle in leaf area, and field trials of other layouts.

use crate::count::prepare::{Refusal, prepare};
use crate::engine::clock::Clock;
use crate::engine::ensemble::{StopOnly, each_summer};
use crate::engine::event::{Event, Fate, Observer};
use crate::engine::ground::{Ground, study_uniform};
use crate::say::say;
use crate::scenario::Weather;
use crate::stats::spread::{mean, standard_error};
use crate::study::layout::{
    Changes, Layout, Runs, around, empty_series, minus, ratio, ring, run_all, share_of, simulate,
};
use crate::study::pattern_runs::{catches, one_trap_of_moths, picked_vines, yearly};
use crate::study::patterns::{Values, field, four_places, males_caught, moth_square};
use crate::units::SECONDS_PER_HOUR;

/// Runs them all.
pub(crate) fn all(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    one_trap(values, runs)?;
    three_traps(values, runs)?;
    picking(values, runs)?;
    years(values, runs)?;
    let moths = moth_square("[0.2,0.5]", 28).run(runs)?;
    values.ratio("p13b-caught-share", males_caught(&moths));
    weeks(values, runs)?;
    baited_tree(values, runs)?;
    stations(values, runs)?;
    hours_of_catch(values, runs)?;
    night_feeding(values, runs)?;
    slugs(values, runs)
}

/// A potted vine, as in the trials, with half a square metre of leaf.
fn potted(plans: Vec<(String, Vec<[f64; 2]>, u32)>, days: u32) -> Layout {
    let mut layout = Layout::vine(plans);
    layout.crops =
        r#"[{"name":"vine","kind":"grape","single":[12,12],"values":{"units":[0.3,0.8]}}]"#.into();
    layout.days = days;
    layout
}

/// Loss of a plant without a trap in the trials, of 100 of its leaf area: summers with another loss do not count.
const LOSS: std::ops::RangeInclusive<f64> = 10.0..=40.0;

/// The loss of each plan in the summers that count, half as many as elsewhere. The pressure is a nuisance: each summer it is
/// the one that would make the plant without a trap lose a share drawn from [`LOSS`], by the summer's own rate and leaf
/// area. Summers that would need more than `most_seen` insects on the plant are passed over: they are too heavy to run.
fn as_in_the_trial(layout: &Layout, most_seen: f64, runs: Runs) -> Result<Vec<Vec<f64>>, Refusal> {
    let scenario = layout.scenario(runs.summers, runs.seed);
    let prepared = prepare(&scenario, runs.watch)?;
    let wanted = (runs.summers as usize).div_ceil(2).max(2);
    let mut loss: Vec<Vec<f64>> = vec![Vec::new(); scenario.plans.len()];
    let one = |summer: u32| {
        let mut ground = Ground::for_summer(&scenario, summer);
        let share = study_uniform(runs.seed, "loss in the trial", summer as usize);
        let lost = 0.01 * (LOSS.start() + (LOSS.end() - LOSS.start()) * share);
        let days = f64::from(ground.clock.days);
        let hours = (ground.clock.end_s() + days * ground.pest.late_feeding) / SECONDS_PER_HOUR;
        let eaten = -libm::log1p(-lost) * ground.units[0];
        ground.seen_on_plants = eaten / (ground.pest.damage_rate * hours);
        (ground.seen_on_plants <= most_seen).then(|| simulate(&prepared, &ground))
    };
    let step = runs.summers.max(4);
    for begin in (0..100 * step).step_by(step as usize) {
        let mut all = empty_series(&scenario);
        each_summer(
            begin..begin + step,
            &StopOnly(runs.watch),
            one,
            |_, seen| {
                for (series, one) in all.iter_mut().zip(seen.iter().flatten()) {
                    series.push(one);
                }
            },
        )?;
        let counts = (0..all[0].loss.len()).filter(|s| LOSS.contains(&all[0].loss[*s]));
        for s in counts {
            for (kept, series) in loss.iter_mut().zip(&all) {
                kept.push(series.loss[s]);
            }
        }
        if loss[0].len() >= wanted {
            break;
        }
    }
    runs.watch.advance(runs.summers);
    Ok(loss)
}

/// P1b: one trap in four places.
fn one_trap(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let loss = as_in_the_trial(&potted(four_places(), 14), 10.0, runs)?;
    let ratios: Vec<(f64, f64)> = loss[1..5].iter().map(|l| ratio(l, &loss[0])).collect();
    let lowest = ratios.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0));
    values.ratio("p1b-lowest-ratio", lowest.unwrap_or((f64::NAN, 0.0)));
    let far: Vec<f64> = loss[3]
        .iter()
        .zip(&loss[4])
        .map(|(a, b)| f64::midpoint(*a, *b))
        .collect();
    values.ratio("p1b-ratio-30-ft", ratio(&far, &loss[0]));
    Ok(())
}

/// P2b: three traps in two days.
fn three_traps(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    const VINE: [f64; 2] = [12.0, 12.0];
    let plans = vec![
        (
            say!("detail.layout.one-30"),
            vec![around(VINE, 9.3, 0.0)],
            1,
        ),
        (say!("detail.layout.three-30"), ring(3, VINE, 9.3), 1),
    ];
    let loss = as_in_the_trial(&potted(plans, 2), 60.0, runs)?;
    values.ratio("p2b-three-over-one", ratio(&loss[2], &loss[1]));
    values.mean("p2b-area-lost", &loss[2]);
    Ok(())
}

/// P9b: as P9, in leaf area.
fn picking(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let all = picked_vines().run(runs)?;
    let gain = |plan: usize| minus(&all[0].loss, &all[plan].loss);
    values.mean("p9b-evening-change", &minus(&all[1].loss, &all[0].loss));
    values.ratio("p9b-evening-share", ratio(&gain(1), &gain(2)));
    Ok(())
}

/// P11b: an isolated field of 1.9 ha over four years, with one trap and with eight.
fn years(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let mut layout = field(
        r#"{"pressure":{"on_plants_a_day":[10,40]},"setting":"isolated","margin":"100 ft","seasons":4}"#,
    );
    let edge = [
        [2.0, 33.5],
        [89.0, 33.5],
        [15.0, 2.0],
        [45.5, 2.0],
        [76.0, 2.0],
        [15.0, 65.0],
        [45.5, 65.0],
        [76.0, 65.0],
    ];
    layout.plans = vec![
        ("one trap".into(), vec![edge[0]], 1),
        ("eight traps".into(), edge.to_vec(), 1),
    ];
    let factor = yearly(&layout, runs)?;
    values.plain("p11b-one-trap", factor[1]);
    values.plain("p11b-eight-traps", factor[2]);
    Ok(())
}

/// Hours fit for flight from the hourly weather.
const WEATHER: &str = r#""weather":{"file":"newark-2013-hourly.csv"},"#;

/// P14b and A7: one trap's catch in single weeks of one weather year, the same moths; and the fit hours of its nights.
fn weeks(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let mut layout = one_trap_of_moths();
    layout.days = 7;
    layout.more = WEATHER;
    let scenario = layout.scenario(runs.summers, runs.seed);
    // A variance needs more repeats than a mean.
    let counts = catches(&scenario, 4 * runs.summers, runs)?;
    let m = mean(&counts);
    let squares: Vec<f64> = counts
        .iter()
        .map(|c| (c - m) * (c - m) / m.max(1e-9))
        .collect();
    values.ratio(
        "p14b-spread",
        (mean(&squares), standard_error(&squares).unwrap_or(0.0)),
    );
    let (hours, sd) = scenario
        .weather
        .as_ref()
        .map_or((f64::NAN, 0.0), Weather::hours_a_day);
    values.plain("a7-night-cv", sd / hours);
    Ok(())
}

/// A3: a lure without a trap in the middle tree of a row.
fn baited_tree(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let layout = Layout {
        yard_m: [44.0, 20.0],
        crops: r#"[{"name":"apples","kind":"apple","row":{"from":[6,10],"to":[38,10],"count":9}}]"#
            .into(),
        pest: "custom",
        lure: "custom",
        kind: "bucket",
        pressure: r#"{"pressure":"usual"}"#.into(),
        days: 14,
        plans: vec![("baited tree".into(), vec![[22.0, 10.0]], 1)],
        more: "",
        methods: Vec::new(),
    };
    let changes = Changes {
        trap_values: r#"{"bucket":{"capture":0,"late_capture":0}}"#.into(),
        ..Changes::default()
    };
    let scenario = layout
        .changed(runs.summers, runs.seed, &changes)
        .unwrap_or_else(|faults| unreachable!("tested to read: {faults:?}"));
    let all = run_all(&scenario, runs)?;
    let hours = &all[1].plant_h;
    let others = [0, 1, 2, 6, 7, 8].map(|i: usize| hours[i]);
    values.plain("a3-baited-over-others", hours[4] / mean(&others).max(1e-9));
    Ok(())
}

/// A4: a hectare of pears with two traps on opposite edges.
fn stations(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let layout = Layout {
        yard_m: [100.0, 100.0],
        crops:
            r#"[{"name":"pears","kind":"pear","block":{"from":[6,6],"to":[94,94],"count":[8,8]}}]"#
                .into(),
        pest: "brown-marmorated-stink-bug",
        lure: "stink-bug-aggregation",
        kind: "funnel",
        pressure: r#"{"pressure":"usual"}"#.into(),
        days: 21,
        plans: vec![("two traps".into(), vec![[2.0, 50.0], [98.0, 50.0]], 1)],
        more: "",
        methods: Vec::new(),
    };
    let all = layout.run(runs)?;
    values.ratio("a4-ratio", ratio(&all[1].damage, &all[0].damage));
    Ok(())
}

/// Counts the catch by whether it falls between two hours of the day.
struct Hours {
    clock: Clock,
    between: std::ops::Range<f64>,
    within: u64,
    all: u64,
}

impl Observer for Hours {
    fn hear(&mut self, event: &Event) {
        if let Event::Over {
            fate: Fate::Caught(_),
            t_s,
            ..
        } = *event
        {
            let hour = self.clock.hour_at(t_s);
            let before_end_h = (hour.ends_s - t_s) / SECONDS_PER_HOUR;
            let ends = self.clock.start_hour + (hour.of_day + 1) as f64;
            self.all += 1;
            self.within += u64::from(self.between.contains(&(ends - before_end_h)));
        }
    }
}

/// A5: hours of the catch in an hourly weather year.
fn hours_of_catch(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let mut layout = Layout::vine(vec![("trap".into(), vec![[18.0, 12.0]], 1)]);
    layout.pressure = r#"{"pressure":{"on_plants_a_day":[3,12]}}"#.into();
    layout.more = WEATHER;
    let scenario = layout.scenario(runs.summers, runs.seed);
    let begin = |ground: &Ground| Hours {
        clock: ground.clock.clone(),
        between: 13.0..15.0,
        within: 0,
        all: 0,
    };
    let (share, error) = share_of(&scenario, runs, begin, |seen| [seen.within, seen.all])?;
    values.ratio("a5-share-13-to-15", (100.0 * share, 100.0 * error));
    Ok(())
}

/// A6: the same vines with and without the call of leaves fed on overnight.
fn night_feeding(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let yard = |calls: bool| {
        let mut layout = picked_vines();
        layout.methods.clear();
        layout.pressure =
            format!(r#"{{"pressure":{{"on_plants_a_day":[20,60]}},"chewed_leaves_call":{calls}}}"#);
        layout.run(runs)
    };
    let (with, without) = (yard(true)?, yard(false)?);
    values.ratio("a6-more", ratio(&with[0].feeding_h, &without[0].feeding_h));
    Ok(())
}

/// A8: a bed of lettuce over six weeks.
fn slugs(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let layout = Layout {
        yard_m: [4.0, 3.0],
        crops: r#"[{"name":"lettuces","kind":"lettuce","block":{"from":[1,1],"to":[2.5,1.9],"count":[6,4]}}]"#
            .into(),
        pest: "gray-field-slug",
        lure: "slug-beer",
        kind: "cup",
        pressure: r#"{"pressure":"usual"}"#.into(),
        days: 42,
        plans: Vec::new(),
        more: "",
        methods: Vec::new(),
    };
    let all = layout.run(runs)?;
    values.mean("a8-level", &all[0].loss);
    Ok(())
}
