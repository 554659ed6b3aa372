//! Samplers against exact moments, exact distribution functions and a general-purpose reference library.
//!
//! Known answers of the generator itself stand beside it in `engine::random`.

use crate::common::{mean_and_se, within_four_se};
use crate::yard::seed::seed;
use lurefield::engine::random::{LongStream, Purpose, Tables};
use rand::SeedableRng;
use rand_distr::Distribution;

const N: u32 = 400_000;

fn draws(mut one: impl FnMut(&mut LongStream) -> f64) -> Vec<f64> {
    let mut stream = LongStream::new(seed(2024), 1, 2, Purpose::Flight);
    (0..N).map(|_| one(&mut stream)).collect()
}

fn reference(law: &impl Distribution<f64>) -> Vec<f64> {
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(seed(7));
    (0..N).map(|_| law.sample(&mut rng)).collect()
}

fn moment(values: &[f64], k: u32, centre: f64) -> (f64, f64) {
    let powers: Vec<f64> = values
        .iter()
        .map(|v| (0..k).fold(1.0, |p, _| p * (v - centre)))
        .collect();
    mean_and_se(&powers)
}

/// First four moments against exact ones and against the reference sample.
fn moments_agree(what: &str, ours: &[f64], theirs: &[f64], centre: f64, exact: [f64; 4]) {
    for (k, wanted) in (1..=4).zip(exact) {
        let (mean, se) = moment(ours, k, centre);
        within_four_se(&format!("{what}: moment {k}"), mean, wanted, se, 0.0);
        let (other, other_se) = moment(theirs, k, centre);
        let both = (se * se + other_se * other_se).sqrt();
        within_four_se(
            &format!("{what}: moment {k} of the reference"),
            mean,
            other,
            both,
            0.0,
        );
    }
}

/// Largest distance of the empirical from the exact distribution function; Kolmogorov's 1 in 10,000 bound is 2.2/√n.
fn follows(what: &str, values: &[f64], cumulative: impl Fn(f64) -> f64) {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len() as f64;
    let mut worst: f64 = 0.0;
    for (i, &v) in sorted.iter().enumerate() {
        let f = cumulative(v);
        worst = worst.max(f - i as f64 / n).max((i + 1) as f64 / n - f);
    }
    assert!(worst < 2.2 / n.sqrt(), "{what}: distance {worst}");
}

/// Two-sample form of the same bound.
fn same_law(what: &str, a: &[f64], b: &[f64]) {
    let (mut a, mut b) = (a.to_vec(), b.to_vec());
    a.sort_by(f64::total_cmp);
    b.sort_by(f64::total_cmp);
    let (mut i, mut j, mut worst) = (0, 0, 0.0_f64);
    while i < a.len() && j < b.len() {
        let v = a[i].min(b[j]);
        while i < a.len() && a[i] <= v {
            i += 1;
        }
        while j < b.len() && b[j] <= v {
            j += 1;
        }
        worst = worst.max((i as f64 / a.len() as f64 - j as f64 / b.len() as f64).abs());
    }
    let n = a.len() as f64;
    assert!(worst < 2.2 * (2.0 / n).sqrt(), "{what}: distance {worst}");
}

#[test]
fn uniform_draws_are_uniform() {
    let ours = draws(LongStream::uniform);
    follows("uniform", &ours, |v| v);
    assert!(ours.iter().all(|&v| v > 0.0 && v < 1.0));
}

#[test]
fn exponential_draws_are_exponential() {
    let tables = Tables::get();
    let ours = draws(|s| s.exponential(tables));
    let theirs = reference(&rand_distr::Exp1);
    moments_agree("exponential", &ours, &theirs, 0.0, [1.0, 2.0, 6.0, 24.0]);
    follows("exponential", &ours, |v| -libm::expm1(-v));
    same_law("exponential", &ours, &theirs);
}

#[test]
fn normal_draws_are_normal() {
    let tables = Tables::get();
    let ours = draws(|s| s.normal(tables));
    let theirs = reference(&rand_distr::StandardNormal);
    moments_agree("normal", &ours, &theirs, 0.0, [0.0, 1.0, 0.0, 3.0]);
    follows("normal", &ours, |v| {
        0.5 * libm::erfc(-v / std::f64::consts::SQRT_2)
    });
    same_law("normal", &ours, &theirs);
    // Beyond the base of the ziggurat the tail has its own rule.
    let far = ours.iter().filter(|v| v.abs() > 3.654_152_885).count() as f64;
    let expected = f64::from(N) * libm::erfc(3.654_152_885 / std::f64::consts::SQRT_2);
    within_four_se("normal tail", far, expected, expected.sqrt(), 0.0);
}

#[test]
fn poisson_counts_are_poisson() {
    let tables = Tables::get();
    for mean in [0.3, 4.0, 29.9, 30.1, 250.0, 40_000.0] {
        let ours = draws(|s| s.poisson(mean, tables) as f64);
        let law = rand_distr::Poisson::new(mean).unwrap();
        let theirs = reference(&law);
        let exact = [0.0, mean, mean, 3.0 * mean * mean + mean];
        moments_agree(&format!("Poisson {mean}"), &ours, &theirs, mean, exact);
        same_law(&format!("Poisson {mean}"), &ours, &theirs);
    }
}

#[test]
fn streams_of_different_keys_are_unrelated() {
    let n = 200_000;
    let pairs = [
        ((1, 0, 0, Purpose::Flight), (1, 0, 1, Purpose::Flight)),
        ((1, 0, 0, Purpose::Flight), (1, 1, 0, Purpose::Flight)),
        ((1, 0, 0, Purpose::Flight), (1, 0, 0, Purpose::Plant)),
        ((1, 0, 0, Purpose::Flight), (2, 0, 0, Purpose::Flight)),
    ];
    for (a, b) in pairs {
        let mut first = LongStream::new(a.0, a.1, a.2, a.3);
        let mut second = LongStream::new(b.0, b.1, b.2, b.3);
        let products: Vec<f64> = (0..n)
            .map(|_| (first.uniform() - 0.5) * (second.uniform() - 0.5))
            .collect();
        let (mean, se) = mean_and_se(&products);
        within_four_se(&format!("{a:?} and {b:?}"), mean, 0.0, se, 0.0);
    }
}
