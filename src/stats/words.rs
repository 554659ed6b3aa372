//! Words for counts of twenty and for ratios. A word never stands without its count.

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
