//! Ordinary kriging: a smooth surface through noisy sites, with a standard error.
//!
//! Each site brings its own known error variance (Monte Carlo), which is the nugget of that site; the surface predicted is
//! the noise-free one. The common random numbers of the summers correlate the errors of neighbouring sites, which leaves
//! the surface smoother than independent errors would, so the standard error is a little cautious.
//! # Source
//! Cressie 1993, Statistics for Spatial Data, section 3.4 (formulas from memory; values checked against two
//! general-purpose libraries in tests/placement/kriging.rs).

use crate::geometry::Point;
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// Shape of the covariance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kernel {
    /// exp(−h/l).
    Exponential,
    /// Matérn, smoothness 3/2.
    Matern32,
    /// Matérn, smoothness 5/2.
    Matern52,
}

impl Kernel {
    /// All of them.
    pub const ALL: [Kernel; 3] = [Kernel::Exponential, Kernel::Matern32, Kernel::Matern52];

    /// Correlation at distance `h` for length `l`, same unit.
    pub fn correlation(self, h: f64, l: f64) -> f64 {
        match self {
            Kernel::Exponential => libm::exp(-h / l),
            Kernel::Matern32 => {
                let a = 3.0_f64.sqrt() * h / l;
                (1.0 + a) * libm::exp(-a)
            }
            Kernel::Matern52 => {
                let a = 5.0_f64.sqrt() * h / l;
                (1.0 + a + a * a / 3.0) * libm::exp(-a)
            }
        }
    }

    /// Name for manifests.
    pub fn name(self) -> &'static str {
        match self {
            Kernel::Exponential => "exponential",
            Kernel::Matern32 => "Matern 3/2",
            Kernel::Matern52 => "Matern 5/2",
        }
    }
}

/// A covariance with its numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Covariance {
    /// Shape.
    pub kernel: Kernel,
    /// Variance of the noise-free surface (partial sill).
    pub sill: f64,
    /// Length, metres.
    pub length_m: f64,
}

/// A surface ready to be asked.
pub struct Surface {
    covariance: Covariance,
    places: Vec<Point>,
    factor: Cholesky<f64, Dyn>,
    /// K⁻¹ (z − m).
    weights: DVector<f64>,
    /// K⁻¹ 1.
    ones: DVector<f64>,
    mean: f64,
}

/// Prediction at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Predicted {
    /// Value of the noise-free surface.
    pub value: f64,
    /// Its standard error.
    pub se: f64,
}

/// Sites more than this many are thinned for the likelihood; all are used for the surface.
const MOST_FOR_LIKELIHOOD: usize = 120;

impl Surface {
    /// A surface with a given covariance; `None` when the sites do not determine one (none at all, or a singular matrix).
    ///
    /// Shape: one value and one error variance a site.
    pub fn new(
        places: &[Point],
        values: &[f64],
        variances: &[f64],
        covariance: Covariance,
    ) -> Option<Surface> {
        if places.is_empty() {
            return None;
        }
        let factor = Cholesky::new(matrix(places, variances, covariance))?;
        let ones = factor.solve(&DVector::from_element(places.len(), 1.0));
        let z = DVector::from_column_slice(values);
        let mean = ones.dot(&z) / ones.sum();
        let weights = factor.solve(&z.add_scalar(-mean));
        Some(Surface {
            covariance,
            places: places.to_vec(),
            factor,
            weights,
            ones,
            mean,
        })
    }

    /// A surface whose covariance is the likeliest of the three shapes (maximum likelihood over sill and length).
    pub fn fitted(places: &[Point], values: &[f64], variances: &[f64]) -> Option<Surface> {
        let covariance = likeliest(places, values, variances)?;
        Surface::new(places, values, variances, covariance)
    }

    /// The covariance in use.
    pub fn covariance(&self) -> Covariance {
        self.covariance
    }

    /// Value alone; quick.
    pub fn value(&self, at: Point) -> f64 {
        self.mean + self.covariances(at).dot(&self.weights)
    }

    /// Value and standard error of the noise-free surface.
    pub fn predict(&self, at: Point) -> Predicted {
        let k = self.covariances(at);
        let mut half = k.clone();
        self.factor.l_dirty().solve_lower_triangular_mut(&mut half);
        let loss = 1.0 - self.ones.dot(&k);
        let variance = self.covariance.sill - half.norm_squared() + loss * loss / self.ones.sum();
        Predicted {
            value: self.mean + k.dot(&self.weights),
            se: variance.max(0.0).sqrt(),
        }
    }

    fn covariances(&self, at: Point) -> DVector<f64> {
        let c = self.covariance;
        DVector::from_iterator(
            self.places.len(),
            self.places
                .iter()
                .map(|p| c.sill * c.kernel.correlation(p.distance(at), c.length_m)),
        )
    }
}

fn matrix(places: &[Point], variances: &[f64], c: Covariance) -> DMatrix<f64> {
    // A trace of jitter keeps the smooth kernels positive definite when sites stand close.
    let jitter = 1e-10 * c.sill;
    DMatrix::from_fn(places.len(), places.len(), |i, j| {
        let own = if i == j { variances[i] + jitter } else { 0.0 };
        own + c.sill
            * c.kernel
                .correlation(places[i].distance(places[j]), c.length_m)
    })
}

/// The likeliest covariance; `None` for fewer than three sites or values that do not vary.
fn likeliest(places: &[Point], values: &[f64], variances: &[f64]) -> Option<Covariance> {
    let step = places.len().div_ceil(MOST_FOR_LIKELIHOOD).max(1);
    // A stride with no common factor with a grid's columns takes sites from everywhere.
    let chosen: Vec<usize> = (0..places.len()).step_by(step).collect();
    let places: Vec<Point> = chosen.iter().map(|&i| places[i]).collect();
    let values: Vec<f64> = chosen.iter().map(|&i| values[i]).collect();
    let variances: Vec<f64> = chosen.iter().map(|&i| variances[i]).collect();
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let spread = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / n;
    if values.len() < 3 || spread <= 0.0 {
        return Some(Covariance {
            kernel: Kernel::Exponential,
            sill: spread.max(1e-12),
            length_m: 1.0,
        });
    }
    let far = places
        .iter()
        .map(|p| p.distance(places[0]))
        .fold(1.0, f64::max);
    let mut best: Option<(f64, Covariance)> = None;
    for kernel in Kernel::ALL {
        let at = |log_sill: f64, log_length: f64| {
            let covariance = Covariance {
                kernel,
                sill: spread * libm::exp(log_sill),
                length_m: far * libm::exp(log_length),
            };
            (
                deviance(&places, &values, &variances, covariance),
                covariance,
            )
        };
        // A coarse look at the whole range, then halving steps round the best of it.
        let (mut sill, mut length) = (0.0, -1.5);
        let mut step = 1.5;
        let mut here = at(sill, length);
        for _ in 0..9 {
            loop {
                let moves = [(step, 0.0), (-step, 0.0), (0.0, step), (0.0, -step)];
                let next = moves
                    .iter()
                    .map(|(a, b)| (sill + a, length + b))
                    .filter(|(a, b)| a.abs() <= 6.0 && b.abs() <= 6.0)
                    .map(|(a, b)| (a, b, at(a, b)))
                    .min_by(|p, q| p.2.0.total_cmp(&q.2.0));
                match next {
                    Some((a, b, there)) if there.0 < here.0 => {
                        (sill, length, here) = (a, b, there);
                    }
                    _ => break,
                }
            }
            step *= 0.5;
        }
        if here.0.is_finite() && best.is_none_or(|(d, _)| here.0 < d) {
            best = Some(here);
        }
    }
    best.map(|(_, covariance)| covariance)
}

/// Minus twice the log likelihood, the mean profiled out; constants left off.
pub fn deviance(places: &[Point], values: &[f64], variances: &[f64], c: Covariance) -> f64 {
    let Some(factor) = Cholesky::new(matrix(places, variances, c)) else {
        return f64::INFINITY;
    };
    let ones = factor.solve(&DVector::from_element(places.len(), 1.0));
    let z = DVector::from_column_slice(values);
    let mean = ones.dot(&z) / ones.sum();
    let residual = z.add_scalar(-mean);
    let log_determinant: f64 = factor
        .l_dirty()
        .diagonal()
        .iter()
        .map(|d| 2.0 * libm::log(*d))
        .sum();
    log_determinant + residual.dot(&factor.solve(&residual))
}
