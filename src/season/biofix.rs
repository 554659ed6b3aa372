//! The biofix: the day from which a pest's degree-days are counted, taken from a date or found in trap counts.

use crate::say::say;
use crate::season::counts::Counts;
use crate::weather::InputError;
use crate::weather::day::plus;
use crate::weather::temperature::Temperature;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;

/// How the biofix is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BiofixRule {
    /// On this day.
    On(Date),
    /// The first check with a catch.
    FirstCatch,
    /// The first of three days running with a catch; needs daily checks.
    ThreeDays,
    /// The first of two checks running with a catch in one trap, for weekly notebooks.
    TwoVisits,
    /// Three days if the checks are daily, else two visits; none if the counts do not show one.
    FromCounts,
    /// No biofix, whatever the counts say.
    None,
}

impl BiofixRule {
    /// Names used in commands, for all but a date.
    pub const NAMES: [(&'static str, BiofixRule); 4] = [
        ("first-catch", BiofixRule::FirstCatch),
        ("three-days", BiofixRule::ThreeDays),
        ("two-visits", BiofixRule::TwoVisits),
        ("none", BiofixRule::None),
    ];
}

/// A biofix that was set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Biofix {
    /// The day.
    pub date: String,
    /// Earliest day it can have been: the day after the check before.
    pub earliest: String,
    /// The rule, in words.
    pub rule: String,
    /// What else to know.
    pub notes: Vec<String>,
    /// The day, for arithmetic.
    #[serde(skip)]
    pub day: Date,
    /// The earliest day, for arithmetic.
    #[serde(skip)]
    pub earliest_day: Date,
}

/// What the dusk temperature must be for a catch to count, and how to look it up.
pub struct Dusk<'a> {
    /// Least temperature.
    pub least: Temperature,
    /// Temperature at dusk of a day, if known.
    pub at: &'a dyn Fn(Date) -> Option<Temperature>,
}

/// Finds the biofix; `Ok(None)` when the rule is "none", or when counts show none yet.
///
/// # Errors
/// When a rule needs counts and there are none, or needs daily checks and the checks are not daily.
pub fn find(
    rule: BiofixRule,
    counts: Option<&Counts>,
    dusk: Option<&Dusk<'_>>,
) -> Result<Option<Biofix>, InputError> {
    let needs = || counts.ok_or_else(|| InputError::question(say!("biofix.needs-counts")));
    match rule {
        BiofixRule::None => Ok(None),
        BiofixRule::On(date) => Ok(Some(make(date, date, say!("biofix.on"), Vec::new()))),
        BiofixRule::FirstCatch => Ok(first_catch(needs()?)),
        BiofixRule::ThreeDays => {
            let counts = needs()?;
            if !has_daily_checks(counts) {
                return Err(InputError::question(say!("biofix.needs-days")));
            }
            Ok(three_days(counts, dusk))
        }
        BiofixRule::TwoVisits => Ok(two_visits(needs()?)),
        BiofixRule::FromCounts => Ok(counts.and_then(|counts| {
            if has_daily_checks(counts) {
                three_days(counts, dusk)
            } else {
                two_visits(counts)
            }
        })),
    }
}

fn make(day: Date, earliest: Date, rule: String, notes: Vec<String>) -> Biofix {
    Biofix {
        date: day.to_string(),
        earliest: earliest.to_string(),
        rule,
        notes,
        day,
        earliest_day: earliest,
    }
}

fn first_catch(counts: &Counts) -> Option<Biofix> {
    let checks = counts.traps.iter().flat_map(|t| &t.checks);
    let check = checks.filter(|c| c.count > 0).min_by_key(|c| c.on)?;
    let earliest = check.since.map_or(check.on, |since| plus(since, 1));
    let notes = vec![say!("biofix.first-catch.note")];
    Some(make(check.on, earliest, say!("biofix.first-catch"), notes))
}

/// Insects caught on each day that was checked after one day, summed over the traps.
fn daily(counts: &Counts) -> BTreeMap<Date, u64> {
    let mut days = BTreeMap::new();
    for trap in &counts.traps {
        for (i, check) in trap.checks.iter().enumerate() {
            // The first of a run of daily checks has no day before it, but stands for its own day.
            let starts_run = check.since.is_none()
                && trap
                    .checks
                    .get(i + 1)
                    .is_some_and(|next| next.on == plus(check.on, 1));
            if check.days() == Some(1) || starts_run {
                *days.entry(check.on).or_insert(0) += check.count;
            }
        }
    }
    days
}

fn has_daily_checks(counts: &Counts) -> bool {
    let days = daily(counts);
    days.keys()
        .any(|day| days.contains_key(&plus(*day, 1)) && days.contains_key(&plus(*day, 2)))
}

fn three_days(counts: &Counts, dusk: Option<&Dusk<'_>>) -> Option<Biofix> {
    let days = daily(counts);
    let with_catch = |day: Date| days.get(&day).is_some_and(|n| *n > 0);
    let mut unknown_dusk = false;
    let found = days.keys().copied().find(|&day| {
        let running = with_catch(day) && with_catch(plus(day, 1)) && with_catch(plus(day, 2));
        let known = dusk.map(|dusk| (dusk.at)(day));
        unknown_dusk = unknown_dusk || (running && known == Some(None));
        let too_cold = dusk
            .zip(known.flatten())
            .is_some_and(|(dusk, t)| t < dusk.least);
        running && !too_cold
    })?;
    let mut notes = Vec::new();
    let mut rule = say!("biofix.three-days");
    if let Some(dusk) = dusk {
        let (f, c) = (dusk.least.f().round(), dusk.least.c().round());
        if unknown_dusk {
            notes.push(say!("biofix.three-days.note", f, c));
        } else {
            rule = say!("biofix.three-days.warm", f, c);
        }
    }
    Some(make(found, found, rule, notes))
}

fn two_visits(counts: &Counts) -> Option<Biofix> {
    let first = counts
        .traps
        .iter()
        .filter_map(|trap| {
            trap.checks
                .windows(2)
                .find(|pair| pair[0].count > 0 && pair[1].count > 0)
                .map(|pair| pair[0])
        })
        .min_by_key(|check| check.on)?;
    let earliest = first.since.map_or(first.on, |since| plus(since, 1));
    let notes = vec![say!("biofix.two-visits.note")];
    Some(make(first.on, earliest, say!("biofix.two-visits"), notes))
}
