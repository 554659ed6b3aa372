//! A wind rose: bars point where the wind comes from, calm hours stand in the middle.

use crate::figure::canvas::{Canvas, MARGIN, Pen, WIDTH, Words, picture};
use crate::figure::chart::GRID;
use crate::figure::palette::{INK, PAPER, plan};
use crate::figure::{Figure, round_up, tick_text, ticks};
use crate::say::{say, voice};
use crate::season::wind_rose::{Sector, WindRose};
use crate::units::{M_PER_S_PER_MPH, RADIANS_PER_DEGREE};
use crate::weather::day::month_name;

/// Radius of the calm disc in the middle, half pixels.
const CALM: f64 = 120.0;
/// Radius of the largest bar.
const REACH: f64 = 560.0;

/// The picture of a rose.
pub fn wind_rose(rose: &WindRose) -> Figure {
    let [first, last] = rose.filter.months.map(|m| month_name(m.cast_signed()));
    let [from, to] = rose.filter.hours;
    let n = rose.valid;
    let when = say!("figure.wind-rose.when", first, last, from, to, n);
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
    let row = |name: &str, hours: u64, share: f64, speed: Option<String>| {
        let (hours, speed) = (hours.to_string(), speed.unwrap_or_default());
        vec![name.to_owned(), hours, of_100(share), speed]
    };
    let sectors = rose.sectors.iter();
    let sectors = sectors.map(|s| row(s.name, s.hours, s.share, mph(s.mean_speed_m_per_s, 1)));
    let mut rows: Vec<Vec<String>> = sectors.collect();
    let [calm, unsteady] =
        ["figure.wind-rose.calm", "figure.wind-rose.unsteady"].map(|key| voice().get(key));
    rows.push(row(calm, rose.calm, rose.calm_share, Some("0".into())));
    let speed = mph(rose.variable_mean_speed_m_per_s, 1);
    rows.push(row(unsteady, rose.variable, rose.variable_share, speed));
    // Of equal sides the first is told.
    let top = rose.sectors.iter();
    let top = top.reduce(|a, b| if b.hours > a.hours { b } else { a });
    let pattern = top.map_or_else(String::new, |s| {
        say!("figure.wind-rose.most", name = s.name)
    });
    let (list, n) = (lines.join("; "), of_100(rose.calm_share));
    let numbers = say!("figure.wind-rose.numbers", list, n);
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
        let (sin, cos) = (libm::sin(angle), libm::cos(angle));
        (centre.0 + r * sin, centre.1 - r * cos)
    };
    for tick in ticks(end).into_iter().skip(1) {
        canvas.disc(centre, radius(tick), None, 2, GRID);
    }
    let (blue, _) = plan(1);
    let width = 360.0 / rose.sectors.len() as f64 * 0.82;
    for sector in rose.sectors.iter().filter(|s| s.hours > 0) {
        let outer = radius(100.0 * sector.share);
        let place = |i: u32, r: f64| {
            let off = width * (f64::from(i) / 8.0 - 0.5);
            at(sector.centre_deg + off, r)
        };
        let inner = (0..=8).map(|i| place(i, CALM));
        let back = (0..=8).rev().map(|i| place(i, outer));
        let wedge: Vec<(f64, f64)> = inner.chain(back).collect();
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
    let n = format!("{:.0}", 100.0 * rose.calm_share);
    let share = say!("figure.wind-rose.of-100", n);
    for (text, y) in [(say!("figure.wind-rose.calm"), -24.0), (share, 24.0)] {
        canvas.text((centre.0, centre.1 + y), &text, Pen::SMALL.middle());
    }
    let left = centre.0 + CALM + REACH + 160.0;
    let room = WIDTH - MARGIN - left;
    let mut y = top + 30.0;
    for line in lines {
        y = canvas.paragraph(left, y, room, line, Pen::SMALL);
    }
    let n = format!("{:.1}", 100.0 * rose.variable_share);
    let variable = say!("figure.wind-rose.no-side", n);
    let y = canvas.paragraph(left, y + 12.0, room, &variable, Pen::SMALL);
    let bottom = centre.1 + CALM + REACH + 100.0;
    bottom.max(y) + 30.0
}
