//! Quantiles of a sample, and the twenty that stand for it in counts and dot plots.

/// Dots that stand for a sample.
pub const DOTS: usize = 20;

/// Quantile of a sorted sample at `p`.
///
/// The `k`-th smallest of `n` values stands at `(k - 0.5) / n`, and values between are interpolated, so that the
/// twenty dots of twenty values are those values.
/// Shape: `sorted` ascending and not empty; `p` in \[0, 1\].
/// # Source
/// Hyndman & Fan 1996, The American Statistician 50: 361-365, definition 5 (from memory).
pub fn quantile(sorted: &[f64], p: f64) -> f64 {
    let n = sorted.len();
    let place = (n as f64 * p - 0.5).clamp(0.0, (n - 1) as f64);
    let below = place.floor() as usize;
    let above = (below + 1).min(n - 1);
    let part = place - below as f64;
    if part == 0.0 {
        return sorted[below];
    }
    sorted[below] + (sorted[above] - sorted[below]) * part
}

/// A sample in ascending order.
pub fn sorted(values: &[f64]) -> Vec<f64> {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    values
}

/// The quantiles at `(i - 0.5) / 20` for `i` from 1 to 20, ascending; all zero for an empty sample.
pub fn dots(values: &[f64]) -> [f64; DOTS] {
    let mut out = [0.0; DOTS];
    if values.is_empty() {
        return out;
    }
    let sorted = sorted(values);
    for (i, dot) in out.iter_mut().enumerate() {
        *dot = quantile(&sorted, (i as f64 + 0.5) / DOTS as f64);
    }
    out
}

/// What is drawn for a sample, ascending: its twenty dots, or its values themselves where there are fewer.
pub fn shown(values: &[f64]) -> Vec<f64> {
    if values.len() < DOTS {
        sorted(values)
    } else {
        dots(values).to_vec()
    }
}

/// Middle value of a sample; 0 for an empty one.
pub fn median(values: &[f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    quantile(&sorted(values), 0.5)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twenty_values_are_their_own_dots() {
        let values: Vec<f64> = (0..20).rev().map(f64::from).collect();
        let dots = dots(&values);
        for (i, dot) in dots.iter().enumerate() {
            assert_eq!(*dot, i as f64);
        }
    }

    #[test]
    fn dots_of_a_uniform_ladder_stand_in_the_middle_of_their_twentieths() {
        let values: Vec<f64> = (0..1000).map(|i| (f64::from(i) + 0.5) / 1000.0).collect();
        for (i, dot) in dots(&values).iter().enumerate() {
            assert!((dot - (i as f64 + 0.5) / 20.0).abs() < 1e-12);
        }
    }

    #[test]
    fn median_of_even_and_odd_samples() {
        assert_eq!(median(&[3.0, 1.0, 2.0]), 2.0);
        assert_eq!(median(&[4.0, 1.0, 2.0, 3.0]), 2.5);
        assert_eq!(median(&[]), 0.0);
    }
}
