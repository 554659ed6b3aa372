//! Work of the delta rerun beside simulating every site from scratch, on the shipped allotment.
//!
//! Both sides run on one thread, turn and turn about, and are measured in processor time of this process, so that other
//! work on the machine matters little. From scratch is measured on a sample of the sites and scaled up. Then the map
//! as `lurefield place` makes it, on all threads and by the clock, and its error against a grid of many sites and summers.

#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench prints and reads the clock"
)]

use lurefield::engine::ensemble::Unwatched;
use lurefield::engine::ground::Ground;
use lurefield::geometry::Point;
use lurefield::placement::delta;
use lurefield::placement::objective::Objective;
use lurefield::placement::outcome::ZoneMap;
use lurefield::placement::search::{Question, Slot, place};
use lurefield::placement::site::{Limits, grid};
use lurefield::tally::prepare::prepare;
use std::time::Instant;

/// Processor seconds of this process, to a hundredth.
fn processor_s() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").expect("this bench needs /proc");
    let after = stat.rsplit(')').next().unwrap_or_default();
    let ticks = after
        .split_whitespace()
        .nth(11)
        .and_then(|t| t.parse::<f64>().ok());
    ticks.expect("/proc/self/stat has the processor time") / 100.0
}

fn main() {
    // Every fifth of 200 summers: they differ widely in how many insects come.
    const SUMMERS: u32 = 200;
    const EVERY: usize = 5;
    const SAMPLE: usize = 4;
    let text = include_str!("../scenarios/allotment-beetles.json");
    let scenario =
        lurefield::scenario::read(text, "allotment-beetles.json", &|_| Err(String::new()))
            .unwrap_or_else(|_| panic!("the shipped scenario reads"));
    let prepared = prepare(&scenario, &Unwatched).expect("the shipped scenario runs");
    let slot = Slot::of(&scenario).unwrap_or_else(|_| panic!("it hangs a trap"));
    let places: Vec<Point> = grid(&scenario, &Limits::default(), 0.6096);
    let (mut quick_s, mut slow_s) = (0.0, 0.0);
    for summer in (0..SUMMERS).step_by(EVERY) {
        let ground = Ground::for_summer(&scenario, summer);
        let arrivals = prepared.arrivals(&ground);
        let lures = slot.lures_at(&ground, &places, 0);
        let begun = processor_s();
        let counts = delta::sites(&ground, &arrivals, &[], &lures, None, (0, 1));
        let between = processor_s();
        for k in 0..SAMPLE {
            let i = k * lures.len() / SAMPLE;
            let tally = delta::full(&ground, &arrivals, &[], &lures[i], None);
            assert_eq!(tally, counts.variants[i]);
        }
        quick_s += between - begun;
        slow_s += processor_s() - between;
    }
    let n = places.len() as f64;
    let scratch_s = slow_s * n / SAMPLE as f64;
    let lived = f64::from(SUMMERS) / EVERY as f64;
    let each = quick_s / (n * lived);
    println!(
        "sites: {n}; summers: {lived} of {SUMMERS}; from scratch measured on {SAMPLE} sites a summer"
    );
    println!(
        "delta rerun: {:.2} ms of processor time a site and summer",
        1e3 * each
    );
    println!("from scratch: {:.2} ms", 1e3 * scratch_s / (n * lived));
    println!(
        "600 sites x 200 summers, none dropped: {:.0} s of processor time, {:.0} s on two idle cores",
        each * 120_000.0,
        each * 60_000.0
    );
    let question = Question {
        objective: Objective::Damage,
        limits: Limits::default(),
        apart_m: 3.0,
        sweeps: Vec::new(),
        neighbors_traps: false,
        all_summers: false,
    };
    let begun = Instant::now();
    let map = place(&scenario, &question, &Unwatched, &|_| false).expect("it has an answer");
    let lived: usize = map.sites.iter().map(|site| site.summers).sum();
    println!(
        "the map of {} sites until it is settled ({} summers; {lived} of site and summer): {:.1} s on {} threads",
        map.sites.len(),
        map.summers,
        begun.elapsed().as_secs_f64(),
        rayon::current_num_threads()
    );
    let zones = map.map.as_ref().expect("enough sites");
    match std::fs::read_to_string("tests/data/reference-grid.csv") {
        Ok(reference) => against(zones, &reference),
        Err(_) => println!("no tests/data/reference-grid.csv to set the map against"),
    }
    println!("targets: delta-against-scratch >= 10; the map within 5 s on two idle cores");
    println!("ratio delta-against-scratch: {:.1}", scratch_s / quick_s);
}

/// Error of the map against a grid of sites with many summers: x, y, summers, mean, standard error a line
/// (tests/placement/reference.rs writes it).
fn against(map: &ZoneMap, reference: &str) {
    let (mut squares, mut luck, mut n, mut most) = (0.0, 0.0, 0.0, 0.0_f64);
    for line in reference.lines().skip(1) {
        let numbers: Vec<f64> = line.split(',').filter_map(|v| v.parse().ok()).collect();
        let &[x, y, _, mean, se] = numbers.as_slice() else {
            continue;
        };
        let error = between_cells(map, x, y) - mean;
        squares += error * error;
        luck += se * se;
        n += 1.0;
        most = most.max(error.abs());
    }
    println!(
        "against {n} reference sites: root mean square error {:.2}, largest {most:.2}, of which the reference {:.2}",
        (squares / n).sqrt(),
        (luck / n).sqrt()
    );
}

/// The map between the middles of its cells.
fn between_cells(map: &ZoneMap, x: f64, y: f64) -> f64 {
    let along = |at: f64, first: f64, n: usize| {
        let cell = ((at - first) / map.cell_m - 0.5).clamp(0.0, n as f64 - 1.0);
        let low = (cell.floor() as usize).min(n.saturating_sub(2));
        (low, (low + 1).min(n - 1), cell - low as f64)
    };
    let (x0, x1, u) = along(x, map.x0_m, map.columns);
    let (y0, y1, v) = along(y, map.y0_m, map.rows);
    let at = |x: usize, y: usize| map.change[y * map.columns + x];
    (1.0 - v) * ((1.0 - u) * at(x0, y0) + u * at(x1, y0))
        + v * ((1.0 - u) * at(x0, y1) + u * at(x1, y1))
}
