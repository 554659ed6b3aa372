//! Daily extremes from a table: columns and units recognised, impossible values refused, everything that was understood said.

use crate::season::columns::{self, Found, Holds, TemperatureUnit};
use crate::season::day::{self, Written, shorten};
use crate::season::error::SeasonError;
use crate::season::table::Table;
use crate::season::temperature::Temperature;
use crate::season::wild::{self, Watch};
use jiff::civil::Date;
use serde::Serialize;
use std::io::BufRead;

/// Highest air temperature believed, degrees C. Above it the unit or the value is wrong. (The limit is 60 C by our own
/// rule; the record is near 57 C, from memory.)
pub const HOTTEST_C: f64 = 60.0;
/// Lowest air temperature believed, degrees C (own rule; no garden record comes near it).
pub const COLDEST_C: f64 = -70.0;

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

/// Settings of the readers.
#[derive(Clone, Debug, Default)]
pub struct ReadOptions {
    /// Unit of the temperatures, when the user says it.
    pub unit: Option<TemperatureUnit>,
    /// Station to keep, when the file holds several.
    pub station: Option<String>,
    /// The user has looked at a jump that resembles a change of unit and says it is real.
    pub accept_jumps: bool,
}

/// One row as read, before its unit is settled.
struct Raw {
    line: u64,
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
) -> Result<Record, SeasonError> {
    let mut table = Table::open(file, source)?;
    let found = DailyColumns::find(&table)?;
    let (rows, raw) = read_rows(&mut table, &found, options)?;
    if raw.is_empty() {
        return Err(
            table.file_fault("there are column names but no rows of data; add one row a day")
        );
    }
    let dates = settle_dates(&table, &raw)?;
    for (pair, raws) in dates.windows(2).zip(raw.windows(2)) {
        if pair[1] == pair[0] {
            let what = format!(
                "{} stands twice (also on line {}); keep one row a day",
                pair[1], raws[0].line
            );
            return Err(table.fault(raws[1].line, what));
        }
        if pair[1] < pair[0] {
            let what = format!("{} comes after {}; sort the rows by date", pair[1], pair[0]);
            return Err(table.fault(raws[1].line, what));
        }
    }
    let (unit, unit_words) = settle_unit(&table, &found, &raw, &dates, options)?;
    let days = settle_days(&table, &raw, &dates, unit)?;
    let Some((first, last)) = days.first().zip(days.last()) else {
        return Err(
            table.file_fault("no day has both a maximum and a minimum; check the two columns")
        );
    };
    let mut notes = Vec::new();
    let half = raw
        .iter()
        .filter(|r| r.low.is_none() || r.high.is_none())
        .count();
    if half > 0 {
        notes.push(format!(
            "{half} rows lack the maximum or the minimum; those days count as missing"
        ));
    }
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
}

enum DateColumns {
    One(Found),
    Three([usize; 3]),
}

impl DailyColumns {
    fn find<R: BufRead>(table: &Table<R>) -> Result<Self, SeasonError> {
        let header = table.header();
        let position = |names: &[&str]| {
            header
                .iter()
                .position(|h| names.contains(&h.trim().to_lowercase().as_str()))
        };
        let three = position(&["year", "yr", "yyyy"])
            .zip(position(&["month", "mon", "mo", "mm"]))
            .zip(position(&["day", "dy", "dd"]));
        let date = match (three, columns::find(header, Holds::Day)) {
            (Some(((y, m), d)), _) => Some(DateColumns::Three([y, m, d])),
            (None, Some(one)) => Some(DateColumns::One(one)),
            (None, None) => None,
        };
        let (high, low) = (
            columns::find(header, Holds::Highest),
            columns::find(header, Holds::Lowest),
        );
        let mut absent = Vec::new();
        if date.is_none() {
            absent.push("the day (`date`)");
        }
        if high.is_none() {
            absent.push("the daily maximum (`tmax_f` or `tmax_c`)");
        }
        if low.is_none() {
            absent.push("the daily minimum (`tmin_f` or `tmin_c`)");
        }
        match (date, high, low) {
            (Some(date), Some(high), Some(low)) => Ok(Self {
                date,
                high,
                low,
                station: columns::find(header, Holds::Station),
            }),
            _ => Err(table.header_fault(format!(
                "no column for {}; the columns found are {}; rename them in the first row",
                absent.join(" and "),
                table.header_words()
            ))),
        }
    }

    fn words(&self) -> Vec<String> {
        let date = match &self.date {
            DateColumns::One(found) => format!("day from `{}`", shorten(&found.name)),
            DateColumns::Three(_) => "day from three columns (year, month, day)".to_string(),
        };
        vec![
            date,
            format!("maximum from `{}`", shorten(&self.high.name)),
            format!("minimum from `{}`", shorten(&self.low.name)),
        ]
    }
}

/// Reads all rows of the wanted station; returns the number of rows seen and those kept.
fn read_rows<R: BufRead>(
    table: &mut Table<R>,
    found: &DailyColumns,
    options: &ReadOptions,
) -> Result<(u64, Vec<Raw>), SeasonError> {
    let file = table.file().to_string();
    let mut raw = Vec::new();
    let mut rows = 0;
    let mut first_station: Option<String> = None;
    while let Some(row) = table.next_row()? {
        rows += 1;
        let fault = |what: String| SeasonError::line(&file, row.line(), what);
        if let Some(column) = &found.station {
            let name = row.text(column.index);
            if let Some(wanted) = &options.station {
                if name != wanted {
                    continue;
                }
            } else if first_station.as_deref().is_some_and(|first| first != name) {
                let what = format!(
                    "the file holds more than one station (`{}` and `{}`); pick one with --station",
                    shorten(first_station.as_deref().unwrap_or("")),
                    shorten(name)
                );
                return Err(fault(what));
            } else if first_station.is_none() {
                first_station = Some(name.to_string());
            }
        }
        let written = match &found.date {
            DateColumns::One(column) => day::read(row.text(column.index)).map_err(fault)?,
            DateColumns::Three(columns) => {
                let [year, month, of_month] = columns.map(|c| row.text(c).parse::<u32>());
                match (year, month, of_month) {
                    (Ok(y), Ok(m), Ok(d)) => {
                        day::make(y, m, d).map(Written::YearFirst).map_err(fault)?
                    }
                    _ => return Err(fault("year, month and day must be whole numbers".into())),
                }
            }
        };
        let value = |column: &Found| {
            row.number(column.index)
                .map_err(|what| fault(format!("column `{}`: {what}", shorten(&column.name))))
        };
        raw.push(Raw {
            line: row.line(),
            written,
            low: value(&found.low)?,
            high: value(&found.high)?,
        });
    }
    if rows > 0 && raw.is_empty() {
        let wanted = options.station.as_deref().unwrap_or("");
        return Err(SeasonError::file(
            &file,
            format!(
                "no row belongs to the station `{}`; check --station",
                shorten(wanted)
            ),
        ));
    }
    Ok((rows, raw))
}

/// Turns written dates into days. Dates with the year last are settled over the whole file, never row by row.
fn settle_dates<R: BufRead>(table: &Table<R>, raw: &[Raw]) -> Result<Vec<Date>, SeasonError> {
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
        (Some(line), None, None) => {
            return Err(table.fault(
                line,
                "the dates could be month/day or day/month; write them as 2014-05-08",
            ));
        }
        (_, Some(a), Some(b)) => {
            let what = format!(
                "the day comes first here and second on line {}; write dates as 2014-05-08",
                a.min(b)
            );
            return Err(table.fault(a.max(b), what));
        }
    };
    raw.iter()
        .map(|row| match row.written {
            Written::YearFirst(date) => Ok(date),
            Written::YearLast(a, b, year) => {
                let (month, of_month) = if month_first { (a, b) } else { (b, a) };
                day::make(year.unsigned_abs().into(), month, of_month)
                    .map_err(|what| table.fault(row.line, what))
            }
        })
        .collect()
}

/// Settles the unit: what the user says, what the column names say, or what the values leave as the only choice.
fn settle_unit<R: BufRead>(
    table: &Table<R>,
    found: &DailyColumns,
    raw: &[Raw],
    dates: &[Date],
    options: &ReadOptions,
) -> Result<(TemperatureUnit, String), SeasonError> {
    if let (Some(high), Some(low)) = (found.high.unit, found.low.unit)
        && high != low
    {
        let what = format!(
            "`{}` is in {} but `{}` is in {}; bring both into one unit",
            shorten(&found.high.name),
            high.words(),
            shorten(&found.low.name),
            low.words()
        );
        return Err(table.header_fault(what));
    }
    let named = found.high.unit.or(found.low.unit);
    if let Some(said) = options.unit {
        if let Some(named) = named.filter(|named| *named != said && *named != TemperatureUnit::C) {
            let what = format!(
                "the column name says {}, but --unit says {}; correct one of them",
                named.words(),
                said.words()
            );
            return Err(table.header_fault(what));
        }
        return Ok((said, format!("{} (as you said)", said.words())));
    }
    if let Some(named) = named {
        return Ok((named, format!("{} (from the column name)", named.words())));
    }
    let highs: Vec<f64> = raw.iter().filter_map(|r| r.high).collect();
    let top = highs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    match unit_from_values(raw, dates, top) {
        Some(unit) => Ok((unit, format!("{} (worked out: the highest maximum is {top}; say --unit if this is wrong)", unit.words()))),
        None => Err(table.header_fault(format!(
            "the unit of the temperatures cannot be told (highest maximum {top}); add --unit f, --unit c or --unit tenths-c"
        ))),
    }
}

/// The unit that the values leave, if they leave only one.
///
/// A summer half-year whose hottest day stays at 60 or below can only be Celsius (60 F would be no summer); whole numbers above
/// 140 can only be tenths; a summer maximum between 60 and 140 can only be Fahrenheit, as 14.0 C would be no summer either.
fn unit_from_values(raw: &[Raw], dates: &[Date], top: f64) -> Option<TemperatureUnit> {
    let whole = raw
        .iter()
        .flat_map(|r| [r.low, r.high])
        .flatten()
        .all(|v| v == v.round());
    let warm = dates
        .iter()
        .filter(|d| (5..=9).contains(&d.month()))
        .count();
    let cool = dates
        .iter()
        .filter(|d| matches!(d.month(), 11 | 12 | 1..=3))
        .count();
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
) -> Result<Vec<DayTemps>, SeasonError> {
    let (scale, divisor) = unit.scale();
    let mut days = Vec::with_capacity(raw.len());
    for (row, &date) in raw.iter().zip(dates) {
        let temperature = |value: f64| Temperature::from_scale(value / divisor, scale);
        for value in [row.low, row.high].into_iter().flatten() {
            let t = temperature(value);
            if t.c() > HOTTEST_C || t.c() < COLDEST_C {
                let what = format!(
                    "{value} in {} is impossible for air ({:.0} F, {:.0} C); check the value, or the unit may change here",
                    unit.words(),
                    t.f(),
                    t.c()
                );
                return Err(table.fault(row.line, what));
            }
        }
        let (Some(low), Some(high)) = (row.low, row.high) else {
            continue;
        };
        if high < low {
            let what = format!(
                "the maximum {high} is below the minimum {low}; correct the row or empty both cells"
            );
            return Err(table.fault(row.line, what));
        }
        days.push(DayTemps {
            date,
            tmin: temperature(low),
            tmax: temperature(high),
            n_readings: None,
            dusk: None,
        });
    }
    Ok(days)
}

/// Notes on single extremes far from those of the days around.
fn wild_days(days: &[DayTemps], raw: &[Raw], unit: TemperatureUnit) -> Vec<String> {
    let mut lows = Watch::new(wild::DAYS, unit, "minimum");
    let mut highs = Watch::new(wild::DAYS, unit, "maximum");
    let whole = raw.iter().filter_map(|r| Some((r.line, r.low?, r.high?)));
    let first = days.first().map_or(Date::constant(1970, 1, 1), |d| d.date);
    for (day, (line, low, high)) in days.iter().zip(whole) {
        let minutes = 1440 * day::days_between(first, day.date);
        lows.take(minutes, line, low);
        highs.take(minutes, line, high);
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
) -> Result<(), SeasonError> {
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
        let (as_if_f, as_if_c) = (
            crate::units::fahrenheit(before),
            crate::units::celsius(before),
        );
        if step.abs() > 16.0 && (resembles(as_if_f) || resembles(as_if_c)) {
            // The averages meet the jump a little early; the largest step from day to day is where it happened.
            let nearby = i + 1 - SPAN..(i + SPAN).min(means.len());
            let sharpest = nearby
                .max_by(|a, b| {
                    (means[*a] - means[a - 1])
                        .abs()
                        .total_cmp(&(means[*b] - means[b - 1]).abs())
                })
                .unwrap_or(i);
            let line = raw
                .iter()
                .filter(|r| r.low.is_some() && r.high.is_some())
                .nth(sharpest)
                .map_or(0, |r| r.line);
            let what = format!(
                "the temperatures jump here by {:.0} F ({:.0} C) and stay there, as if the unit changed from one of F and C to \
                 the other; bring all rows into one unit, or add --accept-jumps if the jump is real",
                step.abs() * 1.8,
                step.abs()
            );
            return Err(table.fault(line, what));
        }
    }
    Ok(())
}
