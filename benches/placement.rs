//! Work of the delta rerun beside simulating every site from scratch, on the shipped allotment.
//!
//! Both sides run on one thread, turn and turn about, and are measured in processor time of this process, so that other
//! work on the machine matters little. From scratch is measured on a sample of the sites and scaled up. Then the map
//! as `lurefield place` makes it, on all threads and by the clock (`benches/answers.rs` sets it against version 0.3.1).

#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench prints and reads the clock"
)]

use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::Unwatched;
use lurefield::engine::ground::Ground;
use lurefield::geometry::Point;
use lurefield::placement::delta;
use lurefield::placement::objective::Objective;
use lurefield::placement::search::{Question, Slot, place};
use lurefield::placement::site::{Limits, grid};
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
    println!("targets: delta-against-scratch >= 10; the map within 5 s on two idle cores");
    println!("ratio delta-against-scratch: {:.1}", scratch_s / quick_s);
}
