//! Shares of the variance.

use super::point::evaluate;
use super::{MOST_SHARED, RESAMPLES, Study, hold, uniforms};
use crate::count::prepare::{Prepared, Refusal};
use crate::engine::ensemble::Watch;
use crate::stats::{sequence, sobol};
use crate::study::keep::Keep;
use serde::Serialize;

/// Variance shares of one unknown: value, low and high end of the range.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Shared {
    /// Index in [`Study::sweeps`].
    pub sweep: usize,
    /// Of the unknown alone.
    pub first: [f64; 3],
    /// With everything it combines with.
    pub total: [f64; 3],
}

/// Variance shares of the `top` widest unknowns from `base` points.
pub(super) fn share_out(
    prepared: &Prepared,
    study: &Study,
    (top, base): (usize, usize),
    summers: u32,
    watch: &dyn Watch,
    keep: &mut dyn Keep,
) -> Result<Vec<Shared>, Refusal> {
    let inputs = top.min(study.sweeps.len()).min(MOST_SHARED);
    let seed = prepared.scenario.settings.seed;
    let mut uniform = uniforms(seed, "study:sobol");
    let shift: Vec<f64> = (0..2 * inputs).map(|_| uniform()).collect();
    let design = sobol::Design::new(&sequence::sobol_points(base, &shift));
    let points = hold(study, &design.points());
    let found = evaluate(
        prepared,
        study.plan,
        ("sobol", &points),
        summers,
        watch,
        keep,
    )?;
    let flat: Vec<f64> = found.iter().map(|p| p.mean.change).collect();
    let three = |s: sobol::Share| [s.value, s.low, s.high];
    let mut all: Vec<Shared> = sobol::shares(&design.answers(&flat), RESAMPLES, uniform)
        .into_iter()
        .enumerate()
        .map(|(sweep, s)| Shared {
            sweep,
            first: three(s.first),
            total: three(s.total),
        })
        .collect();
    all.sort_by(|a, b| b.total[0].total_cmp(&a.total[0]));
    Ok(all)
}
