//! Map of the change against the first plan: orange circles are plants with more damage, purple ones with less.
//!
//! A plus or minus stands in each circle, so that the sign survives a black-and-white print; hatching marks plants whose
//! summers do not agree.

use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, TEXT, Words, picture, text_width};
use crate::figure::legend::{self, Circles, INNER, heading, heading_height};
use crate::figure::map::{self, View};
use crate::figure::palette::{self, INK, PAPER, text_on};
use crate::figure::{Figure, Table, damage_words, round_up, tick_text};
use crate::scenario::Scenario;
use crate::study::compare::{CompareOutcome, PlanCompared};

const GAP: f64 = 50.0;
/// Share of the summers that must agree: 16 of 20.
const AGREE: f64 = 0.8;

/// What a plant's summers say together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sign {
    More,
    Less,
    NoChange,
    NotAgreed,
}

impl Sign {
    fn of(class: [u32; 3]) -> Sign {
        let all = f64::from(class.iter().sum::<u32>());
        let holds = |i: usize| f64::from(class[i]) >= AGREE * all;
        match (holds(0), holds(1), holds(2)) {
            (true, _, _) => Sign::More,
            (_, true, _) => Sign::NoChange,
            (_, _, true) => Sign::Less,
            _ => Sign::NotAgreed,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Sign::More => "more in 16 or more of 20 summers",
            Sign::Less => "less in 16 or more of 20 summers",
            Sign::NoChange => "no change in 16 or more of 20 summers",
            Sign::NotAgreed => "summers do not agree",
        }
    }
}

/// One panel a plan, all on one scale with equal limits on both sides.
pub fn change(scenario: &Scenario, outcome: &CompareOutcome) -> Figure {
    let words = damage_words(scenario);
    let target = scenario.pest.guild.target_noun();
    let first = &outcome.run.plans[0];
    let changes: Vec<Vec<f64>> = outcome
        .run
        .plans
        .iter()
        .map(|p| {
            let pairs = p.plant_damage.iter().zip(&first.plant_damage);
            pairs.map(|(after, before)| after - before).collect()
        })
        .collect();
    let largest = changes
        .iter()
        .flatten()
        .fold(2.0, |a: f64, b| a.max(b.abs()));
    let end = round_up(largest).min(100.0);
    let title = format!("Where damage changes against \"{}\"", first.name);
    let meta = Words {
        name: "change-map".into(),
        title: title.clone(),
        alt: format!(
            "Map of the yard, one panel a plan, with the change in {words} at each {target}, to show who gains and who loses."
        ),
        levels: levels(scenario, outcome, &changes),
        table: table(scenario, outcome, &changes),
    };
    picture(meta, |canvas| {
        let top = canvas.head(
            &title,
            "Orange and + is more damage, purple and - is less. Hatched: the summers do not agree. Any one summer looks patchier.",
        );
        let others: Vec<usize> = (1..outcome.plans.len()).collect();
        let (columns, width) = map::grid(scenario, others.len(), INNER, GAP);
        let head = others
            .iter()
            .map(|k| heading_height(width, &outcome.plans[*k].name, &numbers(&outcome.plans[*k])))
            .fold(0.0, f64::max);
        let mut y = top;
        let mut last = None;
        for row in others.chunks(columns) {
            let mut bottom = y;
            for (column, k) in row.iter().enumerate() {
                let x = MARGIN + column as f64 * (width + GAP);
                heading(
                    canvas,
                    x,
                    y,
                    width,
                    &outcome.plans[*k].name,
                    &numbers(&outcome.plans[*k]),
                );
                let view = View::new(scenario, x, y + head, width, 1300.0);
                panel(canvas, &view, scenario, outcome, (*k, &changes[*k], end));
                bottom = bottom.max(view.frame.3);
                last = Some(view);
            }
            y = bottom + 40.0;
        }
        let ends = [
            colours(canvas, y, end, &on_each(scenario, &words)),
            last.map_or(y, |view| {
                legend::shapes(canvas, y, scenario, &view, Circles::Outlined)
            }),
        ];
        ends[0].max(ends[1]) + 30.0
    })
}

/// A whole change with its sign; plain 0 for less than half a point.
fn signed(change: f64) -> String {
    if change.abs() < 0.5 {
        "0".into()
    } else {
        format!("{change:+.0}")
    }
}

/// A change with its sign, one decimal; never "-0.0".
fn tenth(change: f64) -> String {
    if change.abs() < 0.05 {
        "0.0".into()
    } else {
        format!("{change:+.1}")
    }
}

fn numbers(plan: &PlanCompared) -> Vec<String> {
    vec![format!(
        "yours: {} of 100; more in {}, less in {} of 20",
        tenth(plan.difference_mean),
        plan.count.more,
        plan.count.less
    )]
}

fn panel(
    canvas: &Canvas,
    view: &View,
    scenario: &Scenario,
    outcome: &CompareOutcome,
    (k, changes, end): (usize, &[f64], f64),
) {
    map::ground(canvas, view, scenario);
    map::structures(canvas, view, scenario);
    for (i, (plant, change)) in scenario.plants.iter().zip(changes).enumerate() {
        let sign = Sign::of(outcome.plans[k].plant_classes[i]);
        let (at, radius) = (view.at(plant.at), view.plant_radius(plant.canopy_m));
        let fill = match sign {
            Sign::NoChange => PAPER,
            _ => palette::difference(change / end),
        };
        canvas.disc(at, radius, Some(fill), 3, INK);
        match sign {
            Sign::NotAgreed => hatch(canvas, at, radius),
            Sign::More | Sign::Less if radius > 14.0 => {
                let mark = if sign == Sign::More { "+" } else { "-" };
                let pen = Pen::new((1.6 * radius).min(TEXT))
                    .bold()
                    .anchored(Anchor::Middle);
                canvas.text(at, mark, pen.coloured(text_on(fill)));
            }
            _ => {}
        }
    }
    map::traps(canvas, view, &scenario.plans[k]);
    let crops: Vec<String> = scenario
        .crops
        .iter()
        .map(|c| {
            let part = &changes[c.first..c.first + c.count];
            signed(part.iter().sum::<f64>() / part.len().max(1) as f64)
        })
        .collect();
    map::labels(canvas, view, scenario, Some(&scenario.plans[k]), &crops);
}

/// Strokes across a circle, each dark with a light edge.
fn hatch(canvas: &Canvas, (x, y): (f64, f64), radius: f64) {
    let steps: &[f64] = if radius < 16.0 {
        &[0.0]
    } else {
        &[-0.5, 0.0, 0.5]
    };
    for step in steps {
        let off = step * radius * std::f64::consts::SQRT_2;
        let half =
            (radius * radius - 0.5 * off * off).max(0.0).sqrt() * std::f64::consts::FRAC_1_SQRT_2;
        let (cx, cy) = (x + 0.5 * off, y + 0.5 * off);
        let ends = [(cx - half, cy + half), (cx + half, cy - half)];
        canvas.line(&ends, 7, PAPER);
        canvas.line(&ends, 3, INK);
    }
}

/// Title of the colours: what changes, and where.
fn on_each(scenario: &Scenario, words: &str) -> String {
    let at = match scenario.pest.guild {
        crate::catalogue::Guild::Visitor => "at each table",
        _ => "on each plant",
    };
    format!("Change in {words} out of 100, {at}")
}

fn colours(canvas: &Canvas, y: f64, end: f64, title: &str) -> f64 {
    let mut y = canvas.paragraph(MARGIN, y, 1080.0, title, Pen::new(TEXT).bold()) + 8.0;
    let (left, right) = (MARGIN, MARGIN + 940.0);
    canvas.text((left, y + 22.0), "less damage (-)", Pen::new(SMALL));
    canvas.text(
        (right, y + 22.0),
        "more damage (+)",
        Pen::new(SMALL).anchored(Anchor::End),
    );
    y += 50.0;
    let steps = 64;
    for i in 0..steps {
        let at = |i: usize| left + (right - left) * i as f64 / steps as f64;
        let share = 2.0 * (i as f64 + 0.5) / steps as f64 - 1.0;
        canvas.fill_rect(at(i), y, at(i + 1), y + 50.0, {
            use plotters::style::Color;
            palette::difference(share).mix(1.0)
        });
    }
    canvas.outline(
        &[(left, y), (right, y), (right, y + 50.0), (left, y + 50.0)],
        3,
        INK,
    );
    for tick in [-end, -0.5 * end, 0.0, 0.5 * end, end] {
        let x = left + (right - left) * (tick + end) / (2.0 * end);
        canvas.line(&[(x, y + 50.0), (x, y + 62.0)], 3, INK);
        let sign = if tick > 0.0 { "+" } else { "" };
        let text = format!("{sign}{}", tick_text(tick));
        let half = 0.5 * text_width(&text, SMALL, false);
        let at = x.max(MARGIN + half);
        canvas.text(
            (at, y + 84.0),
            &text,
            Pen::new(SMALL).anchored(Anchor::Middle),
        );
    }
    let (cx, cy) = (left + 20.0, y + 140.0);
    canvas.disc((cx, cy), 18.0, Some(PAPER), 3, INK);
    hatch(canvas, (cx, cy), 18.0);
    canvas.text((cx + 34.0, cy), "summers do not agree", Pen::new(SMALL));
    canvas.disc((cx + 520.0, cy), 18.0, Some(PAPER), 3, INK);
    canvas.text((cx + 554.0, cy), "no change (white)", Pen::new(SMALL));
    cy + 40.0
}

fn table(scenario: &Scenario, outcome: &CompareOutcome, changes: &[Vec<f64>]) -> Table {
    let mut table = Table {
        header: ["plan", "crop", "plant", "change out of 100", "agreement"]
            .map(String::from)
            .to_vec(),
        rows: Vec::new(),
    };
    for (k, plan) in outcome.plans.iter().enumerate().skip(1) {
        for (i, plant) in scenario.plants.iter().enumerate() {
            table.rows.push(vec![
                plan.name.clone(),
                scenario.crops[plant.crop].name.clone(),
                (i + 1).to_string(),
                tenth(changes[k][i]),
                Sign::of(plan.plant_classes[i]).words().into(),
            ]);
        }
    }
    table
}

fn levels(scenario: &Scenario, outcome: &CompareOutcome, changes: &[Vec<f64>]) -> [String; 3] {
    let mut numbers = Vec::new();
    let mut pattern = Vec::new();
    for (k, plan) in outcome.plans.iter().enumerate().skip(1) {
        let crops: Vec<String> = scenario
            .crops
            .iter()
            .map(|c| {
                let part = &changes[k][c.first..c.first + c.count];
                format!(
                    "{} {}",
                    c.name,
                    tenth(part.iter().sum::<f64>() / part.len().max(1) as f64)
                )
            })
            .collect();
        numbers.push(format!("{}: {}.", plan.name, crops.join(", ")));
        let n = |sign: Sign| {
            let same = |c: &&[u32; 3]| Sign::of(**c) == sign;
            plan.plant_classes.iter().filter(same).count()
        };
        pattern.push(format!(
            "With {}, more damage at {} of the {}s, less at {}, no change at {}; at {} the summers do not agree.",
            plan.name,
            n(Sign::More),
            scenario.pest.guild.target_noun(),
            n(Sign::Less),
            n(Sign::NoChange),
            n(Sign::NotAgreed)
        ));
    }
    [
        format!(
            "Each circle is a {}. Orange and plus is more damage, purple and minus is less, hatched is not agreed.",
            scenario.pest.guild.target_noun()
        ),
        numbers.join(" "),
        pattern.join(" "),
    ]
}
