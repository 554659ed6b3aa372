//! Runs the field patterns: invented layouts after the published ones, all with the catalogue's own numbers and no
//! retuning between them.

use crate::catalogue::calibration::rules;
use crate::catalogue::ensemble::ensemble;
use crate::catalogue::patterns::{Check, Kin, Pattern, patterns};
use crate::count::prepare::Refusal;
use crate::engine::ensemble::Watch;
use crate::say::{say, voice};
use crate::stats::spread::{mean, standard_error};
use crate::study::layout::{Layout, Runs, Series, around, minus, ratio, ring, sum};
use crate::study::{field_runs, pattern_runs};
use serde::Serialize;

/// One measured number of a pattern.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measured {
    /// Name, as the bands use it.
    pub measure: String,
    /// The measure in words.
    pub words: String,
    /// Band in words.
    pub band: String,
    /// Simulated value.
    pub value: f64,
    /// Its standard error; 0 where it has none.
    pub error: f64,
    /// Middle 90 of 100 summers, where the measure has a value in each summer.
    pub spread: Option<[f64; 2]>,
    /// Whether it lies in its band.
    pub holds: bool,
}

/// Result of one pattern.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tested {
    /// The pattern with its bands.
    #[serde(flatten)]
    pub pattern: Pattern,
    /// `pass`, `fail` or `not run`.
    pub status: String,
    /// Whether the model's ranges were chosen with it in mind.
    pub tuned: bool,
    /// Day on which its bands were written.
    pub written: String,
    /// How far it stands from the numbers of the model.
    pub kin: Kin,
    /// Whether it asks for a size, not for a sign.
    pub quantitative: bool,
    /// All bands in words.
    pub band: String,
    /// All simulated values in words.
    pub simulated: String,
    /// The numbers.
    pub measured: Vec<Measured>,
    /// For a failure: what lies outside the band, and by how much.
    pub diagnosis: Option<String>,
}

/// One bar of the strongest check: damage with traps over damage without, under the same rules.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SameRules {
    /// Pattern it belongs to.
    pub id: String,
    /// Layout in words.
    pub layout: String,
    /// Ratio of mean feeding.
    pub ratio: f64,
    /// Ends of about two standard errors to each side.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// The whole report.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Evidence {
    /// Format number.
    pub format: u32,
    /// Seed.
    pub seed: u64,
    /// Summers of each layout.
    pub summers: u32,
    /// Day on which the bands were written.
    pub bands_written: String,
    /// What had been seen before that.
    pub honesty: String,
    /// Where the unknown numbers of the beetle and the stink bug come from.
    pub biology: String,
    /// The patterns.
    pub patterns: Vec<Tested>,
    /// The strongest single check.
    pub same_rules: Vec<SameRules>,
}

/// Summers that [`run`] will report to its watch, pilots included.
pub fn work(summers: u32) -> u32 {
    15 * (summers + crate::count::prepare::PILOT_SUMMERS)
        + crate::count::prepare::PILOT_SUMMERS
        + pattern_runs::repeats(summers)
}

/// Values by name.
#[derive(Default)]
pub(crate) struct Values(Vec<(&'static str, f64, f64, Option<[f64; 2]>)>);

impl Values {
    /// The value of a name.
    pub(crate) fn get(&self, name: &str) -> Option<f64> {
        self.0
            .iter()
            .find(|(known, ..)| *known == name)
            .map(|(_, value, ..)| *value)
    }

    pub(crate) fn plain(&mut self, name: &'static str, value: f64) {
        self.0.push((name, value, 0.0, None));
    }

    pub(crate) fn mean(&mut self, name: &'static str, values: &[f64]) {
        let ladder = crate::stats::quantile::sorted(values);
        let at = |p| crate::stats::quantile::quantile(&ladder, p);
        let error = standard_error(values).unwrap_or(0.0);
        self.0
            .push((name, mean(values), error, Some([at(0.05), at(0.95)])));
    }

    pub(crate) fn ratio(&mut self, name: &'static str, (value, error): (f64, f64)) {
        self.0.push((name, value, error, None));
    }
}

/// Runs all patterns.
///
/// Shape: `summers` at least 2.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
pub fn run(summers: u32, seed: u64, watch: &dyn Watch) -> Result<Evidence, Refusal> {
    let mut values = Values::default();
    let mut bars = Vec::new();
    let runs = Runs {
        summers,
        seed,
        watch,
    };
    near_a_plant(&mut values, &mut bars, runs)?;
    five_layouts(&mut values, &mut bars, runs)?;
    plants_first(&mut values, runs)?;
    clusters(&mut values, runs)?;
    let open = field(r#"{"pressure":{"on_plants_a_day":[10,40]}}"#).run(runs)?;
    farm(&mut values, &mut bars, &open);
    isolated(&mut values, &mut bars, &open, runs)?;
    row_end(&mut values, runs)?;
    hectares(&mut values, runs)?;
    pattern_runs::at_the_trap(&mut values, runs)?;
    pattern_runs::upwind(&mut values, runs)?;
    pattern_runs::picking(&mut values, runs)?;
    pattern_runs::years(&mut values, runs)?;
    pattern_runs::scatter(&mut values, runs)?;
    pattern_runs::nets(&mut values, runs)?;
    pattern_runs::bags(&mut values, runs)?;
    field_runs::all(&mut values, runs)?;
    let file = patterns();
    Ok(Evidence {
        format: 1,
        seed,
        summers,
        bands_written: file.bands_written,
        honesty: file.honesty,
        biology: biology(),
        patterns: file
            .patterns
            .into_iter()
            .map(|p| judge(p, &values))
            .collect(),
        same_rules: bars,
    })
}

/// Which pests draw fitted sets.
fn biology() -> String {
    let told: Vec<String> = rules()
        .pests
        .iter()
        .filter_map(|p| ensemble(&p.pest))
        .map(|e| {
            say!(
                "detail.evidence.fitted",
                pest = e.pest,
                sets = e.sets.len(),
                kept = e.made.kept,
                draws = e.made.draws
            )
        })
        .collect();
    if told.is_empty() {
        return say!("detail.evidence.no-fitted");
    }
    say!("detail.evidence.biology", fitted = told.join("; "))
}

fn judge(pattern: Pattern, values: &Values) -> Tested {
    let measured: Vec<Measured> = pattern.checks.iter().map(|c| measure(c, values)).collect();
    let status = match &pattern.not_run {
        Some(_) => "not run",
        None if measured.iter().all(|m| m.holds) => "pass",
        None => "fail",
    };
    let list =
        |f: &dyn Fn(&Measured) -> String| measured.iter().map(f).collect::<Vec<_>>().join("; ");
    let two = |v: f64| format!("{v:.2}");
    let simulated = list(&|m| {
        let (words, value) = (&m.words, two(m.value));
        match m.spread {
            Some([a, b]) => {
                let (low, high) = (two(a), two(b));
                say!("detail.evidence.simulated.spread", words, value, low, high)
            }
            None if m.error > 0.0 => {
                let error = two(2.0 * m.error);
                say!("detail.evidence.simulated.error", words, value, error)
            }
            None => say!("detail.evidence.simulated", words, value),
        }
    });
    let band = list(&|m| say!("detail.evidence.band", words = m.words, band = m.band));
    let out: Vec<String> = measured
        .iter()
        .filter(|m| !m.holds)
        .map(|m| {
            let key = if m.error > 0.0 {
                "detail.evidence.outside.error"
            } else {
                "detail.evidence.outside"
            };
            let error = two(2.0 * m.error);
            say!(
                key,
                words = m.words,
                value = two(m.value),
                error,
                band = m.band
            )
        })
        .collect();
    let calibrated = |c: &Check| {
        let parts = rules().pests.into_iter().flat_map(|p| p.parts);
        parts
            .flat_map(|part| part.measures)
            .any(|tuned| tuned.measure == c.measure)
    };
    let reason = ["detail", "pattern", "why", &pattern.id].join(".");
    Tested {
        status: status.into(),
        written: pattern.written.clone(),
        kin: pattern.kin(),
        quantitative: pattern.is_quantitative(),
        tuned: pattern.role != "held out" || pattern.checks.iter().any(calibrated),
        band,
        simulated,
        diagnosis: (status == "fail").then(|| {
            let what = out.join("; ");
            if voice().has(&reason) {
                say!("detail.evidence.because", what, why = voice().get(&reason))
            } else {
                say!("detail.evidence.alone", what)
            }
        }),
        measured,
        pattern,
    }
}

fn measure(check: &Check, values: &Values) -> Measured {
    let (_, value, error, spread) = values
        .0
        .iter()
        .find(|(name, ..)| *name == check.measure)
        .copied()
        .unwrap_or_else(|| unreachable!("{}: measures are tested to be there", check.measure));
    Measured {
        measure: check.measure.clone(),
        words: check.words.clone(),
        band: check.band(),
        value,
        error,
        spread,
        holds: check.holds(value, error),
    }
}

fn bar(id: &str, layout: &str, with: &Series, without: &Series) -> SameRules {
    let (ratio, error) = ratio(&with.feeding_h, &without.feeding_h);
    SameRules {
        id: id.into(),
        layout: layout.into(),
        ratio,
        low: (ratio - 2.0 * error).max(0.0),
        high: ratio + 2.0 * error,
    }
}

/// Where the vine stands.
const VINE: [f64; 2] = [12.0, 12.0];

/// P1: one trap in four places.
pub(crate) fn four_places() -> Vec<(String, Vec<[f64; 2]>, u32)> {
    [
        ("detail.layout.one-10-upwind", 3.1, 180.0),
        ("detail.layout.one-10-downwind", 3.1, 0.0),
        ("detail.layout.one-30-upwind", 9.3, 180.0),
        ("detail.layout.one-30-downwind", 9.3, 0.0),
    ]
    .map(|(name, d, a)| (say!(name), vec![around(VINE, d, a)], 1))
    .into()
}

/// The measures of P1: plan 0 is no trap, plans 1 to 4 the four places.
fn never_less(values: &mut Values, all: &[Series]) {
    let changes: Vec<Vec<f64>> = all[1..5]
        .iter()
        .map(|s| minus(&s.damage, &all[0].damage))
        .collect();
    let lowest = changes
        .iter()
        .map(|c| mean(c))
        .fold(f64::INFINITY, f64::min);
    values.plain("p1-lowest-change", lowest);
    let share =
        |c: &Vec<f64>| 20.0 * c.iter().filter(|d| **d > 1.0).count() as f64 / c.len() as f64;
    let lowest = changes.iter().map(share).fold(f64::INFINITY, f64::min);
    values.plain("p1-lowest-share-more", lowest);
}

/// P1 and P2: one vine, traps at 3.1 m and 9.3 m; the wind comes from the west, so a trap in the east hangs downwind.
fn near_a_plant(values: &mut Values, bars: &mut Vec<SameRules>, runs: Runs) -> Result<(), Refusal> {
    let mut plans = four_places();
    plans.push((say!("detail.layout.three-30"), ring(3, VINE, 9.3), 1));
    let all = Layout::vine(plans).run(runs)?;
    never_less(values, &all);
    let change = |plan: usize| minus(&all[plan].damage, &all[0].damage);
    let far: Vec<f64> = change(3)
        .iter()
        .zip(&change(4))
        .map(|(a, b)| f64::midpoint(*a, *b))
        .collect();
    values.mean("p2-three-less-one", &minus(&change(5), &far));
    for (i, (name, ..)) in four_places().iter().enumerate() {
        bars.push(bar("P1", name, &all[i + 1], &all[0]));
    }
    bars.push(bar(
        "P2",
        voice().get("detail.layout.three-30"),
        &all[5],
        &all[0],
    ));
    Ok(())
}

/// P3: five layouts of two to seven traps round a vine, with a tomato, a less-liked host, beside it.
fn five_layouts(values: &mut Values, bars: &mut Vec<SameRules>, runs: Runs) -> Result<(), Refusal> {
    let c = [12.0, 12.0];
    let row = vec![[9.0, 18.0], [12.0, 18.0], [15.0, 18.0]];
    let plans = vec![
        (say!("detail.layout.two-20"), ring(2, c, 6.0), 1),
        (say!("detail.layout.row-20"), row, 1),
        (say!("detail.layout.four-25"), ring(4, c, 7.5), 1),
        (say!("detail.layout.five-25"), ring(5, c, 7.5), 1),
        (say!("detail.layout.seven-30"), ring(7, c, 9.0), 1),
    ];
    let names: Vec<String> = plans.iter().map(|p| p.0.clone()).collect();
    let mut layout = Layout::vine(plans);
    layout.crops = r#"[{"name":"vine","kind":"grape","single":[12,12]},{"name":"tomato","kind":"tomato","single":[14,12]}]"#.into();
    let all = layout.run(runs)?;
    let tie = 1.0;
    let vine: Vec<f64> = all[1..]
        .iter()
        .map(|s| mean(&minus(&s.crop[0], &all[0].crop[0])))
        .collect();
    values.plain(
        "p3-layouts-lower",
        vine.iter().filter(|d| **d < -tie).count() as f64,
    );
    values.plain(
        "p3-layouts-higher",
        vine.iter().filter(|d| **d > tie).count() as f64,
    );
    let other: Vec<f64> = (0..runs.summers as usize)
        .map(|s| {
            all[1..]
                .iter()
                .map(|p| p.crop[1][s] - all[0].crop[1][s])
                .sum::<f64>()
                / 5.0
        })
        .collect();
    values.mean("p3-less-liked-host", &other);
    for (name, series) in names.iter().zip(&all[1..]) {
        bars.push(bar("P3", name, series, &all[0]));
    }
    Ok(())
}

/// P5: a trap in the middle of a block of beans.
fn plants_first(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    landed_share(values, &bean_block().run(runs)?);
    Ok(())
}

/// The layout of P5.
pub(crate) fn bean_block() -> Layout {
    let mut layout = Layout::vine(vec![("trap".into(), vec![VINE], 1)]);
    layout.crops = r#"[{"name":"beans","kind":"pole-bean","block":{"from":[8.5,8.5],"to":[15.5,15.5],"count":[8,8]}}]"#.into();
    layout.days = 7;
    layout
}

/// The measure of P5; plan 1 has the trap.
pub(crate) fn landed_share(values: &mut Values, all: &[Series]) {
    let answers = all[1].answers;
    let ended = answers.answered - answers.unfinished;
    values.plain(
        "p5-landed-share",
        100.0 * answers.landed_on_plant as f64 / (ended as f64).max(1.0),
    );
}

/// P8: one trap, three traps 3 m apart, one trap with three lures.
fn clusters(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    three_and_one(values, &three_lures().run(runs)?);
    Ok(())
}

/// The layout of P8.
pub(crate) fn three_lures() -> Layout {
    let at = [18.0, 12.0];
    Layout::vine(vec![
        ("one trap".into(), vec![at], 1),
        ("three traps".into(), ring(3, at, 1.732), 1),
        ("three lures".into(), vec![at], 3),
    ])
}

/// The measures of P8: plans 1 to 3 are one trap, three traps, one trap with three lures.
pub(crate) fn three_and_one(values: &mut Values, all: &[Series]) {
    values.ratio("p8-three-traps", ratio(&all[2].caught, &all[1].caught));
    values.ratio("p8-three-lures", ratio(&all[3].caught, &all[1].caught));
}

/// 24 places on the edge of a yard of 91 by 67 m.
fn edge_of_field() -> Vec<[f64; 2]> {
    let mut places = Vec::new();
    for i in 0..8 {
        let x = 3.0 + 85.0 * f64::from(i) / 7.0;
        places.extend([
            [(x * 10.0).round() / 10.0, 2.0],
            [(x * 10.0).round() / 10.0, 65.0],
        ]);
    }
    for i in 1..5 {
        let y = 2.0 + 63.0 * f64::from(i) / 5.0;
        places.extend([
            [2.0, (y * 10.0).round() / 10.0],
            [89.0, (y * 10.0).round() / 10.0],
        ]);
    }
    places
}

/// A field of 91 by 67 m with 24 traps on its edge.
pub(crate) fn field(pressure: &str) -> Layout {
    let mut layout = Layout::vine(vec![(say!("detail.layout.edge"), edge_of_field(), 1)]);
    layout.yard_m = [91.0, 67.0];
    layout.crops =
        r#"[{"name":"blueberries","kind":"blueberry","block":{"from":[30,22],"to":[61,45],"count":[8,5]}}]"#.into();
    layout.pressure = pressure.into();
    layout.days = 28;
    layout
}

/// P10: an open field with traps on its edge.
fn farm(values: &mut Values, bars: &mut Vec<SameRules>, open: &[Series]) {
    values.mean("p10-damage", &open[1].damage);
    values.ratio("p10-catch-per-seen", ratio(&open[1].caught, &open[1].seen));
    bars.push(bar(
        "P10",
        voice().get("detail.layout.edge-open"),
        &open[1],
        &open[0],
    ));
}

/// P11: the same field, closed; and the same again with arrivals from outside.
fn isolated(
    values: &mut Values,
    bars: &mut Vec<SameRules>,
    open: &[Series],
    runs: Runs,
) -> Result<(), Refusal> {
    let closed =
        field(r#"{"pressure":{"on_plants_a_day":[10,40]},"setting":"isolated","margin":"100 ft"}"#)
            .run(runs)?;
    let (r, e) = ratio(&closed[1].feeding_h, &closed[0].feeding_h);
    let (q, f) = ratio(&open[1].feeding_h, &open[0].feeding_h);
    values.ratio("p11-isolated-ratio", (r, e));
    values.ratio("p11-open-less-isolated", (q - r, (e * e + f * f).sqrt()));
    bars.push(bar(
        "P11",
        voice().get("detail.layout.edge-isolated"),
        &closed[1],
        &closed[0],
    ));
    Ok(())
}

/// P12: a row of tomatoes with a stink-bug trap one metre beyond its end.
fn row_end(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let all = tomato_row().run(runs)?;
    values.mean("p12-change", &minus(&all[1].damage, &all[0].damage));
    near_over_far(values, &all);
    Ok(())
}

/// The layout of P12.
pub(crate) fn tomato_row() -> Layout {
    Layout {
        yard_m: [20.0, 10.0],
        crops:
            r#"[{"name":"tomatoes","kind":"tomato","row":{"from":[4,5],"to":[15,5],"count":12}}]"#
                .into(),
        pest: "brown-marmorated-stink-bug",
        lure: "stink-bug-aggregation",
        kind: "funnel",
        pressure: r#"{"pressure":"usual"}"#.into(),
        days: 14,
        plans: vec![("row end".into(), vec![[16.0, 5.0]], 1)],
        more: "",
        methods: Vec::new(),
    }
}

/// Where the bugs of P12 gather; plan 1 has the trap.
pub(crate) fn near_over_far(values: &mut Values, all: &[Series]) {
    let hours = &all[1].plant_h;
    values.plain(
        "p12-near-over-far",
        sum(&hours[8..]) / sum(&hours[..4]).max(1e-9),
    );
}

/// A closed square of 21 ha round one apple tree, with a sex trap beside it.
pub(crate) fn moth_square(pressure: &str, days: u32) -> Layout {
    Layout {
        yard_m: [40.0, 40.0],
        crops: r#"[{"name":"apple","kind":"apple","single":[20,20]}]"#.into(),
        pest: "codling-moth",
        lure: "codling-moth-sex",
        kind: "delta",
        // 458 m to a side is 21 ha.
        pressure: format!(
            r#"{{"pressure":{{"on_plants_a_day":{pressure}}},"setting":"isolated","margin":209}}"#
        ),
        days,
        plans: vec![("trap".into(), vec![[24.0, 20.0]], 1)],
        more: "",
        methods: Vec::new(),
    }
}

/// Share of the males of [`moth_square`] that the trap caught, of 100, with its error.
pub(crate) fn males_caught(all: &[Series]) -> (f64, f64) {
    // The lure calls males, about half of all moths.
    let males: Vec<f64> = all[1].initial.iter().map(|v| 0.5 * v).collect();
    let (r, e) = ratio(&all[1].caught, &males);
    (100.0 * r, 100.0 * e)
}

/// P13: one sex trap in a closed square of 21 ha round one apple tree.
fn hectares(values: &mut Values, runs: Runs) -> Result<(), Refusal> {
    let all = moth_square("[0.02,0.05]", 14).run(runs)?;
    values.ratio("p13-caught-share", males_caught(&all));
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::ensemble::Unwatched;

    #[test]
    fn a_small_run_measures_every_pattern_that_is_not_said_to_be_left_out() {
        let found = run(2, 1, &Unwatched).expect("nobody stops it");
        assert_eq!(found.patterns.len(), 32);
        for p in &found.patterns {
            assert_eq!(
                p.status == "not run",
                p.measured.is_empty(),
                "{}",
                p.pattern.id
            );
            assert_eq!(
                p.status == "fail",
                p.diagnosis.is_some(),
                "{}",
                p.pattern.id
            );
            for m in &p.measured {
                assert!(m.value.is_finite(), "{}", m.measure);
            }
        }
        assert_eq!(found.same_rules.len(), 12);
    }

    #[test]
    fn a_value_outside_its_band_fails_with_its_number() {
        let mut pattern = patterns().patterns[0].clone();
        pattern.checks.truncate(1);
        let mut values = Values::default();
        values.plain("p1-lowest-change", -2.5);
        let tested = judge(pattern, &values);
        assert_eq!(tested.status, "fail");
        assert!(
            tested
                .diagnosis
                .is_some_and(|d| d.contains("-2.50") && d.contains("at least -1"))
        );
    }
}
