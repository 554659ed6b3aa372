//! Screening: many unknowns moved from many starting points.

use super::point::evaluate;
use super::{GRID_LEVELS, Study, hold, uniforms};
use crate::count::prepare::{Prepared, Refusal};
use crate::engine::ensemble::Watch;
use crate::stats::morris;
use crate::study::keep::Keep;
use serde::Serialize;

/// Screening result of one unknown.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Screened {
    /// Index in [`Study::sweeps`].
    pub sweep: usize,
    /// Mean effect of a step over the whole range.
    pub mu: f64,
    /// Mean size of the effect.
    pub mu_star: f64,
    /// Its standard error.
    pub mu_star_error: f64,
    /// Standard deviation of the effects.
    pub sigma: f64,
}

/// Elementary effects of the `top` widest unknowns on `n` paths.
pub(super) fn screen(
    prepared: &Prepared,
    study: &Study,
    (top, n): (usize, usize),
    summers: u32,
    watch: &dyn Watch,
    keep: &mut dyn Keep,
) -> Result<Vec<Screened>, Refusal> {
    let inputs = top.min(study.sweeps.len());
    let seed = prepared.scenario.settings.seed;
    let paths = morris::paths(inputs, n, GRID_LEVELS, uniforms(seed, "study:morris"));
    let flat: Vec<Vec<f64>> = paths.iter().flat_map(|p| p.points.clone()).collect();
    let points = hold(study, &flat);
    let found = evaluate(
        prepared,
        study.plan,
        ("morris", &points),
        summers,
        watch,
        keep,
    )?;
    let answers: Vec<Vec<f64>> = found
        .chunks(inputs + 1)
        .map(|points| points.iter().map(|p| p.mean.change).collect())
        .collect();
    let mut all: Vec<Screened> = morris::effects(&paths, &answers)
        .iter()
        .enumerate()
        .map(|(sweep, e)| Screened {
            sweep,
            mu: e.mu,
            mu_star: e.mu_star,
            mu_star_error: e.mu_star_error,
            sigma: e.sigma,
        })
        .collect();
    all.sort_by(|a, b| b.mu_star.total_cmp(&a.mu_star));
    Ok(all)
}
