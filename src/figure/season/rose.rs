//! A wind rose: bars point where the wind comes from, calm hours stand in the middle.

use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, TEXT, WIDTH, Words, picture};
use crate::figure::palette::{INK, PAPER, plan};
use crate::figure::{Figure, Table, round_up, tick_text, ticks};
use crate::season::day::month_name;
use crate::season::wind_rose::WindRose;
use crate::units::{M_PER_S_PER_MPH, RADIANS_PER_DEGREE};
use plotters::style::Color;

/// Radius of the calm disc in the middle, half pixels.
const CALM: f64 = 120.0;
/// Radius of the largest bar.
const REACH: f64 = 560.0;

/// The picture of a rose.
pub fn wind_rose(rose: &WindRose) -> Figure {
    let [first, last] = rose.filter.months;
    let [from, to] = rose.filter.hours;
    let when = format!(
        "{} to {}, {from}:00 to {to}:00, {} hours",
        month_name(first.cast_signed()),
        month_name(last.cast_signed()),
        rose.valid
    );
    let title = "Where the wind comes from".to_string();
    let mut order: Vec<_> = rose.sectors.iter().collect();
    order.sort_by_key(|s| std::cmp::Reverse(s.hours));
    let mph = |speed: f64| speed / M_PER_S_PER_MPH;
    let lines: Vec<String> = rose
        .sectors
        .iter()
        .map(|s| {
            let speed = s
                .mean_speed_m_per_s
                .map_or("-".into(), |v| format!("{:.0} mph", mph(v)));
            format!("{}: {:.1} of 100 hours, {speed}", s.name, 100.0 * s.share)
        })
        .collect();
    let mut table = Table::with_header(&["from", "hours", "of_100_hours", "mean_speed_mph"]);
    for s in &rose.sectors {
        let speed = s
            .mean_speed_m_per_s
            .map_or(String::new(), |v| format!("{:.1}", mph(v)));
        table.rows.push(vec![
            s.name.into(),
            s.hours.to_string(),
            format!("{:.1}", 100.0 * s.share),
            speed,
        ]);
    }
    table.rows.push(vec![
        "calm".into(),
        rose.calm.to_string(),
        format!("{:.1}", 100.0 * rose.calm_share),
        "0".into(),
    ]);
    table.rows.push(vec![
        "no steady side".into(),
        rose.variable.to_string(),
        format!("{:.1}", 100.0 * rose.variable_share),
        rose.variable_mean_speed_m_per_s
            .map_or(String::new(), |v| format!("{:.1}", mph(v))),
    ]);
    let top = order.first().map_or("none", |s| s.name);
    let words = Words {
        name: "wind-rose".into(),
        title: title.clone(),
        alt: format!("Wind rose of {when}, to show which side the wind comes from."),
        levels: [
            "Each bar points to the side the wind comes from. A longer bar means more hours. Calm hours stand in the middle.".into(),
            format!("{}. Calm: {:.1} of 100 hours.", lines.join("; "), 100.0 * rose.calm_share),
            format!("The wind comes most often from {top}."),
        ],
        table,
    };
    picture(words, |canvas| {
        let explanation = format!(
            "{when}. Bars point where the wind comes from; longer means more hours. Stations stand in the open, 33 ft (10 m) up."
        );
        let y = canvas.head(&title, &explanation);
        draw(canvas, y, rose, &lines)
    })
}

fn draw(canvas: &Canvas<'_>, top: f64, rose: &WindRose, lines: &[String]) -> f64 {
    let centre = (MARGIN + REACH + CALM + 90.0, top + REACH + CALM + 80.0);
    let largest = rose.sectors.iter().map(|s| s.share).fold(0.0, f64::max);
    let end = round_up(100.0 * largest);
    let radius = |percent: f64| CALM + REACH * percent / end;
    let at = |bearing_deg: f64, r: f64| {
        let angle = bearing_deg * RADIANS_PER_DEGREE;
        (
            centre.0 + r * libm::sin(angle),
            centre.1 - r * libm::cos(angle),
        )
    };
    for tick in ticks(end).into_iter().skip(1) {
        canvas.disc(centre, radius(tick), None, 2, super::time::GRID);
    }
    let (blue, _) = plan(1);
    let width = 360.0 / rose.sectors.len() as f64 * 0.82;
    for sector in rose.sectors.iter().filter(|s| s.hours > 0) {
        let outer = radius(100.0 * sector.share);
        let arc = |r: f64, back: bool| {
            let steps = 8;
            (0..=steps).map(move |i| {
                let i = if back { steps - i } else { i };
                at(
                    sector.centre_deg + width * (f64::from(i) / f64::from(steps) - 0.5),
                    r,
                )
            })
        };
        let wedge: Vec<(f64, f64)> = arc(CALM, false).chain(arc(outer, true)).collect();
        canvas.fill(&wedge, blue.mix(0.75));
        canvas.outline(&wedge, 3, INK);
    }
    for tick in ticks(end).into_iter().skip(1) {
        let (x, y) = at(11.25, radius(tick));
        canvas.text(
            (x, y - 4.0),
            &tick_text(tick),
            Pen::new(SMALL).anchored(Anchor::Middle),
        );
    }
    for (i, name) in ["N", "NE", "E", "SE", "S", "SW", "W", "NW"]
        .into_iter()
        .enumerate()
    {
        let place = at(45.0 * i as f64, CALM + REACH + 46.0);
        canvas.text(place, name, Pen::new(TEXT).bold().anchored(Anchor::Middle));
    }
    canvas.disc(centre, CALM, Some(PAPER), 4, INK);
    canvas.text(
        (centre.0, centre.1 - 24.0),
        "calm",
        Pen::new(SMALL).anchored(Anchor::Middle),
    );
    let share = format!("{:.0} of 100", 100.0 * rose.calm_share);
    canvas.text(
        (centre.0, centre.1 + 24.0),
        &share,
        Pen::new(SMALL).anchored(Anchor::Middle),
    );
    let left = centre.0 + CALM + REACH + 160.0;
    let mut y = top + 30.0;
    for line in lines {
        y = canvas.paragraph(left, y, WIDTH - MARGIN - left, line, Pen::new(SMALL));
    }
    let variable = format!(
        "no steady side: {:.1} of 100 hours",
        100.0 * rose.variable_share
    );
    let y = canvas.paragraph(
        left,
        y + 12.0,
        WIDTH - MARGIN - left,
        &variable,
        Pen::new(SMALL),
    );
    let bottom = centre.1 + CALM + REACH + 100.0;
    bottom.max(y) + 30.0
}
