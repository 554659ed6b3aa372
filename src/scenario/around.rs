//! What surrounds the yard in space and time: pressure, sources, setting, window and settings.

use super::check::{LONGEST_YARD_M, MOST_ON_PLANTS};
use super::error::fault;
use super::file;
use super::notes::Notes;
use super::place::member;
use super::{FromSide, Pressure, Settings, Source, Window};
use crate::catalogue::{Mover, Pest};
use crate::say::{say, voice};
use crate::units::{as_written, shortened};

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
                notes.add(path, what, fix);
                return None;
            }
        }
    }
    let written = &filled;
    let told = written.day_weights.as_ref().map(|w| w.len() as u32);
    let days = written.days.or(told);
    if days.is_none() {
        notes.assumed("window.days", say!("yard.default.days", n = usual));
    }
    let days = days.unwrap_or(usual);
    if !notes.within("window.days", days, 1..=200, "fault.days") {
        return None;
    }
    if let Some(day) = &written.first_day
        && day.parse::<jiff::civil::Date>().is_err()
    {
        let text = shortened(day);
        fault!(notes, "window.first_day", "fault.no-date", text);
    }
    let even = vec![1.0; days as usize];
    let weights = written.day_weights.as_ref().unwrap_or(&even);
    let (n, sum) = (weights.len(), weights.iter().sum::<f64>());
    if n != days as usize {
        fault!(notes, "window.day_weights", "fault.weights.count", n, days);
        return None;
    }
    if weights.iter().any(|w| *w < 0.0) || !(1e-9..1e12).contains(&sum) {
        fault!(notes, "window.day_weights", "fault.weights.negative");
        return None;
    }
    Some(Window {
        first_day: written.first_day.clone(),
        days,
        day_weights: weights.iter().map(|w| w * n as f64 / sum).collect(),
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
        notes.default_said("settings.summers", "yard.default.summers");
    }
    if written.seed.is_none() {
        notes.default_said("settings.seed", "yard.default.seed");
    }
    let summers = written.summers.unwrap_or(2000);
    notes.within("settings.summers", summers, 1..=1_000_000, "fault.summers");
    let cell = written.cell.as_ref();
    let cell_m = cell.and_then(|cell| notes.length(cell, "settings.cell", 0.05, 10.0));
    let tie_band = written.tie_band.unwrap_or(1.0);
    notes.within("settings.tie_band", tie_band, 0.0..=50.0, "fault.tie-band");
    let most_insects = written.most_insects.unwrap_or(2_000_000);
    if most_insects == 0 {
        fault!(notes, "settings.most_insects", "fault.most-insects");
    }
    Settings {
        summers,
        seed: written.seed.unwrap_or(1),
        cell_m: cell_m.unwrap_or(0.5),
        tie_band,
        most_insects,
    }
}

/// Insects on the plants, in words or as counted.
pub(crate) fn read_pressure(
    around: &file::Surroundings,
    pest: &Pest,
    notes: &mut Notes,
) -> Option<Pressure> {
    let path = "surroundings.pressure";
    let word = match &around.pressure {
        Some(file::Pressure::Counted(counted)) => {
            let path = member(path, "on_plants_a_day");
            return read_counted(&counted.on_plants_a_day, &path, notes);
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
    let insects = &pest.short;
    let key = pest.guild.about("yard.default.pressure");
    let taken = say!(&key, word = said, low, high, insects);
    let why = say!("yard.default.pressure.why", why = entry.source);
    notes.default_used(path, taken, why);
    Some(Pressure {
        said: said.into(),
        low,
        high,
    })
}

fn read_counted(count: &file::Count, path: &str, notes: &mut Notes) -> Option<Pressure> {
    let (low, high, said) = match count {
        file::Count::One(n) => {
            let [low, high] = [n * 0.7, n * 1.4].map(as_written);
            let taken = say!("yard.default.one-count", n, low, high);
            notes.default_used(path, taken, say!("yard.default.one-count.why"));
            (n * 0.7, n * 1.4, say!("yard.pressure.about", n))
        }
        file::Count::Range([low, high]) => (*low, *high, say!("yard.pressure.range", low, high)),
    };
    if !(low > 0.0 && high >= low) {
        fault!(notes, path, "fault.pressure", low, high);
    } else if high > MOST_ON_PLANTS {
        let (n, limit) = (format!("{high:.0}"), format!("{MOST_ON_PLANTS:.0}"));
        fault!(notes, path, "fault.pressure.high", n, limit);
    } else {
        return Some(Pressure { said, low, high });
    }
    None
}

/// Places nearby that breed insects.
pub(crate) fn read_sources(
    list: &[file::Source],
    pressure: Option<&Pressure>,
    crops: &[super::Crop],
    notes: &mut Notes,
) -> Vec<Source> {
    let read = |source: &file::Source, name: String, path: &str, notes: &mut Notes| {
        let bed = source.bed.as_ref().and_then(|name| {
            let found = crops.iter().position(|c| c.name.trim() == name.trim());
            if found.is_none() {
                let names: Vec<&str> = crops.iter().map(|c| c.name.as_str()).collect();
                notes.unknown(member(path, "bed"), "crop", name, &names);
            }
            found
        });
        let at = match &source.at {
            Some(at) => notes.position(at, &member(path, "at")),
            None => bed.map(|_| crate::geometry::Point::new(0.0, 0.0)),
        };
        if source.at.is_none() && source.bed.is_none() {
            let name = shortened(&name);
            fault!(notes, path, "fault.source.no-place", name);
        }
        let radius_path = member(path, "radius");
        let radius_m = source.radius.as_ref().map_or(Some(3.048), |r| {
            notes.length(r, &radius_path, 0.1, LONGEST_YARD_M)
        });
        let path = member(path, "a_day");
        let [low, high] = match (&source.a_day, pressure) {
            (Some(file::Count::One(n)), _) => [*n, *n],
            (Some(file::Count::Range(range)), _) => *range,
            (None, pressure) => {
                let taken = [0.1 * pressure?.low, 0.5 * pressure?.high];
                let [low, high] = taken.map(as_written);
                let said = say!("yard.default.source", low, high, name);
                notes.default_used(&path, said, say!("yard.default.source.why"));
                taken
            }
        };
        if !(low >= 0.0 && high >= low && high <= MOST_ON_PLANTS) {
            fault!(notes, path, "fault.source.a-day", low, high);
            return None;
        }
        Some(Source {
            name,
            at: at?,
            radius_m: radius_m?,
            bed,
            per_day_low: low,
            per_day_high: high,
        })
    };
    let all = notes.each(list, "surroundings.sources", &[], |s| &s.name, read);
    all.into_iter().flatten().collect()
}

/// Whether the population is isolated, and the width of its land, meters.
pub(crate) fn read_setting(
    around: &file::Surroundings,
    pest: Option<&Pest>,
    notes: &mut Notes,
) -> (bool, f64) {
    let isolated = around.setting == Some(file::Setting::Isolated);
    // Crawlers have a yard of their own, whatever is said of the land round it.
    let crawls = pest.is_some_and(|pest| pest.mover == Mover::Crawler);
    if around.setting.is_none() && !crawls {
        notes.assumed("surroundings.setting", say!("yard.default.open"));
    }
    let margin = around.margin.as_ref();
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
    around: &file::Surroundings,
    isolated: bool,
    notes: &mut Notes,
) -> super::Seasons {
    let count = around.seasons.unwrap_or(1);
    notes.within("surroundings.seasons", count, 1..=20, "fault.seasons");
    if count > 1 && !isolated {
        fault!(notes, "surroundings.seasons", "fault.seasons.open");
    }
    let arrivals = around.arrivals_a_season.unwrap_or(0.0);
    notes.within(
        "surroundings.arrivals_a_season",
        arrivals,
        0.0..=10.0,
        "fault.arrivals",
    );
    super::Seasons { count, arrivals }
}

/// The side that many insects come from (isolated, bearing of the map's y axis).
pub(crate) fn read_side(
    around: &file::Surroundings,
    (isolated, up_bearing_rad): (bool, f64),
    notes: &mut Notes,
) -> Option<FromSide> {
    let written = around.arrivals_from.as_ref()?;
    let path = "surroundings.arrivals_from";
    if isolated {
        fault!(notes, path, "fault.side.isolated");
        return None;
    }
    let from_rad = notes.direction(&written.side, &member(path, "side"))?;
    if written.share.is_none() {
        notes.assumed(member(path, "share"), say!("yard.default.side-share"));
    }
    let share = written.share.unwrap_or(0.6);
    if !notes.within(member(path, "share"), share, 0.0..=1.0, "fault.side-share") {
        return None;
    }
    Some(FromSide {
        bearing_rad: from_rad - up_bearing_rad,
        share,
    })
}
