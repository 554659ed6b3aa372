//! Paired differences as counts of twenty: more, no change, less.
//!
//! The counts are taken from the very dots that are drawn, so text and picture agree by construction.

use crate::stats::quantile::{DOTS, dots};
use crate::stats::settle::NEAR;
use crate::stats::spread::{mean, standard_error};
use serde::{Deserialize, Serialize};

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
    /// Pairs with more, no change and less.
    pub of_pairs: [usize; 3],
}

/// Dots that make a class by themselves.
pub const MOST_DOTS: usize = 15;
/// Dots on the other side that an answer to one side may have.
pub const STRAY_DOTS: usize = 1;

/// Share of the pairs beyond which 15 of 20 dots lie in a class: their quantile is (15 - 0.5)/20.
pub const MOST: f64 = 0.725;
/// Share of the pairs below which at most one dot of 20 lies in a class.
pub const HARDLY_ANY: f64 = 0.075;

/// What counts of twenty say. Every verdict, map and picture takes its class from here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Class {
    /// More in most, or more in some and hardly ever less.
    More,
    /// Less in most, or less in some and hardly ever more.
    Less,
    /// No change in most.
    NoChange,
    /// Some more and some less.
    EitherWay,
}

impl Class {
    /// The class of counts of twenty: [`MOST_DOTS`] decide; else a side with more than [`STRAY_DOTS`] dots against at most
    /// so many on the other.
    pub fn of_20(more: usize, same: usize, less: usize) -> Class {
        match () {
            () if same >= MOST_DOTS => Class::NoChange,
            () if more >= MOST_DOTS => Class::More,
            () if less >= MOST_DOTS => Class::Less,
            () if less <= STRAY_DOTS && more > less => Class::More,
            () if more <= STRAY_DOTS && less > more => Class::Less,
            () => Class::EitherWay,
        }
    }

    /// The class of shares of more and less.
    pub fn of_shares(more: f64, less: f64) -> Class {
        match () {
            () if 1.0 - more - less >= MOST => Class::NoChange,
            () if more >= MOST => Class::More,
            () if less >= MOST => Class::Less,
            () if less < HARDLY_ANY && more > less => Class::More,
            () if more < HARDLY_ANY && less > more => Class::Less,
            () => Class::EitherWay,
        }
    }

    /// Which side it is about, as tables print it; empty for neither.
    pub fn way(self) -> &'static str {
        match self {
            Class::More => "more",
            Class::Less => "less",
            Class::NoChange => "no change",
            Class::EitherWay => "",
        }
    }
}

/// Counts as they are told: out of twenty dots, or of the summers themselves where there are fewer. Text, tables, files
/// and pictures take them from here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Told {
    /// With more.
    pub more: usize,
    /// With no change.
    pub same: usize,
    /// With less.
    pub less: usize,
    /// What they add up to.
    #[serde(default = "twenty")]
    pub of: usize,
}

fn twenty() -> usize {
    DOTS
}

impl Told {
    /// More, no change and less, out of as many as they add up to.
    pub fn new([more, same, less]: [usize; 3]) -> Told {
        let of = more + same + less;
        Told {
            more,
            same,
            less,
            of,
        }
    }

    /// More, no change, less.
    pub fn all(self) -> [usize; 3] {
        [self.more, self.same, self.less]
    }

    /// What they say.
    pub fn class(self) -> Class {
        if self.of == DOTS {
            return Class::of_20(self.more, self.same, self.less);
        }
        let share = |n: usize| n as f64 / self.of.max(1) as f64;
        Class::of_shares(share(self.more), share(self.less))
    }

    /// Those of their class; 0 for neither side.
    pub fn leading(self) -> usize {
        match self.class() {
            Class::More => self.more,
            Class::Less => self.less,
            Class::NoChange => self.same,
            Class::EitherWay => 0,
        }
    }

    /// Whether so many are most of them.
    pub fn most(self, n: usize) -> bool {
        n * DOTS >= MOST_DOTS * self.of
    }

    /// Whether most of them went one way.
    pub fn mostly_one_way(self) -> bool {
        self.most(self.more.max(self.less))
    }

    /// Whether over half show no change, and yet they lean to one side.
    pub fn mostly_same(self) -> bool {
        matches!(self.class(), Class::More | Class::Less) && 2 * self.same > self.of
    }

    /// Whether they are short of most on their side with none on the other: then a sentence must say that it never went
    /// the other way.
    pub fn never_other_way(self) -> bool {
        let (high, low) = (self.more.max(self.less), self.more.min(self.less));
        high > 0 && low == 0 && !self.most(high) && !self.most(self.same)
    }
}

impl PairedCount {
    /// The counts as they are told.
    pub fn told(&self) -> Told {
        Told::new(if self.pairs < DOTS {
            self.of_pairs
        } else {
            [self.more, self.no_change, self.less]
        })
    }

    /// What the counts say.
    pub fn class(&self) -> Class {
        self.told().class()
    }

    /// Counts of that class, as they are told.
    pub fn leading(&self) -> usize {
        self.told().leading()
    }
}

/// The mean of paired differences.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct MeanChange {
    /// The mean.
    pub change: f64,
    /// Its standard error; 0 for fewer than two pairs.
    pub error: f64,
}

impl MeanChange {
    /// Of differences.
    pub fn of(differences: &[f64]) -> MeanChange {
        MeanChange {
            change: mean(differences),
            error: standard_error(differences).unwrap_or(0.0),
        }
    }

    /// What it amounts to when a change of at most `tie_band` is none: more, less or no change.
    pub fn class(self, tie_band: f64) -> Class {
        match self.change {
            c if c > tie_band => Class::More,
            c if c < -tie_band => Class::Less,
            _ => Class::NoChange,
        }
    }

    /// Two standard errors below and above it.
    pub fn ends(self) -> [f64; 2] {
        [-NEAR, NEAR].map(|many| self.change + many * self.error)
    }

    /// Whether it stands out from chance beyond a value, by more than two standard errors.
    pub fn clear_of(self, value: f64) -> bool {
        (self.change - value).abs() > NEAR * self.error
    }
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
    let against = |other: &&[f64]| count(&differences(first, other), tie_band);
    others.iter().map(against).collect()
}

/// Counts the twenty quantiles of paired differences in three classes.
///
/// Shape: `tie_band >= 0`, in the unit of the differences. The three classes always add up to 20.
pub fn count(differences: &[f64], tie_band: f64) -> PairedCount {
    let dots = dots(differences);
    let classes = |values: &[f64]| {
        let more = values.iter().filter(|d| **d > tie_band).count();
        let less = values.iter().filter(|d| **d < -tie_band).count();
        let tied = values.iter().filter(|d| d.abs() <= tie_band).count();
        [more, tied, less]
    };
    let [more, _, less] = classes(&dots);
    let no_change = DOTS - more - less;
    let of_pairs = classes(differences);
    let [up, tied, down] = of_pairs.map(|n| n > 0);
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
        of_pairs,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_lean_beside_mostly_no_change_is_known_as_such() {
        let mostly = |counts| Told::new(counts).mostly_same();
        assert!(mostly([6, 14, 0]) && mostly([0, 11, 9]));
        assert!(!mostly([10, 10, 0]), "half is not over half");
        assert!(!mostly([0, 20, 0]) && !mostly([4, 12, 4]), "no lean");
    }

    #[test]
    fn equal_plans_show_no_change_in_20_of_20() {
        let count = count(&[0.0; 1000], 1.0);
        let found = (count.more, count.no_change, count.less, count.rare);
        assert_eq!(found, (0, 20, 0, None));
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
        assert_eq!(count.told(), Told::new([17, 2, 1]));
    }

    #[test]
    fn few_pairs_are_told_as_they_are() {
        assert_eq!(count(&[5.0], 1.0).told(), Told::new([1, 0, 0]));
        let three = count(&[5.0, 0.0, -5.0], 1.0);
        let found = (three.told(), three.class());
        assert_eq!(found, (Told::new([1, 1, 1]), Class::EitherWay));
        assert_eq!(count(&[5.0, 5.0, 0.0], 1.0).leading(), 2);
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

    #[test]
    fn every_count_of_twenty_has_the_class_that_its_dots_bear_out() {
        for more in 0..=DOTS {
            for less in 0..=DOTS - more {
                let same = DOTS - more - less;
                let class = Class::of_20(more, same, less);
                let turned = Class::of_20(less, same, more);
                match class {
                    Class::EitherWay => assert!(more > STRAY_DOTS && less > STRAY_DOTS),
                    Class::NoChange => assert!(same >= MOST_DOTS),
                    Class::More => {
                        assert!(more > less && (less <= STRAY_DOTS || more >= MOST_DOTS));
                    }
                    Class::Less => assert!(less > more && turned == Class::More),
                }
            }
        }
        assert_eq!(Class::of_20(12, 8, 0), Class::More);
        assert_eq!(Class::of_20(7, 6, 7), Class::EitherWay);
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
