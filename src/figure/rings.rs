//! Damage by distance from the trap, with and without it.

use crate::count::outcome::{PlanOutcome, Ring, RunOutcome};
use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, TEXT, WIDTH, Words, picture};
use crate::figure::legend::INNER;
use crate::figure::palette::{self, INK, PAPER, QUIET};
use crate::figure::{Figure, Table, average_of, damage_words, round_up, tick_text, ticks, whole};
use crate::scenario::Scenario;
use crate::units::feet;
use plotters::style::{Color, RGBColor};

const BAR: f64 = 44.0;
const LEFT: f64 = MARGIN + 560.0;
const RIGHT: f64 = WIDTH - MARGIN - 150.0;

/// Bars of damage for each ring round the trap; `None` when no plan but the first has rings.
pub fn spillover(scenario: &Scenario, outcome: &RunOutcome) -> Option<Figure> {
    let target = scenario.pest.guild.target_noun();
    let plans: Vec<(usize, &PlanOutcome)> = outcome
        .plans
        .iter()
        .enumerate()
        .skip(1)
        .filter(|(_, p)| !p.rings.is_empty())
        .collect();
    let first = outcome.plans.first()?;
    if plans.is_empty() {
        return None;
    }
    let words = damage_words(scenario);
    let values = plans
        .iter()
        .flat_map(|(_, p)| &p.rings)
        .flat_map(|r| [r.damage, r.damage_without])
        .flatten();
    let end = round_up(values.fold(5.0, f64::max)).min(100.0);
    let title = format!("Damage near the trap: {}", average_of(outcome));
    let meta = Words {
        name: "distance-from-trap".into(),
        title: title.clone(),
        alt: format!(
            "Bars of {words} by distance from the trap, with and without it, to show spillover."
        ),
        levels: levels(&plans, &words),
        table: table(&plans, &words),
    };
    Some(picture(meta, |canvas| {
        let mut y = canvas.head(
            &title,
            &format!(
                "Spillover means that insects drawn by a trap feed on {target}s near it. Bars show {words} out of 100; any one summer differs."
            ),
        );
        for (index, plan) in &plans {
            y = canvas.paragraph(MARGIN, y, INNER, &plan.name, Pen::new(TEXT).bold()) + 8.0;
            let (colour, _) = palette::plan(*index);
            key(canvas, y + 24.0, &first.name, &plan.name, colour);
            y += 74.0;
            let top = y;
            for ring in &plan.rings {
                y = bars(canvas, y, ring, end, colour);
            }
            axis(canvas, top, y, end);
            y += 90.0;
        }
        canvas.paragraph(
            MARGIN,
            y,
            INNER,
            &format!(
                "Axis: {words} out of 100. Every {target} in a ring counts, a neighbor's too."
            ),
            Pen::new(SMALL),
        ) + 30.0
    }))
}

fn x_of(value: f64, end: f64) -> f64 {
    LEFT + (RIGHT - LEFT) * value / end
}

fn key(canvas: &Canvas, y: f64, without: &str, with: &str, colour: RGBColor) {
    let x = LEFT;
    bar(canvas, x, y - 18.0, x + 70.0, y + 18.0, None);
    let without = crate::figure::canvas::shorten(without, SMALL, false, 620.0);
    canvas.text((x + 86.0, y), &without, Pen::new(SMALL));
    let x = x + 86.0 + crate::figure::canvas::text_width(&without, SMALL, false) + 70.0;
    bar(canvas, x, y - 18.0, x + 70.0, y + 18.0, Some(colour));
    let with = crate::figure::canvas::shorten(with, SMALL, false, WIDTH - MARGIN - x - 90.0);
    canvas.text((x + 86.0, y), &with, Pen::new(SMALL));
}

/// A bar: filled for the plan, empty with hatching for the first plan.
fn bar(canvas: &Canvas, x0: f64, y0: f64, x1: f64, y1: f64, fill: Option<RGBColor>) {
    canvas.fill_rect(x0, y0, x1, y1, fill.unwrap_or(PAPER).mix(1.0));
    if fill.is_none() {
        let height = y1 - y0;
        let mut x = x0 - height + 20.0;
        while x < x1 {
            // A stroke rises from the bottom edge to the top one, clipped at both ends of the bar.
            let (a, b) = (x.max(x0), (x + height).min(x1));
            if b > a {
                canvas.line(&[(a, y1 - (a - x)), (b, y1 - (b - x))], 2, QUIET);
            }
            x += 20.0;
        }
    }
    canvas.outline(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)], 3, INK);
}

fn bars(canvas: &Canvas, y: f64, ring: &Ring, end: f64, colour: RGBColor) -> f64 {
    let middle = y + BAR + 6.0;
    canvas.text(
        (LEFT - 24.0, middle - 22.0),
        &distance(ring),
        Pen::new(SMALL).bold().anchored(Anchor::End),
    );
    let plants = match ring.n_plants {
        0 => "no plants".to_owned(),
        1 => "1 plant".to_owned(),
        n => format!("{n} plants"),
    };
    canvas.text(
        (LEFT - 24.0, middle + 24.0),
        &plants,
        Pen::new(SMALL).coloured(QUIET).anchored(Anchor::End),
    );
    for (offset, value, fill) in [
        (6.0, ring.damage_without, None),
        (6.0 + BAR, ring.damage, Some(colour)),
    ] {
        if let Some(value) = value {
            let x = x_of(value, end);
            bar(canvas, LEFT, y + offset, x, y + offset + BAR - 4.0, fill);
            canvas.text(
                (x + 16.0, y + offset + 0.5 * BAR - 2.0),
                &whole(value),
                Pen::new(SMALL),
            );
        }
    }
    y + 2.0 * BAR + 30.0
}

fn axis(canvas: &Canvas, top: f64, bottom: f64, end: f64) {
    canvas.line(&[(LEFT, top), (LEFT, bottom)], 4, INK);
    canvas.line(&[(LEFT, bottom), (RIGHT, bottom)], 3, INK);
    for tick in ticks(end) {
        let x = x_of(tick, end);
        canvas.line(&[(x, bottom), (x, bottom + 12.0)], 3, INK);
        canvas.text(
            (x, bottom + 36.0),
            &tick_text(tick),
            Pen::new(SMALL).anchored(Anchor::Middle),
        );
    }
}

/// "10-20 ft (3.0-6.1 m)".
pub fn distance(ring: &Ring) -> String {
    if !ring.to_m.is_finite() {
        return format!("over {:.0} ft ({:.1} m)", feet(ring.from_m), ring.from_m);
    }
    format!(
        "{:.0}-{:.0} ft ({:.1}-{:.1} m)",
        feet(ring.from_m),
        feet(ring.to_m),
        ring.from_m,
        ring.to_m
    )
}

fn cell(value: Option<f64>) -> String {
    value.map_or_else(String::new, whole)
}

fn table(plans: &[(usize, &PlanOutcome)], words: &str) -> Table {
    let mut table = Table::with_header(&["plan", "distance from the trap", "plants"]);
    table.header.push(format!("{words} out of 100, first plan"));
    table.header.push(format!("{words} out of 100, this plan"));
    for (_, plan) in plans {
        for ring in &plan.rings {
            table.rows.push(vec![
                plan.name.clone(),
                distance(ring),
                ring.n_plants.to_string(),
                cell(ring.damage_without),
                cell(ring.damage),
            ]);
        }
    }
    table
}

fn levels(plans: &[(usize, &PlanOutcome)], words: &str) -> [String; 3] {
    let mut numbers = Vec::new();
    let mut pattern = Vec::new();
    for (_, plan) in plans {
        let mut top: Option<(&Ring, f64)> = None;
        let mut parts = Vec::new();
        for ring in &plan.rings {
            if let (Some(with), Some(without)) = (ring.damage, ring.damage_without) {
                parts.push(format!(
                    "{}: {} to {}",
                    distance(ring),
                    whole(without),
                    whole(with)
                ));
                if top.is_none_or(|(_, t)| (with - without).abs() > t.abs()) {
                    top = Some((ring, with - without));
                }
            }
        }
        numbers.push(format!(
            "{}, {words} of 100. {}.",
            plan.name,
            parts.join("; ")
        ));
        pattern.push(match top {
            Some((ring, change)) if change.abs() >= 0.5 => {
                let way = if change > 0.0 { "up" } else { "down" };
                format!(
                    "With {}, the largest change is {way} {:.0}, at {}.",
                    plan.name,
                    change.abs(),
                    distance(ring)
                )
            }
            _ => format!("With {}, no ring changes by 1 in 100.", plan.name),
        });
    }
    [
        "Each pair of bars is a ring around the trap. Hatched is the first plan.".into(),
        numbers.join(" "),
        pattern.join(" "),
    ]
}
