//! Speed against a textbook version of the same rules, both sides in turn in one process.
//!
//! `cargo bench --bench speed`. Each figure is the least of several repeats. The last lines read `ratio NAME: X.X`.

#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench prints and reads the clock; its textbook uses the standard library's mathematics"
)]

mod textbook;
#[path = "../tests/theory/yard.rs"]
mod yard;

use lurefield::count::summer::SummerTally;
use lurefield::engine::arrival::{self, Arrivals};
use lurefield::engine::ensemble::{DayRules, Unwatched, each_summer, run_plan, with_threads};
use lurefield::engine::flight::Lures;
use lurefield::engine::ground::{Arena, Ground, Outline, Wall};
use lurefield::geometry::{Point, Rect};
use lurefield::scenario::{Scenario, Shape, Structure, StructureKind};
use std::hint::black_box;
use std::time::Instant;

const REPEATS: u32 = 5;

/// Everything a summer needs, made before the clock starts.
struct Made {
    ground: Ground,
    lures: Lures,
    arrivals: Arrivals,
}

/// A furnished yard: `n` vines in rows, two traps, a house.
fn furnished(n: u32) -> Scenario {
    let vines: Vec<(f64, f64)> = if n <= 24 {
        (0..n)
            .map(|i| (6.0 + 4.0 * f64::from(i % 8), 6.0 + 6.0 * f64::from(i / 8)))
            .collect()
    } else {
        (0..n)
            .map(|i| (3.0 + 1.7 * f64::from(i % 20), 3.0 + 2.0 * f64::from(i / 20)))
            .collect()
    };
    let mut scenario = yard::yard(40.0, &vines, &[("two", &[(8.0, 30.0), (33.0, 9.0)])]);
    scenario.structures.push(Structure {
        name: "house".into(),
        kind: StructureKind::House,
        shape: Shape::Rect(Rect::new(12.0, 28.0, 26.0, 38.0)),
    });
    scenario
}

fn made(scenario: &Scenario, summer: u32, density: f64) -> Made {
    let mut ground = Ground::for_summer(scenario, summer);
    // The textbook makes every insect of a yard with a narrow margin, so the engine does here too.
    if let Some(core) = ground.arena.core.take() {
        ground.arena.outline = Outline::Rect(core.grown(3.0 * ground.pest.segment_mean));
    }
    let sites = ground.lures_of(&scenario.plans[1]);
    let lures = Lures::new(sites.into_iter().map(|s| s.1).collect());
    let arrivals = arrival::draw(&ground, &[], density, &scenario.window.day_weights, None);
    Made {
        ground,
        lures,
        arrivals,
    }
}

fn ours(m: &mut Made) -> SummerTally {
    let mut tally = SummerTally::new(
        m.ground.plants.len(),
        m.lures.sites.len(),
        m.ground.clock.days,
        None,
    );
    let rules = DayRules::default();
    run_plan(&m.ground, &m.arrivals, &mut m.lures, &rules, &mut tally);
    tally
}

fn theirs(m: &Made, seed: u64) -> textbook::Totals {
    textbook::summer(&m.ground, &m.lures.sites, &m.arrivals, seed)
}

fn seconds(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64()
}

/// Least times of two pieces of work done in turn.
fn in_turn(mut a: impl FnMut(), mut b: impl FnMut()) -> (f64, f64) {
    let mut best = (f64::INFINITY, f64::INFINITY);
    for _ in 0..REPEATS {
        best.0 = best.0.min(seconds(&mut a));
        best.1 = best.1.min(seconds(&mut b));
    }
    best
}

/// Mean difference of two columns over the same summers, in its own standard errors.
fn apart_in_se(a: &[f64], b: &[f64]) -> f64 {
    let n = a.len() as f64;
    let d: Vec<f64> = a.iter().zip(b).map(|(a, b)| a - b).collect();
    let mean = d.iter().sum::<f64>() / n;
    let variance = d.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / (n - 1.0);
    mean / (variance / n).sqrt()
}

/// Both sides must give the same feeding and catch, or the race would mean nothing.
fn check_that_both_follow_the_same_rules(scenario: &Scenario) {
    let mut columns: [Vec<f64>; 6] = Default::default();
    for summer in 0..60 {
        let mut m = made(scenario, summer, 2e-4);
        let tally = ours(&mut m);
        let book = theirs(&m, u64::from(summer));
        columns[0].push(tally.fed_ticks.iter().sum::<u64>() as f64 / 1024.0 / 3600.0);
        columns[1].push(book.fed_s / 3600.0);
        columns[2].push(tally.caught_total() as f64);
        columns[3].push(book.caught as f64);
        columns[4].push(tally.segments as f64);
        columns[5].push(book.segments as f64);
    }
    for (k, what) in ["feeding, h", "catch", "straight flights"]
        .into_iter()
        .enumerate()
    {
        let (a, b) = (&columns[2 * k], &columns[2 * k + 1]);
        let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
        let apart = apart_in_se(a, b);
        println!(
            "same rules: {what}: engine {:.1}, textbook {:.1}, apart {apart:.2} standard errors",
            mean(a),
            mean(b)
        );
        assert!(apart.abs() < 4.0, "{what}: the two sides differ");
    }
}

fn furnished_yard(scenario: &Scenario) -> f64 {
    let mut summers: Vec<Made> = (0..6).map(|s| made(scenario, s, 5e-4)).collect();
    let copies: Vec<Made> = (0..6).map(|s| made(scenario, s, 5e-4)).collect();
    let insects: u32 = summers.iter().map(|m| m.arrivals.total()).sum();
    let segments: u64 = summers.iter_mut().map(|m| ours(m).segments).sum();
    let (fast, slow) = in_turn(
        || {
            for m in &mut summers {
                black_box(ours(m));
            }
        },
        || {
            for (i, m) in copies.iter().enumerate() {
                black_box(theirs(m, i as u64));
            }
        },
    );
    println!(
        "furnished yard: engine {:.1} ns a straight flight, {:.0} insects a second; textbook {:.1} ns",
        1e9 * fast / segments as f64,
        f64::from(insects) / fast,
        1e9 * slow / segments as f64
    );
    slow / fast
}

/// The same objects, but the insects fly in a closed square of 200 m that lies half a kilometre west of them.
fn free_flight(scenario: &Scenario) -> f64 {
    let make = || {
        let mut m = made(scenario, 0, 5e-4);
        m.ground.arena = Arena {
            outline: Outline::Rect(Rect::new(-700.0, 0.0, -500.0, 200.0)),
            wall: Wall::Reflecting,
            core: None,
        };
        m.ground.pest.rest_mean = 1.0;
        m.ground.clock.days = 1;
        m.arrivals = arrival::draw(&m.ground, &[], 0.01, &[1.0], None);
        m
    };
    let (mut m, copy) = (make(), make());
    let segments = ours(&mut m).segments;
    assert!(
        m.lures
            .sites
            .iter()
            .all(|s| s.at.distance(Point::new(-500.0, s.at.y)) > s.reach_m())
    );
    let book = theirs(&copy, 1).segments;
    let (fast, slow) = in_turn(
        || {
            black_box(ours(&mut m));
        },
        || {
            black_box(theirs(&copy, 1));
        },
    );
    let (fast, slow) = (fast / segments as f64, slow / book as f64);
    println!(
        "free flight: engine {:.1} ns a straight flight, textbook {:.1} ns",
        1e9 * fast,
        1e9 * slow
    );
    slow / fast
}

fn two_threads(scenario: &Scenario) -> f64 {
    let work = |threads: usize| {
        // As many summers as a short run has, so that the last one does not decide.
        let one = |summer: u32| ours(&mut made(scenario, summer, 1.25e-4)).segments;
        with_threads(threads, || {
            let mut sum = 0;
            each_summer(0..96, &Unwatched, one, |_, s| sum += s).expect("nobody stops a bench");
            black_box(sum);
        })
        .expect("two threads start");
    };
    let (one, two) = in_turn(|| work(1), || work(2));
    println!("two threads: {one:.3} s on one, {two:.3} s on two");
    one / two
}

fn ten_times_the_plants() -> f64 {
    let (few, many) = (furnished(24), furnished(240));
    let make = |s: &Scenario| -> Vec<Made> { (0..6).map(|k| made(s, k, 5e-4)).collect() };
    let (mut few, mut many) = (make(&few), make(&many));
    let run = |set: &mut Vec<Made>| {
        for m in set {
            black_box(ours(m));
        }
    };
    let (a, b) = in_turn(|| run(&mut few), || run(&mut many));
    b / a
}

fn main() {
    let scenario = furnished(24);
    check_that_both_follow_the_same_rules(&scenario);
    let ratios = [
        ("furnished yard", furnished_yard(&scenario)),
        ("free flight", free_flight(&scenario)),
        ("two threads", two_threads(&scenario)),
        ("ten times the plants", ten_times_the_plants()),
    ];
    println!(
        "targets: furnished yard >= 2, free flight >= 3, two threads >= 1.8, ten times the plants <= 2.5"
    );
    for (name, ratio) in ratios {
        println!("ratio {name}: {ratio:.1}");
    }
}
