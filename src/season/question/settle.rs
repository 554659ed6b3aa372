//! What is settled before anything is counted: last day, biofix, rule, first day.

use super::{Question, RuleChange, Start};
use crate::catalogue::Grade;
use crate::catalogue::season::EventTable;
use crate::say::say;
use crate::season::biofix::{self, Biofix, BiofixRule, Dusk};
use crate::season::counts::Counts;
use crate::season::degree_day::{Cutoff, Method, Rule};
use crate::season::events;
use crate::season::forecast::{degree_days, running_sum};
use crate::season::series;
use crate::weather::InputError;
use crate::weather::daily::Record;
use crate::weather::day::{plus, words};
use crate::weather::temperature::{DegreeDays, Scale, Temperature};
use jiff::civil::Date;

pub(super) fn last_day(question: &Question) -> Result<Date, InputError> {
    let record = &question.record;
    let wanted = |date: Date| {
        question.until.is_none_or(|until| date <= until)
            && question.year.is_none_or(|y| date.year() == y)
    };
    record
        .days
        .iter()
        .rev()
        .map(|d| d.date)
        .find(|d| wanted(*d))
        .ok_or_else(|| {
            let what = say!(
                "ask.no-such-day",
                date = record.understood.first_day,
                date_end = record.understood.last_day
            );
            InputError::file(&record.understood.file, what)
        })
}

pub(super) fn find_biofix(
    question: &Question,
    year: i16,
    last_day: Date,
    warnings: &mut Vec<String>,
) -> Result<Option<Biofix>, InputError> {
    let pest = &question.pest;
    let rule = if question.biofix == BiofixRule::FromCounts && !pest.biofix.from_counts {
        BiofixRule::None
    } else {
        question.biofix
    };
    let record = &question.record;
    let at = |date: Date| {
        record
            .days
            .binary_search_by(|d| d.date.cmp(&date))
            .ok()
            .and_then(|i| record.days[i].dusk)
    };
    let dusk = pest.biofix.dusk.as_ref().map(|least| Dusk {
        least: Temperature::from_c(least.value),
        at: &at,
    });
    // Only this season's counts can set this season's biofix.
    let counts = question
        .counts
        .as_ref()
        .map(|all| of_year(all, year, last_day));
    let found = biofix::find(rule, counts.as_ref(), dusk.as_ref())?;
    match (&found, rule) {
        (Some(biofix), _) if biofix.day.year() != year => {
            return Err(InputError::question(say!(
                "biofix.other-year",
                date = biofix.date,
                year
            )));
        }
        (None, BiofixRule::None) if !pest.biofix.from_counts => {
            warnings.push(say!("doubt.dates-from", from = pest.biofix.words));
        }
        (None, BiofixRule::None) => {}
        (None, _) if question.counts.is_some() => {
            warnings.push(say!("doubt.biofix-open", from = pest.biofix.words));
        }
        _ => {}
    }
    Ok(found)
}

/// The counts up to the last day of data in one year.
pub(super) fn of_year(counts: &Counts, year: i16, last_day: Date) -> Counts {
    let mut kept = counts.clone();
    for trap in &mut kept.traps {
        trap.checks
            .retain(|c| c.on.year() == year && c.on <= last_day);
    }
    kept
}

pub(super) fn settle_rule(
    question: &Question,
    table: Option<&EventTable>,
    warnings: &mut Vec<String>,
) -> Result<(Rule, Scale, String, Grade), InputError> {
    let entry = table
        .and_then(|t| t.rule.as_ref())
        .unwrap_or(&question.pest.rule);
    let published = events::rule_of(entry)?;
    let change = question.rule;
    let table_scale = events::scale(table.map_or(entry.unit.as_str(), |t| t.unit.as_str()))?;
    let scale = change.scale.unwrap_or(table_scale);
    if change
        == (RuleChange {
            scale: change.scale,
            ..RuleChange::default()
        })
    {
        return Ok((published, scale, entry.source.clone(), entry.grade));
    }
    let method = change.method.unwrap_or(published.method());
    let mut cutoff = change.cutoff.unwrap_or(published.cutoff());
    let mut upper = change
        .upper
        .map(|u| Temperature::from_scale(u, scale))
        .or(published.upper());
    if change.cutoff == Some(Cutoff::None)
        || (method == Method::FourCase && change.cutoff.is_none() && change.upper.is_none())
    {
        cutoff = Cutoff::None;
        upper = None;
    } else if change.upper.is_some() && cutoff == Cutoff::None {
        cutoff = Cutoff::Horizontal;
    }
    if method == Method::Substitution && change.cutoff.is_none() && cutoff != Cutoff::None {
        cutoff = Cutoff::Horizontal;
    }
    let lower = change
        .lower
        .map_or(published.lower(), |l| Temperature::from_scale(l, scale));
    let rule = Rule::new(method, lower, upper, cutoff)?;
    if !question.pest.tables.is_empty() && rule != published {
        warnings.push(say!("doubt.other-rule"));
    }
    Ok((
        rule,
        scale,
        say!(
            "detail.degree-day.own",
            rule = published.words(),
            source = entry.source
        ),
        Grade::Assumed,
    ))
}

pub(super) fn settle_start(
    question: &Question,
    table: Option<&EventTable>,
    biofix: Option<&Biofix>,
    year: i16,
    warnings: &mut Vec<String>,
) -> Result<(Date, String), InputError> {
    let by_biofix = table.is_some_and(|t| t.start.is_none());
    if let (true, Some(biofix)) = (by_biofix, biofix) {
        if question.start.is_some() {
            return Err(InputError::question(say!("ask.start-and-biofix")));
        }
        return Ok((biofix.day, say!("count-from.biofix", rule = biofix.rule)));
    }
    let published = table
        .and_then(|t| t.start)
        .map(|[m, d]| (m.cast_signed(), d.cast_signed()));
    let table_day = published.and_then(|(m, d)| Date::new(year, m, d).ok());
    let chosen = match question.start {
        None => None,
        Some(Start::On(date)) => Some(date),
        Some(Start::MonthDay(month, day)) => Some(
            Date::new(year, month, day)
                .map_err(|_| InputError::question(say!("ask.no-such-start", day, month, year)))?,
        ),
    };
    if let Some(date) = chosen {
        if let Some(own) = table_day.filter(|own| *own != date) {
            warnings.push(say!("doubt.other-start", date = words(own)));
        }
        return Ok((date, say!("count-from.chosen")));
    }
    if let Some(note) = table.and_then(|t| t.start_note.as_ref()) {
        warnings.push(say!("doubt.start-note", note));
    }
    match table_day {
        Some(date) => Ok((date, say!("count-from.table"))),
        None => Ok((
            Date::new(year, 1, 1).unwrap_or(Date::MIN),
            say!("count-from.none"),
        )),
    }
}

/// Degree-days between the earliest day the biofix can have been and the day taken, when the count starts at the biofix.
pub(super) fn missed_before(
    record: &Record,
    rule: &Rule,
    biofix: &Biofix,
    start: Date,
) -> Option<(Date, DegreeDays)> {
    if biofix.day != start || biofix.earliest_day >= biofix.day {
        return None;
    }
    let before = series::contiguous(record, biofix.earliest_day, plus(start, -1), &[]).ok()?;
    let sums = running_sum(&degree_days(rule, &before.days));
    Some((biofix.earliest_day, sums.last().copied()?))
}
