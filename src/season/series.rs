//! Days without holes: short gaps are filled by straight lines, long ones by other years or not at all, and it is said.

use crate::say::{counted, say};
use crate::weather::InputError;
use crate::weather::daily::{DayTemps, Record};
use crate::weather::day::{days_between, in_year, nth, plus};
use crate::weather::temperature::Temperature;
use jiff::civil::Date;

/// Longest gap that is filled by a straight line between its neighbours, days (own rule).
pub const LONGEST_GAP_D: usize = 5;

/// Days in order without holes, and what was filled.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    /// One entry a day.
    pub days: Vec<DayTemps>,
    /// What was filled, in words.
    pub notes: Vec<String>,
    /// The days that were filled.
    pub filled: Vec<Date>,
}

/// The days `from` to `to`, both included.
///
/// Gaps of up to five days between known days are filled by straight lines in both extremes. Longer gaps, and days before
/// the record begins, take the mean of the same calendar day in `others`, if those have it.
///
/// # Errors
/// When a long gap cannot be filled.
pub fn contiguous(
    record: &Record,
    from: Date,
    to: Date,
    others: &[&Record],
) -> Result<Filled, InputError> {
    let mut days: Vec<Option<DayTemps>> = slots(record, from, to);
    let known: Vec<bool> = days.iter().map(Option::is_some).collect();
    let mut notes = Vec::new();
    let mut filled = Vec::new();
    for (start, end) in gaps(&known) {
        let (first, last) = (nth(from, start), nth(from, end - 1));
        let length = end - start;
        let note = |key| say!(&counted(key, length as u64), date = first, date_end = last);
        if length <= LONGEST_GAP_D && start > 0 && end < days.len() {
            bridge(&mut days, start, end, from);
            notes.push(note("gap.line"));
        } else if let Some(means) = (start..end)
            .map(|i| mean_of_years(others, nth(from, i)))
            .collect::<Option<Vec<_>>>()
        {
            for (slot, day) in days[start..end].iter_mut().zip(means) {
                *slot = Some(day);
            }
            notes.push(note("gap.years"));
        } else {
            return Err(gap_error(record, first, last, start == 0));
        }
        filled.extend((start..end).map(|i| nth(from, i)));
    }
    Ok(Filled {
        days: days.into_iter().flatten().collect(),
        notes,
        filled,
    })
}

fn gap_error(record: &Record, first: Date, last: Date, at_start: bool) -> InputError {
    let what = if at_start {
        say!("gap.at-start", date = first, date_end = plus(last, 1))
    } else {
        say!(
            "gap.long",
            date = first,
            date_end = last,
            limit = LONGEST_GAP_D
        )
    };
    InputError::file(&record.understood.file, what)
}

/// The rest of a year, from the day after `after` to `to`, as it went in `year`; each day is moved to the same month and day.
///
/// Gaps of up to five days are filled, at the ends with the nearest day. `None` when more is missing.
pub fn as_in_year(record: &Record, year: i16, after: Date, to: Date) -> Option<Vec<DayTemps>> {
    let from = plus(after, 1);
    let n = days_between(from, to) + 1;
    let shift = i32::from(year) - i32::from(to.year());
    let mut days: Vec<Option<DayTemps>> = (0..n)
        .map(|i| {
            let date = plus(from, i);
            let there = in_year(date, i16::try_from(i32::from(date.year()) + shift).ok()?);
            find(record, there).map(|found| DayTemps {
                date,
                dusk: None,
                ..found
            })
        })
        .collect();
    let known: Vec<bool> = days.iter().map(Option::is_some).collect();
    for (start, end) in gaps(&known) {
        if end - start > LONGEST_GAP_D || (start == 0 && end == days.len()) {
            return None;
        }
        if start > 0 && end < days.len() {
            bridge(&mut days, start, end, from);
        } else {
            let near = if start > 0 {
                days[start - 1]
            } else {
                days[end]
            }?;
            for (i, slot) in days.iter_mut().enumerate().take(end).skip(start) {
                *slot = Some(DayTemps {
                    date: nth(from, i),
                    ..near
                });
            }
        }
    }
    days.into_iter().collect()
}

/// The years of a record, in order.
pub fn years(record: &Record) -> Vec<i16> {
    let mut years: Vec<i16> = record.days.iter().map(|d| d.date.year()).collect();
    years.dedup();
    years
}

fn find(record: &Record, date: Date) -> Option<DayTemps> {
    record
        .days
        .binary_search_by(|d| d.date.cmp(&date))
        .ok()
        .map(|i| record.days[i])
}

fn slots(record: &Record, from: Date, to: Date) -> Vec<Option<DayTemps>> {
    (0..=days_between(from, to))
        .map(|i| find(record, plus(from, i)))
        .collect()
}

/// Runs of unknown days as half-open ranges.
fn gaps(known: &[bool]) -> Vec<(usize, usize)> {
    let mut gaps = Vec::new();
    let mut start = None;
    for (i, &is_known) in known.iter().chain(std::iter::once(&true)).enumerate() {
        match (is_known, start) {
            (false, None) => start = Some(i),
            (true, Some(s)) => {
                gaps.push((s, i));
                start = None;
            }
            _ => {}
        }
    }
    gaps
}

/// Straight lines across `start..end`; both neighbours are known.
fn bridge(days: &mut [Option<DayTemps>], start: usize, end: usize, from: Date) {
    let (Some(before), Some(after)) = (days[start - 1], days[end]) else {
        return;
    };
    let steps = (end - start + 1) as f64;
    for (i, slot) in days.iter_mut().enumerate().take(end).skip(start) {
        let share = (i - start + 1) as f64 / steps;
        *slot = Some(DayTemps {
            date: nth(from, i),
            tmin: before.tmin.towards(after.tmin, share),
            tmax: before.tmax.towards(after.tmax, share),
            n_readings: None,
            dusk: None,
        });
    }
}

/// Mean of a calendar day over all years of the other records; `None` when none has it.
fn mean_of_years(others: &[&Record], date: Date) -> Option<DayTemps> {
    let found: Vec<DayTemps> = others
        .iter()
        .flat_map(|record| {
            years(record)
                .into_iter()
                .filter_map(|year| find(record, in_year(date, year)))
        })
        .collect();
    let n = found.len() as f64;
    let mean = |of: fn(&DayTemps) -> Temperature| {
        Temperature::from_c(found.iter().map(|d| of(d).c()).sum::<f64>() / n)
    };
    (!found.is_empty()).then(|| DayTemps {
        date,
        tmin: mean(|d| d.tmin),
        tmax: mean(|d| d.tmax),
        n_readings: None,
        dusk: None,
    })
}
