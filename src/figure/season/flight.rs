//! The flight: adults about day by day, with the catches of the user's own traps.

use super::subject;
use super::time::{Days, GRID};
use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, WIDTH, Words, picture};
use crate::figure::palette::{INK, Mark, plan};
use crate::figure::{Figure, Table, round_up, tick_text, ticks};
use crate::season::answer::Season;
use crate::season::day::{plus, words_short};
use crate::season::flight::span;
use jiff::civil::Date;
use plotters::style::Color;

/// One stretch between two checks: middle day, catch a day, trap.
struct Catch {
    day: Date,
    per_day: f64,
    trap: String,
    count: u64,
}

/// Adults about as a share of the peak, and catches a day; `None` when no flight is known.
pub(super) fn flight(season: &Season) -> Option<Figure> {
    let presence = &season.parts.presence;
    let (first, peak, last) = span(presence, 0.01)?;
    let outlook = &season.parts.outlook;
    let catches = catches(season);
    let early = catches.iter().map(|c| c.day).min();
    let late = catches.iter().map(|c| c.day).max();
    let end = outlook.date(presence.len() - 1);
    let from = plus(outlook.date(first), -14).min(early.map_or(end, |d| plus(d, -7)));
    let to = plus(outlook.date(last), 14)
        .max(late.unwrap_or(from))
        .min(end);
    let axis = Days {
        first: from,
        last: to,
        left: MARGIN + 190.0,
        right: WIDTH - MARGIN - 170.0,
    };
    let title = format!("Adults about: {}", subject(season));
    let top_share = presence[peak];
    let short = season.parts.pest.short.clone();
    let mut table = Table::with_header(&["date", "adults_about_of_100_at_the_peak", "status"]);
    for (i, p) in presence
        .iter()
        .enumerate()
        .skip(first)
        .take(last - first + 1)
    {
        let status = if i < outlook.observed {
            "data"
        } else {
            "outlook"
        };
        table.rows.push(vec![
            outlook.date(i).to_string(),
            format!("{:.1}", 100.0 * p / top_share),
            status.into(),
        ]);
    }
    let seen = match catches
        .iter()
        .max_by(|a, b| a.per_day.total_cmp(&b.per_day))
    {
        Some(most) => format!(
            "Your highest catch was {:.1} a day near {} ({}).",
            most.per_day, most.day, most.trap
        ),
        None => "No catches were given.".into(),
    };
    let triangles = if catches.is_empty() {
        ["", ""]
    } else {
        [
            " Triangles are catches a day in your traps.",
            " Triangles: catch a day in your traps.",
        ]
    };
    let words = Words {
        name: "flight".into(),
        title: title.clone(),
        alt: format!("Area chart of {short} about from {from} to {to}, to show when they fly."),
        levels: [
            format!("The blue area shows how many adults are about, as a share of the busiest day.{}", triangles[0]),
            [
                format!("The busiest day is near {}. {seen}", outlook.date(peak)),
                first_few(season).unwrap_or_default(),
            ]
            .join(" ")
            .trim_end()
            .to_string(),
            "The curve comes from degree-days alone. Catches that do not follow it are a reason to trust the trap more.".into(),
        ],
        table,
    };
    Some(picture(words, |canvas| {
        let explanation = format!(
            "Blue: adults about, of 100 on the busiest day (shape assumed).{}",
            triangles[1]
        );
        let top = canvas.head(&title, &explanation);
        draw(canvas, top, season, &axis, &catches, top_share)
    }))
}

/// Why the table's first day lies where the curve has hardly begun to rise.
fn first_few(season: &Season) -> Option<String> {
    let first = season.first_adults()?;
    let short = &season.parts.pest.short;
    Some(format!(
        "The first few {short}, near {}, hardly show here.",
        words_short(first)
    ))
}

fn catches(season: &Season) -> Vec<Catch> {
    let Some(counts) = &season.parts.counts else {
        return Vec::new();
    };
    let year = season.parts.outlook.start.year();
    counts
        .traps
        .iter()
        .flat_map(|trap| {
            trap.checks
                .iter()
                .filter(move |c| c.on.year() == year)
                .filter_map(|check| {
                    let days = check.days()?;
                    Some(Catch {
                        day: plus(check.on, -(days / 2)),
                        per_day: check.count as f64 / days as f64,
                        trap: trap.trap.clone(),
                        count: check.count,
                    })
                })
        })
        .collect()
}

fn draw(
    canvas: &Canvas<'_>,
    top: f64,
    season: &Season,
    axis: &Days,
    catches: &[Catch],
    peak: f64,
) -> f64 {
    let outlook = &season.parts.outlook;
    let bottom = top + 860.0;
    let y = |share: f64| bottom - (bottom - top - 130.0) * share.clamp(0.0, 1.0);
    for tick in ticks(100.0) {
        canvas.line(
            &[(axis.left, y(tick / 100.0)), (axis.right, y(tick / 100.0))],
            2,
            GRID,
        );
        canvas.text(
            (axis.left - 16.0, y(tick / 100.0)),
            &tick_text(tick),
            Pen::new(SMALL).anchored(Anchor::End),
        );
    }
    axis.draw(canvas, top, bottom);
    let (blue, _) = plan(1);
    let curve: Vec<(f64, f64)> = season
        .parts
        .presence
        .iter()
        .enumerate()
        .map(|(i, p)| (outlook.date(i), p))
        .filter(|(date, _)| axis.holds(*date))
        .map(|(date, p)| (axis.x(date), y(p / peak)))
        .collect();
    if let (Some(first), Some(last)) = (curve.first(), curve.last()) {
        let mut area = vec![(first.0, bottom)];
        area.extend(&curve);
        area.push((last.0, bottom));
        canvas.fill(&area, blue.mix(0.30));
        canvas.line(&curve, 5, blue);
    }
    let most = round_up(catches.iter().map(|c| c.per_day).fold(0.0, f64::max));
    if !catches.is_empty() {
        for tick in ticks(most) {
            canvas.text(
                (axis.right + 16.0, y(tick / most)),
                &tick_text(tick),
                Pen::new(SMALL),
            );
        }
    }
    for catch in catches.iter().filter(|c| axis.holds(c.day)) {
        let at = (axis.x(catch.day), y(catch.per_day / most));
        if catch.count == 0 {
            // Checked and none: an open mark on the base line.
            canvas.disc(at, 13.0, None, 5, INK);
        } else {
            canvas.line(&[(at.0, bottom), at], 3, INK);
            canvas.mark(at, 18.0, Mark::Triangle, INK);
        }
    }
    axis.end_of_data(canvas, outlook.last_day(), top, bottom);
    if let Some(bloom) = &season.bloom {
        let (a, b) = (axis.x(bloom.days[0]), axis.x(bloom.days[3]));
        if b > a {
            canvas.line(&[(a, top + 20.0), (b, top + 20.0)], 16, plan(2).0);
            let what = format!("{} may bloom", bloom.crop);
            canvas.text((b + 16.0, top + 20.0), &what, Pen::new(SMALL));
        }
    }
    let note = if catches.is_empty() {
        "Left scale: adults about, of 100 on the busiest day."
    } else {
        "Left scale: adults about, of 100 on the busiest day. Right scale: catch a day. Open circle: checked and none."
    };
    let note = match first_few(season) {
        Some(few) => format!("{note} {few}"),
        None => note.to_string(),
    };
    canvas.paragraph(
        MARGIN,
        bottom + 80.0,
        WIDTH - 2.0 * MARGIN,
        &note,
        Pen::new(SMALL),
    ) + 30.0
}
