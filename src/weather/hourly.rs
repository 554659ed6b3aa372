//! Hourly rows, one at a time: local times in order, temperature, wind and sun with their units.

use crate::say::say;
use crate::units::M_PER_S_PER_MPH;
use crate::weather::columns::{self, Found, Holds, SpeedUnit, TemperatureUnit};
use crate::weather::day::{self, shorten};
use crate::weather::error::InputError;
use crate::weather::table::{ReadOptions, Row, Station, Table};
use crate::weather::temperature::Temperature;
use crate::weather::wild::{self, Watch};
use jiff::SignedDuration;
use jiff::civil::{Date, DateTime};
use jiff::fmt::temporal::{DateTimeParser, PiecesOffset};
use std::io::BufRead;

/// Faster than any wind measured in a storm near the ground, metres per second: such a reading is a slip of the instrument.
pub const STRONGEST_M_PER_S: f64 = 60.0;

/// Hours with a direction from which on the whole compass should have been seen (own rule: two weeks).
pub const DIRECTIONS_TO_JUDGE: u64 = 336;

/// One row.
#[derive(Clone, Copy, Debug)]
pub struct Hour {
    /// Local date.
    pub date: Date,
    /// Hour of the local clock.
    pub hour: u8,
    /// Temperature of the air.
    pub air: Option<Temperature>,
    /// Speed of the wind, metres per second.
    pub speed_m_per_s: Option<f64>,
    /// Direction the wind comes from, degrees clockwise from north.
    pub direction_deg: Option<f64>,
    /// Radiation of the sun, watts a square metre.
    pub sun_w_per_m2: Option<f64>,
}

/// What was understood of the rows.
#[derive(Clone, Debug)]
pub struct Hours {
    /// Rows of the station.
    pub rows: u64,
    /// Whether there is a column with the speed of the wind.
    pub has_wind: bool,
    /// Which column was taken for what.
    pub columns: Vec<String>,
    /// Unit of the temperatures and how it was known.
    pub unit: String,
    /// Times that come again when clocks change.
    pub repeated: u64,
    /// Anything odd, and what was done about it.
    pub notes: Vec<String>,
    /// Single readings far from their neighbors, each with its line; they were used as they stand.
    pub wild: Vec<String>,
}

/// Reads hourly rows. What is `needed` must have its column; what is read `also` may.
///
/// # Errors
/// Unknown columns, times that go back or stand twice (but for the hour that a clock change repeats), UTC times without an
/// offset, impossible temperatures, no rows.
pub fn read<R: BufRead>(
    file: &str,
    source: R,
    options: &ReadOptions,
    needed: &[Holds],
    also: &[Holds],
    mut take: impl FnMut(&Hour),
) -> Result<Hours, InputError> {
    let mut table = Table::open(file, source)?;
    let columns = Columns::find(table.header(), options, needed, also)
        .map_err(|what| table.header_fault(what))?;
    let mut station = Station::new(columns.station.as_ref(), options);
    let mut state = State::default();
    let mut watch = Watch::new(wild::HOURS, columns.unit, "wild.reading");
    while let Some(row) = table.next_row()? {
        let line = row.line();
        let fault = |what: String| InputError::line(file, line, what);
        if !station.has(&row).map_err(fault)? {
            continue;
        }
        let text = row.text(columns.time.index);
        let stamp = read_stamp(text, options.utc_offset_h).map_err(fault)?;
        state.check_order(stamp, line, text).map_err(fault)?;
        let value = |column: Option<&Found>| column.map_or(Ok(None), |c| row.value(c));
        let air = value(columns.air.as_ref()).map_err(fault)?;
        if let Some(value) = air {
            watch.take(stamp.local_minutes(), line, value);
        }
        let air = air.map(|value| columns.unit.read_air(value)).transpose();
        let hour = Hour {
            date: stamp.local.date(),
            hour: stamp.local.hour().unsigned_abs(),
            air: air.map_err(fault)?,
            speed_m_per_s: state.speed(&row, &columns).map_err(fault)?,
            direction_deg: state.direction(&row, &columns).map_err(fault)?,
            sun_w_per_m2: value(columns.sun.as_ref()).map_err(fault)?,
        };
        take(&hour);
    }
    let Some(_) = state.last else {
        return Err(table.file_fault(station.none("hourly.no-rows")));
    };
    let (n_directions, highest) = state.directions;
    if n_directions >= DIRECTIONS_TO_JUDGE && highest <= 36.0 {
        return Err(table.file_fault(say!("hourly.tens", tens = highest)));
    }
    Ok(Hours {
        rows: state.rows,
        has_wind: columns.speed.is_some(),
        columns: columns.words(),
        unit: columns.unit_words,
        repeated: state.repeated,
        notes: state.refused.iter().map(refused_words).collect(),
        wild: watch.finish(),
    })
}

fn refused_words(&(n, line, speed): &(u64, u64, f64)) -> String {
    let mph = format!("{:.0}", speed / M_PER_S_PER_MPH);
    say!("hourly.impossible-wind", n, line, mph)
}

struct Columns {
    time: Found,
    air: Option<Found>,
    direction: Option<Found>,
    speed: Option<(Found, SpeedUnit)>,
    sun: Option<Found>,
    station: Option<Found>,
    unit: TemperatureUnit,
    unit_words: String,
}

impl Columns {
    fn find(
        header: &[String],
        options: &ReadOptions,
        needed: &[Holds],
        also: &[Holds],
    ) -> Result<Self, String> {
        let mut lacks = Vec::new();
        let mut find = |holds: Holds, key: &'static str| {
            if !needed.contains(&holds) && !also.contains(&holds) {
                return Ok(None);
            }
            let found = columns::choose(header, holds, &options.named)?;
            if found.is_none() && needed.contains(&holds) {
                lacks.push(key);
            }
            Ok::<_, String>(found)
        };
        let time = find(Holds::HourTime, "hourly.lacks-time")?;
        let air = find(Holds::Temperature, "hourly.lacks-temperature")?;
        let speed = find(Holds::WindSpeed, "hourly.lacks-speed")?;
        let direction = find(Holds::WindDirection, "hourly.lacks-direction")?;
        let sun = find(Holds::Sun, "hourly.lacks-sun")?;
        let Some(time) = time.filter(|_| lacks.is_empty()) else {
            let has = |holds| columns::find(header, holds).is_some();
            let daily = has(Holds::Highest) && has(Holds::Lowest) || has(Holds::Element);
            return Err(if daily {
                say!("hourly.daily")
            } else {
                columns::absent(&lacks, header)
            });
        };
        let (unit, unit_words) = match &air {
            None => (TemperatureUnit::C, String::new()),
            Some(air) => TemperatureUnit::settle(options.unit, air.unit)?
                .ok_or_else(|| say!("hourly.unit", name = shorten(&air.name)))?,
        };
        let speed = speed.map(|found| match found.speed {
            Some(unit) => Ok((found, unit)),
            None => Err(say!("hourly.speed-unit", name = shorten(&found.name))),
        });
        Ok(Self {
            time,
            air,
            direction: direction.filter(|_| speed.is_some()),
            speed: speed.transpose()?,
            sun,
            // A column `id` of an hourly table may number its rows.
            station: columns::find(header, Holds::Station)
                .filter(|found| !found.name.eq_ignore_ascii_case("id")),
            unit,
            unit_words,
        })
    }

    fn words(&self) -> Vec<String> {
        let from = |key: &str, column: &Found| say!(key, name = shorten(&column.name));
        let mut words = vec![from("hourly.time-from", &self.time)];
        let air = self.air.as_ref();
        words.extend(air.map(|c| from("hourly.temperature-from", c)));
        words.extend(self.speed.as_ref().map(|(column, unit)| {
            let name = shorten(&column.name);
            say!("hourly.speed-from", name, unit = unit.words())
        }));
        let direction = self.direction.as_ref();
        words.extend(direction.map(|c| from("hourly.direction-from", c)));
        words
    }
}

/// Local time of a row, and the minutes east of UTC when the text says so.
#[derive(Clone, Copy)]
struct Stamp {
    local: DateTime,
    east_minutes: Option<i64>,
}

impl Stamp {
    /// Minutes of local time since an arbitrary start.
    fn local_minutes(self) -> i64 {
        let days = day::days_between(Date::constant(1970, 1, 1), self.local.date());
        let (hour, minute) = (self.local.hour(), self.local.minute());
        days * 1440 + i64::from(hour) * 60 + i64::from(minute)
    }
}

/// Reads `2013-01-01T01:00:00-05:00`, `2013-01-01 01:00`, with `Z` or an offset or neither.
fn read_stamp(text: &str, utc_offset_h: Option<f64>) -> Result<Stamp, String> {
    let bad = || say!("hourly.no-time", time = shorten(text));
    let plain = text.trim_end_matches("UTC").trim_end_matches("GMT");
    let named_utc = plain != text;
    let join = |text: String, gap: &str| text.replace(gap, &gap[1..]);
    let plain = [" -", " +", " Z"]
        .into_iter()
        .fold(plain.trim_end().to_owned(), join);
    let pieces = DateTimeParser::new().parse_pieces(&plain);
    let pieces = pieces.map_err(|_| bad())?;
    let local = pieces.date().to_datetime(pieces.time().ok_or_else(bad)?);
    let utc = named_utc || pieces.offset() == Some(PiecesOffset::Zulu);
    if !utc {
        let east = pieces.to_numeric_offset();
        return Ok(Stamp {
            local,
            east_minutes: east.map(|o| i64::from(o.seconds()) / 60),
        });
    }
    let hours = utc_offset_h.filter(|h| (-14.0..=14.0).contains(h));
    let minutes = (hours.ok_or_else(|| say!("hourly.utc"))? * 60.0).round() as i64;
    let moved = local.checked_add(SignedDuration::from_mins(minutes));
    Ok(Stamp {
        local: moved.map_err(|_| bad())?,
        east_minutes: Some(minutes),
    })
}

/// Everything that is carried from row to row.
#[derive(Default)]
struct State {
    rows: u64,
    last: Option<(Stamp, u64)>,
    repeated: u64,
    /// Impossible winds: how many, and the line and speed of the first.
    refused: Option<(u64, u64, f64)>,
    /// Hours with a direction, and the highest of them, to notice directions in tens of degrees.
    directions: (u64, f64),
}

impl State {
    /// Times must rise. Without an offset in the text, an hour may come again in the nights when clocks change.
    fn check_order(&mut self, stamp: Stamp, line: u64, text: &str) -> Result<(), String> {
        self.rows += 1;
        let Some((last, last_line)) = self.last.replace((stamp, line)) else {
            return Ok(());
        };
        let (mut now, mut before) = (stamp.local_minutes(), last.local_minutes());
        if let (Some(a), Some(b)) = (stamp.east_minutes, last.east_minutes) {
            (now, before) = (now - a, before - b);
        }
        if now > before {
            return Ok(());
        }
        let clock_change = stamp.east_minutes.is_none()
            && matches!(stamp.local.month(), 3 | 4 | 9 | 10 | 11)
            && stamp.local.hour() <= 3
            && before - now <= 60;
        if clock_change {
            self.repeated += 1;
            return Ok(());
        }
        let time = shorten(text);
        Err(if now == before {
            say!("hourly.twice", time, line = last_line)
        } else {
            say!("hourly.earlier", time, line = last_line)
        })
    }

    /// The speed of the wind; one that cannot be counts as missing.
    fn speed(&mut self, row: &Row<'_>, columns: &Columns) -> Result<Option<f64>, String> {
        let Some((column, unit)) = &columns.speed else {
            return Ok(None);
        };
        let speed = row.value(column)?.map(|value| value * unit.m_per_s());
        let Some(value) = speed.filter(|v| !(0.0..=STRONGEST_M_PER_S).contains(v)) else {
            return Ok(speed);
        };
        self.refused.get_or_insert((0, row.line(), value)).0 += 1;
        Ok(None)
    }

    fn direction(&mut self, row: &Row<'_>, columns: &Columns) -> Result<Option<f64>, String> {
        let column = columns.direction.as_ref();
        let Some(column) = column.filter(|c| !row.text(c.index).eq_ignore_ascii_case("VRB")) else {
            return Ok(None);
        };
        let direction = row.value(column)?;
        if let Some(degrees) = direction {
            if !(0.0..=360.0).contains(&degrees) {
                return Err(say!("hourly.direction", degrees));
            }
            let (n, highest) = self.directions;
            self.directions = (n + 1, highest.max(degrees));
        }
        Ok(direction)
    }
}
