//! What a reader needs beside a map: colour scale in words, north, wind, scale bar, shapes.

use crate::figure::canvas::{
    Anchor, Canvas, HEADING, MARGIN, Pen, SMALL, TEXT, WIDTH, text_width, wrap,
};
use crate::figure::map::{TRAP, View, trap_mark};
use crate::figure::palette::{INK, PAPER, Ramp};
use crate::figure::{tick_text, ticks, wind};
use crate::scenario::{Scenario, StructureKind};
use crate::units::{METRES_PER_FOOT, feet, feet_and_metres};
use plotters::style::Color;

/// A colour scale as its legend tells it.
pub struct Scale<'a> {
    /// Colours.
    pub ramp: Ramp,
    /// Value of the darkest colour.
    pub end: f64,
    /// Whether larger values share the darkest colour.
    pub capped: bool,
    /// What is counted, with its unit.
    pub title: &'a str,
    /// Words at the light end.
    pub low: &'a str,
    /// Words at the dark end.
    pub high: &'a str,
}

/// What the circles and squares of a map stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Circles {
    /// Filled by a value.
    Filled,
    /// Outlines only.
    Outlined,
}

/// Draws the legend below `y`; returns the height where it ends.
pub fn draw(
    canvas: &Canvas,
    y: f64,
    scenario: &Scenario,
    view: &View,
    scale: &Scale,
    circles: Circles,
) -> f64 {
    let ends = [
        colours(canvas, y, scale),
        shapes(canvas, y, scenario, view, circles),
    ];
    ends[0].max(ends[1])
}

fn colours(canvas: &Canvas, y: f64, scale: &Scale) -> f64 {
    let width = 1080.0;
    let mut y = canvas.paragraph(MARGIN, y, width, scale.title, Pen::new(TEXT).bold()) + 8.0;
    let bar = MARGIN + 170.0;
    let end = MARGIN + width - 120.0;
    canvas.text((bar, y + 22.0), scale.low, Pen::new(SMALL));
    canvas.text(
        (end, y + 22.0),
        scale.high,
        Pen::new(SMALL).anchored(Anchor::End),
    );
    y += 50.0;
    canvas.outline(
        &[
            (MARGIN, y),
            (MARGIN + 90.0, y),
            (MARGIN + 90.0, y + 50.0),
            (MARGIN, y + 50.0),
        ],
        3,
        INK,
    );
    canvas.text(
        (MARGIN + 45.0, y + 84.0),
        "none",
        Pen::new(SMALL).anchored(Anchor::Middle),
    );
    let steps = 64;
    for i in 0..steps {
        let at = |i: usize| bar + (end - bar) * i as f64 / steps as f64;
        let colour = scale.ramp.colour((i as f64 + 0.5) / steps as f64);
        canvas.fill_rect(at(i), y, at(i + 1), y + 50.0, colour.mix(1.0));
    }
    canvas.outline(
        &[(bar, y), (end, y), (end, y + 50.0), (bar, y + 50.0)],
        3,
        INK,
    );
    for tick in ticks(scale.end) {
        let x = bar + (end - bar) * tick / scale.end;
        canvas.line(&[(x, y + 50.0), (x, y + 62.0)], 3, INK);
        let mut text = tick_text(tick);
        if scale.capped && tick == scale.end {
            text.push('+');
        }
        canvas.text(
            (x, y + 84.0),
            &text,
            Pen::new(SMALL).anchored(Anchor::Middle),
        );
    }
    y + 110.0
}

/// North, wind, scale bar and the shapes of the map; returns the height where it ends.
pub fn shapes(canvas: &Canvas, y: f64, scenario: &Scenario, view: &View, circles: Circles) -> f64 {
    let x = 1240.0;
    let top = y + 30.0;
    arrow(canvas, (x + 40.0, top + 50.0), view.direction(0.0), 46.0);
    canvas.text((x + 84.0, top + 50.0), "north", Pen::new(SMALL));
    let wind = wind::prevailing(&scenario.wind);
    let mut words_at = x + 250.0;
    if let Some(from_rad) = wind.from_rad {
        let (dx, dy) = view.direction(from_rad);
        arrow(canvas, (words_at + 40.0, top + 50.0), (-dx, -dy), 46.0);
        words_at += 110.0;
    }
    canvas.text((words_at, top + 50.0), &wind.words, Pen::new(SMALL));

    let row = top + 140.0;
    let length_m = scale_length_m(view);
    let end = x + length_m * view.scale;
    canvas.line(&[(x, row - 12.0), (x, row + 12.0)], 5, INK);
    canvas.line(&[(x, row), (end, row)], 5, INK);
    canvas.line(&[(end, row - 12.0), (end, row + 12.0)], 5, INK);
    canvas.text(
        (end + 24.0, row),
        &feet_and_metres(length_m),
        Pen::new(SMALL),
    );

    let row = top + 214.0;
    let mut at = x;
    let mut named = |width: f64, word: &str, draw: &dyn Fn(f64)| {
        draw(at + 0.5 * width);
        canvas.text((at + width + 12.0, row), word, Pen::new(SMALL));
        at += width + 12.0 + text_width(word, SMALL, false) + 44.0;
    };
    if scenario.plans.iter().any(|p| !p.traps.is_empty()) {
        named(54.0, "trap", &|x| trap_mark(canvas, (x, row), TRAP, false));
    }
    if scenario
        .plans
        .iter()
        .flat_map(|p| &p.traps)
        .any(|t| t.neighbours)
    {
        named(54.0, "neighbor's trap", &|x| {
            trap_mark(canvas, (x, row), TRAP, true);
        });
    }
    let fill = (circles == Circles::Filled).then(|| Ramp::Damage.colour(0.35));
    named(40.0, scenario.pest.guild.target_noun(), &|x| {
        canvas.disc((x, row), 18.0, fill.or(Some(PAPER)), 3, INK);
    });
    let building = |k| matches!(k, StructureKind::House | StructureKind::Shed);
    if scenario.structures.iter().any(|s| building(s.kind)) {
        named(40.0, "building", &|x| {
            canvas.outline(
                &[
                    (x - 20.0, row - 20.0),
                    (x + 20.0, row - 20.0),
                    (x + 20.0, row + 20.0),
                    (x - 20.0, row + 20.0),
                ],
                3,
                INK,
            );
        });
    }
    row + 40.0
}

/// A round length in feet near a third of a panel, metres.
fn scale_length_m(view: &View) -> f64 {
    let third_ft = feet((view.frame.2 - view.frame.0) / view.scale) / 3.0;
    let rounds = [
        1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0, 1000.0,
    ];
    let fitting = rounds.into_iter().rfind(|r| *r <= third_ft).unwrap_or(1.0);
    fitting * METRES_PER_FOOT
}

/// An arrow through a point; `towards` is a unit direction on the sheet.
pub fn arrow(canvas: &Canvas, middle: (f64, f64), towards: (f64, f64), half: f64) {
    let (dx, dy) = towards;
    let tip = (middle.0 + dx * half, middle.1 + dy * half);
    let tail = (middle.0 - dx * half, middle.1 - dy * half);
    let neck = (tip.0 - dx * 34.0, tip.1 - dy * 34.0);
    canvas.line(&[tail, neck], 7, INK);
    let head = [
        tip,
        (neck.0 - dy * 19.0, neck.1 + dx * 19.0),
        (neck.0 + dy * 19.0, neck.1 - dx * 19.0),
    ];
    canvas.fill(&head, INK.mix(1.0));
}

/// Heading of a panel: the plan in bold, its numbers below, one line each.
pub fn heading(canvas: &Canvas, x: f64, y: f64, width: f64, plan: &str, numbers: &[String]) {
    let mut y = canvas.paragraph(x, y, width, plan, Pen::new(HEADING).bold());
    for line in numbers {
        y = canvas.paragraph(x, y, width, line, Pen::new(SMALL));
    }
}

/// Height that [`heading`] takes; panels in a row use the largest.
pub fn heading_height(width: f64, plan: &str, numbers: &[String]) -> f64 {
    let lines: usize = numbers
        .iter()
        .map(|n| wrap(n, SMALL, false, width).len())
        .sum();
    wrap(plan, HEADING, true, width).len() as f64 * 1.3 * HEADING
        + lines as f64 * 1.3 * SMALL
        + 16.0
}

/// Width inside the margins.
pub const INNER: f64 = WIDTH - 2.0 * MARGIN;
