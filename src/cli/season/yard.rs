//! How often to empty the traps of a plan: the upkeep of a yard, simulated.

use super::Args;
use crate::cli::CliError;
use crate::cli::work::Options;
use crate::count::prepare::{PILOT_SUMMERS, prepare};
use crate::say::say;
use crate::scenario::Scenario;
use crate::scenario::error::nearest;
use crate::study::upkeep::study;
use std::path::Path;

/// Summers when the command does not say: each is lived once for every interval.
const USUAL_SUMMERS: u32 = 200;

/// Simulates every interval, writes the files and prints the answer.
///
/// # Errors
/// Faults of the scenario, a plan without a trap, a stopped run, a folder that cannot be written.
pub(super) fn run(args: &Args, file: &Path) -> Result<(), CliError> {
    let options = Options {
        file: file.to_path_buf(),
        summers: args.summers,
        seed: args.seed,
        threads: args.threads,
        out: args.out.clone(),
        quiet: args.quiet,
        json: args.json,
        details: args.details,
        silent: false,
    };
    let mut job = options.job("season", "emptying")?;
    if args.summers.is_none() {
        let settings = &mut job.scenario.settings;
        settings.summers = settings.summers.min(USUAL_SUMMERS);
        job.facts.command[2] = settings.summers.to_string();
    }
    let plan = plan(&job.scenario, args.plan.as_deref())
        .map_err(|what| CliError::BadInput(format!("{}: {what}", file.display())))?;
    job.facts
        .command
        .extend(["--plan".to_owned(), job.scenario.plans[plan].name.clone()]);
    let work = job.scenario.settings.summers + PILOT_SUMMERS;
    let upkeep = options.watched(work, |progress| {
        let prepared = prepare(&job.scenario, progress)?;
        study(&prepared, plan, progress)
    })?;
    job.finish(
        &options,
        |job| crate::report::upkeep::files(&job.scenario, &upkeep, &job.facts),
        ["emptying.txt", "emptying.json"],
        crate::cli::work::picture_list,
    )
}

/// Index of the asked plan, or of the first with a trap of the asker's.
fn plan(scenario: &Scenario, asked: Option<&str>) -> Result<usize, String> {
    let trapped = |i: usize| scenario.plans[i].hangs();
    let names: Vec<&str> = scenario.plans.iter().map(|p| p.name.as_str()).collect();
    let Some(asked) = asked else {
        return (0..names.len())
            .find(|i| trapped(*i))
            .ok_or_else(|| say!("ask.no-trap"));
    };
    match names.iter().position(|n| *n == asked) {
        Some(plan) if trapped(plan) => Ok(plan),
        Some(_) => Err(say!("ask.plan-no-trap", name = asked)),
        None => {
            let name = crate::units::shortened(asked);
            let nearest = nearest(asked, &names).unwrap_or_default();
            let known = names.join("\", \"");
            Err(say!("ask.no-plan", name, nearest, known))
        }
    }
}
