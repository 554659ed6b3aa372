//! Counts that come one by one: exact limits of a Poisson mean, tails, and the comparison of two counts.

use crate::stats::{binomial, solve};
use statrs::function::gamma::gamma_lr;

/// Exact limits of a Poisson mean from one count.
///
/// Shape: `confidence` in (0, 1); both tails hold (1 − confidence)/2; the lower limit of a count of 0 is 0.
/// # Source
/// Garwood 1936, Biometrika 28: 437–442.
pub fn limits(count: u64, confidence: f64) -> [f64; 2] {
    let tail = 0.5 * (1.0 - confidence);
    let n = count as f64;
    let top = n + 20.0 + 12.0 * (n + 1.0).sqrt();
    let lower = if count == 0 {
        0.0
    } else {
        solve::rising_root(0.0, top, tail, |m| chance_at_least(count, m))
    };
    let upper = solve::rising_root(0.0, top, 1.0 - tail, |m| chance_at_least(count + 1, m));
    [lower, upper]
}

/// Chance that a Poisson count with this mean is `count` or more.
pub fn chance_at_least(count: u64, mean: f64) -> f64 {
    match (count, mean > 0.0) {
        (0, _) => 1.0,
        (_, false) => 0.0,
        (n, true) => gamma_lr(n as f64, mean),
    }
}

/// Chance of zero when counts scatter more widely than Poisson: negative binomial with mean `mean` and dispersion `k`.
///
/// Shape: `k` above 0; the smaller, the more clumped; a large `k` tends to the plain chance e^(−mean).
pub fn zero_chance_clumped(mean: f64, k: f64) -> f64 {
    libm::exp(-k * libm::log1p(mean / k))
}

/// Two counts compared by their rates.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct TwoCounts {
    /// Rate of the first over the rate of the second; infinite if only the second is 0, and NaN if both are.
    pub ratio: f64,
    /// Exact 95 in 100 limits of that ratio.
    pub ratio_limits: [f64; 2],
    /// Share of outcomes no more likely than the one seen, if both rates were equal.
    pub chance_if_equal: f64,
}

/// Compares two counts with their exposures (trap-days).
///
/// Given the sum, the first count is binomial with share exposure 1 / (exposure 1 + exposure 2) when the rates are
/// equal; the ratio's limits come from the exact binomial limits of that share.
/// Shape: exposures above 0.
pub fn compare(count_1: u64, exposure_1: f64, count_2: u64, exposure_2: f64) -> TwoCounts {
    let total = count_1 + count_2;
    let share = exposure_1 / (exposure_1 + exposure_2);
    let [low, high] = binomial::exact_limits(count_1, total, 0.95);
    let to_ratio = |p: f64| {
        if p >= 1.0 {
            f64::INFINITY
        } else {
            p / (1.0 - p) * exposure_2 / exposure_1
        }
    };
    let seen = binomial::chance_of(count_1, total, share);
    // A hair of slack, so that the mirror image of the outcome seen counts as equally likely despite rounding.
    let chance = (0..=total)
        .map(|n| binomial::chance_of(n, total, share))
        .filter(|p| *p <= seen * (1.0 + 1e-7))
        .sum::<f64>();
    TwoCounts {
        ratio: (count_1 as f64 / exposure_1) / (count_2 as f64 / exposure_2),
        ratio_limits: [to_ratio(low), to_ratio(high)],
        chance_if_equal: chance.min(1.0),
    }
}
