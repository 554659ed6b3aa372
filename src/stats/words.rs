//! Words for counts of twenty and for ratios. A word never stands without its count.

use crate::stats::paired::PairedCount;

/// Fewest pairs for a verdict that is not marked as a preview.
pub const PAIRS_FOR_A_VERDICT: usize = 1000;
/// Fewest pairs for a verdict word at all, marked as a preview below [`PAIRS_FOR_A_VERDICT`].
pub const PAIRS_FOR_A_WORD: usize = 400;

/// Word for `n` of 20; `None` from 6 to 14, which is too close to call.
pub fn word_of_20(n: usize) -> Option<&'static str> {
    match n {
        0 | 1 => Some("almost never"),
        2..=5 => Some("seldom"),
        6..=14 => None,
        15..=18 => Some("usually"),
        _ => Some("almost always"),
    }
}

/// A word for paired counts, the milder one while it is unsettled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Settled {
    /// The word; `None` for too close to call.
    pub word: Option<&'static str>,
    /// Which class it is about: "more", "no change" or "less"; empty for too close to call.
    pub way: &'static str,
    /// False when the share lies so near a boundary of the scale that more summers could change the word.
    pub settled: bool,
}

/// Standard errors within which a share counts as near a boundary.
const NEAR: f64 = 2.0;

/// The word for the winning class of a paired count, and whether it is settled.
///
/// The dots say 15 of 20 when a share above 0.725 of the pairs lies in the class, and 19 of 20 above 0.925 (the dots
/// are the quantiles at (i - 0.5)/20). A share within two standard errors of such a boundary is unsettled; then the
/// milder of the two words is given.
/// Shape: `count` is of `differences` with `tie_band`.
pub fn settled_word(count: &PairedCount, differences: &[f64], tie_band: f64) -> Settled {
    let n = differences.len().max(1) as f64;
    let share =
        |of: &dyn Fn(f64) -> bool| differences.iter().filter(|d| of(**d)).count() as f64 / n;
    let classes = [
        ("more", count.more, share(&|d| d > tie_band)),
        (
            "no change",
            count.no_change,
            share(&|d| d.abs() <= tie_band),
        ),
        ("less", count.less, share(&|d| d < -tie_band)),
    ];
    let near = |p: f64, boundary: f64| {
        (p - boundary).abs() < NEAR * (boundary * (1.0 - boundary) / n).sqrt()
    };
    let open = classes
        .iter()
        .any(|(_, _, p)| near(*p, 0.725) || near(*p, 0.925));
    let winner = classes.into_iter().find(|(_, n, _)| *n >= 15);
    let (word, way) = match winner {
        Some((_, _, p)) if near(p, 0.725) => (None, ""),
        Some((way, _, p)) if near(p, 0.925) => (Some("usually"), way),
        Some((way, n, _)) => (word_of_20(n), way),
        None => (None, ""),
    };
    Settled {
        word,
        way,
        settled: !open,
    }
}

/// A change from `before` to `after` in words, absolute numbers left to the caller.
///
/// Shape: both at least 0.
pub fn change_in_words(before: f64, after: f64) -> String {
    if (after - before).abs() < 0.5 && before < 1.0 {
        return "about the same".into();
    }
    if before < 0.5 {
        return "from next to nothing".into();
    }
    let ratio = after / before;
    match ratio {
        r if r >= 2.75 => format!("about {r:.0} times as much"),
        r if r >= 2.25 => "more than twice as much".into(),
        r if r >= 1.8 => "about twice as much".into(),
        r if r >= 1.4 => "about half as much again".into(),
        r if r >= 1.29 => "about a third more".into(),
        r if r >= 1.2 => "about a quarter more".into(),
        r if r >= 1.05 => "a little more".into(),
        r if r > 0.95 => "about the same".into(),
        r if r > 0.85 => "a little less".into(),
        r if r > 0.7 => "about a quarter less".into(),
        r if r > 0.6 => "about a third less".into(),
        r if r > 0.4 => "about half".into(),
        r if r > 0.2 => "about a third or less".into(),
        _ => "only a small part left".into(),
    }
}

/// A whole number with a comma every three digits.
pub fn thousands(value: f64) -> String {
    let digits = format!("{:.0}", value.abs().round());
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if value.round() < 0.0 {
        format!("-{out}")
    } else {
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_meet_the_scale_at_every_count() {
        let words: Vec<&str> = (0..=20).map(|n| word_of_20(n).unwrap_or("-")).collect();
        assert_eq!(words[..2], ["almost never"; 2]);
        assert_eq!(words[2..6], ["seldom"; 4]);
        assert_eq!(words[6..15], ["-"; 9]);
        assert_eq!(words[15..19], ["usually"; 4]);
        assert_eq!(words[19..], ["almost always"; 2]);
    }

    #[test]
    fn a_share_near_a_boundary_is_unsettled_and_gets_the_milder_word() {
        let word = |above: usize, n: usize| {
            let values: Vec<f64> = (0..n).map(|i| if i < above { 5.0 } else { 0.0 }).collect();
            let count = crate::stats::paired::count(&values, 1.0);
            settled_word(&count, &values, 1.0)
        };
        assert_eq!(
            (word(850, 1000).word, word(850, 1000).settled),
            (Some("usually"), true)
        );
        assert_eq!(
            (word(990, 1000).word, word(990, 1000).settled),
            (Some("almost always"), true)
        );
        // 0.935 lies within two standard errors of 0.925 at 1,000 pairs, and outside at 10,000.
        assert_eq!(
            (word(935, 1000).word, word(935, 1000).settled),
            (Some("usually"), false)
        );
        assert_eq!(
            (word(9350, 10000).word, word(9350, 10000).settled),
            (Some("almost always"), true)
        );
        assert_eq!(
            (word(735, 1000).word, word(735, 1000).settled),
            (None, false)
        );
        assert_eq!(word(500, 1000).word, None);
        assert_eq!(
            (word(0, 1000).word, word(0, 1000).way),
            (Some("almost always"), "no change")
        );
    }

    #[test]
    fn thousands_are_set_apart() {
        assert_eq!(thousands(0.2), "0");
        assert_eq!(thousands(999.6), "1,000");
        assert_eq!(thousands(1_234_567.0), "1,234,567");
        assert_eq!(thousands(-1500.0), "-1,500");
    }

    #[test]
    fn changes_read_as_they_are() {
        assert_eq!(change_in_words(12.0, 18.0), "about half as much again");
        assert_eq!(change_in_words(12.0, 12.2), "about the same");
        assert_eq!(change_in_words(10.0, 31.0), "about 3 times as much");
        assert_eq!(change_in_words(0.0, 0.2), "about the same");
        assert_eq!(change_in_words(0.1, 4.0), "from next to nothing");
        assert_eq!(change_in_words(10.0, 1.0), "only a small part left");
    }
}
