//! Mean, standard error, and whole shares of 100.

/// Mean of a sample; 0 for an empty one.
pub fn mean(values: &[f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    values.iter().sum::<f64>() / values.len() as f64
}

/// Standard error of the mean; `None` for fewer than two values.
pub fn standard_error(values: &[f64]) -> Option<f64> {
    let n = values.len();
    if n < 2 {
        return None;
    }
    let centre = mean(values);
    let squares: f64 = values.iter().map(|v| (v - centre) * (v - centre)).sum();
    Some((squares / ((n - 1) as f64 * n as f64)).sqrt())
}

/// Splits 100 in proportion to counts, in whole numbers that add up to 100 (largest remainder; the earlier entry wins a tie).
///
/// All zero when every count is zero.
pub fn of_100(counts: &[u64]) -> Vec<u64> {
    let total: u128 = counts.iter().map(|c| u128::from(*c)).sum();
    if total == 0 {
        return vec![0; counts.len()];
    }
    let mut parts: Vec<u64> = counts
        .iter()
        .map(|c| (u128::from(*c) * 100 / total) as u64)
        .collect();
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
    fn standard_error_of_a_small_sample_by_hand() {
        // Mean 2, squares 2, variance 1, divided by 3 values.
        let error = standard_error(&[1.0, 2.0, 3.0]).expect("three values");
        assert!((error - (1.0f64 / 3.0).sqrt()).abs() < 1e-15);
        assert_eq!(standard_error(&[1.0]), None);
    }
}
