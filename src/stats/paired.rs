//! Paired differences as counts of twenty: more, no change, less.
//!
//! The counts are taken from the very dots that are drawn, so text and picture agree by construction.

use crate::stats::quantile::{DOTS, dots};

/// What the summers behind twenty agreeing dots did that the dots do not show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rare {
    /// At least one difference had the other sign.
    OtherWay,
    /// At least one difference fell into another class, but none had the other sign.
    Differed,
}

/// Counts of twenty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PairedCount {
    /// Dots above the tie band.
    pub more: usize,
    /// Dots within the tie band, its edges included.
    pub no_change: usize,
    /// Dots below the tie band.
    pub less: usize,
    /// The dots, ascending.
    pub dots: [f64; DOTS],
    /// Set when all dots agree but some pair did not.
    pub rare: Option<Rare>,
    /// Number of pairs behind the dots.
    pub pairs: usize,
}

/// Differences `other - first`, pair by pair; surplus values of the longer sample are left out.
pub fn differences(first: &[f64], other: &[f64]) -> Vec<f64> {
    first.iter().zip(other).map(|(a, b)| b - a).collect()
}

/// Counts of every series but the first against the first, pair by pair.
///
/// Shape: one series a plan, one value a summer.
pub fn against_first(series: &[&[f64]], tie_band: f64) -> Vec<PairedCount> {
    let Some((first, others)) = series.split_first() else {
        return Vec::new();
    };
    others
        .iter()
        .map(|other| count(&differences(first, other), tie_band))
        .collect()
}

/// Counts the twenty quantiles of paired differences in three classes.
///
/// Shape: `tie_band >= 0`, in the unit of the differences. The three classes always add up to 20.
pub fn count(differences: &[f64], tie_band: f64) -> PairedCount {
    let dots = dots(differences);
    let more = dots.iter().filter(|d| **d > tie_band).count();
    let less = dots.iter().filter(|d| **d < -tie_band).count();
    let up = differences.iter().any(|d| *d > tie_band);
    let down = differences.iter().any(|d| *d < -tie_band);
    let tied = differences.iter().any(|d| d.abs() <= tie_band);
    let no_change = DOTS - more - less;
    let rare = match (more, no_change, less) {
        (DOTS, _, _) if down => Some(Rare::OtherWay),
        (_, _, DOTS) if up => Some(Rare::OtherWay),
        (DOTS, _, _) | (_, _, DOTS) if tied => Some(Rare::Differed),
        (_, DOTS, _) if up || down => Some(Rare::Differed),
        _ => None,
    };
    PairedCount {
        more,
        no_change,
        less,
        dots,
        rare,
        pairs: differences.len(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn equal_plans_show_no_change_in_20_of_20() {
        let count = count(&[0.0; 1000], 1.0);
        assert_eq!(
            (count.more, count.no_change, count.less, count.rare),
            (0, 20, 0, None)
        );
    }

    #[test]
    fn a_difference_on_the_edge_of_the_tie_band_is_no_change() {
        let count = count(&[1.0; 50], 1.0);
        assert_eq!((count.more, count.no_change), (0, 20));
    }

    #[test]
    fn counts_follow_the_share_of_pairs() {
        let mut values = vec![5.0; 850];
        values.extend([0.0; 100]);
        values.extend([-5.0; 50]);
        let count = count(&values, 1.0);
        assert_eq!((count.more, count.no_change, count.less), (17, 2, 1));
    }

    #[test]
    fn a_rare_summer_is_told() {
        let mut values = vec![5.0; 999];
        values.push(-5.0);
        assert_eq!(count(&values, 1.0).rare, Some(Rare::OtherWay));
        values[999] = 0.0;
        assert_eq!(count(&values, 1.0).rare, Some(Rare::Differed));
        values[999] = 5.0;
        assert_eq!(count(&values, 1.0).rare, None);
    }

    proptest! {
        #[test]
        fn classes_add_up_and_turn_round_with_the_sign(values in prop::collection::vec(-50.0f64..50.0, 1..200), band in 0.0f64..5.0) {
            let there = count(&values, band);
            prop_assert_eq!(there.more + there.no_change + there.less, DOTS);
            let turned: Vec<f64> = values.iter().map(|v| -v).collect();
            let back = count(&turned, band);
            // Interpolation may round differently by one unit in the last place; ties at the edge are excluded.
            if there.dots.iter().all(|d| (d.abs() - band).abs() > 1e-9) {
                prop_assert_eq!((there.more, there.less), (back.less, back.more));
            }
        }
    }
}
