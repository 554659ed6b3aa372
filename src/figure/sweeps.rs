//! Distance curve, wheel of sides, number curve and spacing bars.

use crate::figure::canvas::{Canvas, MARGIN, Pen, SMALL, WIDTH, Words, picture, text_width, veil};
use crate::figure::chart::{Scale, bar};
use crate::figure::legend::INNER;
use crate::figure::map::arrow;
use crate::figure::palette::{INK, Mark, PAPER, difference, plan};
use crate::figure::{Figure, damage_words, round_up, targets, wind};
use crate::placement::outcome::{PlaceOutcome, Sweep, SweepPoint};
use crate::say::say;
use crate::scenario::Scenario;
use crate::units::feet;

/// The picture of one sweep.
pub fn draw(scenario: &Scenario, outcome: &PlaceOutcome, sweep: &Sweep) -> Figure {
    picture(words(scenario, outcome, sweep), |canvas, y| {
        match sweep.name {
            "side" => wheel(canvas, y, scenario, sweep),
            "spacing" => bars(canvas, y, scenario, sweep),
            _ => curve(canvas, y, scenario, sweep),
        }
    })
}

fn words(scenario: &Scenario, outcome: &PlaceOutcome, sweep: &Sweep) -> Words {
    let row = |p: &SweepPoint| {
        let mut row = vec![p.label.clone()];
        row.extend([p.damage_mean, p.mean.change].map(|v| format!("{v:.2}")));
        row.extend(p.counts.iter().map(ToString::to_string));
        row.extend([format!("{:.0}", p.caught_mean), p.outside.to_string()]);
        row
    };
    let points = sweep.points.iter();
    let list = points.map(|p| format!("{}: {:.1}.", p.label, p.damage_mean));
    let list = list.collect::<Vec<_>>().join(" ");
    let n = format!("{:.1}", sweep.damage_without);
    let (state, summers) = (damage_words(scenario), sweep.summers.to_string());
    let of = sweep.points.iter().map(|p| p.counts.iter().sum::<usize>());
    let of = of.max().unwrap_or(0).to_string();
    let (found, other) = (sweep.finding.to_string(), outcome.against.to_string());
    let gaps = [
        ("title", found.as_str()),
        ("summers", &summers),
        ("of", &of),
        ("state", &state),
        ("other", &other),
        ("target", scenario.pest.guild.target_noun()),
        ("targets", targets(scenario)),
    ];
    let numbers = say!("figure.sweep.numbers", list, n);
    let told = [numbers, found.clone()];
    let name = format!("placement-{}", sweep.name);
    Words::of(&name, &gaps, told, sweep.points.iter().map(row).collect())
}

/// The largest damage of a sweep, without a trap too.
fn highest(sweep: &Sweep) -> f64 {
    let all = sweep.points.iter().map(|p| p.damage_mean);
    all.fold(sweep.damage_without, f64::max)
}

/// "no trap: 12".
fn without(sweep: &Sweep) -> String {
    say!("figure.no-trap-line", n = number(sweep.damage_without))
}

fn number(value: f64) -> String {
    if value < 9.95 {
        format!("{value:.1}")
    } else {
        format!("{value:.0}")
    }
}

/// Damage against a number: feet or traps.
fn curve(canvas: &Canvas, y: f64, scenario: &Scenario, sweep: &Sweep) -> f64 {
    let is_distance = sweep.name == "distance";
    let along = |p: &SweepPoint| if is_distance { feet(p.at) } else { p.at };
    let last = sweep.points.iter().map(along).fold(1.0, f64::max);
    let (left, right) = (MARGIN + 130.0, WIDTH - MARGIN - 60.0);
    let (top, bottom) = (y + 70.0, y + 900.0);
    let sx = |v: f64| left + 40.0 + (right - left - 80.0) * v / last;
    let scale = Scale::up_to(1.05 * highest(sweep), (bottom, top));
    let sy = |v: f64| scale.at(v);
    let heading = say!("figure.sweep.of-100", state = damage_words(scenario));
    canvas.text((MARGIN, y + 20.0), &heading, Pen::TEXT.bold());
    scale.upward(canvas, left, right);
    canvas.line(&[(left, bottom), (right, bottom)], 4, INK);
    let level = sy(sweep.damage_without);
    canvas.dashed((left, level), (right, level), 6, INK);
    let colour = plan(2).0;
    let points = sweep.points.iter();
    let points = points.map(|p| (sx(along(p)), sy(p.damage_mean)));
    let points: Vec<(f64, f64)> = points.collect();
    canvas.line(&points, 6, colour);
    let text = without(sweep);
    let half = 0.5 * text_width(&text, SMALL, true) + 14.0;
    let (x, beside) = clear_place(&points, (left + half, right - half), (level, bottom), half);
    let pen = Pen::SMALL.bold().middle();
    canvas.text((x, beside), &text, pen);
    for (p, &at) in sweep.points.iter().zip(&points) {
        if p.places_m.is_empty() || p.outside < p.places_m.len() {
            canvas.mark(at, 20.0, Mark::Circle, colour);
        } else {
            canvas.disc(at, 18.0, Some(PAPER), 7, colour);
        }
        // The dashed line already tells the number without a trap.
        if p.traps > 0 {
            let over = (at.1 - 46.0 - level).abs() < 30.0 && at.1 + 70.0 < bottom;
            let y = if over { at.1 + 46.0 } else { at.1 - 46.0 };
            let text = number(p.damage_mean);
            let half = 0.5 * text_width(&text, SMALL, true) + 4.0;
            canvas.fill_rect(at.0 - half, y - 19.0, at.0 + half, y + 19.0, veil());
            canvas.text((at.0, y), &text, pen);
        }
        let label = if is_distance {
            p.label.clone()
        } else {
            format!("{:.0}", p.at)
        };
        canvas.text((at.0, bottom + 34.0), &label, Pen::SMALL.middle());
    }
    let target = scenario.pest.guild.target_noun();
    let axis = if is_distance {
        say!("figure.sweep.distance", target)
    } else {
        say!("figure.sweep.traps")
    };
    let middle = (f64::midpoint(left, right), bottom + 90.0);
    canvas.text(middle, &axis, Pen::TEXT.middle());
    let out = |p: &SweepPoint| !p.places_m.is_empty() && p.outside == p.places_m.len();
    if sweep.points.iter().any(out) {
        let y = bottom + 150.0;
        canvas.disc((left + 20.0, y), 16.0, Some(PAPER), 7, colour);
        let text = say!("figure.sweep.outside");
        canvas.text((left + 56.0, y), &text, Pen::SMALL);
        return bottom + 210.0;
    }
    bottom + 140.0
}

/// A place for words beside a level line, over or under it, that the curve and its numbers leave free.
fn clear_place(
    points: &[(f64, f64)],
    (west, east): (f64, f64),
    (level, bottom): (f64, f64),
    half: f64,
) -> (f64, f64) {
    let taken = |x: f64, y: f64| {
        points.windows(2).any(|ends| {
            (0..=40).any(|k| {
                let t = f64::from(k) / 40.0;
                let px = ends[0].0 + t * (ends[1].0 - ends[0].0);
                let py = ends[0].1 + t * (ends[1].1 - ends[0].1);
                (px - x).abs() < half + 10.0 && (py - y).abs() < 34.0
            })
        }) || points
            .iter()
            .any(|p| (p.0 - x).abs() < half + 50.0 && (p.1 - y).abs() < 90.0)
    };
    let mut tries = (0..=20).flat_map(|k| {
        let x = west + (east - west) * f64::from(k) / 20.0;
        [(x, level + 34.0), (x, level - 34.0)]
    });
    let free = tries.find(|&(x, y)| y + 26.0 < bottom && !taken(x, y));
    free.unwrap_or((west, level - 34.0))
}

/// Eight sides as spokes: longer is more damage, with the wind.
fn wheel(canvas: &Canvas, y: f64, scenario: &Scenario, sweep: &Sweep) -> f64 {
    let middle = (WIDTH / 2.0, y + 640.0);
    let most = 430.0;
    let scale = most / round_up(highest(sweep));
    let changes = sweep.points.iter().map(|p| p.mean.change.abs());
    let largest = changes.fold(1e-9, f64::max);
    let turn = |degrees: f64, r: f64| {
        let a = degrees * crate::units::RADIANS_PER_DEGREE - scenario.up_bearing_rad;
        (middle.0 + r * libm::sin(a), middle.1 - r * libm::cos(a))
    };
    for p in &sweep.points {
        let r = scale * p.damage_mean;
        let mut shape = vec![middle];
        shape.extend((0..=6).map(|k| turn(p.at - 18.0 + 6.0 * f64::from(k), r)));
        canvas.fill(&shape, difference(0.85 * p.mean.change / largest).mix(1.0));
        canvas.outline(&shape, 4, INK);
        let (x, y) = turn(p.at, most + 80.0);
        let pen = Pen::SMALL.middle();
        let label = match p.outside {
            0 => p.label.clone(),
            _ => say!("figure.sweep.side-outside", label = p.label),
        };
        canvas.text((x, y - 22.0), &label, pen);
        canvas.text((x, y + 22.0), &number(p.damage_mean), pen.bold());
    }
    let r = scale * sweep.damage_without;
    for k in 0..72 {
        let degrees = 5.0 * f64::from(k);
        canvas.line(&[turn(degrees, r), turn(degrees + 3.0, r)], 6, INK);
    }
    let bottom = middle.1 + most + 170.0;
    let (state, targets) = (damage_words(scenario), targets(scenario));
    let n = number(sweep.damage_without);
    let text = say!("figure.sweep.wheel", state, targets, n);
    let end = canvas.paragraph(MARGIN, bottom, INNER - 700.0, &text, Pen::SMALL) + 30.0;
    let (wind, y) = (wind::prevailing(&scenario.wind), bottom + 40.0);
    if let Some(from) = wind.from_rad {
        let a = from - scenario.up_bearing_rad;
        let (at, towards) = ((WIDTH - MARGIN - 660.0, y), (-libm::sin(a), libm::cos(a)));
        arrow(canvas, at, towards, 46.0);
    }
    canvas.text((WIDTH - MARGIN - 590.0, y), &wind.words, Pen::SMALL);
    end.max(bottom + 110.0)
}

/// One bar an arrangement, with the catch of each trap beside it.
fn bars(canvas: &Canvas, y: f64, scenario: &Scenario, sweep: &Sweep) -> f64 {
    let (left, right) = (MARGIN + 860.0, WIDTH - MARGIN - 520.0);
    let scale = Scale::up_to(highest(sweep), (left, right));
    let (pen, caught) = (Pen::SMALL, right + 150.0);
    let head = say!("figure.sweep.of-100", state = damage_words(scenario));
    canvas.text((left, y + 20.0), &head, pen.bold());
    let head = say!("figure.sweep.caught");
    canvas.text((caught, y + 20.0), &head, pen.bold());
    let top = y + 60.0;
    let bottom = top + 80.0 * sweep.points.len() as f64;
    let below = scale.along(canvas, top, bottom, "");
    let line = scale.at(sweep.damage_without);
    let mut y = top;
    for p in &sweep.points {
        let colour = difference(if p.mean.change > 0.0 { 0.6 } else { -0.6 });
        let outside = if p.outside > 0 { " *" } else { "" };
        canvas.text((MARGIN, y + 40.0), &format!("{}{outside}", p.label), pen);
        let text = number(p.damage_mean);
        let (value, edges) = ((p.damage_mean, text.as_str()), (y + 12.0, y + 68.0));
        bar(canvas, &scale, value, edges, colour, Some(line));
        let each = p.caught_mean / p.traps.max(1) as f64;
        canvas.text((caught, y + 40.0), &format!("{each:.0}"), pen);
        y += 80.0;
    }
    canvas.dashed((line, top), (line, bottom), 6, INK);
    canvas.text((line, below + 20.0), &without(sweep), pen.bold().middle());
    if sweep.points.iter().any(|p| p.outside > 0) {
        let foot = say!("figure.sweep.some-outside");
        canvas.text((MARGIN, below + 74.0), &foot, pen);
    }
    below + 110.0
}
