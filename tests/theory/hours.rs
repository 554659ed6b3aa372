//! Hours fit for movement, against a simulation of its own that goes by the clock on the wall.

use crate::common::{bare, disc, flyer, isotropic, outcome, within_four_se};
use crate::yard::seed::seed;
use lurefield::engine::clock::{Clock, FitHours};
use lurefield::engine::event::Fate;
use lurefield::engine::flight::Lures;
use lurefield::engine::ground::{Outline, Wall};
use lurefield::engine::random::{Purpose, ShortStream};
use lurefield::engine::walk::uniform_heading;
use lurefield::geometry::Point;
use rand::{RngExt, SeedableRng};
use std::sync::Arc;

/// Fit hours of six days of five hours: a whole day, one without any, and gaps at both ends and in the middle.
const FIT: [[bool; 5]; 6] = [
    [true, true, true, true, true],
    [false, true, false, true, true],
    [false, false, false, false, false],
    [true, false, false, false, true],
    [true, true, true, false, false],
    [true, true, true, true, true],
];
const WALKERS: u32 = 6_000;
const STEP_M: f64 = 1.0;
const SPEED_M_PER_S: f64 = 0.02;
const FROM_M: f64 = 8.0;
const TRAP_M: f64 = 2.0;
const EDGE_M: f64 = 40.0;

/// Where walkers end, by day: in the trap, over the edge; each a share of all.
type Ends = [[f64; 6]; 2];

/// The same walkers, second by second of the wall's clock with a generator of another make: in a second of a fit hour they go
/// on, in any other they stand.
fn by_the_wall() -> Ends {
    let mut luck = rand::rngs::StdRng::seed_from_u64(seed(31));
    let mut ends = Ends::default();
    for _ in 0..WALKERS {
        let mut turn = || uniform_heading(luck.random::<f64>());
        let (x, y) = turn();
        let (mut x, mut y) = (FROM_M * x, FROM_M * y);
        let (mut heading, mut gone_m) = (turn(), 0.0);
        'life: for (day, hours) in FIT.iter().enumerate() {
            for second in 0..5 * 3600 {
                if !hours[second / 3600] {
                    continue;
                }
                x += heading.0 * SPEED_M_PER_S;
                y += heading.1 * SPEED_M_PER_S;
                gone_m += SPEED_M_PER_S;
                let away = (x * x + y * y).sqrt();
                if !(TRAP_M..=EDGE_M).contains(&away) {
                    ends[usize::from(away > EDGE_M)][day] += 1.0 / f64::from(WALKERS);
                    break 'life;
                }
                if gone_m >= STEP_M {
                    (heading, gone_m) = (turn(), 0.0);
                }
            }
        }
    }
    ends
}

#[test]
fn days_of_catches_are_those_of_walkers_who_stand_in_unfit_hours() {
    let mut ground = bare(
        Outline::Disc { radius_m: EDGE_M },
        Wall::Open,
        isotropic(STEP_M),
        SPEED_M_PER_S,
        1.0,
    );
    let whole = Clock::new(6, 5.0, 9.0);
    let fit: Vec<Vec<bool>> = FIT.iter().map(|day| day.to_vec()).collect();
    ground.clock = Clock {
        fit: Some(Arc::new(FitHours::new(&fit, whole.day_s))),
        ..whole
    };
    let mut trap = disc(0.0, 0.0, TRAP_M);
    trap.strength_by_day = vec![1.0; 6];
    let lures = Lures::new(vec![trap]);
    let mut found = Ends::default();
    for id in 0..WALKERS {
        let mut stream = ShortStream::new(seed(78), 0, id, Purpose::Arrival);
        let (ux, uy) = uniform_heading(stream.uniform());
        let heading = uniform_heading(stream.uniform());
        let insect = flyer(&ground, id, Point::new(FROM_M * ux, FROM_M * uy), heading);
        let (fate, t_s) = outcome(&ground, &lures, insect);
        let of = match fate {
            Some(Fate::Caught(_)) => 0,
            Some(Fate::Left) => 1,
            _ => continue,
        };
        found[of][ground.clock.day_at(t_s) as usize] += 1.0 / f64::from(WALKERS);
    }
    let wanted = by_the_wall();
    for (of, what) in ["caught", "left"].into_iter().enumerate() {
        for day in 0..6 {
            let (got, want) = (found[of][day], wanted[of][day]);
            let p = (0.5 * (got + want)).max(1.0 / f64::from(WALKERS));
            let se = (2.0 * p * (1.0 - p) / f64::from(WALKERS)).sqrt();
            within_four_se(&format!("{what} on day {day}"), got, want, se, 0.0);
        }
        assert_eq!(found[of][2], 0.0, "no hour of the third day is fit");
    }
    let caught: f64 = found[0].iter().sum();
    let late: f64 = found[0][3..].iter().sum();
    assert!(caught > 0.2 && late > 0.02, "{found:?}");
}
