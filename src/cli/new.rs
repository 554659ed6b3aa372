//! `lurefield new`: a scenario from a ready yard, or from a few answers a gardener can give.

use super::error::CliError;
use super::{files, print};
use crate::catalogue;
use crate::desk::ready::READY;
use crate::say::{say, translated};
use crate::scenario::error::{did_you_mean, nearest};
use crate::units::{Dimension, feet, read_quantity};
use std::io::{BufRead, IsTerminal, Write};
use std::path::PathBuf;

/// Arguments of `new`.
#[derive(Debug, Default, clap::Args)]
pub struct Args {
    /// File to write
    #[arg(required_unless_present = "list")]
    pub file: Option<PathBuf>,
    /// List the ready scenarios
    #[arg(long)]
    pub list: bool,
    /// Start from a ready scenario
    #[arg(long, value_name = "NAME")]
    pub preset: Option<String>,
    /// Write over a file that is there already
    #[arg(long)]
    pub force: bool,
    /// The pest, for example japanese-beetle
    #[arg(long)]
    pub pest: Option<String>,
    /// Yard from west to east, for example "60 ft"
    #[arg(long)]
    pub width: Option<String>,
    /// Yard from south to north, for example "40 ft"
    #[arg(long)]
    pub depth: Option<String>,
    /// The plants that matter, for example raspberry
    #[arg(long)]
    pub crop: Option<String>,
    /// How many of them, in one row
    #[arg(long)]
    pub plants: Option<String>,
    /// Distance from the row to the trap you think of, for example "10 ft"
    #[arg(long, value_name = "LENGTH")]
    pub trap_distance: Option<String>,
    /// The side the wind usually comes from, or unknown, or still
    #[arg(long)]
    pub wind: Option<String>,
    /// How many of the pest: light, usual or heavy
    #[arg(long)]
    pub pressure: Option<String>,
}

/// Answers that make a scenario.
struct Answers {
    pest: String,
    crop: String,
    width_m: f64,
    depth_m: f64,
    plants: u32,
    trap_distance_m: f64,
    wind: String,
    pressure: String,
    /// Answers that were read as feet for want of a unit.
    notes: Vec<String>,
}

/// Writes a new scenario, or lists the ready ones.
///
/// # Errors
/// An answer that makes no scenario, a file that is there already, or a failure to write.
pub fn run(args: &Args) -> Result<(), CliError> {
    if args.list {
        return print(&list());
    }
    let Some(path) = &args.file else {
        return Err(bad(say!("fault.new.no-file")));
    };
    let (text, mut told) = if let Some(name) = &args.preset {
        (preset(name, args)?, Vec::new())
    } else {
        let answers = answers(args)?;
        (compose(&answers)?, answers.notes)
    };
    // Whatever is written must read.
    let shown = path.display().to_string();
    crate::scenario::read(&text, &shown, &|_| Err(say!("fault.new.names-no-file")))
        .map_err(CliError::Faults)?;
    files::write_atomic(path, text.as_bytes(), args.force)?;
    told.push(say!("yard.new.written", file = shown));
    print(&told.join("\n"))
}

fn list() -> String {
    let title = |text: &str| -> String {
        let value: serde_json::Value = serde_json::from_str(text).unwrap_or_default();
        translated(value["title"].as_str().unwrap_or_default()).to_owned()
    };
    let lines: Vec<String> = READY
        .iter()
        .map(|(name, text)| format!("{name:28} {}", title(text)))
        .collect();
    lines.join("\n")
}

fn preset(name: &str, args: &Args) -> Result<String, CliError> {
    if let Some((flag, _)) = flags(args).iter().find(|(_, value)| value.is_some()) {
        return Err(bad(say!("fault.new.preset-and", flag)));
    }
    let Some((_, text)) = READY.iter().find(|(known, _)| *known == name) else {
        let known: Vec<&str> = READY.iter().map(|(known, _)| *known).collect();
        return Err(unknown("--preset", name, &known));
    };
    // The schema stands beside the shipped files only.
    let kept: Vec<&str> = text
        .lines()
        .filter(|line| !line.trim_start().starts_with("\"$schema\""))
        .collect();
    Ok(kept.join("\n") + "\n")
}

fn unknown(place: &str, name: &str, known: &[&str]) -> CliError {
    let near = nearest(name, known).map(|near| did_you_mean(&near));
    let what = say!("fault.unknown.name", name = crate::units::shortened(name));
    let list = say!("fault.known", list = known.join(", "));
    let parts: Vec<String> = [Some(what), near, Some(list)]
        .into_iter()
        .flatten()
        .collect();
    bad(format!("{place}: {}", parts.join("; ")))
}

fn bad(what: String) -> CliError {
    CliError::BadInput(what)
}

fn flags(args: &Args) -> [(&'static str, &Option<String>); 8] {
    [
        ("pest", &args.pest),
        ("crop", &args.crop),
        ("width", &args.width),
        ("depth", &args.depth),
        ("plants", &args.plants),
        ("trap-distance", &args.trap_distance),
        ("wind", &args.wind),
        ("pressure", &args.pressure),
    ]
}

/// Keys of what a gardener is asked, with the answer taken for an empty line; same order as [`flags`].
const QUESTIONS: [(&str, &str); 8] = [
    ("yard.new.pest", "japanese-beetle"),
    ("yard.new.crop", "raspberry"),
    ("yard.new.width", "60 ft"),
    ("yard.new.depth", "40 ft"),
    ("yard.new.plants", "8"),
    ("yard.new.trap-distance", "10 ft"),
    ("yard.new.wind", "unknown"),
    ("yard.new.pressure", "usual"),
];

fn answers(args: &Args) -> Result<Answers, CliError> {
    let flags = flags(args);
    let any = flags.iter().any(|(_, value)| value.is_some());
    let ask = !any && std::io::stdin().is_terminal() && std::io::stderr().is_terminal();
    if !any && !ask {
        return Err(bad(say!("fault.new.nothing")));
    }
    let mut said = Vec::new();
    for ((_, given), (question, usual)) in flags.iter().zip(QUESTIONS) {
        said.push(match given {
            Some(answer) => answer.clone(),
            None if ask => ask_one(question, usual)?,
            None => usual.to_string(),
        });
    }
    let [pest, crop, width, depth, plants, distance, wind, pressure] =
        <[String; 8]>::try_from(said).expect("one answer for each of eight questions");
    let mut notes = Vec::new();
    let mut length = |flag: &str, said: &str| length(flag, said, &mut notes);
    Ok(Answers {
        width_m: length("--width", &width)?,
        depth_m: length("--depth", &depth)?,
        plants: plants
            .parse()
            .ok()
            .filter(|n| (1..=500).contains(n))
            .ok_or_else(|| {
                let text = crate::units::shortened(&plants);
                bad(say!("fault.new.plants", text))
            })?,
        trap_distance_m: length("--trap-distance", &distance)?,
        pest,
        crop,
        wind,
        pressure,
        notes,
    })
}

fn ask_one(question: &str, usual: &str) -> Result<String, CliError> {
    let known = match question {
        "yard.new.pest" => format!(" ({})", catalogue::ids(catalogue::PESTS).join(", ")),
        "yard.new.crop" => format!(" ({})", catalogue::ids(catalogue::CROPS).join(", ")),
        _ => String::new(),
    };
    let question = format!("{}{known}", say!(question));
    let failed = |error: std::io::Error| CliError::Failed(say!("fault.new.cannot-ask", error));
    let mut out = std::io::stderr().lock();
    write!(out, "{question} [{usual}] ")
        .and_then(|()| out.flush())
        .map_err(failed)?;
    let mut line = String::new();
    if std::io::stdin()
        .lock()
        .read_line(&mut line)
        .map_err(failed)?
        == 0
    {
        return Err(bad(say!("fault.new.stopped")));
    }
    let line = line.trim();
    Ok(if line.is_empty() {
        usual.to_string()
    } else {
        line.to_string()
    })
}

/// A length in feet when no unit is given, which is noted: gardeners answer in feet.
fn length(flag: &str, said: &str, notes: &mut Vec<String>) -> Result<f64, CliError> {
    let n = said.trim();
    let text = if n.parse::<f64>().is_ok() {
        notes.push(say!("yard.new.feet", flag, n));
        format!("{n} ft")
    } else {
        said.to_string()
    };
    let metres =
        read_quantity(&text, Dimension::Length).map_err(|what| bad(format!("{flag}: {what}")))?;
    if metres > 0.0 && metres <= crate::scenario::check::LONGEST_YARD_M {
        Ok(metres)
    } else {
        let text = crate::units::shortened(said);
        Err(bad(say!("fault.new.length", flag, text)))
    }
}

fn whole_feet(metres: f64) -> String {
    format!("{:.0}", feet(metres))
}

/// The scenario of the answers: a row across the yard, the trap south of its middle, and one in the far corner.
fn compose(a: &Answers) -> Result<String, CliError> {
    let Some(pest) = catalogue::pest(&a.pest) else {
        return Err(unknown(
            "--pest",
            &a.pest,
            &catalogue::ids(catalogue::PESTS),
        ));
    };
    let Some(kind) = catalogue::crop(&a.crop) else {
        return Err(unknown(
            "--crop",
            &a.crop,
            &catalogue::ids(catalogue::CROPS),
        ));
    };
    let words = ["light", "usual", "heavy"];
    if !words.contains(&a.pressure.as_str()) {
        return Err(unknown("--pressure", &a.pressure, &words));
    }
    let row_m = f64::from(a.plants - 1) * kind.spacing.central();
    if row_m > a.width_m {
        let (ft, yard_ft) = (whole_feet(row_m), whole_feet(a.width_m));
        return Err(bad(say!("fault.new.row", n = a.plants, ft, yard_ft)));
    }
    let row_y_m = (0.75 * a.depth_m).max(a.trap_distance_m);
    if row_y_m > a.depth_m {
        let (ft, yard_ft) = (whole_feet(a.trap_distance_m), whole_feet(a.depth_m));
        return Err(bad(say!("fault.new.trap-distance", ft, yard_ft)));
    }
    // Rounding to inches must not push anything over the fence, so the edges are cut down to whole inches.
    let ft = |m: f64| format!("{:.2} ft", (feet(m) * 100.0 + 1e-9).floor() / 100.0);
    let wall = |m: f64| format!("{:.2} ft", (feet(m) * 100.0).ceil() / 100.0);
    let middle = 0.5 * a.width_m;
    let trap = |name: &str, x: f64, y: f64| serde_json::json!({ "name": name, "at": [ft(x), ft(y)], "kind": catalogue::usual_trap(&pest.id), "lure": catalogue::usual_lure(&pest.id) });
    let corner = if a.width_m > 1.5 && a.depth_m > 1.5 {
        0.5
    } else {
        0.0
    };
    let mut plans = vec![
        serde_json::json!({ "name": say!("yard.plan.none"), "traps": [] }),
        serde_json::json!({ "name": say!("yard.new.plan.row"), "traps": [trap(&say!("yard.new.trap.near"), middle, row_y_m - a.trap_distance_m)] }),
        serde_json::json!({ "name": say!("yard.new.plan.corner"), "traps": [trap(&say!("yard.new.trap.corner"), corner, corner)] }),
    ];
    plans.extend(alternatives(&pest));
    let mut value = serde_json::json!({
        "format": 1,
        "title": say!("yard.new.title", plants = kind.plural),
        "note": say!("yard.new.note"),
        "yard": { "width": wall(a.width_m), "depth": wall(a.depth_m) },
        "crops": [{
            "name": kind.plural, "kind": kind.id,
            "row": { "from": [ft(middle - 0.5 * row_m), ft(row_y_m)], "to": [ft(middle + 0.5 * row_m), ft(row_y_m)], "count": a.plants }
        }],
        "surroundings": { "pressure": a.pressure },
        "pest": pest.id,
        "plans": plans
    });
    match a.wind.to_ascii_lowercase().as_str() {
        "unknown" => {
            value["note"] = say!("yard.new.note.wind").into();
        }
        "still" => value["wind"] = serde_json::json!({ "strength": "still" }),
        _ => value["wind"] = serde_json::json!({ "usually_from": a.wind, "strength": "light" }),
    }
    let text = serde_json::to_string_pretty(&value).map_err(|e| CliError::Failed(e.to_string()))?;
    Ok(text + "\n")
}

/// What could be done instead of a trap: a "no" needs an alternative in the same table.
fn alternatives(pest: &catalogue::Pest) -> Vec<serde_json::Value> {
    use catalogue::{Guild, Mover};
    let mut plans = Vec::new();
    let sits = matches!(pest.guild, Guild::Chewer | Guild::Piercer);
    if sits {
        let (name, time) = if pest.mover == Mover::Crawler {
            ("yard.new.plan.dark", "22:00")
        } else {
            ("yard.new.plan.dusk", "19:00")
        };
        plans.push(serde_json::json!({ "name": say!(name), "methods": [{ "method": "hand-removal", "times": [time] }] }));
    }
    if pest.guild != Guild::Visitor && pest.mover == Mover::Flyer {
        // A hole narrower than the narrowest of them, in tenths of a millimeter, and safe for wildlife.
        let body = &pest.values.body_width;
        let narrowest_mm = body.range.map_or(body.value, |r| r[0]);
        let mesh_mm = ((10.0 * narrowest_mm).ceil() - 1.0).clamp(1.0, 50.0) / 10.0;
        plans.push(serde_json::json!({
            "name": say!("yard.new.plan.net"),
            "methods": [{ "method": "row-cover", "mesh_mm": mesh_mm }]
        }));
    }
    plans
}
