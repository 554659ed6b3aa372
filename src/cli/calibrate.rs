//! `lurefield calibrate`: which sets of the unknown numbers reproduce field trials.

use super::error::CliError;
use super::partial::Partial;
use super::work::{self, Options};
use super::{files, folder, print};
use crate::catalogue::calibration::RULES_TEXT;
use crate::catalogue::patterns::PATTERNS_TEXT;
use crate::report::Facts;
use crate::report::calibrate as told;
use crate::report::provenance::sha256;
use crate::say::say;
use crate::study::calibrate::{self, Changes, Task};
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// The part of the folder of results that is this command's.
const PART: &str = "calibrate";
/// Name of the file that keeps unfinished work.
const PARTIAL: &str = "calibration.partial.json";

/// Arguments of `calibrate`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Pest: japanese-beetle or brown-marmorated-stink-bug
    pest: String,
    /// Sets of numbers to try [default: as the rules say, 2000 for the beetle]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(2..=100_000))]
    draws: Option<u32>,
    /// Seed
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Your own ranges: a JSON file with any of pest_values, lure_values and trap_values, as in a scenario
    #[arg(long, value_name = "FILE")]
    priors: Option<PathBuf>,
    /// Threads to use; 0 for one a core. Results are the same for any number
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = clap::value_parser!(u16).range(0..=1024))]
    threads: u16,
    /// Folder for the results [default: output/calibration-PEST]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// No progress and no text, only files
    #[arg(long, short)]
    quiet: bool,
    /// Print the result as JSON on standard output, and nothing else there
    #[arg(long)]
    json: bool,
}

/// Ranges of the asker's own.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(clippy::struct_field_names, reason = "the names of the scenario file")]
struct Priors {
    #[serde(default)]
    pest_values: serde_json::Map<String, serde_json::Value>,
    #[serde(default)]
    lure_values: serde_json::Map<String, serde_json::Value>,
    #[serde(default)]
    trap_values: serde_json::Map<String, serde_json::Value>,
}

/// Runs the calibration, writes its files and prints what was found. Work that was stopped is kept beside the results
/// and taken up by the same command.
///
/// # Errors
/// An unknown pest, wrong ranges, a stopped run, a folder that cannot be written; and, once all files but the data file
/// are written, that no set fits.
pub fn run(args: &Args) -> Result<(), CliError> {
    let (changes, priors) = read_priors(args.priors.as_deref())?;
    let task = read_task(args, &changes)?;
    let out = args
        .out
        .clone()
        .unwrap_or_else(|| Path::new("output").join(format!("calibration-{}", args.pest)));
    folder::ready(&out, PART)?;
    let facts = facts(args, &task, priors.as_deref());
    let points = task.points();
    let path = out.join(PARTIAL);
    let mut partial = Partial::read(path, &fingerprint(&task, &facts), args.quiet).of(points.len());
    let Some(values) = simulate(args, &task, &points, &mut partial)? else {
        return Err(partial.stopped());
    };
    let found = calibrate::judge(&task, &points, &values);
    let mut written = told::files(&task, &found, &points, &values, &facts);
    if let Some(text) = priors {
        written.insert(0, ("inputs/priors.json".into(), text.into_bytes()));
    }
    folder::publish(&out, PART, &written)?;
    partial.remove();
    if args.json {
        print(&told::json(&found))?;
    } else if !args.quiet {
        print(&work::told(told::text(&found), None, &out))?;
    }
    if found.accepted == 0 {
        let shown = out.join(PART).join("calibration.txt");
        return Err(CliError::Failed(say!(
            "calibrate.none",
            shown = shown.display()
        )));
    }
    Ok(())
}

fn read_priors(file: Option<&Path>) -> Result<(Changes, Option<String>), CliError> {
    let Some(file) = file else {
        return Ok((Changes::default(), None));
    };
    let text = files::read_text(file).map_err(CliError::BadInput)?;
    let read: Priors = serde_json::from_str(&text).map_err(|e| {
        let example = r#"{"lure_values": {"LURE": {"reach": ["80 ft", "230 ft"]}}}"#;
        let shown = file.display();
        CliError::BadInput(say!("calibrate.priors", shown, error = e, example))
    })?;
    let whole = |map| serde_json::Value::Object(map).to_string();
    let changes = Changes {
        pest_values: whole(read.pest_values),
        lure_values: whole(read.lure_values),
        trap_values: whole(read.trap_values),
    };
    Ok((changes, Some(text)))
}

fn read_task(args: &Args, changes: &Changes) -> Result<Task, CliError> {
    let draws = args.draws.map(|n| n as usize);
    let Some(task) = Task::of(&args.pest, draws, args.seed, changes) else {
        let all = calibrate::pests().join(", ");
        return Err(CliError::BadInput(say!(
            "calibrate.pest",
            name = args.pest,
            all
        )));
    };
    task.map_err(|faults| {
        let shown = args.priors.as_deref().unwrap_or(Path::new("priors"));
        let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
        CliError::BadInput(format!("{}: {}", shown.display(), said.join("\n")))
    })
}

fn facts(args: &Args, task: &Task, priors: Option<&str>) -> Facts {
    let mut inputs = vec![
        ("patterns.json".to_owned(), sha256(PATTERNS_TEXT.as_bytes())),
        (
            "calibration.json (rules)".to_owned(),
            sha256(RULES_TEXT.as_bytes()),
        ),
    ];
    inputs.extend(priors.map(|text| ("priors.json".to_owned(), sha256(text.as_bytes()))));
    let mut command = vec!["calibrate".to_owned(), args.pest.clone()];
    command.extend(["--draws".into(), task.draws.to_string()]);
    command.extend(["--seed".into(), task.seed.to_string()]);
    if priors.is_some() {
        command.extend(["--priors".into(), "inputs/priors.json".into()]);
    }
    work::facts(String::new(), inputs, command)
}

/// What must be the same for unfinished work to be taken up.
fn fingerprint(task: &Task, facts: &Facts) -> String {
    let same = format!("{facts:?} {:?} {:?}", task.parameters, task.pest);
    sha256(same.as_bytes())
}

fn simulate(
    args: &Args,
    task: &Task,
    points: &[Vec<f64>],
    partial: &mut Partial,
) -> Result<Option<Vec<Vec<f64>>>, CliError> {
    let options = Options {
        file: PathBuf::from(&args.pest),
        summers: None,
        seed: None,
        threads: args.threads,
        out: None,
        quiet: args.quiet,
        json: args.json,
        details: false,
        silent: false,
    };
    let work = u32::try_from(task.work()).unwrap_or(u32::MAX);
    options.kept(work, |progress| {
        calibrate::values(task, points, progress, partial)
    })
}
