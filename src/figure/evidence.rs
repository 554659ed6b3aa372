//! The strongest single check: damage with traps over damage without, in many layouts under the same rules.

use crate::figure::canvas::{Anchor, MARGIN, Pen, SMALL, TEXT, WIDTH, Words, picture};
use crate::figure::palette::{INK, QUIET, plan as plan_colour};
use crate::figure::vary::GRID;
use crate::figure::{Figure, Table, tick_text};
use crate::study::patterns::Evidence;

/// Ticks of the ratio, each twice or half its neighbour.
const TICKS: [f64; 10] = [0.03125, 0.0625, 0.125, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0];

/// Dots with bars on a doubling scale.
pub fn same_rules(evidence: &Evidence) -> Figure {
    let title = "The same rules hurt in one yard and help in another".to_owned();
    let mut table = Table::with_header(&["pattern", "layout", "ratio", "low", "high"]);
    for b in &evidence.same_rules {
        let mut row = vec![b.id.clone(), b.layout.clone()];
        row.extend([b.ratio, b.low, b.high].map(|v| format!("{v:.3}")));
        table.rows.push(row);
    }
    let listed: Vec<String> = evidence
        .same_rules
        .iter()
        .map(|b| format!("{}: {:.2}.", b.layout, b.ratio))
        .collect();
    let worse = evidence.same_rules.iter().filter(|b| b.low > 1.0).count();
    let better = evidence.same_rules.iter().filter(|b| b.high < 1.0).count();
    let pattern = format!(
        "Of {} layouts, {worse} surely raise the time insects feed and {better} surely lower it; no number was changed between them.",
        evidence.same_rules.len()
    );
    let words = Words {
        name: "same-rules".into(),
        title: title.clone(),
        alt: "Dots with bars on a doubling scale: feeding with traps over feeding without, for traps near and far, few and many, \
              open and isolated, to show that one set of rules gives both field results."
            .into(),
        levels: [
            "Each dot is feeding time with traps over feeding time without. Left of 1 helps, right of 1 hurts. Bars: two standard \
             errors to each side."
                .into(),
            listed.join(" "),
            pattern.clone(),
        ],
        table,
    };
    picture(words, |canvas| {
        let about = format!(
            "Feeding time with traps, over feeding time without, {} simulated summers each. 2 means twice as much feeding. {pattern}",
            evidence.summers
        );
        let top = canvas.head(&title, &about) + 10.0;
        let (left, right, row) = (WIDTH * 0.42, WIDTH - MARGIN - 40.0, 76.0);
        let bottom = top + row * evidence.same_rules.len() as f64 + 10.0;
        let place = |ratio: f64| {
            let (a, b) = (libm::log2(TICKS[0]), libm::log2(TICKS[TICKS.len() - 1]));
            let share = (libm::log2(ratio.max(1e-6)) - a) / (b - a);
            left + (right - left) * share.clamp(0.0, 1.0)
        };
        for tick in TICKS {
            let x = place(tick);
            canvas.line(&[(x, top), (x, bottom)], 2, GRID);
            let pen = Pen::new(SMALL).anchored(Anchor::Middle);
            let label = if tick < 1.0 {
                format!("1/{:.0}", 1.0 / tick)
            } else {
                tick_text(tick)
            };
            canvas.text((x, bottom + 34.0), &label, pen);
        }
        canvas.line(&[(place(1.0), top), (place(1.0), bottom)], 5, INK);
        for (i, b) in evidence.same_rules.iter().enumerate() {
            let y = top + row * (i as f64 + 0.5);
            let pen = Pen::new(TEXT).anchored(Anchor::End);
            canvas.text((left - 24.0, y), &format!("{} ({})", b.layout, b.id), pen);
            let (colour, mark) = plan_colour(if b.ratio > 1.0 { 2 } else { 1 });
            canvas.line(&[(place(b.low), y), (place(b.high), y)], 8, colour);
            canvas.mark((place(b.ratio), y), 17.0, mark, colour);
        }
        let pen = Pen::new(SMALL).coloured(QUIET);
        canvas.text((left, bottom + 88.0), "less feeding with traps", pen);
        canvas.text(
            (right, bottom + 88.0),
            "more feeding with traps",
            pen.anchored(Anchor::End),
        );
        bottom + 130.0
    })
}
