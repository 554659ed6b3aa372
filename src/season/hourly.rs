//! Hourly rows reduced to days and to a wind rose while they are read, so that decades fit in little memory.

use crate::say::say;
use crate::season::wind_rose::{WindFilter, WindRose, WindTally};
use crate::weather::InputError;
use crate::weather::ReadOptions;
use crate::weather::columns::Holds;
use crate::weather::daily::{DayTemps, Record, Understood};
use crate::weather::hourly::{self, Hour};
use crate::weather::temperature::Temperature;
use jiff::civil::Date;
use std::io::BufRead;

/// Hours with a temperature that a day needs, so that its extremes count (own rule: three quarters of a day).
pub const HOURS_NEEDED: u32 = 18;

/// Settings of the hourly reader.
#[derive(Clone, Debug, Default)]
pub struct HourlyOptions {
    /// What is said of the table.
    pub read: ReadOptions,
    /// Hour whose temperature is kept as "dusk", 0-23.
    pub dusk_hour: u8,
    /// Which hours enter the wind rose.
    pub wind: WindFilter,
}

/// What hourly rows gave.
#[derive(Clone, Debug)]
pub struct HourlyRecord {
    /// Daily extremes.
    pub daily: Record,
    /// Wind rose of the wanted hours; `None` when the file has no wind.
    pub wind: Option<WindRose>,
}

/// Reads hourly rows.
///
/// Days are local calendar days: the date as written, or shifted from UTC. A day needs 18 different hours with a
/// temperature.
///
/// # Errors
/// Those of [`hourly::read`], and a table without a whole day.
pub fn read_hourly<R: BufRead>(
    file: &str,
    source: R,
    options: &HourlyOptions,
) -> Result<HourlyRecord, InputError> {
    let mut days = Days::default();
    let mut wind = WindTally::new(options.wind);
    let hours = hourly::read(
        file,
        source,
        &options.read,
        &[Holds::HourTime, Holds::Temperature],
        &[Holds::WindSpeed, Holds::WindDirection],
        |hour| {
            days.take(hour, options.dusk_hour);
            wind.take(hour.date, hour.hour, hour.speed_m_per_s, hour.direction_deg);
        },
    )?;
    days.close();
    let Some((first, last)) = days.whole.first().zip(days.whole.last()) else {
        let what = say!("hourly.no-whole-day", hours = HOURS_NEEDED);
        return Err(InputError::file(file, what));
    };
    let mut notes = vec![say!("hourly.reduced", hours = HOURS_NEEDED)];
    if let Some((date, hours)) = days.thin.first() {
        notes.push(say!("hourly.thin", n = days.thin.len(), date, hours));
    }
    if hours.repeated > 0 {
        notes.push(say!("hourly.repeated", n = hours.repeated));
    }
    notes.extend(hours.notes);
    let understood = Understood {
        file: file.into(),
        rows: hours.rows,
        first_day: first.date.to_string(),
        last_day: last.date.to_string(),
        days: days.whole.len(),
        columns: hours.columns,
        unit: hours.unit,
        notes,
        wild: hours.wild,
    };
    Ok(HourlyRecord {
        daily: Record {
            days: days.whole,
            understood,
        },
        wind: hours.has_wind.then(|| wind.finish()),
    })
}

/// Days while the hours pass by.
#[derive(Default)]
struct Days {
    whole: Vec<DayTemps>,
    /// Days with too few hours, and how many they have.
    thin: Vec<(Date, u32)>,
    /// The day under construction, and a bit for each of its hours with a temperature.
    open: Option<(DayTemps, u32)>,
}

impl Days {
    fn take(&mut self, hour: &Hour, dusk_hour: u8) {
        if self.open.is_none_or(|(day, _)| day.date != hour.date) {
            self.close();
        }
        let empty = DayTemps {
            date: hour.date,
            tmin: Temperature::from_c(f64::INFINITY),
            tmax: Temperature::from_c(f64::NEG_INFINITY),
            n_readings: Some(0),
            dusk: None,
        };
        let (day, hours) = self.open.get_or_insert((empty, 0));
        let Some(air) = hour.air else { return };
        day.tmin = day.tmin.min(air);
        day.tmax = day.tmax.max(air);
        day.n_readings = day.n_readings.map(|n| n.saturating_add(1));
        *hours |= 1 << hour.hour;
        if hour.hour == dusk_hour {
            day.dusk = Some(air);
        }
    }

    fn close(&mut self) {
        match self
            .open
            .take()
            .map(|(day, hours)| (day, hours.count_ones()))
        {
            Some((day, n)) if n >= HOURS_NEEDED => self.whole.push(day),
            Some((day, n)) => self.thin.push((day.date, n)),
            None => {}
        }
    }
}
