//! Walkers and traps against exact mathematics, through the engine.
//!
//! A walk of fixed steps notices an absorbing disc a little later than a Brownian walk would. That bias is known
//! ([`edge_shift_per_step`]) and is taken into the expected value, so that only chance is left in the bound.

use crate::common::{
    bare, disc, edge_shift_per_step, fixed, flyer, isotropic, mean_and_se, outcome, share_and_se,
    within_four_se,
};
use crate::yard::seed::seed;
use lurefield::engine::event::Fate;
use lurefield::engine::flight::Lures;
use lurefield::engine::ground::{Ground, Outline, Wall};
use lurefield::engine::random::{Purpose, ShortStream, Tables};
use lurefield::engine::walk::{Walk, uniform_heading};
use lurefield::geometry::{Point, Rect};
use std::f64::consts::PI;

/// A hand-made stream for starting points.
fn starts(id: u32) -> ShortStream {
    ShortStream::new(seed(77), 0, id, Purpose::Arrival)
}

fn caught(fate: Option<Fate>) -> bool {
    matches!(fate, Some(Fate::Caught(_)))
}

/// Share of walkers from a circle of radius `from_m` that touch a trap before they cross an outer circle of 100 m.
fn share_before_edge(walk: Walk, traps: &[(f64, f64)], from_m: f64, walkers: u32) -> (f64, f64) {
    let ground = bare(
        Outline::Disc { radius_m: 100.0 },
        Wall::Open,
        walk,
        1.0,
        1e7,
    );
    let lures = Lures::new(traps.iter().map(|t| disc(t.0, t.1, 1.0)).collect());
    let mut hits = 0;
    for id in 0..walkers {
        let mut stream = starts(id);
        let (ux, uy) = uniform_heading(stream.uniform());
        let heading = uniform_heading(stream.uniform());
        let insect = flyer(&ground, id, Point::new(from_m * ux, from_m * uy), heading);
        hits += u32::from(caught(outcome(&ground, &lures, insect).0));
    }
    share_and_se(hits, walkers)
}

/// R2: the whole segment is tested. Reference: 110,000-800,000 walkers of an independent simulation.
#[test]
fn finite_steps_lower_the_hit_chance_as_published() {
    for (step_m, reference, reference_se, walkers) in [
        (2.0, 0.418, 0.0006, 10_000),
        (1.0, 0.461, 0.0007, 3_000),
        (0.5, 0.480, 0.001, 1_000),
    ] {
        let (p, se) = share_before_edge(isotropic(step_m), &[(0.0, 0.0)], 10.0, walkers);
        let both = (se * se + reference_se * reference_se).sqrt();
        within_four_se(&format!("R2 step {step_m}"), p, reference, both, 0.0);
    }
}

/// R1: ln(R/r)/ln(R/a), with radius and edge moved by the bias of the finite step.
#[test]
fn annulus_hit_probability_follows_the_logarithm() {
    let shift = edge_shift_per_step();
    for (from_m, exact) in [(10.0, 0.5), (20.0, 0.3495)] {
        let step_m = 0.5;
        let law = |a: f64, r: f64| libm::log(r / from_m) / libm::log(r / a);
        assert!((law(1.0, 100.0) - exact).abs() < 1e-4);
        let expected = law(1.0 - shift * step_m, 100.0 + shift * step_m);
        let (p, se) = share_before_edge(isotropic(step_m), &[(0.0, 0.0)], from_m, 1_500);
        within_four_se(&format!("R1 from {from_m} m"), p, expected, se, 0.0);
    }
}

/// The step bias itself, against the independent simulation R2 (step 0.25, radius 1: 0.491, SE 0.0015).
#[test]
fn step_bias_agrees_with_the_published_simulation() {
    let shift = edge_shift_per_step() * 0.25;
    let p = libm::log((100.0 + shift) / 10.0) / libm::log((100.0 + shift) / (1.0 - shift));
    within_four_se("R2 step 0.25", p, 0.491, 0.0015, 0.0);
}

/// Chance of being caught by point-like discs of radius `a` from a circle of radius `r` round them all, in a disc `big`:
/// the discs' charges solve the linear system of the disc's Green function.
fn discs_by_charges(traps: &[(f64, f64)], a: f64, r: f64, big: f64) -> f64 {
    let n = traps.len();
    let green = |i: usize, j: usize| {
        let ((xi, yi), (xj, yj)) = (traps[i], traps[j]);
        let (ni, nj) = (xi * xi + yi * yi, xj * xj + yj * yj);
        let apart = if i == j {
            a
        } else {
            ((xi - xj) * (xi - xj) + (yi - yj) * (yi - yj)).sqrt()
        };
        let image = (ni * nj / (big * big) + big * big - 2.0 * (xi * xj + yi * yj)).sqrt();
        libm::log(image / apart)
    };
    let matrix = nalgebra::DMatrix::from_fn(n, n, green);
    let charges = matrix
        .lu()
        .solve(&nalgebra::DVector::from_element(n, 1.0))
        .expect("separate discs give a regular system");
    charges.sum() * libm::log(big / r)
}

/// R12: two discs at distance d act like one of radius √(a·d); exact values by boundary solution.
#[test]
fn pair_of_traps_catches_as_its_joint_capacity_says() {
    let shift = edge_shift_per_step();
    for (d, formula, exact) in [(4.0, 0.1772, 0.1786), (10.0, 0.2007, 0.2010)] {
        let radius: f64 = 1.0 * d;
        let by_radius = libm::log(2.0) / libm::log(100.0 / radius.sqrt());
        assert!((by_radius - formula).abs() < 1e-4, "formula {by_radius}");
        let pair = [(-d / 2.0, 0.0), (d / 2.0, 0.0)];
        let step_m = 0.6;
        let law = |a: f64, big: f64| discs_by_charges(&pair, a, 50.0, big);
        let bias = law(1.0 - shift * step_m, 100.0 + shift * step_m) / law(1.0, 100.0);
        let (p, se) = share_before_edge(isotropic(step_m), &pair, 50.0, 3_000);
        within_four_se(&format!("R12 d {d}"), p, exact * bias, se, 0.0);
    }
}

/// R13: five discs in a line, 10 m apart: 0.3059 by boundary solution.
#[test]
fn five_traps_in_a_line_share_the_catch_as_computed() {
    let line: Vec<(f64, f64)> = (-2..=2).map(|i| (10.0 * f64::from(i), 0.0)).collect();
    let shift = edge_shift_per_step();
    let step_m = 0.6;
    let law = |a: f64, big: f64| discs_by_charges(&line, a, 50.0, big);
    assert!((law(1.0, 100.0) - 0.3059).abs() < 0.002);
    let bias = law(1.0 - shift * step_m, 100.0 + shift * step_m) / law(1.0, 100.0);
    let (p, se) = share_before_edge(isotropic(step_m), &line, 50.0, 3_000);
    within_four_se("R13", p, 0.3059 * bias, se, 0.0);
}

/// R3: mean capture time by a central disc inside a reflecting wall, uniform start.
#[test]
fn mean_capture_time_in_a_closed_disc_is_the_exact_one() {
    let law = |a: f64| {
        let r = 20.0_f64;
        r * r * r * r * libm::log(r / a) / (2.0 * (r * r - a * a)) - (3.0 * r * r - a * a) / 8.0
    };
    assert!((law(1.0) - 450.77).abs() < 0.01);
    let step_m = 0.25;
    // D = v·L/4 = 1.
    let ground = bare(
        Outline::Disc { radius_m: 20.0 },
        Wall::Reflecting,
        isotropic(step_m),
        4.0 / step_m,
        1e6,
    );
    let lures = Lures::new(vec![disc(0.0, 0.0, 1.0)]);
    let times: Vec<f64> = (0..1_500)
        .map(|id| {
            let mut stream = starts(id);
            let r = (1.0 + (400.0 - 1.0) * stream.uniform()).sqrt();
            let (ux, uy) = uniform_heading(stream.uniform());
            let heading = uniform_heading(stream.uniform());
            let insect = flyer(&ground, id, Point::new(r * ux, r * uy), heading);
            let (fate, t_s) = outcome(&ground, &lures, insect);
            assert!(caught(fate), "a closed disc lets nobody go");
            t_s
        })
        .collect();
    let (mean, se) = mean_and_se(&times);
    let expected = law(1.0 - edge_shift_per_step() * step_m);
    within_four_se("R3", mean, expected, se, 0.0);
}

/// Q/(c0·a²) of R4: the integral over ln u, with the slow tail toward u = 0 added in closed form.
fn cumulative_catch(tau: f64) -> f64 {
    let f = |x: f64| {
        let u = libm::exp(x);
        let (j, y) = (libm::j0(u), libm::y0(u));
        -libm::expm1(-u * u * tau) / (u * u * (j * j + y * y))
    };
    let (low, high, n) = (-60.0, 12.0, 40_000);
    let h = (high - low) / f64::from(n);
    let mut sum = f(low) + f(high);
    for i in 1..n {
        sum += f(low + f64::from(i) * h) * if i % 2 == 1 { 4.0 } else { 2.0 };
    }
    // For small u: Y0 ≈ (2/π)(x + γ − ln 2), so the integrand is τ·(π/2)²/((x + γ − ln 2)² + (π/2)²).
    let centre = low + 0.577_215_664_901_532_9 - std::f64::consts::LN_2;
    let tail = tau * PI / 2.0 * (libm::atan(centre / (PI / 2.0)) + PI / 2.0);
    8.0 / PI * (sum * h / 3.0 + tail)
}

/// R4: cumulative count of a circular trap in an infinite plane.
#[test]
fn cumulative_catch_in_the_open_plane_follows_the_exact_curve() {
    assert!((cumulative_catch(1.0) / 9.8539 - 1.0).abs() < 1e-3);
    assert!((cumulative_catch(10.0) / 46.505 - 1.0).abs() < 1e-3);
    for (tau, step_m, out_m, walkers) in [(1.0, 0.1, 9.0, 60_000), (10.0, 0.25, 25.0, 60_000)] {
        let half = 2.0 * out_m;
        let ground = bare(
            Outline::Rect(Rect::new(-half, -half, half, half)),
            Wall::Reflecting,
            isotropic(step_m),
            4.0 / step_m,
            tau,
        );
        let lures = Lures::new(vec![disc(0.0, 0.0, 1.0)]);
        let mut hits = 0;
        for id in 0..walkers {
            let mut stream = starts(id);
            // Uniform over the ring from the trap's edge to so far out that nobody comes in from beyond.
            let r = (1.0 + (out_m * out_m - 1.0) * stream.uniform()).sqrt();
            let (ux, uy) = uniform_heading(stream.uniform());
            let heading = uniform_heading(stream.uniform());
            let insect = flyer(&ground, id, Point::new(r * ux, r * uy), heading);
            hits += u32::from(caught(outcome(&ground, &lures, insect).0));
        }
        let (p, se) = share_and_se(hits, walkers);
        let area = PI * (out_m * out_m - 1.0);
        let a = 1.0 - edge_shift_per_step() * step_m;
        // The seeming disc of radius a catches a²·F(τ/a²), less those that would have started between it and the edge.
        let expected = a * a * cumulative_catch(tau / (a * a)) - PI * (1.0 - a * a);
        within_four_se(
            &format!("R4 at tau {tau}"),
            p * area,
            expected,
            se * area,
            0.0,
        );
    }
}

/// J/(c0·D) of R5, the rate at which the catch of R4 grows.
fn catch_rate(tau: f64) -> f64 {
    let h = 1e-3 * tau;
    (cumulative_catch(tau + h) - cumulative_catch(tau - h)) / (2.0 * h)
}

/// R5: the flux of R4 at two times.
#[test]
fn rate_of_the_catch_is_the_published_flux() {
    assert!((catch_rate(1.0) / 6.1812 - 1.0).abs() < 1e-3);
    assert!((catch_rate(10.0) / 3.3547 - 1.0).abs() < 1e-3);
}

/// R5 and R11: captures of a circular trap in disjoint intervals follow the flux. A fixed number at the start gives
/// multinomial counts; a Poisson number gives independent Poisson counts (Jansen & Metz 1979, from memory; published).
#[test]
fn captures_in_disjoint_intervals_follow_the_law_of_the_counts() {
    let (step_m, out_m, edges) = (0.25, 25.0, [2.0, 4.0, 6.0, 8.0, 10.0]);
    let walkers = 60_000;
    let ground = bare(
        Outline::Rect(Rect::new(-50.0, -50.0, 50.0, 50.0)),
        Wall::Reflecting,
        isotropic(step_m),
        4.0 / step_m,
        10.0,
    );
    let lures = Lures::new(vec![disc(0.0, 0.0, 1.0)]);
    // Interval of each walker's capture; the last number stands for none of them.
    let interval: Vec<usize> = (0..walkers)
        .map(|id| {
            let mut stream = starts(id);
            let r = (1.0 + (out_m * out_m - 1.0) * stream.uniform()).sqrt();
            let (ux, uy) = uniform_heading(stream.uniform());
            let heading = uniform_heading(stream.uniform());
            let insect = flyer(&ground, id, Point::new(r * ux, r * uy), heading);
            let (fate, t_s) = outcome(&ground, &lures, insect);
            if caught(fate) && t_s >= edges[0] {
                edges.windows(2).position(|e| t_s < e[1]).unwrap_or(3)
            } else {
                4
            }
        })
        .collect();
    let area = PI * (out_m * out_m - 1.0);
    let a = 1.0 - edge_shift_per_step() * step_m;
    let caught_by = |t: f64| a * a * cumulative_catch(t / (a * a)) / area;
    let shares: Vec<f64> = edges
        .windows(2)
        .map(|e| caught_by(e[1]) - caught_by(e[0]))
        .collect();
    let n = f64::from(walkers);
    let rest = 1.0 - shares.iter().sum::<f64>();
    let chi_square: f64 = shares
        .iter()
        .chain([&rest])
        .enumerate()
        .map(|(k, p)| {
            let seen = interval.iter().filter(|i| **i == k).count() as f64;
            (seen - n * p) * (seen - n * p) / (n * p)
        })
        .sum();
    // 18.47 is exceeded once in a thousand with four degrees of freedom.
    assert!(chi_square < 18.47, "chi-square {chi_square}");

    // The same walkers in batches of Poisson size: counts of two intervals, batch by batch.
    let mut sizes = ShortStream::new(seed(7), 0, 0, Purpose::Arrival);
    let (mut first, mut counts) = (0, Vec::new());
    loop {
        let size = sizes.poisson(400.0, Tables::get()) as usize;
        if first + size > interval.len() {
            break;
        }
        let batch = &interval[first..first + size];
        let count = |k: usize| batch.iter().filter(|i| **i == k).count() as f64;
        counts.push((count(0), count(1)));
        first += size;
    }
    let m = counts.len() as f64;
    let mean = |f: &dyn Fn(&(f64, f64)) -> f64| counts.iter().map(f).sum::<f64>() / m;
    let (x, y) = (mean(&|c| c.0), mean(&|c| c.1));
    let variance = |value: &dyn Fn(&(f64, f64)) -> f64, centre: f64| {
        mean(&|c| (value(c) - centre) * (value(c) - centre))
    };
    let (vx, vy) = (variance(&|c| c.0, x), variance(&|c| c.1, y));
    // Index of dispersion of a Poisson count: 1 with standard error √(2/m); correlation 0 with standard error 1/√m.
    for (v, centre) in [(vx, x), (vy, y)] {
        within_four_se("dispersion", v / centre, 1.0, (2.0 / m).sqrt(), 0.0);
    }
    let correlation = mean(&|c| (c.0 - x) * (c.1 - y)) / (vx * vy).sqrt();
    within_four_se("correlation", correlation, 0.0, 1.0 / m.sqrt(), 0.0);
}

/// R6: a straight edge that absorbs takes 2·U0·√(Dt/π) per metre; the seeming edge lies a little farther out.
#[test]
fn straight_edge_takes_the_exact_number() {
    let (step_m, depth_m, walkers) = (0.5, 90.0, 40_000);
    let ground = bare(
        Outline::Rect(Rect::new(0.0, -500.0, 1000.0, 500.0)),
        Wall::Open,
        isotropic(step_m),
        4.0 / step_m,
        100.0,
    );
    let exact = 2.0 * (100.0 / PI).sqrt();
    assert!((exact - 11.2838).abs() < 1e-3);
    let mut hits = 0;
    for id in 0..walkers {
        let mut stream = starts(id);
        let at = Point::new(depth_m * stream.uniform(), 0.0);
        let insect = flyer(&ground, id, at, uniform_heading(stream.uniform()));
        hits += u32::from(outcome(&ground, &Lures::none(), insect).0 == Some(Fate::Left));
    }
    let (p, se) = share_and_se(hits, walkers);
    // Seen from the seeming edge the first metres are empty: to first order the catch is less by their width.
    let expected = exact - edge_shift_per_step() * step_m;
    within_four_se("R6", p * depth_m, expected, se * depth_m, 0.0);
}

/// R7: straight flight from the centre of a ring of traps.
#[test]
fn ring_of_traps_catches_its_angular_share() {
    let (n, e, ring) = (8.0, 1.5, 100.0);
    let exact = n * libm::asin(e / ring) / PI;
    assert!((n * e / (PI * ring) - 0.038_197).abs() < 1e-6);
    assert!((exact - 0.038_199).abs() < 1e-6);
    let ground = bare(
        Outline::Disc { radius_m: 110.0 },
        Wall::Open,
        fixed(1e6, 0.0),
        1.0,
        1e6,
    );
    let traps = (0..8).map(|i| {
        let (s, c) = libm::sincos(f64::from(i) * PI / 4.0 + 0.1);
        disc(ring * c, ring * s, e)
    });
    let lures = Lures::new(traps.collect());
    let walkers = 400_000;
    let mut hits = 0;
    for id in 0..walkers {
        let heading = uniform_heading(starts(id).uniform());
        let insect = flyer(&ground, id, Point::new(0.0, 0.0), heading);
        hits += u32::from(caught(outcome(&ground, &lures, insect).0));
    }
    let (p, se) = share_and_se(hits, walkers);
    within_four_se("R7", p, exact, se, 0.0);
}

/// A square kilometre with reflecting edges and one hour of flight at 2 m/s, a turn each second.
fn square_kilometre(walk: Walk) -> Ground {
    bare(
        Outline::Rect(Rect::new(0.0, 0.0, 1000.0, 1000.0)),
        Wall::Reflecting,
        walk,
        2.0,
        3600.0,
    )
}

fn share_caught_in_an_hour(walk: Walk, traps: &[(f64, f64)], walkers: u32) -> (f64, f64) {
    let ground = square_kilometre(walk);
    let lures = Lures::new(traps.iter().map(|t| disc(t.0, t.1, 2.0)).collect());
    let mut hits = 0;
    for id in 0..walkers {
        let mut stream = starts(id);
        let at = Point::new(1000.0 * stream.uniform(), 1000.0 * stream.uniform());
        let insect = flyer(&ground, id, at, uniform_heading(stream.uniform()));
        hits += u32::from(caught(outcome(&ground, &lures, insect).0));
    }
    share_and_se(hits, walkers)
}

fn grid_of_100() -> Vec<(f64, f64)> {
    (0..100)
        .map(|i| {
            (
                50.0 + 100.0 * f64::from(i % 10),
                50.0 + 100.0 * f64::from(i / 10),
            )
        })
        .collect()
}

/// R9 (independent simulation, 20,000 walkers); R8 holds within 1.5 points for turns of 5 to 30 degrees.
#[test]
fn hundred_traps_catch_as_the_encounter_law_and_its_published_limits_say() {
    let law = lurefield::engine::ear::share_caught(2.0, 2.0, 100.0, 3600.0, 1e6);
    assert!((law - 0.9439).abs() < 1e-4);
    let walkers = 2_000;
    for (turn_deg, reference) in [
        (0.0_f64, 0.923),
        (5.0, 0.947),
        (20.0, 0.950),
        (30.0, 0.941),
        (60.0, 0.849),
        (120.0, 0.595),
    ] {
        let walk = fixed(2.0, turn_deg.to_radians());
        let (p, se) = share_caught_in_an_hour(walk, &grid_of_100(), walkers);
        let reference_se: f64 = (reference * (1.0 - reference) / 20_000.0_f64).sqrt();
        let both = (se * se + reference_se * reference_se).sqrt();
        within_four_se(&format!("R9 turn {turn_deg}"), p, reference, both, 0.0);
        if (5.0..=30.0).contains(&turn_deg) {
            within_four_se(&format!("R8 turn {turn_deg}"), p, law, se, 0.015);
        }
    }
    let (p, se) = share_caught_in_an_hour(isotropic(2.0), &grid_of_100(), walkers);
    let both = (se * se + 0.532 * 0.468 / 20_000.0).sqrt();
    within_four_se("R9 uncorrelated", p, 0.532, both, 0.0);
}

/// R8 for a single trap: 2.84 %.
#[test]
fn single_trap_catches_as_the_encounter_law_says() {
    let law = lurefield::engine::ear::share_caught(2.0, 2.0, 1.0, 3600.0, 1e6);
    assert!((law - 0.0284).abs() < 1e-4);
    let walk = fixed(2.0, 10_f64.to_radians());
    let (p, se) = share_caught_in_an_hour(walk, &[(500.0, 500.0)], 4_000);
    within_four_se("R8 one trap", p, law, se, 0.0);
}

/// R10: Byers 1993 (published): grid and random placing catch alike as long as the discs do not overlap.
///
/// Tested while few are caught. When most are, places far from any trap empty last, and a random placing lags behind.
#[test]
fn regular_and_random_placing_catch_alike() {
    let mut ground = square_kilometre(fixed(2.0, 20_f64.to_radians()));
    ground.clock.day_s = 600.0;
    let (sets, each) = (60, 200);
    let mut hits = [0_u32; 2];
    let grid: Vec<(f64, f64)> = (0..30)
        .map(|i| {
            let (column, row) = (f64::from(i % 6), f64::from(i / 6));
            ((column + 0.5) * 1000.0 / 6.0, (row + 0.5) * 200.0)
        })
        .collect();
    for set in 0..sets {
        let random = apart(30, &mut starts(1_000_000 + set));
        for (k, traps) in [&grid, &random].into_iter().enumerate() {
            let lures = Lures::new(traps.iter().map(|t| disc(t.0, t.1, 2.0)).collect());
            for i in 0..each {
                let id = set * each + i;
                let mut stream = starts(id);
                let at = Point::new(1000.0 * stream.uniform(), 1000.0 * stream.uniform());
                let insect = flyer(&ground, id, at, uniform_heading(stream.uniform()));
                hits[k] += u32::from(caught(outcome(&ground, &lures, insect).0));
            }
        }
    }
    let (p, se_p) = share_and_se(hits[0], sets * each);
    let (q, se_q) = share_and_se(hits[1], sets * each);
    within_four_se("R10", p, q, (se_p * se_p + se_q * se_q).sqrt(), 0.0);
}

/// Places of discs of 2 m that neither overlap nor touch the edge of the square kilometre.
fn apart(n: usize, stream: &mut ShortStream) -> Vec<(f64, f64)> {
    let mut places: Vec<(f64, f64)> = Vec::new();
    while places.len() < n {
        let x = 2.0 + 996.0 * stream.uniform();
        let y = 2.0 + 996.0 * stream.uniform();
        let free = |p: &(f64, f64)| (p.0 - x) * (p.0 - x) + (p.1 - y) * (p.1 - y) > 16.0;
        if places.iter().all(free) {
            places.push((x, y));
        }
    }
    places
}
