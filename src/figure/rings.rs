//! Damage by distance from the trap, with and without it.

use crate::count::outcome::{PlanOutcome, Ring, RunOutcome};
use crate::figure::canvas::{
    Canvas, MARGIN, Pen, SMALL, WIDTH, Words, picture, shorten, text_width,
};
use crate::figure::chart::Scale;
use crate::figure::legend::INNER;
use crate::figure::palette::{self, INK, PAPER, QUIET, RGBColor};
use crate::figure::{Figure, damage_words, joined, targets};
use crate::say::{counted, say};
use crate::scenario::Scenario;
use crate::stats::words::in_print;
use crate::stats::words::thousands;
use crate::units::feet;

const BAR: f64 = 44.0;
const LEFT: f64 = MARGIN + 560.0;
const RIGHT: f64 = WIDTH - MARGIN - 150.0;

/// A plan with a trap: its place among the plans, its result, and the name of the trap that the rings go round.
struct Trapped<'a> {
    index: usize,
    plan: &'a PlanOutcome,
    trap: &'a str,
}

/// Bars of damage for each ring round the first trap of a plan; `None` when no plan but the first has a trap with plants in a
/// ring.
pub fn spillover(scenario: &Scenario, outcome: &RunOutcome) -> Option<Figure> {
    let first = outcome.plans.first()?;
    let plans = outcome.plans.iter().enumerate().skip(1);
    let plans = plans.filter(|(_, plan)| plan.rings.iter().any(|r| r.n_plants > 0));
    let plans = plans.filter_map(|(index, plan)| {
        let trap = &scenario.plans.get(index)?.traps.first()?.name;
        Some(Trapped { index, plan, trap })
    });
    let plans: Vec<Trapped> = plans.collect();
    if plans.is_empty() {
        return None;
    }
    let rings = || plans.iter().flat_map(|p| &p.plan.rings);
    let values = rings().flat_map(|r| [r.damage, r.damage_without]).flatten();
    let most = values.fold(5.0, f64::max).min(100.0);
    let state = damage_words(scenario);
    let gaps = [
        ("state", state.as_str()),
        ("targets", targets(scenario)),
        ("summers", &thousands(f64::from(outcome.summers))),
    ];
    let words = [numbers(&plans, &state), pattern(&plans)];
    let meta = Words::of("distance-from-trap", &gaps, words, rows(&plans));
    Some(picture(meta, |canvas, top| {
        let mut y = top;
        for Trapped { index, plan, trap } in &plans {
            let heading = say!("figure.rings.heading", plan = plan.name, trap);
            y = canvas.paragraph(MARGIN, y, INNER, &heading, Pen::TEXT.bold()) + 8.0;
            let (colour, _) = palette::plan(*index);
            key(canvas, y + 24.0, &first.name, &plan.name, colour);
            y += 74.0;
            let scale = Scale::up_to(most, (LEFT, RIGHT));
            let bottom = y + plan.rings.len() as f64 * (2.0 * BAR + 30.0);
            let below = scale.along(canvas, y, bottom, "");
            canvas.line(&[(LEFT, y), (LEFT, bottom)], 4, INK);
            for ring in &plan.rings {
                y = bars(canvas, y, ring, &scale, colour);
            }
            y = below + 20.0;
        }
        let target = scenario.pest.guild.target_noun();
        let foot = say!("figure.rings.axis", state, target);
        canvas.paragraph(MARGIN, y, INNER, &foot, Pen::SMALL) + 30.0
    }))
}

fn key(canvas: &Canvas, y: f64, without: &str, with: &str, colour: RGBColor) {
    let x = LEFT;
    bar(canvas, x, y - 18.0, x + 70.0, y + 18.0, None);
    let without = shorten(without, SMALL, false, 620.0);
    canvas.text((x + 86.0, y), &without, Pen::SMALL);
    let x = x + 86.0 + text_width(&without, SMALL, false) + 70.0;
    bar(canvas, x, y - 18.0, x + 70.0, y + 18.0, Some(colour));
    let with = shorten(with, SMALL, false, WIDTH - MARGIN - x - 90.0);
    canvas.text((x + 86.0, y), &with, Pen::SMALL);
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

fn bars(canvas: &Canvas, y: f64, ring: &Ring, scale: &Scale, colour: RGBColor) -> f64 {
    let middle = y + BAR + 6.0;
    let pen = Pen::SMALL.end();
    canvas.text((LEFT - 24.0, middle - 22.0), &distance(ring), pen.bold());
    let plants = match ring.n_plants {
        0 => say!("figure.rings.no-plants"),
        n => say!(&counted("figure.rings.plants", n as u64), n),
    };
    canvas.text((LEFT - 24.0, middle + 24.0), &plants, pen.coloured(QUIET));
    for (offset, value, fill) in [
        (6.0, ring.damage_without, None),
        (6.0 + BAR, ring.damage, Some(colour)),
    ] {
        if let Some(value) = value {
            let x = scale.at(value);
            bar(canvas, LEFT, y + offset, x, y + offset + BAR - 4.0, fill);
            let at = (x + 16.0, y + offset + 0.5 * BAR - 2.0);
            canvas.text(at, &in_print(value), Pen::SMALL);
        }
    }
    y + 2.0 * BAR + 30.0
}

/// "10-20 ft (3.0-6.1 m)".
pub fn distance(ring: &Ring) -> String {
    let [from, to] = [ring.from_m, ring.to_m].map(|m| format!("{:.0}", feet(m)));
    let [from_m, to_m] = [ring.from_m, ring.to_m].map(|m| format!("{m:.1}"));
    if ring.to_m.is_finite() {
        say!("figure.rings.between", from, to, from_m, to_m)
    } else {
        say!("figure.rings.over", from, from_m)
    }
}

fn rows(plans: &[Trapped]) -> Vec<Vec<String>> {
    let cell = |value: Option<f64>| value.map_or_else(String::new, in_print);
    let of_plan = |p: &Trapped| -> Vec<Vec<String>> {
        let row = |ring: &Ring| {
            vec![
                p.plan.name.clone(),
                p.trap.to_owned(),
                distance(ring),
                ring.n_plants.to_string(),
                cell(ring.damage_without),
                cell(ring.damage),
            ]
        };
        p.plan.rings.iter().map(row).collect()
    };
    plans.iter().flat_map(of_plan).collect()
}

fn numbers(plans: &[Trapped], state: &str) -> String {
    let told = |p: &Trapped| {
        let ring = |ring: &Ring| {
            let (before, after) = (in_print(ring.damage_without?), in_print(ring.damage?));
            let distance = distance(ring);
            Some(say!("figure.rings.from-to", distance, before, after))
        };
        let rings: Vec<String> = p.plan.rings.iter().filter_map(ring).collect();
        let list = rings.join("; ");
        say!("figure.rings.numbers", plan = p.plan.name, state, list)
    };
    joined(plans.iter().map(told))
}

fn pattern(plans: &[Trapped]) -> String {
    let told = |p: &Trapped| {
        let change = |ring: &Ring| Some(ring.damage? - ring.damage_without?);
        let rings = p.plan.rings.iter().filter_map(|r| Some((r, change(r)?)));
        // Of equal changes the nearest ring is told.
        let top = rings.reduce(|a, b| if b.1.abs() > a.1.abs() { b } else { a });
        let plan = &p.plan.name;
        match top {
            Some((ring, change)) if change.abs() >= 0.5 => {
                let (n, distance) = (format!("{:.0}", change.abs()), distance(ring));
                let key = ["figure.rings.down", "figure.rings.up"][usize::from(change > 0.0)];
                say!(key, plan, n, distance)
            }
            _ => say!("figure.rings.flat", plan),
        }
    };
    joined(plans.iter().map(told))
}
