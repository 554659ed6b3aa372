//! The strongest single check: damage with traps over damage without, in many layouts under the same rules.

use crate::figure::Figure;
use crate::figure::canvas::{Anchor, MARGIN, Pen, SMALL, TEXT, WIDTH, Words, picture};
use crate::figure::chart::Scale;
use crate::figure::palette::{INK, QUIET, plan as plan_colour};
use crate::say::say;
use crate::study::patterns::Evidence;

/// Ends of the scale of ratios, powers of two.
const ENDS: (i32, i32) = (-5, 4);

/// Dots with bars on a doubling scale.
pub fn same_rules(evidence: &Evidence) -> Figure {
    let layouts = &evidence.same_rules;
    let listed = layouts
        .iter()
        .map(|b| format!("{}: {:.2}.", b.layout, b.ratio));
    let more = layouts.iter().filter(|b| b.low > 1.0).count();
    let less = layouts.iter().filter(|b| b.high < 1.0).count();
    let pattern = say!("figure.same-rules.pattern", n = layouts.len(), more, less);
    let rows = layouts.iter().map(|b| {
        let mut row = vec![b.id.clone(), b.layout.clone()];
        row.extend([b.ratio, b.low, b.high].map(|v| format!("{v:.3}")));
        row
    });
    let gaps = [
        ("summers", evidence.summers.to_string()),
        ("pattern", pattern.clone()),
    ];
    let meta = Words::of(
        "same-rules",
        &gaps.each_ref().map(|(gap, value)| (*gap, value.as_str())),
        [listed.collect::<Vec<_>>().join(" "), pattern],
        rows.collect(),
    );
    picture(meta, |canvas, top| {
        let top = top + 10.0;
        let (left, right, row) = (WIDTH * 0.42, WIDTH - MARGIN - 40.0, 76.0);
        let bottom = top + row * layouts.len() as f64 + 10.0;
        let scale = Scale::doubling(ENDS, (left, right));
        let below = scale.along(canvas, top, bottom, "");
        canvas.line(&[(scale.at(1.0), top), (scale.at(1.0), bottom)], 5, INK);
        for (i, b) in layouts.iter().enumerate() {
            let y = top + row * (i as f64 + 0.5);
            let pen = Pen::new(TEXT).anchored(Anchor::End);
            canvas.text((left - 24.0, y), &format!("{} ({})", b.layout, b.id), pen);
            let (colour, mark) = plan_colour(if b.ratio > 1.0 { 2 } else { 1 });
            canvas.line(&[(scale.at(b.low), y), (scale.at(b.high), y)], 8, colour);
            canvas.mark((scale.at(b.ratio), y), 17.0, mark, colour);
        }
        let (pen, y) = (Pen::new(SMALL).coloured(QUIET), below + 20.0);
        canvas.text((left, y), &say!("figure.same-rules.less"), pen);
        let more = say!("figure.same-rules.more");
        canvas.text((right, y), &more, pen.anchored(Anchor::End));
        y + 42.0
    })
}
