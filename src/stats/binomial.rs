//! Shares: exact and score limits, and how many are needed to see at least one.

use crate::stats::solve;
use statrs::function::beta::beta_reg;
use statrs::function::gamma::ln_gamma;

/// Exact limits of a share from `successes` in `trials`.
///
/// Shape: `successes` at most `trials`; `[0, 1]` when there was no trial.
/// # Source
/// Clopper & Pearson 1934, Biometrika 26: 404–413 (from memory).
pub fn exact_limits(successes: u64, trials: u64, confidence: f64) -> [f64; 2] {
    let tail = 0.5 * (1.0 - confidence);
    let (s, f) = (successes as f64, (trials - successes) as f64);
    let lower = if successes == 0 {
        0.0
    } else {
        solve::rising_root(0.0, 1.0, tail, |p| beta_reg(s, f + 1.0, p))
    };
    let upper = if successes == trials {
        1.0
    } else {
        solve::rising_root(0.0, 1.0, 1.0 - tail, |p| beta_reg(s + 1.0, f, p))
    };
    [lower, upper]
}

/// Chance of exactly `successes` in `trials` when each comes with chance `p`.
pub fn chance_of(successes: u64, trials: u64, p: f64) -> f64 {
    if p <= 0.0 {
        return if successes == 0 { 1.0 } else { 0.0 };
    }
    if p >= 1.0 {
        return if successes == trials { 1.0 } else { 0.0 };
    }
    let (s, n) = (successes as f64, trials as f64);
    let ways = ln_gamma(n + 1.0) - ln_gamma(s + 1.0) - ln_gamma(n - s + 1.0);
    libm::exp(ways + s * libm::log(p) + (n - s) * libm::log1p(-p))
}

/// Chance that none of `n` is seen when each is seen with chance `p`.
pub fn zero_chance(n: f64, p: f64) -> f64 {
    if p >= 1.0 {
        return if n > 0.0 { 0.0 } else { 1.0 };
    }
    libm::exp(n * libm::log1p(-p))
}

/// Fewest that must be there so that at least one is seen with chance `confidence`: ln(1−C)/ln(1−p), rounded up.
///
/// Shape: `p` and `confidence` in (0, 1).
/// # Source
/// ISPM 31 (2008), binomial basis.
pub fn n_to_be_sure(p: f64, confidence: f64) -> u64 {
    // The slack keeps a whole-number answer from being pushed up by the last bit.
    (libm::log1p(-confidence) / libm::log1p(-p) - 1e-9)
        .ceil()
        .max(1.0) as u64
}
