//! The calendar as bars.

use super::subject;
use super::time::Days;
use crate::figure::canvas::{Canvas, MARGIN, Pen, SMALL, WIDTH, Words, picture, text_width, wrap};
use crate::figure::palette::{INK, plan};
use crate::figure::{Figure, Table};
use crate::season::answer::Season;
use crate::season::calendar::Entry;
use crate::season::day::{plus, read_iso, words_short};
use plotters::style::Color;

/// Width of the names on the left.
const NAMES: f64 = 1010.0;
/// Height of a row of one line.
const ROW: f64 = 62.0;
/// Height of each further line.
const LINE: f64 = 44.0;
/// Width of the tick at the best day.
const TICK: u32 = 12;
/// One action of each color, with what the color stands for.
const KEY: [(&str, &str); 3] = [
    ("hang", "trap"),
    ("cover", "cover"),
    ("look", "look or pick"),
];

/// One bar for each thing to do, from its first to its last day, with the best day marked; `None` without entries.
pub(super) fn bars(season: &Season) -> Option<Figure> {
    let entries = &season.calendar;
    let first = entries.iter().map(|e| e.from_day).min()?;
    let last = entries.iter().map(|e| e.to_day).max()?;
    let axis = Days {
        first: plus(first, -7),
        last: plus(last, 7),
        left: MARGIN + NAMES,
        right: WIDTH - MARGIN - 20.0,
    };
    let title = format!("What to do when: {}", subject(season));
    let mut table = Table::with_header(&["action", "what", "from", "best", "to", "why"]);
    for e in entries {
        table.rows.push(vec![
            e.action.clone(),
            e.what.clone(),
            e.from.clone(),
            e.date.clone(),
            e.to.clone(),
            e.reason.clone(),
        ]);
    }
    let lines: Vec<String> = entries
        .iter()
        .map(|e| {
            format!(
                "{}: {} to {}, {}.",
                e.action,
                words_short(e.from_day),
                words_short(e.to_day),
                e.what
            )
        })
        .collect();
    let words = Words {
        name: "calendar".into(),
        title: title.clone(),
        alt: format!("Bar chart of {} things to do from {first} to {last}, to plan the season.", entries.len()),
        levels: [
            "Each row is one thing to do. Its bar runs from the first to the last day. A thick tick marks the best day. Blue: trap. Green: cover. \
             Orange: look or pick.".into(),
            lines.join(" "),
            format!("The season of this trap runs from {} to {}.", words_short(first), words_short(last)),
        ],
        table,
    };
    Some(picture(words, |canvas| {
        let explanation = "Bars: days that fit. Thick tick: the best day. Estimates only: ask your local extension office.";
        let top = canvas.head(&title, explanation);
        draw(canvas, top, entries, &axis)
    }))
}

fn draw(canvas: &Canvas<'_>, top: f64, entries: &[Entry], axis: &Days) -> f64 {
    let top = key(canvas, top);
    // What to do is never cut: a warning may stand at its end.
    let rows: Vec<Vec<String>> = entries
        .iter()
        .map(|entry| wrap(&entry.what, SMALL, false, NAMES - 290.0))
        .collect();
    let height = |lines: usize| ROW + LINE * lines.saturating_sub(1) as f64;
    let all: f64 = rows.iter().map(|lines| height(lines.len())).sum();
    let bottom = top + 20.0 + all;
    axis.draw(canvas, top, bottom);
    let mut above = top + 10.0;
    for (entry, lines) in entries.iter().zip(&rows) {
        let y = above + 0.5 * ROW;
        let colour = colour(&entry.action);
        canvas.text((MARGIN, y), &entry.action, Pen::new(SMALL).bold());
        for (i, line) in lines.iter().enumerate() {
            let at = (MARGIN + 270.0, y + LINE * i as f64);
            canvas.text(at, line, Pen::new(SMALL));
        }
        let (a, b) = (
            axis.x(entry.from_day),
            axis.x(plus(entry.to_day, 1))
                .max(axis.x(entry.from_day) + 8.0),
        );
        canvas.fill_rect(a, y - 19.0, b, y + 19.0, colour.mix(0.45));
        canvas.outline(
            &[(a, y - 19.0), (b, y - 19.0), (b, y + 19.0), (a, y + 19.0)],
            4,
            INK,
        );
        if let Ok(best) = read_iso(&entry.date)
            && entry.action != "check"
            && entry.action != "empty"
        {
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
        let colour = colour(action);
        canvas.fill_rect(x, y - 17.0, x + 50.0, y + 17.0, colour.mix(0.45));
        let corners = [
            (x, y - 17.0),
            (x + 50.0, y - 17.0),
            (x + 50.0, y + 17.0),
            (x, y + 17.0),
        ];
        canvas.outline(&corners, 4, INK);
        canvas.text((x + 66.0, y), words, Pen::new(SMALL));
        x += 66.0 + text_width(words, SMALL, false) + 60.0;
    }
    canvas.line(&[(x, y - 26.0), (x, y + 26.0)], TICK, INK);
    canvas.text((x + 22.0, y), "best day", Pen::new(SMALL));
    top + 50.0
}

/// Traps blue, covers green, looking and picking vermillion; the words stand beside each bar.
fn colour(action: &str) -> plotters::style::RGBColor {
    match action {
        "cover" | "uncover" => plan(3).0,
        "look" | "pick" => plan(2).0,
        _ => plan(1).0,
    }
}
