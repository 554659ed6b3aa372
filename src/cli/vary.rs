//! `lurefield vary`: which unknown numbers the answer hangs on.

use super::error::CliError;
use super::partial::Partial;
use super::work::{Job, Options};
use crate::count;
use crate::report::products::unknown;
use crate::report::provenance::{self, sha256};
use crate::say::say;
use crate::study::settle::Take;
use crate::study::vary::{self, Ask, MOST_SHARED, Method};

/// Name of the file that keeps unfinished work.
const PARTIAL: &str = "vary.partial.json";

/// Summers at each value of the sweep when it is the answer.
const SWEEP_SUMMERS: u32 = 40;
/// Summers at each value of the sweep when it only picks the numbers for morris or sobol.
const PICK_SUMMERS: u32 = 16;
/// Summers at each point of the screening and of the shares.
const POINT_SUMMERS: u32 = 8;
/// Summers at each value of what the gardener does.
const HABIT_SUMMERS: u32 = 200;
/// Most simulated summers in one study.
const MOST_WORK: u64 = 50_000_000;

/// Arguments of `vary`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    options: Options,
    /// Plan to ask about [default: the first plan with a trap, else the first that does something]
    #[arg(long, value_name = "PLAN")]
    of: Option<String>,
    /// `one` moves one number at a time; `morris` also screens many at once; `sobol` also shares out the spread
    #[arg(long, value_name = "METHOD", default_value = "one", value_parser = ["one", "morris", "sobol"])]
    method: String,
    /// Numbers for morris (usually 15) or sobol (usually 6, at most 8): those that move the answer most
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=100))]
    top: Option<u16>,
    /// Starting points of morris
    #[arg(long, value_name = "R", default_value_t = 20, value_parser = clap::value_parser!(u16).range(2..=1000))]
    trajectories: u16,
    /// Base points of sobol
    #[arg(long, value_name = "N", default_value_t = 128, value_parser = clap::value_parser!(u16).range(8..=4096))]
    base: u16,
    /// Summers at each point of morris or sobol
    #[arg(long, value_name = "N", default_value_t = POINT_SUMMERS, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    point_summers: u32,
    /// Summers for the usual answer [default: as many as it needs, at most the scenario's number, else 2000]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(2..=100_000))]
    settle: Option<u32>,
    /// Summers at each value of what you do (emptying, lure age, leak, picking); 0 leaves that out
    #[arg(long, value_name = "N", default_value_t = HABIT_SUMMERS, value_parser = clap::value_parser!(u32).range(0..=100_000))]
    habit_summers: u32,
}

impl Args {
    fn method(&self) -> Result<Method, CliError> {
        let top = |usual: usize| self.top.map_or(usual, usize::from);
        match self.method.as_str() {
            "morris" => Ok(Method::Morris {
                top: top(15),
                paths: usize::from(self.trajectories),
                summers: self.point_summers,
            }),
            "sobol" if top(6) > MOST_SHARED => {
                let (n, most) = (top(6), MOST_SHARED);
                Err(CliError::BadInput(say!("vary.top.too-many", n, most)))
            }
            "sobol" => Ok(Method::Sobol {
                top: top(6),
                base: usize::from(self.base),
                summers: self.point_summers,
            }),
            _ if self.top.is_some() => Err(CliError::BadInput(say!("vary.top.plain"))),
            _ => Ok(Method::OneAtATime),
        }
    }

    /// What makes the same study again.
    fn command(
        &self,
        scenario: &crate::scenario::Scenario,
        plan: usize,
        (summers, settle): (u32, Option<u32>),
    ) -> Vec<String> {
        let mut all = vec!["vary".to_owned()];
        let mut say = |name: &str, value: String| all.extend([name.to_owned(), value]);
        say("--summers", summers.to_string());
        say("--seed", scenario.settings.seed.to_string());
        say("--method", self.method.clone());
        if let Some(top) = self.top {
            say("--top", top.to_string());
        }
        say("--trajectories", self.trajectories.to_string());
        say("--base", self.base.to_string());
        say("--point-summers", self.point_summers.to_string());
        if let Some(settle) = settle {
            say("--settle", settle.to_string());
        }
        say("--habit-summers", self.habit_summers.to_string());
        // One word, so that a name may start with a hyphen.
        all.push(format!("--of={}", scenario.plans[plan].name));
        all
    }

    /// Index of the asked plan, or of the first with a trap.
    fn plan(&self, scenario: &crate::scenario::Scenario) -> Result<usize, CliError> {
        let shown = self.options.file.display();
        let names: Vec<&str> = scenario.plans.iter().map(|p| p.name.as_str()).collect();
        let Some(asked) = &self.of else {
            let plans = &scenario.plans;
            let trapped = plans.iter().position(|p| !p.traps.is_empty());
            let other = plans.iter().skip(1).position(|p| !p.methods.is_empty());
            return trapped
                .or(other.map(|i| i + 1))
                .ok_or_else(|| CliError::BadInput(say!("vary.no-plan", shown)));
        };
        match names.iter().position(|n| n == asked) {
            Some(0) => Err(CliError::BadInput(say!("vary.first-plan", plan = asked))),
            Some(plan) => Ok(plan),
            None => {
                let what = unknown("unknown.plan", "--of", asked, &names);
                Err(CliError::BadInput(format!("{shown}: {what}")))
            }
        }
    }
}

/// Runs the study, writes its files and prints the answer.
///
/// # Errors
/// Faults of the scenario or the options, a refused or stopped run, a folder that cannot be written.
pub fn run(args: &Args) -> Result<(), CliError> {
    let options = &args.options;
    let method = args.method()?;
    let job = options.job("vary", "vary")?;
    let scenario = &job.scenario;
    let plan = args.plan(scenario)?;
    let summers = options.summers.unwrap_or(if method == Method::OneAtATime {
        SWEEP_SUMMERS
    } else {
        PICK_SUMMERS
    });
    if summers > 10_000 {
        return Err(CliError::BadInput(say!("vary.summers.too-many", summers)));
    }
    let ask = Ask {
        plan,
        method,
        summers,
        settle: Take {
            exactly: args.settle,
            most: job.most,
            work: None,
        },
        habit_summers: args.habit_summers,
    };
    let work = vary::work(scenario, ask);
    if work > MOST_WORK {
        let most = MOST_WORK;
        return Err(CliError::BadInput(say!("vary.too-much", most)));
    }
    let mut job = job;
    job.facts.command = args.command(&job.scenario, plan, (summers, args.settle));
    let scenario = &job.scenario;
    let key = fingerprint(&job);
    let path = job.folder.join(PARTIAL);
    let mut partial = Partial::read(path, &key, options.quiet).of(vary::points(scenario, ask));
    let study = options.kept(work as u32 + count::prepare::PILOT_SUMMERS, |progress| {
        let prepared = count::prepare::prepare(scenario, progress)?;
        vary::study(&prepared, ask, progress, &mut partial)
    })?;
    let Some(study) = study else {
        return Err(partial.stopped());
    };
    // The number that was taken, so that the same command brings the same bytes.
    job.facts.command = args.command(&job.scenario, plan, (summers, Some(study.usual.summers)));
    job.finish(
        options,
        |job| {
            let mut files = crate::report::vary::files(&job.scenario, &study);
            let seed = job.scenario.settings.seed;
            let manifest = provenance::run_manifest(&job.facts, seed, Some(&job.scenario), &files);
            files.push(("manifest.json".into(), manifest.into_bytes()));
            files
        },
        ["vary.txt", "vary.json"],
        |_| String::new(),
    )?;
    partial.remove();
    Ok(())
}

/// What must be the same for unfinished work to be taken up: scenario, inputs, version, options, and the catalogue's
/// numbers.
fn fingerprint(job: &Job) -> String {
    let same = format!("{:?} {:?}", job.facts, job.scenario);
    sha256(same.as_bytes())
}
