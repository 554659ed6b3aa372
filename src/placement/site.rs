//! Where a trap may hang: the asker's own spots, and sites spread over the yard.

use crate::geometry::Point;
use crate::placement::kriging::Near;
use crate::say::say;
use crate::scenario::{Owner, Scenario, Shape, StructureKind};
use crate::units::feet_and_metres;
use std::f64::consts::FRAC_PI_4;

/// Sites besides the asker's spots, when nothing else is asked.
pub const USUAL_SITES: usize = 40;
/// Fewer sites leave the corners to chance, and from so many on some are chosen later.
const FEWEST_WITH_CORNERS: usize = 8;
const FEWEST_WITH_LATER: usize = 24;
/// Distance of the outermost sites from the edge, metres.
const EDGE_M: f64 = 0.3;
/// Distance between sites at the plants and its growth with the distance from them, in the same unit: chosen for the
/// least error of the map on three yards.
const NEAR_M: f64 = 1.0;
const FARTHER: f64 = 0.3;
/// Open places to choose from, about.
const OPEN_PLACES: usize = 1500;
/// Rings of open places round the plants, metres, and the plants at most that have them.
const RINGS_M: [f64; 3] = [0.75, 1.5, 3.0];
const RINGED_PLANTS: usize = 24;

/// What narrows the sites.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Limits {
    /// Number of sites besides the asker's spots; the usual number when absent.
    pub sites: Option<usize>,
    /// Least distance from paths, patios and houses (their doors), metres.
    pub from_paths_m: f64,
    /// Also this far outside the yard, metres.
    pub outside_m: f64,
}

/// A site.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Where.
    pub at: Point,
    /// The asker's name for it; `None` for a site that the program chose.
    pub name: Option<String>,
}

/// Open places of an even grid over the yard, from edge to edge; a hand's breadth of the edge is left for the stand.
///
/// Shape: `step_m` at most, both ways.
pub fn grid(scenario: &Scenario, limits: &Limits, step_m: f64) -> Vec<Point> {
    let area = scenario.yard.grown(limits.outside_m);
    let along = |low: f64, high: f64| {
        let inset = EDGE_M.min(0.1 * (high - low));
        let (low, high) = (low + inset, high - inset);
        let steps = ((high - low) / step_m).ceil().max(1.0);
        (0..=steps as usize).map(move |i| low + (high - low) * i as f64 / steps)
    };
    let mut open = Vec::new();
    for y in along(area.y0, area.y1) {
        for x in along(area.x0, area.x1) {
            open.push(Point::new(x, y));
        }
    }
    open.retain(|at| may_hang(scenario, *at, limits));
    open
}

/// Sites chosen one after the other, each where the next one is farthest off, in lengths that grow with the distance
/// from the things that matter: close together near the plants, wide apart on the lawn.
///
/// Nothing is drawn: the same yard gives the same sites.
#[derive(Clone, Debug)]
pub struct Spread {
    open: Vec<Point>,
    /// Length that counts as one at each place, metres.
    scale: Vec<f64>,
    /// Lengths to the nearest site chosen.
    gap: Vec<f64>,
}

impl Spread {
    /// Open places to choose from.
    pub fn new(open: Vec<Point>, near: &Near) -> Spread {
        let distance = |at: &Point| near.distance(*at).min(1e6);
        let scale = open
            .iter()
            .map(|at| NEAR_M + FARTHER * distance(at))
            .collect();
        Spread {
            gap: vec![f64::INFINITY; open.len()],
            open,
            scale,
        }
    }

    /// The yard: a grid, the plants' own places and rings round them.
    fn of_yard(scenario: &Scenario, limits: &Limits, near: &Near, sites: usize) -> Spread {
        let area = scenario.yard.grown(limits.outside_m);
        let wanted = OPEN_PLACES.max(4 * sites);
        let mut open = grid(scenario, limits, (area.area() / wanted as f64).sqrt());
        let every = near.things.len().div_ceil(RINGED_PLANTS).max(1);
        for (shape, _) in near.things.iter().step_by(every) {
            let (middle, radius_m) = match *shape {
                Shape::Rect(_) => continue,
                Shape::Disc { at, radius_m } => (at, radius_m),
            };
            open.push(middle);
            for ring_m in RINGS_M {
                for k in 0..8 {
                    let (sin, cos) = libm::sincos(f64::from(k) * FRAC_PI_4);
                    let r = radius_m + ring_m;
                    open.push(Point::new(middle.x + r * sin, middle.y + r * cos));
                }
            }
        }
        open.retain(|at| area.contains(*at) && may_hang(scenario, *at, limits));
        Spread::new(open, near)
    }

    /// Marks a place as a site.
    pub fn chosen(&mut self, at: Point) {
        for ((place, scale), gap) in self.open.iter().zip(&self.scale).zip(&mut self.gap) {
            *gap = gap.min(place.distance(at) / scale);
        }
    }

    /// Chooses the place with the widest gap, each gap taken so many times; `None` when none is left.
    pub fn next(&mut self, times: impl Fn(Point) -> f64) -> Option<Point> {
        let mut best: Option<(f64, Point)> = None;
        for (at, gap) in self.open.iter().zip(&self.gap) {
            let wide = if *gap > 0.0 { gap * times(*at) } else { 0.0 };
            if wide > 0.0 && best.is_none_or(|(most, _)| wide > most) {
                best = Some((wide, *at));
            }
        }
        let (_, at) = best?;
        self.chosen(at);
        Some(at)
    }
}

/// The asker's spots, the corners, then sites spread over the yard; with what is needed to choose more.
///
/// # Errors
/// A sentence when no site is left, or more than 5,000 are asked for.
pub fn candidates(
    scenario: &Scenario,
    limits: &Limits,
    near: &Near,
) -> Result<(Vec<Site>, Spread), String> {
    let most = limits.sites.unwrap_or(USUAL_SITES);
    if most == 0 || most > 5000 {
        return Err(say!("place.fault.sites", sites_asked = most));
    }
    let mut spread = Spread::of_yard(scenario, limits, near, most);
    let mut sites: Vec<Site> = Vec::new();
    for spot in &scenario.spots {
        spread.chosen(spot.at);
        sites.push(Site {
            at: spot.at,
            name: Some(spot.name.clone()),
        });
    }
    let mut add = |at: Point| sites.push(Site { at, name: None });
    let first = most - later(most);
    let mut corners = 0;
    if most >= FEWEST_WITH_CORNERS {
        for at in corners_of(scenario, limits) {
            spread.chosen(at);
            add(at);
            corners += 1;
        }
    }
    for _ in corners..first {
        if let Some(at) = spread.next(|_| 1.0) {
            add(at);
        }
    }
    if sites.is_empty() {
        return Err(if limits.from_paths_m > 0.0 {
            let off_by = feet_and_metres(limits.from_paths_m);
            say!("place.fault.no-place.paths", off_by)
        } else {
            say!("place.fault.no-place")
        });
    }
    Ok((sites, spread))
}

/// How many of so many sites are chosen later, where the first summers show that they are needed.
pub fn later(sites: usize) -> usize {
    if sites < FEWEST_WITH_LATER {
        0
    } else {
        sites / 4
    }
}

/// The open corners of the area.
fn corners_of(scenario: &Scenario, limits: &Limits) -> Vec<Point> {
    // A grid of one step is the corners.
    grid(scenario, limits, f64::INFINITY)
}

/// Whether a trap may hang at a place.
pub fn may_hang(scenario: &Scenario, at: Point, limits: &Limits) -> bool {
    let standing = scenario.structures.iter().any(|s| {
        let kept_clear = matches!(
            s.kind,
            StructureKind::Path | StructureKind::Patio | StructureKind::House
        );
        s.shape.contains(at) || (kept_clear && s.shape.distance(at) < limits.from_paths_m)
    });
    !standing && !scenario.no_hang.iter().any(|z| z.shape.contains(at))
}

/// Middle of the asker's plants, weighed by worth.
pub fn middle_of_plants(scenario: &Scenario) -> Point {
    let (mut x, mut y, mut weight) = (0.0, 0.0, 0.0);
    for plant in own(scenario) {
        let worth = scenario.crops[plant.crop].worth.max(1e-9);
        x += worth * plant.at.x;
        y += worth * plant.at.y;
        weight += worth;
    }
    Point::new(x / weight, y / weight)
}

fn own(scenario: &Scenario) -> impl Iterator<Item = &crate::scenario::Plant> {
    scenario
        .plants
        .iter()
        .filter(|p| scenario.crops[p.crop].owner == Owner::Mine)
}

/// Distance from a place to the asker's nearest plant, metres, and that plant's index.
pub fn nearest_plant(scenario: &Scenario, at: Point) -> (f64, usize) {
    let mut best = (f64::INFINITY, 0);
    for (i, plant) in scenario.plants.iter().enumerate() {
        let d = plant.at.distance(at);
        if scenario.crops[plant.crop].owner == Owner::Mine && d < best.0 {
            best = (d, i);
        }
    }
    best
}

/// The outermost place in a direction from the middle of the asker's plants that is `distance_m` from the nearest of them.
///
/// Shape: `bearing_rad` clockwise from the top of the plan's y axis.
pub fn place_at(scenario: &Scenario, bearing_rad: f64, distance_m: f64) -> Point {
    let middle = middle_of_plants(scenario);
    let (ux, uy) = (libm::sin(bearing_rad), libm::cos(bearing_rad));
    let at = |t: f64| Point::new(middle.x + ux * t, middle.y + uy * t);
    let far = own(scenario)
        .map(|p| p.at.distance(middle))
        .fold(0.0, f64::max)
        + distance_m
        + 1.0;
    let near = |t: f64| nearest_plant(scenario, at(t)).0 < distance_m;
    let step = 0.1;
    let mut t = far;
    while t > 0.0 && !near(t) {
        t -= step;
    }
    let (mut low, mut high) = (t.max(0.0), t.max(0.0) + step);
    for _ in 0..40 {
        let mid = 0.5 * (low + high);
        if near(mid) {
            low = mid;
        } else {
            high = mid;
        }
    }
    at(high)
}
