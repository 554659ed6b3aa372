//! `lurefield place`: where a trap should hang, and where it must not.

use super::error::CliError;
use super::work::Options;
use crate::count::prepare::{PILOT_SUMMERS, Refusal};
use crate::placement::objective::Objective;
use crate::placement::outcome::PlaceOutcome;
use crate::placement::search::{Look, PlaceRefusal, Question, place};
use crate::placement::site::Limits;
use crate::placement::sweep;
use crate::say::say;
use crate::scenario::{Scenario, StructureKind};
use crate::units::{Dimension, feet, feet_and_metres, read_quantity};

/// Summers that a search without a number takes at least; for its progress only.
const USUAL_SUMMERS: u32 = 60;

/// Arguments of `place`.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    options: Options,
    /// What counts: damage, people (a patio stays clear) or catch (a monitoring trap sees them first)
    #[arg(long, value_name = "WORD", default_value = "damage", value_parser = ["damage", "people", "catch"])]
    objective: String,
    /// Count summers with more damage than this, in 100, instead of mean damage
    #[arg(long, value_name = "N")]
    tolerance: Option<f64>,
    /// So many sites besides your own spots, instead of 40
    #[arg(long, value_name = "N")]
    sites: Option<usize>,
    /// Keep this far from paths, patios and houses, for example "6 ft"
    #[arg(long, value_name = "LENGTH")]
    from_paths: Option<String>,
    /// Try places this far outside the yard too; ask your neighbor first
    #[arg(long, value_name = "LENGTH")]
    outside: Option<String>,
    /// Least distance between the best places that are listed
    #[arg(long, value_name = "LENGTH", default_value = "10 ft")]
    apart: String,
    /// Stop after about so many seconds; the text tells how many summers were used
    #[arg(long, value_name = "N")]
    seconds: Option<f64>,
    /// Hang the neighbors' traps of the file too; without this they are left out
    #[arg(long)]
    with_neighbors_traps: bool,
    /// What else to vary, after the map
    #[arg(long, value_name = "WORD", default_value = "none", value_parser = ["distance", "side", "number", "spacing", "all", "none"])]
    sweep: String,
}

/// Searches the yard, writes its files and prints the answer.
///
/// # Errors
/// Faults of the scenario or the question, a stopped search, a folder that cannot be written.
pub fn run(args: &Args) -> Result<(), CliError> {
    let options = &args.options;
    let mut job = options.job("place", "place")?;
    let question = args.question(&job.scenario).map_err(CliError::BadInput)?;
    let summers = options.summers.unwrap_or(USUAL_SUMMERS) + PILOT_SUMMERS;
    #[expect(
        clippy::disallowed_methods,
        reason = "the clock belongs to cli; the summers used are printed"
    )]
    let begun = std::time::Instant::now();
    let seconds = args.seconds.unwrap_or(f64::INFINITY);
    let outcome = options.watched(summers, |progress| {
        let enough = |look: &Look| {
            progress.say(&so_far(look, &job.scenario));
            begun.elapsed().as_secs_f64() >= seconds
        };
        match place(&job.scenario, &question, progress, &enough) {
            Ok(outcome) => Ok(Ok(outcome)),
            Err(PlaceRefusal::Run(refusal)) => Err::<_, Refusal>(refusal),
            Err(PlaceRefusal::Question(what)) => Ok(Err(what)),
        }
    })?;
    let file = options.file.display();
    let outcome = outcome.map_err(|what| CliError::BadInput(format!("{file}: {what}")))?;
    job.facts.command = args.command(&job.scenario, &outcome);
    job.finish(
        options,
        |job| crate::report::place::files(&job.scenario, &outcome, &job.facts),
        ["placement.txt", "placement.json"],
        super::work::picture_list,
    )
}

/// What a look between rounds shows, in a line.
fn so_far(look: &Look, scenario: &Scenario) -> String {
    let corner = || {
        let [east, north] = [look.best.x, look.best.y].map(|m| format!("{:.0}", feet(m)));
        say!(&scenario.sided("search.corner"), east, north)
    };
    let spot = look
        .name
        .map_or_else(corner, |name| say!("search.spot", name));
    let away = scenario.nearest_plant(look.best);
    let away = away.map_or_else(String::new, |(away_m, _)| feet_and_metres(away_m));
    say!("search.so-far", summers = look.summers, spot, away)
}

impl Args {
    /// The command that makes the same bytes again, for the manifest.
    fn command(&self, scenario: &Scenario, outcome: &PlaceOutcome) -> Vec<String> {
        // A budget of time that ran out before the sweeps left them all out.
        let cut = outcome.stopped_early && outcome.sweeps.is_empty();
        let sweep = if cut { "none" } else { self.sweep.as_str() };
        let mut words: Vec<String> = vec![
            "place".into(),
            "--summers".into(),
            outcome.summers.to_string(),
            "--seed".into(),
            scenario.settings.seed.to_string(),
        ];
        let given = [
            ("--objective", Some(self.objective.clone())),
            ("--tolerance", self.tolerance.map(|t| t.to_string())),
            ("--sites", self.sites.map(|n| n.to_string())),
            ("--from-paths", self.from_paths.clone()),
            ("--outside", self.outside.clone()),
            ("--apart", Some(self.apart.clone())),
            ("--sweep", Some(sweep.into())),
        ];
        for (name, value) in given {
            words.extend(value.into_iter().flat_map(|v| [name.to_string(), v]));
        }
        if self.with_neighbors_traps {
            words.push("--with-neighbors-traps".into());
        }
        words
    }

    fn question(&self, scenario: &Scenario) -> Result<Question, String> {
        let length = |name: &str, text: &str, most_m: f64| {
            let metres = read_quantity(text, Dimension::Length)
                .map_err(|what| format!("--{name}: {what}"))?;
            if (0.0..=most_m).contains(&metres) {
                Ok(metres)
            } else {
                Err(say!(
                    "search.bounds",
                    flag = name,
                    text,
                    limit = feet_and_metres(most_m)
                ))
            }
        };
        let optional = |name: &str, text: &Option<String>| {
            text.as_ref().map_or(Ok(0.0), |t| length(name, t, 100.0))
        };
        if self.seconds.is_some_and(|s| !(s.is_finite() && s > 0.0)) {
            return Err(say!("search.seconds"));
        }
        Ok(Question {
            objective: self.objective(scenario)?,
            limits: Limits {
                sites: self.sites,
                from_paths_m: optional("from-paths", &self.from_paths)?,
                outside_m: optional("outside", &self.outside)?,
            },
            apart_m: length("apart", &self.apart, 500.0)?,
            sweeps: sweep::NAMES
                .into_iter()
                .filter(|name| self.sweep == "all" || self.sweep == *name)
                .collect(),
            neighbors_traps: self.with_neighbors_traps,
            all_summers: self.options.summers.is_some(),
        })
    }

    fn objective(&self, scenario: &Scenario) -> Result<Objective, String> {
        if let Some(tolerance) = self.tolerance {
            if self.objective != "damage" {
                return Err(say!("search.tolerance.damage"));
            }
            if !(0.0..100.0).contains(&tolerance) {
                return Err(say!("search.tolerance", tolerance));
            }
            return Ok(Objective::Tolerance(tolerance));
        }
        match self.objective.as_str() {
            "people" => scenario
                .structures
                .iter()
                .position(|s| s.kind == StructureKind::Patio)
                .map(Objective::People)
                .ok_or_else(|| say!("search.no-patio")),
            "catch" => Ok(Objective::Catch),
            _ => Ok(Objective::Damage),
        }
    }
}
