//! The normal distribution.

/// Share of a standard normal distribution at or below `z`.
pub fn share_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// The `z` that leaves 1 in 100 below it, with its sign turned: 99 in 100 lie below this value.
///
/// # Source
/// Normal distribution, exact to the digits given.
pub const Z_99: f64 = 2.326_347_874_040_841;

/// The standard normal quantile that leaves 2.5 in 100 above it.
pub const Z_975: f64 = 1.959_963_984_540_054;

/// The standard normal quantile at a share in (0, 1).
pub fn quantile(share: f64) -> f64 {
    crate::stats::solve::rising_root(-9.0, 9.0, share, share_below)
}
