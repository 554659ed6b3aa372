//! Catch beside damage: two bars a plan, so that nobody reads one for the other.

use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, TEXT, Words, picture};
use crate::figure::legend::INNER;
use crate::figure::palette::{self, INK, PAPER, QUIET};
use crate::figure::{Figure, Table, damage_words, round_up, tick_text, ticks, whole};
use crate::scenario::Scenario;
use crate::stats::words::thousands;
use crate::study::compare::CompareOutcome;
use plotters::style::{Color, RGBColor};

const NAMES: f64 = 560.0;
const ROW: f64 = 110.0;

/// One half of the picture: left edge, right edge, end of its scale.
struct Half {
    left: f64,
    right: f64,
    end: f64,
}

impl Half {
    fn x(&self, value: f64) -> f64 {
        self.left + (self.right - self.left) * value / self.end
    }
}

/// Damage on the left, insects caught on the right.
pub fn catch_beside_damage(scenario: &Scenario, outcome: &CompareOutcome) -> Figure {
    let words = damage_words(scenario);
    let short = &scenario.pest.short;
    let most = |of: &dyn Fn(usize) -> f64| (0..outcome.plans.len()).map(of).fold(1.0, f64::max);
    let damage = Half {
        left: MARGIN + NAMES + 40.0,
        right: MARGIN + NAMES + 760.0,
        end: round_up(most(&|i| outcome.plans[i].damage_mean)).min(100.0),
    };
    let caught = Half {
        left: MARGIN + NAMES + 920.0,
        right: MARGIN + INNER - 130.0,
        end: round_up(most(&|i| outcome.plans[i].caught_mean)),
    };
    let title = format!(
        "A full trap is not a saved {}: {words}, and {short} caught",
        scenario.pest.guild.target_noun()
    );
    let mut table = Table {
        header: vec![
            "plan".into(),
            format!("{words} out of 100"),
            format!("{short} caught a summer"),
        ],
        rows: Vec::new(),
    };
    for plan in &outcome.plans {
        table.rows.push(vec![
            plan.name.clone(),
            whole(plan.damage_mean),
            thousands(plan.caught_mean),
        ]);
    }
    let sentence = |p: &crate::study::compare::PlanCompared| {
        format!(
            "{}: {} of 100, {} caught.",
            p.name,
            whole(p.damage_mean),
            thousands(p.caught_mean)
        )
    };
    let most_caught = outcome
        .plans
        .iter()
        .max_by(|a, b| a.caught_mean.total_cmp(&b.caught_mean));
    let pattern = match most_caught {
        Some(plan) if plan.caught_mean > 0.0 => format!(
            "Most are caught with {}. There the damage changes by {} of 100.",
            plan.name,
            if plan.difference_mean.abs() < 0.05 {
                "0.0".to_owned()
            } else {
                format!("{:+.1}", plan.difference_mean)
            }
        ),
        _ => "No plan catches anything.".into(),
    };
    let meta = Words {
        name: "catch-beside-damage".into(),
        title: title.clone(),
        alt: format!(
            "Two bars for each plan: {words} out of 100 and {short} caught, to show that catch does not tell damage."
        ),
        levels: [
            "Each row is a plan. The left bar is damage, the right bar is the catch.".into(),
            outcome
                .plans
                .iter()
                .map(sentence)
                .collect::<Vec<_>>()
                .join(" "),
            pattern,
        ],
        table,
    };
    picture(meta, |canvas| {
        let top = canvas.head(
            &title,
            "Average of all simulated summers. Judge a plan by the left bar.",
        );
        let start = top + 90.0;
        let heads = [
            (&damage, format!("{words} of 100")),
            (&caught, format!("{short} caught")),
        ];
        for (half, head) in &heads {
            canvas.text((half.left, top + 40.0), head, Pen::new(TEXT).bold());
        }
        let mut y = start;
        for (i, plan) in outcome.plans.iter().enumerate() {
            let (colour, mark) = palette::plan(i);
            canvas.mark((MARGIN + 22.0, y + 0.5 * ROW), 18.0, mark, colour);
            let lines = crate::figure::canvas::wrap(&plan.name, SMALL, true, NAMES - 70.0);
            let up = 0.65 * SMALL * lines.len() as f64;
            canvas.paragraph(
                MARGIN + 62.0,
                y + 0.5 * ROW - up,
                NAMES - 70.0,
                &plan.name,
                Pen::new(SMALL).bold(),
            );
            bar(
                canvas,
                &damage,
                y,
                plan.damage_mean,
                colour,
                &whole(plan.damage_mean),
            );
            bar(
                canvas,
                &caught,
                y,
                plan.caught_mean,
                PAPER,
                &thousands(plan.caught_mean),
            );
            y += ROW;
        }
        for (half, _) in &heads {
            canvas.line(&[(half.left, start), (half.left, y)], 4, INK);
            canvas.line(&[(half.left, y), (half.right, y)], 3, INK);
            for tick in ticks(half.end) {
                let x = half.x(tick);
                canvas.line(&[(x, y), (x, y + 12.0)], 3, INK);
                let pen = Pen::new(SMALL).coloured(QUIET).anchored(Anchor::Middle);
                canvas.text((x, y + 38.0), &tick_text(tick), pen);
            }
        }
        y + 90.0
    })
}

fn bar(canvas: &Canvas, half: &Half, y: f64, value: f64, fill: RGBColor, words: &str) {
    let (x0, x1) = (half.left, half.x(value));
    let (y0, y1) = (y + 26.0, y + ROW - 26.0);
    canvas.fill_rect(x0, y0, x1, y1, fill.mix(1.0));
    canvas.outline(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)], 3, INK);
    canvas.text((x1 + 16.0, y + 0.5 * ROW), words, Pen::new(SMALL));
}
