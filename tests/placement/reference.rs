//! A grid of sites with many summers, to hold a quick map against. It takes hours, so it is made on request.

use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::{Unwatched, each_summer};
use lurefield::engine::ground::Ground;
use lurefield::geometry::Point;
use lurefield::placement::delta;
use lurefield::placement::objective::Objective;
use lurefield::placement::search::Slot;
use lurefield::placement::site::{Limits, grid};
use std::fmt::Write as _;

/// Sums of one site.
#[derive(Clone, Copy, Default)]
struct Sums {
    n: f64,
    mean: f64,
    /// Sum of squares about the mean.
    squares: f64,
}

impl Sums {
    fn add(&mut self, value: f64) {
        self.n += 1.0;
        let off = value - self.mean;
        self.mean += off / self.n;
        self.squares += off * (value - self.mean);
    }

    /// Standard error of the mean.
    fn error(self) -> f64 {
        (self.squares / (self.n - 1.0).max(1.0) / self.n.max(1.0)).sqrt()
    }

    fn read(line: &str) -> Sums {
        let numbers: Vec<f64> = line.split(',').map(|v| v.parse().unwrap()).collect();
        let (n, mean, se) = (numbers[2], numbers[3], numbers[4]);
        Sums {
            n,
            mean,
            squares: se * se * n * (n - 1.0),
        }
    }
}

/// Writes `x_m,y_m,summers,mean,se` for each site of a 2 ft grid over the allotment to the file that `REFERENCE_GRID`
/// names, up to `REFERENCE_SUMMERS` (2,000), and goes on from what the file holds. `benches/answers.rs` reads it.
#[test]
#[ignore = "hours: REFERENCE_GRID=tests/data/reference-grid.csv cargo test --release --test placement reference_grid -- --ignored"]
fn reference_grid() {
    const ROUND: u32 = 20;
    let path = std::env::var("REFERENCE_GRID").expect("REFERENCE_GRID names the file");
    let most = std::env::var("REFERENCE_SUMMERS").map_or(2_000, |n| n.parse().unwrap());
    let text = include_str!("../../scenarios/allotment-beetles.json");
    let scenario = super::read(text);
    let prepared = prepare(&scenario, &Unwatched).unwrap();
    let slot = Slot::of(&scenario).unwrap();
    let places: Vec<Point> = grid(&scenario, &Limits::default(), 0.6096);
    let mut sums = vec![Sums::default(); places.len()];
    if let Ok(known) = std::fs::read_to_string(&path) {
        for (sum, line) in sums.iter_mut().zip(known.lines().skip(1)) {
            *sum = Sums::read(line);
        }
    }
    let mut done = sums[0].n as u32;
    while done < most {
        let next = most.min(done + ROUND);
        let one = |summer: u32| {
            let ground = Ground::for_summer(&scenario, summer);
            let arrivals = prepared.arrivals(&ground);
            let lures = slot.lures_at(&ground, &places, 0);
            let watched = Objective::Damage.watched(&scenario, &ground);
            let counts = delta::sites(&ground, &arrivals, &[], &lures, watched, (0, 1));
            let value = |tally| {
                Objective::Damage
                    .value(&scenario, &ground, tally, None)
                    .value
            };
            let without = value(&counts.base);
            let change = |tally| value(tally) - without;
            counts.variants.iter().map(change).collect::<Vec<f64>>()
        };
        each_summer(done..next, &Unwatched, one, |_, changes| {
            for (sum, change) in sums.iter_mut().zip(changes) {
                sum.add(change);
            }
        })
        .unwrap();
        done = next;
        let mut out = String::from("x_m,y_m,summers,mean,se\n");
        for (at, sum) in places.iter().zip(&sums) {
            writeln!(
                out,
                "{},{},{},{},{}",
                at.x,
                at.y,
                sum.n,
                sum.mean,
                sum.error()
            )
            .unwrap();
        }
        let beside = format!("{path}.part");
        std::fs::write(&beside, out).unwrap();
        std::fs::rename(&beside, &path).unwrap();
    }
}
