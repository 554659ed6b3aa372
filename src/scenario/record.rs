//! Hourly wind records: columns, units, odd readings, whole days.

use super::file::{self, MeasuredAt};
use super::notes::Notes;
use super::wind::{IMPOSSIBLE_M_PER_S, YARD_SHARE};
use super::{Wind, WindHour, Window};
use crate::catalogue::Pest;
use crate::units::{Dimension, RADIANS_PER_DEGREE, read_quantity, shortened};
use std::collections::BTreeMap;

/// An hourly wind record and what is asked of it.
pub(crate) struct Record<'a> {
    /// As written in the scenario.
    pub(crate) wind: &'a file::Wind,
    /// File name, for messages.
    pub(crate) name: &'a str,
    /// Gives the active hours.
    pub(crate) pest: &'a Pest,
    /// Gives the months.
    pub(crate) window: Option<&'a Window>,
}

/// A local date and an hour of it.
type Hour = (jiff::civil::Date, u8);

/// A table of hourly readings: its text, and how its faults are named.
pub(crate) struct Table<'a> {
    text: &'a str,
    headers: csv::StringRecord,
    /// Path of the part of the scenario that names it, such as `wind`.
    part: &'a str,
    name: &'a str,
}

/// One line of a table.
pub(crate) struct Row {
    cells: csv::StringRecord,
    /// When.
    pub(crate) key: Hour,
}

impl Row {
    fn cell(&self, column: usize) -> &str {
        self.cells.get(column).unwrap_or_default()
    }

    /// The number of a cell; `None` when it is missing.
    pub(crate) fn number(&self, column: usize) -> Result<Option<f64>, String> {
        number(self.cell(column))
    }
}

fn reader(text: &str) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes())
}

impl<'a> Table<'a> {
    /// Reads the header line.
    pub(crate) fn open(
        text: &'a str,
        part: &'a str,
        name: &'a str,
        notes: &mut Notes,
    ) -> Option<Table<'a>> {
        let text = text.trim_start_matches('\u{feff}');
        match reader(text).headers() {
            Ok(headers) => Some(Table {
                text,
                headers: headers.clone(),
                part,
                name,
            }),
            Err(error) => {
                notes.faults.add(
                    format!("{part}.file"),
                    format!("{name}: no table: {error}"),
                    "give a CSV file with a header line",
                );
                None
            }
        }
    }

    fn hinted(&self, hints: &[&str]) -> Option<usize> {
        let has = |hint: &&str| {
            let of = |h: &str| h.to_lowercase().split(['_', ' ']).any(|part| part == *hint);
            self.headers.iter().position(of)
        };
        hints.iter().find_map(has)
    }

    /// Whether the name of some column holds one of these words.
    pub(crate) fn has(&self, hints: &[&str]) -> bool {
        self.hinted(hints).is_some()
    }

    /// The column of a name, or the first whose name holds one of the hints.
    pub(crate) fn column(
        &self,
        named: Option<&str>,
        key: &str,
        hints: &[&str],
        notes: &mut Notes,
    ) -> Option<usize> {
        let all: Vec<&str> = self.headers.iter().collect();
        let found = named.map_or_else(
            || self.hinted(hints),
            |name| all.iter().position(|h| *h == name),
        );
        if found.is_none() {
            let path = format!("{}.{key}", self.part);
            match named {
                Some(name) => notes.faults.unknown(path, "column", name, &all),
                None => notes.faults.add(
                    path,
                    format!(
                        "{}: column not found among {}",
                        self.name,
                        shortened(&all.join(", "))
                    ),
                    format!("name it in \"{key}\""),
                ),
            }
        }
        found
    }

    /// Name of a column.
    pub(crate) fn name_of(&self, column: usize) -> &str {
        self.headers.get(column).unwrap_or_default()
    }

    /// Metres per second in one unit of a column of speeds, by the end of its name.
    pub(crate) fn speed_factor(&self, column: usize) -> Option<f64> {
        let name = self.name_of(column).to_lowercase();
        let unit = [
            "m_per_s", "m/s", "m_s", "ms", "mph", "kn", "kt", "km/h", "kmh",
        ]
        .into_iter()
        .find(|unit| name.ends_with(unit))?;
        let unit = match unit {
            "m_per_s" | "m_s" | "ms" => "m/s",
            "kmh" => "km/h",
            known => known,
        };
        read_quantity(&format!("1 {unit}"), Dimension::Speed).ok()
    }

    /// Hands every line over; those that cannot be used are told, and too many of them are a fault.
    pub(crate) fn each(
        &self,
        time: usize,
        notes: &mut Notes,
        mut take: impl FnMut(&Row) -> Result<(), String>,
    ) -> Option<()> {
        let (mut kept, mut dropped) = (0, Vec::new());
        for row in reader(self.text).records() {
            let line = row
                .as_ref()
                .ok()
                .and_then(|r| r.position().map(csv::Position::line))
                .unwrap_or(0);
            let read = row.map_err(|error| error.to_string()).and_then(|cells| {
                let key = moment(cells.get(time).unwrap_or_default())?;
                take(&Row { cells, key })
            });
            match read {
                Ok(()) => kept += 1,
                Err(why) => dropped.push(format!("line {line}: {why}")),
            }
        }
        self.tell_dropped(&dropped, kept, notes)
    }

    fn tell_dropped(&self, dropped: &[String], kept: usize, notes: &mut Notes) -> Option<()> {
        if dropped.len() > kept / 20 {
            let first = dropped.first().cloned().unwrap_or_default();
            let what = format!(
                "{}: {} of {} lines cannot be used; {first}",
                self.name,
                dropped.len(),
                dropped.len() + kept
            );
            notes.faults.add(
                format!("{}.file", self.part),
                what,
                "correct the file, or name its columns",
            );
            return None;
        }
        for line in dropped.iter().take(5) {
            notes
                .warnings
                .push(format!("{}: {line}; this line was left out.", self.name));
        }
        if dropped.len() > 5 {
            notes.warnings.push(format!(
                "{}: {} more lines were left out.",
                self.name,
                dropped.len() - 5
            ));
        }
        Some(())
    }
}

/// Local clock time: the first ten characters are the local date, whatever the offset says.
fn moment(time: &str) -> Result<Hour, String> {
    let date = time
        .get(..10)
        .and_then(|d| d.parse::<jiff::civil::Date>().ok());
    let hour = time
        .get(11..13)
        .and_then(|h| h.parse::<u8>().ok())
        .filter(|h| *h < 24);
    date.zip(hour).ok_or_else(|| {
        format!(
            "\"{}\" is no time such as 2013-06-01T09:00",
            shortened(time)
        )
    })
}

/// Columns of a wind record.
struct Columns {
    direction: usize,
    speed: usize,
    factor: f64,
}

impl Record<'_> {
    /// Turns the text of a CSV file into whole days of active hours.
    pub(crate) fn read(&self, text: &str, notes: &mut Notes) -> Option<Wind> {
        let table = Table::open(text, "wind", self.name, notes)?;
        let w = self.wind;
        let hints = &["time", "date", "hour"];
        let time = table.column(w.time_column.as_deref(), "time_column", hints, notes);
        let columns = self.columns(&table, notes);
        let (time, columns) = (time?, columns?);
        let mut hours: BTreeMap<Hour, WindHour> = BTreeMap::new();
        table.each(time, notes, |row| {
            // The hour that stands twice when clocks go back keeps its first reading.
            if let Some(hour) = self.hour(row, &columns)? {
                hours.entry(row.key).or_insert(hour);
            }
            Ok(())
        })?;
        self.days(&hours, notes)
    }

    fn columns(&self, table: &Table, notes: &mut Notes) -> Option<Columns> {
        let w = self.wind;
        let named = w.direction_column.as_deref();
        let direction = table.column(named, "direction_column", &["dir"], notes);
        let hints = &["speed", "mph", "kn", "kt", "m_s", "ms", "kmh"];
        let speed = table.column(w.speed_column.as_deref(), "speed_column", hints, notes);
        let (direction, speed) = (direction?, speed?);
        let Some(factor) = table.speed_factor(speed) else {
            notes.faults.add(
                "wind.speed_column",
                format!(
                    "{}: the name of column \"{}\" has no unit",
                    self.name,
                    shortened(&table.name_of(speed).to_lowercase())
                ),
                "end it in _mph, _kn, _kmh or _m_per_s",
            );
            return None;
        };
        Some(Columns {
            direction,
            speed,
            factor,
        })
    }

    /// One row; `None` for a reading that is missing.
    fn hour(&self, row: &Row, columns: &Columns) -> Result<Option<WindHour>, String> {
        let Some(speed) = row.number(columns.speed)? else {
            return Ok(None);
        };
        let speed = speed * columns.factor;
        if !(0.0..=IMPOSSIBLE_M_PER_S).contains(&speed) {
            return Err(format!(
                "a wind of {:.0} mph ({speed:.0} m/s) is impossible",
                speed / crate::units::M_PER_S_PER_MPH
            ));
        }
        let direction = row.number(columns.direction)?;
        if direction.is_some_and(|d| !(0.0..=360.0).contains(&d)) {
            return Err(format!(
                "a direction of {} degrees is impossible",
                row.cell(columns.direction)
            ));
        }
        let scale = if self.wind.measured_at == Some(MeasuredAt::Yard) {
            1.0
        } else {
            YARD_SHARE
        };
        let speed_m_per_s = speed * scale;
        let hour_wind = match direction {
            _ if speed == 0.0 => WindHour::Calm,
            None => WindHour::Variable { speed_m_per_s },
            Some(d) => WindHour::Steady {
                from_rad: (d % 360.0) * RADIANS_PER_DEGREE,
                speed_m_per_s,
            },
        };
        Ok(Some(hour_wind))
    }

    /// Whole days of active hours; a missing hour repeats the one before it.
    fn days(&self, hours: &BTreeMap<Hour, WindHour>, notes: &mut Notes) -> Option<Wind> {
        let months = months_of(self.window);
        let active = self.pest.activity.hours.ceil().clamp(1.0, 24.0) as usize;
        let start = self.pest.activity.start_hour.floor().clamp(0.0, 23.0) as usize;
        let mut dates: Vec<jiff::civil::Date> = hours.keys().map(|(date, _)| *date).collect();
        dates.dedup();
        let (mut days, mut filled, mut left_out) = (Vec::new(), 0, 0);
        for date in dates
            .into_iter()
            .filter(|d| months.is_empty() || months.contains(&d.month()))
        {
            let found: Vec<Option<WindHour>> = (start..start + active)
                .map(|h| {
                    let day = if h < 24 {
                        Some(date)
                    } else {
                        date.tomorrow().ok()
                    };
                    day.and_then(|day| hours.get(&(day, (h % 24) as u8)).copied())
                })
                .collect();
            let missing = found.iter().filter(|h| h.is_none()).count();
            let Some(first) = found
                .iter()
                .flatten()
                .next()
                .copied()
                .filter(|_| missing * 4 <= active)
            else {
                left_out += 1;
                continue;
            };
            filled += missing;
            let mut last = first;
            days.push(
                found
                    .into_iter()
                    .map(|h| {
                        last = h.unwrap_or(last);
                        last
                    })
                    .collect(),
            );
        }
        if days.is_empty() {
            let fix = "give a record that covers the months of the window, or leave out \"window.first_day\"";
            notes.faults.add(
                "wind.file",
                format!("{}: no whole day is left", self.name),
                fix,
            );
            return None;
        }
        if filled + left_out > 0 {
            notes.warnings.push(format!(
                "{}: missing hours that repeat the hour before: {filled}; days left out for too few hours: {left_out}.",
                self.name
            ));
        }
        if self.wind.measured_at.is_none() {
            notes.default_used(
                "wind.measured_at",
                "airport mast of 33 ft (10 m); a yard has half of its wind",
                "assumed, from the logarithmic wind profile",
            );
        }
        let said = format!("{}, {} days", self.name, days.len());
        Some(Wind::Record { said, days })
    }
}

/// Months that a window touches; empty for all.
pub(super) fn months_of(window: Option<&Window>) -> Vec<i8> {
    let first = window
        .and_then(|window| window.first_day.as_deref())
        .and_then(|d| d.parse::<jiff::civil::Date>().ok());
    let (Some(window), Some(mut day)) = (window, first) else {
        return Vec::new();
    };
    let mut months = vec![day.month()];
    for _ in 1..window.days {
        let Ok(next) = day.tomorrow() else { break };
        day = next;
        if !months.contains(&day.month()) {
            months.push(day.month());
        }
    }
    months
}

/// A number, or nothing for an empty cell or `NA`.
fn number(cell: &str) -> Result<Option<f64>, String> {
    if cell.is_empty() || cell == "NA" {
        return Ok(None);
    }
    match cell.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(Some(value)),
        _ => Err(format!("\"{}\" is no number", shortened(cell))),
    }
}
