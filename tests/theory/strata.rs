//! Fitted sets that take turns: each is used once before any comes again, and the error of a mean knows of it.

use crate::common::within_four_se;
use crate::yard::seed::seed;
use lurefield::engine::ground::fitted_set;
use lurefield::engine::random::{Purpose, ShortStream};
use lurefield::scenario::Scenario;
use lurefield::stats::spread::{mean, standard_error, standard_error_in_turn};
use std::collections::BTreeSet;

fn allotment(seed: u64) -> Scenario {
    let text = include_str!("../../scenarios/allotment-beetles.json");
    let read = lurefield::scenario::read(text, "allotment-beetles.json", &|_| Err(String::new()));
    let mut scenario = read.unwrap_or_else(|_| panic!("the shipped scenario reads"));
    scenario.settings.seed = seed;
    scenario
}

/// The chance of being off by four standard deviations of a normal law, both sides.
const BEYOND_FOUR_SE: f64 = 6.3e-5;

#[test]
fn every_set_is_used_once_before_any_comes_again_and_in_another_order() {
    let scenario = allotment(seed(5));
    let n = scenario.kept_sets.as_ref().unwrap().len() as u32;
    let turn = |k: u32, s: &Scenario| -> Vec<usize> {
        (k * n..(k + 1) * n)
            .map(|summer| fitted_set(s, summer).unwrap())
            .collect()
    };
    let all: BTreeSet<usize> = (0..n as usize).collect();
    let (first, second, other) = (
        turn(0, &scenario),
        turn(1, &scenario),
        turn(0, &allotment(seed(6))),
    );
    for order in [&first, &second, &other] {
        assert_eq!(order.iter().copied().collect::<BTreeSet<_>>(), all);
    }
    // Two orders agree in one place on average. Where they begin with the same half (each other time), each half agrees in
    // one place on average, else in none: a critical branching of l = log2 n generations with variance 1. The chance of more
    // than k is (2 / l) exp(-2 k / l) (Yaglom's law of critical branching, from memory); k is where it is that of four
    // standard deviations.
    let l = f64::from(n).log2();
    let most = l / 2.0 * libm::log(2.0 / l / BEYOND_FOUR_SE);
    assert!(most < f64::from(n) / 4.0, "{n} sets are too few to tell");
    for another in [&second, &other] {
        let same = first.iter().zip(another).filter(|(a, b)| a == b).count();
        assert!(same as f64 <= most, "{same} sets at the same place");
    }
    // Neighbours in the list do not follow each other: the mean step of a random order is n/3, variance n²/18.
    let steps: Vec<f64> = first
        .windows(2)
        .map(|w| (w[1] as f64 - w[0] as f64).abs())
        .collect();
    let (n, wanted) = (f64::from(n), f64::from(n) / 3.0);
    let se = n / (18.0 * n).sqrt();
    within_four_se("mean step", mean(&steps), wanted, se, 0.0);
}

/// Over many orders every set comes equally early (no table needed: its place is uniform), and the mean of a fitted number
/// over the first summers strays far less than that of sets picked at random.
#[test]
fn the_first_sets_stand_for_all_and_none_is_favored() {
    const ORDERS: u64 = 400;
    const FIRST: [usize; 3] = [16, 60, 140];
    let text = allotment(1);
    let sets = text.kept_sets.as_ref().unwrap();
    let n = sets.len();
    let numbers: Vec<Vec<f64>> = {
        let made = lurefield::catalogue::ensemble::ensemble("japanese-beetle").unwrap();
        (0..made.parameters.len())
            .map(|k| made.sets.iter().map(|set| set[k]).collect())
            .collect()
    };
    let mut places = vec![0.0; n];
    let mut strayed = vec![[0.0; FIRST.len()]; numbers.len()];
    for k in 0..ORDERS {
        let mut luck = ShortStream::new(seed(9), k as u32, 0, Purpose::Weather);
        let drawn: Vec<f64> = (0..n).map(|_| luck.uniform()).collect();
        let order = sets.order(|i| drawn[i]);
        for (place, &set) in order.iter().enumerate() {
            places[set] += place as f64 / ORDERS as f64;
        }
        for (number, strayed) in numbers.iter().zip(&mut strayed) {
            for (first, strayed) in FIRST.iter().zip(strayed) {
                let picked: Vec<f64> = order[..*first].iter().map(|&i| number[i]).collect();
                let off = mean(&picked) - mean(number);
                *strayed += off * off / ORDERS as f64;
            }
        }
    }
    // A uniform place has variance n²/12; 700 places are looked at, so five standard errors.
    let se = n as f64 / (12.0 * ORDERS as f64).sqrt();
    for place in &places {
        let off = (place - (n - 1) as f64 / 2.0).abs();
        assert!(off < 5.0 * se, "a set comes {off} places early or late");
    }
    let variance = |number: &Vec<f64>| {
        let error = standard_error(number).unwrap();
        error * error * n as f64
    };
    // The two numbers of the least variance, which the order goes by; a quarter is left of a number halved once.
    let mut known: Vec<(f64, &[f64; FIRST.len()])> =
        numbers.iter().map(variance).zip(&strayed).collect();
    known.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (spread, strayed) in &known[..2] {
        for (first, strayed) in FIRST.iter().zip(*strayed) {
            let random = spread / *first as f64 * (1.0 - *first as f64 / n as f64);
            assert!(
                *strayed < 0.3 * random,
                "first {first}: {strayed} of {random}"
            );
        }
    }
}

/// The error told for a mean is the spread of that mean over many repetitions (simulated here; no table needed).
#[test]
fn the_error_of_a_mean_over_strata_in_turn_is_its_spread() {
    const N: usize = 60;
    const VALUES: usize = 150;
    const TIMES: usize = 4_000;
    let mut luck = ShortStream::new(seed(3), 0, 0, Purpose::Weather);
    let means: Vec<f64> = (0..N).map(|_| 10.0 * luck.uniform()).collect();
    let truth = mean(&means);
    let (mut off_squared, mut told, mut ordinary) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..TIMES {
        let mut strata: Vec<usize> = Vec::new();
        while strata.len() < VALUES {
            let mut order: Vec<(f64, usize)> = (0..N).map(|i| (luck.uniform(), i)).collect();
            order.sort_by(|a, b| a.0.total_cmp(&b.0));
            strata.extend(order.iter().map(|o| o.1));
        }
        strata.truncate(VALUES);
        // Uniform about the mean of its stratum: variance 1/3.
        let values: Vec<f64> = strata
            .iter()
            .map(|&g| means[g] + 2.0 * luck.uniform() - 1.0)
            .collect();
        let off = mean(&values) - truth;
        off_squared.push(off * off);
        let error = standard_error_in_turn(&values, &strata, N).unwrap();
        told.push(error * error);
        ordinary.push(standard_error(&values).unwrap());
    }
    let errors = [&off_squared, &told].map(|list| standard_error(list).unwrap());
    let both = (errors[0] * errors[0] + errors[1] * errors[1]).sqrt();
    within_four_se(
        "variance of the mean",
        mean(&told),
        mean(&off_squared),
        both,
        0.0,
    );
    // And far below what independent draws of the strata would leave, which is about seven times as much here:
    // (8.3 + 0.3)/150 against 0.3/150 + 8.3·30/150²·(1 − 30/60).
    let independent = mean(&ordinary);
    assert!(mean(&told) < 0.5 * independent * independent);
}
