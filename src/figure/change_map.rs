//! Map of the change against the first plan: orange circles are plants with more damage, purple ones with less.
//!
//! A plus or minus stands in each circle, so that the sign survives a black-and-white print; hatching marks plants whose
//! summers do not agree.

use crate::count::outcome::PlanOutcome;
use crate::figure::canvas::{Canvas, MARGIN, Pen, TEXT, Words, picture};
use crate::figure::labels::labels;
use crate::figure::legend::{self, Circles, colour_bar};
use crate::figure::map::{self, View, overlap, square};
use crate::figure::palette::{self, INK, PAPER, text_on};
use crate::figure::plant_map::number;
use crate::figure::{Figure, damage_words, round_up, targets, tenth, tick_text};
use crate::say::{say, voice};
use crate::scenario::Scenario;
use crate::stats::paired::{Told, differences};
use crate::study::compare::{CompareOutcome, PlanCompared};

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
        voice().get(match self {
            Sign::More => "figure.change-map.more",
            Sign::Less => "figure.change-map.less",
            Sign::NoChange => "figure.change-map.no-change",
            Sign::NotAgreed => "figure.change-map.not-agreed",
        })
    }
}

/// One panel a plan, all on one scale with equal limits on both sides.
pub fn change(scenario: &Scenario, outcome: &CompareOutcome) -> Figure {
    let state = damage_words(scenario);
    let first = &outcome.run.plans[0];
    let change = |p: &PlanOutcome| differences(&first.plant_damage, &p.plant_damage);
    let changes: Vec<Vec<f64>> = outcome.run.plans.iter().map(change).collect();
    let largest = changes.iter().flatten();
    let largest = largest.fold(2.0, |a: f64, b| a.max(b.abs()));
    let end = round_up(largest).min(100.0);
    let gaps = [
        ("state", state.as_str()),
        ("other", &first.name),
        ("target", scenario.pest.guild.target_noun()),
    ];
    let told = words(scenario, outcome, &changes);
    let meta = Words::of("change-map", &gaps, told, rows(scenario, outcome, &changes));
    picture(meta, |canvas, top| {
        let others = outcome.plans.iter().skip(1);
        let others = others.map(|p| (p.name.as_str(), vec![numbers(p)]));
        let others: Vec<_> = others.collect();
        let (y, last) = map::panels(canvas, top, scenario, &others, |view, index| {
            let k = index + 1;
            panel(canvas, view, scenario, outcome, (k, &changes[k], end))
        });
        let shapes = last.map_or(y, |view| {
            legend::shapes(canvas, y, scenario, &view, Circles::Outlined)
        });
        colours(canvas, y, end, scenario).max(shapes) + 30.0
    })
}

/// A whole change with its sign; plain 0 for less than half a point.
fn signed(change: f64) -> String {
    match change.abs() {
        size if size < 0.5 => "0".into(),
        _ => format!("{change:+.0}"),
    }
}

fn numbers(plan: &PlanCompared) -> String {
    let points = tenth(plan.finding.change.mean);
    let Told { more, less, of, .. } = plan.finding.count.told();
    say!("figure.change-map.yours", points, more, less, of)
}

/// Mean change of each crop.
fn by_crop(scenario: &Scenario, changes: &[f64], text: fn(f64) -> String) -> Vec<String> {
    let crops = scenario.crops.iter().map(|c| {
        let part = &changes[c.first..c.first + c.count];
        number(c, text(part.iter().sum::<f64>() / part.len().max(1) as f64))
    });
    crops.collect()
}

fn panel(
    canvas: &Canvas,
    view: &View,
    scenario: &Scenario,
    outcome: &CompareOutcome,
    (k, changes, end): (usize, &[f64], f64),
) -> f64 {
    map::base(canvas, view, scenario);
    let frames = view.plants(scenario);
    for (i, (plant, change)) in scenario.plants.iter().zip(changes).enumerate() {
        let sign = Sign::of(outcome.plans[k].plant_classes[i]);
        let (at, radius) = (view.at(plant.at), view.plant_radius(plant.canopy_m));
        let inner = square(at, 0.5 * radius);
        let clear = frames[i + 1..].iter().all(|o| overlap(inner, *o) <= 0.0);
        let fill = match sign {
            Sign::NoChange => PAPER,
            _ => palette::difference(change / end),
        };
        canvas.disc(at, radius, Some(fill), 3, INK);
        match sign {
            Sign::NotAgreed => hatch(canvas, at, radius),
            // A sign that the next plants would cover is left to the table.
            Sign::More | Sign::Less if radius > 14.0 && clear => {
                let mark = if sign == Sign::More { "+" } else { "-" };
                let pen = Pen::new((1.6 * radius).min(TEXT)).bold();
                let pen = pen.middle();
                canvas.text(at, mark, pen.coloured(text_on(fill)));
            }
            _ => {}
        }
    }
    let plan = &scenario.plans[k];
    map::traps(canvas, view, scenario, plan);
    let crops = by_crop(scenario, changes, signed);
    labels(canvas, view, scenario, Some(plan), (&crops, &[]))
}

/// Strokes across a circle, each dark with a light edge.
fn hatch(canvas: &Canvas, (x, y): (f64, f64), radius: f64) {
    let small = radius < 16.0;
    for step in [-0.5, 0.0, 0.5].iter().filter(|s| !small || **s == 0.0) {
        let off = step * radius * std::f64::consts::SQRT_2;
        let half =
            (radius * radius - 0.5 * off * off).max(0.0).sqrt() * std::f64::consts::FRAC_1_SQRT_2;
        let (cx, cy) = (x + 0.5 * off, y + 0.5 * off);
        let ends = [(cx - half, cy + half), (cx + half, cy - half)];
        canvas.line(&ends, 7, PAPER);
        canvas.line(&ends, 3, INK);
    }
}

fn colours(canvas: &Canvas, y: f64, end: f64, scenario: &Scenario) -> f64 {
    let state = damage_words(scenario);
    let title = match scenario.pest.guild {
        crate::catalogue::Guild::Visitor => say!("figure.change-map.scale.tables", state),
        _ => say!("figure.change-map.scale", state),
    };
    let ends = ["figure.change-map.low", "figure.change-map.high"].map(|key| voice().get(key));
    let numbers = [-1.0, -0.5, 0.0, 0.5, 1.0].into_iter().map(|side| {
        let sign = if side > 0.0 { "+" } else { "" };
        let number = format!("{sign}{}", tick_text(side * end));
        (0.5 * (side + 1.0), number)
    });
    let fill = |share: f64| palette::difference(2.0 * share - 1.0);
    let places = (MARGIN, MARGIN + 940.0);
    let cy = colour_bar(canvas, y, &title, places, ends, 64, fill, numbers) + 30.0;
    let cx = MARGIN + 20.0;
    canvas.disc((cx, cy), 18.0, Some(PAPER), 3, INK);
    hatch(canvas, (cx, cy), 18.0);
    let pen = Pen::SMALL;
    canvas.text((cx + 34.0, cy), Sign::NotAgreed.words(), pen);
    canvas.disc((cx + 520.0, cy), 18.0, Some(PAPER), 3, INK);
    canvas.text((cx + 554.0, cy), &say!("figure.change-map.white"), pen);
    cy + 40.0
}

fn rows(scenario: &Scenario, outcome: &CompareOutcome, changes: &[Vec<f64>]) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for (k, plan) in outcome.plans.iter().enumerate().skip(1) {
        let plants = scenario.plants.iter().enumerate();
        for (i, plant) in plants.filter(|(_, p)| !scenario.crops[p.crop].trap_crop) {
            rows.push(vec![
                plan.name.clone(),
                scenario.crops[plant.crop].name.clone(),
                (i + 1).to_string(),
                tenth(changes[k][i]),
                Sign::of(plan.plant_classes[i]).words().into(),
            ]);
        }
    }
    rows
}

fn words(scenario: &Scenario, outcome: &CompareOutcome, changes: &[Vec<f64>]) -> [String; 2] {
    let (mut numbers, mut pattern) = (Vec::new(), Vec::new());
    for (k, result) in outcome.plans.iter().enumerate().skip(1) {
        let changes = by_crop(scenario, &changes[k], tenth);
        let crops = scenario.crops.iter().zip(changes);
        let crops = crops.filter(|(c, _)| !c.trap_crop);
        let list = crops.map(|(c, change)| format!("{} {change}", c.name));
        let list: Vec<String> = list.collect();
        numbers.push(format!("{}: {}.", result.name, list.join(", ")));
        let n = |sign: Sign| {
            let plants = scenario.plants.iter().zip(&result.plant_classes);
            let counted = plants.filter(|(p, _)| !scenario.crops[p.crop].trap_crop);
            counted.filter(|(_, c)| Sign::of(**c) == sign).count()
        };
        let (more, less, same) = (n(Sign::More), n(Sign::Less), n(Sign::NoChange));
        let (plan, targets, n) = (&result.name, targets(scenario), n(Sign::NotAgreed));
        let key = "figure.change-map.pattern";
        pattern.push(say!(key, plan, targets, more, less, same, n));
    }
    [numbers.join(" "), pattern.join(" ")]
}
