//! Reads what the other commands wrote: the JSON files of a results folder, checked, as plain facts for the products.

use crate::catalogue::season::EventKind;
use crate::count::one_summer::OneSummer;
use crate::report::compare_data::Compare;
use crate::report::json::Summary;
use crate::say::{LANGUAGES, Strings, say, voice};
use crate::scenario::{self, Scenario};
use crate::stats::paired::{Class, Told};
use crate::stats::quantile::DOTS;
use crate::stats::words::{PAIRS_FOR_A_WORD, Word};
use crate::study::compare::flags;
use crate::study::finding::Ended;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

/// Names of the files that are read, in the order in which they are told.
pub const FILES: &[&str] = &[
    "scenario.json",
    "summary.json",
    "compare.json",
    "placement.json",
    "season.json",
    "one-summer.json",
    "manifest.json",
];

/// Whether a file records some days of one summer.
pub fn is_one_summer(name: &str) -> bool {
    let middle = name.strip_prefix("one-summer");
    let middle = middle.and_then(|m| m.strip_suffix(".json"));
    middle.is_some_and(|m| m.is_empty() || m.starts_with('-'))
}

/// The text of the files of one or more results folders.
#[derive(Clone, Debug, Default)]
pub struct Folder {
    /// Text by file name; inputs stand under `inputs/<name>`.
    pub files: BTreeMap<String, String>,
    /// Where each file was found, for messages.
    pub places: BTreeMap<String, String>,
    /// What makes the results anew.
    pub repeat: Option<Repeat>,
}

/// A command that makes results anew.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repeat {
    /// Key of the words before it: where to type it.
    pub says: &'static str,
    /// The line to type.
    pub line: String,
}

impl Folder {
    fn place<'a>(&'a self, name: &'a str) -> &'a str {
        self.places.get(name).map_or(name, String::as_str)
    }
}

/// Why results cannot be told.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Refused {
    /// There are none; a sentence.
    #[error("{0}")]
    Nothing(String),
    /// Something is wrong with them; a sentence.
    #[error("{0}")]
    Fault(String),
}

impl From<String> for Refused {
    fn from(what: String) -> Refused {
        Refused::Fault(what)
    }
}

/// What was found in the results.
#[derive(Clone, Debug)]
pub struct Results {
    /// The yard and what its plans did; absent when only a season was found.
    pub yard: Option<Yard>,
    /// The season, if one was found.
    pub season: Option<Season>,
    /// Some days of one summer, for each plan that was recorded.
    pub one_summers: Vec<OneSummer>,
    /// What the search for places found.
    pub placement: Option<Placement>,
    /// Files that were read.
    pub found: Vec<String>,
    /// What makes them anew.
    pub repeat: Option<Repeat>,
    /// Doubts about the results, in sentences.
    pub doubts: Vec<String>,
}

/// A scenario with the results of its plans.
#[derive(Clone, Debug)]
pub struct Yard {
    /// The scenario as it was run.
    pub scenario: Scenario,
    /// Summers.
    pub summers: u32,
    /// Whether more summers could change what they say.
    pub preview: bool,
    /// Seed.
    pub seed: u64,
    /// Tie band, points of 100.
    pub tie_band: f64,
    /// Plans in the order of the results; the first is the one that others are set against.
    pub plans: Vec<Plan>,
    /// Weakest grade among the numbers, as the catalogue names it.
    pub weakest: crate::catalogue::Grade,
}

/// What one plan did.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Name.
    pub name: String,
    /// Mean damage of the asker's plants, of 100.
    pub damage: f64,
    /// Mean catch of a summer.
    pub caught: f64,
    /// Counts against the first plan; `None` for the first plan.
    pub count: Option<Count>,
    /// Where the answers to its lures ended; `None` when nothing answered, and where only `compare` has looked.
    pub fate: Option<Ended>,
    /// Mean damage by crop, of 100.
    pub crops: Vec<(String, f64)>,
    /// Mean damage of each neighbor's plants, of 100, where they have some.
    pub plots: Vec<(String, f64)>,
    /// Minutes of work in a season.
    pub minutes: Option<f64>,
    /// Dollars in a season.
    pub dollars: Option<f64>,
    /// What it may do to bees and others, in a word or two.
    pub flag: Option<String>,
    /// Number of the asker's traps.
    pub traps: usize,
    /// Whether it is made of traps alone.
    pub only_traps: bool,
}

/// Counts of a plan against the first.
#[derive(Clone, Debug, PartialEq)]
pub struct Count {
    /// Summers with more, the same and less damage.
    pub told: Told,
    /// The twenty changes, ascending, when the results hold them and there were summers enough.
    pub dots: Option<Vec<f64>>,
    /// The word for it; `None` where it could go either way, is not settled, or rests on too few summers.
    pub word: Option<Word>,
}

/// Dates of a season.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Season {
    /// The pest.
    pub pest: SeasonPest,
    /// The events of its table.
    #[serde(default)]
    pub events: Vec<SeasonEvent>,
    /// The flight, when there is a model of it.
    #[serde(default)]
    pub flight: Option<SeasonFlight>,
    /// The weather record that the dates come from.
    #[serde(default)]
    pub weather: Option<SeasonWeather>,
}

/// An event of a season.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct SeasonEvent {
    /// What it is about.
    pub kind: EventKind,
    /// Its likely day; absent when it is not reached.
    #[serde(default)]
    pub date: Option<String>,
}

impl Season {
    /// Likely day of the first adults.
    pub fn first_adults(&self) -> Option<&str> {
        let mut firsts = self
            .events
            .iter()
            .filter(|e| e.kind == EventKind::FirstAdults);
        firsts.next()?.date.as_deref()
    }
}

/// Where the weather of a season comes from.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct SeasonWeather {
    /// The file, or the name of a record that comes with the program.
    pub file: String,
    /// First day of the record.
    pub first_day: String,
    /// Last day of the record.
    pub last_day: String,
}

/// The pest of a season.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct SeasonPest {
    /// Identifier.
    pub id: String,
}

/// Dates of a flight.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct SeasonFlight {
    /// Earliest, likely, latest first day.
    pub first: Option<[String; 3]>,
    /// Peak.
    pub peak: Option<String>,
    /// Earliest, likely, latest last day.
    pub last: Option<[String; 3]>,
}

/// What the search for places found, as far as the products tell it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Placement {
    /// Name of the scenario.
    pub scenario: String,
    /// Sweeps of distance, side, number and spacing.
    #[serde(default)]
    pub sweeps: Vec<Sweep>,
}

/// One thing varied.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Sweep {
    /// "distance", "side", "number" or "spacing".
    pub name: String,
    /// Mean damage without a trap, of 100.
    pub damage_without: f64,
    /// Points in order.
    pub points: Vec<SweepPoint>,
}

/// A point of a sweep.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct SweepPoint {
    /// What was varied, in words.
    pub label: String,
    /// Mean damage, of 100.
    pub damage_mean: f64,
    /// Summers with more, the same and less damage.
    pub counts: [usize; 3],
    /// Mean catch.
    pub caught_mean: f64,
}

/// Newest format that is read here. What pages take of a map is the same in formats 1 and 2.
fn newest_format(name: &str) -> u64 {
    if name == "placement.json" { 2 } else { 1 }
}

/// Reads a file of JSON that must carry a `"format"` known here.
fn json<T: DeserializeOwned>(folder: &Folder, name: &str) -> Result<Option<T>, String> {
    let Some(text) = folder.files.get(name) else {
        return Ok(None);
    };
    let place = folder.place(name);
    let damaged = |e: &dyn std::fmt::Display, path: &str| {
        let at = if path.is_empty() || path == "." {
            String::new()
        } else {
            format!("{path}: ")
        };
        let what = format!("{at}{e}");
        say!("results.damaged", place, what)
    };
    let value: serde_json::Value = serde_json::from_str(text).map_err(|e| damaged(&e, ""))?;
    match value.get("format").map(serde_json::Value::as_u64) {
        Some(Some(format)) if (1..=newest_format(name)).contains(&format) => {}
        Some(_) => {
            let (format, known) = (&value["format"], newest_format(name));
            return Err(say!("results.format", place, format, known));
        }
        None => {
            return Err(damaged(&say!("results.no-format"), ""));
        }
    }
    serde_path_to_error::deserialize(value)
        .map(Some)
        .map_err(|e| {
            let path = e.path().to_string();
            damaged(e.inner(), &path)
        })
}

/// Reads the results of one or more folders.
///
/// # Errors
/// A sentence for nothing found, a damaged file, an unknown format, or results that do not belong together.
pub fn read(folder: &Folder) -> Result<Results, Refused> {
    let mut doubts = Vec::new();
    let run: Option<Summary> = json(folder, "summary.json")?;
    let compare: Option<Compare> = json(folder, "compare.json")?;
    let season: Option<Season> = json(folder, "season.json")?;
    let mut one_summers: Vec<OneSummer> = Vec::new();
    let recorded: Vec<String> = folder
        .files
        .keys()
        .filter(|name| is_one_summer(name))
        .cloned()
        .collect();
    for name in &recorded {
        one_summers.extend(json::<OneSummer>(folder, name)?);
    }
    let placement: Option<Placement> = json(folder, "placement.json")?;
    let there = run.is_some() || compare.is_some();
    let said = (run, compare, one_summers.as_mut_slice());
    let yard = there.then(|| yard(folder, said, &mut doubts)).transpose()?;
    let mut found: Vec<String> = FILES
        .iter()
        .filter(|f| folder.files.contains_key(**f))
        .map(|f| (*f).to_owned())
        .collect();
    if yard.is_none() && season.is_none() {
        return Err(Refused::Nothing(if found.is_empty() {
            say!("results.none")
        } else {
            say!("results.none.only", files = found.join(", "))
        }));
    }
    let n_recorded = one_summers.len();
    one_summers.retain(|one| {
        yard.as_ref().is_some_and(|y| {
            one.seed == y.seed
                && [&one.without, &one.with].iter().all(|n| {
                    y.plans.iter().any(|p| p.name == **n)
                        && y.scenario.plans.iter().any(|p| p.name == **n)
                })
        })
    });
    if one_summers.len() < n_recorded {
        doubts.push(say!("results.other-summer"));
        found.retain(|f| f != "one-summer.json");
    }
    if let (Some(yard), Some(season)) = (&yard, &season)
        && yard.scenario.pest.id != season.pest.id
    {
        doubts.push(say!("results.other-pest", pest = season.pest.id));
    }
    let yard_name = yard.as_ref().map(|y| y.scenario.name.clone());
    Ok(Results {
        yard,
        season,
        placement: placement.filter(|p| yard_name.as_ref().is_some_and(|name| *name == p.scenario)),
        one_summers,
        found,
        repeat: folder.repeat.clone(),
        doubts,
    })
}

/// The names that a scenario gives to the plans of results. Plans that no file names have one in the language of the reader,
/// so that results made in another language know them by another name.
fn names_now(scenario: &Scenario, said: &[&str]) -> BTreeMap<String, String> {
    let plans: Vec<&str> = scenario.plans.iter().map(|p| p.name.as_str()).collect();
    let mut unknown: Vec<&str> = said.to_vec();
    unknown.retain(|name| !plans.contains(name));
    let mut left: Vec<&str> = plans;
    left.retain(|name| !said.contains(name));
    let mut now = BTreeMap::new();
    let languages = || LANGUAGES.iter().filter_map(|(code, _)| Strings::of(code));
    for key in ["yard.plan.none", "yard.plan.theirs"] {
        let own = unknown
            .iter()
            .position(|n| languages().any(|s| s.get(key) == *n));
        let new = left.iter().position(|n| voice().get(key) == *n);
        if let (Some(own), Some(new)) = (own, new) {
            now.insert(unknown.remove(own).to_owned(), left.remove(new).to_owned());
        }
    }
    if let ([own], [new]) = (&unknown[..], &left[..]) {
        now.insert((*own).to_owned(), (*new).to_owned());
    }
    now
}

fn yard(
    folder: &Folder,
    (mut run, mut compare, one_summers): (Option<Summary>, Option<Compare>, &mut [OneSummer]),
    doubts: &mut Vec<String>,
) -> Result<Yard, String> {
    let place = folder.place("scenario.json");
    let Some(text) = folder.files.get("scenario.json") else {
        return Err(say!("results.no-scenario", place));
    };
    let load = |name: &str| {
        // A result folder keeps its inputs beside one another, whatever folder the scenario names.
        let last = scenario::last_part(name);
        folder
            .files
            .get(&format!("inputs/{last}"))
            .cloned()
            .ok_or_else(|| say!("results.no-input", name))
    };
    let mut scenario = scenario::read(text, place, &load).map_err(|faults| {
        let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
        lines.join("\n")
    })?;
    let name = run.as_ref().map(|r| r.scenario.clone());
    if let Some(name) = name.or_else(|| compare.as_ref().map(|c| c.scenario.clone())) {
        scenario.name = name;
    }
    let in_run = run
        .iter_mut()
        .flat_map(|r| &mut r.plans)
        .map(|p| &mut p.name);
    let in_compare = compare.iter_mut().flat_map(|c| &mut c.plans);
    let mut names: Vec<&mut String> = in_run.chain(in_compare.map(|p| &mut p.name)).collect();
    let mut said: Vec<&str> = names.iter().map(|n| n.as_str()).collect();
    said.sort_unstable();
    said.dedup();
    let now = names_now(&scenario, &said);
    let recorded = one_summers.iter_mut();
    names.extend(recorded.flat_map(|o| [&mut o.without, &mut o.with]));
    for name in names {
        if let Some(own) = now.get(name.as_str()) {
            name.clone_from(own);
        }
    }
    let weakest = crate::report::words::weakest_grade(&scenario);
    let from_run = run
        .map(|run| run_plans(folder, &scenario, run))
        .transpose()?;
    let mut yard = match (from_run, compare) {
        (Some(run), None) => run,
        (None, Some(compare)) => compare_plans(folder, &scenario, compare)?,
        (Some(run), Some(compare)) => {
            let mut yard = compare_plans(folder, &scenario, compare)?;
            add_run(&mut yard, &run, doubts);
            yard
        }
        (None, None) => return Err(say!("results.no-plan", place)),
    };
    if yard.plans.is_empty() {
        return Err(say!("results.no-plan", place));
    }
    scenario.settings.summers = yard.summers;
    scenario.settings.seed = yard.seed;
    scenario.settings.tie_band = yard.tie_band;
    if yard.preview {
        doubts.push(say!("results.preview", summers = yard.summers));
    }
    yard.scenario = scenario;
    yard.weakest = weakest;
    Ok(yard)
}

fn checked(place: &str, plan: &str, mut count: Count) -> Result<Count, String> {
    let (sum, of) = (count.told.all().into_iter().sum::<usize>(), count.told.of);
    let dots_fit = count.dots.as_ref().is_none_or(|d| d.len() == DOTS);
    if sum != of || !(1..=DOTS).contains(&of) || !dots_fit {
        return Err(say!("results.counts", place, plan, sum, of));
    }
    // Fewer summers than twenty are not shown as twenty.
    count.dots = count.dots.filter(|_| of == DOTS);
    Ok(count)
}

/// A word, where there is one side and there are summers enough for it.
fn word_of(told: Told, word: Option<Word>, summers: u32) -> Option<Word> {
    let sided = told.class() != Class::EitherWay;
    word.filter(|_| sided && summers as usize >= PAIRS_FOR_A_WORD)
}

fn traps(scenario: &Scenario, name: &str) -> usize {
    scenario
        .plans
        .iter()
        .find(|p| p.name == name)
        .map_or(0, |p| p.own_traps().count())
}

fn run_plans(folder: &Folder, scenario: &Scenario, run: Summary) -> Result<Yard, String> {
    let place = folder.place("summary.json");
    let mut plans = Vec::new();
    for plan in run.plans {
        let count = plan
            .against_first
            .map(|a| {
                let of_dots = [a.more_of_20, a.no_change_of_20, a.less_of_20];
                // Where there are twenty, the dots are what is told.
                let told = match a.told {
                    Some(told) if told.of < DOTS => told,
                    _ => Told {
                        of: DOTS,
                        ..Told::new(of_dots)
                    },
                };
                let word = match a.word.as_str() {
                    "" => Some(Word::of(told.leading(), told.of)),
                    said => Word::in_file(said),
                };
                Count {
                    told,
                    dots: Some(a.dots),
                    word: word_of(told, word, run.summers),
                }
            })
            .map(|c| checked(place, &plan.name, c))
            .transpose()?;
        plans.push(Plan {
            traps: traps(scenario, &plan.name),
            only_traps: only_traps(scenario, &plan.name),
            name: plan.name,
            damage: plan.damage.mean,
            caught: plan.caught_mean,
            count,
            fate: Ended::of(&plan.answers),
            crops: plan
                .crops
                .into_iter()
                .filter_map(|c| c.damage.map(|d| (c.name, d)))
                .collect(),
            plots: plan
                .plots
                .into_iter()
                .filter_map(|p| p.damage.map(|d| (p.name, d)))
                .collect(),
            minutes: None,
            dollars: None,
            flag: None,
        });
    }
    Ok(Yard {
        scenario: scenario.clone(),
        summers: run.summers,
        preview: run.preview,
        seed: run.seed,
        tie_band: run.tie_band,
        plans,
        weakest: crate::catalogue::Grade::Assumed,
    })
}

fn compare_plans(folder: &Folder, scenario: &Scenario, file: Compare) -> Result<Yard, String> {
    let place = folder.place("compare.json");
    let mut plans = Vec::new();
    for plan in file.plans {
        let count = Count {
            told: plan.told,
            dots: plan.difference_dots.map(Vec::from),
            word: word_of(plan.told, Word::in_file(&plan.word), file.summers),
        };
        let count = Some(checked(place, &plan.name, count)?);
        let traps = traps(scenario, &plan.name);
        // In the words of the reader; results of an edited yard keep their own.
        let written = scenario.plans.iter().find(|p| p.name == plan.name);
        let flags = written.map_or(plan.flags, |p| flags(scenario, p));
        plans.push(Plan {
            traps,
            only_traps: only_traps(scenario, &plan.name),
            name: plan.name,
            damage: plan.damage_mean,
            caught: plan.caught_mean,
            count,
            fate: None,
            crops: Vec::new(),
            plots: plan
                .plots
                .into_iter()
                .filter_map(|p| p.damage_mean.map(|d| (p.name, d)))
                .collect(),
            minutes: Some(plan.minutes),
            dollars: Some(plan.dollars),
            flag: Some(flags.join(", ")).filter(|flags| !flags.is_empty()),
        });
    }
    if let Some(first) = plans.first_mut() {
        first.count = None;
    }
    Ok(Yard {
        scenario: scenario.clone(),
        summers: file.summers,
        preview: file.preview,
        seed: file.seed,
        tie_band: file.tie_band,
        plans,
        weakest: crate::catalogue::Grade::Assumed,
    })
}

/// Whether a plan hangs traps and does nothing else.
fn only_traps(scenario: &Scenario, name: &str) -> bool {
    let plan = scenario.plans.iter().find(|p| p.name == name);
    plan.is_none_or(|p| p.methods.is_empty())
}

/// Adds what only `run` knows to the plans of `compare`, when both come from the same summers.
fn add_run(yard: &mut Yard, run: &Yard, doubts: &mut Vec<String>) {
    if (yard.seed, yard.summers) != (run.seed, run.summers) {
        doubts.push(say!("results.other-summers"));
        return;
    }
    for plan in &mut yard.plans {
        let Some(same) = run.plans.iter().find(|p| p.name == plan.name) else {
            continue;
        };
        plan.fate = same.fate;
        plan.crops.clone_from(&same.crops);
        if let (Some(count), Some(other)) = (&mut plan.count, &same.count)
            && count.dots.is_none()
            && count.told == other.told
        {
            count.dots.clone_from(&other.dots);
        }
    }
}
