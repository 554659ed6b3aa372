//! Daily extremes from a table: columns and units recognised, impossible values refused, everything that was understood said.

use crate::say::{counted, say};
use crate::units::{celsius, fahrenheit};
use crate::weather::columns::{self, Found, Holds, TemperatureUnit};
use crate::weather::day::{self, Written, shorten};
use crate::weather::error::InputError;
use crate::weather::table::{Row, Station, Table};
use crate::weather::temperature::Temperature;
use crate::weather::wild::{self, Watch};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::BufRead;

pub use crate::weather::table::ReadOptions;

/// The extremes of one day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayTemps {
    /// The day.
    pub date: Date,
    /// Lowest.
    pub tmin: Temperature,
    /// Highest.
    pub tmax: Temperature,
    /// Number of readings the extremes were taken from; `None` for a daily table.
    pub n_readings: Option<u16>,
    /// Temperature at the dusk hour, if the source is hourly.
    pub dusk: Option<Temperature>,
}

impl DayTemps {
    /// Mean of the extremes.
    pub fn mean(&self) -> Temperature {
        self.tmin.towards(self.tmax, 0.5)
    }
}

/// What was made of a file, to be shown before any result.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Understood {
    /// The file.
    pub file: String,
    /// Rows of data.
    pub rows: u64,
    /// First day with both extremes.
    pub first_day: String,
    /// Last day with both extremes.
    pub last_day: String,
    /// Days with both extremes.
    pub days: usize,
    /// Which column was taken for what.
    pub columns: Vec<String>,
    /// Unit of the temperatures and how it was known.
    pub unit: String,
    /// Anything odd, and what was done about it.
    pub notes: Vec<String>,
    /// Single readings far from their neighbors, each with its line; they were used as they stand.
    pub wild: Vec<String>,
}

/// A record of daily extremes, in order of date, each day at most once; days may be missing.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// The days.
    pub days: Vec<DayTemps>,
    /// What was understood.
    pub understood: Understood,
}

/// One row as read, before its unit is settled.
struct Raw {
    line: u64,
    /// Where the highest stands, which in a long table has a row of its own; the lowest stands on `line`.
    high_line: u64,
    written: Written,
    low: Option<f64>,
    high: Option<f64>,
}

/// Reads a table of daily extremes.
///
/// # Errors
/// Every fault named in the module's tests: no rows, unknown columns, dates unsorted or twice, 29 February of a common
/// year, a maximum below its minimum, impossible temperatures, a change of unit within the file, units that cannot be told.
pub fn read_daily<R: BufRead>(
    file: &str,
    source: R,
    options: &ReadOptions,
) -> Result<Record, InputError> {
    let mut table = Table::open(file, source)?;
    let found = DailyColumns::find(&table)?;
    let Rows {
        seen: rows,
        doubted,
        raw,
    } = read_rows(&mut table, &found, options)?;
    let dates = settle_dates(&table, &raw)?;
    for (pair, raws) in dates.windows(2).zip(raw.windows(2)) {
        let [before, day] = [pair[0], pair[1]];
        if day <= before {
            let what = if day == before {
                say!("daily.twice", date = day, line = raws[0].line)
            } else {
                say!("daily.unsorted", date = day, later = before)
            };
            return Err(table.fault(raws[1].line, what));
        }
    }
    let (unit, unit_words) = settle_unit(&table, &found, &raw, &dates, options)?;
    let days = settle_days(&table, &raw, &dates, unit)?;
    let Some((first, last)) = days.first().zip(days.last()) else {
        return Err(table.file_fault(say!("daily.no-day")));
    };
    let mut notes = Vec::new();
    let mut note = |key: &str, n: u64| {
        if n > 0 {
            notes.push(say!(&counted(key, n), n));
        }
    };
    note("daily.half", (raw.len() - days.len()) as u64);
    note("daily.doubted", doubted);
    if !options.accept_jumps {
        refuse_jump(&table, &days, &raw)?;
    }
    let understood = Understood {
        file: file.into(),
        rows,
        first_day: first.date.to_string(),
        last_day: last.date.to_string(),
        days: days.len(),
        columns: found.words(),
        unit: unit_words,
        notes,
        wild: wild_days(&days, &raw, unit),
    };
    Ok(Record { days, understood })
}

/// The columns of a daily table.
struct DailyColumns {
    date: DateColumns,
    high: Found,
    low: Found,
    station: Option<Found>,
    long: Option<Long>,
}

enum DateColumns {
    One(Found),
    Three([usize; 3]),
}

/// A long table: a row holds one element of one day.
struct Long {
    element: usize,
    doubt: Option<usize>,
}

impl DailyColumns {
    fn find<R: BufRead>(table: &Table<R>) -> Result<Self, InputError> {
        let header = table.header();
        let position = |names: &[&str]| {
            let is_one = |h: &String| names.contains(&h.trim().to_lowercase().as_str());
            header.iter().position(is_one)
        };
        let three = position(&["year", "yr", "yyyy"])
            .zip(position(&["month", "mon", "mo", "mm"]))
            .zip(position(&["day", "dy", "dd"]));
        let find = |holds| columns::find(header, holds);
        let date = match three {
            Some(((y, m), d)) => Some(DateColumns::Three([y, m, d])),
            None => find(Holds::Day).map(DateColumns::One),
        };
        let (mut high, mut low, mut long) = (find(Holds::Highest), find(Holds::Lowest), None);
        if let (Some(element), Some(mut value)) = (find(Holds::Element), find(Holds::Value)) {
            if table.headless() {
                value.unit = Some(TemperatureUnit::TenthsC);
            }
            let [mut top, mut bottom] = [value.clone(), value];
            (top.name, bottom.name) = (HIGHEST.into(), LOWEST.into());
            (high, low) = (Some(top), Some(bottom));
            long = Some(Long {
                element: element.index,
                doubt: find(Holds::Doubt).map(|found| found.index),
            });
        }
        let lacks = [
            (date.is_none(), "daily.lacks-day"),
            (high.is_none(), "daily.lacks-maximum"),
            (low.is_none(), "daily.lacks-minimum"),
        ];
        let (Some(date), Some(high), Some(low)) = (date, high, low) else {
            let lacks: Vec<&str> = lacks.iter().filter(|l| l.0).map(|l| l.1).collect();
            return Err(table.header_fault(columns::absent(&lacks, header)));
        };
        Ok(Self {
            date,
            high,
            low,
            station: find(Holds::Station),
            long,
        })
    }

    fn words(&self) -> Vec<String> {
        let date = match &self.date {
            DateColumns::One(found) => say!("daily.day-from", name = shorten(&found.name)),
            DateColumns::Three(_) => say!("daily.day-from-three"),
        };
        vec![
            date,
            say!("daily.maximum-from", name = shorten(&self.high.name)),
            say!("daily.minimum-from", name = shorten(&self.low.name)),
        ]
    }

    fn day(&self, row: &Row<'_>) -> Result<Written, String> {
        match &self.date {
            DateColumns::One(column) => day::read(row.text(column.index)),
            DateColumns::Three(columns) => match columns.map(|c| row.text(c).parse::<u32>()) {
                [Ok(y), Ok(m), Ok(d)] => day::make(y, m, d).map(Written::YearFirst),
                _ => Err(say!("daily.three-numbers")),
            },
        }
    }
}

/// The elements of a long table that are read.
const HIGHEST: &str = "TMAX";
const LOWEST: &str = "TMIN";

/// All rows of the wanted station.
struct Rows {
    /// Rows seen.
    seen: u64,
    /// Numbers that the publisher doubts.
    doubted: u64,
    raw: Vec<Raw>,
}

fn read_rows<R: BufRead>(
    table: &mut Table<R>,
    found: &DailyColumns,
    options: &ReadOptions,
) -> Result<Rows, InputError> {
    let file = table.file().to_string();
    let mut station = Station::new(found.station.as_ref(), options);
    let (mut rows, mut doubted, mut raw) = (0, 0, Vec::new());
    let mut days: BTreeMap<Date, Raw> = BTreeMap::new();
    while let Some(row) = table.next_row()? {
        rows += 1;
        let line = row.line();
        let fault = |what: String| InputError::line(&file, line, what);
        if !station.has(&row).map_err(fault)? {
            continue;
        }
        let Some(long) = &found.long else {
            raw.push(Raw {
                line,
                high_line: line,
                written: found.day(&row).map_err(fault)?,
                low: row.value(&found.low).map_err(fault)?,
                high: row.value(&found.high).map_err(fault)?,
            });
            continue;
        };
        let highest = match row.text(long.element) {
            HIGHEST => true,
            LOWEST => false,
            _ => continue,
        };
        let date = match found.day(&row).map_err(fault)? {
            Written::YearFirst(date) => date,
            Written::YearLast(a, b, year) => {
                let text = format!("{a}/{b}/{year}");
                return Err(fault(say!("date.year-first", text)));
            }
        };
        let mut value = row.value(&found.high).map_err(fault)?;
        let doubt = long.doubt.map(|column| row.text(column));
        if doubt.is_some_and(|why| !why.is_empty()) {
            (doubted, value) = (doubted + 1, None);
        }
        let day = days.entry(date).or_insert(Raw {
            line,
            high_line: line,
            written: Written::YearFirst(date),
            low: None,
            high: None,
        });
        let (place, at) = if highest {
            (&mut day.high, &mut day.high_line)
        } else {
            (&mut day.low, &mut day.line)
        };
        if place.is_some() {
            return Err(fault(say!("daily.twice", date, line = *at)));
        }
        (*place, *at) = (value, line);
    }
    raw.extend(days.into_values());
    if raw.is_empty() {
        let long = found.long.as_ref().filter(|_| rows > 0);
        let key = long.map_or("daily.no-rows", |_| "daily.no-elements");
        return Err(InputError::file(&file, station.none(key)));
    }
    Ok(Rows {
        seen: rows,
        doubted,
        raw,
    })
}

/// Turns written dates into days. Dates with the year last are settled over the whole file, never row by row.
fn settle_dates<R: BufRead>(table: &Table<R>, raw: &[Raw]) -> Result<Vec<Date>, InputError> {
    let mut first_over_12 = None;
    let mut second_over_12 = None;
    let mut year_last = None;
    for row in raw {
        if let Written::YearLast(a, b, _) = row.written {
            year_last.get_or_insert(row.line);
            if a > 12 {
                first_over_12.get_or_insert(row.line);
            }
            if b > 12 {
                second_over_12.get_or_insert(row.line);
            }
        }
    }
    let month_first = match (year_last, first_over_12, second_over_12) {
        (None, ..) | (_, None, Some(_)) => true,
        (_, Some(_), None) => false,
        (Some(line), None, None) => return Err(table.fault(line, say!("daily.two-ways"))),
        (_, Some(a), Some(b)) => {
            return Err(table.fault(a.max(b), say!("daily.two-orders", line = a.min(b))));
        }
    };
    let date = |row: &Raw| match row.written {
        Written::YearFirst(date) => Ok(date),
        Written::YearLast(a, b, year) => {
            let (month, of_month) = if month_first { (a, b) } else { (b, a) };
            let date = day::make(year.unsigned_abs().into(), month, of_month);
            date.map_err(|what| table.fault(row.line, what))
        }
    };
    raw.iter().map(date).collect()
}

/// Settles the unit: what the user says, what the column names say, or what the values leave as the only choice.
fn settle_unit<R: BufRead>(
    table: &Table<R>,
    found: &DailyColumns,
    raw: &[Raw],
    dates: &[Date],
    options: &ReadOptions,
) -> Result<(TemperatureUnit, String), InputError> {
    if let (Some(high), Some(low)) = (found.high.unit, found.low.unit)
        && high != low
    {
        let (upper, lower) = (shorten(&found.high.name), shorten(&found.low.name));
        let (unit, other) = (high.words(), low.words());
        return Err(table.header_fault(say!("unit.two", upper, unit, lower, other)));
    }
    let named = found.high.unit.or(found.low.unit);
    let settled = TemperatureUnit::settle(options.unit, named);
    if let Some((unit, words)) = settled.map_err(|what| table.header_fault(what))? {
        let by_itself = table.headless() && options.unit.is_none();
        let national = by_itself.then(|| say!("unit.national", unit = unit.words()));
        return Ok((unit, national.unwrap_or(words)));
    }
    let highs = raw.iter().filter_map(|r| r.high);
    let top = highs.fold(f64::NEG_INFINITY, f64::max);
    match unit_from_values(raw, dates, top) {
        Some(unit) => Ok((unit, say!("unit.worked-out", unit = unit.words(), top))),
        None => Err(table.header_fault(say!("unit.unknown", top))),
    }
}

/// The unit that the values leave, if they leave only one.
///
/// A summer half-year whose hottest day stays at 60 or below can only be Celsius (60 F would be no summer); whole numbers above
/// 140 can only be tenths; a summer maximum between 60 and 140 can only be Fahrenheit, as 14.0 C would be no summer either.
fn unit_from_values(raw: &[Raw], dates: &[Date], top: f64) -> Option<TemperatureUnit> {
    let mut values = raw.iter().flat_map(|r| [r.low, r.high]).flatten();
    let whole = values.all(|v| v == v.round());
    let days_of = |months: &[i8]| dates.iter().filter(|d| months.contains(&d.month())).count();
    let (warm, cool) = (days_of(&[5, 6, 7, 8, 9]), days_of(&[11, 12, 1, 2, 3]));
    let saw_a_summer = warm >= 60 && cool >= 60 || warm >= 120 || (warm >= 60 && top > 60.0);
    if whole && top > 140.0 && top <= 600.0 {
        Some(TemperatureUnit::TenthsC)
    } else if !saw_a_summer {
        None
    } else if top > 60.0 && top <= 140.0 {
        Some(TemperatureUnit::F)
    } else if top <= 50.0 && top > 10.0 {
        Some(TemperatureUnit::C)
    } else {
        None
    }
}

/// Checks each day's values and turns them into temperatures.
fn settle_days<R: BufRead>(
    table: &Table<R>,
    raw: &[Raw],
    dates: &[Date],
    unit: TemperatureUnit,
) -> Result<Vec<DayTemps>, InputError> {
    let mut days = Vec::with_capacity(raw.len());
    for (row, &date) in raw.iter().zip(dates) {
        let read = |value: Option<f64>, line: u64| {
            let air = value.map(|v| unit.read_air(v)).transpose();
            air.map_err(|what| table.fault(line, what))
        };
        let (low, high) = (read(row.low, row.line)?, read(row.high, row.high_line)?);
        let (Some(tmin), Some(tmax)) = (low, high) else {
            continue;
        };
        if let (Some(low), Some(high)) = (row.low, row.high)
            && high < low
        {
            return Err(table.fault(row.line, say!("daily.below", high, low)));
        }
        days.push(DayTemps {
            date,
            tmin,
            tmax,
            n_readings: None,
            dusk: None,
        });
    }
    Ok(days)
}

/// Notes on single extremes far from those of the days around.
fn wild_days(days: &[DayTemps], raw: &[Raw], unit: TemperatureUnit) -> Vec<String> {
    let mut lows = Watch::new(wild::DAYS, unit, "wild.minimum");
    let mut highs = Watch::new(wild::DAYS, unit, "wild.maximum");
    let whole = raw.iter().filter_map(|r| Some((r, r.low?, r.high?)));
    let first = days.first().map_or(Date::constant(1970, 1, 1), |d| d.date);
    for (day, (row, low, high)) in days.iter().zip(whole) {
        let minutes = 1440 * day::days_between(first, day.date);
        lows.take(minutes, row.line, low);
        highs.take(minutes, row.high_line, high);
    }
    let mut notes = lows.finish();
    notes.extend(highs.finish());
    notes
}

/// Refuses a lasting jump that looks like a change of unit: the eight days after it lie near the converted value of the
/// eight days before, and far (over 16 C, 29 F) from the value itself. The figures are our own rule.
fn refuse_jump<R: BufRead>(
    table: &Table<R>,
    days: &[DayTemps],
    raw: &[Raw],
) -> Result<(), InputError> {
    const SPAN: usize = 8;
    let means: Vec<f64> = days.iter().map(|d| d.mean().c()).collect();
    let average = |slice: &[f64]| slice.iter().sum::<f64>() / slice.len() as f64;
    for i in SPAN..means.len().saturating_sub(SPAN - 1) {
        if day::days_between(days[i - SPAN].date, days[i + SPAN - 1].date) > 24 {
            continue;
        }
        let (before, after) = (average(&means[i - SPAN..i]), average(&means[i..i + SPAN]));
        let step = after - before;
        // A number on the other scale, read on this one, appears converted once too often or once too little.
        let resembles = |other: f64| (after - other).abs() < 0.25 * step.abs();
        let converted = [fahrenheit(before), celsius(before)];
        if step.abs() > 16.0 && converted.into_iter().any(resembles) {
            // The averages meet the jump a little early; the largest step from day to day is where it happened.
            let nearby = i + 1 - SPAN..(i + SPAN).min(means.len());
            let step_at = |i: &usize| (means[*i] - means[i - 1]).abs();
            let sharpest = nearby.max_by(|a, b| step_at(a).total_cmp(&step_at(b)));
            let mut whole = raw.iter().filter(|r| r.low.is_some() && r.high.is_some());
            let line = whole.nth(sharpest.unwrap_or(i)).map_or(0, |r| r.line);
            let [f, c] = [1.8, 1.0].map(|scale| format!("{:.0}", step.abs() * scale));
            return Err(table.fault(line, say!("daily.jump", f, c)));
        }
    }
    Ok(())
}
