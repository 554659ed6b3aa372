//! Where a trap may hang: a grid over the yard and the asker's own spots.

use crate::geometry::{Point, Rect};
use crate::scenario::{Owner, Scenario, Shape, StructureKind};
use crate::units::{METRES_PER_FOOT, feet_and_metres};

/// Distance of grid sites when nothing else is asked.
pub const USUAL_GRID_M: f64 = 2.0 * METRES_PER_FOOT;
/// Grid sites at most, when nothing else is asked.
pub const USUAL_SITES: usize = 600;

/// What narrows the sites.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Limits {
    /// Number of grid sites, about; the usual grid when absent.
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
    /// The asker's name for it; `None` on the grid.
    pub name: Option<String>,
}

/// The grid sites and then the asker's spots.
///
/// The grid is centred in the yard, so that a mirrored yard has the mirrored grid.
///
/// # Errors
/// A sentence when no site is left, or more than 5,000 are asked for.
pub fn candidates(scenario: &Scenario, limits: &Limits) -> Result<Vec<Site>, String> {
    let area = scenario.yard.grown(limits.outside_m);
    let most = limits.sites.unwrap_or(USUAL_SITES);
    if most == 0 || most > 5000 {
        return Err(format!("--sites: {most} sites; write 1 to 5000"));
    }
    let even = (area.area() / most as f64).sqrt();
    let grid_m = if limits.sites.is_some() {
        even
    } else {
        even.max(USUAL_GRID_M)
    };
    let along = |low: f64, high: f64| {
        let n = (((high - low) / grid_m + 1e-9).floor() as usize).max(1);
        let first = 0.5 * (low + high) - 0.5 * (n - 1) as f64 * grid_m;
        (0..n).map(move |i| first + i as f64 * grid_m)
    };
    let mut sites = Vec::new();
    for y in along(area.y0, area.y1) {
        for x in along(area.x0, area.x1) {
            let at = Point::new(x, y);
            if may_hang(scenario, at, limits) {
                sites.push(Site { at, name: None });
            }
        }
    }
    for spot in &scenario.spots {
        sites.push(Site {
            at: spot.at,
            name: Some(spot.name.clone()),
        });
    }
    if sites.is_empty() {
        return Err(format!(
            "no place is left to hang a trap: structures, no-hang zones{} cover the yard; free some room or name a spot \
             in \"spots\"",
            if limits.from_paths_m > 0.0 {
                format!(
                    " and {} from paths, patios and houses",
                    feet_and_metres(limits.from_paths_m)
                )
            } else {
                String::new()
            }
        ));
    }
    Ok(sites)
}

fn distance(shape: &Shape, p: Point) -> f64 {
    match *shape {
        Shape::Rect(rect) => rect.distance_to(p),
        Shape::Disc { at, radius_m } => (p.distance(at) - radius_m).max(0.0),
    }
}

/// Whether a trap may hang at a place.
pub fn may_hang(scenario: &Scenario, at: Point, limits: &Limits) -> bool {
    let standing = scenario.structures.iter().any(|s| {
        let kept_clear = matches!(
            s.kind,
            StructureKind::Path | StructureKind::Patio | StructureKind::House
        );
        s.shape.contains(at) || (kept_clear && distance(&s.shape, at) < limits.from_paths_m)
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

/// The smallest rectangle that holds places.
pub fn bounds(places: &[Point]) -> Option<Rect> {
    let first = places.first()?;
    Some(
        places
            .iter()
            .fold(Rect::new(first.x, first.y, first.x, first.y), |r, p| {
                r.union(&Rect::new(p.x, p.y, p.x, p.y))
            }),
    )
}
