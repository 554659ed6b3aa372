//! The map between the sites: the change with its error, and the class of each place.

use crate::geometry::Point;
use crate::placement::kriging::{Model, Near, Surface, rms};
use crate::placement::outcome::{SiteOutcome, Zone, ZoneMap};
use crate::placement::site::{Limits, Site, may_hang};
use crate::scenario::Scenario;
use crate::stats::paired::{Class, MOST};

/// Cells of the map at most, in a side.
const MOST_CELLS: f64 = 90.0;
/// Fewer sites give no map.
const FEWEST_SITES: usize = 6;
/// A mean this many standard errors from nothing is clear.
const CLEAR_SE: f64 = 2.0;
/// Sites round a place whose counts bear out what is said of it (assumed).
const NEAREST: usize = 6;

/// Models of the surface that are tried, the plainest first. Lengths are assumed: they span what a lure reaches in a yard.
pub fn models(near: &Near) -> Vec<Model> {
    let with = |drift_m: &[f64], stretch_m: f64| Model {
        near: near.clone(),
        drift_m: drift_m.to_vec(),
        stretch_m,
    };
    let mut all = vec![with(&[], 0.0)];
    if !near.things.is_empty() {
        all.extend([
            with(&[], 12.0),
            with(&[], 6.0),
            with(&[], 24.0),
            with(&[1.5, 6.0], 0.0),
            with(&[1.5, 6.0], 12.0),
        ]);
    }
    all
}

/// Share of each class on the map: lowers, either way, no difference, raises.
pub fn shares(map: &ZoneMap) -> [f64; 4] {
    let open = map
        .zone
        .iter()
        .filter(|z| **z != Zone::Closed)
        .count()
        .max(1) as f64;
    Zone::OPEN.map(|zone| map.zone.iter().filter(|z| **z == zone).count() as f64 / open)
}

/// Error variance of a share.
fn binomial(p: f64, n: usize) -> f64 {
    // The Agresti-Coull centre keeps the error of 0 and 1 above nothing.
    let q = (p * n as f64 + 2.0) / (n as f64 + 4.0);
    q * (1.0 - q) / (n as f64 + 4.0)
}

/// The change and the shares of more and less, as surfaces of one model.
struct Surfaces {
    change: Surface,
    more: Surface,
    less: Surface,
}

impl Surfaces {
    fn fitted(results: &[SiteOutcome], models: &[Model]) -> Option<Surfaces> {
        let places: Vec<Point> = results.iter().map(|r| Point::new(r.x_m, r.y_m)).collect();
        let of = |f: &dyn Fn(&SiteOutcome) -> f64| results.iter().map(f).collect::<Vec<f64>>();
        let variances = of(&|r| r.se * r.se);
        let (change, _) = Surface::best(&places, &of(&|r| r.change_mean), &variances, models)?;
        let share = |f: &dyn Fn(&SiteOutcome) -> f64| {
            let variances = of(&|r| binomial(f(r), r.summers));
            Surface::fitted(&places, &of(f), &variances, change.model())
        };
        Some(Surfaces {
            more: share(&|r| r.more_share)?,
            less: share(&|r| r.less_share)?,
            change,
        })
    }

    /// Shares of summers with more and with less at a place.
    fn shares(&self, at: Point) -> [f64; 2] {
        [self.more.value(at), self.less.value(at)]
    }
}

/// How many times a gap between sites counts at a place: more near the ends of classes and near the best and the worst.
pub(super) fn needs(
    near: &Near,
    sites: &[Site],
    results: &[SiteOutcome],
) -> impl Fn(Point) -> f64 + use<> {
    /// Assumed: a share this near to the end of a class, and a tenth of the range at both ends of it.
    const NEAR_BORDER: f64 = 0.12;
    const NEAR_END: f64 = 0.1;
    let models = models(near);
    let model = &models[models.len().min(2) - 1..models.len().min(2)];
    let surfaces = (sites.len() >= FEWEST_SITES)
        .then(|| Surfaces::fitted(results, model))
        .flatten();
    let (low, high) = results.iter().fold((f64::MAX, f64::MIN), |(a, b), r| {
        (a.min(r.change_mean), b.max(r.change_mean))
    });
    move |at| {
        let Some(surfaces) = &surfaces else {
            return 1.0;
        };
        let [more, less] = surfaces.shares(at);
        let border = [more, less, 1.0 - more - less]
            .iter()
            .any(|s| (s - MOST).abs() < NEAR_BORDER);
        let change = surfaces.change.value(at);
        let end = NEAR_END * (high - low);
        let times = 1.0 + f64::from(u8::from(border));
        times + f64::from(u8::from(change < low + end || change > high - end))
    }
}

/// Shares of more and less at a place, without those that none of the sites nearest to it bears out.
fn borne_out([more, less]: [f64; 2], results: &[SiteOutcome], at: Point) -> [f64; 2] {
    let away = |r: &SiteOutcome| at.distance(Point::new(r.x_m, r.y_m));
    let mut near: Vec<(f64, &SiteOutcome)> = results.iter().map(|r| (away(r), r)).collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    near.truncate(NEAREST);
    let seen = |n: &dyn Fn(&SiteOutcome) -> usize| near.iter().any(|(_, r)| n(r) > 0);
    [
        if seen(&|r| r.counts.more) { more } else { 0.0 },
        if seen(&|r| r.counts.less) { less } else { 0.0 },
    ]
}

/// The class of a place by its shares of more and less. A side is named when the mean change is clear too, or when half the
/// summers or more (assumed) are on it and none is on the other; else the milder class beside it, "either way" only where
/// there are both sides.
pub fn zone_at([more, less]: [f64; 2], change: f64, se: f64) -> Zone {
    let (side, share, clear) = if more > less {
        (Zone::Raises, more, change > CLEAR_SE * se)
    } else {
        (Zone::Lowers, less, change < -CLEAR_SE * se)
    };
    match Class::of_shares(more, less) {
        Class::NoChange => Zone::NoDifference,
        Class::More | Class::Less if clear => side,
        _ if more.min(less) > 0.0 => Zone::EitherWay,
        _ if share >= 0.5 => side,
        _ => Zone::NoDifference,
    }
}

/// The map by kriging; [`zone_at`] names the classes.
pub fn zone_map(
    scenario: &Scenario,
    limits: &Limits,
    near: &Near,
    results: &[SiteOutcome],
) -> Option<ZoneMap> {
    if results.len() < FEWEST_SITES {
        return None;
    }
    let surfaces = Surfaces::fitted(results, &models(near))?;
    let left_out = surfaces.change.left_out();
    let area = scenario.yard.grown(limits.outside_m);
    let cell_m = (area.width().max(area.height()) / MOST_CELLS).max(0.1);
    let columns = (area.width() / cell_m).ceil() as usize;
    let rows = (area.height() / cell_m).ceil() as usize;
    let covariance = surfaces.change.covariance();
    let mut map = ZoneMap {
        x0_m: area.x0,
        y0_m: area.y0,
        cell_m,
        columns,
        rows,
        change: Vec::with_capacity(columns * rows),
        se: Vec::with_capacity(columns * rows),
        zone: Vec::with_capacity(columns * rows),
        model: surfaces.change.model().name(),
        left_out_rms: rms(&left_out),
        left_out_within: left_out
            .iter()
            .filter(|l| l.error.abs() <= CLEAR_SE * l.se)
            .count(),
        kernel: covariance.kernel.name(),
        sill: covariance.sill,
        length_m: covariance.length_m,
    };
    for row in 0..rows {
        for column in 0..columns {
            let at = Point::new(
                area.x0 + (column as f64 + 0.5) * cell_m,
                area.y0 + (row as f64 + 0.5) * cell_m,
            );
            let here = surfaces.change.predict(at);
            map.change.push(here.value);
            map.se.push(here.se);
            map.zone.push(if may_hang(scenario, at, limits) {
                let shares = borne_out(surfaces.shares(at), results, at);
                zone_at(shares, here.value, here.se)
            } else {
                Zone::Closed
            });
        }
    }
    Some(map)
}
