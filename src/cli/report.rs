//! `lurefield report`: results in, pages out. Runs no simulation.

use super::error::CliError;
use super::{files, folder, print, work};
use crate::report::products::overview::PARTS;
use crate::report::products::results::{self, FILES, Folder, Refused, Repeat, is_one_summer};
use crate::report::products::{Built, Made, Product, Request, build};
use crate::report::provenance::Manifest;
use crate::report::words::repeat_line;
use crate::say::{say, voice};
use std::path::{Path, PathBuf};

/// Arguments of `report`.
#[derive(Debug, Default, clap::Args)]
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
    /// Folder of results that the pages go into [default: the first --from folder]
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// No text, only files
    #[arg(long, short)]
    pub quiet: bool,
    /// Print the report's manifest as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
}

/// Writes the paragraph for the help desk from the results of a folder, and says nothing.
///
/// # Errors
/// As [`run`].
pub(super) fn help_desk(folder: &Path) -> Result<(), CliError> {
    run(&Args {
        from: vec![folder.to_owned()],
        product: vec![Product::HelpDesk.name().to_owned()],
        quiet: true,
        ..Args::default()
    })
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
    let named = |error: Refused| {
        let all: Vec<String> = args.from.iter().map(|f| f.display().to_string()).collect();
        match error {
            Refused::Nothing(what) => {
                CliError::BadInput(format!("--from {}: {what}", all.join(" ")))
            }
            Refused::Fault(what) => CliError::BadInput(what),
        }
    };
    let found = results::read(&folder).map_err(named)?;
    let request = Request {
        products,
        language: voice().get("language").into(),
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
        .or_else(|| args.from.first().map(|from| whole(from)))
        .unwrap_or_else(|| PathBuf::from("output"));
    folder::publish(&out, "report", &built.files)?;
    if args.json {
        let manifest = built.files.last().map(|(_, bytes)| bytes.as_slice());
        return print(&String::from_utf8_lossy(manifest.unwrap_or_default()));
    }
    if args.quiet {
        return Ok(());
    }
    let text = told(&found.found, &built, &out);
    print(&work::told(text, None, &out))
}

/// Where results stand in a folder of results: in the part of their command, or all beside one another, as before 0.7.
const PLACES: [&str; 5] = ["compare", "run", "place", "season", ""];

/// Reads the known files of a folder; a later folder adds what the earlier ones lack.
fn gather(from: &Path, folder: &mut Folder) -> Result<(), CliError> {
    let shown = from.display();
    if !from.exists() {
        return Err(CliError::BadInput(say!("from.none", path = shown)));
    }
    if !from.is_dir() {
        return Err(CliError::BadInput(say!("from.is-file", shown)));
    }
    // The recorded summers belong together: those of a later folder would be of another run.
    let mut recorded = folder.files.keys().any(|name| is_one_summer(name));
    for place in PLACES {
        let at = from.join(place);
        let mut names: Vec<String> = FILES.iter().map(|f| (*f).to_owned()).collect();
        let inputs = inside(&at.join("inputs"));
        names.extend(inputs.iter().map(|name| format!("inputs/{name}")));
        let summers: Vec<String> = inside(&at)
            .into_iter()
            .filter(|n| is_one_summer(n))
            .collect();
        if recorded {
            names.retain(|n| !is_one_summer(n));
        } else {
            recorded = !summers.is_empty();
            names.extend(summers);
        }
        for name in names {
            let path = at.join(&name);
            if folder.files.contains_key(&name) || !path.is_file() {
                continue;
            }
            let text = files::read_text(&path).map_err(CliError::BadInput)?;
            folder
                .places
                .insert(name.clone(), path.display().to_string());
            folder.files.insert(name, text);
        }
        let manifests: &[&str] = match place {
            "compare" | "run" => &[Manifest::NAME],
            "" => &["compare-manifest.json", Manifest::NAME],
            _ => &[],
        };
        for name in manifests {
            if folder.repeat.is_none() && at.join(name).is_file() {
                let manifest = Path::new(place).join(name).display().to_string();
                folder.repeat = Some(Repeat {
                    says: "footer.repeat",
                    line: repeat_line(&manifest),
                });
            }
        }
    }
    kept_scenario(folder);
    Ok(())
}

/// The folder of results that a part of it stands in; any other folder itself.
fn whole(from: &Path) -> PathBuf {
    let part = PARTS.iter().any(|(name, _)| from.ends_with(name));
    match from.parent() {
        Some(out) if part && from.join(Manifest::NAME).is_file() => match out.to_str() {
            Some("") => PathBuf::from("."),
            _ => out.to_path_buf(),
        },
        _ => from.to_path_buf(),
    }
}

/// The names of what a folder holds.
fn inside(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .filter_map(|e| e.ok()?.file_name().into_string().ok())
        .collect();
    names.sort();
    names
}

/// A part of the results keeps its scenario under `inputs/`, named after the scenario that the results name.
fn kept_scenario(folder: &mut Folder) {
    let named = |file: &str| {
        let value: serde_json::Value = serde_json::from_str(folder.files.get(file)?).ok()?;
        Some(work::kept_scenario(value.get("scenario")?.as_str()?))
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
    let mut lines = vec![say!("report.found", files = found.join(", "))];
    lines.extend(built.doubts.iter().map(|doubt| say!("report.doubt", doubt)));
    let at = out.join("report");
    lines.push(say!("report.made", shown = at.display()));
    for (product, names) in &built.made {
        lines.push(format!("  {:10} {}", product.name(), names.join(", ")));
    }
    for (product, why) in &built.missing {
        lines.push(say!("report.not-made", product = product.name(), why));
    }
    lines.extend([say!("caution.forecast"), say!("caution.local")]);
    lines.join("\n")
}
