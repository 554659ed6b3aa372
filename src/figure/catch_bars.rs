//! Catch beside damage: two bars a plan, so that nobody reads one for the other.

use crate::figure::canvas::{MARGIN, Pen, SMALL, Words, picture, wrap};
use crate::figure::chart::{Scale, bar};
use crate::figure::legend::INNER;
use crate::figure::palette::{self, INK, PAPER};
use crate::figure::{Figure, damage_words, joined, tenth, whole};
use crate::say::say;
use crate::scenario::Scenario;
use crate::stats::words::thousands;
use crate::study::compare::{CompareOutcome, PlanCompared};

const NAMES: f64 = 560.0;
const ROW: f64 = 110.0;

/// Damage on the left, insects caught on the right.
pub fn catch_beside_damage(scenario: &Scenario, outcome: &CompareOutcome) -> Figure {
    let (state, insects) = (damage_words(scenario), &scenario.pest.short);
    let plans = &outcome.plans;
    let texts = |p: &PlanCompared| (whole(p.finding.after()), thousands(p.caught_mean));
    let told = |p: &PlanCompared| {
        let (plan, (after, caught)) = (&p.name, texts(p));
        say!("figure.catch-beside-damage.plan", plan, after, caught)
    };
    let numbers = joined(plans.iter().map(told));
    let most = plans.iter();
    let most = most.max_by(|a, b| a.caught_mean.total_cmp(&b.caught_mean));
    let pattern = match most {
        Some(p) if p.caught_mean > 0.0 => {
            let (plan, points) = (&p.name, tenth(p.finding.change.mean));
            say!("figure.catch-beside-damage.most", plan, points)
        }
        _ => say!("figure.catch-beside-damage.none"),
    };
    let row = |p: &PlanCompared| vec![p.name.clone(), texts(p).0, texts(p).1];
    let gaps = [
        ("state", state.as_str()),
        ("insects", insects),
        ("target", scenario.pest.guild.target_noun()),
    ];
    let rows = plans.iter().map(row).collect();
    let meta = Words::of("catch-beside-damage", &gaps, [numbers, pattern], rows);
    picture(meta, |canvas, top| {
        let left = MARGIN + NAMES;
        let most = |of: fn(&PlanCompared) -> f64| plans.iter().map(of).fold(1.0, f64::max);
        let damage = most(|p| p.finding.after()).min(100.0);
        let damage = Scale::up_to(damage, (left + 40.0, left + 760.0));
        let places = (left + 920.0, MARGIN + INNER - 130.0);
        let caught = Scale::up_to(most(|p| p.caught_mean), places);
        let start = top + 90.0;
        let bottom = start + ROW * plans.len() as f64;
        let heads = [
            (&damage, say!("figure.catch-beside-damage.left", state)),
            (&caught, say!("figure.catch-beside-damage.right", insects)),
        ];
        for (scale, head) in &heads {
            let x = scale.at(0.0);
            canvas.text((x, top + 40.0), head, Pen::TEXT.bold());
            scale.along(canvas, start, bottom, "");
            canvas.line(&[(x, start), (x, bottom)], 4, INK);
        }
        for (i, plan) in plans.iter().enumerate() {
            let y = start + ROW * i as f64;
            let (colour, mark) = palette::plan(i);
            canvas.mark((MARGIN + 22.0, y + 0.5 * ROW), 18.0, mark, colour);
            let pen = Pen::SMALL.bold();
            let lines = wrap(&plan.name, SMALL, true, NAMES - 70.0);
            let up = 0.65 * SMALL * lines.len() as f64;
            let first = y + 0.5 * ROW - up;
            canvas.paragraph(MARGIN + 62.0, first, NAMES - 70.0, &plan.name, pen);
            let (edges, (after, taken)) = ((y + 26.0, y + ROW - 26.0), texts(plan));
            let (left, right) = (
                (plan.finding.after(), after.as_str()),
                (plan.caught_mean, taken.as_str()),
            );
            bar(canvas, &damage, left, edges, colour, None);
            bar(canvas, &caught, right, edges, PAPER, None);
        }
        bottom + 90.0
    })
}
