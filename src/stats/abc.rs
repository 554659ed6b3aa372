//! Keeping the parameter sets whose simulated measures lie in bands set beforehand, and what that says about each
//! parameter.
//!
//! # Source
//! Rejection sampling with summary measures: Beaumont, Zhang & Balding 2002, Genetics 162: 2025-2035 (from memory).

use crate::stats::quantile::{quantile, sorted};
use serde::Serialize;

/// Share of truths that a told range holds at least.
pub const MIDDLE: f64 = 0.9;

/// Fewest kept sets that can tell such a range; with fewer the whole prior range stands.
pub const FEWEST: usize = 19;

/// A band; an absent end is open.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band {
    /// Low end.
    pub low: Option<f64>,
    /// High end.
    pub high: Option<f64>,
}

impl Band {
    /// How far a value lies outside: 0 inside; else the excess in half widths of the band, or, with one end, in sizes
    /// of that end (1 when the end is 0). Infinite for a value that is no number.
    pub fn distance(&self, value: f64) -> f64 {
        if value.is_nan() {
            return f64::INFINITY;
        }
        let scale = match (self.low, self.high) {
            (Some(a), Some(b)) if b > a => 0.5 * (b - a),
            (Some(end), _) | (None, Some(end)) if end != 0.0 => end.abs(),
            _ => 1.0,
        };
        let below = self.low.map_or(0.0, |low| (low - value) / scale);
        let above = self.high.map_or(0.0, |high| (value - high) / scale);
        below.max(above).max(0.0)
    }
}

/// Distance of each set: the largest of its measures' distances.
///
/// Shape: `values[set][measure]`, one band a measure.
pub fn distances(values: &[Vec<f64>], bands: &[Band]) -> Vec<f64> {
    let of = |set: &Vec<f64>| {
        let each = set.iter().zip(bands).map(|(v, b)| b.distance(*v));
        each.fold(0.0, f64::max)
    };
    values.iter().map(of).collect()
}

/// Indices of the sets within `epsilon`, in order.
pub fn kept(distances: &[f64], epsilon: f64) -> Vec<usize> {
    let near = |i: &usize| distances[*i] <= epsilon;
    (0..distances.len()).filter(near).collect()
}

/// Moves kept sets from what they gave to what was observed, by linear regression of the logit of each quantile on the
/// measures; each set to a draw of its own within the error of the observation.
///
/// Shape: `quantiles[set][parameter]` in (0, 1), `values[set][measure]`, `observed[measure]` a value with its standard error
/// or none. Sets come back as they are where no measure was observed, and where there are too few of them or they do not
/// vary. `normal` gives standard normal numbers.
/// # Source
/// Beaumont, Zhang & Balding 2002, Genetics 162: 2025-2035; the error of the observation: Wilkinson 2013, Stat Appl Genet
/// Mol Biol 12: 129-141 (both from memory).
pub fn moved(
    quantiles: &[Vec<f64>],
    values: &[Vec<f64>],
    observed: &[Option<(f64, f64)>],
    mut normal: impl FnMut() -> f64,
) -> Vec<Vec<f64>> {
    let used = observed.iter().enumerate();
    let used: Vec<(usize, (f64, f64))> = used.filter_map(|(m, told)| Some((m, (*told)?))).collect();
    let (n, k) = (quantiles.len(), used.len());
    if k == 0 || n < 10 * (k + 1) {
        return quantiles.to_vec();
    }
    let given = nalgebra::DMatrix::from_fn(n, k + 1, |set, column| match column.checked_sub(1) {
        None => 1.0,
        Some(m) => values[set][used[m].0] - used[m].1.0,
    });
    let logit = |q: f64| {
        let q = q.clamp(1e-6, 1.0 - 1e-6);
        libm::log(q / (1.0 - q))
    };
    let parameters = quantiles[0].len();
    let wanted = nalgebra::DMatrix::from_fn(n, parameters, |set, p| logit(quantiles[set][p]));
    let normal_matrix = given.transpose() * &given;
    let Some(inverse) = normal_matrix.try_inverse() else {
        return quantiles.to_vec();
    };
    let slopes = inverse * given.transpose() * &wanted;
    let moved = |set: usize| {
        let to: Vec<f64> = used
            .iter()
            .map(|(_, (_, error))| error * normal())
            .collect();
        let at = |p: usize| {
            let part = |m: usize| slopes[(m + 1, p)] * (to[m] - given[(set, m + 1)]);
            let shift: f64 = (0..k).map(part).sum();
            1.0 / (1.0 + libm::exp(-(wanted[(set, p)] + shift)))
        };
        (0..parameters).map(at).collect()
    };
    (0..n).map(moved).collect()
}

/// What the kept sets say about one parameter, in quantiles of its prior range.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Marginal {
    /// Middle of the kept sets.
    pub median: f64,
    /// Low end of the range that holds the truth at least 90 times of 100 ([`middle`]).
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Share of truths that this range holds.
    pub share: f64,
    /// Width of the range over that of as many sets that fit by chance alone: 1 says that nothing was learnt.
    pub width_ratio: f64,
    /// What chance allows for that ratio: middle 90 of 100 resamples.
    pub width_ratio_range: [f64; 2],
    /// Largest gap between the kept sets' share and the prior's (Kolmogorov and Smirnov).
    pub gap: f64,
    /// Whether the gap is wider than chance gives once in 20 calibrations over all parameters together.
    pub informed: bool,
}

/// Ends of a range that holds the truth at least [`MIDDLE`] of the time, and the share it holds.
///
/// Kept sets and the truth are draws of one law, so each of the `n + 1` gaps between the sorted sets holds the truth
/// equally often: between the `k`-th from below and the `k`-th from above it lies with chance `(n + 1 - 2k)/(n + 1)`,
/// whatever the law. Quantiles of the sample itself hold it less often, the more so the fewer the sets. With fewer
/// than [`FEWEST`] not even the outermost two are far enough apart, and the whole range 0 to 1 is told.
/// Shape: `ladder` ascending.
/// # Source
/// Wilks 1941, Annals of Mathematical Statistics 12: 91-96 (from memory).
pub fn middle(ladder: &[f64]) -> ([f64; 2], f64) {
    let n = ladder.len();
    // The slack keeps a whole number from falling by the last bit.
    let k = (0.5 * (1.0 - MIDDLE) * (n + 1) as f64 + 1e-9) as usize;
    if k == 0 {
        return ([0.0, 1.0], 1.0);
    }
    let share = (n + 1 - 2 * k) as f64 / (n + 1) as f64;
    ([ladder[k - 1], ladder[n - k]], share)
}

/// Width of that range over the width it has on average in the prior, which is the share it holds.
fn width_ratio(ladder: &[f64]) -> f64 {
    let ([low, high], share) = middle(ladder);
    (high - low) / share
}

/// The marginal of one parameter; `None` without a kept set.
///
/// `quantiles` are the kept sets' values, `parameters` the number of parameters looked at together, `uniform` gives the
/// numbers for the resamples.
pub fn marginal(
    quantiles: &[f64],
    parameters: usize,
    resamples: usize,
    mut uniform: impl FnMut() -> f64,
) -> Option<Marginal> {
    if quantiles.is_empty() {
        return None;
    }
    let ladder = sorted(quantiles);
    let n = ladder.len();
    let tail = 0.5 * (1.0 - MIDDLE);
    let mut one = |_| ladder[((uniform() * n as f64) as usize).min(n - 1)];
    let resample = |_| width_ratio(&sorted(&(0..n).map(&mut one).collect::<Vec<f64>>()));
    let again = sorted(&(0..resamples).map(resample).collect::<Vec<f64>>());
    let range = if again.is_empty() {
        [width_ratio(&ladder); 2]
    } else {
        [quantile(&again, tail), quantile(&again, 1.0 - tail)]
    };
    let gap = gap(&ladder);
    let ([low, high], share) = middle(&ladder);
    Some(Marginal {
        median: quantile(&ladder, 0.5),
        low,
        high,
        share,
        width_ratio: width_ratio(&ladder),
        width_ratio_range: range,
        gap,
        informed: gap > gap_of_chance(n, parameters),
    })
}

/// How well one parameter comes back when the truth is known.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Recovered {
    /// Share of truths inside the told range.
    pub inside: f64,
    /// Correlation of the truth with the middle of the sets found for it.
    pub correlation: f64,
}

/// Perfect-model recovery: each of `truths` sets is taken for the truth, its values for the observation, and the truth is
/// looked for among the sets that are no truths by the rule of a calibration (where a truth only leaves the others, what is
/// found turns away from it). A band with two ends is moved so that the truth's value is
/// its middle; one with one end stays. The sets are moved by what `observed` marks.
///
/// Shape: one entry a parameter; empty without a truth.
pub fn recovery(
    points: &[Vec<f64>],
    values: &[Vec<f64>],
    bands: &[Band],
    observed: &[bool],
    truths: &[usize],
) -> Vec<Recovered> {
    let parameters = points.first().map_or(0, Vec::len);
    let mut inside = vec![0_u32; parameters];
    let mut pairs: Vec<Vec<(f64, f64)>> = vec![Vec::new(); parameters];
    for &truth in truths {
        let seen = &values[truth];
        let about = |(band, seen): (&Band, &f64)| match (band.low, band.high) {
            (Some(low), Some(high)) => {
                let half = 0.5 * (high - low);
                let [low, high] = [seen - half, seen + half].map(Some);
                Band { low, high }
            }
            _ => *band,
        };
        let bands: Vec<Band> = bands.iter().zip(seen).map(about).collect();
        let mut found = kept(&distances(values, &bands), 0.0);
        found.retain(|d| !truths.contains(d));
        let of = |all: &[Vec<f64>]| found.iter().map(|d| all[*d].clone()).collect::<Vec<_>>();
        let aim = observed.iter().zip(seen);
        let aim = aim.map(|(aim, seen)| aim.then_some((*seen, 0.0)));
        let moved = moved(&of(points), &of(values), &aim.collect::<Vec<_>>(), || 0.0);
        for axis in 0..parameters {
            let of_kept: Vec<f64> = moved.iter().map(|q| q[axis]).collect();
            let Some(learnt) = marginal(&of_kept, parameters, 0, || 0.0) else {
                continue;
            };
            let wanted = points[truth][axis];
            inside[axis] += u32::from((learnt.low..=learnt.high).contains(&wanted));
            pairs[axis].push((wanted, learnt.median));
        }
    }
    let each = inside.iter().zip(&pairs).filter(|(_, of)| !of.is_empty());
    each.map(|(inside, of)| Recovered {
        inside: f64::from(*inside) / of.len() as f64,
        correlation: correlation(of),
    })
    .collect()
}

/// Correlation of pairs; 0 where one side never differs.
fn correlation(pairs: &[(f64, f64)]) -> f64 {
    let n = pairs.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / n;
    let (a, b) = (mean(|p| p.0), mean(|p| p.1));
    let sum = |of: &dyn Fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>();
    let size = (sum(&|p| (p.0 - a) * (p.0 - a)) * sum(&|p| (p.1 - b) * (p.1 - b))).sqrt();
    if size > 0.0 {
        sum(&|p| (p.0 - a) * (p.1 - b)) / size
    } else {
        0.0
    }
}

/// Largest gap between a sorted sample's distribution and the uniform one.
fn gap(ladder: &[f64]) -> f64 {
    let n = ladder.len() as f64;
    let gaps = ladder.iter().enumerate();
    let gaps = gaps.map(|(i, q)| (q - i as f64 / n).max((i + 1) as f64 / n - q));
    gaps.fold(0.0, f64::max)
}

/// Gap that chance passes in 5 of 100 cases for `parameters` looked at together (large samples; Bonferroni's bound).
pub fn gap_of_chance(n: usize, parameters: usize) -> f64 {
    let alpha = 0.05 / parameters.max(1) as f64;
    (-0.5 * libm::log(0.5 * alpha)).sqrt() / (n.max(1) as f64).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distance_is_zero_inside_and_counted_in_half_widths_or_in_sizes_of_the_end() {
        let band = |low, high| Band { low, high };
        let (both, least) = (band(Some(1.0), Some(3.0)), band(Some(10.0), None));
        let far = [0.0, 1.0, 2.0, 3.0, 5.0].map(|v| both.distance(v));
        assert_eq!(far, [1.0, 0.0, 0.0, 0.0, 2.0]);
        let far = [5.0, 10.0, 99.0].map(|v| least.distance(v));
        assert_eq!(far, [0.5, 0.0, 0.0]);
        let zero = band(None, Some(0.0));
        assert_eq!(zero.distance(0.25), 0.25);
        assert_eq!(zero.distance(f64::NAN), f64::INFINITY);
    }

    #[test]
    fn critical_gap_of_one_parameter_is_the_tabled_one() {
        // 1.358 / sqrt(n) at 5 %: Kolmogorov's limiting distribution (table value, from memory).
        assert!((gap_of_chance(400, 1) - 1.358 / 20.0).abs() < 1e-4);
        assert!(gap_of_chance(400, 31) > gap_of_chance(400, 1));
    }

    #[test]
    fn a_range_stands_on_outer_sets_and_is_the_whole_with_too_few() {
        let ladder =
            |n: usize| -> Vec<f64> { (1..=n).map(|i| i as f64 / (n + 1) as f64).collect() };
        for n in 0..400 {
            let ladder = ladder(n);
            let ([low, high], share) = middle(&ladder);
            assert!(share >= MIDDLE - 1e-9, "{n}: {share}");
            assert!((high - low - share).abs() < 1e-9, "{n}: an even ladder");
            assert_eq!(n < FEWEST, [low, high] == [0.0, 1.0], "{n}");
        }
        assert_eq!(middle(&ladder(19)).0, [0.05, 0.95]);
        // One set more than 38 moves the ends inwards by one set.
        assert_eq!(middle(&ladder(39)), ([0.05, 0.95], 0.9));
    }

    #[test]
    fn moved_sets_lie_where_a_linear_law_puts_the_observation() {
        use rand::{RngExt, SeedableRng};
        let mut luck = rand::rngs::StdRng::seed_from_u64(11);
        let quantiles: Vec<Vec<f64>> = (0..400)
            .map(|_| vec![luck.random_range(0.2..0.8), luck.random_range(0.0..1.0)])
            .collect();
        // The first parameter shows in the measure, the second does not.
        let values: Vec<Vec<f64>> = quantiles
            .iter()
            .map(|q| vec![libm::log(q[0] / (1.0 - q[0]))])
            .collect();
        let moved = moved(&quantiles, &values, &[Some((0.5, 0.0))], || 0.0);
        let wanted = 1.0 / (1.0 + libm::exp(-0.5));
        for (old, new) in quantiles.iter().zip(&moved) {
            assert!((new[0] - wanted).abs() < 1e-9);
            assert!((new[1] - old[1]).abs() < 0.2);
        }
        assert_eq!(
            super::moved(&quantiles, &values, &[None], || 0.0),
            quantiles
        );
    }

    #[test]
    fn a_kept_half_is_informed_and_an_even_ladder_is_not() {
        use rand::{RngExt, SeedableRng};
        let mut luck = rand::rngs::StdRng::seed_from_u64(7);
        let mut uniform = || luck.random::<f64>();
        let even: Vec<f64> = (0..200).map(|i| (f64::from(i) + 0.5) / 200.0).collect();
        let flat = marginal(&even, 5, 50, &mut uniform).expect("values");
        assert!(!flat.informed && (flat.width_ratio - 1.0).abs() < 0.01);
        let half: Vec<f64> = even.iter().map(|q| 0.5 * q).collect();
        let low = marginal(&half, 5, 50, &mut uniform).expect("values");
        assert!(low.informed && (low.width_ratio - 0.5).abs() < 0.01);
        assert!(low.width_ratio_range[0] <= 0.5 && low.width_ratio_range[1] >= 0.48);
        assert_eq!(marginal(&[], 5, 50, uniform), None);
    }
}
