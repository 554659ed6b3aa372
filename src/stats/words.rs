//! Words for counts of twenty and for ratios. A word never stands without its count.

use crate::say::{Strings, counted, say};
use crate::stats::paired::{Class, MOST_DOTS, PairedCount};
use crate::stats::quantile::DOTS;
use crate::stats::settle::{self, BOUNDARIES, half_width, open_share};

/// Fewest pairs for a verdict word. Whether it can still change is another question: [`Settled::settled`].
pub const PAIRS_FOR_A_WORD: usize = settle::FEWEST as usize;
/// Fewest pairs for a verdict that is not marked as a preview, where nothing else is known of it.
pub const PAIRS_FOR_A_VERDICT: usize = PAIRS_FOR_A_WORD;

/// How often something happens, in the words of the scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Word {
    /// In 0 or 1 of 20.
    AlmostNever,
    /// In 2 to 5.
    Seldom,
    /// In 6 to 14.
    Sometimes,
    /// In 15 to 18.
    Usually,
    /// In 19 or 20.
    AlmostAlways,
}

impl Word {
    const ALL: [(Word, &'static str, &'static str); 5] = [
        (Word::AlmostNever, "almost never", "word.almost-never"),
        (Word::Seldom, "seldom", "word.seldom"),
        (Word::Sometimes, "sometimes", "word.sometimes"),
        (Word::Usually, "usually", "word.usually"),
        (Word::AlmostAlways, "almost always", "word.almost-always"),
    ];

    /// The word for `n` of `of`.
    pub fn of(n: usize, of: usize) -> Word {
        match (DOTS * n + of / 2) / of.max(1) {
            0 | 1 => Word::AlmostNever,
            2..=5 => Word::Seldom,
            6..=14 => Word::Sometimes,
            15..=18 => Word::Usually,
            _ => Word::AlmostAlways,
        }
    }

    /// The word that what files say begins with, such as "usually less".
    pub fn in_file(said: &str) -> Option<Word> {
        let found = Word::ALL.into_iter().find(|w| said.starts_with(w.1));
        found.map(|w| w.0)
    }

    /// As it stands in files.
    pub fn name(self) -> &'static str {
        Word::ALL[self as usize].1
    }

    /// As people read it.
    pub fn told(self, s: &Strings) -> &str {
        s.get(Word::ALL[self as usize].2)
    }
}

/// "17 of 20 summers".
pub fn of_summers(n: usize, of: usize) -> String {
    say!(&counted("count.summers", of as u64), n, of)
}

/// A word for paired counts, the milder one while it is unsettled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Settled {
    /// The word; `None` where it could go either way, and too near the lower boundary of the scale.
    pub word: Option<Word>,
    /// Which class it is about: "more", "no change" or "less"; empty where it could go either way.
    pub way: &'static str,
    /// False when a share lies so near a boundary of the scale that more summers could change the word
    /// ([`settle::open_share`]).
    pub settled: bool,
}

/// The word for the class of a paired count, and whether it is settled.
///
/// The dots say 15 of 20 when a share above 0.725 of the pairs lies in the class, and 19 of 20 above 0.925 (the dots
/// are the quantiles at (i - 0.5)/20). A share within two standard errors of such a boundary gets the milder of the two
/// words, and none at 0.725: then the counts stand alone.
/// Shape: `count` is of `differences` with `tie_band`.
pub fn settled_word(count: &PairedCount, differences: &[f64], tie_band: f64) -> Settled {
    let n = differences.len().max(1) as f64;
    let share =
        |of: &dyn Fn(f64) -> bool| differences.iter().filter(|d| of(**d)).count() as f64 / n;
    let (more, less) = (share(&|d| d > tie_band), share(&|d| d < -tie_band));
    let same = 1.0 - more - less;
    let [unclear, nearly] = BOUNDARIES;
    let near = |p: f64, boundary: f64| (p - boundary).abs() < half_width(boundary, n);
    let (class, leading) = (count.class(), count.leading());
    let p = match class {
        Class::More => more,
        Class::Less => less,
        Class::NoChange | Class::EitherWay => same,
    };
    let word = match class {
        Class::EitherWay => None,
        _ if leading >= MOST_DOTS && near(p, unclear) => None,
        _ if near(p, nearly) => Some(Word::Usually),
        _ => Some(Word::of(leading, count.told().of)),
    };
    Settled {
        word,
        way: class.way(),
        settled: ![more, same, less].iter().any(|p| open_share(*p, n)),
    }
}

/// How one number has become another, as people say it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// From next to nothing.
    FromNothing,
    /// So many times as much.
    Times,
    /// More than twice.
    MoreThanTwice,
    /// Twice.
    Twice,
    /// Half as much again.
    HalfAgain,
    /// A third more.
    ThirdMore,
    /// A quarter more.
    QuarterMore,
    /// A little more.
    LittleMore,
    /// The same.
    Same,
    /// A little less.
    LittleLess,
    /// A fifth less.
    FifthLess,
    /// A quarter less.
    QuarterLess,
    /// A third less.
    ThirdLess,
    /// Half.
    Half,
    /// Less than half.
    LessThanHalf,
    /// A third or less.
    ThirdOrLess,
    /// A small part.
    SmallPart,
}

impl Change {
    /// The change from `before` to `after`, and their ratio (1 where it says nothing). A change of at most `band` is none.
    /// Where one word ends and the next begins is assumed.
    ///
    /// Shape: both at least 0, as they are printed beside the word ([`printed`]).
    pub fn of(before: f64, after: f64, band: f64) -> (Change, f64) {
        // Tenths are no whole bits.
        if (after - before).abs() <= band.max(0.05) + 1e-9 {
            return (Change::Same, 1.0);
        }
        if before < 0.5 && after > before {
            return (Change::FromNothing, 1.0);
        }
        let ratio = after / before;
        // A word of growth holds from its number on, one of decline only above it.
        let holds = |least: f64| ratio > least || (ratio == least && least > 1.0);
        let found = CHANGES.iter().find(|(_, least, _)| holds(*least));
        (found.map_or(Change::SmallPart, |c| c.0), ratio)
    }
}

/// Changes with the least ratio of each, from the largest down, and their words.
const CHANGES: [(Change, f64, &str); 17] = [
    (Change::FromNothing, f64::INFINITY, "became.from-nothing"),
    (Change::Times, 2.75, "became.times"),
    (Change::MoreThanTwice, 2.25, "became.more-than-twice"),
    (Change::Twice, 1.8, "became.twice"),
    (Change::HalfAgain, 1.4, "became.half-again"),
    (Change::ThirdMore, 1.29, "became.third-more"),
    (Change::QuarterMore, 1.2, "became.quarter-more"),
    (Change::LittleMore, 1.05, "became.little-more"),
    (Change::Same, 0.95, "became.same"),
    (Change::LittleLess, 0.85, "became.little-less"),
    (Change::FifthLess, 0.775, "became.fifth-less"),
    (Change::QuarterLess, 0.7, "became.quarter-less"),
    (Change::ThirdLess, 0.6, "became.third-less"),
    (Change::Half, 0.45, "became.half"),
    (Change::LessThanHalf, 0.35, "became.less-than-half"),
    (Change::ThirdOrLess, 0.2, "became.third-or-less"),
    (Change::SmallPart, f64::NEG_INFINITY, "became.small-part"),
];

/// A number rounded to tenths.
pub fn tenths(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}

/// A number of 100 rounded as it is printed: one decimal below 10, whole above, where what is the same in tenths is so too.
pub fn printed(value: f64) -> f64 {
    if value < 9.95 {
        tenths(value)
    } else {
        tenths(value).round()
    }
}

/// A number of 100 as it is printed, but never 0 for something.
pub fn in_print(value: f64) -> String {
    match printed(value) {
        _ if value <= 0.0 => "0".into(),
        0.0 => say!("said.under"),
        shown if shown < 10.0 => format!("{shown:.1}"),
        shown => format!("{shown:.0}"),
    }
}

/// A change from `before` to `after` in words, absolute numbers left to the caller.
///
/// Shape: both at least 0, as they are printed beside the words.
pub fn change_in_words(before: f64, after: f64, band: f64) -> String {
    let (change, ratio) = Change::of(before, after, band);
    let found = CHANGES.iter().find(|c| c.0 == change);
    let key = found.map_or("became.small-part", |c| c.2);
    say!(key, ratio = format!("{ratio:.0}"))
}

/// Names in a row: "a, b and c".
pub fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => say!("list.and", most = most.join(", "), last),
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
    let sign = if value.round() < 0.0 { "-" } else { "" };
    format!("{sign}{out}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_meet_the_scale_at_every_count() {
        let words: Vec<Word> = (0..=20).map(|n| Word::of(n, 20)).collect();
        assert_eq!(words[..2], [Word::AlmostNever; 2]);
        assert_eq!(words[2..6], [Word::Seldom; 4]);
        assert_eq!(words[6..15], [Word::Sometimes; 9]);
        assert_eq!(words[15..19], [Word::Usually; 4]);
        assert_eq!(words[19..], [Word::AlmostAlways; 2]);
        assert_eq!(
            [Word::of(8, 8), Word::of(3, 8)],
            [Word::AlmostAlways, Word::Sometimes]
        );
        for (at, (word, name, _)) in Word::ALL.into_iter().enumerate() {
            assert_eq!((word as usize, word.name()), (at, name));
            assert_eq!(Word::in_file(&format!("{name} less")), Some(word));
        }
        assert_eq!(Word::in_file("could go either way"), None);
    }

    #[test]
    fn a_share_near_a_boundary_gets_the_milder_word_and_is_open_among_few_pairs() {
        let word = |above: usize, n: usize| {
            let values: Vec<f64> = (0..n).map(|i| if i < above { 5.0 } else { 0.0 }).collect();
            let count = crate::stats::paired::count(&values, 1.0);
            settled_word(&count, &values, 1.0)
        };
        let found = |above: usize, n: usize| (word(above, n).word, word(above, n).settled);
        assert_eq!(found(850, 1000), (Some(Word::Usually), true));
        assert_eq!(found(990, 1000), (Some(Word::AlmostAlways), true));
        // 0.935 lies within two standard errors of 0.925 at 1,000 pairs, and outside at 10,000.
        assert_eq!(found(935, 1000), (Some(Word::Usually), true));
        assert_eq!(found(9350, 10000), (Some(Word::AlmostAlways), true));
        assert_eq!(found(735, 1000), (None, true));
        // Among few pairs that nearness is a doubt: 2·√(0.725·0.275/100) is 0.09.
        assert_eq!(found(75, 100), (None, false));
        let found = |above: usize, n: usize| (word(above, n).word, word(above, n).way);
        assert_eq!(found(500, 1000), (Some(Word::Sometimes), "more"));
        assert_eq!(found(0, 1000), (Some(Word::AlmostAlways), "no change"));
        let halves: Vec<f64> = (0..1000)
            .map(|i| if i % 2 == 0 { 5.0 } else { -5.0 })
            .collect();
        let both = settled_word(&crate::stats::paired::count(&halves, 1.0), &halves, 1.0);
        assert_eq!((both.word, both.way), (None, ""));
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
        let words = |before, after| change_in_words(before, after, 1.0);
        assert_eq!(words(12.0, 18.0), "about half as much again");
        assert_eq!(words(12.0, 12.2), "about the same");
        assert_eq!(words(10.0, 31.0), "about 3 times as much");
        assert_eq!(words(0.0, 0.2), "about the same");
        assert_eq!(words(0.1, 4.0), "from next to nothing");
        assert_ne!(words(0.1, 0.0), "from next to nothing");
        assert_eq!(words(10.0, 5.0), "about half");
        assert_eq!(words(10.0, 4.2), "less than half is left");
        assert_eq!(words(10.0, 3.3), "about a third or less is left");
        assert_eq!(words(10.0, 1.0), "only a small part is left");
    }

    #[test]
    fn numbers_of_100_are_printed_with_a_decimal_below_ten() {
        let shown: Vec<String> = [0.0, 0.02, 0.06, 3.44, 9.94, 9.96, 15.2]
            .into_iter()
            .map(in_print)
            .collect();
        assert_eq!(shown, ["0", "under 0.1", "0.1", "3.4", "9.9", "10", "15"]);
    }

    proptest::proptest! {
        /// A word of change is borne by the numbers printed beside it.
        #[test]
        fn a_change_word_agrees_with_the_printed_numbers(before in 0.0f64..100.0, after in 0.0f64..100.0, band in 0.0f64..3.0) {
            let (a, b) = (printed(before), printed(after));
            let (change, ratio) = Change::of(a, b, band);
            match change {
                Change::Same => proptest::prop_assert!((b - a).abs() <= band.max(0.05) + 1e-9 || (ratio - 1.0).abs() < 0.05),
                Change::FromNothing | Change::Times | Change::MoreThanTwice | Change::Twice | Change::HalfAgain
                | Change::ThirdMore | Change::QuarterMore | Change::LittleMore => proptest::prop_assert!(b > a),
                _ => proptest::prop_assert!(b < a),
            }
            if (b - a).abs() <= band {
                proptest::prop_assert_eq!(change, Change::Same);
            }
        }
    }
}
