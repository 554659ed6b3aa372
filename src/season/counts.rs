//! A notebook of trap counts: a blank is "not checked", 0 is "checked and none".

use crate::say::{counted, say};
use crate::weather::InputError;
use crate::weather::day::{self, days_between, shorten};
use crate::weather::table::Table;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::BufRead;

/// What a number in the notebook counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CountBasis {
    /// Insects since the last check.
    #[default]
    SinceLastCheck,
    /// Insects since the trap was hung: a running total.
    Total,
}

/// One check of one trap. Days on which nobody looked are not checks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Check {
    /// The day after which insects were collected: the check before, or the day the trap was set; unknown for a first check.
    #[serde(skip)]
    pub since: Option<Date>,
    /// The day of the check.
    #[serde(skip)]
    pub on: Date,
    /// Insects caught in between.
    pub count: u64,
}

impl Check {
    /// Days of catching, if known; at least 1.
    pub fn days(&self) -> Option<i64> {
        self.since.map(|since| days_between(since, self.on).max(1))
    }
}

/// All checks of one trap.
#[derive(Clone, Debug, PartialEq)]
pub struct TrapLog {
    /// Name.
    pub trap: String,
    /// The checks, in order of day.
    pub checks: Vec<Check>,
    /// Rows with a blank count.
    pub not_checked: u64,
}

/// The notebook.
#[derive(Clone, Debug, PartialEq)]
pub struct Counts {
    /// The traps, by name.
    pub traps: Vec<TrapLog>,
    /// What was understood.
    pub understood: CountsUnderstood,
}

/// What was made of the notebook.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CountsUnderstood {
    /// The file.
    pub file: String,
    /// Rows.
    pub rows: u64,
    /// Rows with a count above 0.
    pub with_catch: u64,
    /// Rows with the count 0: checked and none.
    pub zeros: u64,
    /// Rows with a blank count: not checked.
    pub blanks: u64,
    /// First and last day.
    pub first_day: String,
    /// Last day.
    pub last_day: String,
    /// Traps.
    pub traps: Vec<String>,
    /// What the numbers count.
    pub basis: CountBasis,
    /// Anything odd, and what was done about it.
    pub notes: Vec<String>,
}

/// Settings of the reader.
#[derive(Clone, Debug, Default)]
pub struct CountsOptions {
    /// What a number counts.
    pub basis: CountBasis,
    /// Species to keep, when the notebook holds several.
    pub species: Option<String>,
}

struct Columns {
    trap: Option<usize>,
    set: Option<usize>,
    checked: usize,
    count: usize,
    species: Option<usize>,
    method: Option<usize>,
}

struct Entry {
    line: u64,
    set: Option<Date>,
    on: Date,
    count: Option<u64>,
}

/// Reads a notebook.
///
/// # Errors
/// Unknown columns, days twice or out of order for one trap, counts that are no whole number or below 0, running totals
/// that fall, several species without a choice.
pub fn read<R: BufRead>(
    file: &str,
    source: R,
    options: &CountsOptions,
) -> Result<Counts, InputError> {
    let mut table = Table::open(file, source)?;
    let columns = find_columns(&table)?;
    let mut by_trap: BTreeMap<String, Vec<Entry>> = BTreeMap::new();
    let mut rows = 0;
    let mut species_seen: Option<String> = None;
    let mut by_volume = 0_u64;
    while let Some(row) = table.next_row()? {
        let line = row.line();
        let fault = |what: String| InputError::line(file, line, what);
        if let Some(column) = columns.species {
            let name = row.text(column);
            match (&options.species, &species_seen) {
                (Some(wanted), _) if !name.eq_ignore_ascii_case(wanted) => continue,
                (None, Some(first)) if !name.is_empty() && !first.eq_ignore_ascii_case(name) => {
                    return Err(fault(say!(
                        "notebook.two-species",
                        name = shorten(first),
                        other = shorten(name)
                    )));
                }
                (None, None) if !name.is_empty() => species_seen = Some(name.to_string()),
                _ => {}
            }
        }
        rows += 1;
        let date = |column: usize| day::read_iso(row.text(column)).map_err(fault);
        let on = date(columns.checked)?;
        let set = match columns.set {
            Some(column) if !row.text(column).is_empty() => Some(date(column)?),
            _ => None,
        };
        if set.is_some_and(|set| set > on) {
            return Err(fault(say!("notebook.set-late")));
        }
        let count = read_count(row.text(columns.count)).map_err(fault)?;
        if columns
            .method
            .is_some_and(|column| row.text(column).to_lowercase().contains("vol"))
        {
            by_volume += 1;
        }
        let trap = columns.trap.map_or("", |column| row.text(column));
        let trap = if trap.is_empty() { "trap" } else { trap };
        by_trap.entry(trap.to_string()).or_default().push(Entry {
            line,
            set,
            on,
            count,
        });
    }
    if rows == 0 {
        return Err(table.file_fault(say!("notebook.no-rows")));
    }
    let traps = by_trap
        .into_iter()
        .map(|(trap, entries)| log(file, trap, &entries, options.basis))
        .collect::<Result<Vec<_>, _>>()?;
    let mut notes = Vec::new();
    if by_volume > 0 {
        notes.push(say!(
            &counted("notebook.by-volume", by_volume),
            n = by_volume
        ));
    }
    let understood = understand(file, rows, &traps, options.basis, notes);
    Ok(Counts { traps, understood })
}

fn find_columns<R: BufRead>(table: &Table<R>) -> Result<Columns, InputError> {
    let names: Vec<String> = table
        .header()
        .iter()
        .map(|name| {
            name.to_lowercase()
                .chars()
                .filter(char::is_ascii_alphanumeric)
                .collect()
        })
        .collect();
    let find = |wanted: &[&str]| {
        names
            .iter()
            .position(|name| wanted.contains(&name.as_str()))
    };
    let checked = find(&["datechecked", "checked", "date", "day", "checkdate"]);
    let count = find(&[
        "count", "catch", "caught", "number", "total", "n", "moths", "beetles", "bugs", "insects",
    ]);
    match (checked, count) {
        (Some(checked), Some(count)) => Ok(Columns {
            trap: find(&["trapid", "trap", "trapname", "name"]),
            set: find(&["dateset", "set", "hung", "datehung"]),
            checked,
            count,
            species: find(&["species", "pest", "insect"]),
            method: find(&["countmethod", "method"]),
        }),
        _ => Err(table.header_fault(say!("notebook.columns", columns = table.header_words()))),
    }
}

/// A count: blank is `None`, never 0.
fn read_count(text: &str) -> Result<Option<u64>, String> {
    if text.is_empty()
        || ["na", "n/a", "not checked", "-"]
            .iter()
            .any(|word| text.eq_ignore_ascii_case(word))
    {
        return Ok(None);
    }
    match text.parse::<f64>() {
        Ok(value) if value < 0.0 => Err(say!("notebook.below-0", text)),
        Ok(value) if value == value.floor() && value <= 1e9 => Ok(Some(value as u64)),
        _ => Err(say!("notebook.no-number", text = shorten(text))),
    }
}

/// Builds the log of one trap from its rows in file order.
fn log(
    file: &str,
    trap: String,
    entries: &[Entry],
    basis: CountBasis,
) -> Result<TrapLog, InputError> {
    let mut checks: Vec<Check> = Vec::new();
    let mut not_checked = 0;
    let mut last_row: Option<(Date, u64)> = None;
    let mut first_set = None;
    let mut total_before = 0;
    for entry in entries {
        let fault = |what: String| InputError::line(file, entry.line, what);
        if let Some((day, line)) = last_row {
            if day == entry.on {
                return Err(fault(say!(
                    "notebook.twice",
                    trap = shorten(&trap),
                    date = day,
                    line
                )));
            }
            if day > entry.on {
                return Err(fault(say!(
                    "notebook.order",
                    trap = shorten(&trap),
                    date = entry.on,
                    later = day
                )));
            }
        }
        last_row = Some((entry.on, entry.line));
        first_set = first_set.or(entry.set);
        let Some(number) = entry.count else {
            not_checked += 1;
            continue;
        };
        let count = match basis {
            CountBasis::SinceLastCheck => number,
            CountBasis::Total => {
                let Some(new) = number.checked_sub(total_before) else {
                    return Err(fault(say!(
                        "notebook.falls",
                        high = total_before,
                        low = number
                    )));
                };
                total_before = number;
                new
            }
        };
        // A set date that is not later than the last check belongs to the trap, not to this stretch.
        let since = match (checks.last().map(|c| c.on), entry.set.or(first_set)) {
            (Some(before), Some(set)) => Some(before.max(set)),
            (before, set) => before.or(set),
        };
        checks.push(Check {
            since: since.filter(|s| *s < entry.on),
            on: entry.on,
            count,
        });
    }
    Ok(TrapLog {
        trap,
        checks,
        not_checked,
    })
}

fn understand(
    file: &str,
    rows: u64,
    traps: &[TrapLog],
    basis: CountBasis,
    mut notes: Vec<String>,
) -> CountsUnderstood {
    let checks = || traps.iter().flat_map(|t| t.checks.iter());
    let zeros = checks().filter(|c| c.count == 0).count() as u64;
    let with_catch = checks().count() as u64 - zeros;
    let first = checks().map(|c| c.on).min();
    let last = checks().map(|c| c.on).max();
    let words = |day: Option<Date>| day.map_or("none".to_string(), |d| d.to_string());
    let open_starts = checks().filter(|c| c.since.is_none()).count();
    if open_starts > 0 {
        notes.push(say!(
            &counted("notebook.open-start", open_starts as u64),
            n = open_starts
        ));
    }
    if basis == CountBasis::SinceLastCheck {
        for trap in traps.iter().filter(|t| t.checks.len() >= 5) {
            let rises = trap
                .checks
                .windows(2)
                .all(|pair| pair[1].count >= pair[0].count);
            if rises && trap.checks.first().map(|c| c.count) != trap.checks.last().map(|c| c.count)
            {
                notes.push(say!("notebook.never-falls", trap = shorten(&trap.trap)));
            }
        }
    }
    CountsUnderstood {
        file: file.into(),
        rows,
        with_catch,
        zeros,
        blanks: traps.iter().map(|t| t.not_checked).sum(),
        first_day: words(first),
        last_day: words(last),
        traps: traps.iter().map(|t| t.trap.clone()).collect(),
        basis,
        notes,
    }
}
