//! When enough values have been taken: looks at a growing series, the word at each, and the error of a printed mean.
//!
//! A series of paired differences is looked at after fixed numbers of pairs. Its word is settled when every share lies
//! farther than [`NEAR`] standard errors from every boundary of the scale of words, or when those standard errors have
//! shrunk to [`ZONE`]: then the share lies so near the boundary that the milder of the two words is as good as the other.
//! A mean is settled when [`NEAR`] standard errors are within [`ABSOLUTE`] or [`RELATIVE`] of it.
//!
//! The looks repeat, so that a single look's chance of error does not hold for all of them together. How often the word
//! given is stronger than that of a very long series is therefore measured, on the shipped yards (`tests/theory/settle.rs`).
//! # Source
//! Stopping when an interval is narrow enough: Chow & Robbins 1965, Annals of Mathematical Statistics 36: 457-462
//! (reference checked; theorem from memory): such intervals keep their coverage as the width shrinks. Bounds that hold at
//! all looks together (Howard, Ramdas, McAuliffe & Sekhon 2021, Annals of Statistics 49: 1055-1080, reference checked;
//! Waudby-Smith & Ramdas 2024, means by betting, abstract read) need about twice as many values and were not used.

use crate::stats::covariate::Adjusted;

/// Standard errors within which a share counts as near a boundary, and that are printed beside a mean.
pub const NEAR: f64 = 2.0;
/// Half-width of a share at which a word near a boundary is settled as the milder one. Chosen by measurement: the widest
/// zone tried (0.04, 0.06, 0.08) that gives at most 1 word in 100 stronger than the long run's (tests/theory/settle.rs).
pub const ZONE: f64 = 0.08;
/// A printed mean may be off by so much, of 100,
pub const ABSOLUTE: f64 = 0.5;
/// or by this part of itself: it is printed with this error beside it.
pub const RELATIVE: f64 = 0.15;
/// Fewest values.
pub const FEWEST: u32 = 60;
/// Most values when nothing else is said.
pub const MOST: u32 = 2000;
/// Shares at which one word gives way to the next: 15 and 19 dots of 20.
pub const BOUNDARIES: [f64; 2] = [0.725, 0.925];

/// Half-width of a share of `n` at a boundary.
pub fn half_width(boundary: f64, n: f64) -> f64 {
    NEAR * (boundary * (1.0 - boundary) / n).sqrt()
}

/// Whether a share of `n` values lies so near a boundary that more values could change the word.
pub fn open_share(share: f64, n: f64) -> bool {
    BOUNDARIES.iter().any(|b| {
        let half = half_width(*b, n);
        (share - b).abs() < half && half > ZONE
    })
}

/// Whether a mean is known well enough to print.
pub fn mean_settled(mean: &Adjusted) -> bool {
    NEAR * mean.error <= ABSOLUTE.max(RELATIVE * mean.mean.abs())
}

/// The next look after `done` values: every 20 up to 200, then a tenth more, in whole twenties; never beyond `most`.
pub fn next_look(done: u32, most: u32) -> u32 {
    let step = (done / 200 * 20).max(20);
    (done.saturating_add(step)).max(FEWEST).min(most)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn looks_are_fixed_and_end_at_the_most() {
        let looks = |most: u32| {
            let next = |done: &u32| (*done < most).then(|| next_look(*done, most));
            std::iter::successors(Some(0), next)
                .skip(1)
                .collect::<Vec<_>>()
        };
        assert_eq!(looks(130), [60, 80, 100, 120, 130]);
        assert_eq!(looks(7), [7]);
        let all = looks(MOST);
        assert_eq!(all[..9], [60, 80, 100, 120, 140, 160, 180, 200, 220]);
        assert_eq!(all.last(), Some(&MOST));
        assert!(
            all.windows(2)
                .all(|w| w[0] < w[1] && w[1] <= w[0] + w[0] / 3 + 1)
        );
    }

    #[test]
    fn a_share_is_open_near_a_boundary_until_its_half_width_is_small() {
        // 2·√(0.725·0.275/n) is 0.08 at 125 values, 2·√(0.925·0.075/n) at 44.
        assert!(open_share(0.74, 120.0) && !open_share(0.74, 126.0));
        assert!(open_share(0.94, 40.0) && !open_share(0.94, 45.0));
        assert!(!open_share(0.5, 60.0) && !open_share(1.0, 60.0));
    }
}
