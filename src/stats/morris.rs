//! Screening by elementary effects: how much an answer moves when one input at a time takes a step.
//!
//! # Source
//! Morris 1991, Technometrics 33: 161-174; mean of the absolute effects: Campolongo, Cariboni & Saltelli 2007,
//! Environ. Model. Softw. 22: 1509-1518 (both from memory; numbers checked on the Ishigami function).

use crate::stats::spread::{mean, squares_about};

/// A path through the grid: each step moves one input by delta.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// `inputs + 1` points in \[0, 1\]^inputs.
    pub points: Vec<Vec<f64>>,
    /// Which input moves from point `i` to point `i + 1`.
    pub order: Vec<usize>,
    /// By how much, signed.
    pub steps: Vec<f64>,
}

/// The effects of one input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effects {
    /// Mean effect, for a step over the whole range.
    pub mu: f64,
    /// Mean size of the effect, whatever its sign.
    pub mu_star: f64,
    /// Standard deviation of the effects: large when the input bends or depends on others.
    pub sigma: f64,
    /// Standard error of `mu_star`.
    pub mu_star_error: f64,
}

/// Random paths on a grid of `levels` (even, at least 2) with steps of `levels / (2·(levels − 1))`.
///
/// Shape: `uniform` gives numbers in \[0, 1).
pub fn paths(
    inputs: usize,
    n: usize,
    levels: usize,
    mut uniform: impl FnMut() -> f64,
) -> Vec<Path> {
    let half = (levels / 2).max(1);
    let delta = half as f64 / (2 * half - 1) as f64;
    let one = |_| {
        let mut at: Vec<f64> = Vec::with_capacity(inputs);
        let mut moves: Vec<f64> = Vec::with_capacity(inputs);
        for _ in 0..inputs {
            // The lower half of the grid steps up, the upper half down, so that all points are equally likely.
            let low = (uniform() * half as f64) as usize;
            let base = low as f64 / (2 * half - 1) as f64;
            let up = uniform() < 0.5;
            at.push(if up { base } else { base + delta });
            moves.push(if up { delta } else { -delta });
        }
        let mut order: Vec<usize> = (0..inputs).collect();
        for i in (1..inputs).rev() {
            order.swap(i, (uniform() * (i + 1) as f64) as usize);
        }
        let mut points = vec![at.clone()];
        for &input in &order {
            at[input] = (at[input] + moves[input]).clamp(0.0, 1.0);
            points.push(at.clone());
        }
        let steps = order.iter().map(|&i| moves[i]).collect();
        Path {
            points,
            order,
            steps,
        }
    };
    (0..n).map(one).collect()
}

/// Effects of every input from the answers along the paths, in the order of the paths and their points.
///
/// Shape: `answers[p].len() == inputs + 1`.
pub fn effects(paths: &[Path], answers: &[Vec<f64>]) -> Vec<Effects> {
    let inputs = paths.first().map_or(0, |p| p.order.len());
    let mut all: Vec<Vec<f64>> = vec![Vec::with_capacity(paths.len()); inputs];
    for (path, answer) in paths.iter().zip(answers) {
        for (i, (&input, step)) in path.order.iter().zip(&path.steps).enumerate() {
            all[input].push((answer[i + 1] - answer[i]) / step);
        }
    }
    all.iter().map(|e| summary(e)).collect()
}

fn summary(effects: &[f64]) -> Effects {
    let n = effects.len() as f64;
    let sizes: Vec<f64> = effects.iter().map(|e| e.abs()).collect();
    let variance = |values: &[f64]| squares_about(values, mean(values)) / (n - 1.0).max(1.0);
    Effects {
        mu: mean(effects),
        mu_star: mean(&sizes),
        sigma: variance(effects).sqrt(),
        mu_star_error: (variance(&sizes) / n).sqrt(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_moves_each_input_once_and_stays_in_the_cube() {
        let mut i = 0_u32;
        let mut uniform = || {
            i = i.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(i) / 4_294_967_296.0
        };
        for path in paths(5, 50, 4, &mut uniform) {
            let mut order = path.order.clone();
            order.sort_unstable();
            assert_eq!(order, [0, 1, 2, 3, 4]);
            for p in &path.points {
                assert!(p.iter().all(|x| (0.0..=1.0).contains(x)));
            }
            for (i, pair) in path.points.windows(2).enumerate() {
                let moved = pair[1][path.order[i]] - pair[0][path.order[i]];
                assert!((moved - path.steps[i]).abs() < 1e-12);
                assert!((moved.abs() - 2.0 / 3.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_straight_line_has_its_slope_as_effect_and_no_spread() {
        let mut i = 0.0;
        let found = paths(2, 8, 4, || {
            i += 0.37;
            i % 1.0
        });
        let answers: Vec<Vec<f64>> = found
            .iter()
            .map(|p| p.points.iter().map(|x| 3.0 * x[0] - 2.0 * x[1]).collect())
            .collect();
        let e = effects(&found, &answers);
        assert!((e[0].mu - 3.0).abs() < 1e-12 && (e[1].mu + 2.0).abs() < 1e-12);
        assert!((e[1].mu_star - 2.0).abs() < 1e-12 && e[1].sigma < 1e-12);
    }
}
