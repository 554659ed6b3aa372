//! Degree-days through the year, with the events on the curve.

use super::subject;
use super::time::Days;
use crate::figure::Figure;
use crate::figure::canvas::{Canvas, MARGIN, Pen, WIDTH, Words, picture};
use crate::figure::chart::Scale;
use crate::figure::legend::INNER;
use crate::figure::palette::{INK, PAPER, plan};
use crate::say::{say, voice};
use crate::season::answer::Season;
use crate::season::events::Event;
use crate::weather::day::{plus, words_short};
use jiff::civil::Date;
use plotters::style::Color;

/// Degree-days day by day: observed, then as in other years; events stand on the curve as numbers.
pub(super) fn degree_days(season: &Season) -> Figure {
    let marks = marks(season);
    let listed: Vec<String> = marks.iter().map(Mark::line).collect();
    let unit = season.unit.degree_days();
    let (sum, day) = (format!("{:.0}", season.cumulative), &season.last_day);
    let outlook = if season.forecast.is_some() {
        voice().get("figure.degree-days.goes-on")
    } else {
        ""
    };
    let subject = subject(season);
    let gaps = [
        ("subject", subject.as_str()),
        ("unit", unit),
        ("method", &season.method),
        ("source", season.method_source),
        ("from", &season.start),
        ("n", &marks.len().to_string()),
        ("outlook", outlook),
        ("letter", &season.unit.letter().to_lowercase()),
    ];
    let words = Words::of(
        "degree-days",
        &gaps,
        [
            listed.join(" "),
            say!("figure.degree-days.sum", sum, unit, day),
        ],
        rows(season),
    );
    picture(words, |canvas, top| draw(canvas, top, season, &marks))
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
        let day = |date: Date| words_short(date);
        let when = match self.days {
            [Some(d), Some(a), Some(b)] if a != b => {
                say!(
                    "figure.degree-days.between",
                    day = day(d),
                    from = day(a),
                    to = day(b)
                )
            }
            [Some(d), Some(a), None] => {
                say!("figure.degree-days.or-later", day = day(d), from = day(a))
            }
            [Some(d), ..] => day(d),
            _ => say!("figure.degree-days.not-reached"),
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

fn rows(season: &Season) -> Vec<Vec<String>> {
    let day = |text: &Option<String>| text.clone().unwrap_or_default();
    let row = |(i, event): (usize, &Event)| {
        vec![
            (i + 1).to_string(),
            event.name.clone(),
            format!("{:.1}", event.degree_days),
            day(&event.date),
            day(&event.earliest),
            day(&event.latest),
        ]
    };
    season.events.iter().enumerate().map(row).collect()
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
    let most = ahead.map_or(highest, |m| highest.max(m.sum));
    let scale = Scale::up_to(most, (bottom, top + 20.0));
    let y = |value: f64| scale.at(value);
    scale.upward(canvas, axis.left, axis.right);
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
        let pen = Pen::SMALL.bold();
        canvas.text(
            (axis.left + 20.0, height - 26.0),
            &say!("figure.degree-days.ahead", n = mark.numbers),
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
            Pen::TEXT.bold().end(),
        );
    }
    let unit = season.unit.degree_days();
    let label = if outlook.paths.is_empty() {
        say!("figure.degree-days.scale", unit)
    } else {
        say!("figure.degree-days.scale.outlook", unit)
    };
    let pen = Pen::SMALL;
    let mut below = canvas.paragraph(MARGIN, bottom + 80.0, INNER, &label, pen) + 14.0;
    for mark in marks {
        below = canvas.paragraph(MARGIN, below, INNER, &mark.line(), pen);
    }
    below + 30.0
}
