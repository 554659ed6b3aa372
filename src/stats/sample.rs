//! How many samples a wanted accuracy needs.

/// Samples needed so that the mean is known to `percent` per cent: N = (100/c)²·t²·a·m^(b−2).
///
/// Shape: `mean` and `percent` above 0; `a` and `b` of Taylor's law (variance = a·mean^b); `t` the two-sided normal
/// quantile.
/// # Source
/// Sample size with Taylor's power law, as used for alfalfa weevil quadrats (published abstract, authors not recorded).
pub fn taylor_sample_size(mean: f64, a: f64, b: f64, percent: f64, t: f64) -> f64 {
    let c = 100.0 / percent;
    c * c * t * t * a * libm::pow(mean, b - 2.0)
}
