//! What the answer hangs on: swings, screening, variance shares, and how the average settles.

use crate::figure::canvas::{Canvas, MARGIN, Pen, TEXT, WIDTH, Words, picture, shorten};
use crate::figure::chart::Scale;
use crate::figure::legend::INNER;
use crate::figure::palette::{INK, Mark, PAPER, QUIET, plan as plan_colour};
use crate::figure::{Figure, damage_words, joined};
use crate::say::say;
use crate::scenario::Scenario;
use crate::stats::paired::MeanChange;
use crate::stats::words::thousands;
use crate::study::vary::{Screened, Shared, Study, Sweep, with_unit};

/// Unknowns drawn as bars; the table holds all of them.
const BARS: usize = 12;

/// All pictures of a study, in a fixed order.
pub fn all(scenario: &Scenario, study: &Study) -> Vec<Figure> {
    let mut figures = vec![swings(scenario, study), settling(scenario, study)];
    figures.extend(crate::figure::habits::draw(scenario, study));
    let (screened, shared) = (study.screened.as_ref(), study.shared.as_ref());
    figures.extend(screened.map(|s| screening(scenario, study, s)));
    figures.extend(shared.map(|s| shares(scenario, study, s)));
    figures
}

fn plan_name<'a>(scenario: &'a Scenario, study: &Study) -> &'a str {
    &scenario.plans[study.plan].name
}

/// A name at the left of a row of a chart.
fn row_name(canvas: &Canvas, (left, y): (f64, f64), name: &str) {
    let name = shorten(name, TEXT, false, left - MARGIN - 30.0);
    canvas.text((left - 24.0, y), &name, Pen::TEXT.end());
}

/// Bars: how far the answer moves over each range.
fn swings(scenario: &Scenario, study: &Study) -> Figure {
    let shown: Vec<&Sweep> = study.sweeps.iter().take(BARS).collect();
    let cells = |s: &Sweep| -> Vec<Vec<String>> {
        let row = |l: &crate::study::vary::Level| {
            let (name, unit) = (s.unknown.name.clone(), s.unknown.unit.clone());
            let MeanChange { change, error } = l.point.mean;
            let [change, error] = [change, error].map(|v| format!("{v:.3}"));
            vec![name, format!("{:.5}", l.value), unit, change, error]
        };
        s.levels.iter().map(row).collect()
    };
    let told = |s: &&Sweep| {
        let (low, high) = ends(s);
        let [low, high] = [low, high].map(|v| format!("{v:+.1}"));
        let unknown = &s.unknown.name;
        say!("figure.what-moves-the-answer.row", unknown, low, high)
    };
    let numbers = joined(shown.iter().take(5).map(told));
    let pattern = shown.first().map_or_else(String::new, |s| {
        let unknown = &s.unknown.name;
        say!("figure.what-moves-the-answer.most", unknown)
    });
    let state = damage_words(scenario);
    let gaps = [
        ("plan", plan_name(scenario, study)),
        ("state", &state),
        ("summers", &thousands(f64::from(study.summers))),
    ];
    let rows = study.sweeps.iter().flat_map(cells).collect();
    let meta = Words::of("what-moves-the-answer", &gaps, [numbers, pattern], rows);
    picture(meta, |canvas, top| {
        let (left, row, top) = (WIDTH * 0.49, 84.0, top + 10.0);
        let bottom = top + row * shown.len() as f64 + 10.0;
        let wider = |(a, b): (f64, f64), (c, d)| (a.min(c), b.max(d));
        let (low, high) = shown.iter().map(|s| ends(s)).fold((0.0, 0.0), wider);
        let scale = Scale::about_zero(low, high, (left, WIDTH - MARGIN - 30.0));
        let below = scale.along(canvas, top, bottom, "");
        canvas.line(&[(scale.at(0.0), top), (scale.at(0.0), bottom)], 5, INK);
        let base = scale.at(study.base.mean.change);
        canvas.dashed((base, top), (base, bottom), 4, QUIET);
        for (i, sweep) in shown.iter().enumerate() {
            let y = top + row * (i as f64 + 0.5);
            swing(canvas, sweep, &scale, (left, y));
        }
        let foot = say!("figure.what-moves-the-answer.lines");
        canvas.paragraph(MARGIN, below, INNER, &foot, Pen::SMALL) + 30.0
    })
}

fn ends(sweep: &Sweep) -> (f64, f64) {
    let levels = sweep.levels.iter().map(|l| l.point.mean.change);
    levels.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), change| {
        (a.min(change), b.max(change))
    })
}

fn swing(canvas: &Canvas<'_>, sweep: &Sweep, scale: &Scale, (left, y): (f64, f64)) {
    let unknown = &sweep.unknown;
    row_name(canvas, (left, y - 18.0), &unknown.name);
    let [low, high] = [unknown.low, unknown.high].map(|v| with_unit(v, &unknown.unit));
    let range = say!("figure.what-moves-the-answer.range", low, high);
    let quiet = Pen::SMALL.end().coloured(QUIET);
    canvas.text((left - 24.0, y + 24.0), &range, quiet);
    let (blue, _) = plan_colour(1);
    let (low, high) = ends(sweep);
    let fill = blue.mix(0.45);
    canvas.fill_rect(scale.at(low), y - 14.0, scale.at(high), y + 14.0, fill);
    if let (Some(first), Some(last)) = (sweep.levels.first(), sweep.levels.last()) {
        let at = |change: f64| (scale.at(change), y);
        canvas.disc(at(last.point.mean.change), 15.0, Some(blue), 0, blue);
        canvas.disc(at(first.point.mean.change), 15.0, Some(PAPER), 5, blue);
    }
}

/// The average against the number of summers.
fn settling(scenario: &Scenario, study: &Study) -> Figure {
    let steps = &study.settling.steps;
    let row = |s: &crate::study::vary::SettlingStep| {
        let MeanChange { change, error } = s.mean;
        let [change, error] = [change, error].map(|v| format!("{v:.3}"));
        vec![s.summers.to_string(), change, error]
    };
    let last = steps.last().map_or_else(String::new, |s| {
        let (n, points) = (s.summers, format!("{:+.1}", s.mean.change));
        let error = format!("{:.1}", 2.0 * s.mean.error);
        say!("figure.how-the-average-settles.last", n, points, error)
    });
    let n = study.settling.recommended;
    let state = damage_words(scenario);
    let meta = Words::of(
        "how-the-average-settles",
        &[("plan", plan_name(scenario, study)), ("state", &state)],
        [last, say!("figure.how-the-average-settles.enough", n)],
        steps.iter().map(row).collect(),
    );
    picture(meta, |canvas, top| {
        let (top, bottom) = (top + 10.0, top + 630.0);
        let (left, right) = (MARGIN + 150.0, WIDTH - MARGIN);
        let reach = steps.iter().map(|s| s.mean.ends());
        let reach = reach.fold((0.0, 0.0), |(a, b): (f64, f64), [c, d]| {
            (a.min(c), b.max(d))
        });
        let scale = Scale::about_zero(reach.0, reach.1, (bottom, top));
        scale.upward(canvas, left, right);
        canvas.line(&[(left, scale.at(0.0)), (right, scale.at(0.0))], 4, INK);
        let (blue, _) = plan_colour(1);
        for (i, s) in steps.iter().enumerate() {
            let x = left + (right - left) * (i as f64 + 0.5) / steps.len() as f64;
            let ends = s.mean.ends().map(|v| (x, scale.at(v)));
            canvas.line(&ends, 8, blue);
            canvas.disc((x, scale.at(s.mean.change)), 16.0, Some(blue), 0, blue);
            let pen = Pen::TEXT.middle();
            canvas.text((x, bottom + 40.0), &s.summers.to_string(), pen);
        }
        let at = (f64::midpoint(left, right), bottom + 96.0);
        let axis = say!("figure.how-the-average-settles.axis");
        canvas.text(at, &axis, Pen::SMALL.middle());
        bottom + 140.0
    })
}

/// Scatter of elementary effects.
fn screening(scenario: &Scenario, study: &Study, screened: &[Screened]) -> Figure {
    let name = |s: &Screened| study.sweeps[s.sweep].unknown.name.clone();
    let row = |(i, s): (usize, &Screened)| {
        let mut row = vec![(i + 1).to_string(), name(s)];
        row.extend([s.mu, s.mu_star, s.mu_star_error, s.sigma].map(|v| format!("{v:.3}")));
        row
    };
    let listed = screened.iter().enumerate();
    let listed = listed.map(|(i, s)| format!("{} {} ({:.1})", i + 1, name(s), s.mu_star));
    let list = listed.collect::<Vec<_>>().join("; ");
    let largest = screened.first().map_or_else(String::new, |s| {
        say!("figure.screening.largest", unknown = name(s))
    });
    let meta = Words::of(
        "screening",
        &[("plan", plan_name(scenario, study))],
        [say!("figure.screening.numbers", list), largest],
        screened.iter().enumerate().map(row).collect(),
    );
    picture(meta, |canvas, top| {
        let (top, bottom) = (top + 10.0, top + 870.0);
        let (left, right) = (MARGIN + 150.0, WIDTH - MARGIN - 40.0);
        let widest = |f: fn(&Screened) -> f64| 1.05 * screened.iter().map(f).fold(0.1, f64::max);
        let x = Scale::up_to(widest(|s| s.mu_star), (left, right));
        let y = Scale::up_to(widest(|s| s.sigma), (bottom, top));
        let below = x.along(canvas, top, bottom, "");
        y.upward(canvas, left, right);
        let (blue, _) = plan_colour(1);
        let mut placed: Vec<(f64, f64)> = Vec::new();
        for (i, s) in screened.iter().enumerate() {
            let at = (x.at(s.mu_star), y.at(s.sigma));
            canvas.mark(at, 15.0, Mark::Circle, blue);
            // Numbers that would lie on one another are left to the list below.
            let clear = |p: &(f64, f64)| (p.0 - at.0).abs() > 54.0 || (p.1 - at.1).abs() > 40.0;
            if placed.iter().all(clear) {
                let beside = (at.0 + 22.0, at.1 - 18.0);
                canvas.text(beside, &(i + 1).to_string(), Pen::SMALL.bold());
                placed.push(at);
            }
        }
        let pen = Pen::SMALL;
        let axis = say!("figure.screening.axis");
        let below = canvas.paragraph(MARGIN, below, INNER, &axis, pen) + 14.0;
        let listed = say!("figure.screening.list", list);
        canvas.paragraph(MARGIN, below, INNER, &listed, pen) + 30.0
    })
}

/// Bars of first-order and total shares.
fn shares(scenario: &Scenario, study: &Study, shared: &[Shared]) -> Figure {
    let name = |s: &Shared| study.sweeps[s.sweep].unknown.name.as_str();
    let row = |s: &Shared| {
        let mut row = vec![name(s).to_owned()];
        row.extend(s.first.iter().chain(&s.total).map(|v| format!("{v:.4}")));
        row
    };
    let told = |s: &Shared| {
        let [alone, all] = [s.first[0], s.total[0]].map(|v| format!("{:.0}", 100.0 * v.max(0.0)));
        let unknown = name(s);
        say!("figure.shares-of-the-uncertainty.row", unknown, alone, all)
    };
    let numbers = joined(shared.iter().map(told));
    let narrow = say!("figure.shares-of-the-uncertainty.narrow");
    let meta = Words::of(
        "shares-of-the-uncertainty",
        &[("plan", plan_name(scenario, study))],
        [numbers, narrow],
        shared.iter().map(row).collect(),
    );
    picture(meta, |canvas, top| {
        let (left, row, top) = (WIDTH * 0.49, 130.0, top + 10.0);
        let bottom = top + row * shared.len() as f64 + 10.0;
        let all = || shared.iter().flat_map(|s| s.first.iter().chain(&s.total));
        let low = all().fold(0.0, |a: f64, v| a.min(*v));
        let high = all().fold(0.1, |a: f64, v| a.max(*v));
        let places = (left, WIDTH - MARGIN - 30.0);
        let scale = Scale::about_zero(100.0 * low, 100.0 * high, places);
        let axis = say!("figure.shares-of-the-uncertainty.axis");
        let below = scale.along(canvas, top, bottom, &axis);
        let zero = scale.at(0.0);
        canvas.line(&[(zero, top), (zero, bottom)], 4, INK);
        let (blue, _) = plan_colour(1);
        for (i, s) in shared.iter().enumerate() {
            let y = top + row * (i as f64 + 0.5);
            row_name(canvas, (left, y), name(s));
            for (share, y, strength) in [(&s.first, y - 24.0, 1.0), (&s.total, y + 24.0, 0.35)] {
                let [value, low, high] = share.map(|v| scale.at(100.0 * v));
                let (west, east) = (zero.min(value), zero.max(value));
                canvas.fill_rect(west, y - 18.0, east, y + 18.0, blue.mix(strength));
                canvas.line(&[(low, y), (high, y)], 5, INK);
            }
        }
        below + 20.0
    })
}
