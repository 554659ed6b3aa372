//! Hourly rows reduced to days and to a wind rose while they are read, so that decades fit in little memory.

use crate::season::columns::{self, Found, Holds, SpeedUnit, TemperatureUnit};
use crate::season::day::{self, shorten};
use crate::season::error::SeasonError;
use crate::season::table::{Row, Table};
use crate::season::temperature::Temperature;
use crate::season::weather::{COLDEST_C, DayTemps, HOTTEST_C, Record, Understood};
use crate::season::wild::{self, Watch};
use crate::season::wind_rose::{WindFilter, WindRose, WindTally};
use jiff::civil::Date;
use std::io::BufRead;

/// Hours with a temperature that a day needs, so that its extremes count (own rule: three quarters of a day).
pub const HOURS_NEEDED: u32 = 18;
/// Highest wind speed believed, metres per second (the record gust is 113 m/s, from memory).
pub const STRONGEST_M_PER_S: f64 = 113.0;

/// Hours with a direction from which on the whole compass should have been seen (own rule: two weeks).
pub const DIRECTIONS_TO_JUDGE: u64 = 336;

/// Settings of the hourly reader.
#[derive(Clone, Debug, Default)]
pub struct HourlyOptions {
    /// Unit of the temperatures, when the user says it.
    pub unit: Option<TemperatureUnit>,
    /// Hours to add to times marked UTC, so that days are local days.
    pub utc_offset_h: Option<f64>,
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

/// Local time of a row.
#[derive(Clone, Copy, Debug)]
struct Stamp {
    date: Date,
    day_number: i64,
    hour: u8,
    /// Minutes of local time since an arbitrary start.
    local_minutes: i64,
    /// Minutes east of UTC, when the text says so.
    offset_minutes: Option<i64>,
    marked_utc: bool,
}

/// A day under construction.
struct OpenDay {
    date: Date,
    low: f64,
    high: f64,
    n: u16,
    hours: u32,
    dusk: Option<f64>,
}

struct Columns {
    time: Found,
    temperature: Found,
    direction: Option<Found>,
    speed: Option<Found>,
    unit: TemperatureUnit,
    unit_words: String,
    speed_unit: SpeedUnit,
}

/// Reads hourly rows.
///
/// Days are local calendar days: the date as written, or shifted from UTC by `utc_offset_h`. A day needs 18 different hours
/// with a temperature.
///
/// # Errors
/// Unknown columns, times that go back or stand twice (but for the hour that a clock change repeats), UTC times without an offset,
/// impossible temperatures, no rows.
pub fn read_hourly<R: BufRead>(
    file: &str,
    source: R,
    options: &HourlyOptions,
) -> Result<HourlyRecord, SeasonError> {
    let mut table = Table::open(file, source)?;
    let columns = find_columns(&table, options)?;
    let (scale, divisor) = columns.unit.scale();
    let mut state = State::new(options, columns.unit);
    let file_name = file.to_string();
    let mut shift_cache = None;
    while let Some(row) = table.next_row()? {
        let line = row.line();
        let fault = |what: String| SeasonError::line(&file_name, line, what);
        let stamp =
            read_stamp(row.text(columns.time.index), options, &mut shift_cache).map_err(fault)?;
        state
            .check_order(&stamp, line, row.text(columns.time.index))
            .map_err(fault)?;
        let temperature = row.number(columns.temperature.index).map_err(|what| {
            fault(format!(
                "column `{}`: {what}",
                shorten(&columns.temperature.name)
            ))
        })?;
        if let Some(value) = temperature {
            let t = Temperature::from_scale(value / divisor, scale).c();
            if !(COLDEST_C..=HOTTEST_C).contains(&t) {
                let words = columns.unit.words();
                return Err(fault(format!(
                    "{value} in {words} is impossible for air; check the value or the unit"
                )));
            }
        }
        state.take_temperature(&stamp, line, temperature);
        state
            .take_wind(&row, &columns, &stamp, line)
            .map_err(fault)?;
    }
    state.close_day();
    state.finish(&table, &columns, |value| {
        Temperature::from_scale(value / divisor, scale)
    })
}

fn find_columns<R: BufRead>(
    table: &Table<R>,
    options: &HourlyOptions,
) -> Result<Columns, SeasonError> {
    let header = table.header();
    let time = columns::find(header, Holds::HourTime);
    let temperature = columns::find(header, Holds::Temperature);
    let (Some(time), Some(temperature)) = (time, temperature) else {
        return Err(table.header_fault(format!(
            "an hourly table needs a time (`time`) and a temperature (`temp_f` or `temp_c`); the columns found are {}",
            table.header_words()
        )));
    };
    let (unit, unit_words) = match (options.unit, temperature.unit) {
        (Some(said), None | Some(TemperatureUnit::C)) => {
            (said, format!("{} (as you said)", said.words()))
        }
        (Some(said), Some(named)) if said == named => {
            (said, format!("{} (as you said)", said.words()))
        }
        (Some(said), Some(named)) => {
            let what = format!(
                "the column name says {}, but --unit says {}; correct one",
                named.words(),
                said.words()
            );
            return Err(table.header_fault(what));
        }
        (None, Some(named)) => (named, format!("{} (from the column name)", named.words())),
        (None, None) => {
            let what = format!(
                "the unit of `{}` is not in its name; rename it `temp_f` or `temp_c`, or add --unit f or --unit c",
                shorten(&temperature.name)
            );
            return Err(table.header_fault(what));
        }
    };
    let direction = columns::find(header, Holds::WindDirection);
    let speed = columns::find(header, Holds::WindSpeed);
    let speed_unit = match &speed {
        Some(found) => found.speed.ok_or_else(|| {
            table.header_fault(format!(
                "the unit of `{}` is not in its name; rename it `wind_mph`, `wind_kt`, `wind_kmh` or `wind_ms`",
                shorten(&found.name)
            ))
        })?,
        None => SpeedUnit::Ms,
    };
    Ok(Columns {
        time,
        temperature,
        direction,
        speed,
        unit,
        unit_words,
        speed_unit,
    })
}

/// Reads `2013-01-01T01:00:00-05:00`, `2013-01-01 01:00`, with `Z` or an offset or neither.
fn read_stamp(
    text: &str,
    options: &HourlyOptions,
    cache: &mut Option<(Date, i64)>,
) -> Result<Stamp, String> {
    let bad = || {
        format!(
            "`{}` is no time; write times as 2014-05-08T14:00",
            shorten(text)
        )
    };
    let bytes = text.as_bytes();
    if bytes.len() < 13 || !text.is_ascii() || !(bytes[10] == b'T' || bytes[10] == b' ') {
        return Err(bad());
    }
    let two = |at: usize| -> Result<i64, String> {
        match (bytes.get(at), bytes.get(at + 1)) {
            (Some(a), Some(b)) if a.is_ascii_digit() && b.is_ascii_digit() => {
                Ok(i64::from((a - b'0') * 10 + (b - b'0')))
            }
            _ => Err(bad()),
        }
    };
    let (year, month, of_month) = (two(0)? * 100 + two(2)?, two(5)?, two(8)?);
    if bytes[4] != b'-' || bytes[7] != b'-' {
        return Err(bad());
    }
    let hour = two(11)?;
    let minute = if bytes.get(13) == Some(&b':') {
        two(14)?
    } else {
        0
    };
    if hour > 23 || minute > 59 {
        return Err(format!(
            "`{}` has no such hour or minute; hours run from 00 to 23",
            shorten(text)
        ));
    }
    // Consecutive rows share their day, so the calendar is asked once a day.
    let date = match cache {
        Some((date, _))
            if [
                i64::from(date.year()),
                i64::from(date.month()),
                i64::from(date.day()),
            ] == [year, month, of_month] =>
        {
            *date
        }
        _ => {
            let date = day::make(year as u32, month as u32, of_month as u32)?;
            *cache = Some((date, day::days_between(EPOCH, date)));
            date
        }
    };
    let day_number = cache.as_ref().map_or(0, |(_, n)| *n);
    let tail = text[13..]
        .trim_start_matches(|c: char| c == ':' || c == '.' || c.is_ascii_digit())
        .trim();
    let (offset_minutes, marked_utc) = match tail {
        "" => (None, false),
        "Z" | "z" | "UTC" | "GMT" => (Some(0), true),
        _ => {
            let tail_bytes = tail.as_bytes();
            let sign = match tail_bytes[0] {
                b'+' => 1,
                b'-' => -1,
                _ => return Err(bad()),
            };
            let digits: Vec<i64> = tail_bytes[1..]
                .iter()
                .filter(|b| b.is_ascii_digit())
                .map(|b| i64::from(b - b'0'))
                .collect();
            match digits[..] {
                [a, b] => (Some(sign * (a * 10 + b) * 60), false),
                [a, b, c, d] => (Some(sign * ((a * 10 + b) * 60 + c * 10 + d)), false),
                _ => return Err(bad()),
            }
        }
    };
    let stamp = Stamp {
        date,
        day_number,
        hour: hour as u8,
        local_minutes: day_number * 1440 + hour * 60 + minute,
        offset_minutes,
        marked_utc,
    };
    match (stamp.marked_utc, options.utc_offset_h) {
        (true, None) => Err(
            "the times are marked UTC, so days would be cut at the wrong hour; add --utc-offset, for example --utc-offset -5".into(),
        ),
        (true, Some(hours)) => Ok(shifted(stamp, (hours * 60.0).round() as i64)),
        (false, _) => Ok(stamp),
    }
}

const EPOCH: Date = Date::constant(1970, 1, 1);

fn shifted(stamp: Stamp, minutes: i64) -> Stamp {
    let local = stamp.local_minutes + minutes;
    let day_number = local.div_euclid(1440);
    let date = day::plus(stamp.date, day_number - stamp.day_number);
    Stamp {
        date,
        day_number,
        hour: (local.rem_euclid(1440) / 60) as u8,
        local_minutes: local,
        offset_minutes: Some(minutes),
        marked_utc: true,
    }
}

/// Everything that is carried from row to row.
struct State {
    rows: u64,
    last: Option<(Stamp, u64)>,
    open: Option<OpenDay>,
    days: Vec<DayTempsRaw>,
    thin_days: Vec<(Date, u32)>,
    repeated_hours: u64,
    wind: WindTally,
    wind_refused: Vec<(u64, f64)>,
    /// Hours with a direction, and the highest of them, to notice directions in tens of degrees.
    directions: (u64, f64),
    dusk_hour: u8,
    watch: Watch,
}

struct DayTempsRaw {
    date: Date,
    low: f64,
    high: f64,
    n: u16,
    dusk: Option<f64>,
}

impl State {
    fn new(options: &HourlyOptions, unit: TemperatureUnit) -> Self {
        Self {
            rows: 0,
            last: None,
            open: None,
            days: Vec::new(),
            thin_days: Vec::new(),
            repeated_hours: 0,
            wind: WindTally::new(options.wind),
            wind_refused: Vec::new(),
            directions: (0, 0.0),
            dusk_hour: options.dusk_hour,
            watch: Watch::new(wild::HOURS, unit, "reading"),
        }
    }

    /// Times must rise. Without an offset in the text, an hour may come again in the nights when clocks change.
    fn check_order(&mut self, stamp: &Stamp, line: u64, text: &str) -> Result<(), String> {
        self.rows += 1;
        if let Some((last, last_line)) = self.last {
            let (now, before) = match (stamp.offset_minutes, last.offset_minutes) {
                (Some(a), Some(b)) => (stamp.local_minutes - a, last.local_minutes - b),
                _ => (stamp.local_minutes, last.local_minutes),
            };
            let clock_change = stamp.offset_minutes.is_none()
                && matches!(stamp.date.month(), 3 | 4 | 9 | 10 | 11)
                && stamp.hour <= 3
                && before - now <= 60;
            if now == before && !clock_change {
                return Err(format!(
                    "the time `{}` stands twice (also on line {last_line}); keep one row",
                    shorten(text)
                ));
            }
            if now < before && !clock_change {
                return Err(format!(
                    "the time `{}` is earlier than on line {last_line}; sort the rows by time",
                    shorten(text)
                ));
            }
            if now <= before {
                self.repeated_hours += 1;
            }
        }
        self.last = Some((*stamp, line));
        Ok(())
    }

    fn take_temperature(&mut self, stamp: &Stamp, line: u64, value: Option<f64>) {
        if let Some(value) = value {
            self.watch.take(stamp.local_minutes, line, value);
        }
        if self
            .open
            .as_ref()
            .is_none_or(|open| open.date != stamp.date)
        {
            self.close_day();
            self.open = Some(OpenDay {
                date: stamp.date,
                low: f64::INFINITY,
                high: f64::NEG_INFINITY,
                n: 0,
                hours: 0,
                dusk: None,
            });
        }
        if let (Some(open), Some(value)) = (&mut self.open, value) {
            open.low = open.low.min(value);
            open.high = open.high.max(value);
            open.n = open.n.saturating_add(1);
            open.hours |= 1 << stamp.hour;
            if stamp.hour == self.dusk_hour {
                open.dusk = Some(value);
            }
        }
    }

    fn close_day(&mut self) {
        let Some(open) = self.open.take() else { return };
        if open.hours.count_ones() >= HOURS_NEEDED {
            let OpenDay {
                date,
                low,
                high,
                n,
                dusk,
                ..
            } = open;
            self.days.push(DayTempsRaw {
                date,
                low,
                high,
                n,
                dusk,
            });
        } else {
            self.thin_days.push((open.date, open.hours.count_ones()));
        }
    }

    fn take_wind(
        &mut self,
        row: &Row<'_>,
        columns: &Columns,
        stamp: &Stamp,
        line: u64,
    ) -> Result<(), String> {
        let Some(speed_column) = &columns.speed else {
            return Ok(());
        };
        let speed = row
            .number(speed_column.index)
            .map_err(|what| format!("column `{}`: {what}", shorten(&speed_column.name)))?
            .map(|value| value * columns.speed_unit.m_per_s());
        if let Some(value) = speed.filter(|v| *v < 0.0 || *v > STRONGEST_M_PER_S) {
            self.wind_refused.push((line, value));
        }
        let speed = speed.filter(|v| (0.0..=STRONGEST_M_PER_S).contains(v));
        let direction = match &columns.direction {
            Some(column) => {
                let text = row.text(column.index);
                if text.eq_ignore_ascii_case("VRB") {
                    None
                } else {
                    row.number(column.index)
                        .map_err(|what| format!("column `{}`: {what}", shorten(&column.name)))?
                }
            }
            None => None,
        };
        if let Some(degrees) = direction.filter(|d| !(0.0..=360.0).contains(d)) {
            return Err(format!(
                "the wind direction {degrees} lies outside 0 to 360 degrees; correct it"
            ));
        }
        if let Some(degrees) = direction {
            self.directions = (self.directions.0 + 1, self.directions.1.max(degrees));
        }
        self.wind.take(stamp.date, stamp.hour, speed, direction);
        Ok(())
    }

    fn finish<R: BufRead>(
        self,
        table: &Table<R>,
        columns: &Columns,
        to_temperature: impl Fn(f64) -> Temperature,
    ) -> Result<HourlyRecord, SeasonError> {
        if self.rows == 0 {
            return Err(
                table.file_fault("there are column names but no rows of data; add one row an hour")
            );
        }
        let days: Vec<DayTemps> = self
            .days
            .iter()
            .map(|d| DayTemps {
                date: d.date,
                tmin: to_temperature(d.low),
                tmax: to_temperature(d.high),
                n_readings: Some(d.n),
                dusk: d.dusk.map(&to_temperature),
            })
            .collect();
        let Some((first, last)) = days.first().zip(days.last()) else {
            return Err(table.file_fault(format!(
                "no day has {HOURS_NEEDED} hours with a temperature; is the table really hourly? use --daily for daily rows"
            )));
        };
        let (n_directions, highest) = self.directions;
        if n_directions >= DIRECTIONS_TO_JUDGE && highest <= 36.0 {
            return Err(table.file_fault(format!(
                "no wind direction is above {highest}, as if they were in tens of degrees; multiply them by 10"
            )));
        }
        let understood = Understood {
            file: table.file().into(),
            rows: self.rows,
            first_day: first.date.to_string(),
            last_day: last.date.to_string(),
            days: days.len(),
            columns: column_words(columns),
            unit: columns.unit_words.clone(),
            notes: self.notes(),
            wild: self.watch.finish(),
        };
        let wind = columns.speed.is_some().then(|| self.wind.finish());
        Ok(HourlyRecord {
            daily: Record { days, understood },
            wind,
        })
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = vec![format!(
            "hours were reduced to days: lowest and highest reading of each local day with {HOURS_NEEDED} hours or more"
        )];
        if let Some((date, hours)) = self.thin_days.first() {
            notes.push(format!(
                "days with too few hours, counted as missing: {} (first: {date} with {hours})",
                self.thin_days.len()
            ));
        }
        if self.repeated_hours > 0 {
            notes.push(format!(
                "{} times come again when clocks change; both readings were used",
                self.repeated_hours
            ));
        }
        if let Some((line, value)) = self.wind_refused.first() {
            notes.push(format!(
                "impossible wind speeds, counted as missing: {} (line {line}: {:.0} mph)",
                self.wind_refused.len(),
                value / crate::units::M_PER_S_PER_MPH
            ));
        }
        notes
    }
}

fn column_words(columns: &Columns) -> Vec<String> {
    let mut words = vec![
        format!("time from `{}`", shorten(&columns.time.name)),
        format!("temperature from `{}`", shorten(&columns.temperature.name)),
    ];
    if let Some(speed) = &columns.speed {
        words.push(format!(
            "wind speed from `{}` in {}",
            shorten(&speed.name),
            columns.speed_unit.words()
        ));
    }
    if let Some(direction) = &columns.direction {
        words.push(format!(
            "direction the wind comes from, from `{}`",
            shorten(&direction.name)
        ));
    }
    words
}
