//! Hourly weather: which hours are fit for a pest to move.

use super::Window;
use super::file;
use super::notes::Notes;
use super::record::{Record, named};
use crate::catalogue::{Fit, Pest};
use crate::say::say;
use crate::weather::ReadOptions;
use crate::weather::columns::Holds;
use crate::weather::hourly::Hour;

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
        let hours = |day: &Vec<bool>| day.iter().filter(|fit| **fit).count() as f64;
        let hours: Vec<f64> = self.days.iter().map(hours).collect();
        let n = hours.len() as f64;
        let mean = hours.iter().sum::<f64>() / n;
        let square = hours.iter().map(|h| (h - mean) * (h - mean)).sum::<f64>();
        (mean, (square / (n - 1.0).max(1.0)).sqrt())
    }
}

/// Whether an hour is fit; `None` without a temperature. Other readings that are missing forbid nothing.
fn is_fit(fit: &Fit, hour: &Hour) -> Option<bool> {
    let below = |value: Option<f64>, most: Option<f64>| match (value, most) {
        (Some(value), Some(most)) => value <= most,
        _ => true,
    };
    let air_c = Some(hour.air?.c());
    Some(
        below(fit.coldest_c, air_c)
            && below(air_c, fit.warmest_c)
            && below(hour.speed_m_per_s, fit.most_wind_m_per_s)
            && below(fit.least_sun_w_per_m2, hour.sun_w_per_m2),
    )
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
        notes.default_used("weather", say!("gate.none"), say!("gate.say-where"));
        return None;
    };
    let Some(fit) = &pest.fit else {
        let what = say!("gate.no-limits", pest = pest.name);
        notes.add("weather", what, say!("gate.leave-out"));
        return None;
    };
    let record = Record {
        part: "weather",
        file: &written.file,
        options: ReadOptions {
            station: written.station.clone(),
            utc_offset_h: written.utc_offset,
            named: named(&[
                (Holds::HourTime, &written.time_column),
                (Holds::Temperature, &written.temperature_column),
                (Holds::WindSpeed, &written.speed_column),
                (Holds::Sun, &written.sun_column),
            ]),
            ..ReadOptions::default()
        },
        pest,
        window,
    };
    let mut also = Vec::new();
    also.extend(fit.most_wind_m_per_s.map(|_| Holds::WindSpeed));
    also.extend(fit.least_sun_w_per_m2.map(|_| Holds::Sun));
    let needed = [Holds::HourTime, Holds::Temperature];
    let days = record.read((&needed, &also), load, notes, |hour| is_fit(fit, hour))?;
    // An hour without a reading counts as fit.
    let whole = |day: Vec<Option<bool>>| day.into_iter().map(|h| h.unwrap_or(true)).collect();
    let days: Vec<Vec<bool>> = days.into_iter().map(whole).collect();
    let n_fit = days.iter().flatten().filter(|fit| **fit).count();
    let share = n_fit as f64 / (days.len() * record.active()).max(1) as f64;
    let file = &written.file;
    if n_fit == 0 {
        let what = say!("gate.no-fit-hour", file, pests = pest.plural);
        notes.add("weather.file", what, say!("gate.give-season"));
        return None;
    }
    let share = format!("{:.0}", 100.0 * share);
    let (n, limits) = (days.len(), fit.words());
    let said = say!("gate.said", file, n, share, limits);
    Some(Weather { said, days })
}
