//! Two spreads apart: between groups and within them, from a nested design.

use crate::stats::spread::{mean, squares_about};

/// Variance within groups and between them.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Components {
    /// Variance between group means beyond what chance within groups gives; never below 0.
    pub between: f64,
    /// Variance within groups.
    pub within: f64,
}

/// Variance components of a balanced nested design (one-way random effects, method of moments).
///
/// Shape: at least two groups of at least two values each, all of one length; `None` otherwise.
/// # Source
/// Searle, Casella & McCulloch 1992, Variance Components, chapter 3 (from memory).
pub fn components(groups: &[Vec<f64>]) -> Option<Components> {
    let each = groups.first()?.len();
    if groups.len() < 2 || each < 2 || groups.iter().any(|g| g.len() != each) {
        return None;
    }
    let (n, k) = (each as f64, groups.len() as f64);
    let means: Vec<f64> = groups.iter().map(|g| mean(g)).collect();
    let between = n * squares_about(&means, mean(&means)) / (k - 1.0);
    let pairs = groups.iter().zip(means);
    let off = pairs.flat_map(|(g, m)| g.iter().map(move |v| (v - m) * (v - m)));
    let within = off.sum::<f64>() / (k * (n - 1.0));
    Some(Components {
        between: ((between - within) / n).max(0.0),
        within,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn components_of_a_small_design_by_hand() {
        // Means 2 and 6, grand mean 4: mean square between 2·(4 + 4) = 16, within (1+1+1+1)/2 = 2.
        let found = components(&[vec![1.0, 3.0], vec![5.0, 7.0]]).expect("two groups of two");
        assert_eq!((found.between, found.within), (7.0, 2.0));
    }

    #[test]
    fn equal_groups_have_nothing_between_them() {
        let found = components(&[vec![1.0, 3.0], vec![1.0, 3.0]]).expect("two groups of two");
        assert_eq!(found.between, 0.0);
        assert_eq!(components(&[vec![1.0, 2.0]]), None);
        assert_eq!(components(&[vec![1.0, 2.0], vec![1.0]]), None);
    }
}
