//! A question that is asked again from its beginning until the shares of all workers answer it.

use super::{Answer, shares, yard};
use crate::count::prepare::{Refusal, prepare};
use crate::engine::ensemble::Watch;
use crate::engine::shares::Shares;
use crate::placement::objective::Objective;
use crate::placement::search::{self, Look, PlaceRefusal};
use crate::placement::site::Limits;
use crate::report::products::unknown;
use crate::report::{self, Facts, words};
use crate::say::{say, voice};
use crate::scenario::{Scenario, StructureKind};
use crate::study::compare::{How, compare_told, put_first};
use crate::study::keep::KeepNothing;
use crate::study::run::{PlanSoFar, Runner, one_summers, run_told};
use crate::study::settle::Take;
use crate::study::vary::{self, Ask, Method};
use crate::units::METRES_PER_FOOT;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// What is asked.
#[derive(Deserialize)]
pub(super) struct Begin {
    pub(super) id: Value,
    question: Kind,
    text: String,
    #[serde(default = "yard::usual_name")]
    name: String,
    /// Weather files that the scenario names.
    #[serde(default)]
    inputs: BTreeMap<String, String>,
    #[serde(default)]
    pub(super) options: Options,
    /// Whether this worker tells what is known on the way, and makes the files of the end.
    #[serde(default)]
    files: bool,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    Run,
    Compare,
    Place,
    Vary,
    Watch,
}

#[derive(Default, Deserialize)]
#[serde(default)]
pub(super) struct Options {
    summers: Option<u32>,
    seed: Option<u64>,
    most: Option<u32>,
    objective: Option<String>,
    tolerance: Option<f64>,
    sites: Option<usize>,
    /// The plan whose unknowns are varied.
    plan: Option<String>,
    /// The plan that a run or a comparison sets the others against.
    against: Option<String>,
    neighbors_traps: bool,
    pub(super) language: Option<String>,
}

/// Most summers that a page may ask for.
const MOST_SUMMERS: u32 = 1_000_000;
/// Most sites.
const MOST_SITES: usize = 1000;
/// Distance between the best places that are listed, as the command takes it, feet.
const APART_FT: f64 = 10.0;

/// Summers at each value of an unknown, where none are asked for.
const USUAL_VARIED: u32 = 40;
/// Most summers in all to vary the unknowns.
const MOST_VARIED: u64 = 10_000_000;

/// A question under way.
pub(super) struct Question {
    kind: Kind,
    /// All that the pilot depends on, in short.
    pilot: String,
    scenario: Scenario,
    take: Take,
    /// The plan whose unknowns are varied.
    plan: usize,
    search: search::Question,
    files: bool,
    shares: Shares,
    /// What is known, and on how many summers it rests.
    so_far: (Value, u32),
}

struct Watching<'a>(&'a Shares);

impl Watch for Watching<'_> {
    fn shares(&self) -> Option<&Shares> {
        Some(self.0)
    }
}

type Files = Vec<(String, Vec<u8>)>;

/// What pilots have found, by what they were made for.
pub(super) type Pilots = BTreeMap<String, Vec<u8>>;

/// All that the pilot of a scenario depends on, in short. It runs in the yard where nothing is done, so that a trap that moves
/// inside the yard, and what plans do otherwise, leave it as it is; of the traps it is only the reach that counts.
fn pilot_of(scenario: &Scenario) -> String {
    let mut same = scenario.clone();
    let plans = same.plans.drain(..);
    let traps = plans.flat_map(|plan| plan.traps).map(|trap| {
        let at = (!scenario.yard.contains(trap.at)).then_some(trap.at);
        format!(
            "{} {} {:?} {at:?}",
            trap.lure, trap.n_lures, trap.catch_radius_m
        )
    });
    let traps: BTreeSet<String> = traps.collect();
    // The fitted sets follow from the pest and whether it has some.
    let sets = same.kept_sets.take().map_or(0, |sets| sets.len());
    same.warnings.clear();
    same.defaults.clear();
    report::provenance::sha256(format!("{:?}", (sets, traps, same)).as_bytes())
}

/// Why a question is not answered yet, or cannot be.
enum Stop {
    Shares,
    Refused(String),
}

impl From<Refusal> for Stop {
    fn from(refusal: Refusal) -> Stop {
        match refusal {
            Refusal::Stopped => Stop::Shares,
            _ => Stop::Refused(refusal.to_string()),
        }
    }
}

impl From<PlaceRefusal> for Stop {
    fn from(refusal: PlaceRefusal) -> Stop {
        match refusal {
            PlaceRefusal::Run(refusal) => refusal.into(),
            PlaceRefusal::Question(why) => Stop::Refused(why),
        }
    }
}

impl Question {
    pub(super) fn new(begin: Begin, pilots: &Pilots) -> Result<Question, String> {
        let options = begin.options;
        let mut scenario =
            yard::scenario(&begin.text, &begin.name, &begin.inputs).map_err(|faults| {
                faults
                    .iter()
                    .map(ToString::to_string)
                    .collect::<Vec<_>>()
                    .join("\n")
            })?;
        let most = options.most.unwrap_or(scenario.settings.summers);
        for asked in [options.summers, Some(most)].into_iter().flatten() {
            if !(1..=MOST_SUMMERS).contains(&asked) {
                return Err(say!("desk.summers", allowed = MOST_SUMMERS));
            }
        }
        let take = Take {
            exactly: options.summers,
            most,
            work: None,
        };
        scenario.settings.summers = match begin.question {
            Kind::Place => options.summers.unwrap_or(scenario.settings.summers),
            _ => options.summers.unwrap_or(most),
        };
        scenario.settings.seed = options.seed.unwrap_or(scenario.settings.seed);
        if matches!(begin.question, Kind::Compare | Kind::Watch) && scenario.plans.len() < 2 {
            return Err(say!("plans.only-one", shown = begin.name));
        }
        if matches!(begin.question, Kind::Run | Kind::Compare) {
            options.put_first(&mut scenario)?;
        }
        let pilot = pilot_of(&scenario);
        let first = pilots.get(&pilot).cloned();
        let shares = Shares::new(first);
        Ok(Question {
            pilot,
            kind: begin.question,
            search: options.search(&scenario)?,
            plan: match begin.question {
                Kind::Vary => options.plan(&scenario)?,
                _ => 0,
            },
            scenario,
            take,
            files: begin.files,
            shares,
            so_far: (Value::Null, 0),
        })
    }

    /// What the pilot has found, and what it was made for.
    pub(super) fn pilot(&self) -> Option<(String, Vec<u8>)> {
        Some((self.pilot.clone(), self.shares.first()?))
    }

    /// Takes in the shares of other workers, and asks again; `units` of a stretch are this worker's to do.
    pub(super) fn advance(&mut self, raw: &[u8], (stretch, units): (u32, Vec<u32>)) -> Answer {
        let broken = |_| say!("desk.broken-share");
        for share in shares(raw).map_err(broken)? {
            self.shares.take(share).map_err(broken)?;
        }
        self.shares.from_the_start(stretch, units);
        self.step()
    }

    pub(super) fn step(&mut self) -> Answer {
        let summers = self.so_far.1;
        let found = match self.kind {
            Kind::Run | Kind::Watch => self.run(),
            Kind::Compare => self.compare(),
            Kind::Place => self.place(),
            Kind::Vary => self.vary(),
        };
        // What has been told already is not told again.
        let so_far = if self.so_far.1 > summers {
            self.so_far.0.clone()
        } else {
            Value::Null
        };
        match found {
            Ok(files) => {
                let text = |bytes| String::from_utf8(bytes).unwrap_or_default();
                let files = files.into_iter().map(|(name, bytes)| (name, text(bytes)));
                let files: BTreeMap<String, String> = files.collect();
                let head = json!({ "state": "done", "so_far": self.so_far.0, "files": files });
                Ok((head, Vec::new()))
            }
            Err(Stop::Shares) if !self.shares.broken() => {
                let part = self.shares.progress();
                let head = json!({ "state": "wants", "so_far": so_far, "part": part });
                Ok((head, self.shares.share()))
            }
            Err(Stop::Shares) => Err(say!("desk.broken-share")),
            Err(Stop::Refused(why)) => Err(why),
        }
    }

    fn run(&mut self) -> Result<Files, Stop> {
        let (scenario, watch) = (&self.scenario, Watching(&self.shares));
        let prepared = prepare(scenario, &watch)?;
        let mut told = |runner: &mut Runner| {
            if self.files {
                tell(&mut self.so_far, scenario, runner);
            }
        };
        let outcome = run_told(&prepared, self.take, &watch, &mut told)?;
        let mut files = Vec::new();
        if matches!(self.kind, Kind::Watch) {
            let recorded = one_summers(&prepared, &outcome.plans, &watch)?;
            files.extend(report::one_summer_files(&recorded));
        }
        if self.files {
            self.scenario.settings.summers = outcome.summers;
            let of_run = report::run_files(&self.scenario, &outcome, &Facts::default());
            // The maps of visits and feeding did not travel.
            let kept = |(name, _): &(String, Vec<u8>)| name.starts_with("summary.");
            files.extend(of_run.into_iter().filter(kept));
        }
        Ok(files)
    }

    fn compare(&mut self) -> Result<Files, Stop> {
        let (scenario, watch) = (&self.scenario, Watching(&self.shares));
        let prepared = prepare(scenario, &watch)?;
        let mut told = |runner: &mut Runner| {
            if self.files {
                tell(&mut self.so_far, scenario, runner);
            }
        };
        let how = How {
            take: self.take,
            spread: false,
        };
        let outcome = compare_told(&prepared, how, &watch, &mut told)?;
        if !self.files {
            return Ok(Vec::new());
        }
        self.scenario.settings.summers = outcome.run.summers;
        let files = report::compare::files(&self.scenario, &outcome, &Facts::default());
        Ok(without_manifest(files))
    }

    fn place(&mut self) -> Result<Files, Stop> {
        let (scenario, watch) = (&self.scenario, Watching(&self.shares));
        let so_far = std::cell::RefCell::new(&mut self.so_far);
        let looked = |look: &Look| {
            let mut so_far = so_far.borrow_mut();
            // A map takes as long as some summers.
            if self.files && look.summers as u32 > so_far.1 {
                **so_far = (place_so_far(scenario, look), look.summers as u32);
            }
            false
        };
        let outcome = search::place(scenario, &self.search, &watch, &looked)?;
        if !self.files {
            return Ok(Vec::new());
        }
        let files = report::place::files(scenario, &outcome, &Facts::default());
        Ok(without_manifest(files))
    }
}

impl Question {
    /// One unknown after the other; what the gardener does is left to the program.
    fn vary(&mut self) -> Result<Files, Stop> {
        let (scenario, watch) = (&self.scenario, Watching(&self.shares));
        let ask = Ask {
            plan: self.plan,
            method: Method::OneAtATime,
            summers: self.take.exactly.unwrap_or(USUAL_VARIED),
            settle: Take::until_settled(self.take.most),
            habit_summers: 0,
        };
        if vary::work(scenario, ask) > MOST_VARIED {
            return Err(Stop::Refused(say!("desk.summers", allowed = 1000)));
        }
        let prepared = prepare(scenario, &watch)?;
        let study = vary::study(&prepared, ask, &watch, &mut KeepNothing)?;
        if !self.files {
            return Ok(Vec::new());
        }
        Ok(report::vary::files(scenario, &study))
    }
}

/// The page writes no folder, so it has nothing that a manifest could vouch for.
fn without_manifest(files: Files) -> Files {
    let kept = |(name, _): &(String, Vec<u8>)| name != report::provenance::Manifest::NAME;
    files.into_iter().filter(kept).collect()
}

fn tell(so_far: &mut (Value, u32), scenario: &Scenario, runner: &mut Runner) {
    if runner.done() <= so_far.1 {
        return;
    }
    let plans = runner.so_far();
    let plan = |(k, found): (usize, &PlanSoFar)| plan_so_far(scenario, k, found);
    let told: Vec<Value> = plans.iter().enumerate().map(plan).collect();
    let says: Vec<&str> = told.iter().filter_map(|p| p["says"].as_str()).collect();
    let settled = plans.iter().all(|p| p.finding.settled());
    let summers = runner.done();
    let value =
        json!({ "summers": summers, "settled": settled, "says": says.join(" "), "plans": told });
    *so_far = (value, summers);
}

fn plan_so_far(scenario: &Scenario, k: usize, found: &PlanSoFar) -> Value {
    let finding = &found.finding;
    let [_, damage] = &finding.damage;
    let count = &finding.count;
    let band = scenario.settings.tie_band;
    let name = &scenario.plans[k].name;
    let said = (k > 0).then(|| words::verdict(scenario, &words::quoted(name), finding));
    let dot = |d: &f64| match d {
        d if *d > band => 1,
        d if *d < -band => -1,
        _ => 0,
    };
    json!({
        "name": name,
        "mean": damage.mean,
        "error": damage.error,
        "change": { "mean": finding.change.mean, "error": finding.change.error },
        "counts": count.told(),
        "class": count.class(),
        "dots": count.dots.iter().map(dot).collect::<Vec<i32>>(),
        "caught": found.caught,
        "plants": found.plants,
        "plots": found.plots,
        "settled": finding.settled(),
        "says": said.as_ref().map(|s| &s.sentence),
        "word": said.and_then(|s| s.word).map(|w| w.told(voice())),
    })
}

fn place_so_far(scenario: &Scenario, look: &Look) -> Value {
    let (sites, map) = look.map(scenario);
    let ft = |m: f64| m / METRES_PER_FOOT;
    let site = |s: &crate::placement::outcome::SiteOutcome| {
        json!({
            "name": s.name,
            "x_ft": ft(s.x_m),
            "y_ft": ft(s.y_m),
            "zone": s.zone,
            "change": s.change_mean,
            "error": s.se,
            "counts": s.counts,
            "caught": s.caught_mean,
            "neighbour_change": s.neighbour_change,
            "summers": s.summers,
        })
    };
    let map = map.map(|map| {
        json!({
            "x0_ft": ft(map.x0_m),
            "y0_ft": ft(map.y0_m),
            "cell_ft": ft(map.cell_m),
            "columns": map.columns,
            "rows": map.rows,
            "zone": map.zone,
            "change": map.change,
            "error": map.se,
        })
    });
    let at = json!({ "x_ft": ft(look.best.x), "y_ft": ft(look.best.y), "name": look.name, "change": look.change });
    json!({
        "summers": look.summers,
        "sites": sites.iter().map(site).collect::<Vec<Value>>(),
        "map": map,
        "best": at,
    })
}

impl Options {
    /// The plan of a name, or the first that does anything.
    fn plan(&self, scenario: &Scenario) -> Result<usize, String> {
        let mut plans = scenario.plans.iter().skip(1);
        let found = match &self.plan {
            Some(name) => plans.position(|p| p.name == *name),
            None => plans.position(|p| !p.traps.is_empty() || !p.methods.is_empty()),
        };
        found.map(|at| at + 1).ok_or_else(|| say!("desk.no-plan"))
    }

    /// Puts the plan first that the others are set against, where one is named.
    fn put_first(&self, scenario: &mut Scenario) -> Result<(), String> {
        match &self.against {
            Some(name) if put_first(scenario, name).is_none() => {
                let names: Vec<&str> = scenario.plans.iter().map(|p| &*p.name).collect();
                Err(unknown("unknown.plan", "against", name, &names))
            }
            _ => Ok(()),
        }
    }

    /// What the search is asked, as the command asks it.
    fn search(&self, scenario: &Scenario) -> Result<search::Question, String> {
        let patio = || {
            let mut things = scenario.structures.iter();
            things.position(|s| s.kind == StructureKind::Patio)
        };
        let objective = match (
            self.objective.as_deref().unwrap_or("damage"),
            self.tolerance,
        ) {
            ("damage", Some(tolerance)) if (0.0..100.0).contains(&tolerance) => {
                Objective::Tolerance(tolerance)
            }
            (_, Some(_)) => return Err(say!("desk.tolerance")),
            ("damage", None) => Objective::Damage,
            ("people", None) => patio()
                .map(Objective::People)
                .ok_or_else(|| say!("desk.no-patio"))?,
            ("catch", None) => Objective::Catch,
            _ => return Err(say!("desk.broken-request")),
        };
        Ok(search::Question {
            objective,
            limits: Limits {
                sites: self.sites.map(|n| n.min(MOST_SITES)),
                ..Limits::default()
            },
            apart_m: APART_FT * METRES_PER_FOOT,
            sweeps: Vec::new(),
            neighbors_traps: self.neighbors_traps,
            all_summers: self.summers.is_some(),
        })
    }
}
