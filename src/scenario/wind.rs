//! Wind as known: words, a table of sides or an hourly record.

use super::check::Notes;
use super::file::{self, MeasuredAt, Strength};
use super::{Wind, WindHour, WindSector, Window};
use crate::catalogue::Pest;
use crate::units::{Dimension, RADIANS_PER_DEGREE, read_quantity, shortened};
use std::collections::BTreeMap;

/// Sides in the order of the sixteenths of a turn, clockwise from north.
pub(crate) const SIDES: &[&str] = &[
    "north",
    "north-north-east",
    "north-east",
    "east-north-east",
    "east",
    "east-south-east",
    "south-east",
    "south-south-east",
    "south",
    "south-south-west",
    "south-west",
    "west-south-west",
    "west",
    "west-north-west",
    "north-west",
    "north-north-west",
];
const SHORT: &[&str] = &[
    "n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw",
    "nnw",
];
/// Share of hours in the eight sides, counted from the usual one; an assumed shape of "usually from".
const USUALLY: [f64; 8] = [0.46, 0.15, 0.06, 0.04, 0.04, 0.04, 0.06, 0.15];
/// Chance that an hour keeps the side of the hour before; assumed.
const PERSISTENCE: [f64; 2] = [0.4, 0.8];
/// A yard's wind as a share of that on an open mast of 10 m: the logarithmic profile from 10 m to 1.5 m gives 0.49-0.59 for
/// roughness lengths of 0.25-0.1 m.
const YARD_SHARE: f64 = 0.5;
/// Faster than any wind measured in a storm near the ground, metres per second: such a reading is a slip of the instrument.
const IMPOSSIBLE_M_PER_S: f64 = 60.0;

/// The sixteenth of a turn of a side's name.
pub(crate) fn compass(word: &str) -> Option<u8> {
    let plain: String = word
        .trim()
        .to_lowercase()
        .chars()
        .filter(|c| c.is_ascii_alphabetic())
        .collect();
    let same = |name: &&str| name.replace('-', "") == plain;
    SIDES
        .iter()
        .position(same)
        .or_else(|| SHORT.iter().position(same))
        .map(|i| i as u8)
}

/// Reads the wind; unknown when the file says nothing.
pub(crate) fn read(
    written: Option<&file::Wind>,
    pest: &Pest,
    window: Option<&Window>,
    load: &dyn Fn(&str) -> Result<String, String>,
    notes: &mut Notes,
) -> Option<Wind> {
    let Some(wind) = written else {
        notes.default_used(
            "wind",
            "unknown: the scent of a lure reaches as far on all sides",
            "assumed",
        );
        return Some(Wind::Unknown);
    };
    match (&wind.usually_from, &wind.sectors, &wind.file) {
        (None, None, None) if wind.strength == Some(Strength::Still) => Some(Wind::Unknown),
        (Some(_), None, None) => words(wind, notes),
        (None, Some(sectors), None) => table(wind, sectors, notes),
        (None, None, Some(name)) => {
            let text = match load(name) {
                Ok(text) => text,
                Err(why) => {
                    notes
                        .faults
                        .add("wind.file", why, "give a CSV file beside the scenario");
                    return None;
                }
            };
            Record {
                wind,
                name,
                pest,
                window,
            }
            .read(&text, notes)
        }
        _ => {
            notes.faults.add(
                "wind",
                "the wind is not clear",
                "give one of \"usually_from\", \"sectors\" and \"file\"",
            );
            None
        }
    }
}

fn words(wind: &file::Wind, notes: &mut Notes) -> Option<Wind> {
    let from = wind.usually_from.as_ref()?;
    let main = notes.direction(from, "wind.usually_from")?;
    if wind.strength.is_none() {
        notes.default_used("wind.strength", "light", "assumed");
    }
    let strength = wind.strength.unwrap_or(Strength::Light);
    let (speed, calm, word) = match strength {
        Strength::Still => return Some(Wind::Unknown),
        Strength::Light => (1.0, 0.3, "light"),
        Strength::Moderate => (2.0, 0.15, "moderate"),
        Strength::Strong => (4.0, 0.05, "strong"),
    };
    let taken = format!(
        "{:.0} mph ({speed:.0} m/s) on average, calm for {:.0} hours of 100",
        speed / crate::units::M_PER_S_PER_MPH,
        calm * 100.0
    );
    notes.default_used("wind", format!("{word} wind: {taken}"), "assumed");
    notes.default_used(
        "wind",
        "from the usual side in 46 of 100 hours with wind, from the two beside it in 15 each",
        "assumed",
    );
    let width_rad = 45.0 * RADIANS_PER_DEGREE;
    let turn = 2.0 * std::f64::consts::PI;
    let sectors = USUALLY.iter().enumerate().map(|(i, share)| WindSector {
        from_rad: (main + i as f64 * width_rad) % turn,
        width_rad,
        share: share * (1.0 - calm),
        speed_m_per_s: speed,
    });
    let said = match from {
        file::Direction::Word(side) => format!("usually from {}, {word}", shortened(side)),
        file::Direction::Degrees(d) => format!("usually from {d} degrees, {word}"),
    };
    Some(Wind::Rose {
        said,
        sectors: sectors.collect(),
        calm_share: calm,
        persistence: PERSISTENCE,
    })
}

fn table(wind: &file::Wind, list: &[file::Sector], notes: &mut Notes) -> Option<Wind> {
    if list.is_empty() || list.len() > 16 {
        notes.faults.add(
            "wind.sectors",
            format!("{} sides", list.len()),
            "write 4, 8 or 16 sides; a side left out has no wind",
        );
        return None;
    }
    let scale = if wind.measured_at == Some(MeasuredAt::Airport) {
        YARD_SHARE
    } else {
        1.0
    };
    let calm = wind.calm.unwrap_or(0.0);
    if wind.calm.is_none() {
        notes.default_used("wind.calm", "no calm hours", "the table does not say");
    }
    let mut sectors: Vec<WindSector> = Vec::new();
    for (i, sector) in list.iter().enumerate() {
        let path = format!("wind.sectors[{i}]");
        let Some(from_rad) = notes.direction(&sector.from, &format!("{path}.from")) else {
            continue;
        };
        if sectors.iter().any(|s| (s.from_rad - from_rad).abs() < 1e-6) {
            notes.faults.add(
                format!("{path}.from"),
                "this side is given twice",
                "keep one of them",
            );
        }
        if sector.share < 0.0 {
            notes.faults.add(
                format!("{path}.share"),
                format!("a share of {}", sector.share),
                "write 0 or more",
            );
        }
        let speed = match sector.speed.inside() {
            Ok(v) if (0.0..=IMPOSSIBLE_M_PER_S).contains(&v) => v * scale,
            Ok(v) => {
                notes.faults.add(
                    format!("{path}.speed"),
                    format!("{v} m/s is no wind"),
                    "write a speed such as \"5 mph\"",
                );
                continue;
            }
            Err(what) => {
                notes.faults.add(
                    format!("{path}.speed"),
                    what,
                    "write the number, a space and the unit",
                );
                continue;
            }
        };
        sectors.push(WindSector {
            from_rad,
            width_rad: 0.0,
            share: sector.share,
            speed_m_per_s: speed,
        });
    }
    let sum: f64 = sectors.iter().map(|s| s.share).sum::<f64>() + calm;
    let whole = if sum > 2.0 { 100.0 } else { 1.0 };
    if sectors.len() < list.len() {
        return None;
    }
    if calm < 0.0 || (sum - whole).abs() > 0.02 * whole {
        let fix = "make the shares of the sides and \"calm\" add up to 1, or to 100";
        notes.faults.add(
            "wind.sectors",
            format!("shares and calm add up to {sum:.3}"),
            fix,
        );
        return None;
    }
    let width_rad = sector_width(&sectors) * RADIANS_PER_DEGREE;
    for s in &mut sectors {
        s.share /= sum;
        s.width_rad = width_rad;
    }
    let said = format!("table of {} sides", sectors.len());
    Some(Wind::Rose {
        said,
        sectors,
        calm_share: calm / sum,
        persistence: PERSISTENCE,
    })
}

/// Degrees of one side: the widest of 90, 45 and 22.5 whose compass holds every side given.
fn sector_width(sectors: &[WindSector]) -> f64 {
    let fits = |width: f64| {
        sectors.iter().all(|s| {
            let turns = s.from_rad / (width * RADIANS_PER_DEGREE);
            (turns - turns.round()).abs() < 1e-6
        })
    };
    // Four sides of eight are more often a table of eight with gaps than a table of four.
    match sectors.len() {
        4 if fits(90.0) => 90.0,
        n if n <= 8 && fits(45.0) => 45.0,
        _ => 22.5,
    }
}

struct Record<'a> {
    wind: &'a file::Wind,
    name: &'a str,
    pest: &'a Pest,
    window: Option<&'a Window>,
}

/// Columns of a wind record.
struct Columns {
    time: usize,
    direction: usize,
    speed: usize,
    factor: f64,
}

impl Record<'_> {
    fn read(&self, text: &str, notes: &mut Notes) -> Option<Wind> {
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
        let mut hours: BTreeMap<(jiff::civil::Date, u8), WindHour> = BTreeMap::new();
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
        let found = match named {
            Some(name) => all.iter().position(|h| *h == name),
            None => {
                let has = |hint: &&str| {
                    all.iter()
                        .position(|h| h.to_lowercase().split(['_', ' ']).any(|part| part == *hint))
                };
                hints.iter().find_map(has)
            }
        };
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
    ) -> Result<Option<((jiff::civil::Date, u8), WindHour)>, String> {
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
    fn days(
        &self,
        hours: &BTreeMap<(jiff::civil::Date, u8), WindHour>,
        notes: &mut Notes,
    ) -> Option<Wind> {
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
