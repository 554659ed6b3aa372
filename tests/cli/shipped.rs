//! The scenarios that come with the program.

use lurefield::scenario::{describe, read, schema};
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

fn shipped() -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            path.extension().is_some_and(|e| e == "json") && !path.ends_with("scenario.schema.json")
        })
        .map(|path| {
            (
                path.file_name().unwrap().to_string_lossy().into_owned(),
                std::fs::read_to_string(&path).unwrap(),
            )
        })
        .collect();
    out.sort();
    out
}

fn load(name: &str) -> Result<String, String> {
    std::fs::read_to_string(folder().join(name)).map_err(|e| e.to_string())
}

#[test]
fn every_shipped_scenario_reads_without_a_fault() {
    let all = shipped();
    assert!(all.len() >= 7, "{} scenarios", all.len());
    for (name, text) in &all {
        let scenario = read(text, name, &load).unwrap_or_else(|faults| {
            panic!(
                "{}",
                faults
                    .iter()
                    .map(ToString::to_string)
                    .collect::<Vec<_>>()
                    .join("\n")
            )
        });
        assert!(
            scenario.plans[0].traps.is_empty(),
            "{name}: first plan has traps"
        );
        assert!(
            scenario.note.to_lowercase().contains("invented"),
            "{name}: note does not say it is invented"
        );
        for line in describe(&scenario).lines() {
            assert!(
                line.chars().count() <= 80,
                "{name}: wider than 80 columns: {line}"
            );
        }
    }
}

#[test]
fn every_shipped_scenario_names_the_schema_and_fits_it() {
    let schema = schema();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for (name, text) in shipped() {
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["$schema"], "scenario.schema.json", "{name}");
        let errors: Vec<String> = validator
            .iter_errors(&value)
            .map(|e| e.to_string())
            .collect();
        assert!(errors.is_empty(), "{name}: {errors:?}");
    }
}

#[test]
fn shipped_schema_is_the_generated_one() {
    let shipped = std::fs::read_to_string(folder().join("scenario.schema.json")).unwrap();
    let shipped: serde_json::Value = serde_json::from_str(&shipped).unwrap();
    assert_eq!(
        shipped,
        schema(),
        "write it anew with `lurefield schema > scenarios/scenario.schema.json`"
    );
}
