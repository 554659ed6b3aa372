//! Cost against damage: what a plan costs in dollars and minutes, and what it leaves.

use crate::figure::canvas::{Canvas, MARGIN, Pen, SMALL, Words, picture, text_width};
use crate::figure::chart::Scale;
use crate::figure::legend::INNER;
use crate::figure::palette::{self, QUIET};
use crate::figure::{Figure, damage_words, joined, whole};
use crate::say::{say, voice};
use crate::scenario::Scenario;
use crate::study::compare::{CompareOutcome, PlanCompared};

const HEIGHT: f64 = 760.0;

/// Low, usual and high cost of a plan.
type Range = fn(&PlanCompared) -> [f64; 3];

/// Two panels: damage against minutes, damage against dollars; a line shows the assumed range.
pub fn cost_against_damage(scenario: &Scenario, outcome: &CompareOutcome) -> Figure {
    let state = damage_words(scenario);
    let plans = &outcome.plans;
    let after = |p: &PlanCompared| p.finding.after();
    let row = |p: &PlanCompared| {
        let (m, d) = (p.effort.minutes, p.effort.dollars);
        let mut row = vec![p.name.clone()];
        row.extend([m[1], m[0], m[2], d[1], d[0], d[2]].map(|v| format!("{v:.0}")));
        row.push(whole(p.finding.after()));
        row
    };
    let told = |key: &str, p: &PlanCompared| {
        let usual = [p.effort.minutes[1], p.effort.dollars[1]];
        let [minutes, dollars] = usual.map(|v| format!("{v:.0}"));
        let (plan, after) = (&p.name, whole(p.finding.after()));
        say!(key, plan, minutes, dollars, after)
    };
    let numbers = plans.iter().map(|p| told("figure.cost-and-damage.plan", p));
    let least = plans.iter();
    let least = least.min_by(|a, b| after(a).total_cmp(&after(b)));
    let least = least.map_or_else(String::new, |p| told("figure.cost-and-damage.least", p));
    let meta = Words::of(
        "cost-and-damage",
        &[("state", state.as_str())],
        [joined(numbers), least],
        plans.iter().map(row).collect(),
    );
    picture(meta, |canvas, top| {
        let pen = Pen::SMALL;
        let (start, bottom) = (top + 70.0, top + 70.0 + HEIGHT);
        canvas.text((MARGIN, top + 14.0), &say!("figure.of-100", state), pen);
        let most = plans.iter().map(after).fold(1.0, f64::max);
        let damage = Scale::up_to((most * 1.02).min(100.0), (bottom, start));
        let width = 0.5 * INNER - 130.0;
        let sides: [(&str, Range); 2] = [
            ("figure.cost-and-damage.minutes", |p| p.effort.minutes),
            ("figure.cost-and-damage.dollars", |p| p.effort.dollars),
        ];
        for (which, (name, range)) in sides.into_iter().enumerate() {
            let left = MARGIN + 100.0 + which as f64 * (0.5 * INNER + 20.0);
            let (across, down) = ((left, left + width), (start, bottom));
            panel(canvas, plans, &damage, across, down, (name, range));
        }
        let (mut x, mut y) = (MARGIN, bottom + 200.0);
        for (i, plan) in plans.iter().enumerate() {
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
    plans: &[PlanCompared],
    damage: &Scale,
    (left, right): (f64, f64),
    (top, bottom): (f64, f64),
    (name, range): (&str, Range),
) {
    let most = plans.iter().map(|p| range(p)[2]).fold(1.0, f64::max);
    let cost = Scale::up_to(most, (left, right));
    cost.along(canvas, top, bottom, voice().get(name));
    damage.upward(canvas, left, right);
    let nothing = damage.at(plans.first().map_or(0.0, |p| p.finding.after()));
    canvas.dashed((left, nothing), (right, nothing), 3, QUIET);
    for (i, plan) in plans.iter().enumerate() {
        let (colour, mark) = palette::plan(i);
        let y = damage.at(plan.finding.after());
        let [low, at, high] = range(plan).map(|v| cost.at(v));
        canvas.line(&[(low, y), (high, y)], 4, colour);
        canvas.mark((at, y), 20.0, mark, colour);
    }
}
