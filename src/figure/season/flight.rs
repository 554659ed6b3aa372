//! The flight: adults about day by day, with the catches of the user's own traps.

use super::subject;
use super::time::Days;
use crate::figure::Figure;
use crate::figure::canvas::{Canvas, MARGIN, Pen, WIDTH, Words, picture};
use crate::figure::chart::Scale;
use crate::figure::legend::INNER;
use crate::figure::palette::{INK, Mark, plan};
use crate::figure::{round_up, tick_text, ticks};
use crate::say::{say, voice};
use crate::season::finding::Finding;
use crate::season::flight::span;
use crate::weather::day::{plus, words_short};
use jiff::civil::Date;

/// One stretch between two checks: middle day, catch a day, trap.
struct Catch {
    day: Date,
    per_day: f64,
    trap: String,
    count: u64,
}

/// Adults about as a share of the peak, and catches a day; `None` when no flight is known.
pub(super) fn flight(season: &Finding) -> Option<Figure> {
    let presence = &season.parts.presence;
    let (first, peak, last) = span(presence, 0.01)?;
    let outlook = &season.parts.outlook;
    let catches = catches(season);
    let checked = || catches.iter().map(|c| c.day);
    let end = outlook.date(presence.len() - 1);
    let early = checked().min().map_or(end, |d| plus(d, -7));
    let from = plus(outlook.date(first), -14).min(early);
    let late = checked().max().unwrap_or(from);
    let to = plus(outlook.date(last), 14).max(late).min(end);
    let axis = Days {
        first: from,
        last: to,
        left: MARGIN + 190.0,
        right: WIDTH - MARGIN - 170.0,
    };
    let top_share = presence[peak];
    let row = |i: usize| {
        let share = format!("{:.1}", 100.0 * presence[i] / top_share);
        let status =
            ["figure.flight.outlook", "figure.flight.data"][usize::from(i < outlook.observed)];
        vec![outlook.date(i).to_string(), share, say!(status)]
    };
    let most = catches.iter();
    let most = most.max_by(|a, b| a.per_day.total_cmp(&b.per_day));
    let seen = most.map_or_else(
        || say!("figure.flight.no-catches"),
        |most| {
            let (n, day, trap) = (format!("{:.1}", most.per_day), most.day, &most.trap);
            say!("figure.flight.highest", n, day, trap)
        },
    );
    let busiest = say!("figure.flight.busiest", day = outlook.date(peak));
    let numbers = [busiest, seen, first_few(season).unwrap_or_default()].join(" ");
    let triangles = catches.first();
    let triangles = triangles.map_or("", |_| voice().get("figure.flight.triangles"));
    let subject = subject(season);
    let gaps = [
        ("subject", subject.as_str()),
        ("insects", &season.parts.pest.short),
        ("from", &from.to_string()),
        ("to", &to.to_string()),
        ("triangles", triangles),
    ];
    let told = [numbers.trim_end().to_owned(), say!("figure.flight.pattern")];
    let words = Words::of("flight", &gaps, told, (first..=last).map(row).collect());
    Some(picture(words, |canvas, top| {
        draw(canvas, top, season, &axis, &catches, top_share)
    }))
}

/// Why the table's first day lies where the curve has hardly begun to rise.
fn first_few(season: &Finding) -> Option<String> {
    let first = season.first_before_flight()?;
    let (insects, day) = (&season.parts.pest.short, words_short(first));
    Some(say!("figure.flight.first-few", insects, day))
}

fn catches(season: &Finding) -> Vec<Catch> {
    let Some(counts) = &season.parts.counts else {
        return Vec::new();
    };
    let year = season.parts.outlook.start.year();
    let checks = counts.traps.iter();
    let checks = checks.flat_map(|trap| trap.checks.iter().map(move |check| (trap, check)));
    let checks = checks.filter(|(_, check)| check.on.year() == year);
    let caught = checks.filter_map(|(trap, check)| {
        let days = check.days()?;
        Some(Catch {
            day: plus(check.on, -(days / 2)),
            per_day: check.count as f64 / days as f64,
            trap: trap.trap.clone(),
            count: check.count,
        })
    });
    caught.collect()
}

fn draw(
    canvas: &Canvas<'_>,
    top: f64,
    season: &Finding,
    axis: &Days,
    catches: &[Catch],
    peak: f64,
) -> f64 {
    let outlook = &season.parts.outlook;
    let bottom = top + 860.0;
    let scale = Scale::up_to(100.0, (bottom, top + 130.0));
    let y = |share: f64| scale.at(100.0 * share);
    scale.upward(canvas, axis.left, axis.right);
    axis.draw(canvas, top, bottom);
    let (blue, _) = plan(1);
    let curve = season.parts.presence.iter().enumerate();
    let curve = curve.map(|(i, p)| (outlook.date(i), p));
    let curve = curve.filter(|(date, _)| axis.holds(*date));
    let curve = curve.map(|(date, p)| (axis.x(date), y(p / peak)));
    let curve: Vec<(f64, f64)> = curve.collect();
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
            let beside = (axis.right + 16.0, y(tick / most));
            canvas.text(beside, &tick_text(tick), Pen::SMALL);
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
            let what = say!("figure.flight.bloom", crop = bloom.crop);
            canvas.text((b + 16.0, top + 20.0), &what, Pen::SMALL.edged());
        }
    }
    let note = catches.first();
    let note = note.map_or("figure.flight.scale", |_| "figure.flight.scale.catches");
    let note = [say!(note), first_few(season).unwrap_or_default()].join(" ");
    canvas.paragraph(MARGIN, bottom + 80.0, INNER, &note, Pen::SMALL) + 30.0
}
