//! `lurefield report`: results in, pages out. Runs no simulation.

use super::error::CliError;
use super::{files, print};
use crate::report::products::results::{self, FILES, Folder, is_one_summer};
use crate::report::products::{Built, Made, Product, Request, build};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Arguments of `report`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Folder with results, such as output/allotment-beetles; may be given again, for example for a season
    #[arg(long, value_name = "FOLDER", required = true)]
    pub from: Vec<PathBuf>,
    /// What to make: help-desk, handout, slides, class, poll, evidence, tables, animation [default: all]
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub product: Vec<String>,
    /// Plan that the pages are about [default: the first plan that does anything]
    #[arg(long, value_name = "NAME")]
    pub plan: Option<String>,
    /// Language of the pages
    #[arg(long, value_name = "CODE", default_value = "en")]
    pub language: String,
    /// Date to print, as you want it to read; it is never taken from the clock
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub date: String,
    /// Author to print
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub author: String,
    /// Reviewer to print
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub reviewed_by: String,
    /// Filled-in poll-counts.csv, for the result page of the poll
    #[arg(long, value_name = "FILE")]
    pub poll: Option<PathBuf>,
    /// Folder for the pages [default: report inside the first --from folder]
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// No text, only files
    #[arg(long, short)]
    pub quiet: bool,
    /// Print the report's manifest as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
}

/// Reads results, writes pages and says what was made and what could not be.
///
/// # Errors
/// Missing or damaged results, unknown product, plan or language, faulty counts of a poll, a folder that cannot be written.
pub fn run(args: &Args) -> Result<(), CliError> {
    let products = args
        .product
        .iter()
        .map(|name| Product::named(name))
        .collect::<Result<Vec<_>, _>>()
        .map_err(CliError::BadInput)?;
    let poll = args
        .poll
        .as_deref()
        .map(files::read_text)
        .transpose()
        .map_err(CliError::BadInput)?;
    let mut folder = Folder::default();
    for from in &args.from {
        gather(from, &mut folder)?;
    }
    let named = |error: String| {
        let all: Vec<String> = args.from.iter().map(|f| f.display().to_string()).collect();
        if error.starts_with("no results") {
            CliError::BadInput(format!("--from {}: {error}", all.join(" ")))
        } else {
            CliError::BadInput(error)
        }
    };
    let found = results::read(&folder).map_err(named)?;
    let request = Request {
        products,
        language: args.language.clone(),
        date: args.date.clone(),
        author: args.author.clone(),
        reviewed_by: args.reviewed_by.clone(),
        plan: args.plan.clone(),
        poll,
    };
    let made = Made {
        version: env!("CARGO_PKG_VERSION"),
    };
    let built = build(&found, &request, &made).map_err(CliError::BadInput)?;
    let out = args
        .out
        .clone()
        .or_else(|| args.from.first().map(|f| f.join("report")))
        .unwrap_or_else(|| PathBuf::from("output"));
    files::write_results(&out, &built.files)?;
    if args.json {
        let manifest = built.files.last().map(|(_, bytes)| bytes.as_slice());
        return print(&String::from_utf8_lossy(manifest.unwrap_or_default()));
    }
    if args.quiet {
        return Ok(());
    }
    print(&told(&found.found, &built, &out))
}

/// Reads the known files of a folder; a later folder adds what the earlier ones lack.
fn gather(from: &Path, folder: &mut Folder) -> Result<(), CliError> {
    let shown = from.display();
    if !from.exists() {
        return Err(CliError::BadInput(format!(
            "--from {shown}: there is no such folder; results of a run stand in output/<scenario name>"
        )));
    }
    if !from.is_dir() {
        return Err(CliError::BadInput(format!(
            "--from {shown}: this is a file; name the folder that holds summary.json"
        )));
    }
    let inside = |folder: &Path| -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .into_iter()
            .flatten()
            .filter_map(|e| e.ok()?.file_name().into_string().ok())
            .collect();
        names.sort();
        names
    };
    let mut names: Vec<String> = FILES.iter().map(|f| (*f).to_owned()).collect();
    let inputs = inside(&from.join("inputs"));
    names.extend(inputs.iter().map(|name| format!("inputs/{name}")));
    // The recorded summers belong together: those of a later folder would be of another run.
    if !folder.files.keys().any(|name| is_one_summer(name)) {
        names.extend(inside(from).into_iter().filter(|n| is_one_summer(n)));
    }
    for name in names {
        let path = from.join(&name);
        if folder.files.contains_key(&name) || !path.is_file() {
            continue;
        }
        let text = files::read_text(&path).map_err(CliError::BadInput)?;
        folder
            .places
            .insert(name.clone(), path.display().to_string());
        folder.files.insert(name, text);
    }
    kept_scenario(folder);
    Ok(())
}

/// A result folder keeps its scenario under `inputs/`, named after the scenario that the results name.
fn kept_scenario(folder: &mut Folder) {
    let named = |file: &str| {
        let value: serde_json::Value = serde_json::from_str(folder.files.get(file)?).ok()?;
        Some(super::work::kept_scenario(value.get("scenario")?.as_str()?))
    };
    let Some(kept) = named("compare.json").or_else(|| named("summary.json")) else {
        return;
    };
    if !folder.files.contains_key("scenario.json")
        && let Some(text) = folder.files.get(&kept).cloned()
    {
        let place = folder.places.get(&kept).cloned().unwrap_or(kept);
        folder.places.insert("scenario.json".into(), place);
        folder.files.insert("scenario.json".into(), text);
    }
}

/// What was found, made and not made.
fn told(found: &[String], built: &Built, out: &Path) -> String {
    let mut text = format!("Found: {}.\n", found.join(", "));
    for doubt in &built.doubts {
        let _ = writeln!(text, "Note: {doubt}.");
    }
    let _ = writeln!(text, "Made in {}:", out.display());
    for (product, names) in &built.made {
        let _ = writeln!(text, "  {:10} {}", product.name(), names.join(", "));
    }
    for (product, why) in &built.missing {
        let _ = writeln!(text, "Not made: {}, because {why}.", product.name());
    }
    text.push_str("A simulation, not a forecast for your yard.\n");
    text.push_str("Check with your local extension office: dates, thresholds and laws differ.");
    text
}
