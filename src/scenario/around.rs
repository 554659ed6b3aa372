//! What surrounds the yard in space and time: pressure, sources, setting, window and settings.

use super::check::{LONGEST_YARD_M, MOST_ON_PLANTS};
use super::file;
use super::notes::Notes;
use super::place::member;
use super::{FromSide, Pressure, Settings, Source, Window};
use crate::catalogue::Pest;
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
        notes.default_used(
            "window.days",
            format!("{usual} days of peak activity"),
            "assumed",
        );
    }
    let days = days.unwrap_or(usual);
    if !(1..=200).contains(&days) {
        notes
            .faults
            .add("window.days", format!("{days} days"), "write 1 to 200");
        return None;
    }
    if let Some(day) = &written.first_day
        && day.parse::<jiff::civil::Date>().is_err()
    {
        notes.faults.add(
            "window.first_day",
            format!("\"{}\" is no date", shortened(day)),
            "write year-month-day, for example \"2026-06-25\"",
        );
    }
    let day_weights = match &written.day_weights {
        None => vec![1.0; days as usize],
        Some(weights) => {
            let sum: f64 = weights.iter().sum();
            if weights.len() != days as usize {
                notes.faults.add(
                    "window.day_weights",
                    format!("{} weights for {days} days", weights.len()),
                    "write one number a day",
                );
                return None;
            }
            if weights.iter().any(|w| *w < 0.0) || !(1e-9..1e12).contains(&sum) {
                notes.faults.add(
                    "window.day_weights",
                    "weights must not be negative, and not all 0",
                    "write relative numbers such as 0.5, 1, 2",
                );
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
) -> Result<file::Window, (&'static str, String, &'static str)> {
    const PATH: &str = "window.flight";
    const MAKE: &str = "make it with \"lurefield season\" and name its season.json";
    if written.day_weights.is_some() {
        let what = "day_weights are given too".to_owned();
        return Err((PATH, what, "keep one of the two"));
    }
    let text = load(name).map_err(|why| (PATH, why, MAKE))?;
    let season: Season = serde_json::from_str(&text)
        .map_err(|e| (PATH, format!("{}: {e}", shortened(name)), MAKE))?;
    let Some(window) = season.window else {
        let what = format!("{} holds no flight of {}", shortened(name), season.pest.id);
        return Err((
            PATH,
            what,
            "use a pest with a model of its flight, or write day_weights",
        ));
    };
    if let Some(pest) = pest
        && pest.id != season.pest.id
    {
        let what = format!(
            "it is about {}, and the scenario about {}",
            season.pest.id, pest.id
        );
        return Err((PATH, what, MAKE));
    }
    if written.days.is_some_and(|days| days != window.days) {
        let what = format!("the season's window has {} days", window.days);
        return Err((
            "window.days",
            what,
            "leave days out, or use season --window-days",
        ));
    }
    if written
        .first_day
        .as_ref()
        .is_some_and(|d| *d != window.first_day)
    {
        let what = format!("the season's window begins on {}", window.first_day);
        return Err((
            "window.first_day",
            what,
            "leave it out, or use season --window-start",
        ));
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
        notes.default_used(
            "settings.summers",
            "as many simulated summers as the answer needs, at most 2,000",
            "more than enough for most yards",
        );
    }
    if written.seed.is_none() {
        notes.default_used("settings.seed", "seed 1", "any number serves");
    }
    let summers = written.summers.unwrap_or(2000);
    if !(1..=1_000_000).contains(&summers) {
        notes.faults.add(
            "settings.summers",
            format!("{summers} summers"),
            "write 1 to 1000000, the most that may be taken",
        );
    }
    let cell_m = written
        .cell
        .as_ref()
        .map_or(Some(0.5), |cell| {
            notes.length(cell, "settings.cell", 0.05, 10.0)
        })
        .unwrap_or(0.5);
    let tie_band = written.tie_band.unwrap_or(1.0);
    if !(0.0..=50.0).contains(&tie_band) {
        notes.faults.add(
            "settings.tie_band",
            format!("a band of {tie_band} points"),
            "write 0 to 50 points of 100",
        );
    }
    let most_insects = written.most_insects.unwrap_or(2_000_000);
    if most_insects == 0 {
        notes.faults.add(
            "settings.most_insects",
            "no insect would be allowed",
            "leave it out, or write 1 or more",
        );
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
    let word = match word {
        file::PressureWord::Light => "light",
        file::PressureWord::Usual => "usual",
        file::PressureWord::Heavy => "heavy",
    };
    let entry = pest
        .pressure
        .get(word)
        .expect("every pest file has the three words; tested");
    let [low, high] = entry.range.unwrap_or([entry.value; 2]);
    notes.default_used(
        path,
        format!(
            "{word}: {low} to {high} {} on your plants at one look",
            pest.short
        ),
        format!("assumed; {}", entry.source),
    );
    Some(Pressure {
        said: word.into(),
        low,
        high,
    })
}

fn read_counted(count: &file::Count, path: &str, notes: &mut Notes) -> Option<Pressure> {
    let (low, high, said) = match count {
        file::Count::One(n) => {
            notes.default_used(
                path,
                format!("{n}, taken as {:.1} to {:.1}", n * 0.7, n * 1.4),
                "assumed: one look is a rough count",
            );
            (n * 0.7, n * 1.4, format!("about {n} at one look"))
        }
        file::Count::Range([low, high]) => (*low, *high, format!("{low} to {high} at one look")),
    };
    if !(low > 0.0 && high >= low) {
        notes.faults.add(
            path,
            format!("{low} to {high} insects"),
            "write a number above 0, the lower end first",
        );
    } else if high > MOST_ON_PLANTS {
        notes.faults.add(
            path,
            format!("{high:.0} insects on the plants at one look"),
            format!("write at most {MOST_ON_PLANTS:.0}"),
        );
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
                    notes.faults.add(
                        &path,
                        format!("\"{}\" has no place", shortened(&source.name)),
                        "add \"at\", or \"bed\" with the name of a crop",
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
                    format!(
                        "{:.1} to {:.1} insects a day from \"{}\"",
                        taken[0], taken[1], source.name
                    ),
                    "assumed: a tenth to a half of what sits on your plants",
                );
                taken
            }
            (None, None) => continue,
        };
        if !(per_day[0] >= 0.0 && per_day[1] >= per_day[0] && per_day[1] <= MOST_ON_PLANTS) {
            notes.faults.add(
                member(&path, "a_day"),
                format!("{} to {} insects a day", per_day[0], per_day[1]),
                "write 0 to 100000, the lower end first",
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

/// Whether the population is isolated, and the width of its land, metres.
pub(crate) fn read_setting(around: Option<&file::Surroundings>, notes: &mut Notes) -> (bool, f64) {
    let isolated = around.and_then(|a| a.setting) == Some(file::Setting::Isolated);
    if around.and_then(|a| a.setting).is_none() {
        notes.default_used(
            "surroundings.setting",
            "open: insects keep arriving from all sides",
            "assumed",
        );
    }
    let margin = around.and_then(|a| a.margin.as_ref());
    if margin.is_none() && isolated {
        notes.default_used(
            "surroundings.margin",
            "100 ft (30 m) of land round the yard share the population",
            "assumed",
        );
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
    if !(1..=20).contains(&count) {
        notes.faults.add(
            "surroundings.seasons",
            format!("{count} seasons"),
            "write 1 to 20",
        );
    }
    if count > 1 && !isolated {
        notes.faults.add(
            "surroundings.seasons",
            "several seasons need a population of its own",
            "add \"setting\": \"isolated\"; in open country each year brings new insects",
        );
    }
    let arrivals = around.and_then(|a| a.arrivals_a_season).unwrap_or(0.0);
    if !(0.0..=10.0).contains(&arrivals) {
        notes.faults.add(
            "surroundings.arrivals_a_season",
            format!("a share of {arrivals}"),
            "write 0 to 10; 0.5 is half of the first season's number",
        );
    }
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
        notes.faults.add(
            path,
            "nothing comes from outside into an isolated yard",
            "leave it out, or leave out \"setting\"",
        );
        return None;
    }
    let from_rad = notes.direction(&written.side, &member(path, "side"))?;
    if written.share.is_none() {
        notes.default_used(
            member(path, "share"),
            "60 of 100 insects that come over the edge come from that side",
            "assumed",
        );
    }
    let share = written.share.unwrap_or(0.6);
    if !(0.0..=1.0).contains(&share) {
        notes.faults.add(
            member(path, "share"),
            format!("a share of {share}"),
            "write 0 to 1",
        );
        return None;
    }
    Some(FromSide {
        bearing_rad: from_rad - up_bearing_rad,
        share,
    })
}
