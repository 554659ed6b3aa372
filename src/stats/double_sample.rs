//! Mean of a number that was followed for fewer summers than others it goes along with.

use crate::stats::spread::{mean, standard_error};

/// A number that is known for more units.
#[derive(Clone, Copy, Debug)]
pub struct Control<'a> {
    /// Its values, those of the units of `y` first.
    pub values: &'a [f64],
    /// Its mean over all units, or a better estimate of what that stands for.
    pub mean: f64,
    /// Error variance of that mean against the plain one's; 1 for the plain one.
    pub better: f64,
}

impl<'a> Control<'a> {
    /// A control with its plain mean.
    pub fn plain(values: &'a [f64]) -> Control<'a> {
        Control {
            values,
            mean: mean(values),
            better: 1.0,
        }
    }
}

/// Mean and standard error of `y`, known for the first units only, by regression on controls known for all (double
/// sampling). Controls that add nothing are passed over; without any it is the plain mean.
///
/// Shape: every control is at least as long as `y`, all of one length. The error is infinite for fewer than two values.
/// # Source
/// Cochran 1977, Sampling Techniques, section 12.6 (from memory); checked by simulation below.
pub fn regressed_mean(y: &[f64], controls: &[Control]) -> (f64, f64) {
    let n = y.len();
    let plain = (mean(y), standard_error(y).unwrap_or(f64::INFINITY));
    let all = controls.iter().map(|c| c.values.len()).min().unwrap_or(n);
    if all <= n {
        return plain;
    }
    let squares = |v: &[f64]| v.iter().map(|x| x * x).sum::<f64>();
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(p, q)| p * q).sum::<f64>();
    let mut rest: Vec<f64> = y.iter().map(|v| v - plain.0).collect();
    let total = squares(&rest);
    // Controls made orthogonal on the units of y, each with how far its mean over all units lies from that over these.
    let mut used: Vec<(Vec<f64>, f64)> = Vec::new();
    let mut moved = 0.0;
    for control in controls {
        // A tenth as many factors as values, so that the fit does not follow the noise.
        if 10 * (used.len() + 1) > n {
            break;
        }
        let centre = mean(&control.values[..n]);
        let mut own: Vec<f64> = control.values[..n].iter().map(|v| v - centre).collect();
        let before = squares(&own);
        let mut shift = control.mean - centre;
        for (other, other_shift) in &used {
            let factor = dot(&own, other) / squares(other);
            for (o, v) in own.iter_mut().zip(other) {
                *o -= factor * v;
            }
            shift -= factor * other_shift;
        }
        let after = squares(&own);
        if after <= 1e-6 * before || after <= 0.0 {
            continue;
        }
        let factor = dot(&rest, &own) / after;
        for (r, v) in rest.iter_mut().zip(&own) {
            *r -= factor * v;
        }
        moved += factor * shift;
        used.push((own, shift));
    }
    if used.is_empty() {
        return plain;
    }
    let (n, k) = (n as f64, used.len() as f64);
    let left = squares(&rest) / (n - 1.0 - k);
    let explained = (total / (n - 1.0) - left).max(0.0);
    let better = controls.iter().map(|c| c.better).fold(0.0, f64::max);
    let variance = left / n + better * explained / all as f64;
    (plain.0 + moved, variance.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};

    #[test]
    fn a_number_that_its_control_tells_exactly_has_the_mean_and_error_over_all_units() {
        let control: Vec<f64> = (0..40).map(|i| f64::from(i * i % 17)).collect();
        let y: Vec<f64> = control[..20].iter().map(|c| 3.0 - 2.0 * c).collect();
        let (got, se) = regressed_mean(&y, &[Control::plain(&control)]);
        assert!((got - (3.0 - 2.0 * mean(&control))).abs() < 1e-9, "{got}");
        let own = standard_error(&y).expect("20 values") * (20.0_f64 / 40.0).sqrt();
        assert!((se - own).abs() < 1e-9, "{se} {own}");
        assert_eq!(regressed_mean(&y, &[]).0, mean(&y));
    }

    #[test]
    fn errors_are_as_large_as_said_and_smaller_than_without_controls() {
        let mut rng = rand_chacha::ChaCha12Rng::seed_from_u64(4);
        let runs = 2_000;
        let (mut off, mut said, mut plain) = (0.0, 0.0, 0.0);
        for _ in 0..runs {
            let mut uniform = || rng.random::<f64>() - 0.5;
            let control: Vec<f64> = (0..200).map(|_| uniform()).collect();
            let y: Vec<f64> = control[..40].iter().map(|c| c + 0.3 * uniform()).collect();
            let (got, se) = regressed_mean(&y, &[Control::plain(&control)]);
            off += got * got;
            said += se * se;
            plain += mean(&y) * mean(&y);
        }
        // The mean square of a normal number has a relative standard error of the root of 2/runs.
        let luck = 4.0 * (2.0 / f64::from(runs)).sqrt();
        assert!((off / said - 1.0).abs() < luck, "{off} {said}");
        assert!(off < 0.5 * plain, "{off} {plain}");
    }
}
