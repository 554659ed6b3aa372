//! `lurefield run`: every plan of a scenario on the same summers.

use super::error::CliError;
use super::work::{Enough, Options};
use crate::count::outcome::Standing;
use crate::{count, study};
use std::path::PathBuf;

/// Arguments of `run`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    pub(super) options: Options,
    #[command(flatten)]
    pub(super) enough: Enough,
}

/// Runs a scenario, writes its files and prints the answer.
///
/// # Errors
/// Faults of the scenario, a refused or stopped run, a folder that cannot be written.
pub fn run(args: &Args) -> Result<(), CliError> {
    answer(args).map(|_| ())
}

/// As [`run`]; the folder of the results, and the number of summers where they did not settle every word.
pub(super) fn answer(args: &Args) -> Result<(PathBuf, Option<u32>), CliError> {
    let options = &args.options;
    let mut job = options.job("run", "run")?;
    let take = args.enough.take(options, &job);
    let most = take.exactly.unwrap_or(take.most);
    job.scenario.settings.summers = most;
    let summers = most.saturating_add(count::prepare::PILOT_SUMMERS);
    let outcome = options.watched(summers, |progress| {
        progress.answering(&job.scenario);
        let prepared = count::prepare::prepare(&job.scenario, progress)?;
        study::run::run_for(&prepared, take, progress)
    })?;
    args.enough.taken(&mut job, outcome.summers);
    let open = (outcome.standing() != Standing::Settled).then_some(outcome.summers);
    let folder = job.folder.clone();
    job.finish(
        options,
        |job| crate::report::run_files(&job.scenario, &outcome, &job.facts),
        ["summary.txt", "summary.json"],
        |_| String::new(),
    )?;
    Ok((folder, open))
}
