//! Degree-days through the year, with the events on the curve.

use super::subject;
use super::time::Days;
use crate::figure::canvas::{Canvas, MARGIN, Pen, WIDTH, Words, picture};
use crate::figure::chart::Scale;
use crate::figure::legend::INNER;
use crate::figure::palette::{INK, PAPER, plan};
use crate::figure::{Figure, joined};
use crate::say::{capital, say, voice};
use crate::season::events::Event;
use crate::season::finding::Finding;
use crate::weather::day::{plus, words_short};
use jiff::civil::Date;

/// Degree-days day by day: observed, then as in other years; events stand on the curve as numbers.
pub(super) fn degree_days(season: &Finding) -> Figure {
    let marks = marks(season);
    let unit = season.unit.degree_days();
    let (sum, day) = (format!("{:.0}", season.cumulative), &season.last_day);
    let outlook = season.forecast.as_ref();
    let outlook = outlook.map_or("", |_| voice().get("figure.degree-days.goes-on"));
    let subject = subject(season);
    let gaps = [
        ("subject", subject.as_str()),
        ("unit", unit),
        ("method", &season.method),
        ("source", season.method_source),
        ("from", &season.start),
        ("n", &season.events.len().to_string()),
        ("outlook", outlook),
        ("letter", &season.unit.letter().to_lowercase()),
    ];
    let told = [
        joined(lines(season).into_iter()),
        say!("figure.degree-days.sum", sum, unit, day),
    ];
    let words = Words::of("degree-days", &gaps, told, rows(season));
    picture(words, |canvas, top| draw(canvas, top, season, &marks))
}

/// Events that fall together, drawn as one mark.
struct Mark {
    numbers: String,
    sum: f64,
    days: [Option<Date>; 3],
}

fn marks(season: &Finding) -> Vec<Mark> {
    let mut marks: Vec<Mark> = Vec::new();
    for (i, event) in season.events.iter().enumerate() {
        let number = (i + 1).to_string();
        let same = |m: &&mut Mark| {
            let place = (m.sum - event.degree_days).abs() < 1e-6;
            m.days[0].is_some() && m.days[0] == event.days[0] && place
        };
        match marks.last_mut().filter(same) {
            Some(mark) => {
                mark.numbers = format!("{},{number}", mark.numbers);
                mark.days[1] = mark.days[1].min(event.days[1]);
                mark.days[2] = mark.days[2].max(event.days[2]);
            }
            None => marks.push(Mark {
                numbers: number,
                sum: event.degree_days,
                days: event.days,
            }),
        }
    }
    marks
}

/// The events with their days, below the table that names them.
fn lines(season: &Finding) -> Vec<String> {
    let line = |(i, event): (usize, &Event)| {
        let when = match event.days.map(|date| date.map(words_short)) {
            [Some(day), Some(from), Some(to)] if from != to => {
                say!("figure.degree-days.between", day, from, to)
            }
            [Some(day), Some(from), None] => say!("figure.degree-days.or-later", day, from),
            [Some(day), ..] => day,
            _ => say!("figure.degree-days.not-reached"),
        };
        format!("{}: {}, {when}.", i + 1, event.name)
    };
    let tables = season.by_table().into_iter();
    let tables = tables.map(|(table, events)| {
        let title = format!("{}.", capital(table));
        std::iter::once(title).chain(events.into_iter().map(line))
    });
    tables.flatten().collect()
}

fn rows(season: &Finding) -> Vec<Vec<String>> {
    let day = |text: &Option<String>| text.clone().unwrap_or_default();
    let row = |(i, event): (usize, &Event)| {
        vec![
            (i + 1).to_string(),
            event.name.clone(),
            format!("{:.1}", event.degree_days),
            day(&event.date),
            day(&event.earliest),
            day(&event.latest),
            event.table.clone(),
        ]
    };
    season.events.iter().enumerate().map(row).collect()
}

/// First and last day worth drawing: the data, and the events with their ranges.
fn days(season: &Finding) -> Days {
    let outlook = &season.parts.outlook;
    let days = || season.events.iter().flat_map(|e| e.days).flatten();
    let latest = days().max();
    let end = outlook.date(outlook.typical.len().saturating_sub(1));
    let last = latest.map_or(end, |d| {
        plus(d, 14).max(plus(outlook.last_day(), 7)).min(end)
    });
    let earliest = days().min().unwrap_or(outlook.start);
    Days {
        first: plus(earliest.min(outlook.start), -4),
        last,
        left: MARGIN + 190.0,
        right: WIDTH - MARGIN - 20.0,
    }
}

fn draw(canvas: &Canvas<'_>, top: f64, season: &Finding, marks: &[Mark]) -> f64 {
    let outlook = &season.parts.outlook;
    let axis = days(season);
    let bottom = top + 900.0;
    let last = outlook.index(axis.last);
    let shown = last.map_or(outlook.typical.len(), |i| i + 1);
    let sum = |i: usize| outlook.typical[i].on(season.unit);
    let paths = |i: usize| outlook.paths.iter().map(move |(_, p)| p[i].on(season.unit));
    let least = sum(shown.saturating_sub(1)).max(1.0);
    let highest = paths(shown.saturating_sub(1)).fold(least, f64::max);
    let ahead = marks.iter().find(|m| m.days[0].is_none());
    let most = ahead.map_or(highest, |m| highest.max(m.sum));
    let scale = Scale::up_to(most, (bottom, top + 20.0));
    let y = |value: f64| scale.at(value);
    scale.upward(canvas, axis.left, axis.right);
    axis.draw(canvas, top, bottom);
    let (blue, _) = plan(1);
    let at = |i: usize, value: f64| (axis.x(outlook.date(i)), y(value));
    let seam = outlook.observed.min(shown).saturating_sub(1);
    if outlook.paths.len() > 1 && seam + 1 < shown {
        let low = |i: usize| paths(i).fold(f64::INFINITY, f64::min);
        let high = |i: usize| paths(i).fold(f64::NEG_INFINITY, f64::max);
        let mut band: Vec<(f64, f64)> = (seam..shown).map(|i| at(i, low(i))).collect();
        band.extend((seam..shown).rev().map(|i| at(i, high(i))));
        canvas.fill(&band, blue.mix(0.18));
        canvas.outline(&band, 2, blue);
    }
    let known: Vec<(f64, f64)> = (0..=seam).map(|i| at(i, sum(i))).collect();
    canvas.line(&known, 6, INK);
    // Every second pair of days is left out, so that the outlook reads as dashed.
    for i in (seam..shown.saturating_sub(1)).filter(|i| (i - seam) % 4 < 2) {
        canvas.line(&[at(i, sum(i)), at(i + 1, sum(i + 1))], 6, blue);
    }
    axis.end_of_data(canvas, outlook.last_day(), top, bottom);
    if let Some(mark) = ahead {
        let height = y(mark.sum);
        canvas.dashed((axis.left, height), (axis.right, height), 4, INK);
        let text = say!("figure.degree-days.ahead", n = mark.numbers);
        canvas.text((axis.left + 20.0, height - 26.0), &text, Pen::SMALL.bold());
    }
    for mark in marks {
        let [Some(date), from, to] = mark.days else {
            continue;
        };
        let height = y(mark.sum);
        let [a, b] = [from.unwrap_or(date), to.unwrap_or(axis.last)].map(|d| axis.x(d));
        canvas.line(&[(a, height), (b, height)], 5, INK);
        for x in [a, b] {
            canvas.line(&[(x, height - 12.0), (x, height + 12.0)], 5, INK);
        }
        canvas.disc((axis.x(date), height), 12.0, Some(PAPER), 5, INK);
        let beside = (a - 14.0, height - 8.0);
        canvas.text(beside, &mark.numbers, Pen::TEXT.bold().end());
    }
    let unit = season.unit.degree_days();
    let label = if outlook.paths.is_empty() {
        say!("figure.degree-days.scale", unit)
    } else {
        say!("figure.degree-days.scale.outlook", unit)
    };
    let pen = Pen::SMALL;
    let mut below = canvas.paragraph(MARGIN, bottom + 80.0, INNER, &label, pen) + 14.0;
    for line in lines(season) {
        below = canvas.paragraph(MARGIN, below, INNER, &line, pen);
    }
    below + 30.0
}
