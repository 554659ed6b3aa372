//! How many summers the average needs.

use crate::stats::paired::MeanChange;
use serde::Serialize;

/// How the average settles with more summers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Settling {
    /// Number of summers, average change of the first so many, standard error.
    pub steps: Vec<SettlingStep>,
    /// Standard deviation of the change from summer to summer.
    pub spread: f64,
    /// Summers after which two standard errors are half a tie band, in steps of 50.
    pub recommended: u32,
}

/// One step of [`Settling`].
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SettlingStep {
    /// Summers.
    pub summers: u32,
    /// Average change.
    #[serde(flatten)]
    pub mean: MeanChange,
}

/// How the average of a series settles.
pub fn settling(changes: &[f64], tie_band: f64) -> Settling {
    let mut counts: Vec<usize> = [10, 20, 50, 100, 200, 500, 1000, 2000, 5000]
        .into_iter()
        .filter(|n| *n < changes.len())
        .collect();
    counts.push(changes.len());
    let steps = counts
        .iter()
        .map(|&n| SettlingStep {
            summers: n as u32,
            mean: MeanChange::of(&changes[..n]),
        })
        .collect();
    let n = changes.len() as f64;
    let spread = MeanChange::of(changes).error * n.sqrt();
    let need = 4.0 * spread / tie_band.max(1e-6);
    let recommended = (need * need / 50.0).ceil().clamp(1.0, 20_000.0) as u32 * 50;
    Settling {
        steps,
        spread,
        recommended,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settling_recommends_what_the_spread_asks_for() {
        let changes: Vec<f64> = (0..400)
            .map(|i| if i % 2 == 0 { 0.0 } else { 4.0 })
            .collect();
        let s = settling(&changes, 1.0);
        assert!((s.spread - 2.0).abs() < 0.01);
        // 2 standard errors of spread 2 are half a point at 64 summers.
        assert_eq!(s.recommended, 100);
        assert_eq!(s.steps.last().map(|s| s.summers), Some(400));
    }
}
