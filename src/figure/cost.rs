//! Cost against damage: what a plan costs in dollars and minutes, and what it leaves.

use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, TEXT, Words, picture, text_width};
use crate::figure::legend::INNER;
use crate::figure::palette::{self, INK, QUIET};
use crate::figure::plant_map::upper;
use crate::figure::{Figure, Table, damage_words, round_up, tick_text, ticks, whole};
use crate::scenario::Scenario;
use crate::study::compare::CompareOutcome;

const HEIGHT: f64 = 760.0;

/// Two panels: damage against minutes, damage against dollars; a line shows the assumed range.
pub fn cost_against_damage(scenario: &Scenario, outcome: &CompareOutcome) -> Figure {
    let words = damage_words(scenario);
    let title = format!("What it takes and what it leaves: {words} out of 100");
    let mut table = Table {
        header: [
            "plan",
            "minutes",
            "minutes low",
            "minutes high",
            "dollars",
            "dollars low",
            "dollars high",
        ]
        .map(String::from)
        .to_vec(),
        rows: Vec::new(),
    };
    table.header.push(format!("{words} out of 100"));
    for plan in &outcome.plans {
        let (m, d) = (plan.effort.minutes, plan.effort.dollars);
        let mut row = vec![plan.name.clone()];
        row.extend([m[1], m[0], m[2], d[1], d[0], d[2]].map(|v| format!("{v:.0}")));
        row.push(whole(plan.damage_mean));
        table.rows.push(row);
    }
    let numbers: Vec<String> = outcome
        .plans
        .iter()
        .map(|p| {
            format!(
                "{}: {:.0} minutes, {:.0} dollars, {} of 100.",
                p.name,
                p.effort.minutes[1],
                p.effort.dollars[1],
                whole(p.damage_mean)
            )
        })
        .collect();
    let least = outcome
        .plans
        .iter()
        .min_by(|a, b| a.damage_mean.total_cmp(&b.damage_mean));
    let meta = Words {
        name: "cost-and-damage".into(),
        title: title.clone(),
        alt: format!(
            "Two plots of {words} against minutes and dollars, to weigh what each plan takes."
        ),
        levels: [
            "Each mark is a plan. Lower means less damage, further right means more time or money."
                .into(),
            numbers.join(" "),
            least.map_or(String::new(), |p| {
                format!(
                    "{} leaves the least damage, at {:.0} minutes and {:.0} dollars.",
                    p.name, p.effort.minutes[1], p.effort.dollars[1]
                )
            }),
        ],
        table,
    };
    picture(meta, |canvas| {
        let top = canvas.head(
            &title,
            "The line through a mark is the assumed range of its cost. Lower is less damage.",
        );
        let most = outcome
            .plans
            .iter()
            .map(|p| p.damage_mean)
            .fold(1.0, f64::max);
        let end = round_up(most * 1.02).min(100.0);
        let width = 0.5 * INNER - 130.0;
        let panels: [(&str, usize); 2] = [("minutes of your time", 0), ("dollars", 1)];
        for (name, which) in panels {
            let left = MARGIN + 100.0 + which as f64 * (0.5 * INNER + 20.0);
            let frame = (left, top + 70.0, left + width, top + 70.0 + HEIGHT);
            panel(canvas, outcome, frame, (name, which, end));
        }
        let pen = Pen::new(SMALL);
        canvas.text(
            (MARGIN, top + 14.0),
            &format!("{} out of 100", upper(&words)),
            pen,
        );
        let mut y = top + 70.0 + HEIGHT + 150.0;
        let mut x = MARGIN;
        for (i, plan) in outcome.plans.iter().enumerate() {
            let (colour, mark) = palette::plan(i);
            let room = text_width(&plan.name, SMALL, false) + 110.0;
            if x > MARGIN && x + room > MARGIN + INNER {
                x = MARGIN;
                y += 60.0;
            }
            canvas.mark((x + 20.0, y), 18.0, mark, colour);
            canvas.text((x + 54.0, y), &plan.name, pen);
            x += room;
        }
        y + 60.0
    })
}

fn panel(
    canvas: &Canvas,
    outcome: &CompareOutcome,
    (x0, y0, x1, y1): (f64, f64, f64, f64),
    (name, which, end): (&str, usize, f64),
) {
    let range = |i: usize| {
        let effort = &outcome.plans[i].effort;
        if which == 0 {
            effort.minutes
        } else {
            effort.dollars
        }
    };
    let most = (0..outcome.plans.len())
        .map(|i| range(i)[2])
        .fold(1.0, f64::max);
    let scale = round_up(most);
    let x_of = |v: f64| x0 + (x1 - x0) * v / scale;
    let y_of = |v: f64| y1 - (y1 - y0) * v / end;
    let nothing = outcome.plans.first().map_or(0.0, |p| p.damage_mean);
    canvas.dashed((x0, y_of(nothing)), (x1, y_of(nothing)), 3, QUIET);
    canvas.line(&[(x0, y0), (x0, y1), (x1, y1)], 4, INK);
    for tick in ticks(end) {
        canvas.line(&[(x0 - 12.0, y_of(tick)), (x0, y_of(tick))], 3, INK);
        let pen = Pen::new(SMALL).anchored(Anchor::End);
        canvas.text((x0 - 20.0, y_of(tick)), &tick_text(tick), pen);
    }
    for tick in ticks(scale) {
        canvas.line(&[(x_of(tick), y1), (x_of(tick), y1 + 12.0)], 3, INK);
        let pen = Pen::new(SMALL).anchored(Anchor::Middle);
        canvas.text((x_of(tick), y1 + 36.0), &tick_text(tick), pen);
    }
    let middle = f64::midpoint(x0, x1);
    let pen = Pen::new(TEXT).anchored(Anchor::Middle);
    canvas.text((middle, y1 + 90.0), name, pen);
    for (i, plan) in outcome.plans.iter().enumerate() {
        let (colour, mark) = palette::plan(i);
        let y = y_of(plan.damage_mean);
        let [low, at, high] = range(i);
        canvas.line(&[(x_of(low), y), (x_of(high), y)], 4, colour);
        canvas.mark((x_of(at), y), 20.0, mark, colour);
    }
}
