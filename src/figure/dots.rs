//! Twenty dots a plan: damage, and its difference from the first plan on the same summers.

use crate::count::outcome::RunOutcome;
use crate::figure::canvas::{
    Anchor, Canvas, MARGIN, Pen, SMALL, TEXT, WIDTH, Words, picture, text_width, wrap,
};
use crate::figure::palette::{self, INK, Mark, QUIET};
use crate::figure::plant_map::upper;
use crate::figure::{Figure, Table, damage_words, round_up, tick_text, ticks, whole};
use crate::scenario::Scenario;
use crate::stats::paired::{self, Class, MOST_DOTS, PairedCount};
use crate::stats::quantile::{DOTS, dots, median};
use crate::stats::words::thousands;
use plotters::style::{Color, RGBColor};

const RADIUS: f64 = 20.0;
/// Width of the column that names the rows.
const NAMES: f64 = 560.0;
const BAND: RGBColor = RGBColor(0xDD, 0xDD, 0xDD);

/// The axis all rows share.
#[derive(Clone, Copy, Debug)]
struct Axis {
    low: f64,
    high: f64,
}

impl Axis {
    fn x(self, value: f64) -> f64 {
        let (left, right) = (MARGIN + 62.0 + NAMES + 80.0, WIDTH - MARGIN - 40.0);
        left + (right - left) * (value - self.low) / (self.high - self.low)
    }
}

/// One row: heading and twenty values.
struct Row {
    name: String,
    note: Vec<String>,
    values: [f64; DOTS],
    colour: RGBColor,
    mark: Mark,
}

/// Damage of the asker's plants: twenty possible summers a plan, a line at the middle of the first plan.
pub fn damage(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let words = damage_words(scenario);
    let rows: Vec<Row> = outcome
        .plans
        .iter()
        .enumerate()
        .map(|(i, plan)| {
            let (colour, mark) = palette::plan(i);
            let values = dots(&plan.damage_by_summer);
            let middle = whole(median(&plan.damage_by_summer));
            let note = vec![
                format!("middle summer: {middle}"),
                format!("18 of 20: {} to {}", whole(values[1]), whole(values[18])),
            ];
            Row {
                name: plan.name.clone(),
                note,
                values,
                colour,
                mark,
            }
        })
        .collect();
    let largest = rows.iter().flat_map(|r| r.values).fold(5.0, f64::max);
    let axis = Axis {
        low: 0.0,
        high: round_up(largest).min(100.0),
    };
    let title = format!("20 possible summers for each plan: {words} out of 100");
    let first = outcome
        .plans
        .first()
        .map(|p| (p.name.clone(), median(&p.damage_by_summer)));
    let mut levels = [
        "Each dot is one of 20 possible summers. Each row is a plan. Dots further right mean more damage.".to_owned(),
        rows.iter().map(|r| format!("{}: {}.", r.name, r.note.join(", "))).collect::<Vec<_>>().join(" "),
        String::new(),
    ];
    levels[2] = pattern(&rows, first.as_ref());
    let meta = Words {
        name: "twenty-summers".into(),
        title: title.clone(),
        alt: format!(
            "Dot plot of {words} out of 100 in 20 possible summers a plan, to show how plans and luck compare."
        ),
        levels,
        table: table(&rows, &format!("{words} out of 100")),
    };
    picture(meta, |canvas| {
        let explanation = format!(
            "Your {}s, weighed by worth. {} summers simulated, shown as 20. Nobody knows which one comes.",
            scenario.pest.guild.target_noun(),
            thousands(f64::from(outcome.summers))
        );
        let top = canvas.head(&title, &explanation);
        let line = first
            .as_ref()
            .map(|(name, value)| (*value, format!("middle summer, {name}")));
        draw(
            canvas,
            top,
            &rows,
            axis,
            None,
            line.as_ref(),
            &format!("{} out of 100", upper(&words)),
        )
    })
}

/// Counts of every plan against the first, on the same summers; empty for a single plan.
fn counts(scenario: &Scenario, outcome: &RunOutcome) -> Vec<PairedCount> {
    let series: Vec<&[f64]> = outcome
        .plans
        .iter()
        .map(|p| p.damage_by_summer.as_slice())
        .collect();
    paired::against_first(&series, scenario.settings.tie_band)
}

/// Difference from the first plan on the same summers; `None` for a single plan.
pub fn difference(scenario: &Scenario, outcome: &RunOutcome) -> Option<Figure> {
    let words = damage_words(scenario);
    let first = outcome.plans.first()?;
    let counts = counts(scenario, outcome);
    if counts.is_empty() {
        return None;
    }
    let band = scenario.settings.tie_band;
    let rows: Vec<Row> = counts
        .iter()
        .enumerate()
        .map(|(i, count)| {
            let (colour, mark) = palette::plan(i + 1);
            let ([more, same, less], of) = count.told();
            Row {
                name: outcome.plans[i + 1].name.clone(),
                note: vec![
                    format!("more in {more} of {of}"),
                    format!("no change in {same} of {of}"),
                    format!("less in {less} of {of}"),
                ],
                values: count.dots,
                colour,
                mark,
            }
        })
        .collect();
    let low = rows
        .iter()
        .flat_map(|r| r.values)
        .fold(-2.0 * band.max(0.5), f64::min);
    let high = rows
        .iter()
        .flat_map(|r| r.values)
        .fold(2.0 * band.max(0.5), f64::max);
    let axis = Axis {
        low: if low < 0.0 { -round_up(-low) } else { 0.0 },
        high: round_up(high),
    };
    let title = format!(
        "20 possible summers: change in damage against \"{}\"",
        first.name
    );
    let pattern: Vec<String> = rows
        .iter()
        .zip(&counts)
        .map(|(r, c)| {
            let (most, none) = (c.leading() >= MOST_DOTS, c.more == 0 || c.less == 0);
            let many = if most { "Most" } else { "Some" };
            let rest = match (most, none) {
                (true, _) => "",
                (false, true) => " None lies on the other side.",
                (false, false) => " Hardly any lies on the other side.",
            };
            let name = &r.name;
            match c.class() {
                Class::More => {
                    format!("{many} dots of {name} lie on the side of more damage.{rest}")
                }
                Class::Less => {
                    format!("{many} dots of {name} lie on the side of less damage.{rest}")
                }
                Class::NoChange => format!("Most dots of {name} lie in the band of no change."),
                Class::EitherWay => {
                    format!("The dots of {name} lie on both sides: it could go either way.")
                }
            }
        })
        .collect();
    let meta = Words {
        name: "change-in-twenty-summers".into(),
        title: title.clone(),
        alt: format!("Dot plot of the change in {words} against the first plan, in 20 possible summers, to count better and worse."),
        levels: [
            "Each dot compares a plan with the first plan on the same summer. Right of the band is more damage.".into(),
            rows.iter().map(|r| format!("{}: {}.", r.name, r.note.join(", "))).collect::<Vec<_>>().join(" "),
            pattern.join(" "),
        ],
        table: table(&rows, &format!("change in {words} out of 100")),
    };
    Some(picture(meta, |canvas| {
        let explanation = format!(
            "Each dot is the same summer with and without the change. {} pairs simulated, shown as 20 dots.",
            thousands(counts[0].pairs as f64)
        );
        let top = canvas.head(&title, &explanation);
        let label = format!("Change in {words} out of 100 (left is less damage, right is more)");
        draw(
            canvas,
            top,
            &rows,
            axis,
            Some(band),
            Some(&(0.0, "no change".into())),
            &label,
        )
    }))
}

/// Heights of dots stacked so that none overlap: the level of each value, in the order given (ascending).
fn stack(values: &[f64; DOTS], axis: Axis) -> [usize; DOTS] {
    let mut levels = [0; DOTS];
    for i in 0..DOTS {
        let near = |j: &usize| (axis.x(values[i]) - axis.x(values[*j])).abs() < 2.0 * RADIUS + 2.0;
        let taken: Vec<usize> = (0..i).filter(near).map(|j| levels[j]).collect();
        levels[i] = (0..DOTS).find(|l| !taken.contains(l)).unwrap_or(0);
    }
    levels
}

fn draw(
    canvas: &Canvas,
    top: f64,
    rows: &[Row],
    axis: Axis,
    band: Option<f64>,
    line: Option<&(f64, String)>,
    axis_words: &str,
) -> f64 {
    // Where each row stands, before anything is drawn: band and line lie below the dots.
    let start = top + 60.0;
    let mut y = start;
    let mut places = Vec::new();
    for row in rows {
        let levels = stack(&row.values, axis);
        let dots = (levels.iter().max().copied().unwrap_or(0) + 1) as f64 * (2.0 * RADIUS + 4.0);
        let lines = wrap(&row.name, TEXT, true, NAMES).len() as f64 * 1.3 * TEXT
            + row
                .note
                .iter()
                .map(|n| wrap(n, SMALL, false, NAMES).len() as f64 * 1.3 * SMALL)
                .sum::<f64>();
        let height = dots.max(lines);
        places.push((y + 24.0, levels, height));
        y += 24.0 + height + 24.0;
    }
    let bottom = y;
    if let Some(band) = band {
        canvas.fill_rect(axis.x(-band), start, axis.x(band), bottom, BAND.mix(1.0));
    }
    if let Some((value, words)) = line {
        let x = axis.x(*value);
        if band.is_some() {
            canvas.line(&[(x, start), (x, bottom)], 4, INK);
        } else {
            canvas.dashed((x, start), (x, bottom), 4, INK);
        }
        let half = 0.5 * text_width(words, SMALL, false);
        let at = x.max(MARGIN + half).min(WIDTH - MARGIN - half);
        canvas.text(
            (at, top + 28.0),
            words,
            Pen::new(SMALL).anchored(Anchor::Middle),
        );
    }
    for (row, (y, levels, height)) in rows.iter().zip(&places) {
        canvas.mark(
            (MARGIN + 22.0, y + 0.65 * TEXT),
            RADIUS,
            row.mark,
            row.colour,
        );
        let mut below =
            canvas.paragraph(MARGIN + 62.0, *y, NAMES, &row.name, Pen::new(TEXT).bold());
        for line in &row.note {
            below = canvas.paragraph(MARGIN + 62.0, below, NAMES, line, Pen::new(SMALL));
        }
        let floor = y + height;
        for (value, level) in row.values.iter().zip(levels) {
            let at = (
                axis.x(*value),
                floor - RADIUS - *level as f64 * (2.0 * RADIUS + 4.0),
            );
            canvas.mark(at, RADIUS, row.mark, row.colour);
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
    for tick in axis_ticks(axis) {
        let x = axis.x(tick);
        canvas.line(&[(x, bottom), (x, bottom + 14.0)], 4, INK);
        let mut text = tick_text(tick);
        if axis.low < 0.0 && tick > 0.0 {
            text.insert(0, '+');
        }
        canvas.text(
            (x, bottom + 42.0),
            &text,
            Pen::new(SMALL).anchored(Anchor::Middle),
        );
    }
    let middle = f64::midpoint(axis.x(axis.low), axis.x(axis.high));
    let mut y = bottom + 98.0;
    for line in wrap(
        axis_words,
        TEXT,
        false,
        axis.x(axis.high) - axis.x(axis.low) + 80.0,
    ) {
        canvas.text((middle, y), &line, Pen::new(TEXT).anchored(Anchor::Middle));
        y += 1.3 * TEXT;
    }
    y
}

/// Ticks on both sides of zero with the step of the longer side.
fn axis_ticks(axis: Axis) -> Vec<f64> {
    let reach = axis.high.max(-axis.low);
    let positive = ticks(reach);
    let mut all: Vec<f64> = positive
        .iter()
        .skip(1)
        .rev()
        .map(|t| -t)
        .chain(positive.iter().copied())
        .collect();
    all.retain(|t| *t >= axis.low - 1e-9 && *t <= axis.high + 1e-9);
    all
}

fn table(rows: &[Row], quantity: &str) -> Table {
    let mut table = Table::with_header(&["plan", "dot of 20"]);
    table.header.push(quantity.to_owned());
    for row in rows {
        for (i, value) in row.values.iter().enumerate() {
            table.rows.push(vec![
                row.name.clone(),
                (i + 1).to_string(),
                format!("{value:.4}"),
            ]);
        }
    }
    table
}

fn pattern(rows: &[Row], first: Option<&(String, f64)>) -> String {
    let Some((name, middle)) = first else {
        return String::new();
    };
    let parts: Vec<String> = rows
        .iter()
        .skip(1)
        .map(|r| {
            let right = r.values.iter().filter(|v| **v > *middle).count();
            format!(
                "With {}, {right} of 20 dots lie right of the middle summer of {name}.",
                r.name
            )
        })
        .collect();
    if parts.is_empty() {
        return format!("Half of the dots lie right of the middle summer of {name}.");
    }
    parts.join(" ")
}
