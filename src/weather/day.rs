//! Civil days: reading them in the ways stations write them, counting between them.

use crate::say::{say, voice};
use jiff::civil::Date;

/// Days from `from` to `to`; negative when `to` is earlier.
pub fn days_between(from: Date, to: Date) -> i64 {
    to.duration_since(from).as_hours() / 24
}

/// The day `n` days later; stays at the end of the calendar (year 9999) if that is passed.
pub fn plus(date: Date, n: i64) -> Date {
    let span = jiff::SignedDuration::from_hours(24 * n.clamp(-4_000_000, 4_000_000));
    date.checked_add(span)
        .unwrap_or(if n > 0 { Date::MAX } else { Date::MIN })
}

/// The day `n` days after a first day, as places in a series are counted.
pub fn nth(first: Date, n: usize) -> Date {
    plus(first, i64::try_from(n).unwrap_or(i64::MAX))
}

/// The same month and day in another year; 29 February becomes 28 February where there is none.
pub fn in_year(date: Date, year: i16) -> Date {
    Date::new(year, date.month(), date.day())
        .or_else(|_| Date::new(year, date.month(), 28))
        .unwrap_or(date)
}

/// The three numbers of a date, in the order written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Written {
    /// Year first, so the order is plain.
    YearFirst(Date),
    /// Two numbers and a year last: month and day, or day and month.
    YearLast(u32, u32, i16),
}

/// Reads `2013-05-08`, `2013/05/08`, `20130508`, `2013-05-08T00:00`, `5/8/2013` or `8.5.2013`.
///
/// # Errors
/// When it is no date; 29 February of a common year says so.
pub fn read(text: &str) -> Result<Written, String> {
    let text = text.trim();
    let date_part = text.split(['T', ' ']).next().unwrap_or("");
    let bad = || say!("date.none", text = shorten(text));
    if date_part.len() == 8 && date_part.bytes().all(|b| b.is_ascii_digit()) {
        let number = |a: usize, b: usize| date_part[a..b].parse::<u32>().map_err(|_| bad());
        return make(number(0, 4)?, number(4, 6)?, number(6, 8)?).map(Written::YearFirst);
    }
    let mut parts = [0_u32; 3];
    let mut widths = [0_usize; 3];
    let mut n = 0;
    for part in date_part.split(['-', '/', '.']) {
        if n == 3 || part.is_empty() || part.len() > 4 || !part.bytes().all(|b| b.is_ascii_digit())
        {
            return Err(bad());
        }
        parts[n] = part.parse().map_err(|_| bad())?;
        widths[n] = part.len();
        n += 1;
    }
    match (n, widths) {
        (3, [4, ..]) => make(parts[0], parts[1], parts[2]).map(Written::YearFirst),
        (3, [_, _, 4]) => {
            let year = i16::try_from(parts[2]).map_err(|_| bad())?;
            Ok(Written::YearLast(parts[0], parts[1], year))
        }
        _ => Err(bad()),
    }
}

/// Reads a date whose year comes first.
///
/// # Errors
/// As [`read`]; also when the year stands last.
pub fn read_iso(text: &str) -> Result<Date, String> {
    match read(text)? {
        Written::YearFirst(date) => Ok(date),
        Written::YearLast(..) => Err(say!("date.year-first", text = shorten(text))),
    }
}

/// A date from its three numbers.
///
/// # Errors
/// When there is no such day.
pub fn make(year: u32, month: u32, day: u32) -> Result<Date, String> {
    if month == 2 && day == 29 && Date::new(year as i16, 2, 29).is_err() {
        return Err(say!("date.no-29-february", year));
    }
    i8::try_from(month)
        .ok()
        .zip(i8::try_from(day).ok())
        .zip(i16::try_from(year).ok())
        .and_then(|((m, d), y)| Date::new(y, m, d).ok())
        .ok_or_else(|| say!("date.no-day", day, month, year))
}

/// `8 May 2014`.
pub fn words(date: Date) -> String {
    let month = month_name(date.month());
    say!("date.words", day = date.day(), month, year = date.year())
}

/// `8 May`.
pub fn words_short(date: Date) -> String {
    let month = month_name(date.month());
    say!("date.words-short", day = date.day(), month)
}

/// Short name of a month.
pub fn month_name(month: i8) -> &'static str {
    let mut names = voice().get("date.months").split(' ');
    names
        .nth((month.clamp(1, 12) - 1) as usize)
        .unwrap_or_default()
}

/// At most 30 characters of a text that came from outside, without control characters.
pub fn shorten(text: &str) -> String {
    let mut short: String = text.chars().filter(|c| !c.is_control()).take(30).collect();
    if text.chars().count() > 30 {
        short.push_str("...");
    }
    short
}
