//! `lurefield run`: every plan of a scenario on the same summers.

use super::error::CliError;
use super::work::Options;
use super::{files, print};
use crate::tally;

/// Arguments of `run`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    options: Options,
}

/// Runs a scenario, writes its files and prints the answer.
///
/// # Errors
/// Faults of the scenario, a refused or stopped run, a folder that cannot be written.
pub fn run(args: &Args) -> Result<(), CliError> {
    let options = &args.options;
    let job = options.job("run")?;
    let summers = job.scenario.settings.summers + tally::prepare::PILOT_SUMMERS;
    let outcome = options.watched(summers, |progress| {
        let prepared = tally::prepare::prepare(&job.scenario, progress)?;
        tally::run::run(&prepared, progress)
    })?;
    let written = crate::report::run_files(&job.scenario, &outcome, &job.facts);
    let text = |name: &str| -> String {
        let found = written
            .iter()
            .find(|(n, _)| n == name)
            .map(|(_, bytes)| bytes.as_slice());
        String::from_utf8_lossy(found.unwrap_or_default()).into_owned()
    };
    let shown = if options.json {
        text("summary.json")
    } else {
        text("summary.txt")
    };
    let folder = job.folder.clone();
    files::write_results(&folder, &job.with_inputs(written))?;
    if options.json {
        return print(&shown);
    }
    if options.quiet { Ok(()) } else { print(&shown) }
}
