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

/// Columns of a wind record.
struct Columns {
    time: usize,
    direction: usize,
    speed: usize,
    factor: f64,
}

impl Record<'_> {
    /// Turns the text of a CSV file into whole days of active hours.
    pub(crate) fn read(&self, text: &str, notes: &mut Notes) -> Option<Wind> {
        let text = text.trim_start_matches('\u{feff}');
        let mut table = csv::ReaderBuilder::new()
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let headers = match table.headers() {
            Ok(headers) => headers.clone(),
            Err(error) => {
                notes.faults.add(
                    "wind.file",
                    format!("{}: no table: {error}", self.name),
                    "give a CSV file with a header line",
                );
                return None;
            }
        };
        let columns = self.columns(&headers, notes)?;
        let mut hours: BTreeMap<Hour, WindHour> = BTreeMap::new();
        let mut dropped = Vec::new();
        for row in table.records() {
            let line = row
                .as_ref()
                .ok()
                .and_then(|r| r.position().map(csv::Position::line))
                .unwrap_or(0);
            let read = row
                .map_err(|error| error.to_string())
                .and_then(|row| self.hour(&row, &columns));
            match read {
                // The hour that stands twice when clocks go back keeps its first reading.
                Ok(Some((key, hour))) => {
                    hours.entry(key).or_insert(hour);
                }
                Ok(None) => {}
                Err(why) => dropped.push(format!("line {line}: {why}")),
            }
        }
        self.tell_dropped(&dropped, hours.len(), notes)?;
        self.days(&hours, notes)
    }

    fn columns(&self, headers: &csv::StringRecord, notes: &mut Notes) -> Option<Columns> {
        let w = self.wind;
        let time = self.column(
            headers,
            w.time_column.as_deref(),
            "time_column",
            &["time", "date", "hour"],
            notes,
        );
        let direction = self.column(
            headers,
            w.direction_column.as_deref(),
            "direction_column",
            &["dir"],
            notes,
        );
        let speed = self.column(
            headers,
            w.speed_column.as_deref(),
            "speed_column",
            &["speed", "mph", "kn", "kt", "m_s", "ms", "kmh"],
            notes,
        );
        let (time, direction, speed) = (time?, direction?, speed?);
        let name = headers.get(speed).unwrap_or_default().to_lowercase();
        let unit = [
            "m_per_s", "m/s", "m_s", "ms", "mph", "kn", "kt", "km/h", "kmh",
        ]
        .into_iter()
        .find(|unit| name.ends_with(unit));
        let unit = unit.map(|unit| match unit {
            "m_per_s" | "m_s" | "ms" => "m/s",
            "kmh" => "km/h",
            known => known,
        });
        let Some(factor) =
            unit.and_then(|unit| read_quantity(&format!("1 {unit}"), Dimension::Speed).ok())
        else {
            notes.faults.add(
                "wind.speed_column",
                format!(
                    "{}: the name of column \"{}\" has no unit",
                    self.name,
                    shortened(&name)
                ),
                "end it in _mph, _kn, _kmh or _m_per_s",
            );
            return None;
        };
        Some(Columns {
            time,
            direction,
            speed,
            factor,
        })
    }

    fn column(
        &self,
        headers: &csv::StringRecord,
        named: Option<&str>,
        key: &str,
        hints: &[&str],
        notes: &mut Notes,
    ) -> Option<usize> {
        let all: Vec<&str> = headers.iter().collect();
        let has = |hint: &&str| {
            all.iter()
                .position(|h| h.to_lowercase().split(['_', ' ']).any(|part| part == *hint))
        };
        let found = named.map_or_else(
            || hints.iter().find_map(has),
            |name| all.iter().position(|h| *h == name),
        );
        if found.is_none() {
            let path = format!("wind.{key}");
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

    /// One row; `None` for a reading that is missing.
    fn hour(
        &self,
        row: &csv::StringRecord,
        columns: &Columns,
    ) -> Result<Option<(Hour, WindHour)>, String> {
        let cell = |i: usize| row.get(i).unwrap_or_default();
        let time = cell(columns.time);
        // Local clock time: the first ten characters are the local date, whatever the offset says.
        let date = time
            .get(..10)
            .and_then(|d| d.parse::<jiff::civil::Date>().ok());
        let hour = time
            .get(11..13)
            .and_then(|h| h.parse::<u8>().ok())
            .filter(|h| *h < 24);
        let (Some(date), Some(hour)) = (date, hour) else {
            return Err(format!(
                "\"{}\" is no time such as 2013-06-01T09:00",
                shortened(time)
            ));
        };
        let Some(speed) = number(cell(columns.speed))? else {
            return Ok(None);
        };
        let speed = speed * columns.factor;
        if !(0.0..=IMPOSSIBLE_M_PER_S).contains(&speed) {
            return Err(format!(
                "a wind of {:.0} mph ({speed:.0} m/s) is impossible",
                speed / crate::units::M_PER_S_PER_MPH
            ));
        }
        let direction = number(cell(columns.direction))?;
        if direction.is_some_and(|d| !(0.0..=360.0).contains(&d)) {
            return Err(format!(
                "a direction of {} degrees is impossible",
                cell(columns.direction)
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
        Ok(Some(((date, hour), hour_wind)))
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
            notes
                .faults
                .add("wind.file", what, "correct the file, or name its columns");
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

    /// Whole days of active hours; a missing hour repeats the one before it.
    fn days(&self, hours: &BTreeMap<Hour, WindHour>, notes: &mut Notes) -> Option<Wind> {
        let months = self.months();
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

    /// Months that the window touches; empty for all.
    fn months(&self) -> Vec<i8> {
        let Some(window) = self.window else {
            return Vec::new();
        };
        let first = window
            .first_day
            .as_deref()
            .and_then(|d| d.parse::<jiff::civil::Date>().ok());
        let Some(mut day) = first else {
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
