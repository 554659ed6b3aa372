//! What a calibration kept: kept numbers against their ranges, and how far the sets lie from the bands.

use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, WIDTH, Words, picture, shorten};
use crate::figure::palette::{INK, QUIET, plan as plan_colour};
use crate::figure::{Figure, Table};

use crate::study::calibrate::{Calibration, Fitted};
use crate::study::vary::with_unit;
use plotters::style::Color;

/// Numbers drawn; the table holds all.
const PANELS: usize = 12;
/// Slices of a range.
const SLICES: usize = 10;
/// Classes of distance beyond the band.
const CLASSES: usize = 10;

/// All pictures, in a fixed order.
pub fn all(found: &Calibration) -> Vec<Figure> {
    let mut figures = vec![distances(found)];
    if found.accepted > 0 {
        figures.insert(0, kept_numbers(found));
    }
    figures
}

/// Kept sets in each slice of one range.
fn slices(found: &Calibration, axis: usize) -> [usize; SLICES] {
    let mut counts = [0; SLICES];
    for set in &found.kept {
        let slice = (set.quantiles[axis] * SLICES as f64) as usize;
        counts[slice.min(SLICES - 1)] += 1;
    }
    counts
}

/// Small bar charts: where in its range each number of the kept sets lies.
fn kept_numbers(found: &Calibration) -> Figure {
    let title = "Where the fitting numbers lie in their ranges".to_owned();
    let axis = |f: &Fitted| {
        found
            .parameters
            .iter()
            .position(|p| p.unknown == f.unknown)
            .unwrap_or(0)
    };
    let order = found.by_gain();
    let mut table = Table::with_header(&[
        "number",
        "unit",
        "low",
        "high",
        "kept_low",
        "kept_median",
        "kept_high",
        "width_ratio",
        "informed",
    ]);
    for f in &order {
        if let Some(l) = &f.learnt {
            let u = &f.unknown;
            let mut row = vec![u.name.clone(), u.unit.clone()];
            row.extend(
                [
                    u.low,
                    u.high,
                    u.at(l.low),
                    u.at(l.median),
                    u.at(l.high),
                    l.width_ratio,
                ]
                .map(|v| format!("{v:.5}")),
            );
            row.push(if l.informed { "yes" } else { "no" }.into());
            table.rows.push(row);
        }
    }
    let informed: Vec<&str> = order
        .iter()
        .filter(|f| f.learnt.is_some_and(|l| l.informed))
        .map(|f| f.unknown.name.as_str())
        .collect();
    let pattern = if informed.is_empty() {
        "No number is clearly narrowed by the field patterns.".to_owned()
    } else {
        format!("The field patterns narrow: {}.", informed.join(", "))
    };
    let words = Words {
        name: "fitting-numbers".into(),
        title: title.clone(),
        alt: "Small bar charts of the kept sets over each number's range, with a line for the range before, to show which \
              numbers the field patterns narrow."
            .into(),
        levels: [
            "Each panel is one number. Its range is cut into ten slices. A bar shows how many kept sets lie in the slice; the \
             dashed line is what no knowledge would give."
                .into(),
            format!("{} of {} sets were kept.", found.accepted, found.draws),
            pattern.clone(),
        ],
        table,
    };
    picture(words, |canvas| {
        let about = format!(
            "{} sets of numbers fit the field patterns. Bars: how many of them lie in each tenth of the range. Dashed line: equal \
             shares, as before. Bars far from the line mean that the patterns tell us something.",
            found.accepted
        );
        let top = canvas.head(&title, &about) + 20.0;
        let columns = 3;
        let (gap, height) = (70.0, 330.0);
        let wide = (WIDTH - 2.0 * MARGIN - 2.0 * gap) / 3.0;
        let shown = &order[..PANELS.min(order.len())];
        // One height for all panels, so that they can be compared.
        let tallest = shown.iter().flat_map(|f| slices(found, axis(f)));
        let most = tallest.max().unwrap_or(1).max(1);
        for (i, f) in shown.iter().enumerate() {
            let x = MARGIN + (i % columns) as f64 * (wide + gap);
            let y = top + (i / columns) as f64 * (height + 140.0);
            panel(
                canvas,
                f,
                (&slices(found, axis(f)), most),
                [x, y, wide, height],
            );
        }
        top + shown.len().div_ceil(columns) as f64 * (height + 140.0) + 20.0
    })
}

fn panel(
    canvas: &Canvas<'_>,
    f: &Fitted,
    (counts, most): (&[usize; SLICES], usize),
    [x, y, w, h]: [f64; 4],
) {
    let name = shorten(&f.unknown.name, SMALL, true, w);
    canvas.text((x, y + 24.0), &name, Pen::new(SMALL).bold());
    let informed = f.learnt.is_some_and(|l| l.informed);
    let total: usize = counts.iter().sum();
    let (top, bottom) = (y + 60.0, y + h - 10.0);
    let (colour, _) = plan_colour(if informed { 2 } else { 1 });
    let step = w / SLICES as f64;
    for (i, n) in counts.iter().enumerate() {
        let left = x + step * i as f64;
        let up = bottom - (bottom - top) * *n as f64 / most as f64;
        canvas.fill_rect(left + 4.0, up, left + step - 4.0, bottom, colour.mix(0.6));
    }
    canvas.line(&[(x, bottom), (x + w, bottom)], 3, INK);
    let even = bottom - (bottom - top) * total as f64 / SLICES as f64 / most as f64;
    canvas.dashed((x, even), (x + w, even), 4, QUIET);
    let pen = Pen::new(SMALL);
    let end = |v: f64| with_unit(v, &f.unknown.unit);
    canvas.text((x, bottom + 34.0), &end(f.unknown.low), pen);
    let right = pen.anchored(Anchor::End);
    canvas.text((x + w, bottom + 34.0), &end(f.unknown.high), right);
    let word = if informed { "some news" } else { "no news" };
    canvas.text((x + w, bottom + 78.0), word, right.coloured(QUIET));
}

/// How many sets lie how far from the bands.
fn distances(found: &Calibration) -> Figure {
    let title = "How far each set of numbers lies from the field patterns".to_owned();
    let mut counts = [0_usize; CLASSES + 2];
    for d in &found.distances {
        let class = if *d <= found.epsilon {
            0
        } else {
            1 + ((d * 10.0) as usize).min(CLASSES)
        };
        counts[class] += 1;
    }
    let label = |i: usize| match i {
        0 => "fits".to_owned(),
        i if i == CLASSES + 1 => "over 1".into(),
        i => format!("to {:.1}", i as f64 / 10.0),
    };
    let mut table = Table::with_header(&["distance", "sets"]);
    for (i, n) in counts.iter().enumerate() {
        table.rows.push(vec![label(i), n.to_string()]);
    }
    let pattern = format!("{} of {} sets fit.", found.accepted, found.draws);
    let words = Words {
        name: "distance-to-the-patterns".into(),
        title: title.clone(),
        alt: "Bars: number of sets by their distance to the bands of the field patterns, to show how hard the patterns are to meet."
            .into(),
        levels: [
            "The first bar counts the sets that lie in every band. The others lie outside one band or more, further to the right."
                .into(),
            counts
                .iter()
                .enumerate()
                .map(|(i, n)| format!("{}: {n}.", label(i)))
                .collect::<Vec<_>>()
                .join(" "),
            pattern.clone(),
        ],
        table,
    };
    picture(words, |canvas| {
        let about = format!(
            "{pattern} The others miss a band. Distance 1 means: off by half the width of the band, or by the whole of its one limit."
        );
        let top = canvas.head(&title, &about) + 60.0;
        let bottom = top + 600.0;
        let most = counts.iter().copied().max().unwrap_or(1).max(1);
        let step = (WIDTH - 2.0 * MARGIN) / counts.len() as f64;
        for (i, n) in counts.iter().enumerate() {
            let (colour, _) = plan_colour(if i == 0 { 3 } else { 1 });
            let x = MARGIN + step * i as f64;
            let up = bottom - (bottom - top) * *n as f64 / most as f64;
            canvas.fill_rect(x + 10.0, up, x + step - 10.0, bottom, colour.mix(0.7));
            let pen = Pen::new(SMALL).anchored(Anchor::Middle);
            canvas.text((x + 0.5 * step, up - 26.0), &n.to_string(), pen);
            canvas.text((x + 0.5 * step, bottom + 34.0), &label(i), pen);
        }
        canvas.line(&[(MARGIN, bottom), (WIDTH - MARGIN, bottom)], 3, INK);
        canvas.text(
            (WIDTH / 2.0, bottom + 92.0),
            "distance to the bands (number of sets above each bar)",
            Pen::new(SMALL).anchored(Anchor::Middle),
        );
        bottom + 130.0
    })
}
