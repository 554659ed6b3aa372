//! A wind rose: bars point where the wind comes from, calm hours stand in the middle.

use crate::figure::canvas::{Canvas, MARGIN, Pen, WIDTH, Words, picture};
use crate::figure::chart::GRID;
use crate::figure::palette::{INK, PAPER, plan};
use crate::figure::{Figure, round_up, tick_text, ticks};
use crate::say::{say, voice};
use crate::season::wind_rose::{Sector, WindRose};
use crate::units::{M_PER_S_PER_MPH, RADIANS_PER_DEGREE};
use crate::weather::day::month_name;
use plotters::style::Color;

/// Radius of the calm disc in the middle, half pixels.
const CALM: f64 = 120.0;
/// Radius of the largest bar.
const REACH: f64 = 560.0;

/// The picture of a rose.
pub fn wind_rose(rose: &WindRose) -> Figure {
    let [first, last] = rose.filter.months.map(|m| month_name(m.cast_signed()));
    let [from, to] = rose.filter.hours;
    let when = say!(
        "figure.wind-rose.when",
        first,
        last,
        from,
        to,
        n = rose.valid
    );
    let of_100 = |share: f64| format!("{:.1}", 100.0 * share);
    let mph = |speed: Option<f64>, digits: usize| {
        speed.map(|v| format!("{:.digits$}", v / M_PER_S_PER_MPH))
    };
    let line = |s: &Sector| {
        let (name, n) = (s.name, of_100(s.share));
        match mph(s.mean_speed_m_per_s, 0) {
            Some(speed) => say!("figure.wind-rose.sector", name, n, speed),
            None => say!("figure.wind-rose.sector.still", name, n),
        }
    };
    let lines: Vec<String> = rose.sectors.iter().map(line).collect();
    let row = |name: &str, hours: String, share: f64, speed: Option<String>| {
        vec![
            name.to_owned(),
            hours,
            of_100(share),
            speed.unwrap_or_default(),
        ]
    };
    let sectors = rose.sectors.iter();
    let mut rows: Vec<Vec<String>> = sectors
        .map(|s| {
            row(
                s.name,
                s.hours.to_string(),
                s.share,
                mph(s.mean_speed_m_per_s, 1),
            )
        })
        .collect();
    let calm = voice().get("figure.wind-rose.calm");
    rows.push(row(
        calm,
        rose.calm.to_string(),
        rose.calm_share,
        Some("0".into()),
    ));
    let unsteady = voice().get("figure.wind-rose.unsteady");
    let speed = mph(rose.variable_mean_speed_m_per_s, 1);
    rows.push(row(
        unsteady,
        rose.variable.to_string(),
        rose.variable_share,
        speed,
    ));
    // Of equal sides the first is told.
    let top = rose
        .sectors
        .iter()
        .reduce(|a, b| if b.hours > a.hours { b } else { a });
    let pattern = top.map_or_else(String::new, |s| {
        say!("figure.wind-rose.most", name = s.name)
    });
    let numbers = say!(
        "figure.wind-rose.numbers",
        list = lines.join("; "),
        n = of_100(rose.calm_share)
    );
    let words = Words::of("wind-rose", &[("when", &when)], [numbers, pattern], rows);
    picture(words, |canvas, y| draw(canvas, y, rose, &lines))
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
        canvas.disc(centre, radius(tick), None, 2, GRID);
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
        canvas.text((x, y - 4.0), &tick_text(tick), Pen::SMALL.middle());
    }
    for (i, name) in voice().get("figure.wind-rose.sides").split(' ').enumerate() {
        let place = at(45.0 * i as f64, CALM + REACH + 46.0);
        canvas.text(place, name, Pen::TEXT.bold().middle());
    }
    canvas.disc(centre, CALM, Some(PAPER), 4, INK);
    canvas.text(
        (centre.0, centre.1 - 24.0),
        voice().get("figure.wind-rose.calm"),
        Pen::SMALL.middle(),
    );
    let share = say!(
        "figure.wind-rose.of-100",
        n = format!("{:.0}", 100.0 * rose.calm_share)
    );
    canvas.text((centre.0, centre.1 + 24.0), &share, Pen::SMALL.middle());
    let left = centre.0 + CALM + REACH + 160.0;
    let mut y = top + 30.0;
    for line in lines {
        y = canvas.paragraph(left, y, WIDTH - MARGIN - left, line, Pen::SMALL);
    }
    let n = format!("{:.1}", 100.0 * rose.variable_share);
    let variable = say!("figure.wind-rose.no-side", n);
    let y = canvas.paragraph(left, y + 12.0, WIDTH - MARGIN - left, &variable, Pen::SMALL);
    let bottom = centre.1 + CALM + REACH + 100.0;
    bottom.max(y) + 30.0
}
