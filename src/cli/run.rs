//! `lurefield run`: every plan of a scenario on the same summers.

use super::error::CliError;
use super::work::Options;
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
    job.finish(
        options,
        |job| crate::report::run_files(&job.scenario, &outcome, &job.facts),
        ["summary.txt", "summary.json"],
        |_, _| String::new(),
    )
}
