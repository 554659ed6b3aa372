//! Wind as known: words, a table of sides or an hourly record.

use super::file::{self, MeasuredAt, Strength};
use super::notes::Notes;
use super::{Wind, WindSector, Window};
use crate::catalogue::Pest;
use crate::units::{RADIANS_PER_DEGREE, shortened};

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
pub(crate) const YARD_SHARE: f64 = 0.5;
/// Faster than any wind measured in a storm near the ground, metres per second: such a reading is a slip of the instrument.
pub(crate) const IMPOSSIBLE_M_PER_S: f64 = 60.0;

/// The sixteenth of a turn of a side's name.
pub(crate) fn compass(word: &str) -> Option<u8> {
    let plain: String = word
        .trim()
        .to_lowercase()
        .chars()
        .filter(char::is_ascii_alphabetic)
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
            "unknown: light wind that turns through all sides is taken, calm for 30 hours of 100",
            "assumed",
        );
        return Some(Wind::Unknown);
    };
    match (&wind.usually_from, &wind.sectors, &wind.file) {
        (None, None, None) if wind.strength == Some(Strength::Still) => Some(Wind::Still),
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
            super::record::Record {
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
        Strength::Still => return Some(Wind::Still),
        Strength::Light => (LIGHT.0, LIGHT.1, "light"),
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
