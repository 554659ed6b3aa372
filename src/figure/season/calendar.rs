//! The calendar as bars.

use super::subject;
use super::time::Days;
use crate::figure::canvas::{Canvas, MARGIN, Pen, SMALL, WIDTH, Words, picture, text_width, wrap};
use crate::figure::map::{Frame, corners};
use crate::figure::palette::{INK, RGBColor, plan};
use crate::figure::{Figure, joined};
use crate::say::{say, voice};
use crate::season::calendar::{Action, Entry};
use crate::season::finding::Finding;
use crate::weather::day::{plus, words_short};

/// Width of the names on the left.
const NAMES: f64 = 1010.0;
/// Height of a row of one line.
const ROW: f64 = 62.0;
/// Height of each further line.
const LINE: f64 = 44.0;
/// Width of the tick at the best day.
const TICK: u32 = 12;
/// One action of each color, with what the color stands for.
const KEY: [(Action, &str); 3] = [
    (Action::Hang, "figure.calendar.trap"),
    (Action::Cover, "figure.calendar.cover"),
    (Action::Look, "figure.calendar.look"),
];

/// One bar for each thing to do, from its first to its last day, with the best day marked; `None` without entries.
pub(super) fn bars(season: &Finding) -> Option<Figure> {
    let entries = &season.calendar;
    let first = entries.iter().map(|e| e.from).min()?;
    let last = entries.iter().map(|e| e.to).max()?;
    let axis = Days {
        first: plus(first, -7),
        last: plus(last, 7),
        left: MARGIN + NAMES,
        right: WIDTH - MARGIN - 20.0,
    };
    let row = |e: &Entry| {
        let [from, date, to] = [e.from, e.date, e.to].map(|day| day.to_string());
        let (what, reason) = (e.what.clone(), e.reason.clone());
        vec![e.action.words().to_owned(), what, from, date, to, reason]
    };
    let told = |e: &Entry| {
        let (action, what) = (e.action.words(), &e.what);
        let (from, to) = (words_short(e.from), words_short(e.to));
        say!("figure.calendar.entry", action, from, to, what)
    };
    let numbers = joined(entries.iter().map(told));
    let (from, to) = (words_short(first), words_short(last));
    let told = [numbers, say!("figure.calendar.season", from, to)];
    let subject = subject(season);
    let gaps = [
        ("subject", subject.as_str()),
        ("n", &entries.len().to_string()),
        ("from", &first.to_string()),
        ("to", &last.to_string()),
    ];
    let meta = Words::of("calendar", &gaps, told, entries.iter().map(row).collect());
    Some(picture(meta, |canvas, top| {
        draw(canvas, top, entries, &axis)
    }))
}

fn draw(canvas: &Canvas<'_>, top: f64, entries: &[Entry], axis: &Days) -> f64 {
    let top = key(canvas, top);
    // What to do is never cut: a warning may stand at its end.
    let rows = entries.iter();
    let rows = rows.map(|entry| wrap(&entry.what, SMALL, false, NAMES - 290.0));
    let rows: Vec<Vec<String>> = rows.collect();
    let height = |lines: usize| ROW + LINE * lines.saturating_sub(1) as f64;
    let all: f64 = rows.iter().map(|lines| height(lines.len())).sum();
    let bottom = top + 20.0 + all;
    axis.draw(canvas, top, bottom);
    let mut above = top + 10.0;
    for (entry, lines) in entries.iter().zip(&rows) {
        let y = above + 0.5 * ROW;
        let colour = colour(entry.action);
        canvas.text((MARGIN, y), entry.action.words(), Pen::SMALL.bold());
        for (i, line) in lines.iter().enumerate() {
            let at = (MARGIN + 270.0, y + LINE * i as f64);
            canvas.text(at, line, Pen::SMALL);
        }
        let a = axis.x(entry.from);
        let b = axis.x(plus(entry.to, 1)).max(a + 8.0);
        span(canvas, (a, y - 19.0, b, y + 19.0), colour);
        if let Some(best) = entry.best() {
            let x = 0.5 * (axis.x(best) + axis.x(plus(best, 1)));
            canvas.line(&[(x, y - 28.0), (x, y + 28.0)], TICK, INK);
        }
        above += height(lines.len());
    }
    bottom + 100.0
}

/// The colors and the tick, each with its words; returns where the rows may start.
fn key(canvas: &Canvas<'_>, top: f64) -> f64 {
    let (y, mut x) = (top + 10.0, MARGIN);
    for (action, words) in KEY {
        let words = voice().get(words);
        span(canvas, (x, y - 17.0, x + 50.0, y + 17.0), colour(action));
        canvas.text((x + 66.0, y), words, Pen::SMALL);
        x += 66.0 + text_width(words, SMALL, false) + 60.0;
    }
    canvas.line(&[(x, y - 26.0), (x, y + 26.0)], TICK, INK);
    let best = voice().get("figure.calendar.best");
    canvas.text((x + 22.0, y), best, Pen::SMALL);
    top + 50.0
}

/// A bar of a color with a dark edge.
fn span(canvas: &Canvas<'_>, place: Frame, colour: RGBColor) {
    canvas.fill_rect(place.0, place.1, place.2, place.3, colour.mix(0.45));
    canvas.outline(&corners(place), 4, INK);
}

/// Traps blue, covers green, looking and picking vermillion; the words stand beside each bar.
fn colour(action: Action) -> RGBColor {
    match action {
        Action::Cover | Action::Uncover => plan(3).0,
        Action::Look | Action::Pick => plan(2).0,
        _ => plan(1).0,
    }
}
