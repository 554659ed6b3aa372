//! `lurefield new`: a scenario from a ready yard, or from a few answers a gardener can give.

use super::error::CliError;
use super::{files, print};
use crate::catalogue;
use crate::desk::ready::READY;
use crate::say::{say, translated};
use crate::scenario::answers::{Answers, Refused};
use crate::units::{Dimension, read_quantity};
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
    /// The side of the yard they stand along: north, east, south or west
    #[arg(long)]
    pub side: Option<String>,
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
        let mut notes = Vec::new();
        let answers = answers(args, &mut notes)?;
        (answers.compose().map_err(refused)?, notes)
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
        return Err(refused(Refused::unknown("preset", name, &known)));
    };
    // The schema stands beside the shipped files only.
    let kept: Vec<&str> = text
        .lines()
        .filter(|line| !line.trim_start().starts_with("\"$schema\""))
        .collect();
    Ok(kept.join("\n") + "\n")
}

fn bad(what: String) -> CliError {
    CliError::BadInput(what)
}

fn refused(Refused { answer, why }: Refused) -> CliError {
    bad(format!("--{answer}: {why}"))
}

fn flags(args: &Args) -> [(&'static str, &Option<String>); 9] {
    [
        ("pest", &args.pest),
        ("crop", &args.crop),
        ("width", &args.width),
        ("depth", &args.depth),
        ("plants", &args.plants),
        ("side", &args.side),
        ("trap-distance", &args.trap_distance),
        ("wind", &args.wind),
        ("pressure", &args.pressure),
    ]
}

/// Keys of what a gardener is asked, with the answer taken for an empty line; same order as [`flags`].
const QUESTIONS: [(&str, &str); 9] = [
    ("yard.new.pest", "japanese-beetle"),
    ("yard.new.crop", "raspberry"),
    ("yard.new.width", "60 ft"),
    ("yard.new.depth", "40 ft"),
    ("yard.new.plants", "8"),
    ("yard.new.side", "north"),
    ("yard.new.trap-distance", "10 ft"),
    ("yard.new.wind", "unknown"),
    ("yard.new.pressure", "usual"),
];

/// Answers that were read as feet for want of a unit are noted.
fn answers(args: &Args, notes: &mut Vec<String>) -> Result<Answers, CliError> {
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
    let [
        pest,
        crop,
        width,
        depth,
        plants,
        side,
        distance,
        wind,
        pressure,
    ] = <[String; 9]>::try_from(said).expect("one answer for each question");
    let mut length = |flag: &str, said: &str| length(flag, said, notes);
    Ok(Answers {
        width_m: length("--width", &width)?,
        depth_m: length("--depth", &depth)?,
        plants: plants.parse().map_err(|_| {
            let text = crate::units::shortened(&plants);
            refused(Refused::new("plants", say!("fault.new.plants", text)))
        })?,
        trap_distance_m: length("--trap-distance", &distance)?,
        pest,
        crop,
        side,
        wind,
        pressure,
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
    read_quantity(&text, Dimension::Length).map_err(|what| bad(format!("{flag}: {what}")))
}
