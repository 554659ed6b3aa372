//! What surrounds the yard in space and time: pressure, sources, setting, window and settings.

use super::check::{LONGEST_YARD_M, MOST_ON_PLANTS};
use super::error::fault;
use super::file;
use super::notes::Notes;
use super::place::member;
use super::{FromSide, Pressure, Settings, Source, Window};
use crate::catalogue::Pest;
use crate::say::{say, voice};
use crate::units::shortened;
use std::collections::BTreeSet;

/// The days simulated and their weights (mean 1).
pub(crate) fn read_window(
    written: Option<&file::Window>,
    pest: Option<&Pest>,
    load: &dyn Fn(&str) -> Result<String, String>,
    notes: &mut Notes,
) -> Option<Window> {
    let usual = pest.map_or(21, |pest| pest.window_days);
    let empty = file::Window::default();
    let mut filled = written.unwrap_or(&empty).clone();
    if let Some(name) = filled.flight.clone() {
        match flown(&filled, &name, pest, load) {
            Ok(flown) => filled = flown,
            Err((path, what, fix)) => {
                notes.faults.add(path, what, fix);
                return None;
            }
        }
    }
    let written = &filled;
    let days = written
        .days
        .or_else(|| written.day_weights.as_ref().map(|w| w.len() as u32));
    if days.is_none() {
        notes.assumed("window.days", say!("yard.default.days", n = usual));
    }
    let days = days.unwrap_or(usual);
    if !notes
        .faults
        .within("window.days", days, 1..=200, "fault.days")
    {
        return None;
    }
    if let Some(day) = &written.first_day
        && day.parse::<jiff::civil::Date>().is_err()
    {
        fault!(
            notes.faults,
            "window.first_day",
            "fault.no-date",
            text = shortened(day)
        );
    }
    let day_weights = match &written.day_weights {
        None => vec![1.0; days as usize],
        Some(weights) => {
            let sum: f64 = weights.iter().sum();
            if weights.len() != days as usize {
                fault!(
                    notes.faults,
                    "window.day_weights",
                    "fault.weights.count",
                    n = weights.len(),
                    days
                );
                return None;
            }
            if weights.iter().any(|w| *w < 0.0) || !(1e-9..1e12).contains(&sum) {
                fault!(notes.faults, "window.day_weights", "fault.weights.negative");
                return None;
            }
            weights
                .iter()
                .map(|w| w * weights.len() as f64 / sum)
                .collect()
        }
    };
    Some(Window {
        first_day: written.first_day.clone(),
        days,
        day_weights,
    })
}

/// What a scenario needs of a season.
#[derive(serde::Deserialize)]
struct Season {
    pest: SeasonPest,
    window: Option<SeasonWindow>,
}

#[derive(serde::Deserialize)]
struct SeasonPest {
    id: String,
}

#[derive(serde::Deserialize)]
struct SeasonWindow {
    first_day: String,
    days: u32,
    weights: Vec<f64>,
}

/// The window with days and weights of a season, or the path of the fault, what it is, and its remedy.
fn flown(
    written: &file::Window,
    name: &str,
    pest: Option<&Pest>,
    load: &dyn Fn(&str) -> Result<String, String>,
) -> Result<file::Window, (&'static str, String, String)> {
    const PATH: &str = "window.flight";
    let make = || say!("fault.flight.make");
    let fault = |path, key: &str, what: String| Err((path, what, say!(&format!("{key}.fix"))));
    if written.day_weights.is_some() {
        let key = "fault.flight.weights";
        return fault(PATH, key, say!(key));
    }
    let text = load(name).map_err(|why| (PATH, why, make()))?;
    let season: Season = serde_json::from_str(&text)
        .map_err(|e| (PATH, format!("{}: {e}", shortened(name)), make()))?;
    let id = &season.pest.id;
    let Some(window) = season.window else {
        let key = "fault.flight.none";
        return fault(PATH, key, say!(key, name = shortened(name), other = id));
    };
    if let Some(pest) = pest
        && pest.id != *id
    {
        let what = say!("fault.flight.other", name = id, other = pest.id);
        return Err((PATH, what, make()));
    }
    if written.days.is_some_and(|days| days != window.days) {
        let key = "fault.flight.days";
        return fault("window.days", key, say!(key, n = window.days));
    }
    let day = written.first_day.as_ref();
    if day.is_some_and(|d| *d != window.first_day) {
        let key = "fault.flight.first-day";
        return fault("window.first_day", key, say!(key, day = window.first_day));
    }
    Ok(file::Window {
        first_day: Some(window.first_day),
        days: Some(window.days),
        day_weights: Some(window.weights),
        flight: None,
    })
}

/// How to simulate.
pub(crate) fn read_settings(written: Option<&file::Settings>, notes: &mut Notes) -> Settings {
    let empty = file::Settings::default();
    let written = written.unwrap_or(&empty);
    if written.summers.is_none() {
        let (taken, why) = (
            say!("yard.default.summers"),
            say!("yard.default.summers.why"),
        );
        notes.default_used("settings.summers", taken, why);
    }
    if written.seed.is_none() {
        let (taken, why) = (say!("yard.default.seed"), say!("yard.default.seed.why"));
        notes.default_used("settings.seed", taken, why);
    }
    let summers = written.summers.unwrap_or(2000);
    notes
        .faults
        .within("settings.summers", summers, 1..=1_000_000, "fault.summers");
    let cell_m = written
        .cell
        .as_ref()
        .map_or(Some(0.5), |cell| {
            notes.length(cell, "settings.cell", 0.05, 10.0)
        })
        .unwrap_or(0.5);
    let tie_band = written.tie_band.unwrap_or(1.0);
    notes
        .faults
        .within("settings.tie_band", tie_band, 0.0..=50.0, "fault.tie-band");
    let most_insects = written.most_insects.unwrap_or(2_000_000);
    if most_insects == 0 {
        fault!(notes.faults, "settings.most_insects", "fault.most-insects");
    }
    Settings {
        summers,
        seed: written.seed.unwrap_or(1),
        cell_m,
        tie_band,
        most_insects,
    }
}

/// Insects on the plants, in words or as counted.
pub(crate) fn read_pressure(
    around: Option<&file::Surroundings>,
    pest: &Pest,
    notes: &mut Notes,
) -> Option<Pressure> {
    let path = "surroundings.pressure";
    let word = match around.and_then(|a| a.pressure.as_ref()) {
        Some(file::Pressure::Counted(counted)) => {
            return read_counted(
                &counted.on_plants_a_day,
                &member(path, "on_plants_a_day"),
                notes,
            );
        }
        Some(file::Pressure::Word(word)) => *word,
        None => file::PressureWord::Usual,
    };
    let (word, said) = match word {
        file::PressureWord::Light => ("light", "pressure.light"),
        file::PressureWord::Usual => ("usual", "pressure.usual"),
        file::PressureWord::Heavy => ("heavy", "pressure.heavy"),
    };
    let said = voice().get(said);
    let entry = pest
        .pressure
        .get(word)
        .expect("every pest file has the three words; tested");
    let [low, high] = entry.range.unwrap_or([entry.value; 2]);
    notes.default_used(
        path,
        say!(
            "yard.default.pressure",
            word = said,
            low,
            high,
            insects = pest.short
        ),
        say!("yard.default.pressure.why", why = entry.source),
    );
    Some(Pressure {
        said: said.into(),
        low,
        high,
    })
}

fn read_counted(count: &file::Count, path: &str, notes: &mut Notes) -> Option<Pressure> {
    let (low, high, said) = match count {
        file::Count::One(n) => {
            let (a, b) = (format!("{:.1}", n * 0.7), format!("{:.1}", n * 1.4));
            let taken = say!("yard.default.one-count", n, low = a, high = b);
            notes.default_used(path, taken, say!("yard.default.one-count.why"));
            (n * 0.7, n * 1.4, say!("yard.pressure.about", n))
        }
        file::Count::Range([low, high]) => (*low, *high, say!("yard.pressure.range", low, high)),
    };
    if !(low > 0.0 && high >= low) {
        fault!(notes.faults, path, "fault.pressure", low, high);
    } else if high > MOST_ON_PLANTS {
        let (n, limit) = (format!("{high:.0}"), format!("{MOST_ON_PLANTS:.0}"));
        fault!(notes.faults, path, "fault.pressure.high", n, limit);
    } else {
        return Some(Pressure { said, low, high });
    }
    None
}

/// Places nearby that breed insects.
pub(crate) fn read_sources(
    around: Option<&file::Surroundings>,
    pressure: Option<&Pressure>,
    crops: &[super::Crop],
    notes: &mut Notes,
) -> Vec<Source> {
    let mut seen = BTreeSet::new();
    let mut out = Vec::new();
    for (i, source) in around.map_or(&[][..], |a| &a.sources).iter().enumerate() {
        let path = format!("surroundings.sources[{i}]");
        notes.name(&source.name, &member(&path, "name"), &mut seen);
        let bed = source.bed.as_ref().and_then(|name| {
            let found = crops.iter().position(|c| c.name.trim() == name.trim());
            if found.is_none() {
                let names: Vec<&str> = crops.iter().map(|c| c.name.as_str()).collect();
                notes
                    .faults
                    .unknown(member(&path, "bed"), "crop", name, &names);
            }
            found
        });
        let at = match (&source.at, bed) {
            (Some(at), _) => notes.position(at, &member(&path, "at")),
            (None, Some(_)) => Some(crate::geometry::Point::new(0.0, 0.0)),
            (None, None) => {
                if source.bed.is_none() {
                    fault!(
                        notes.faults,
                        &path,
                        "fault.source.no-place",
                        name = shortened(&source.name)
                    );
                }
                None
            }
        };
        let radius_path = member(&path, "radius");
        let radius_m = source.radius.as_ref().map_or(Some(3.048), |r| {
            notes.length(r, &radius_path, 0.1, LONGEST_YARD_M)
        });
        let per_day = match (&source.a_day, pressure) {
            (Some(file::Count::One(n)), _) => [*n, *n],
            (Some(file::Count::Range(range)), _) => *range,
            (None, Some(p)) => {
                let taken = [0.1 * p.low, 0.5 * p.high];
                notes.default_used(
                    member(&path, "a_day"),
                    say!(
                        "yard.default.source",
                        low = format!("{:.1}", taken[0]),
                        high = format!("{:.1}", taken[1]),
                        name = source.name
                    ),
                    say!("yard.default.source.why"),
                );
                taken
            }
            (None, None) => continue,
        };
        if !(per_day[0] >= 0.0 && per_day[1] >= per_day[0] && per_day[1] <= MOST_ON_PLANTS) {
            let [low, high] = per_day;
            fault!(
                notes.faults,
                member(&path, "a_day"),
                "fault.source.a-day",
                low,
                high
            );
        } else if let (Some(at), Some(radius_m)) = (at, radius_m) {
            out.push(Source {
                name: source.name.clone(),
                at,
                radius_m,
                bed,
                per_day_low: per_day[0],
                per_day_high: per_day[1],
            });
        }
    }
    out
}

/// Whether the population is isolated, and the width of its land, meters.
pub(crate) fn read_setting(around: Option<&file::Surroundings>, notes: &mut Notes) -> (bool, f64) {
    let isolated = around.and_then(|a| a.setting) == Some(file::Setting::Isolated);
    if around.and_then(|a| a.setting).is_none() {
        notes.assumed("surroundings.setting", say!("yard.default.open"));
    }
    let margin = around.and_then(|a| a.margin.as_ref());
    if margin.is_none() && isolated {
        notes.assumed("surroundings.margin", say!("yard.default.margin"));
    }
    let margin_m = margin
        .and_then(|m| notes.length(m, "surroundings.margin", 0.0, LONGEST_YARD_M))
        .unwrap_or(30.0);
    (isolated, margin_m)
}

/// Seasons one after the other, and whether chewed leaves call.
pub(crate) fn read_seasons(
    around: Option<&file::Surroundings>,
    isolated: bool,
    notes: &mut Notes,
) -> super::Seasons {
    let count = around.and_then(|a| a.seasons).unwrap_or(1);
    notes
        .faults
        .within("surroundings.seasons", count, 1..=20, "fault.seasons");
    if count > 1 && !isolated {
        fault!(notes.faults, "surroundings.seasons", "fault.seasons.open");
    }
    let arrivals = around.and_then(|a| a.arrivals_a_season).unwrap_or(0.0);
    notes.faults.within(
        "surroundings.arrivals_a_season",
        arrivals,
        0.0..=10.0,
        "fault.arrivals",
    );
    super::Seasons { count, arrivals }
}

/// The side that many insects come from (isolated, bearing of the map's y axis).
pub(crate) fn read_side(
    around: Option<&file::Surroundings>,
    (isolated, up_bearing_rad): (bool, f64),
    notes: &mut Notes,
) -> Option<FromSide> {
    let written = around?.arrivals_from.as_ref()?;
    let path = "surroundings.arrivals_from";
    if isolated {
        fault!(notes.faults, path, "fault.side.isolated");
        return None;
    }
    let from_rad = notes.direction(&written.side, &member(path, "side"))?;
    if written.share.is_none() {
        notes.assumed(member(path, "share"), say!("yard.default.side-share"));
    }
    let share = written.share.unwrap_or(0.6);
    if !notes
        .faults
        .within(member(path, "share"), share, 0.0..=1.0, "fault.side-share")
    {
        return None;
    }
    Some(FromSide {
        bearing_rad: from_rad - up_bearing_rad,
        share,
    })
}
