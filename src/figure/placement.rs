//! The map of where a trap helps or hurts.

use crate::figure::canvas::{Anchor, Canvas, MARGIN, Pen, SMALL, Words, picture, text_width, veil};
use crate::figure::labels::labels;
use crate::figure::legend::{self, INNER, WIDE, colour_bar};
use crate::figure::map::{self, Frame, TRAP, View, overlap, square};
use crate::figure::palette::{INK, PAPER, QUIET, RGBColor, difference};
use crate::figure::{Figure, damage_words, round_up, sweeps, targets, tick_text};
use crate::geometry::{Point, Rect};
use crate::placement::outcome::{PlaceOutcome, SiteOutcome, Verdict, Zone, ZoneMap};
use crate::placement::words::{
    best_word, headline, place_name, signed, told, worst_word, zone_word, zones_of_100,
};
use crate::say::{say, voice};
use crate::scenario::{Owner, Plan, Scenario, Shape, Trap};
use crate::units::{feet, feet_and_metres};

const HATCH: RGBColor = RGBColor(0x55, 0x55, 0x55);
/// Colour steps on either side of no change.
const STEPS: f64 = 10.0;
/// Marks before those of the asker's spots: the best place and the worst.
const SPOTS: usize = 2;

/// All pictures of a search, in a fixed order.
pub fn all(scenario: &Scenario, outcome: &PlaceOutcome) -> Vec<Figure> {
    let mut figures = Vec::new();
    if let Some(map) = &outcome.map {
        figures.push(draw(scenario, outcome, map));
    }
    for sweep in &outcome.sweeps {
        figures.push(sweeps::draw(scenario, outcome, sweep));
    }
    figures
}

/// The yard with a strip of the neighbours' land, so that the yard fills the sheet.
fn near_view(scenario: &Scenario, map: &ZoneMap) -> Scenario {
    let mut near = scenario.clone();
    let area = Rect::new(
        map.x0_m,
        map.y0_m,
        map.x0_m + map.columns as f64 * map.cell_m,
        map.y0_m + map.rows as f64 * map.cell_m,
    );
    let seen = area.grown(0.08 * area.width().max(area.height()));
    for plot in &mut near.plots {
        let a = plot.area;
        plot.area = Rect::new(
            a.x0.max(seen.x0),
            a.y0.max(seen.y0),
            a.x1.min(seen.x1),
            a.y1.min(seen.y1),
        );
    }
    near.plots
        .retain(|p| p.area.x0 < p.area.x1 && p.area.y0 < p.area.y1);
    let own = near
        .crops
        .iter()
        .filter(|c| c.owner == Owner::Mine)
        .map(|c| c.first + c.count)
        .max()
        .unwrap_or(0);
    near.plants.truncate(own);
    near.crops.retain(|c| c.owner == Owner::Mine);
    near.plans.clear();
    near
}

fn draw(scenario: &Scenario, outcome: &PlaceOutcome, zones: &ZoneMap) -> Figure {
    let near = near_view(scenario, zones);
    let ends = scale(outcome, zones);
    let end = ends.1.max(-ends.0);
    let plan = marks(scenario, outcome);
    picture(words(scenario, outcome, zones), |canvas, top| {
        let view = View::new(&near, MARGIN, top, INNER, 1500.0);
        map::ground(canvas, &view, &near);
        cells(canvas, &view, (zones, &scenario.yard), end);
        hatch(canvas, &view, zones);
        let taken = taken(&view, &near, &plan);
        let numbers = contours(canvas, &view, zones, &taken, end);
        closed_zones(canvas, &view, scenario);
        map::structures(canvas, &view, &near);
        map::sources(canvas, &view, &near);
        for plant in &near.plants {
            let r = view.plant_radius(plant.canopy_m);
            canvas.disc(view.at(plant.at), r, Some(PAPER), 4, INK);
            canvas.disc(view.at(plant.at), 0.35 * r, Some(INK), 0, INK);
        }
        let first = if outcome.nothing_matters() { SPOTS } else { 0 };
        let plants = view.plants(&near);
        for (i, trap) in plan.traps.iter().enumerate() {
            let at = view.at(trap.at);
            let clear = plants.iter().all(|p| overlap(*p, square(at, TRAP)) <= 0.0);
            mark(canvas, at, outcome, first + i, clear);
        }
        let y = labels(canvas, &view, &near, Some(&plan), (&[], &numbers)) + 40.0;
        let left = key(canvas, y, outcome, ends);
        let right = legend::shapes(canvas, y, &near, &view, legend::Circles::Outlined);
        lists(canvas, left.max(right) + 20.0, scenario, outcome)
    })
}

/// Ends of the colours: the range of the map, from 0 where there is only one side. Changes that count as none stay pale.
fn scale(outcome: &PlaceOutcome, zones: &ZoneMap) -> (f64, f64) {
    let open = zones.change.iter().zip(&zones.zone);
    let open = open.filter(|(_, z)| **z != Zone::Closed).map(|(c, _)| *c);
    let (low, high) = open.fold((0.0, 0.0), |(a, b): (f64, f64), c| (a.min(c), b.max(c)));
    let end = round_up(high.max(-low).max(2.0 * outcome.tie_band).max(1e-6));
    let least = 0.5 * end / STEPS;
    let lowest = if low < -least || high <= least {
        -end
    } else {
        0.0
    };
    (
        lowest,
        if high > least || low >= -least {
            end
        } else {
            0.0
        },
    )
}

/// The places marked on the map, as a plan so that labels keep clear of them: best, worst, then the asker's spots.
fn marks(scenario: &Scenario, outcome: &PlaceOutcome) -> Plan {
    let Some(template) = scenario.plans.iter().flat_map(Plan::own_traps).next() else {
        return Plan {
            name: String::new(),
            traps: Vec::new(),
            ..Plan::default()
        };
    };
    let mut traps = Vec::new();
    let mut add = |site: &SiteOutcome, name: String| {
        traps.push(Trap {
            at: Point::new(site.x_m, site.y_m),
            name,
            ..template.clone()
        });
    };
    let change = |site: &SiteOutcome| match outcome.verdict {
        Verdict::RankedForCatch => {
            let n = format!("{:.0}", outcome.base_mean + site.change_mean);
            say!("figure.placement-map.day", n)
        }
        _ => signed(site.change_mean),
    };
    let best = outcome.best.first().map(|r| &outcome.sites[r.site]);
    let worst = &outcome.sites[outcome.worst];
    if let Some(best) = best.filter(|_| !outcome.nothing_matters()) {
        let word = best_word(outcome).to_lowercase();
        add(best, format!("{word} {}", change(best)));
        let points = change(worst);
        add(worst, say!("figure.placement-map.worst", points));
    }
    for r in &outcome.spots {
        let site = &outcome.sites[r.site];
        add(
            site,
            format!("{} {}", site.name.as_deref().unwrap_or(""), change(site)),
        );
    }
    Plan {
        name: String::new(),
        traps,
        ..Plan::default()
    }
}

/// `clear`: whether no plant lies below the mark.
fn mark(canvas: &Canvas, at: (f64, f64), outcome: &PlaceOutcome, index: usize, clear: bool) {
    let (x, y) = at;
    match index {
        0 => map::trap_mark(canvas, at, 1.2 * TRAP, false, clear),
        // A cross says never: only where the worst raises it.
        1 if outcome.sites[outcome.worst].zone != Zone::Raises => {
            canvas.disc(at, 16.0, Some(PAPER), 8, INK);
        }
        1 => {
            let r = 24.0;
            for (width, colour) in [(20, PAPER), (10, INK)] {
                canvas.line(&[(x - r, y - r), (x + r, y + r)], width, colour);
                canvas.line(&[(x - r, y + r), (x + r, y - r)], width, colour);
            }
        }
        _ => {
            canvas.disc(at, 30.0, Some(INK), 4, PAPER);
            let rank = outcome.spots.get(index - SPOTS).map_or(0, |r| r.rank);
            let pen = Pen::new(SMALL)
                .bold()
                .anchored(Anchor::Middle)
                .coloured(PAPER);
            canvas.text(at, &rank.to_string(), pen);
        }
    }
}

fn step(value: f64, end: f64) -> i32 {
    (value / end * STEPS).round().clamp(-STEPS, STEPS) as i32
}

/// Cells of a row. The last ones of a map of the yard alone end with the yard.
fn cell_rect(zones: &ZoneMap, columns: (usize, usize), row: usize, yard: &Rect) -> Rect {
    let cell = zones.cell_m;
    let end = |from: f64, (cells, of): (usize, usize), edge: f64| {
        let to = from + cells as f64 * cell;
        let over = cells == of && to > edge && to < edge + cell;
        if over { edge } else { to }
    };
    Rect::new(
        zones.x0_m + columns.0 as f64 * cell,
        zones.y0_m + row as f64 * cell,
        end(zones.x0_m, (columns.1, zones.columns), yard.x1),
        end(zones.y0_m, (row + 1, zones.rows), yard.y1),
    )
}

/// Cells of equal colour side by side are drawn as one.
fn cells(canvas: &Canvas, view: &View, (zones, yard): (&ZoneMap, &Rect), end: f64) {
    for row in 0..zones.rows {
        let of = |column: usize| {
            let i = row * zones.columns + column;
            (zones.zone[i] != Zone::Closed).then(|| step(zones.change[i], end))
        };
        let mut start = 0;
        while start < zones.columns {
            let level = of(start);
            let stop = (start..zones.columns)
                .find(|&c| of(c) != level)
                .unwrap_or(zones.columns);
            if let Some(level) = level {
                let colour = difference(f64::from(level) / STEPS).mix(1.0);
                view.fill(canvas, &cell_rect(zones, (start, stop), row, yard), colour);
            }
            start = stop;
        }
    }
}

/// Marks that tell the zones apart without colour: crosses where it raises, strokes where it could go either way, dots
/// where it makes no difference, rings where it lowers.
fn hatch(canvas: &Canvas, view: &View, zones: &ZoneMap) {
    let gap_m = 62.0 / view.scale;
    let width = zones.columns as f64 * zones.cell_m;
    let height = zones.rows as f64 * zones.cell_m;
    let (columns, rows) = ((width / gap_m) as usize, (height / gap_m) as usize);
    for row in 0..rows {
        for column in 0..columns {
            let x = (column as f64 + 0.5) * width / columns as f64;
            let y = (row as f64 + 0.5) * height / rows as f64;
            let i = ((y / zones.cell_m) as usize).min(zones.rows - 1) * zones.columns
                + ((x / zones.cell_m) as usize).min(zones.columns - 1);
            let at = view.at(Point::new(zones.x0_m + x, zones.y0_m + y));
            zone_mark(canvas, at, zones.zone[i], 9.0);
        }
    }
}

fn zone_mark(canvas: &Canvas, (x, y): (f64, f64), zone: Zone, r: f64) {
    match zone {
        Zone::Closed => {}
        Zone::EitherWay => canvas.line(&[(x - r, y + r), (x + r, y - r)], 2, HATCH),
        Zone::NoDifference => canvas.disc((x, y), 0.35 * r, Some(HATCH), 0, HATCH),
        Zone::Raises => {
            canvas.line(&[(x - r, y + r), (x + r, y - r)], 4, INK);
            canvas.line(&[(x - r, y - r), (x + r, y + r)], 4, INK);
        }
        Zone::Lowers => canvas.disc((x, y), r, None, 4, INK),
    }
}

/// Boxes on the sheet that structures, sources, plants and marks take up.
fn taken(view: &View, near: &Scenario, plan: &Plan) -> Vec<Frame> {
    let wider = |(x0, y0, x1, y1): Frame, x: f64, y: f64| (x0 - x, y0 - y, x1 + x, y1 + y);
    let structures = near.structures.iter();
    let structures = structures.map(|s| wider(view.around(s.shape), 60.0, 28.0));
    let marks = plan.traps.iter().map(|t| view.at(t.at));
    let marks = marks.map(|at| wider(square(at, TRAP), 60.0, 30.0));
    let sources = map::origins(view, near).into_iter();
    let sources = sources.map(|o| square(o.at, 70.0));
    let plants = view.plants(near).into_iter();
    let plants = plants.map(|p| wider(p, 60.0, 24.0));
    structures
        .chain(marks)
        .chain(sources)
        .chain(plants)
        .collect()
}

/// Round values for contours: about six between the ends.
fn contour_levels(end: f64) -> Vec<f64> {
    let power = libm::pow(10.0, libm::floor(libm::log10(end)));
    let step = [0.1, 0.2, 0.25, 0.5, 1.0]
        .into_iter()
        .map(|s| s * power)
        .find(|s| end / s <= 8.0)
        .unwrap_or(power);
    let n = (end / step).floor() as i32;
    (-n..=n).map(|k| f64::from(k) * step).collect()
}

/// Contour lines by marching squares between the middles of cells, with their numbers; returns where these stand.
fn contours(
    canvas: &Canvas,
    view: &View,
    zones: &ZoneMap,
    taken: &[Frame],
    end: f64,
) -> Vec<Frame> {
    let (width, height) = (
        zones.columns as f64 * zones.cell_m,
        zones.rows as f64 * zones.cell_m,
    );
    let rect = Rect::new(
        zones.x0_m,
        zones.y0_m,
        zones.x0_m + width,
        zones.y0_m + height,
    );
    let room = view.on_sheet(&rect);
    let (mut labelled, mut boxes): (Vec<(f64, f64)>, Vec<Frame>) = (Vec::new(), Vec::new());
    for level in contour_levels(end) {
        let lines = contour(zones, level);
        let width = if level == 0.0 { 7 } else { 3 };
        for (a, b) in &lines {
            canvas.line(&[view.at(*a), view.at(*b)], width, INK);
        }
        let mut own: Vec<(f64, f64)> = Vec::new();
        for (a, _) in &lines {
            let at = view.at(*a);
            let far = |others: &[(f64, f64)], gap: f64| {
                others.iter().all(|o| {
                    let (dx, dy) = (o.0 - at.0, o.1 - at.1);
                    dx * dx + dy * dy > gap * gap
                })
            };
            let inside = at.0 > room.0 + 90.0
                && at.0 < room.2 - 90.0
                && at.1 > room.1 + 50.0
                && at.1 < room.3 - 50.0;
            let free = |b: &Frame| at.0 < b.0 || at.0 > b.2 || at.1 < b.1 || at.1 > b.3;
            if inside
                && taken.iter().all(free)
                && far(&own, 700.0)
                && far(&labelled, 130.0)
                && own.len() < 3
            {
                own.push(at);
            }
        }
        for at in own {
            let text = contour_text(level);
            let half = 0.5 * text_width(&text, SMALL, true) + 5.0;
            let about = (at.0 - half, at.1 - 19.0, at.0 + half, at.1 + 19.0);
            canvas.fill_rect(about.0, about.1, about.2, about.3, veil());
            boxes.push(about);
            canvas.text(at, &text, Pen::new(SMALL).bold().anchored(Anchor::Middle));
            labelled.push(at);
        }
    }
    boxes
}

fn contour_text(level: f64) -> String {
    if level > 0.0 {
        format!("+{}", tick_text(level))
    } else {
        tick_text(level)
    }
}

fn contour(zones: &ZoneMap, level: f64) -> Vec<(Point, Point)> {
    let mut lines = Vec::new();
    let middle = |column: usize, row: usize| {
        Point::new(
            zones.x0_m + (column as f64 + 0.5) * zones.cell_m,
            zones.y0_m + (row as f64 + 0.5) * zones.cell_m,
        )
    };
    for row in 0..zones.rows.saturating_sub(1) {
        for column in 0..zones.columns.saturating_sub(1) {
            let corner = [(0, 0), (1, 0), (1, 1), (0, 1)].map(|(dx, dy)| {
                let (c, r) = (column + dx, row + dy);
                let i = r * zones.columns + c;
                (
                    middle(c, r),
                    zones.change[i] - level,
                    zones.zone[i] == Zone::Closed,
                )
            });
            if corner.iter().any(|c| c.2) {
                continue;
            }
            let mut cuts = Vec::new();
            for k in 0..4 {
                let ((p, a, _), (q, b, _)) = (corner[k], corner[(k + 1) % 4]);
                if (a < 0.0) != (b < 0.0) {
                    let t = a / (a - b);
                    cuts.push(Point::new(p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)));
                }
            }
            for pair in cuts.chunks_exact(2) {
                lines.push((pair[0], pair[1]));
            }
        }
    }
    lines
}

/// Round no-hang zones; square ones are drawn with the structures.
fn closed_zones(canvas: &Canvas, view: &View, scenario: &Scenario) {
    for zone in &scenario.no_hang {
        if let Shape::Disc { at, radius_m } = zone.shape {
            let point = |k: f64| {
                let a = k * std::f64::consts::PI / 24.0;
                let (x, y) = (libm::cos(a), libm::sin(a));
                view.at(Point::new(at.x + radius_m * x, at.y + radius_m * y))
            };
            for k in 0..24 {
                let k = 2.0 * f64::from(k);
                canvas.line(&[point(k), point(k + 1.2)], 4, QUIET);
            }
        }
    }
}

/// Colour bar and zone marks.
fn key(canvas: &Canvas, y: f64, outcome: &PlaceOutcome, (low, high): (f64, f64)) -> f64 {
    let end = high.max(-low);
    let side = |there: bool, key: &str| {
        voice()
            .get(if there {
                key
            } else {
                "figure.placement-map.same"
            })
            .to_owned()
    };
    let less = side(low < 0.0, "figure.placement-map.less");
    let more = side(high > 0.0, "figure.placement-map.more");
    let fill = |share: f64| {
        let value = (low + share * (high - low)) / end;
        difference((value * STEPS).round() / STEPS)
    };
    let shares: &[f64] = if low < 0.0 && high > 0.0 {
        &[0.0, 0.25, 0.5, 0.75, 1.0]
    } else {
        &[0.0, 0.5, 1.0]
    };
    let number = |share: &f64| (*share, contour_text(low + share * (high - low)));
    let title = say!("figure.placement-map.scale", unit = outcome.unit);
    let (places, ends) = ((MARGIN, MARGIN + WIDE - 60.0), [less.as_str(), &more]);
    let numbers = shares.iter().map(number);
    let mut y = colour_bar(canvas, y, &title, places, ends, 80, fill, numbers) + 30.0;
    for (zone, n) in Zone::OPEN.into_iter().zip(zones_of_100(outcome)) {
        for k in 0..2 {
            let at = (MARGIN + 16.0 + 34.0 * f64::from(k), y);
            zone_mark(canvas, at, zone, 11.0);
        }
        let text = match zone {
            Zone::Lowers => say!("figure.placement-map.zone.lowers", n),
            Zone::NoDifference => say!("figure.placement-map.zone.same", n),
            Zone::Raises => say!("figure.placement-map.zone.raises", n),
            _ => say!("figure.placement-map.zone.either-way", n),
        };
        let pen = Pen::new(SMALL);
        y = canvas.paragraph(MARGIN + 90.0, y - 24.0, WIDE - 30.0, &text, pen) + 34.0;
    }
    y
}

/// The asker's spots and the best places, ranked.
fn lists(canvas: &Canvas, y: f64, scenario: &Scenario, outcome: &PlaceOutcome) -> f64 {
    let mut y = y;
    let pen = Pen::new(SMALL);
    let line = |canvas: &Canvas, y: f64, index: usize, text: &str| {
        mark(canvas, (MARGIN + 36.0, y + 30.0), outcome, index, true);
        canvas.paragraph(MARGIN + 90.0, y + 6.0, INNER - 90.0, text, pen) + 16.0
    };
    let told = |site: &SiteOutcome| {
        let (place, told) = (place_name(scenario, site), told(outcome, site));
        say!("figure.placement-map.site", spot = place, told)
    };
    let named = |word: &str, site: &SiteOutcome| format!("{word}: {}", told(site));
    let best = outcome.best.first().map(|r| &outcome.sites[r.site]);
    let matters = !outcome.nothing_matters();
    if let Some(best) = best.filter(|_| matters) {
        y = line(canvas, y, 0, &named(best_word(outcome), best));
    }
    for (i, r) in outcome.spots.iter().enumerate() {
        let site = told(&outcome.sites[r.site]);
        let text = if r.tied {
            say!("figure.placement-map.tie", site)
        } else {
            site
        };
        y = line(canvas, y, i + SPOTS, &text);
    }
    if matters {
        let worst = &outcome.sites[outcome.worst];
        y = line(canvas, y, 1, &named(worst_word(outcome), worst));
    }
    if let Some(theirs) = outcome.neighbour_change.filter(|_| matters) {
        let (state, points) = (damage_words(scenario), signed(theirs));
        let text = say!("figure.placement-map.next-door", state, points);
        y = canvas.paragraph(MARGIN, y + 6.0, INNER, &text, pen) + 8.0;
    }
    let text = say!("figure.placement-map.circles", targets = targets(scenario));
    canvas.paragraph(MARGIN, y + 6.0, INNER, &text, pen) + 40.0
}

/// What the colours say, as far as they are there.
fn sides(zones: &ZoneMap) -> &'static str {
    let open = zones.change.iter().zip(&zones.zone);
    let open = open.filter(|(_, z)| **z != Zone::Closed).map(|(c, _)| *c);
    let (low, high) = open.fold((0.0, 0.0), |(a, b): (f64, f64), c| (a.min(c), b.max(c)));
    let least = 0.5 * high.max(-low) / STEPS;
    if low >= -least {
        voice().get("figure.placement-map.colors.more")
    } else if high <= least {
        voice().get("figure.placement-map.colors.less")
    } else {
        voice().get("figure.placement-map.colors.both")
    }
}

/// The class that the map shows at a site: what the sites round it say too goes into it. Its own beyond the map.
fn drawn_at(zones: &ZoneMap, site: &SiteOutcome) -> Zone {
    let cell = |at: f64, from: f64, of: usize| {
        let i = (at - from) / zones.cell_m;
        (i >= 0.0).then_some(i as usize).filter(|i| *i < of)
    };
    let column = cell(site.x_m, zones.x0_m, zones.columns);
    let row = cell(site.y_m, zones.y0_m, zones.rows);
    let drawn = column
        .zip(row)
        .map(|(c, r)| zones.zone[r * zones.columns + c]);
    drawn.filter(|z| *z != Zone::Closed).unwrap_or(site.zone)
}

fn words(scenario: &Scenario, outcome: &PlaceOutcome, zones: &ZoneMap) -> Words {
    let listed = outcome.best.iter().chain(&outcome.spots).map(|r| r.site);
    let (mut seen, mut rows, mut numbers) = (Vec::new(), Vec::new(), Vec::new());
    for i in listed.chain([outcome.worst]) {
        if seen.contains(&i) {
            continue;
        }
        seen.push(i);
        let s = &outcome.sites[i];
        let name = s.name.clone();
        let name = name.unwrap_or_else(|| say!("figure.placement-map.no-name"));
        let [a, b] = [s.x_m, s.y_m].map(|m| format!("{:.0}", feet(m)));
        // Adding 0 turns a negative zero into a plain one.
        let points = format!("{:.2}", (100.0 * s.change_mean).round() / 100.0 + 0.0);
        let key = scenario.sided("figure.placement-map.number");
        numbers.push(say!(&key, name, a, b, points));
        let counts = s.counts.all().map(|n| n.to_string());
        let mut row = vec![name, a, b, points];
        row.extend(counts);
        row.push(zone_word(drawn_at(zones, s)).into());
        rows.push(row);
    }
    let shares = zones_of_100(outcome);
    let pattern = say!(
        "figure.placement-map.pattern",
        less = shares[0],
        n = shares[1],
        same = shares[2],
        more = shares[3],
    );
    let mut title = headline(scenario, outcome);
    if !outcome.settled {
        title = say!("place.headline.preview", headline = title);
    }
    let of = outcome.sites.iter().map(|s| s.counts.of).max().unwrap_or(0);
    let gaps = [
        ("title", title.as_str()),
        ("unit", &outcome.unit),
        ("summers", &outcome.summers.to_string()),
        ("of", &of.to_string()),
        ("colors", sides(zones)),
        ("width", &feet_and_metres(zones.cell_m)),
    ];
    Words::of("placement-map", &gaps, [numbers.join(" "), pattern], rows).sided(scenario, &gaps)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn map(cell_m: f64, x0_m: f64, (columns, rows): (usize, usize)) -> ZoneMap {
        ZoneMap {
            x0_m,
            y0_m: x0_m,
            cell_m,
            columns,
            rows,
            change: vec![0.0; columns * rows],
            se: vec![0.0; columns * rows],
            zone: vec![Zone::NoDifference; columns * rows],
            model: String::new(),
            left_out_rms: 0.0,
            left_out_within: 0,
            kernel: "",
            sill: 1.0,
            length_m: 1.0,
        }
    }

    #[test]
    fn no_color_lies_beyond_a_yard_that_the_cells_do_not_fit() {
        let yard = Rect::new(0.0, 0.0, 10.0, 7.0);
        let whole = map(3.0, 0.0, (4, 3));
        let last = cell_rect(&whole, (2, 4), 2, &yard);
        assert_eq!((last.x0, last.x1, last.y0, last.y1), (6.0, 10.0, 6.0, 7.0));
        let inner = cell_rect(&whole, (0, 3), 0, &yard);
        assert_eq!((inner.x1, inner.y1), (9.0, 3.0));
        // A map of the land round the yard goes on beyond its edge.
        let wide = map(3.0, -6.0, (8, 7));
        let across = cell_rect(&wide, (0, 6), 4, &yard);
        assert_eq!((across.x1, across.y1), (12.0, 9.0));
    }
}
