//! `manifest.json`: everything needed to make the same bytes again, and the hashes that prove it.

use crate::catalogue::{self, Grade, Sourced, Spread};
use crate::count::outcome::RunOutcome;
use crate::report::json::pretty;
use crate::report::words::{numbers, repeat_line};
use crate::say::{say, voice};
use crate::scenario::{Role, Scenario, Wind};
use crate::stats::paired;
use crate::stats::quantile::DOTS;
use crate::stats::spread::{mean, standard_error};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt::Write as _;

/// What the caller knows about a run and the results do not.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// Version of the program.
    pub version: String,
    /// SHA-256 of the scenario text, hexadecimal; see [`sha256`].
    pub scenario_sha256: String,
    /// Other input files: name inside the scenario's folder, SHA-256.
    pub inputs: Vec<(String, String)>,
    /// Name of the random generator, by algorithm.
    pub generator: String,
    /// How draws are keyed and which of them the plans share.
    pub stream_scheme: String,
    /// The command and its options, without file, folder and threads: what makes the same bytes again.
    pub command: Vec<String>,
}

/// SHA-256 of bytes, lower-case hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .fold(String::new(), |mut out, byte| {
            write!(out, "{byte:02x}").expect("writing to a string cannot fail");
            out
        })
}

/// `manifest.json` of every command. What one command alone knows stands under `more`, beside the rest in the file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    /// Version of this layout.
    pub format: u32,
    /// "lurefield".
    pub program: String,
    /// Version of the program.
    pub version: String,
    /// Code of the language of all texts.
    #[serde(default)]
    pub language: String,
    /// The command and its options. A word that names one of `inputs` under `inputs/` is that file.
    #[serde(default)]
    pub command: Vec<String>,
    /// The scenario, which is kept under `inputs/`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scenario: Option<ScenarioFacts>,
    /// Seed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seed: Option<u64>,
    /// Summers that were taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub summers: Option<u32>,
    /// Name of the random generator.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub generator: String,
    /// How draws are keyed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub stream_scheme: String,
    /// What one command alone knows.
    #[serde(flatten)]
    pub more: serde_json::Map<String, serde_json::Value>,
    /// The files that the result was made from.
    #[serde(default)]
    pub inputs: Vec<FileFacts>,
    /// The other files of the result, in their order.
    pub outputs: Vec<FileFacts>,
    /// What makes the same bytes again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeat: Option<String>,
}

/// Which scenario.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ScenarioFacts {
    /// Name.
    pub name: String,
    /// Title.
    #[serde(default)]
    pub title: String,
    /// Note of its author.
    #[serde(default)]
    pub note: String,
    /// Hash of its text.
    pub sha256: String,
}

/// A file and its hash.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FileFacts {
    /// Name inside the folder.
    pub file: String,
    /// SHA-256, hexadecimal.
    pub sha256: String,
}

impl Manifest {
    /// Name of the file.
    pub const NAME: &'static str = "manifest.json";

    /// What every manifest says. `outputs` are the other files of the result, in the order in which they are listed.
    pub fn new(
        facts: &Facts,
        scenario: Option<&Scenario>,
        outputs: &[(String, Vec<u8>)],
    ) -> Manifest {
        let inputs = facts.inputs.iter().map(|(file, hash)| FileFacts {
            file: file.clone(),
            sha256: hash.clone(),
        });
        let outputs = outputs.iter().map(|(file, bytes)| FileFacts {
            file: file.clone(),
            sha256: sha256(bytes),
        });
        Manifest {
            format: 1,
            program: "lurefield".into(),
            version: facts.version.clone(),
            language: voice().get("language").into(),
            command: facts.command.clone(),
            scenario: scenario.map(|s| ScenarioFacts {
                name: s.name.clone(),
                title: s.title.clone(),
                note: s.note.clone(),
                sha256: facts.scenario_sha256.clone(),
            }),
            seed: None,
            summers: None,
            generator: facts.generator.clone(),
            stream_scheme: facts.stream_scheme.clone(),
            more: serde_json::Map::new(),
            inputs: inputs.collect(),
            outputs: outputs.collect(),
            repeat: Some(repeat_line(Manifest::NAME)),
        }
    }

    /// The manifest with the seed and the summers that were taken.
    #[must_use]
    pub fn of_summers(mut self, seed: u64, summers: impl Into<Option<u32>>) -> Self {
        self.seed = Some(seed);
        self.summers = summers.into();
        self
    }

    /// The manifest with something that one command alone knows.
    ///
    /// # Panics
    /// Never: plain data always serialise.
    #[must_use]
    pub fn with(mut self, key: &str, value: impl Serialize) -> Self {
        let value = serde_json::to_value(value).expect("plain data always serialise");
        self.more.insert(key.into(), value);
        self
    }

    /// The manifest as the last file of a result.
    pub fn file(&self) -> (String, Vec<u8>) {
        (Manifest::NAME.into(), pretty(self).into_bytes())
    }

    /// The manifest of a text; `None` when it is none of this program.
    pub fn read(text: &str) -> Option<Manifest> {
        let read: Manifest = serde_json::from_str(text).ok()?;
        (read.program == "lurefield").then_some(read)
    }
}

#[derive(Serialize)]
struct PlanFacts<'a> {
    name: &'a str,
    traps: Vec<TrapFacts<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    methods: Vec<MethodFacts<'a>>,
}

#[derive(Serialize)]
struct MethodFacts<'a> {
    method: &'a str,
    crops: Vec<&'a str>,
    what: String,
}

#[derive(Serialize)]
struct TrapFacts<'a> {
    name: &'a str,
    x_m: f64,
    y_m: f64,
    lure: Option<&'a str>,
    n_lures: u32,
    trap: Option<&'a str>,
    role: Role,
    strength: f64,
    lure_age_d: f64,
    from_day: u32,
    to_day: u32,
    empty_every_d: Option<u32>,
    neighbours: bool,
    catch_radius_m: Option<f64>,
}

#[derive(Serialize)]
struct Range<'a> {
    said: &'a str,
    low: f64,
    high: f64,
}

#[derive(Serialize)]
struct CropFacts<'a> {
    name: &'a str,
    kind: &'a str,
    plants: usize,
    worth: f64,
}

#[derive(Serialize)]
struct Parameter<'a> {
    path: String,
    value: f64,
    unit: &'a str,
    range: Option<[f64; 2]>,
    spread: Spread,
    grade: Grade,
    source: &'a str,
    /// "default" when the catalogue holds the same entry, "file" else.
    set_by: &'static str,
}

#[derive(Serialize)]
struct MonteCarlo<'a> {
    plan: &'a str,
    quantity: String,
    mean: f64,
    standard_error: Option<f64>,
    /// Mean of the first eighth, quarter, half and all of the summers.
    convergence: [f64; 4],
}

/// The manifest of a run of plans, with every number and who set it.
pub fn of_run(
    scenario: &Scenario,
    outcome: &RunOutcome,
    facts: &Facts,
    outputs: &[(String, Vec<u8>)],
) -> Manifest {
    let known = Known::of(scenario);
    let parameters: Vec<Parameter> = numbers(scenario)
        .into_iter()
        .map(|(path, number)| Parameter {
            set_by: if known.holds(&path, number) {
                "default"
            } else {
                "file"
            },
            path,
            value: number.value,
            unit: &number.unit,
            range: number.range,
            spread: number.spread,
            grade: number.grade,
            source: &number.source,
        })
        .collect();
    let settings = &scenario.settings;
    let crops: Vec<CropFacts> = scenario
        .crops
        .iter()
        .map(|c| CropFacts {
            name: &c.name,
            kind: &c.kind.id,
            plants: c.count,
            worth: c.worth,
        })
        .collect();
    let warnings: Vec<&String> = scenario.warnings.iter().chain(&outcome.warnings).collect();
    Manifest::new(facts, Some(scenario), outputs)
        .of_summers(outcome.seed, outcome.summers)
        .with("tie_band", settings.tie_band)
        .with("denominator", DOTS.min(outcome.summers as usize))
        .with("cell_m", settings.cell_m)
        .with("most_insects", settings.most_insects)
        .with("plans", plans(scenario))
        .with(
            "pressure",
            Range {
                said: &scenario.pressure.said,
                low: scenario.pressure.low,
                high: scenario.pressure.high,
            },
        )
        .with(
            "wind",
            match &scenario.wind {
                Wind::Still => "still air",
                Wind::Unknown => "unknown",
                Wind::Rose { said, .. } | Wind::Record { said, .. } => said,
            },
        )
        .with("window_days", scenario.window.days)
        .with("first_day", scenario.window.first_day.as_deref())
        .with("isolated", scenario.isolated)
        .with("crops", crops)
        .with("defaults", &scenario.defaults)
        .with("parameters", parameters)
        .with("monte_carlo", monte_carlo(outcome))
        .with("warnings", warnings)
}

/// The manifest of a command whose result is no run of plans as JSON text; `scenario` when the command takes one.
pub fn run_manifest(
    facts: &Facts,
    seed: u64,
    scenario: Option<&Scenario>,
    outputs: &[(String, Vec<u8>)],
) -> String {
    pretty(&Manifest::new(facts, scenario, outputs).of_summers(seed, None))
}

fn plans(scenario: &Scenario) -> Vec<PlanFacts<'_>> {
    let trap_facts = |t: &crate::scenario::Trap| (t.lure, t.kind);
    scenario
        .plans
        .iter()
        .map(|plan| PlanFacts {
            name: &plan.name,
            methods: plan
                .methods
                .iter()
                .map(|m| MethodFacts {
                    method: &m.kind.id,
                    crops: m
                        .crops
                        .iter()
                        .map(|c| scenario.crops[*c].name.as_str())
                        .collect(),
                    what: m.describe(),
                })
                .collect(),
            traps: plan
                .traps
                .iter()
                .map(|t| {
                    let (lure, kind) = trap_facts(t);
                    TrapFacts {
                        name: &t.name,
                        x_m: t.at.x,
                        y_m: t.at.y,
                        lure: scenario.lures.get(lure).map(|l| l.id.as_str()),
                        n_lures: t.n_lures,
                        trap: scenario.trap_kinds.get(kind).map(|k| k.id.as_str()),
                        role: t.role,
                        strength: t.strength,
                        lure_age_d: t.lure_age_d,
                        from_day: t.from_day,
                        to_day: t.to_day,
                        empty_every_d: t.empty_every_d,
                        neighbours: t.neighbours,
                        catch_radius_m: t.catch_radius_m,
                    }
                })
                .collect(),
        })
        .collect()
}

fn monte_carlo(outcome: &RunOutcome) -> Vec<MonteCarlo<'_>> {
    let mut all = Vec::new();
    let mut add = |plan, quantity: &str, values: &[f64]| {
        let n = values.len();
        let convergence = [8, 4, 2, 1].map(|part| mean(&values[..n.div_ceil(part)]));
        all.push(MonteCarlo {
            plan,
            quantity: quantity.into(),
            mean: mean(values),
            standard_error: standard_error(values),
            convergence,
        });
    };
    for (i, plan) in outcome.plans.iter().enumerate() {
        add(&plan.name, "damage", &plan.damage_by_summer);
        let catches: Vec<f64> = plan.caught_by_summer.iter().map(|c| *c as f64).collect();
        add(&plan.name, "catch", &catches);
        if let Some(first) = outcome.plans.first().filter(|_| i > 0) {
            let differences = paired::differences(&first.damage_by_summer, &plan.damage_by_summer);
            add(&plan.name, &say!("manifest.change"), &differences);
        }
    }
    all
}

/// What the catalogue holds for the things of a scenario.
struct Known {
    entries: Vec<(String, Sourced)>,
}

impl Known {
    fn of(scenario: &Scenario) -> Self {
        let mut entries = Vec::new();
        if let Some(pest) = catalogue::pest(&scenario.pest.id) {
            for info in catalogue::PestValues::TABLE {
                entries.extend(
                    pest.values
                        .get(info.key)
                        .map(|v| (format!("pest.{}", info.key), v.clone())),
                );
            }
        }
        for (i, lure) in scenario.lures.iter().enumerate() {
            if let Some(lure) = catalogue::lure(&lure.id) {
                for info in catalogue::LureValues::TABLE {
                    entries.extend(
                        lure.values
                            .get(info.key)
                            .map(|v| (format!("lures[{i}].{}", info.key), v.clone())),
                    );
                }
            }
        }
        for (i, kind) in scenario.trap_kinds.iter().enumerate() {
            if let Some(kind) = catalogue::trap(&kind.id) {
                for info in catalogue::TrapValues::TABLE {
                    entries.extend(
                        kind.values
                            .get(info.key)
                            .map(|v| (format!("traps[{i}].{}", info.key), v.clone())),
                    );
                }
            }
        }
        for (i, crop) in scenario.crops.iter().enumerate() {
            let Some(kind) = catalogue::crop(&crop.kind.id) else {
                continue;
            };
            if let Some(host) = kind
                .hosts
                .get(&scenario.pest.id)
                .or_else(|| kind.hosts.get("other"))
            {
                entries.push((format!("crops[{i}].detection"), host.detection.clone()));
                entries.push((format!("crops[{i}].acceptance"), host.acceptance.clone()));
            }
            entries.push((format!("crops[{i}].units"), kind.leaf_area.clone()));
            entries.extend(kind.fruit.map(|fruit| (format!("crops[{i}].units"), fruit)));
        }
        for (i, plan) in scenario.plans.iter().enumerate() {
            for (j, method) in plan.methods.iter().enumerate() {
                for (key, value) in catalogue::method(&method.kind.id)
                    .iter()
                    .flat_map(|k| &k.values)
                {
                    let path = format!("plans[{i}].methods[{j}].{key}");
                    entries.push((path, value.clone()));
                }
            }
        }
        Known { entries }
    }

    fn holds(&self, path: &str, number: &Sourced) -> bool {
        self.entries
            .iter()
            .any(|(known, entry)| known == path && entry == number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hash_of_abc_is_the_published_one() {
        // FIPS 180-4 example, from memory.
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
