//! Sweeps: distance, side, number and spacing of traps, each on the same summers as no trap.

use crate::count::prepare::{Prepared, prepare};
use crate::count::summer::SummerTally;
use crate::engine::ensemble::Watch;
use crate::engine::ground::Ground;
use crate::engine::lure::LureSite;
use crate::engine::shares::{Size, each_shared};
use crate::geometry::Point;
use crate::placement::delta;
use crate::placement::finding::{Finding, standing};
use crate::placement::objective::Objective;
use crate::placement::outcome::{PlaceOutcome, Sweep, SweepPoint};
use crate::placement::search::{PlaceRefusal, Question, Slot, with_land_for};
use crate::placement::site::{may_hang, middle_of_plants, place_at};
use crate::say::{counted, say};
use crate::scenario::{Scenario, side_of};
use crate::stats::paired::{self, MeanChange};
use crate::stats::spread::{mean, standard_error};
use crate::units::METRES_PER_FOOT;
use std::f64::consts::PI;

/// Names of the sweeps.
pub const NAMES: [&str; 4] = ["distance", "side", "number", "spacing"];
/// Distances from the nearest plant of the asker, feet.
pub const DISTANCES_FT: [f64; 6] = [10.0, 20.0, 30.0, 50.0, 75.0, 100.0];
/// The side sweep stands this far from the nearest plant, feet.
pub const SIDE_DISTANCE_FT: f64 = 20.0;
/// Spacings of three traps in a row, feet.
const SPACINGS_FT: [f64; 5] = [3.0, 6.0, 10.0, 20.0, 30.0];
/// Most traps tried.
const MOST_TRAPS: usize = 7;
/// Sites among which further traps choose.
const SITES_FOR_MORE: usize = 12;
/// Traps up to this number are moved again after each addition.
const EXCHANGE_UP_TO: usize = 3;
/// Summers of the distance and side sweeps at most, and of those with several traps.
const SUMMERS_ONE: u32 = 200;
const SUMMERS_MANY: u32 = 40;

/// Damage and catch of one arrangement, summer by summer.
#[derive(Clone, Debug, Default)]
struct Series {
    damage: Vec<f64>,
    caught: Vec<f64>,
}

struct Sweeper<'a> {
    scenario: &'a Scenario,
    prepared: &'a Prepared<'a>,
    slot: &'a Slot,
    watch: &'a dyn Watch,
}

/// All sweeps asked for, or as many as there is time for; `enough` is asked before each.
///
/// # Errors
/// When the user stops, or a stretched yard would hold too many insects.
pub fn all(
    scenario: &Scenario,
    prepared: &Prepared,
    slot: &Slot,
    question: &Question,
    outcome: &PlaceOutcome,
    (watch, enough): (&dyn Watch, &dyn Fn() -> bool),
) -> Result<Vec<Sweep>, PlaceRefusal> {
    let asked = |name: &str| question.sweeps.contains(&name) && !enough();
    let mut sweeps = Vec::new();
    if asked("distance") || asked("side") {
        let asked = |name: &str| question.sweeps.contains(&name);
        sweeps.extend(distance_and_side(scenario, slot, outcome, watch, &asked)?);
    }
    let sweeper = Sweeper {
        scenario,
        prepared,
        slot,
        watch,
    };
    if asked("number") {
        sweeps.push(sweeper.number(outcome)?);
    }
    if asked("spacing") {
        sweeps.push(sweeper.spacing(question, outcome)?);
    }
    Ok(sweeps)
}

/// Places of the distance sweep (all sides of the first distance, then of the next) and of the side sweep.
pub fn places(scenario: &Scenario) -> (Vec<Point>, Vec<Point>) {
    let side = |k: usize| k as f64 * PI / 4.0 - scenario.up_bearing_rad;
    let at = |ft: f64, k: usize| place_at(scenario, side(k), ft * METRES_PER_FOOT);
    let distance = DISTANCES_FT
        .iter()
        .flat_map(|&ft| (0..8).map(move |k| (ft, k)))
        .map(|(ft, k)| at(ft, k))
        .collect();
    (distance, (0..8).map(|k| at(SIDE_DISTANCE_FT, k)).collect())
}

fn distance_and_side(
    scenario: &Scenario,
    slot: &Slot,
    outcome: &PlaceOutcome,
    watch: &dyn Watch,
    asked: &dyn Fn(&str) -> bool,
) -> Result<Vec<Sweep>, PlaceRefusal> {
    let (rings, _) = places(scenario);
    let wide = with_land_for(scenario, slot, &rings);
    let prepared = prepare(&wide, watch)?;
    let sweeper = Sweeper {
        scenario,
        prepared: &prepared,
        slot,
        watch,
    };
    let summers = (outcome.summers as u32).min(SUMMERS_ONE);
    let (base, series) = sweeper.sites(&[], &rings, summers)?;
    let mut sweeps = Vec::new();
    if asked("distance") {
        let points = DISTANCES_FT
            .iter()
            .zip(rings.chunks(8).zip(series.chunks(8)))
            .map(|(ft, (places, sides))| {
                // The mean over sides of each summer keeps the pairing.
                let all = Series {
                    damage: over_sides(sides, |s| &s.damage),
                    caught: over_sides(sides, |s| &s.caught),
                };
                let label = say!("place.label.distance", ft);
                sweeper.point(label, ft * METRES_PER_FOOT, places, 1, &base, &all)
            })
            .collect();
        sweeps.push(Sweeper::sweep("distance", &base, points, |points| {
            let noun = scenario.pest.guild.damage_noun();
            Finding::of_distances(points, scenario.settings.tie_band, noun)
        }));
    }
    if asked("side") {
        let ring = DISTANCES_FT
            .iter()
            .position(|ft| *ft == SIDE_DISTANCE_FT)
            .unwrap_or(0);
        let sides = &series[8 * ring..8 * ring + 8];
        let points = (0..8)
            .map(|k| {
                let place = &rings[8 * ring + k..=8 * ring + k];
                let degrees = 45.0 * k as f64;
                let side = side_of(k as f64 * PI / 4.0).to_owned();
                sweeper.point(side, degrees, place, 1, &base, &sides[k])
            })
            .collect();
        sweeps.push(Sweeper::sweep("side", &base, points, |points| {
            side_finding(scenario.settings.tie_band, sides, points)
        }));
    }
    Ok(sweeps)
}

fn over_sides(sides: &[Series], part: impl Fn(&Series) -> &Vec<f64>) -> Vec<f64> {
    let n = sides.first().map_or(0, |s| part(s).len());
    (0..n)
        .map(|i| mean(&sides.iter().map(|s| part(s)[i]).collect::<Vec<_>>()))
        .collect()
}

/// The side hardly matters when the best and the worst side cannot be told apart by 3 standard errors of their paired
/// difference (eight sides give 28 pairs), differ by no more than counts as no change, or by less than a quarter of the
/// mean change. Sides that differ too little from the best or the worst to count are named with it.
fn side_finding(band: f64, sides: &[Series], points: &[SweepPoint]) -> Finding {
    let mut order: Vec<usize> = (0..points.len()).collect();
    let change = |k: usize| points[k].mean.change;
    order.sort_by(|&a, &b| change(a).total_cmp(&change(b)).then(a.cmp(&b)));
    let (Some(&best), Some(&worst)) = (order.first(), order.last()) else {
        return Finding::AnySide;
    };
    let differences = paired::differences(&sides[best].damage, &sides[worst].damage);
    let (gap, se) = (
        mean(&differences),
        standard_error(&differences).unwrap_or(f64::INFINITY),
    );
    let sizes: Vec<f64> = order.iter().map(|&k| change(k).abs()).collect();
    if gap <= (3.0 * se).max(band) || gap < 0.25 * mean(&sizes) {
        return Finding::AnySide;
    }
    let (mut good, mut bad) = (Vec::new(), Vec::new());
    for &k in &order {
        let (above, below) = (change(k) - change(best), change(worst) - change(k));
        // One that comes near to both belongs to neither.
        if k == best || (above < band && below >= band) {
            good.push(points[k].label.clone());
        } else if k == worst || (below < band && above >= band) {
            bad.push(points[k].label.clone());
        }
    }
    Finding::Sides {
        best: good,
        standing: standing(&points[best], band),
        worst: bad,
    }
}

impl Sweeper<'_> {
    fn sweep(
        name: &'static str,
        base: &Series,
        points: Vec<SweepPoint>,
        finding: impl FnOnce(&[SweepPoint]) -> Finding,
    ) -> Sweep {
        Sweep {
            name,
            damage_without: mean(&base.damage),
            summers: base.damage.len(),
            finding: finding(&points),
            points,
        }
    }

    fn point(
        &self,
        label: String,
        at: f64,
        places: &[Point],
        traps: usize,
        base: &Series,
        series: &Series,
    ) -> SweepPoint {
        let changes = paired::differences(&base.damage, &series.damage);
        let count = paired::count(&changes, self.scenario.settings.tie_band);
        SweepPoint {
            label,
            at,
            damage_mean: mean(&series.damage),
            mean: MeanChange::of(&changes),
            counts: count.told().all(),
            caught_mean: mean(&series.caught),
            traps,
            places_m: places.iter().map(|p| [p.x, p.y]).collect(),
            outside: places
                .iter()
                .filter(|p| !self.scenario.yard.contains(**p))
                .count(),
        }
    }

    fn series(&self, ground: &Ground, tally: &SummerTally) -> (f64, f64) {
        let valued = Objective::Damage.value(self.prepared.scenario, ground, tally, None);
        let theirs = self.slot.base.traps.len();
        let own = tally.caught.iter().skip(theirs);
        (valued.damage, own.map(|c| (c[0] + c[1]) as f64).sum())
    }

    /// The lures that hang already, and one more at each place.
    fn lures(
        &self,
        ground: &Ground,
        hung: &[Point],
        places: &[Point],
    ) -> (Vec<LureSite>, Vec<LureSite>) {
        let mut base = self.slot.base_lures(ground);
        let mut tag = self.slot.base.traps.len() as u32;
        for &at in hung {
            base.extend(self.slot.lures_at(ground, &[at], tag));
            tag += 1;
        }
        (base, self.slot.lures_at(ground, places, tag))
    }

    /// One more trap at each place beside traps already hung, by delta rerun; and without it.
    fn sites(
        &self,
        hung: &[Point],
        places: &[Point],
        summers: u32,
    ) -> Result<(Series, Vec<Series>), PlaceRefusal> {
        let one = |summer: u32| {
            let ground = Ground::for_summer(self.prepared.scenario, summer);
            let arrivals = self.prepared.arrivals(&ground);
            let (base, lures) = self.lures(&ground, hung, places);
            let counts = delta::sites(&ground, &arrivals, &base, &lures, None, (0, 1));
            let sites: Vec<(f64, f64)> = counts
                .variants
                .iter()
                .map(|t| self.series(&ground, t))
                .collect();
            (self.series(&ground, &counts.base), sites)
        };
        let mut without = Series::default();
        let mut series = vec![Series::default(); places.len()];
        each_shared(
            (0..summers, Size::Sites),
            self.watch,
            one,
            |_, (base, sites)| {
                without.damage.push(base.0);
                without.caught.push(base.1);
                for (s, v) in series.iter_mut().zip(sites) {
                    s.damage.push(v.0);
                    s.caught.push(v.1);
                }
            },
        )?;
        Ok((without, series))
    }

    /// A fixed arrangement, run in full.
    fn arrangement(&self, places: &[Point], summers: u32) -> Result<Series, PlaceRefusal> {
        let mut series = Series::default();
        let Some((&last, others)) = places.split_last() else {
            return Ok(series);
        };
        let one = |summer: u32| {
            let ground = Ground::for_summer(self.prepared.scenario, summer);
            let arrivals = self.prepared.arrivals(&ground);
            let (base, lures) = self.lures(&ground, others, &[last]);
            let tally = delta::full(&ground, &arrivals, &base, &lures[0], None);
            self.series(&ground, &tally)
        };
        each_shared(
            (0..summers, Size::Sites),
            self.watch,
            one,
            |_, (damage, caught)| {
                series.damage.push(damage);
                series.caught.push(caught);
            },
        )?;
        Ok(series)
    }

    /// Sites for further traps: the best first, well spread.
    fn spread_sites(&self, outcome: &PlaceOutcome) -> Vec<Point> {
        let mut order: Vec<usize> = (0..outcome.sites.len()).collect();
        let mean_of = |i: usize| outcome.sites[i].change_mean;
        order.sort_by(|&a, &b| mean_of(a).total_cmp(&mean_of(b)).then(a.cmp(&b)));
        let yard = &self.scenario.yard;
        let mut gap = (yard.area() / SITES_FOR_MORE as f64).sqrt();
        let mut chosen: Vec<Point> = Vec::new();
        while chosen.len() < SITES_FOR_MORE.min(order.len()) {
            for &i in &order {
                let at = Point::new(outcome.sites[i].x_m, outcome.sites[i].y_m);
                if chosen.len() < SITES_FOR_MORE && chosen.iter().all(|c| c.distance(at) >= gap) {
                    chosen.push(at);
                }
            }
            gap *= 0.7;
            if gap < 1e-3 {
                break;
            }
        }
        chosen
    }

    /// 0 to 7 traps: each added where it does best, the first few moved again after every addition.
    fn number(&self, outcome: &PlaceOutcome) -> Result<Sweep, PlaceRefusal> {
        let summers = (outcome.summers as u32).min(SUMMERS_MANY);
        let candidates = self.spread_sites(outcome);
        let mut hung: Vec<Point> = Vec::new();
        let mut points = Vec::new();
        let mut none = Series::default();
        let least = |series: &[Series]| {
            let means: Vec<f64> = series.iter().map(|s| mean(&s.damage)).collect();
            (0..means.len())
                .min_by(|&a, &b| means[a].total_cmp(&means[b]).then(a.cmp(&b)))
                .unwrap_or(0)
        };
        for n in 1..=MOST_TRAPS {
            let (without, series) = self.sites(&hung, &candidates, summers)?;
            if n == 1 {
                none = without.clone();
                let label = say!("place.label.no-trap");
                points.push(self.point(label, 0.0, &[], 0, &none, &none));
            }
            let pick = least(&series);
            hung.push(candidates[pick]);
            let mut now = series[pick].clone();
            if (2..=EXCHANGE_UP_TO).contains(&n) {
                for k in 0..n {
                    let others: Vec<Point> = (0..n).filter(|&j| j != k).map(|j| hung[j]).collect();
                    let (_, series) = self.sites(&others, &candidates, summers)?;
                    let pick = least(&series);
                    if mean(&series[pick].damage) < mean(&now.damage) {
                        hung = others;
                        hung.push(candidates[pick]);
                        now = series[pick].clone();
                    }
                }
            }
            let label = say!(&counted("place.label.traps", n as u64), n);
            points.push(self.point(label, n as f64, &hung, n, &none, &now));
        }
        let band = self.scenario.settings.tie_band;
        Ok(Self::sweep("number", &none, points, |points| {
            Finding::of_numbers(points, band)
        }))
    }

    /// Three traps in a row round the best spot, then six in a ring round the plants and six in a heap.
    fn spacing(&self, question: &Question, outcome: &PlaceOutcome) -> Result<Sweep, PlaceRefusal> {
        let summers = (outcome.summers as u32).min(SUMMERS_MANY);
        let best = outcome
            .best
            .first()
            .map_or(middle_of_plants(self.scenario), |r| {
                Point::new(outcome.sites[r.site].x_m, outcome.sites[r.site].y_m)
            });
        let yard = &self.scenario.yard;
        let along_x = yard.width() >= yard.height();
        let mut plans: Vec<(String, f64, Vec<Point>)> = Vec::new();
        for ft in SPACINGS_FT {
            let gap = ft * METRES_PER_FOOT;
            let (low, high) = if along_x {
                (yard.x0, yard.x1)
            } else {
                (yard.y0, yard.y1)
            };
            // A row that would stick out is pushed inside where it fits.
            let middle = if along_x { best.x } else { best.y };
            let middle = if high - low >= 2.0 * gap {
                middle.clamp(low + gap, high - gap)
            } else {
                middle
            };
            let row = [-1.0, 0.0, 1.0].map(|k| {
                if along_x {
                    Point::new(middle + k * gap, best.y)
                } else {
                    Point::new(best.x, middle + k * gap)
                }
            });
            plans.push((say!("place.label.row", ft), gap, row.to_vec()));
        }
        let ring_m = SIDE_DISTANCE_FT * METRES_PER_FOOT;
        let ring = (0..6)
            .map(|k| place_at(self.scenario, f64::from(k) * PI / 3.0, ring_m))
            .collect();
        let label = say!("place.label.ring", ft = SIDE_DISTANCE_FT);
        plans.push((label, ring_m, ring));
        let heap = (0..6).map(|k| {
            let angle = f64::from(k) * PI / 3.0;
            Point::new(best.x + libm::cos(angle), best.y + libm::sin(angle))
        });
        plans.push((say!("place.label.heap"), 1.0, heap.collect()));
        let all: Vec<Point> = plans.iter().flat_map(|p| p.2.iter().copied()).collect();
        let wide = with_land_for(self.scenario, self.slot, &all);
        let prepared = prepare(&wide, self.watch)?;
        let on_wide = Sweeper {
            prepared: &prepared,
            ..*self
        };
        let (base, _) = on_wide.sites(&[], &[], summers)?;
        let (mut points, mut allowed) = (Vec::new(), Vec::new());
        for (mut label, at, places) in plans {
            let closed = |p: &Point| {
                self.scenario.yard.contains(*p) && !may_hang(self.scenario, *p, &question.limits)
            };
            let open = !places.iter().any(closed);
            if !open {
                label = say!("place.label.not-allowed", label);
            }
            allowed.push(open);
            let series = on_wide.arrangement(&places, summers)?;
            points.push(self.point(label, at, &places, places.len(), &base, &series));
        }
        let band = self.scenario.settings.tie_band;
        Ok(Self::sweep("spacing", &base, points, |points| {
            let open = points.iter().zip(allowed).filter(|(_, open)| *open);
            let open: Vec<&SweepPoint> = open.map(|(p, _)| p).collect();
            Finding::of_rows(&open, band)
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(label: &str, at: f64, change: f64, se: f64, outside: usize) -> SweepPoint {
        SweepPoint {
            label: label.into(),
            at,
            damage_mean: 10.0 + change,
            mean: MeanChange { change, error: se },
            counts: [0, 20, 0],
            caught_mean: 0.0,
            traps: 1,
            places_m: vec![[0.0; 2]; 8],
            outside,
        }
    }

    /// The same damage in every summer.
    fn flat(damage: f64) -> Series {
        Series {
            damage: vec![damage; 20],
            caught: vec![0.0; 20],
        }
    }

    fn by_distance(changes: [f64; 4]) -> String {
        let labels = ["10 ft", "20 ft", "50 ft", "100 ft"];
        let points = (0..4).map(|k| {
            let outside = if k < 2 { 0 } else { 8 };
            point(labels[k], k as f64, changes[k], 0.1, outside)
        });
        let points: Vec<SweepPoint> = points.collect();
        Finding::of_distances(&points, 1.0, "leaves").to_string()
    }

    #[test]
    fn a_change_within_the_band_beats_nothing_at_any_distance() {
        assert_eq!(
            by_distance([6.0, 3.0, 0.8, -0.3]),
            "No distance tried beats no trap. From 50 ft on, the trap changes too little to count."
        );
        assert_eq!(
            by_distance([6.0, 3.0, 2.0, 1.4]),
            "No distance tried beats no trap."
        );
        assert_eq!(
            by_distance([6.0, -2.0, -2.0, -2.0]),
            "From 20 ft on, a trap lowers the number of leaves damaged on average."
        );
        assert_eq!(
            by_distance([-2.0, 3.0, 0.0, 0.0]),
            "A trap lowers the number of leaves damaged on average at 10 ft, but not farther out."
        );
        assert_eq!(
            by_distance([-2.0, 3.0, 0.0, -2.0]),
            "A trap lowers the number of leaves damaged on average at 10 ft, but not all the way out."
        );
        assert_eq!(
            by_distance([6.0, 3.0, 0.5, -2.0]),
            "A trap lowers the number of leaves damaged on average at 100 ft, outside this yard."
        );
    }

    #[test]
    fn sides_too_near_to_tell_apart_are_named_together() {
        let finding = |changes: [f64; 8]| {
            let series = changes.map(|c| flat(10.0 + c));
            let side = |k: usize| side_of(k as f64 * PI / 4.0);
            let points = (0..8).map(|k| point(side(k), 45.0 * k as f64, changes[k], 0.1, 0));
            let points: Vec<SweepPoint> = points.collect();
            side_finding(1.0, &series, &points).to_string()
        };
        assert_eq!(
            finding([6.0, 2.1, 3.5, 3.5, 3.5, 2.0, 3.5, 5.5]),
            "Least bad sides: south-west and north-east. Worst sides: north-west and north."
        );
        assert_eq!(
            finding([3.9, 3.1, 3.0, 3.2, 3.3, 3.4, 3.5, 3.6]),
            "The side hardly matters here."
        );
        assert_eq!(
            finding([0.9, 0.0, 0.0, 0.0, 0.0, -3.0, 0.0, 0.0]),
            "Best side: south-west. Worst sides: north-east, east, south-east, south, west, north-west and north."
        );
    }

    #[test]
    fn a_gain_within_the_band_is_none() {
        let close = [
            point("a row", 1.0, -0.4, 0.1, 0),
            point("a ring", 2.0, 0.3, 0.1, 0),
            point("a heap", 3.0, 4.0, 0.1, 0),
        ];
        let close: Vec<&SweepPoint> = close.iter().collect();
        assert_eq!(
            Finding::of_rows(&close, 1.0).to_string(),
            "Least damage: a row. Hardly worse: a ring. That differs too little from no trap to count."
        );
        let number = |changes: [f64; 3]| {
            let points = (0..3).map(|n| SweepPoint {
                traps: n,
                ..point(&format!("{n} traps"), n as f64, changes[n], 0.1, 0)
            });
            let points: Vec<SweepPoint> = points.collect();
            Finding::of_numbers(&points, 1.0).to_string()
        };
        assert_eq!(
            number([0.0, -0.6, -0.9]),
            "No number of traps up to 7 beats no trap here."
        );
        assert_eq!(
            number([0.0, -3.0, -3.5]),
            "With 2 traps: 10.0 -> 6.5, less in 0 of 20 summers. 1 traps does nearly as well."
        );
        // Each step is within the band, the whole is not.
        let steps: Vec<f64> = (0..8).map(|n| -0.6 * f64::from(n)).collect();
        let points = (0..8).map(|n| SweepPoint {
            traps: n,
            counts: [1, 2, 17],
            ..point(&format!("{n} traps"), n as f64, steps[n], 0.1, 0)
        });
        let whole: Vec<SweepPoint> = points.collect();
        assert_eq!(
            Finding::of_numbers(&whole, 1.0).to_string(),
            "With 7 traps: 10.0 -> 5.8, less in 17 of 20 summers. 6 traps do nearly as well."
        );
        assert_eq!(
            Finding::of_numbers(&whole, 0.5).to_string(),
            "With 7 traps: 10.0 -> 5.8, less in 17 of 20 summers."
        );
        assert_eq!(
            Finding::of_numbers(&whole, 0.6 - 1e-9).to_string(),
            "With 7 traps: 10.0 -> 5.8, less in 17 of 20 summers."
        );
    }
}
