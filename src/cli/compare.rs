//! `lurefield compare`: every plan of a scenario against doing nothing, on the same summers.

use super::error::CliError;
use super::work::{Enough, Options};
use crate::count::prepare::{PILOT_SUMMERS, prepare};
use crate::report::products::unknown;
use crate::say::say;
use crate::scenario::fence::fence;
use crate::study::compare::{How, compare, put_first};

/// Arguments of `compare`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    options: Options,
    /// Set every plan against this one instead of against doing nothing
    #[arg(long, value_name = "PLAN")]
    against: Option<String>,
    /// Compare neither, me, them and both hanging traps; needs a neighbour's plot
    #[arg(long)]
    fence: bool,
    /// Tell luck and what nobody knows about the insects apart (about 480 more summers)
    #[arg(long)]
    spread: bool,
    #[command(flatten)]
    enough: Enough,
}

/// Compares the plans, writes the files and prints the answer.
///
/// # Errors
/// Faults of the scenario, an unknown plan, a refused or stopped run, a folder that cannot be written.
pub fn run(args: &Args) -> Result<(), CliError> {
    let options = &args.options;
    let mut job = options.job("compare", "compare")?;
    let shown = options.file.display();
    if args.fence {
        fence(&mut job.scenario).map_err(|e| CliError::BadInput(format!("{shown}: {e}")))?;
    }
    if let Some(name) = &args.against
        && put_first(&mut job.scenario, name).is_none()
    {
        let names: Vec<&str> = job.scenario.plans.iter().map(|p| &*p.name).collect();
        let what = unknown("unknown.plan", "--against", name, &names);
        return Err(CliError::BadInput(format!("{shown}: {what}")));
    }
    if job.scenario.plans.len() < 2 {
        return Err(CliError::BadInput(say!("plans.only-one", shown)));
    }
    let take = args.enough.take(options, &job);
    let most = take.exactly.unwrap_or(take.most);
    job.scenario.settings.summers = most;
    let how = How {
        take,
        spread: args.spread,
    };
    let outcome = options.watched(most.saturating_add(PILOT_SUMMERS), |progress| {
        progress.answering(&job.scenario);
        let prepared = prepare(&job.scenario, progress)?;
        compare(&prepared, how, progress)
    })?;
    args.enough.taken(&mut job, outcome.run.summers);
    let more = &mut job.facts.command;
    if args.fence {
        more.push("--fence".into());
    }
    if let Some(name) = &args.against {
        more.extend(["--against".into(), name.clone()]);
    }
    if args.spread {
        more.push("--spread".into());
    }
    job.finish(
        options,
        |job| crate::report::compare::files(&job.scenario, &outcome, &job.facts),
        ["compare.txt", "compare.json"],
        |_| String::new(),
    )
}
