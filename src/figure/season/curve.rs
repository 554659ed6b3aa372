//! Degree-days through the year, with the events on the curve.

use super::subject;
use super::time::{Days, GRID};
use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, TEXT, WIDTH, Words, picture};
use crate::figure::palette::{INK, PAPER, plan};
use crate::figure::{Figure, Table, round_up, tick_text, ticks};
use crate::season::answer::Season;
use crate::season::day::{plus, words_short};
use crate::season::events::Event;
use jiff::civil::Date;
use plotters::style::Color;

/// Degree-days day by day: observed, then as in other years; events stand on the curve as numbers.
pub(super) fn degree_days(season: &Season) -> Figure {
    let title = format!("Degree-days and events: {}", subject(season));
    let marks = marks(season);
    let listed: Vec<String> = marks.iter().map(Mark::line).collect();
    let words = Words {
        name: "degree-days".into(),
        title: title.clone(),
        alt: format!(
            "Curve of summed {} from {} on, with {} events marked, to show when each is due.",
            season.unit.degree_days(),
            season.start,
            marks.len()
        ),
        levels: [
            format!(
                "The black line is the sum of degree-days so far.{} Each number on the line is an event; its bar spans the days \
                 on which it may come.",
                if season.forecast.is_some() {
                    " The blue dashed line goes on as in other years."
                } else {
                    ""
                }
            ),
            listed.join(" "),
            format!(
                "The sum stands at {:.0} {} on {}. Warm weeks make the line steep, and events come sooner.",
                season.cumulative,
                season.unit.degree_days(),
                season.last_day
            ),
        ],
        table: table(season),
    };
    picture(words, |canvas| {
        let explanation = format!(
            "Method: {} ({}). Counted from {}.",
            season.method, season.method_source, season.start
        );
        let top = canvas.head(&title, &explanation);
        draw(canvas, top, season, &marks)
    })
}

/// Events that fall together, drawn as one mark.
struct Mark {
    numbers: String,
    sum: f64,
    days: [Option<Date>; 3],
    names: Vec<String>,
}

impl Mark {
    fn line(&self) -> String {
        let [date, from, to] = self.days;
        let when = match (date, from, to) {
            (Some(d), Some(a), Some(b)) if a != b => {
                format!(
                    "{} ({} to {})",
                    words_short(d),
                    words_short(a),
                    words_short(b)
                )
            }
            (Some(d), Some(a), None) => format!("{} ({} or later)", words_short(d), words_short(a)),
            (Some(d), ..) => words_short(d),
            _ => "not reached".into(),
        };
        format!("{}: {}, {when}.", self.numbers, self.names.join("; "))
    }
}

fn marks(season: &Season) -> Vec<Mark> {
    let mut marks: Vec<Mark> = Vec::new();
    for (i, event) in season.events.iter().enumerate() {
        let number = (i + 1).to_string();
        match marks
            .last_mut()
            .filter(|m| m.days[0].is_some() && same_place(m, event))
        {
            Some(mark) => {
                mark.numbers = format!("{},{number}", mark.numbers);
                mark.names.push(event.name.clone());
                mark.days[1] = mark.days[1].min(event.days[1]);
                mark.days[2] = mark.days[2].max(event.days[2]);
            }
            None => marks.push(Mark {
                numbers: number,
                sum: event.degree_days,
                days: event.days,
                names: vec![event.name.clone()],
            }),
        }
    }
    marks
}

fn same_place(mark: &Mark, event: &Event) -> bool {
    mark.days[0] == event.days[0] && (mark.sum - event.degree_days).abs() < 1e-6
}

fn table(season: &Season) -> Table {
    let unit = format!("degree_days_{}", season.unit.letter().to_lowercase());
    let mut table = Table::with_header(&["number", "event", &unit, "date", "earliest", "latest"]);
    for (i, event) in season.events.iter().enumerate() {
        let day = |text: &Option<String>| text.clone().unwrap_or_default();
        table.rows.push(vec![
            (i + 1).to_string(),
            event.name.clone(),
            format!("{:.1}", event.degree_days),
            day(&event.date),
            day(&event.earliest),
            day(&event.latest),
        ]);
    }
    table
}

/// First and last day worth drawing: the data, and the events with their ranges.
fn days(season: &Season) -> Days {
    let outlook = &season.parts.outlook;
    let latest = season.events.iter().flat_map(|e| e.days).flatten().max();
    let end = outlook.date(outlook.typical.len().saturating_sub(1));
    let last = latest.map_or(end, |d| {
        plus(d, 14).max(plus(outlook.last_day(), 7)).min(end)
    });
    let earliest = season
        .events
        .iter()
        .flat_map(|e| e.days)
        .flatten()
        .min()
        .unwrap_or(outlook.start);
    Days {
        first: plus(earliest.min(outlook.start), -4),
        last,
        left: MARGIN + 190.0,
        right: WIDTH - MARGIN - 20.0,
    }
}

fn draw(canvas: &Canvas<'_>, top: f64, season: &Season, marks: &[Mark]) -> f64 {
    let outlook = &season.parts.outlook;
    let axis = days(season);
    let bottom = top + 900.0;
    let shown = outlook
        .index(axis.last)
        .map_or(outlook.typical.len(), |i| i + 1);
    let sum = |i: usize| outlook.typical[i].on(season.unit);
    let highest = outlook
        .paths
        .iter()
        .map(|(_, path)| path[shown - 1].on(season.unit))
        .fold(sum(shown.saturating_sub(1)).max(1.0), f64::max);
    let ahead = marks.iter().find(|m| m.days[0].is_none());
    let end = round_up(ahead.map_or(highest, |m| highest.max(m.sum)));
    let y = |value: f64| bottom - (bottom - top - 20.0) * (value / end).clamp(0.0, 1.0);
    for tick in ticks(end) {
        canvas.line(&[(axis.left, y(tick)), (axis.right, y(tick))], 2, GRID);
        canvas.text(
            (axis.left - 16.0, y(tick)),
            &tick_text(tick),
            Pen::new(SMALL).anchored(Anchor::End),
        );
    }
    axis.draw(canvas, top, bottom);
    let (blue, _) = plan(1);
    let at = |i: usize, value: f64| (axis.x(outlook.date(i)), y(value));
    let seam = outlook.observed.min(shown).saturating_sub(1);
    if outlook.paths.len() > 1 && seam + 1 < shown {
        let ends = |pick: fn(f64, f64) -> f64, start: f64| {
            move |i: usize| {
                outlook
                    .paths
                    .iter()
                    .map(|(_, p)| p[i].on(season.unit))
                    .fold(start, pick)
            }
        };
        let (low, high) = (
            ends(f64::min, f64::INFINITY),
            ends(f64::max, f64::NEG_INFINITY),
        );
        let mut band: Vec<(f64, f64)> = (seam..shown).map(|i| at(i, low(i))).collect();
        band.extend((seam..shown).rev().map(|i| at(i, high(i))));
        canvas.fill(&band, blue.mix(0.18));
        canvas.outline(&band, 2, blue);
    }
    canvas.line(
        &(0..=seam).map(|i| at(i, sum(i))).collect::<Vec<_>>(),
        6,
        INK,
    );
    // Every second pair of days is left out, so that the outlook reads as dashed.
    for i in (seam..shown.saturating_sub(1)).filter(|i| (i - seam) % 4 < 2) {
        canvas.line(&[at(i, sum(i)), at(i + 1, sum(i + 1))], 6, blue);
    }
    axis.end_of_data(canvas, outlook.last_day(), top, bottom);
    if let Some(mark) = ahead {
        let height = y(mark.sum);
        canvas.dashed((axis.left, height), (axis.right, height), 4, INK);
        let pen = Pen::new(SMALL).bold();
        canvas.text(
            (axis.left + 20.0, height - 26.0),
            &format!("{} still ahead", mark.numbers),
            pen,
        );
    }
    for mark in marks {
        let [Some(date), from, to] = mark.days else {
            continue;
        };
        let height = y(mark.sum);
        let (a, b) = (
            axis.x(from.unwrap_or(date)),
            axis.x(to.unwrap_or(axis.last)),
        );
        canvas.line(&[(a, height), (b, height)], 5, INK);
        canvas.line(&[(a, height - 12.0), (a, height + 12.0)], 5, INK);
        canvas.line(&[(b, height - 12.0), (b, height + 12.0)], 5, INK);
        canvas.disc((axis.x(date), height), 12.0, Some(PAPER), 5, INK);
        canvas.text(
            (a - 14.0, height - 8.0),
            &mark.numbers,
            Pen::new(TEXT).bold().anchored(Anchor::End),
        );
    }
    let unit = season.unit.degree_days();
    let outlook_words = if outlook.paths.is_empty() {
        ""
    } else {
        " Blue dashes: as in other years."
    };
    let label = format!(
        "Left scale: {unit}. Black: data.{outlook_words} Bars: days on which an event may come."
    );
    let mut below = canvas.paragraph(
        MARGIN,
        bottom + 80.0,
        WIDTH - 2.0 * MARGIN,
        &label,
        Pen::new(SMALL),
    ) + 14.0;
    for mark in marks {
        below = canvas.paragraph(
            MARGIN,
            below,
            WIDTH - 2.0 * MARGIN,
            &mark.line(),
            Pen::new(SMALL),
        );
    }
    below + 30.0
}
