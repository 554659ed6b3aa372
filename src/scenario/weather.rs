//! Hourly weather: which hours are fit for a pest to move.

use super::Window;
use super::file;
use super::notes::Notes;
use super::record::{Table, months_of};
use crate::catalogue::{Fit, Pest};
use crate::units::celsius;
use std::collections::BTreeMap;

/// Whether each active hour of the days of a record is fit for movement.
#[derive(Clone, Debug, PartialEq)]
pub struct Weather {
    /// File it came from, and the limits.
    pub said: String,
    /// One row a day, in order; one entry for each active hour.
    days: Vec<Vec<bool>>,
}

impl Weather {
    /// Some days in a row, from a place in the record given by a number in \[0, 1); where the record is short, its
    /// beginning follows its end. At least one hour of them is fit.
    pub fn days_from(&self, place: f64, days: u32) -> Vec<Vec<bool>> {
        let (all, days) = (self.days.len(), days as usize);
        let places = all.saturating_sub(days) + 1;
        let first = ((place * places as f64) as usize).min(places - 1);
        let from = |first: usize| -> Vec<Vec<bool>> {
            let rows = self.days.iter().cycle().skip(first);
            rows.take(days).cloned().collect()
        };
        let fit = |days: &Vec<Vec<bool>>| days.iter().flatten().any(|fit| *fit);
        // A record without any fit hour is refused when it is read.
        let found = (0..all).map(|more| from((first + more) % all)).find(fit);
        found.unwrap_or_else(|| from(first))
    }

    /// Mean and standard deviation of the fit hours of a day.
    pub fn hours_a_day(&self) -> (f64, f64) {
        let hours: Vec<f64> = self
            .days
            .iter()
            .map(|day| day.iter().filter(|fit| **fit).count() as f64)
            .collect();
        let n = hours.len() as f64;
        let mean = hours.iter().sum::<f64>() / n;
        let square = hours.iter().map(|h| (h - mean) * (h - mean)).sum::<f64>();
        (mean, (square / (n - 1.0).max(1.0)).sqrt())
    }
}

/// One hour's readings; those that the record lacks are missing.
#[derive(Clone, Copy)]
struct Reading {
    air_c: f64,
    wind_m_per_s: Option<f64>,
    sun_w_per_m2: Option<f64>,
}

impl Reading {
    fn is_fit(&self, fit: &Fit) -> bool {
        let below = |value: Option<f64>, most: Option<f64>| match (value, most) {
            (Some(value), Some(most)) => value <= most,
            _ => true,
        };
        below(fit.coldest_c, Some(self.air_c))
            && below(Some(self.air_c), fit.warmest_c)
            && below(self.wind_m_per_s, fit.most_wind_m_per_s)
            && below(fit.least_sun_w_per_m2, self.sun_w_per_m2)
    }
}

/// Reads the hours fit for movement; none when the file names no record, or when no limits of the pest are known.
pub(crate) fn read(
    written: Option<&file::Weather>,
    pest: &Pest,
    window: Option<&Window>,
    load: &dyn Fn(&str) -> Result<String, String>,
    notes: &mut Notes,
) -> Option<Weather> {
    let Some(written) = written else {
        notes.default_used(
            "weather",
            "no hourly weather: every active hour counts as fit for movement",
            "say where a record is with \"weather\"",
        );
        return None;
    };
    let Some(fit) = &pest.fit else {
        notes.faults.add(
            "weather",
            format!("no limits of weather are known for the {}", pest.name),
            "leave \"weather\" out: every active hour counts",
        );
        return None;
    };
    let text = match load(&written.file) {
        Ok(text) => text,
        Err(why) => {
            let fix = "give a CSV file beside the scenario";
            notes.faults.add("weather.file", why, fix);
            return None;
        }
    };
    let table = Table::open(&text, "weather", &written.file, notes)?;
    let time = table.column(
        written.time_column.as_deref(),
        "time_column",
        &["time", "date", "hour"],
        notes,
    );
    let air = table.column(
        written.temperature_column.as_deref(),
        "temperature_column",
        &["temp", "temperature", "air"],
        notes,
    );
    let optional = |named: Option<&str>, key: &str, hints: &[&str], notes: &mut Notes| {
        if named.is_some() || table.has(hints) {
            table.column(named, key, hints, notes)
        } else {
            None
        }
    };
    let wind = optional(
        written.speed_column.as_deref(),
        "speed_column",
        &["wind", "speed"],
        notes,
    );
    let wind = wind.and_then(|column| {
        let factor = table.speed_factor(column);
        factor.map(|factor| (column, factor))
    });
    let sun = optional(
        written.sun_column.as_deref(),
        "sun_column",
        &["sun", "radiation", "solar"],
        notes,
    );
    let (time, air) = (time?, air?);
    let heading = table.name_of(air).to_lowercase();
    let in_f = heading.ends_with("_f") || heading.ends_with("degf");
    if !in_f && !heading.ends_with("_c") && !heading.ends_with("degc") {
        notes.faults.add(
            "weather.temperature_column",
            format!("the name of column \"{heading}\" has no unit"),
            "end it in _f or _c",
        );
        return None;
    }
    let mut hours = BTreeMap::new();
    table.each(time, notes, |row| {
        let air = row.number(air)?;
        let wind = wind.map(|(column, factor)| row.number(column).map(|v| v.map(|v| v * factor)));
        let sun = sun.map(|column| row.number(column));
        let Some(air) = air else { return Ok(()) };
        let air_c = if in_f { celsius(air) } else { air };
        if !(-60.0..=60.0).contains(&air_c) {
            return Err(format!("an air of {air} degrees is impossible"));
        }
        let reading = Reading {
            air_c,
            wind_m_per_s: wind.transpose()?.flatten(),
            sun_w_per_m2: sun.transpose()?.flatten(),
        };
        hours.entry(row.key).or_insert(reading);
        Ok(())
    })?;
    let active = pest.activity.hours.ceil().clamp(1.0, 24.0) as usize;
    let start = pest.activity.start_hour.floor().clamp(0.0, 23.0) as usize;
    let months = months_of(window);
    let mut dates: Vec<jiff::civil::Date> = hours.keys().map(|(date, _)| *date).collect();
    dates.dedup();
    dates.retain(|date| months.is_empty() || months.contains(&date.month()));
    let days: Vec<Vec<bool>> = dates
        .into_iter()
        .map(|date| {
            let hour = |h: usize| {
                let day = if h < 24 {
                    Some(date)
                } else {
                    date.tomorrow().ok()
                };
                // An hour without a reading counts as fit.
                let reading = day.and_then(|day| hours.get(&(day, (h % 24) as u8)));
                reading.is_none_or(|reading| reading.is_fit(fit))
            };
            (start..start + active).map(hour).collect()
        })
        .collect();
    let share = |days: &[Vec<bool>]| {
        let fit = days.iter().flatten().filter(|fit| **fit).count();
        fit as f64 / (days.len() * active).max(1) as f64
    };
    if share(&days) == 0.0 {
        notes.faults.add(
            "weather.file",
            format!(
                "{}: no hour of its days is fit for {}",
                written.file, pest.plural
            ),
            "give a record of the season and the months of the window",
        );
        return None;
    }
    let said = format!(
        "{}, {} days, {:.0} of 100 active hours fit ({})",
        written.file,
        days.len(),
        100.0 * share(&days),
        fit.words()
    );
    Some(Weather { said, days })
}
