//! The correlated random walk against its closed form and against published dispersal distances.

use crate::common::{fixed, mean_and_se, within_four_se};
use crate::yard::seed::seed;
use lurefield::engine::random::{LongStream, Purpose, Tables};
use lurefield::engine::walk::{StepLaw, TurnLaw, Walk, mean_squared_displacement, uniform_heading};

const SEED: u64 = 41;

/// Squared displacement of each of many walkers.
fn squared_displacements(walk: &Walk, steps: u32, walkers: u32) -> Vec<f64> {
    let tables = Tables::get();
    (0..walkers)
        .map(|id| {
            let mut stream = LongStream::new(seed(SEED), steps, id, Purpose::Flight);
            let (mut ux, mut uy) = uniform_heading(stream.uniform());
            let (mut x, mut y) = (0.0, 0.0);
            for _ in 0..steps {
                let length = walk.length(&mut stream, tables);
                x += ux * length;
                y += uy * length;
                (ux, uy) = walk.turned(ux, uy, &mut stream, tables);
            }
            x * x + y * y
        })
        .collect()
}

/// Turn SD that gives a mean cosine.
fn sd_for(mean_cosine: f64) -> f64 {
    (-2.0 * libm::log(mean_cosine)).sqrt()
}

/// Kareiva & Shigesada 1983 (formula from memory, confirmed by simulation).
#[test]
fn closed_form_of_squared_displacement_gives_the_reference_values() {
    assert!((mean_squared_displacement(10, 1.0, 1.0, 0.5) - 26.0039).abs() < 1e-4);
    assert!((mean_squared_displacement(10, 1.0, 2.0, 0.5) - 36.0039).abs() < 1e-4);
    assert!((mean_squared_displacement(100, 1.0, 1.0, 0.9) - 1720.005).abs() < 1e-3);
}

#[test]
fn walk_of_fixed_steps_spreads_as_k1_says() {
    let (mean, se) = mean_and_se(&squared_displacements(
        &fixed(1.0, sd_for(0.5)),
        10,
        400_000,
    ));
    within_four_se("K1 fixed steps", mean, 26.0039, se, 0.0);
}

#[test]
fn walk_of_exponential_steps_spreads_as_k1_says() {
    let walk = Walk {
        step: StepLaw::Exponential(1.0),
        turn: TurnLaw::WrappedNormal(sd_for(0.5)),
    };
    let (mean, se) = mean_and_se(&squared_displacements(&walk, 10, 400_000));
    within_four_se("K1 exponential steps", mean, 36.0039, se, 0.0);
}

#[test]
fn walk_of_straight_habit_spreads_as_k3_says() {
    let (mean, se) = mean_and_se(&squared_displacements(
        &fixed(1.0, sd_for(0.9)),
        100,
        100_000,
    ));
    within_four_se("K3", mean, 1720.005, se, 0.0);
}

/// Byers 2001, Ecology 82: 1680-1690, tables 1 and 2. Published value: 1 % + 4 SE.
#[test]
fn published_dispersal_distances_come_out() {
    for (who, step_m, turn_sd_deg, steps, published_m) in [
        ("C1 Steinernema", 0.000_351_5, 19.66_f64, 1000, 0.0576),
        ("C2 Serrastruma", 0.015, 46.98, 1000, 1.03),
        ("C3 Tapinoma", 0.0268, 33.7, 1000, 2.56),
        ("C5 Pterostichus", 1.28, 44.68, 1000, 92.62),
        ("C6 Pieris", 2.56, 48.06, 1000, 172.44),
        ("C8 Hylobius", 0.0872, 23.99, 1000, 11.71),
        ("C10 two thousand steps", 2.0, 30.0, 2000, 303.0),
    ] {
        let walk = fixed(step_m, turn_sd_deg.to_radians());
        let distances: Vec<f64> = squared_displacements(&walk, steps, 20_000)
            .into_iter()
            .map(f64::sqrt)
            .collect();
        let (mean, se) = mean_and_se(&distances);
        within_four_se(who, mean, published_m, se, 0.01 * published_m);
    }
}

/// The walk of Byers 2000 (2 m/s, 1 h, a uniform turn within 10 degrees each second).
#[test]
fn bark_beetle_walk_has_the_recomputed_root_mean_square() {
    let walk = Walk {
        step: StepLaw::Fixed(2.0),
        turn: TurnLaw::Uniform(10_f64.to_radians()),
    };
    let c = walk.turn.mean_cosine();
    let formula_m = mean_squared_displacement(3600, 2.0, 4.0, c).sqrt();
    assert!((formula_m - 2314.6).abs() < 0.1, "formula {formula_m}");
    let (mean, se) = mean_and_se(&squared_displacements(&walk, 3600, 10_000));
    within_four_se("C12", mean, 2314.6 * 2314.6, se, 0.1 * 2.0 * 2314.6);
}

/// C13: the area visited grows with time and falls with the square of the turning range (Byers 2000, published).
#[test]
fn area_scales_with_time_and_with_the_inverse_square_of_the_turns() {
    let squared = |turn_deg: f64, steps: u32| {
        let walk = Walk {
            step: StepLaw::Fixed(2.0),
            turn: TurnLaw::Uniform(turn_deg.to_radians()),
        };
        mean_and_se(&squared_displacements(&walk, steps, 4_000))
    };
    // For turns within ±A the long-run factor is (1 + c)/(1 − c) with c = sin A / A, close to 12/A².
    let factor = |turn_deg: f64| {
        let c = TurnLaw::Uniform(turn_deg.to_radians()).mean_cosine();
        (1.0 + c) / (1.0 - c)
    };
    assert!((factor(10.0) / factor(20.0) / 4.0 - 1.0).abs() < 0.02);
    let (narrow, narrow_se) = squared(10.0, 4_000);
    let (wide, wide_se) = squared(20.0, 4_000);
    let (longer, longer_se) = squared(20.0, 8_000);
    let ratio = |a: f64, a_se: f64, b: f64, b_se: f64| {
        (
            a / b,
            a / b * ((a_se / a) * (a_se / a) + (b_se / b) * (b_se / b)).sqrt(),
        )
    };
    // The start is straighter than the long run: allow the share of the first straight stretch.
    let (by_turn, se) = ratio(narrow, narrow_se, wide, wide_se);
    within_four_se("C13 turns", by_turn, 4.0, se, 0.12);
    let (by_time, se) = ratio(longer, longer_se, wide, wide_se);
    within_four_se("C13 time", by_time, 2.0, se, 0.02);
}

/// Long-run growth of the squared displacement is four times the diffusivity.
#[test]
fn diffusivity_is_a_quarter_of_the_growth_of_squared_displacement() {
    for (walk, m2) in [
        (fixed(2.0, 0.6), 4.0),
        (
            Walk {
                step: StepLaw::Exponential(2.0),
                turn: TurnLaw::Uniform(1.0),
            },
            8.0,
        ),
    ] {
        let c = walk.turn.mean_cosine();
        let growth = mean_squared_displacement(20_001, 2.0, m2, c)
            - mean_squared_displacement(20_000, 2.0, m2, c);
        let speed = 1.5;
        let per_second = growth / (2.0 / speed);
        assert!((walk.diffusivity(speed) - per_second / 4.0).abs() < 1e-9 * per_second);
    }
}
