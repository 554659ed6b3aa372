//! Kriging: a smooth surface through noisy sites, with a standard error.
//!
//! Each site brings its own known error variance (Monte Carlo). All sites meet the same summers, so that a part of these
//! errors is shared by the whole surface and only the rest is noise of each site: the share of the rest is fitted, and the
//! shared part is added to the standard error again. The surface predicted is the noise-free one.
//!
//! A trap's effect is steep beside the plants and flat far off, which one sill and one length cannot follow. So a surface
//! may have a drift that falls off with the distance from things (plants, a patio), and a third coordinate that stretches
//! the land beside them. Which of these models is used is decided by leaving out each site in turn
//! ([`Surface::left_out`]). Without them this is ordinary kriging.
//! # Source
//! Cressie 1993, Statistics for Spatial Data, section 3.4; leaving out sites by one matrix: Dubrule 1983, Mathematical
//! Geology 15 (formulas from memory; values checked against two general-purpose libraries and by leaving sites out in
//! earnest in tests/placement/kriging.rs).

use crate::geometry::Point;
use crate::say::say;
use crate::scenario::Shape;
use crate::stats::words::listed;
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

/// Land near things: how far a place is from them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Near {
    /// The things, with a weight each.
    pub things: Vec<(Shape, f64)>,
}

impl Near {
    /// Distance to the nearest thing, metres; infinite without one.
    pub fn distance(&self, at: Point) -> f64 {
        let each = self.things.iter().map(|(shape, _)| shape.distance(at));
        each.fold(f64::INFINITY, f64::min)
    }

    /// Weighted mean of exp(−distance/length) over all things; 0 without one.
    fn falling(&self, at: Point, length_m: f64) -> f64 {
        let all: f64 = self.things.iter().map(|t| t.1).sum();
        let each = self.things.iter();
        let sum: f64 = each
            .map(|(shape, weight)| weight * libm::exp(-shape.distance(at) / length_m))
            .sum();
        if all > 0.0 { sum / all } else { 0.0 }
    }
}

/// What a surface is made of besides its covariance.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Model {
    /// Things that the drift and the stretch look at.
    pub near: Near,
    /// A drift that falls off from them, one term for each of these lengths, metres.
    pub drift_m: Vec<f64>,
    /// The land beside them is stretched as if so many metres were added for each doubling of (distance + 1 m); 0 for
    /// plain land.
    pub stretch_m: f64,
}

impl Model {
    /// In words.
    pub fn name(&self) -> String {
        let mut parts = Vec::new();
        if !self.drift_m.is_empty() {
            let lengths: Vec<String> = self.drift_m.iter().map(|l| format!("{l} m")).collect();
            parts.push(say!("detail.map-model.drift", lengths = listed(&lengths)));
        }
        if self.stretch_m > 0.0 {
            parts.push(say!("detail.map-model.stretch", metres = self.stretch_m));
        }
        if parts.is_empty() {
            return say!("detail.map-model.plain");
        }
        parts.join(", ")
    }

    fn place(&self, at: Point) -> [f64; 3] {
        let u = if self.stretch_m > 0.0 {
            self.stretch_m * libm::log2(1.0 + self.near.distance(at).min(1e6))
        } else {
            0.0
        };
        [at.x, at.y, u]
    }

    /// Drift at sites: a row each.
    fn drift(&self, places: &[Point]) -> DMatrix<f64> {
        let rows: Vec<_> = places.iter().map(|p| self.terms(*p).transpose()).collect();
        DMatrix::from_rows(&rows)
    }

    fn terms(&self, at: Point) -> DVector<f64> {
        let falling = self.drift_m.iter().map(|l| self.near.falling(at, *l));
        let terms: Vec<f64> = std::iter::once(1.0).chain(falling).collect();
        DVector::from_vec(terms)
    }
}

/// Distances between places; only the lower half is filled.
fn distances(places: &[[f64; 3]]) -> DMatrix<f64> {
    DMatrix::from_fn(places.len(), places.len(), |i, j| {
        if i > j {
            apart(&places[i], &places[j])
        } else {
            0.0
        }
    })
}

fn apart(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    let (dx, dy, dz) = (a[0] - b[0], a[1] - b[1], a[2] - b[2]);
    (dx * dx + dy * dy + dz * dz).sqrt()
}

/// A surface ready to be asked.
pub struct Surface {
    model: Model,
    covariance: Covariance,
    places: Vec<[f64; 3]>,
    factor: Cholesky<f64, Dyn>,
    /// K⁻¹ F.
    pulled: DMatrix<f64>,
    /// F' K⁻¹ F.
    drift_factor: Cholesky<f64, Dyn>,
    /// Factors of the drift.
    terms: DVector<f64>,
    /// K⁻¹ (z − F b).
    weights: DVector<f64>,
    /// Variance that all sites share.
    shared: f64,
}

/// Prediction at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Predicted {
    /// Value of the noise-free surface.
    pub value: f64,
    /// Its standard error.
    pub se: f64,
}

/// A site as foretold from all the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeftOut {
    /// What was found there less what was foretold.
    pub error: f64,
    /// Standard error of that difference, noise of the site included.
    pub se: f64,
}

/// Sites more than this many are thinned for the likelihood; all are used for the surface.
const MOST_FOR_LIKELIHOOD: usize = 120;
/// Shares of the error variances that may be noise of each site alone.
const NOISE_SHARES: [f64; 4] = [0.05, 0.2, 0.5, 1.0];

impl Surface {
    /// Ordinary kriging with a given covariance; `None` when the sites do not determine a surface (none at all, or a
    /// singular matrix).
    ///
    /// Shape: one value and one error variance a site; all of the errors are noise.
    pub fn new(
        places: &[Point],
        values: &[f64],
        variances: &[f64],
        covariance: Covariance,
    ) -> Option<Surface> {
        Surface::of(places, values, variances, (&Model::default(), covariance))
    }

    /// A surface of a model with a given covariance.
    ///
    /// Shape: as [`Surface::new`].
    pub fn of(
        places: &[Point],
        values: &[f64],
        variances: &[f64],
        (model, covariance): (&Model, Covariance),
    ) -> Option<Surface> {
        if places.len() <= model.drift_m.len() {
            return None;
        }
        let drift = model.drift(places);
        let places: Vec<[f64; 3]> = places.iter().map(|p| model.place(*p)).collect();
        let factor = Cholesky::new(matrix(&distances(&places), variances, covariance))?;
        let pulled = factor.solve(&drift);
        let drift_factor = Cholesky::new(drift.transpose() * &pulled)?;
        let z = DVector::from_column_slice(values);
        let terms = drift_factor.solve(&(pulled.transpose() * &z));
        let weights = factor.solve(&(z - &drift * &terms));
        Some(Surface {
            model: model.clone(),
            covariance,
            places,
            factor,
            pulled,
            drift_factor,
            terms,
            weights,
            shared: 0.0,
        })
    }

    /// A surface of a model with its likeliest covariance (over shape, sill, length and the share of the errors that is
    /// noise of each site); the part of the errors that all sites share is in its standard error.
    pub fn fitted(
        places: &[Point],
        values: &[f64],
        variances: &[f64],
        model: &Model,
    ) -> Option<Surface> {
        let (covariance, noise) = likeliest(places, values, variances, model)?;
        let own: Vec<f64> = variances.iter().map(|v| noise * v).collect();
        let mut surface = Surface::of(places, values, &own, (model, covariance))?;
        let mean = variances.iter().sum::<f64>() / variances.len() as f64;
        surface.shared = (1.0 - noise) * mean;
        Some(surface)
    }

    /// The fitted surface of the model that foretells left-out sites best, with its root mean square error; the earlier
    /// model is kept unless a later one is better by 2 in 100.
    pub fn best(
        places: &[Point],
        values: &[f64],
        variances: &[f64],
        models: &[Model],
    ) -> Option<(Surface, f64)> {
        let mut best: Option<(Surface, f64)> = None;
        for model in models {
            let Some(surface) = Surface::fitted(places, values, variances, model) else {
                continue;
            };
            let rms = rms(&surface.left_out());
            if rms.is_finite() && best.as_ref().is_none_or(|(_, least)| rms < 0.98 * least) {
                best = Some((surface, rms));
            }
        }
        best
    }

    /// The covariance in use.
    pub fn covariance(&self) -> Covariance {
        self.covariance
    }

    /// The model in use.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// Value alone; quick.
    pub fn value(&self, at: Point) -> f64 {
        self.model.terms(at).dot(&self.terms) + self.covariances(at).dot(&self.weights)
    }

    /// Value and standard error of the noise-free surface.
    pub fn predict(&self, at: Point) -> Predicted {
        let k = self.covariances(at);
        let f = self.model.terms(at);
        let mut half = k.clone();
        self.factor.l_dirty().solve_lower_triangular_mut(&mut half);
        let loss = &f - self.pulled.transpose() * &k;
        let variance = self.covariance.sill - half.norm_squared()
            + loss.dot(&self.drift_factor.solve(&loss))
            + self.shared;
        Predicted {
            value: f.dot(&self.terms) + k.dot(&self.weights),
            se: variance.max(0.0).sqrt(),
        }
    }

    /// Each site as foretold from all the others by this covariance.
    pub fn left_out(&self) -> Vec<LeftOut> {
        let n = self.places.len();
        let inverse = self.factor.inverse();
        let drift = &self.pulled * self.drift_factor.solve(&self.pulled.transpose());
        (0..n)
            .map(|i| {
                let own = inverse[(i, i)] - drift[(i, i)];
                LeftOut {
                    error: self.weights[i] / own,
                    se: (1.0 / own).max(0.0).sqrt(),
                }
            })
            .collect()
    }

    fn covariances(&self, at: Point) -> DVector<f64> {
        let c = self.covariance;
        let at = self.model.place(at);
        DVector::from_iterator(
            self.places.len(),
            self.places
                .iter()
                .map(|p| c.sill * c.kernel.correlation(apart(p, &at), c.length_m)),
        )
    }
}

/// Root mean square of what was not foretold.
pub fn rms(left_out: &[LeftOut]) -> f64 {
    let squares: f64 = left_out.iter().map(|l| l.error * l.error).sum();
    (squares / left_out.len().max(1) as f64).sqrt()
}

/// Covariance of the sites with their noise; only the lower half is filled, as nothing else is read.
fn matrix(apart: &DMatrix<f64>, variances: &[f64], c: Covariance) -> DMatrix<f64> {
    // A trace of jitter keeps the smooth kernels positive definite when sites stand close.
    let jitter = 1e-10 * c.sill;
    let n = variances.len();
    let mut all = DMatrix::zeros(n, n);
    for j in 0..n {
        all[(j, j)] = c.sill + variances[j] + jitter;
        for i in j + 1..n {
            all[(i, j)] = c.sill * c.kernel.correlation(apart[(i, j)], c.length_m);
        }
    }
    all
}

/// Sites as the likelihood needs them, whatever the covariance.
struct Contrasts {
    apart: DMatrix<f64>,
    drift: DMatrix<f64>,
    values: DVector<f64>,
    variances: Vec<f64>,
}

impl Contrasts {
    /// Minus twice the log likelihood of the contrasts that no drift moves; constants left off. Infinite where the sites
    /// do not determine a surface.
    fn deviance(&self, c: Covariance, noise: f64) -> f64 {
        let own: Vec<f64> = self.variances.iter().map(|v| noise * v).collect();
        let logs = |f: &Cholesky<f64, Dyn>| -> f64 {
            let diagonal = f.l_dirty().diagonal();
            diagonal.iter().map(|d| 2.0 * libm::log(*d)).sum()
        };
        let Some(factor) = Cholesky::new(matrix(&self.apart, &own, c)) else {
            return f64::INFINITY;
        };
        // L⁻¹ of drift and values is enough for all products with K⁻¹.
        let (mut drift, mut values) = (self.drift.clone(), self.values.clone());
        factor.l_dirty().solve_lower_triangular_mut(&mut drift);
        factor.l_dirty().solve_lower_triangular_mut(&mut values);
        let Some(drift_factor) = Cholesky::new(drift.transpose() * &drift) else {
            return f64::INFINITY;
        };
        let pulled = drift.transpose() * &values;
        let explained = pulled.dot(&drift_factor.solve(&pulled));
        logs(&factor) + logs(&drift_factor) + values.norm_squared() - explained
    }
}

/// The likeliest covariance, with the share of the errors that is noise of each site; `None` without sites.
fn likeliest(
    places: &[Point],
    values: &[f64],
    variances: &[f64],
    model: &Model,
) -> Option<(Covariance, f64)> {
    let step = places.len().div_ceil(MOST_FOR_LIKELIHOOD).max(1);
    let thin = |all: &[f64]| -> Vec<f64> { all.iter().copied().step_by(step).collect() };
    let (values, variances) = (thin(values), thin(variances));
    let places: Vec<Point> = places.iter().copied().step_by(step).collect();
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let spread = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / n;
    let far = places
        .iter()
        .map(|p| p.distance(*places.first().unwrap_or(p)))
        .fold(1.0, f64::max);
    if values.len() < 3 || spread <= 0.0 {
        let covariance = Covariance {
            kernel: Kernel::Exponential,
            sill: spread.max(1e-12),
            length_m: far,
        };
        return (!values.is_empty()).then_some((covariance, 1.0));
    }
    let contrasts = Contrasts {
        apart: distances(&places.iter().map(|p| model.place(*p)).collect::<Vec<_>>()),
        drift: model.drift(&places),
        values: DVector::from_vec(values),
        variances,
    };
    let mut best: Option<(f64, Covariance, f64)> = None;
    // Each shape begins where the one before it ended.
    let (mut sill, mut length, mut noise, mut first) = (0.0, -1.5, 1_usize, 1.5);
    for kernel in Kernel::ALL {
        let at = |log_sill: f64, log_length: f64, noise: usize| {
            let covariance = Covariance {
                kernel,
                sill: spread * libm::exp(log_sill),
                length_m: far * libm::exp(log_length),
            };
            let deviance = contrasts.deviance(covariance, NOISE_SHARES[noise]);
            (deviance, covariance, NOISE_SHARES[noise])
        };
        // A coarse look at the whole range, then halving steps round the best of it.
        let mut step = first;
        first = 0.75;
        let mut here = at(sill, length, noise);
        while step > 0.04 {
            loop {
                let moves = [
                    (step, 0.0, 0),
                    (-step, 0.0, 0),
                    (0.0, step, 0),
                    (0.0, -step, 0),
                    (0.0, 0.0, 1),
                    (0.0, 0.0, -1),
                ];
                let next = moves
                    .iter()
                    .map(|(a, b, c)| (sill + a, length + b, noise.saturating_add_signed(*c)))
                    .filter(|(a, b, c)| a.abs() <= 6.0 && b.abs() <= 6.0 && *c < NOISE_SHARES.len())
                    .map(|(a, b, c)| (a, b, c, at(a, b, c)))
                    .min_by(|p, q| p.3.0.total_cmp(&q.3.0));
                match next {
                    Some((a, b, c, there)) if there.0 < here.0 => {
                        (sill, length, noise, here) = (a, b, c, there);
                    }
                    _ => break,
                }
            }
            step *= 0.5;
        }
        if here.0.is_finite() && best.is_none_or(|(d, ..)| here.0 < d) {
            best = Some(here);
        }
    }
    best.map(|(_, covariance, noise)| (covariance, noise))
}
