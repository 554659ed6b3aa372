//! The events of a pest's table as dates with ranges.

use crate::catalogue::Grade;
use crate::catalogue::season::{EventEntry, EventKind, EventTable, RuleEntry, SeasonPest};
use crate::say::{say, voice};
use crate::season::degree_day::{Cutoff, Method, Rule};
use crate::season::forecast::{Outlook, Status};
use crate::weather::InputError;
use crate::weather::day::shorten;
use crate::weather::temperature::{DegreeDays, Scale, Temperature};
use jiff::civil::Date;
use serde::Serialize;

/// Share by which a sum without a published range is widened to both sides. Assumed: stations, years and places differ.
pub const ASSUMED_SPREAD: f64 = 0.10;

/// One event with its date.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Event {
    /// What happens.
    pub name: String,
    /// Title of the table that says so.
    pub table: String,
    /// What it is about.
    pub kind: EventKind,
    /// Degree-days since the first day of the count, in the unit of the answer.
    pub degree_days: f64,
    /// Range of those degree-days.
    pub degree_days_range: [f64; 2],
    /// The number as the source prints it, with its unit, counted from the table's own start.
    pub as_published: String,
    /// First day of the count.
    pub counted_from: String,
    /// Likely day; `None` when it is not reached.
    pub date: Option<String>,
    /// Earliest day.
    pub earliest: Option<String>,
    /// Latest day.
    pub latest: Option<String>,
    /// Within the data, in the outlook, or not reached.
    pub status: Status,
    /// Years of the outlook that reach it, of how many.
    pub years: [usize; 2],
    /// True when the count hangs on a biofix that is itself only a forecast.
    pub from_estimated_start: bool,
    /// Citation.
    pub source: String,
    /// Trust in the number.
    pub grade: Grade,
    /// Where the range comes from.
    pub range_source: String,
    /// For arithmetic: first day of the count.
    #[serde(skip)]
    pub counted_from_day: Date,
    /// For arithmetic: likely, earliest, latest.
    #[serde(skip)]
    pub days: [Option<Date>; 3],
}

/// The scale a file names.
///
/// # Errors
/// When it is neither `F` nor `C`.
pub fn scale(unit: &str) -> Result<Scale, InputError> {
    match unit {
        "F" => Ok(Scale::F),
        "C" => Ok(Scale::C),
        other => Err(InputError::question(say!(
            "degree-day.no-scale",
            text = other
        ))),
    }
}

/// The rule of a catalogue entry.
///
/// # Errors
/// When a name is unknown or the rule makes no sense.
pub fn rule_of(entry: &RuleEntry) -> Result<Rule, InputError> {
    let scale = scale(&entry.unit)?;
    Rule::new(
        by_name(&Method::ALL, "kind.method", &entry.method)?,
        Temperature::from_scale(entry.lower, scale),
        entry.upper.map(|u| Temperature::from_scale(u, scale)),
        by_name(&Cutoff::ALL, "kind.cutoff", &entry.cutoff)?,
    )
}

/// Looks a name up in a list, with the nearest name on a miss; `kind` is the key of what is looked for.
///
/// # Errors
/// When the name is unknown.
pub fn by_name<T: Copy>(list: &[(&str, T)], kind: &str, name: &str) -> Result<T, InputError> {
    if let Some((_, found)) = list.iter().find(|(known, _)| *known == name) {
        return Ok(*found);
    }
    let names: Vec<&str> = list.iter().map(|(known, _)| *known).collect();
    Err(InputError::question(unknown(kind, name, &names)))
}

/// "Unknown so-and-so, did you mean"; `kind` is the key of what was looked for.
pub fn unknown(kind: &str, name: &str, known: &[&str]) -> String {
    let near = known
        .iter()
        .map(|k| (strsim::damerau_levenshtein(k, &name.to_lowercase()), *k))
        .min()
        .filter(|(distance, k)| *distance <= 2.max(k.len() / 3));
    let (kind, name) = (voice().get(kind), shorten(name));
    let known = known.join(", ");
    match near {
        Some((_, nearest)) => say!("not-there.near", kind, name, nearest, known),
        None => say!("not-there", kind, name, known),
    }
}

/// Where a table's count begins in this season.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anchor {
    /// Sum already reached on the day before the table's own count begins.
    pub shift: DegreeDays,
    /// True when the biofix behind it is only a forecast.
    pub estimated: bool,
    /// The biofix may lie earlier: the earliest day, and the degree-days from there to the day taken.
    pub earlier: Option<(Date, DegreeDays)>,
}

impl Anchor {
    /// A count that begins on its own first day.
    pub const PLAIN: Self = Self {
        shift: DegreeDays::ZERO,
        estimated: false,
        earlier: None,
    };
}

/// The events of one table on an outlook.
///
/// # Errors
/// When the table names an unknown unit.
pub fn of_table(
    table: &EventTable,
    outlook: &Outlook,
    anchor: Anchor,
    scale_out: Scale,
) -> Result<Vec<Event>, InputError> {
    let unit = scale(&table.unit)?;
    Ok(table
        .events
        .iter()
        .map(|entry| one(entry, (&table.title, unit), outlook, anchor, scale_out))
        .collect())
}

fn one(
    entry: &EventEntry,
    (table, unit): (&str, Scale),
    outlook: &Outlook,
    anchor: Anchor,
    scale_out: Scale,
) -> Event {
    let sum = |x: f64| anchor.shift + DegreeDays::from_scale(x, unit);
    let (range, range_source) = match entry.range {
        Some(range) => (range, say!("event.range.source", source = entry.source)),
        None => (
            [
                entry.at * (1.0 - ASSUMED_SPREAD),
                entry.at * (1.0 + ASSUMED_SPREAD),
            ],
            say!("event.range.assumed", share = 100.0 * ASSUMED_SPREAD),
        ),
    };
    let (at, high) = (sum(entry.at), sum(range[1]));
    let low = sum(range[0])
        - anchor
            .earlier
            .map_or(DegreeDays::ZERO, |(_, missed)| missed);
    let mut when = outlook.when(at, low, high);
    if let Some((day, _)) = anchor.earlier.filter(|_| low <= DegreeDays::ZERO) {
        when.earliest = Some(day);
    }
    let words = |d: Option<Date>| d.map(|d| d.to_string());
    Event {
        name: entry.name.clone(),
        table: table.into(),
        kind: entry.kind,
        degree_days: at.on(scale_out),
        degree_days_range: [low.on(scale_out), high.on(scale_out)],
        as_published: format!("{} {}", entry.at, unit.degree_days()),
        counted_from: outlook.start.to_string(),
        counted_from_day: outlook.start,
        date: words(when.date),
        earliest: words(when.earliest),
        latest: words(when.latest),
        status: when.status,
        years: [when.years_reached, outlook.paths.len().max(1)],
        from_estimated_start: anchor.estimated,
        source: entry.source.clone(),
        grade: entry.grade,
        range_source,
        days: [when.date, when.earliest, when.latest],
    }
}

/// An event the user named, at a number of degree-days in the answer's unit.
pub fn named(name: &str, at: f64, outlook: &Outlook, scale_out: Scale) -> Event {
    let entry = EventEntry {
        name: name.into(),
        kind: EventKind::Stage,
        at,
        range: None,
        source: say!("event.own"),
        grade: Grade::Assumed,
    };
    let table = voice().get("dates.when.own");
    one(
        &entry,
        (table, scale_out),
        outlook,
        Anchor::PLAIN,
        scale_out,
    )
}

/// The table to use: the one asked for, the biofix table when there is a biofix, else the first with a start day of its own.
///
/// # Errors
/// When the table asked for is unknown, or needs a biofix and there is none.
pub fn choose<'a>(
    pest: &'a SeasonPest,
    asked: Option<&str>,
    has_biofix: bool,
) -> Result<Option<&'a EventTable>, InputError> {
    if let Some(id) = asked {
        let names: Vec<&str> = pest.tables.iter().map(|t| t.id.as_str()).collect();
        let table = pest
            .table(id)
            .ok_or_else(|| InputError::question(unknown("kind.table", id, &names)))?;
        if table.start.is_none() && !has_biofix {
            return Err(InputError::question(say!(
                "ask.table-biofix",
                name = id,
                from = pest.biofix.words
            )));
        }
        return Ok(Some(table));
    }
    let by_biofix = pest.tables.iter().find(|t| t.start.is_none());
    let by_date = pest.tables.iter().find(|t| t.start.is_some());
    Ok(if has_biofix {
        by_biofix.or(by_date)
    } else {
        by_date
    })
}
