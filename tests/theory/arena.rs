//! The open arena: uniform, stationary, and crossed in straight accordance with integral geometry.

use crate::common::{bare, mean_and_se, within_four_se};
use crate::yard::seed::seed;
use lurefield::engine::arrival;
use lurefield::engine::event::{Event, Fate, Nobody, Observer};
use lurefield::engine::flight::{Lures, live};
use lurefield::engine::ground::{Ground, Outline, Wall};
use lurefield::engine::insect::{Insect, Mode};
use lurefield::engine::random::{Purpose, ShortStream};
use lurefield::engine::walk::{StepLaw, TurnLaw, Walk};
use lurefield::engine::wind::WindTable;
use lurefield::geometry::{Point, Rect};

const FREE: Walk = Walk {
    step: StepLaw::Exponential(5.0),
    turn: TurnLaw::WrappedNormal(0.7),
};

fn open_arena(outline: Outline, days: u32, day_s: f64) -> Ground {
    let mut ground = bare(outline, Wall::Open, FREE, 1.7, day_s);
    ground.clock.days = days;
    ground.wind = WindTable::still(days, ground.clock.hours_per_day());
    ground.mated_by_day = vec![1.0; days as usize];
    ground.pest.bout_mean = 60.0;
    ground.pest.rest_mean = 200.0;
    ground.death_per_s = 1e-4;
    ground
}

/// Places of all insects alive at some times, and how many had died by then.
fn places_at(ground: &Ground, density: f64, times: &[f64]) -> (Vec<Vec<(f64, f64)>>, Vec<u64>) {
    let weights = vec![1.0; ground.clock.days as usize];
    let arrivals = arrival::draw(ground, &[], density, &weights, None);
    let mut places = vec![Vec::new(); times.len()];
    let mut died = vec![0; times.len()];
    // A life is cut exactly at the end of its window, so each time is the end of one.
    let windows: Vec<Ground> = times
        .iter()
        .map(|&t| {
            let mut window = ground.clone();
            window.clock.days = 1;
            window.clock.day_s = t;
            window
        })
        .collect();
    for newborn in arrivals.insects(ground) {
        for (k, window) in windows.iter().enumerate() {
            let end_s = window.clock.end_s();
            if newborn.t_s > end_s {
                continue;
            }
            let mut insect = newborn;
            live(
                window,
                &Lures::none(),
                &mut insect,
                &mut [],
                end_s,
                &mut Nobody,
            );
            match insect.mode {
                Mode::Over(fate) => died[k] += u64::from(fate == Fate::Died),
                _ => places[k].push((insect.at.x, insect.at.y)),
            }
        }
    }
    (places, died)
}

/// Chi-square of counts with equal expectation within four standard errors of its mean.
fn uniform_counts(what: &str, counts: &[u32], expected: f64) {
    let n = counts.len() as f64;
    let chi: f64 = counts
        .iter()
        .map(|&c| (f64::from(c) - expected) * (f64::from(c) - expected) / expected)
        .sum();
    // Poisson counts of known mean: expectation n, variance 2n + n/mean.
    within_four_se(what, chi, n, (2.0 * n + n / expected).sqrt(), 0.0);
}

#[test]
fn empty_open_arena_keeps_its_density_inside_and_at_the_edges() {
    let (side, density) = (100.0, 0.08);
    let ground = open_arena(Outline::Rect(Rect::new(0.0, 0.0, side, side)), 2, 3000.0);
    let times = [1e-6, 700.0, 2500.0, 5900.0];
    let (places, _) = places_at(&ground, density, &times);
    let all = density * (1.0 + 200.0 / 60.0);
    for (t, places) in times.iter().zip(&places) {
        let total = all * side * side;
        within_four_se(
            &format!("all at {t} s"),
            places.len() as f64,
            total,
            total.sqrt(),
            0.0,
        );
        let mut cells = vec![0_u32; 100];
        let mut strip = 0_u32;
        for &(x, y) in places {
            cells[(y / 10.0) as usize * 10 + (x / 10.0) as usize] += 1;
            let edge = x.min(side - x).min(y).min(side - y);
            strip += u32::from(edge < 2.0);
        }
        uniform_counts(&format!("cells at {t} s"), &cells, total / 100.0);
        let expected = all * (side * side - 96.0 * 96.0);
        within_four_se(
            &format!("edge strip at {t} s"),
            f64::from(strip),
            expected,
            expected.sqrt(),
            0.0,
        );
    }
}

#[test]
fn empty_open_disc_keeps_its_density() {
    let (radius_m, density) = (50.0, 0.1);
    let ground = open_arena(Outline::Disc { radius_m }, 1, 6000.0);
    let (places, _) = places_at(&ground, density, &[1500.0, 5500.0]);
    let all = density * (1.0 + 200.0 / 60.0);
    for places in &places {
        // Ten rings of equal area.
        let mut rings = vec![0_u32; 10];
        for &(x, y) in places {
            let share = (x * x + y * y) / (radius_m * radius_m);
            rings[((share * 10.0) as usize).min(9)] += 1;
        }
        let expected = all * std::f64::consts::PI * radius_m * radius_m / 10.0;
        uniform_counts("rings of a disc", &rings, expected);
    }
}

#[test]
fn natural_deaths_are_balanced_by_emergence() {
    let (side, density) = (100.0, 0.08);
    let ground = open_arena(Outline::Rect(Rect::new(0.0, 0.0, side, side)), 1, 8000.0);
    let arrivals = arrival::draw(&ground, &[], density, &[1.0], None);
    let (_, died) = places_at(&ground, density, &[8000.0]);
    let expected = density * (1.0 + 200.0 / 60.0) * side * side * ground.death_per_s * 8000.0;
    within_four_se(
        "emerging",
        f64::from(arrivals.emerging),
        expected,
        expected.sqrt(),
        0.0,
    );
    within_four_se("died", died[0] as f64, expected, expected.sqrt(), 0.0);
}

/// Sums flown length.
#[derive(Default)]
struct Path(f64);

impl Observer for Path {
    fn hear(&mut self, event: &Event) {
        if let Event::Flew(from, to) = event {
            self.0 += from.distance(*to);
        }
    }
}

/// Invariance of the mean path: πA/P for isotropic entry, whatever the turns (Blanco & Fournier 2003, Europhys Lett 61:
/// 168-173, from memory; for straight lines Cauchy's mean chord).
#[test]
fn mean_path_through_the_arena_is_pi_area_over_perimeter() {
    for (outline, turn) in [
        (Outline::Rect(Rect::new(-20.0, 3.0, 40.0, 23.0)), 0.7),
        (Outline::Rect(Rect::new(-20.0, 3.0, 40.0, 23.0)), 2.0),
        (Outline::Disc { radius_m: 15.0 }, 1.0),
    ] {
        let mut ground = open_arena(outline, 1, 1e7);
        ground.walk.turn = TurnLaw::WrappedNormal(turn);
        ground.death_per_s = 0.0;
        ground.pest.rest_mean = 1.0;
        let density =
            40_000.0 / (1.7 / std::f64::consts::PI * ground.arena.outline.perimeter() * 1e7);
        let arrivals = arrival::draw(&ground, &[], density, &[1.0], None);
        let first = arrivals.initial;
        // Room to leave for those that come last.
        ground.clock.days = 2;
        let lengths: Vec<f64> = (first..first + arrivals.over_edge)
            .map(|id| {
                let mut insect = arrivals.insect(&ground, id).expect("no core");
                let mut path = Path::default();
                live(
                    &ground,
                    &Lures::none(),
                    &mut insect,
                    &mut [],
                    1e9,
                    &mut path,
                );
                assert_eq!(insect.mode, Mode::Over(Fate::Left));
                path.0
            })
            .collect();
        let wanted =
            std::f64::consts::PI * ground.arena.outline.area() / ground.arena.outline.perimeter();
        let (mean, se) = mean_and_se(&lengths);
        within_four_se(&format!("mean path {outline:?}"), mean, wanted, se, 0.0);
    }
}

#[test]
fn times_of_coming_follow_the_day_weights() {
    let weights = [0.2, 1.0, 0.0, 2.4, 1.4];
    let ground = open_arena(Outline::Disc { radius_m: 30.0 }, 5, 3000.0);
    let arrivals = arrival::draw(&ground, &[], 0.05, &weights, None);
    let mut by_day = [0_u32; 5];
    let mut within = Vec::new();
    for id in arrivals.initial..arrivals.initial + arrivals.over_edge {
        let t_s = arrivals.insect(&ground, id).expect("no core").t_s;
        by_day[(t_s / 3000.0) as usize] += 1;
        within.push((t_s / 3000.0).fract());
    }
    for (day, weight) in weights.into_iter().enumerate() {
        let expected =
            0.05 * 1.7 / std::f64::consts::PI * ground.arena.outline.perimeter() * weight * 3000.0;
        if weight == 0.0 {
            assert_eq!(by_day[day], 0, "nobody comes on a day of weight 0");
        } else {
            within_four_se(
                &format!("day {day}"),
                f64::from(by_day[day]),
                expected,
                expected.sqrt(),
                0.0,
            );
        }
    }
    let (mean, se) = mean_and_se(&within);
    within_four_se("time within the day", mean, 0.5, se, 0.0);
}

/// Straight into a corner: rounding puts some of them outside of both sides at once, and none may be lost or held there.
#[test]
fn flights_into_a_corner_of_a_closed_arena_come_back() {
    let mut luck = ShortStream::new(seed(5), 0, 0, Purpose::Weather);
    let straight = Walk {
        step: StepLaw::Fixed(80.0),
        turn: TurnLaw::Uniform(0.0),
    };
    for id in 0..20_000 {
        let (x0, y0) = (50.0 * luck.uniform() - 60.0, 50.0 * luck.uniform() - 60.0);
        let (x1, y1) = (
            x0 + 5.0 + 20.0 * luck.uniform(),
            y0 + 5.0 + 20.0 * luck.uniform(),
        );
        let corner = [(x0, y0), (x0, y1), (x1, y0), (x1, y1)][id as usize % 4];
        let at = Point::new(
            x0 + (x1 - x0) * luck.uniform(),
            y0 + (y1 - y0) * luck.uniform(),
        );
        let (dx, dy) = (corner.0 - at.x, corner.1 - at.y);
        let length = (dx * dx + dy * dy).sqrt();
        let outline = Outline::Rect(Rect::new(x0, y0, x1, y1));
        let ground = bare(outline, Wall::Reflecting, straight, 2.0, 100.0);
        let mut insect = Insect::new(&ground, id, 0.0, at, (dx / length, dy / length), false);
        insect.fly(100.0);
        live(
            &ground,
            &Lures::none(),
            &mut insect,
            &mut [],
            100.0,
            &mut Nobody,
        );
        assert!(ground.arena.contains(insect.at.x, insect.at.y), "{id}");
    }
}
