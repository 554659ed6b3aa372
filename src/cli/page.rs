//! `lurefield page`: the page that holds the whole program, as one file with a yard in it.

use super::error::CliError;
use super::work::Options;
use super::{folder, print};
use crate::report::products::page::safe_json;
use crate::report::provenance::Manifest;
use crate::say::{say, voice};
use serde_json::json;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// The page without a yard; `src/page/build.sh` builds it.
const PAGE: &str = include_str!("../../output/lurefield.html");
/// Where the yard goes.
const SLOT: &str = r#"<script type="application/json" id="yard"></script>"#;

/// Arguments of `page`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Scenario file
    file: PathBuf,
    /// Folder for the results [default: output/SCENARIO]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Print nothing
    #[arg(long, short)]
    quiet: bool,
}

/// Writes the page with the yard, and the weather files that it names, inside.
///
/// # Errors
/// Faults of the scenario, a folder that cannot be written.
pub fn run(args: &Args) -> Result<(), CliError> {
    let options = Options {
        file: args.file.clone(),
        out: args.out.clone(),
        quiet: args.quiet,
        ..Options::default()
    };
    let mut job = options.job("page", "page")?;
    job.facts.command.truncate(1);
    let name = job.scenario.name.clone();
    let inputs: BTreeMap<&String, &String> = job.inputs.iter().map(|(n, t)| (n, t)).collect();
    let language = voice().get("language");
    let yard = json!({ "name": name, "text": job.text, "inputs": inputs, "language": language });
    let yard = safe_json(&yard.to_string());
    let filled = SLOT.replace("></", &format!(">{yard}</"));
    let file = format!("{name}.html");
    let mut written = vec![(file.clone(), PAGE.replacen(SLOT, &filled, 1).into_bytes())];
    written.push(Manifest::new(&job.facts, Some(&job.scenario), &written).file());
    let out = job.folder.clone();
    folder::publish(&out, "page", &job.with_inputs(written))?;
    if args.quiet {
        return Ok(());
    }
    let page = out.join("page").join(file);
    print(&say!("yard.page-written", page = page.display()))
}
