//! Mean, standard error, and whole shares of 100.

/// Mean of a sample; 0 for an empty one.
pub fn mean(values: &[f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    values.iter().sum::<f64>() / values.len() as f64
}

/// Sum of the squared distances from a value.
pub fn squares_about(values: &[f64], centre: f64) -> f64 {
    values.iter().map(|v| (v - centre) * (v - centre)).sum()
}

/// Standard error of the mean; `None` for fewer than two values.
pub fn standard_error(values: &[f64]) -> Option<f64> {
    let n = values.len();
    if n < 2 {
        return None;
    }
    let squares = squares_about(values, mean(values));
    Some((squares / ((n - 1) as f64 * n as f64)).sqrt())
}

/// Standard error of the mean of values from `n` strata that were used in turn: each once, in random order, before any was
/// used again. Error of the mean over all strata, each of the same weight.
///
/// Strata used equally often add nothing but the spread within them; those used once more than the rest are a random
/// sample without replacement. As long as too few strata came twice to tell the two spreads apart, this is the ordinary
/// error, which is then too large.
/// Shape: one stratum below `n` for each value. `None` for fewer than two values.
/// # Source
/// Cochran 1977, Sampling Techniques, chapters 2 and 5 (from memory); checked by simulation in `tests/theory/strata.rs`.
pub fn standard_error_in_turn(values: &[f64], strata: &[usize], n: usize) -> Option<f64> {
    /// Assumed: so many degrees of freedom tell a variance to about a quarter.
    const ENOUGH: usize = 30;
    let ordinary = standard_error(values)?;
    let (mut count, mut sum) = (vec![0_usize; n], vec![0.0; n]);
    for (value, &stratum) in values.iter().zip(strata) {
        count[stratum] += 1;
        sum[stratum] += value;
    }
    let freedom = values.len() - count.iter().filter(|c| **c > 0).count();
    if freedom < ENOUGH {
        return Some(ordinary);
    }
    let off = |(value, &of): (&f64, &usize)| value - sum[of] / count[of] as f64;
    let squares = values.iter().zip(strata).map(off).map(|off| off * off);
    let squares: f64 = squares.sum();
    let total = values.len() as f64;
    let within = squares / freedom as f64;
    let between = (ordinary * ordinary * total - within).max(0.0);
    let further = (values.len() % n) as f64;
    let left_over = further / (total * total) * (1.0 - further / n as f64);
    Some((within / total + between * left_over).sqrt())
}

/// Splits 100 in proportion to counts, in whole numbers that add up to 100 (largest remainder; the earlier entry wins a tie).
///
/// All zero when every count is zero.
pub fn of_100(counts: &[u64]) -> Vec<u64> {
    let total: u128 = counts.iter().map(|c| u128::from(*c)).sum();
    if total == 0 {
        return vec![0; counts.len()];
    }
    let whole = |c: &u64| (u128::from(*c) * 100 / total) as u64;
    let mut parts: Vec<u64> = counts.iter().map(whole).collect();
    let mut order: Vec<usize> = (0..counts.len()).collect();
    order.sort_by_key(|i| std::cmp::Reverse(u128::from(counts[*i]) * 100 % total));
    let missing = 100 - parts.iter().sum::<u64>();
    for i in order.into_iter().take(missing as usize) {
        parts[i] += 1;
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_of_100_add_up() {
        assert_eq!(of_100(&[1, 1, 1]), [34, 33, 33]);
        assert_eq!(of_100(&[60, 48, 30]), [43, 35, 22]);
        assert_eq!(of_100(&[0, 0]), [0, 0]);
        assert_eq!(of_100(&[u64::MAX, u64::MAX]), [50, 50]);
    }

    #[test]
    fn strata_used_equally_often_leave_only_the_spread_within_them() {
        // 40 strata twice each, 1 apart within: variance within 1/2, divided by 80 values.
        let values: Vec<f64> = (0..80).map(|i| f64::from(i % 40 * 10 + i / 40)).collect();
        let strata: Vec<usize> = (0..80).map(|i| i % 40).collect();
        let error = standard_error_in_turn(&values, &strata, 40).expect("80 values");
        assert!((error - (0.5f64 / 80.0).sqrt()).abs() < 1e-12, "{error}");
        // None came twice: the ordinary error.
        let error = standard_error_in_turn(&values[..40], &strata[..40], 40);
        assert_eq!(error, standard_error(&values[..40]));
    }

    #[test]
    fn standard_error_of_a_small_sample_by_hand() {
        // Mean 2, squares 2, variance 1, divided by 3 values.
        let error = standard_error(&[1.0, 2.0, 3.0]).expect("three values");
        assert!((error - (1.0f64 / 3.0).sqrt()).abs() < 1e-15);
        assert_eq!(standard_error(&[1.0]), None);
    }
}
