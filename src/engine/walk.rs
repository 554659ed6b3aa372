//! The correlated random walk: segment lengths and turning angles.

use crate::engine::random::{LongStream, Tables, sin_cos};
use std::f64::consts::PI;

/// Law of the segment lengths. Units: metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StepLaw {
    /// Exponential with this mean: memoryless, so an insect that enters in mid-flight needs no history.
    Exponential(f64),
    /// Every segment has this length: the published walks. For closed arenas and tests.
    Fixed(f64),
}

/// Law of the turning angles. Units: radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TurnLaw {
    /// Normal with this standard deviation, wrapped on the circle; mean cosine exp(−σ²/2).
    WrappedNormal(f64),
    /// Uniform between minus and plus this angle; mean cosine sin A / A.
    Uniform(f64),
}

impl TurnLaw {
    /// Mean cosine of the turning angle.
    pub fn mean_cosine(self) -> f64 {
        match self {
            TurnLaw::WrappedNormal(sd) => libm::exp(-0.5 * sd * sd),
            TurnLaw::Uniform(half) => {
                if half == 0.0 {
                    1.0
                } else {
                    libm::sin(half) / half
                }
            }
        }
    }
}

/// A correlated random walk.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Walk {
    /// Segment lengths.
    pub step: StepLaw,
    /// Turning angles.
    pub turn: TurnLaw,
}

impl Walk {
    /// Length of the next segment, metres.
    #[inline(always)]
    #[expect(
        clippy::inline_always,
        reason = "the hot loop; measured in benches/speed.rs"
    )]
    pub fn length(&self, stream: &mut LongStream, tables: &Tables) -> f64 {
        match self.step {
            StepLaw::Exponential(mean) => mean * stream.exponential(tables),
            StepLaw::Fixed(length) => length,
        }
    }

    /// The heading after a turn. Shape: unit vectors in and out.
    #[inline(always)]
    #[expect(
        clippy::inline_always,
        reason = "the hot loop; measured in benches/speed.rs"
    )]
    pub fn turned(&self, ux: f64, uy: f64, stream: &mut LongStream, tables: &Tables) -> (f64, f64) {
        let angle = match self.turn {
            TurnLaw::WrappedNormal(sd) => sd * stream.normal(tables),
            TurnLaw::Uniform(half) => half * (2.0 * stream.uniform() - 1.0),
        };
        let (s, c) = sin_cos(angle);
        (ux * c - uy * s, ux * s + uy * c)
    }

    /// Long-run diffusivity in the plane, m2/s, at speed `v` (m/s): `D = v (E(L²) / 2E(L) + E(L) c/(1−c)) / 2`, which for
    /// constant steps is L²(1+c)/(4Δt(1−c)).
    ///
    /// # Source
    /// Long-run limit of Kareiva & Shigesada 1983, Oecologia 56: 234-238 (formula from memory).
    pub fn diffusivity(&self, speed_m_per_s: f64) -> f64 {
        let c = self.turn.mean_cosine();
        let (mean, half_ratio) = match self.step {
            StepLaw::Exponential(mean) => (mean, mean),
            StepLaw::Fixed(length) => (length, 0.5 * length),
        };
        0.5 * speed_m_per_s * (half_ratio + mean * c / (1.0 - c))
    }
}

/// Mean squared displacement after `n` steps of a correlated random walk.
///
/// Shape: `mean_cosine` in (−1, 1), turning angles symmetric about zero.
/// Units: `step_mean` in m, `step_mean_square` and the result in m2.
/// # Source
/// Kareiva & Shigesada 1983, Oecologia 56: 234-238 (formula from memory, confirmed by simulation).
pub fn mean_squared_displacement(
    n: u32,
    step_mean: f64,
    step_mean_square: f64,
    mean_cosine: f64,
) -> f64 {
    let n_f = f64::from(n);
    let c = mean_cosine;
    n_f * step_mean_square
        + 2.0 * step_mean * step_mean * c / (1.0 - c)
            * (n_f - (1.0 - libm::pow(c, n_f)) / (1.0 - c))
}

/// A heading drawn uniformly on the circle, as a unit vector.
#[inline]
pub fn uniform_heading(u: f64) -> (f64, f64) {
    let (s, c) = sin_cos(2.0 * PI * u - PI);
    (c, s)
}
