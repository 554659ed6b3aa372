//! Twenty changes a plan: the marks that a reader can count.

use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, WIDTH, picture, text_width, wrap};
use crate::figure::palette::{INK, QUIET};
use crate::figure::sheet::{Caption, Look};
use crate::figure::{Figure, round_up, tick_text, ticks};
use plotters::style::{Color, RGBColor};

const BAND: RGBColor = RGBColor(0xE2, 0xE2, 0xE2);
const LEFT: f64 = 860.0;
const RIGHT: f64 = WIDTH - MARGIN - 60.0;

/// A plan and its changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Plan.
    pub name: String,
    /// Lines below its name: the counts.
    pub notes: Vec<String>,
    /// Changes in points of 100, ascending.
    pub dots: Vec<f64>,
}

/// Words at the axis.
#[derive(Clone, Debug)]
pub struct AxisWords {
    /// At the zero line.
    pub zero: String,
    /// Left of it.
    pub left: String,
    /// Right of it.
    pub right: String,
}

/// Marks of every row, with the band of no change shaded.
pub fn change(caption: Caption, rows: &[Row], band: f64, words: &AxisWords, look: &Look) -> Figure {
    let mut table = Vec::new();
    for row in rows {
        for (i, value) in row.dots.iter().enumerate() {
            table.push(vec![
                row.name.clone(),
                (i + 1).to_string(),
                format!("{value:.1}"),
            ]);
        }
    }
    let meta = caption.words(table);
    picture(meta, |canvas| {
        let (top, end) = look.frame(canvas);
        let y = draw(canvas, top, end, rows, band, words, look);
        look.height(y)
    })
}

/// Highest picture while marks can shrink, half pixels: with its table it must leave the handout at two pages.
const MOST_HEIGHT: f64 = 1300.0;

struct Axis {
    low: f64,
    high: f64,
}

impl Axis {
    fn of(rows: &[Row], band: f64) -> Axis {
        let least = 2.0 * band.max(0.5);
        let all = || rows.iter().flat_map(|r| r.dots.iter().copied());
        Axis {
            low: -round_up(-all().fold(-least, f64::min)),
            high: round_up(all().fold(least, f64::max)),
        }
    }

    fn x(&self, value: f64) -> f64 {
        LEFT + (value - self.low) / (self.high - self.low) * (RIGHT - LEFT)
    }
}

/// Level of each mark so that none overlap.
fn stack(dots: &[f64], axis: &Axis, radius: f64) -> Vec<usize> {
    let mut levels: Vec<usize> = Vec::new();
    for (i, dot) in dots.iter().enumerate() {
        let taken: Vec<usize> = (0..i)
            .filter(|&j| (axis.x(*dot) - axis.x(dots[j])).abs() < 2.0 * radius + 2.0)
            .map(|j| levels[j])
            .collect();
        levels.push((0..=dots.len()).find(|l| !taken.contains(l)).unwrap_or(0));
    }
    levels
}

fn draw(
    canvas: &Canvas,
    top: f64,
    end: f64,
    rows: &[Row],
    band: f64,
    words: &AxisWords,
    look: &Look,
) -> f64 {
    let (text, small) = (look.text(), look.small());
    let axis = Axis::of(rows, band);
    let names = LEFT - MARGIN - 130.0;
    // Smaller marks where a slide or half a page would run over.
    let radii = if *look == Look::Page {
        [20.0, 17.0, 14.0, 11.0, 8.0]
    } else {
        [30.0, 26.0, 20.0, 14.0, 8.0]
    };
    let plan = |radius: f64| {
        let mut y = top + 1.6 * small;
        let mut places = Vec::new();
        for row in rows {
            let levels = stack(&row.dots, &axis, radius);
            let stacked =
                (levels.iter().max().copied().unwrap_or(0) + 1) as f64 * (2.0 * radius + 4.0);
            let lines =
                |t: &str, size: f64, bold| wrap(t, size, bold, names).len() as f64 * 1.3 * size;
            let written = lines(&row.name, text, true)
                + row
                    .notes
                    .iter()
                    .map(|n| lines(n, small, false))
                    .sum::<f64>();
            let height = stacked.max(written);
            places.push((y + 16.0, levels, height));
            y += 16.0 + height + 26.0;
        }
        (places, y)
    };
    let (radius, (places, bottom)) = radii
        .into_iter()
        .map(|r| (r, plan(r)))
        .find(|(_, (_, bottom))| bottom + 3.6 * small <= end.min(MOST_HEIGHT))
        .unwrap_or_else(|| (radii[4], plan(radii[4])));
    let start = top + 1.6 * small;
    canvas.fill_rect(axis.x(-band), start, axis.x(band), bottom, BAND.mix(1.0));
    canvas.line(&[(axis.x(0.0), start), (axis.x(0.0), bottom)], 4, INK);
    let half = 0.5 * text_width(&words.zero, small, false);
    let at = axis.x(0.0).clamp(MARGIN + half, WIDTH - MARGIN - half);
    canvas.text(
        (at, top + 0.7 * small),
        &words.zero,
        Pen::new(small).anchored(Anchor::Middle),
    );
    for (i, (row, (y, levels, height))) in rows.iter().zip(&places).enumerate() {
        let (colour, mark) = look.mark(i);
        canvas.mark((MARGIN + 24.0, y + 0.65 * text), 20.0, mark, colour);
        let x = MARGIN + 70.0;
        let mut below = canvas.paragraph(x, *y, names, &row.name, Pen::new(text).bold());
        for note in &row.notes {
            below = canvas.paragraph(x, below, names, note, Pen::new(small));
        }
        let floor = y + height;
        for (value, level) in row.dots.iter().zip(levels) {
            let at = (
                axis.x(*value),
                floor - radius - *level as f64 * (2.0 * radius + 4.0),
            );
            canvas.mark(at, radius, mark, colour);
        }
        canvas.line(
            &[
                (axis.x(axis.low), floor + 8.0),
                (axis.x(axis.high), floor + 8.0),
            ],
            2,
            QUIET,
        );
    }
    canvas.line(
        &[(axis.x(axis.low), bottom), (axis.x(axis.high), bottom)],
        4,
        INK,
    );
    scale(canvas, &axis, bottom, small);
    let y = bottom + 2.6 * small;
    canvas.text(
        (axis.x(axis.low), y),
        &format!("\u{2190} {}", words.left),
        Pen::new(small),
    );
    canvas.text(
        (axis.x(axis.high), y),
        &format!("{} \u{2192}", words.right),
        Pen::new(small).anchored(Anchor::End),
    );
    y + 0.8 * small
}

fn scale(canvas: &Canvas, axis: &Axis, bottom: f64, size: f64) {
    let reach = axis.high.max(-axis.low);
    let steps = ticks(reach);
    let both = steps
        .iter()
        .skip(1)
        .map(|t| -t)
        .chain(steps.iter().copied());
    for tick in both.filter(|t| *t >= axis.low - 1e-9 && *t <= axis.high + 1e-9) {
        let x = axis.x(tick);
        canvas.line(&[(x, bottom), (x, bottom + 14.0)], 4, INK);
        let sign = if tick > 0.0 { "+" } else { "" };
        canvas.text(
            (x, bottom + 1.2 * size),
            &format!("{sign}{}", tick_text(tick)),
            Pen::new(size).anchored(Anchor::Middle),
        );
    }
}
