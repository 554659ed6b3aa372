//! `lurefield evidence`: the model against field patterns.

use super::error::CliError;
use super::work::{self, Options};
use super::{folder, print};
use crate::catalogue::calibration::RULES_TEXT;
use crate::catalogue::ensemble::ENSEMBLES;
use crate::catalogue::patterns::{ADDED_TEXT, FIELD_TEXT, PATTERNS_TEXT};
use crate::report::Facts;
use crate::report::provenance::{run_manifest, sha256};
use crate::study::patterns;
use std::path::PathBuf;

/// The part of the folder of results that is this command's.
const PART: &str = "evidence";

/// Arguments of `evidence`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Number of summers for each layout
    #[arg(long, value_name = "N", default_value_t = 120, value_parser = clap::value_parser!(u32).range(2..=100_000))]
    summers: u32,
    /// Seed
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Threads to use; 0 for one a core. Results are the same for any number
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = clap::value_parser!(u16).range(0..=1024))]
    threads: u16,
    /// Folder for the results
    #[arg(long, value_name = "FOLDER", default_value = "output/evidence")]
    out: PathBuf,
    /// No progress and no text, only files
    #[arg(long, short)]
    quiet: bool,
    /// Print the result as JSON on standard output, and nothing else there
    #[arg(long)]
    json: bool,
}

/// Runs the patterns, writes the report and prints it. A pattern that fails is a result, not a failure of the command.
///
/// # Errors
/// A stopped run; a folder that cannot be written.
pub fn run(args: &Args) -> Result<(), CliError> {
    folder::ready(&args.out, PART)?;
    let options = Options {
        file: PathBuf::from("evidence"),
        summers: Some(args.summers),
        seed: Some(args.seed),
        threads: args.threads,
        out: Some(args.out.clone()),
        quiet: args.quiet,
        json: args.json,
        details: false,
        silent: false,
    };
    let found = options.watched(patterns::work(args.summers), |progress| {
        patterns::run(args.summers, args.seed, progress)
    })?;
    let mut written = crate::report::evidence::files(&found);
    let manifest = run_manifest(&facts(args), args.seed, None, &written);
    written.push(("manifest.json".into(), manifest.into_bytes()));
    folder::publish(&args.out, PART, &written)?;
    if args.json {
        return print(&crate::report::evidence::json(&found));
    }
    if args.quiet {
        return Ok(());
    }
    let text = crate::report::evidence::text(&found);
    print(&work::told(text, None, &args.out))
}

/// What makes the same report again: the command, and the compiled-in files that it rests on.
fn facts(args: &Args) -> Facts {
    let hash = |name: &str, text: &str| (name.to_owned(), sha256(text.as_bytes()));
    let mut inputs = vec![
        hash("patterns.json", PATTERNS_TEXT),
        hash("patterns-added.json", ADDED_TEXT),
        hash("patterns-field.json", FIELD_TEXT),
        hash("calibration.json (rules)", RULES_TEXT),
    ];
    for (pest, text) in ENSEMBLES {
        inputs.push(hash(&format!("ensemble {pest}"), text));
    }
    let mut command = vec!["evidence".to_owned()];
    command.extend(["--summers".into(), args.summers.to_string()]);
    command.extend(["--seed".into(), args.seed.to_string()]);
    work::facts(String::new(), inputs, command)
}
