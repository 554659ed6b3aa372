//! What a reader needs beside a map: colour scale in words, north, wind, scale bar, shapes.

use crate::figure::canvas::{Canvas, HEADING, MARGIN, Pen, SMALL, WIDTH, text_width, wrap};
use crate::figure::map::{
    SOURCE, TRAP, View, arrow, corners, origins, source_mark, square, trap_mark,
};
use crate::figure::palette::{INK, PAPER, RGBColor, Ramp};
use crate::figure::{tick_text, ticks, wind};
use crate::say::{say, voice};
use crate::scenario::{Scenario, StructureKind};
use crate::units::{METRES_PER_FOOT, feet, feet_and_metres};

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
    colours(canvas, y, scale).max(shapes(canvas, y, scenario, view, circles))
}

fn colours(canvas: &Canvas, y: f64, scale: &Scale) -> f64 {
    let pen = Pen::SMALL.middle();
    let (left, right) = (MARGIN + 170.0, MARGIN + WIDE - 120.0);
    let numbers = ticks(scale.end).into_iter().map(|tick| {
        let last = scale.capped && tick == scale.end;
        let more = if last { "+" } else { "" };
        (tick / scale.end, format!("{}{more}", tick_text(tick)))
    });
    let fill = |share: f64| scale.ramp.colour(share);
    let ends = [scale.low, scale.high];
    let places = (left, right);
    let bottom = colour_bar(canvas, y, scale.title, places, ends, 64, fill, numbers);
    let top = bottom - 110.0;
    canvas.outline(&corners((MARGIN, top, MARGIN + 90.0, top + 50.0)), 3, INK);
    canvas.text((MARGIN + 45.0, top + 84.0), &say!("figure.map.none"), pen);
    bottom
}

/// Width of the left half of a legend.
pub(crate) const WIDE: f64 = 1080.0;

/// A bar of colours under its title, with words at both ends above it and numbers (by share of its length) below; returns
/// where it ends.
#[expect(clippy::too_many_arguments, reason = "the parts of one bar")]
pub(crate) fn colour_bar(
    canvas: &Canvas,
    y: f64,
    title: &str,
    (left, right): (f64, f64),
    [low, high]: [&str; 2],
    steps: usize,
    colour: impl Fn(f64) -> RGBColor,
    numbers: impl Iterator<Item = (f64, String)>,
) -> f64 {
    let y = canvas.paragraph(MARGIN, y, WIDE, title, Pen::TEXT.bold()) + 8.0;
    let pen = Pen::SMALL;
    canvas.text((left, y + 22.0), low, pen);
    canvas.text((right, y + 22.0), high, pen.end());
    let y = y + 50.0;
    for i in 0..steps {
        let at = |i: usize| left + (right - left) * i as f64 / steps as f64;
        let fill = colour((i as f64 + 0.5) / steps as f64);
        canvas.fill_rect(at(i), y, at(i + 1), y + 50.0, fill.mix(1.0));
    }
    canvas.outline(&corners((left, y, right, y + 50.0)), 3, INK);
    for (share, number) in numbers {
        let x = left + (right - left) * share;
        canvas.line(&[(x, y + 50.0), (x, y + 62.0)], 3, INK);
        let half = 0.5 * text_width(&number, SMALL, false);
        let at = (x.max(MARGIN + half), y + 84.0);
        canvas.text(at, &number, pen.middle());
    }
    y + 110.0
}

/// North, wind, scale bar and the shapes of the map; returns the height where it ends.
pub fn shapes(canvas: &Canvas, y: f64, scenario: &Scenario, view: &View, circles: Circles) -> f64 {
    let x = 1240.0;
    let top = y + 30.0;
    arrow(canvas, (x + 40.0, top + 50.0), view.direction(0.0), 46.0);
    let north = say!("figure.map.north");
    canvas.text((x + 104.0, top + 50.0), &north, Pen::SMALL);
    let wind = wind::prevailing(&scenario.wind);
    let mut words_at = x + 270.0;
    if let Some(from_rad) = wind.from_rad {
        let (dx, dy) = view.direction(from_rad);
        arrow(canvas, (words_at + 40.0, top + 50.0), (-dx, -dy), 46.0);
        words_at += 110.0;
    }
    canvas.text((words_at, top + 50.0), &wind.words, Pen::SMALL);

    let row = top + 140.0;
    let length_m = scale_length_m(view);
    let end = x + length_m * view.scale;
    let [left, right] = [x, end].map(|x| [(x, row - 12.0), (x, row + 12.0)]);
    for line in [left, [(x, row), (end, row)], right] {
        canvas.line(&line, 5, INK);
    }
    canvas.text((end + 24.0, row), &feet_and_metres(length_m), Pen::SMALL);

    let mut row = top + 214.0;
    let mut at = x;
    let mut named = |half: f64, word: &str, draw: &dyn Fn((f64, f64))| {
        let width = 2.0 * half + 12.0 + text_width(word, SMALL, false);
        if at > x && at + width > WIDTH - MARGIN {
            (at, row) = (x, row + 64.0);
        }
        draw((at + half, row));
        canvas.text((at + 2.0 * half + 12.0, row), word, Pen::SMALL);
        at += width + 44.0;
    };
    let traps = || scenario.plans.iter().flat_map(|p| &p.traps);
    if traps().next().is_some() {
        let mark = |at| trap_mark(canvas, at, TRAP, false, true);
        named(27.0, voice().get("figure.map.trap"), &mark);
    }
    if traps().any(|t| t.neighbours) {
        let mark = |at| trap_mark(canvas, at, TRAP, true, true);
        named(27.0, voice().get("figure.map.neighbor-trap"), &mark);
    }
    let fill = (circles == Circles::Filled).then(|| Ramp::Damage.colour(0.35));
    named(20.0, scenario.pest.guild.target_noun(), &|at| {
        canvas.disc(at, 18.0, fill.or(Some(PAPER)), 3, INK);
    });
    let building = |k| matches!(k, StructureKind::House | StructureKind::Shed);
    if scenario.structures.iter().any(|s| building(s.kind)) {
        let mark = |at| canvas.outline(&corners(square(at, 20.0)), 3, INK);
        named(20.0, voice().get("figure.map.building"), &mark);
    }
    let insects = &scenario.pest.short;
    let ways = origins(view, scenario);
    if ways.iter().any(|o| o.way.is_none()) {
        let word = say!("figure.map.source", insects);
        named(SOURCE, &word, &|at| source_mark(canvas, at));
    }
    if ways.iter().any(|o| o.way.is_some()) {
        let word = say!("figure.map.arrow", insects);
        named(34.0, &word, &|at| arrow(canvas, at, (1.0, 0.0), 34.0));
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

/// Heading of a panel: the plan in bold, its numbers below, one line each.
pub fn heading(canvas: &Canvas, x: f64, y: f64, width: f64, plan: &str, numbers: &[String]) {
    let mut y = canvas.paragraph(x, y, width, plan, Pen::new(HEADING).bold());
    for line in numbers {
        y = canvas.paragraph(x, y, width, line, Pen::SMALL);
    }
}

/// Height that [`heading`] takes; panels in a row use the largest.
pub fn heading_height(width: f64, plan: &str, numbers: &[String]) -> f64 {
    let lines = numbers.iter().map(|n| wrap(n, SMALL, false, width).len());
    let lines: usize = lines.sum();
    wrap(plan, HEADING, true, width).len() as f64 * 1.3 * HEADING
        + lines as f64 * 1.3 * SMALL
        + 16.0
}

/// Width inside the margins.
pub const INNER: f64 = WIDTH - 2.0 * MARGIN;
