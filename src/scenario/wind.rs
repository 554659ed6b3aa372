//! Wind as known: words, a table of sides or an hourly record.

use super::file::{self, MeasuredAt, Strength};
use super::notes::Notes;
use super::record::{Record, named};
use super::{Wind, WindHour, WindSector, Window};
use crate::catalogue::Pest;
use crate::say::{say, voice};
use crate::units::{M_PER_S_PER_MPH, RADIANS_PER_DEGREE, shortened};
use crate::weather::ReadOptions;
use crate::weather::columns::Holds;
use crate::weather::hourly::{Hour, STRONGEST_M_PER_S};

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
pub(super) const PERSISTENCE: [f64; 2] = [0.4, 0.8];
/// Light wind: mean speed, metres per second, and share of calm hours; assumed.
pub(super) const LIGHT: (f64, f64) = (1.0, 0.3);
/// A yard's wind as a share of that on an open mast of 10 m: the logarithmic profile from 10 m to 1.5 m gives 0.49-0.59 for
/// roughness lengths of 0.25-0.1 m.
const YARD_SHARE: f64 = 0.5;

/// The name of the eighth of a turn that a bearing lies nearest to.
pub fn side_of(bearing_rad: f64) -> &'static str {
    let eighth = (bearing_rad / (45.0 * RADIANS_PER_DEGREE)).round();
    let i = 2 * eighth.rem_euclid(8.0) as usize;
    voice().get(&format!("place.side.{}", SIDES[i]))
}

/// The sixteenth of a turn of a side's name.
pub(crate) fn compass(word: &str) -> Option<u8> {
    let letters = word.chars().filter(char::is_ascii_alphabetic);
    let plain = letters.collect::<String>().to_lowercase();
    let same = |name: &&str| name.replace('-', "") == plain;
    let place = SIDES.iter().position(same);
    place
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
        notes.default_used("wind", say!("winds.unknown"), say!("winds.assumed"));
        return Some(Wind::Unknown);
    };
    match (&wind.usually_from, &wind.sectors, &wind.file) {
        (None, None, None) if wind.strength == Some(Strength::Still) => Some(Wind::Still),
        (Some(_), None, None) => words(wind, notes),
        (None, Some(sectors), None) => table(wind, sectors, notes),
        (None, None, Some(file)) => hours(wind, file, (pest, window), load, notes),
        _ => {
            let (what, fix) = (say!("winds.not-clear"), say!("winds.give-one"));
            notes.add("wind", what, fix);
            None
        }
    }
}

/// Whole days of active hours of a record; a missing hour repeats the one before it.
fn hours(
    wind: &file::Wind,
    file: &str,
    (pest, window): (&Pest, Option<&Window>),
    load: &dyn Fn(&str) -> Result<String, String>,
    notes: &mut Notes,
) -> Option<Wind> {
    let record = Record {
        part: "wind",
        file,
        options: ReadOptions {
            station: wind.station.clone(),
            utc_offset_h: wind.utc_offset,
            named: named(&[
                (Holds::HourTime, &wind.time_column),
                (Holds::WindDirection, &wind.direction_column),
                (Holds::WindSpeed, &wind.speed_column),
            ]),
            ..ReadOptions::default()
        },
        pest,
        window,
    };
    let in_yard = wind.measured_at == Some(MeasuredAt::Yard);
    let scale = if in_yard { 1.0 } else { YARD_SHARE };
    let needed = [Holds::HourTime, Holds::WindDirection, Holds::WindSpeed];
    let read = record.read((&needed, &[]), load, notes, |hour| wind_of(hour, scale))?;
    let (mut days, mut filled, mut left_out) = (Vec::new(), 0, 0);
    for day in read {
        let missing = day.iter().filter(|hour| hour.is_none()).count();
        let first = day.iter().flatten().next().copied();
        let Some(mut last) = first.filter(|_| missing * 4 <= record.active()) else {
            left_out += 1;
            continue;
        };
        filled += missing;
        let mut whole = Vec::with_capacity(day.len());
        for hour in day {
            last = hour.unwrap_or(last);
            whole.push(last);
        }
        days.push(whole);
    }
    if days.is_empty() {
        let (what, fix) = (say!("winds.no-day", file), say!("winds.cover-months"));
        notes.add("wind.file", what, fix);
        return None;
    }
    if filled + left_out > 0 {
        let told = say!("winds.filled", file, filled, left = left_out);
        notes.warnings.push(told);
    }
    if wind.measured_at.is_none() {
        let (taken, source) = (say!("winds.airport"), say!("winds.airport-source"));
        notes.default_used("wind.measured_at", taken, source);
    }
    let said = say!("winds.days", file, n = days.len());
    Some(Wind::Record { said, days })
}

/// The wind of an hour; `None` without a speed.
fn wind_of(hour: &Hour, scale: f64) -> Option<WindHour> {
    let speed_m_per_s = hour.speed_m_per_s? * scale;
    Some(match hour.direction_deg {
        _ if speed_m_per_s == 0.0 => WindHour::Calm,
        None => WindHour::Variable { speed_m_per_s },
        Some(d) => WindHour::Steady {
            from_rad: (d % 360.0) * RADIANS_PER_DEGREE,
            speed_m_per_s,
        },
    })
}

fn words(wind: &file::Wind, notes: &mut Notes) -> Option<Wind> {
    let from = wind.usually_from.as_ref()?;
    let main = notes.direction(from, "wind.usually_from")?;
    let assumed = || say!("winds.assumed");
    if wind.strength.is_none() {
        notes.default_used("wind.strength", say!("winds.light"), assumed());
    }
    let strength = wind.strength.unwrap_or(Strength::Light);
    let (speed, calm, word) = match strength {
        Strength::Still => return Some(Wind::Still),
        Strength::Light => (LIGHT.0, LIGHT.1, say!("winds.light")),
        Strength::Moderate => (2.0, 0.15, say!("winds.moderate")),
        Strength::Strong => (4.0, 0.05, say!("winds.strong")),
    };
    let mph = format!("{:.0}", speed / M_PER_S_PER_MPH);
    let percent = format!("{:.0}", calm * 100.0);
    let (key, strength) = ("winds.taken", &word);
    let taken = say!(key, strength, fast = mph, speed, calm = percent);
    notes.default_used("wind", taken, assumed());
    notes.default_used("wind", say!("winds.shape"), assumed());
    let width_rad = 45.0 * RADIANS_PER_DEGREE;
    let turn = 2.0 * std::f64::consts::PI;
    let sectors = USUALLY.iter().enumerate().map(|(i, share)| WindSector {
        from_rad: (main + i as f64 * width_rad) % turn,
        width_rad,
        share: share * (1.0 - calm),
        speed_m_per_s: speed,
    });
    let said = match from {
        file::Direction::Word(side) => say!("winds.usually", side = shortened(side), strength),
        file::Direction::Degrees(degrees) => say!("winds.usually-degrees", degrees, strength),
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
        let what = say!("winds.sides", n = list.len());
        notes.add("wind.sectors", what, say!("winds.write-sides"));
        return None;
    }
    let on_mast = wind.measured_at == Some(MeasuredAt::Airport);
    let scale = if on_mast { YARD_SHARE } else { 1.0 };
    let calm = wind.calm.unwrap_or(0.0);
    if wind.calm.is_none() {
        notes.default_used("wind.calm", say!("winds.no-calm"), say!("winds.not-said"));
    }
    let mut sectors: Vec<WindSector> = Vec::new();
    for (i, sector) in list.iter().enumerate() {
        let path = |key: &str| format!("wind.sectors[{i}].{key}");
        let Some(from_rad) = notes.direction(&sector.from, &path("from")) else {
            continue;
        };
        if sectors.iter().any(|s| (s.from_rad - from_rad).abs() < 1e-6) {
            let (what, fix) = (say!("winds.twice"), say!("winds.keep-one"));
            notes.add(path("from"), what, fix);
        }
        if sector.share < 0.0 {
            let what = say!("winds.share", share = sector.share);
            notes.add(path("share"), what, say!("winds.write-share"));
        }
        let (what, fix) = match sector.speed.inside() {
            Ok(v) if (0.0..=STRONGEST_M_PER_S).contains(&v) => {
                sectors.push(WindSector {
                    from_rad,
                    width_rad: 0.0,
                    share: sector.share,
                    speed_m_per_s: v * scale,
                });
                continue;
            }
            Ok(speed) => (say!("winds.no-wind", speed), say!("winds.write-speed")),
            Err(what) => (what, say!("winds.write-unit")),
        };
        notes.add(path("speed"), what, fix);
    }
    let sum: f64 = sectors.iter().map(|s| s.share).sum::<f64>() + calm;
    let whole = if sum > 2.0 { 100.0 } else { 1.0 };
    if sectors.len() < list.len() {
        return None;
    }
    if calm < 0.0 || (sum - whole).abs() > 0.02 * whole {
        let what = say!("winds.sum", sum = format!("{sum:.3}"));
        notes.add("wind.sectors", what, say!("winds.make-sum"));
        return None;
    }
    let width_rad = sector_width(&sectors) * RADIANS_PER_DEGREE;
    for s in &mut sectors {
        s.share /= sum;
        s.width_rad = width_rad;
    }
    let said = say!("winds.table", n = sectors.len());
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
