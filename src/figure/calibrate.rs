//! What a calibration kept: kept numbers against their ranges, and how far the sets lie from the bands.

use crate::figure::Figure;
use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, WIDTH, Words, picture, shorten};
use crate::figure::chart::{columns, share_up};
use crate::figure::palette::{QUIET, plan as plan_colour};
use crate::say::{say, voice};
use crate::study::calibrate::{Calibration, Fitted};
use crate::study::vary::with_unit;

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
fn slices(found: &Calibration, fitted: &Fitted) -> [usize; SLICES] {
    let axis = found.parameters.iter();
    let axis = axis.clone().position(|p| p.unknown == fitted.unknown);
    let mut counts = [0; SLICES];
    for set in &found.kept {
        let slice = (set.quantiles[axis.unwrap_or(0)] * SLICES as f64) as usize;
        counts[slice.min(SLICES - 1)] += 1;
    }
    counts
}

/// Small bar charts: where in its range each number of the kept sets lies.
fn kept_numbers(found: &Calibration) -> Figure {
    let order = found.by_gain();
    let row = |f: &&Fitted| {
        let (u, l) = (&f.unknown, f.learnt.as_ref()?);
        let mut row = vec![u.name.clone(), u.unit.clone()];
        let kept = [l.low, l.median, l.high].map(|q| u.at(q));
        let numbers = [u.low, u.high, kept[0], kept[1], kept[2], l.width_ratio];
        row.extend(numbers.map(|v| format!("{v:.5}")));
        row.push(
            voice()
                .get(if l.informed {
                    "figure.yes"
                } else {
                    "figure.no"
                })
                .into(),
        );
        Some(row)
    };
    let informed: Vec<&str> = order
        .iter()
        .filter(|f| f.learnt.is_some_and(|l| l.informed))
        .map(|f| f.unknown.name.as_str())
        .collect();
    let pattern = if informed.is_empty() {
        say!("figure.fitting-numbers.none")
    } else {
        say!("figure.fitting-numbers.narrow", list = informed.join(", "))
    };
    let (n, of) = (found.accepted, found.draws);
    let meta = Words::of(
        "fitting-numbers",
        &[("n", &n.to_string())],
        [say!("figure.fitting-numbers.kept", n, of), pattern],
        order.iter().filter_map(row).collect(),
    );
    picture(meta, |canvas, top| {
        let (gap, height, columns) = (70.0, 330.0, 3);
        let wide = (WIDTH - 2.0 * MARGIN - 2.0 * gap) / 3.0;
        let shown = &order[..PANELS.min(order.len())];
        // One height for all panels, so that they can be compared.
        let tallest = shown.iter().flat_map(|f| slices(found, f));
        let most = tallest.max().unwrap_or(1);
        let y_of = |row: usize| top + 20.0 + row as f64 * (height + 140.0);
        for (i, f) in shown.iter().enumerate() {
            let x = MARGIN + (i % columns) as f64 * (wide + gap);
            let place = [x, y_of(i / columns), wide, height];
            panel(canvas, f, (&slices(found, f), most), place);
        }
        y_of(shown.len().div_ceil(columns)) + 20.0
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
    let frame = (x, top, x + w, bottom);
    columns(canvas, counts, most, frame, |_| colour.mix(0.6));
    let even = share_up(total as f64 / SLICES as f64, most, (top, bottom));
    canvas.dashed((x, even), (x + w, even), 4, QUIET);
    let pen = Pen::new(SMALL);
    let end = |v: f64| with_unit(v, &f.unknown.unit);
    canvas.text((x, bottom + 34.0), &end(f.unknown.low), pen);
    let right = pen.anchored(Anchor::End);
    canvas.text((x + w, bottom + 34.0), &end(f.unknown.high), right);
    let word = say!(if informed {
        "figure.fitting-numbers.news"
    } else {
        "figure.fitting-numbers.no-news"
    });
    canvas.text((x + w, bottom + 78.0), &word, right.coloured(QUIET));
}

/// How many sets lie how far from the bands.
fn distances(found: &Calibration) -> Figure {
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
        0 => say!("figure.distance-to-the-patterns.fits"),
        i if i == CLASSES + 1 => say!("figure.distance-to-the-patterns.over"),
        i => say!(
            "figure.distance-to-the-patterns.to",
            n = format!("{:.1}", i as f64 / 10.0)
        ),
    };
    let rows = counts
        .iter()
        .enumerate()
        .map(|(i, n)| vec![label(i), n.to_string()]);
    let listed = counts
        .iter()
        .enumerate()
        .map(|(i, n)| format!("{}: {n}.", label(i)));
    let (n, of) = (found.accepted, found.draws);
    let meta = Words::of(
        "distance-to-the-patterns",
        &[("n", &n.to_string()), ("of", &of.to_string())],
        [
            listed.collect::<Vec<_>>().join(" "),
            say!("figure.distance-to-the-patterns.fit", n, of),
        ],
        rows.collect(),
    );
    picture(meta, |canvas, top| {
        let (top, bottom) = (top + 60.0, top + 660.0);
        let most = counts.iter().copied().max().unwrap_or(1);
        let pen = Pen::new(SMALL).anchored(Anchor::Middle);
        let frame = (MARGIN, top, WIDTH - MARGIN, bottom);
        let fill = |i: usize| plan_colour(if i == 0 { 3 } else { 1 }).0.mix(0.7);
        let tops = columns(canvas, &counts, most, frame, fill);
        for (i, (x, up)) in tops.into_iter().enumerate() {
            canvas.text((x, up - 26.0), &counts[i].to_string(), pen);
            canvas.text((x, bottom + 34.0), &label(i), pen);
        }
        let axis = say!("figure.distance-to-the-patterns.axis");
        canvas.text((WIDTH / 2.0, bottom + 92.0), &axis, pen);
        bottom + 130.0
    })
}
