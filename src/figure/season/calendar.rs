//! The calendar as bars.

use super::subject;
use super::time::Days;
use crate::figure::canvas::{Canvas, MARGIN, Pen, SMALL, WIDTH, Words, picture, shorten};
use crate::figure::palette::{INK, Mark, plan};
use crate::figure::{Figure, Table};
use crate::season::answer::Season;
use crate::season::calendar::Entry;
use crate::season::day::{plus, read_iso, words_short};
use plotters::style::Color;

/// Width of the names on the left.
const NAMES: f64 = 1010.0;
/// Height of a row.
const ROW: f64 = 62.0;

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
            "Each row is one thing to do. Its bar runs from the first to the last day. A diamond marks the best day.".into(),
            lines.join(" "),
            format!("The season of this trap runs from {} to {}.", words_short(first), words_short(last)),
        ],
        table,
    };
    Some(picture(words, |canvas| {
        let explanation = "Bars: days that fit. Diamonds: the best day. Estimates only: ask your local extension office.";
        let top = canvas.head(&title, explanation);
        draw(canvas, top, entries, &axis)
    }))
}

fn draw(canvas: &Canvas<'_>, top: f64, entries: &[Entry], axis: &Days) -> f64 {
    let bottom = top + 20.0 + ROW * entries.len() as f64;
    axis.draw(canvas, top, bottom);
    for (i, entry) in entries.iter().enumerate() {
        let y = top + 10.0 + ROW * (i as f64 + 0.5);
        let colour = colour(&entry.action);
        canvas.text((MARGIN, y), &entry.action, Pen::new(SMALL).bold());
        let what = shorten(&entry.what, SMALL, false, NAMES - 290.0);
        canvas.text((MARGIN + 270.0, y), &what, Pen::new(SMALL));
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
            canvas.mark(
                (0.5 * (axis.x(best) + axis.x(plus(best, 1))), y),
                17.0,
                Mark::Diamond,
                INK,
            );
        }
    }
    bottom + 100.0
}

/// Traps blue, covers green, looking and picking vermillion; the words stand beside each bar.
fn colour(action: &str) -> plotters::style::RGBColor {
    match action {
        "cover" | "uncover" => plan(3).0,
        "look" | "pick" => plan(2).0,
        _ => plan(1).0,
    }
}
