//! `lurefield run` through the program: files, exit codes, accounts, and nothing half written.

use super::{lurefield, shipped_path, told, yard_with};
use serde_json::Value;
use std::fs;
use std::path::Path;

const SCENARIOS: [&str; 7] = [
    "allotment-beetles.json",
    "backyard-pears-stink-bug.json",
    "dozen-apples-codling-moth.json",
    "strawberry-slugs.json",
    "isolated-orchard-perimeter.json",
    "weak-lure.json",
    "newark-wind-beetles.json",
];

fn run_into(folder: &Path, scenario: &str, extra: &[&str]) -> (String, String, i32) {
    let output = lurefield()
        .arg("run")
        .arg(shipped_path(scenario))
        .args(["--out", folder.to_str().unwrap()])
        .args(extra)
        .output()
        .unwrap();
    told(&output)
}

fn number(value: &Value, path: &str) -> u64 {
    value
        .pointer(path)
        .and_then(Value::as_u64)
        .unwrap_or_else(|| panic!("{path} is no whole number"))
}

#[test]
fn more_summers_never_raise_how_sure_we_are() {
    let folder = tempfile::tempdir().unwrap();
    let yard = yard_with(
        "plans",
        r#""plans": [{ "name": "a", "traps": [{ "at": ["30 ft", "20 ft"] }] },
            { "name": "hands", "methods": [{ "method": "hand-removal" }] }],
            "window": { "days": 1 }, "surroundings": { "pressure": { "on_plants_a_day": [0.05, 0.1] } }"#,
    );
    fs::write(folder.path().join("yard.json"), yard).unwrap();
    let levels = |command: &str, summers: &str| -> Vec<String> {
        let output = lurefield()
            .current_dir(folder.path())
            .args([command, "yard.json", "--json", "--summers", summers])
            .output()
            .unwrap();
        let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let level = |v: &serde_json::Value| v["believe"]["level"].as_str().unwrap().to_owned();
        let plans = json["plans"].as_array().unwrap().iter().map(level);
        std::iter::once(level(&json)).chain(plans).collect()
    };
    for command in ["run", "compare"] {
        let few = levels(command, "2");
        assert_eq!(few, ["LOW", "MEDIUM", "MEDIUM", "LOW"]);
        assert_eq!(few, levels(command, "400"));
    }
}

#[test]
fn every_shipped_scenario_runs_and_its_insects_balance() {
    for scenario in SCENARIOS {
        let folder = tempfile::tempdir().unwrap();
        let (out, err, code) = run_into(folder.path(), scenario, &["--summers", "4", "--json"]);
        assert_eq!(code, 0, "{scenario}: {err}");
        assert_eq!(
            err, "",
            "{scenario}: no progress where standard error is no terminal"
        );
        let summary: Value = serde_json::from_str(&out).unwrap();
        assert_eq!(number(&summary, "/format"), 1);
        assert_eq!(number(&summary, "/summers"), 4);
        let plans = summary["plans"].as_array().unwrap();
        assert!(plans.len() >= 2, "{scenario}");
        for plan in plans {
            assert_eq!(plan["damage"]["dots"].as_array().unwrap().len(), 20);
            let n = |key: &str| number(plan, &format!("/insects/{key}"));
            assert!(n("initial") + n("entered") > 0);
            assert_eq!(
                n("initial") + n("entered"),
                n("caught") + n("killed") + n("removed") + n("died") + n("left") + n("alive"),
                "{scenario}"
            );
        }
        let written = fs::read_to_string(folder.path().join("run/summary.json")).unwrap();
        assert_eq!(written.trim_end(), out.trim_end());
        for name in [
            "manifest.json",
            "summary.csv",
            "damage-map.png",
            "damage-map.svg",
            "twenty-summers.png",
        ] {
            let size = fs::metadata(folder.path().join("run").join(name))
                .unwrap()
                .len();
            assert!(size > 200, "{scenario}: {name} has {size} bytes");
        }
    }
}

#[test]
fn a_lure_without_strength_changes_nothing_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let (out, _, _) = run_into(
        folder.path(),
        "weak-lure.json",
        &["--summers", "40", "--json"],
    );
    let summary: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(
        summary["plans"][0]["damage"]["dots"],
        summary["plans"][1]["damage"]["dots"]
    );
    assert_eq!(
        summary["plans"][0]["insects"],
        summary["plans"][1]["insects"]
    );
}

#[test]
fn thread_counts_give_the_same_bytes_in_every_file() {
    let mut first: Option<Vec<(String, Vec<u8>)>> = None;
    for threads in ["1", "2", "7"] {
        let folder = tempfile::tempdir().unwrap();
        let (_, err, code) = run_into(
            folder.path(),
            "allotment-beetles.json",
            &["--summers", "30", "--threads", threads, "--quiet"],
        );
        assert_eq!(code, 0, "{err}");
        let mut files: Vec<(String, Vec<u8>)> = fs::read_dir(folder.path().join("run"))
            .unwrap()
            .map(|e| e.unwrap().path())
            .filter(|p| p.is_file())
            .map(|p| {
                (
                    p.file_name().unwrap().to_string_lossy().into_owned(),
                    fs::read(&p).unwrap(),
                )
            })
            .collect();
        files.sort();
        assert!(files.len() > 20);
        match &first {
            None => first = Some(files),
            Some(expected) => assert!(*expected == files, "{threads} threads gave other bytes"),
        }
    }
}

#[test]
fn text_fits_eighty_columns_and_carries_the_cautions() {
    let folder = tempfile::tempdir().unwrap();
    let (out, _, code) = run_into(
        folder.path(),
        "backyard-pears-stink-bug.json",
        &["--summers", "20"],
    );
    assert_eq!(code, 0);
    for line in out.lines() {
        assert!(line.chars().count() <= 80, "too wide: {line}");
    }
    for caution in [
        "A simulation, not a forecast for your yard.",
        "local extension office",
        "Repeat: lurefield check",
    ] {
        assert!(out.contains(caution), "missing: {caution}");
    }
}

#[test]
fn quiet_prints_nothing_and_still_writes() {
    let folder = tempfile::tempdir().unwrap();
    let (out, err, code) = run_into(
        folder.path(),
        "strawberry-slugs.json",
        &["--summers", "4", "--quiet"],
    );
    assert_eq!((out.as_str(), err.as_str(), code), ("", "", 0));
    assert!(folder.path().join("run/summary.json").exists());
}

#[test]
fn a_file_in_place_of_the_folder_is_a_failure_before_any_work() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("taken");
    fs::write(&file, "mine").unwrap();
    let (out, err, code) = run_into(&file, "allotment-beetles.json", &[]);
    assert_eq!(code, 1);
    assert_eq!(out, "");
    assert!(
        err.contains("a file stands where a folder is needed; choose another with --out"),
        "{err}"
    );
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
}

#[test]
fn no_summers_and_too_many_insects_are_refused_with_the_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let (_, err, code) = run_into(folder.path(), "allotment-beetles.json", &["--summers", "0"]);
    assert_eq!(code, 2);
    assert!(err.contains("--summers"), "{err}");
    let text = fs::read_to_string(shipped_path("allotment-beetles.json")).unwrap();
    let crowded = text.replace(
        r#""pressure": "usual""#,
        r#""pressure": { "on_plants_a_day": 60000 }"#,
    );
    assert_ne!(text, crowded);
    let file = folder.path().join("crowded.json");
    fs::write(&file, crowded).unwrap();
    let out = folder.path().join("results");
    let output = lurefield()
        .arg("run")
        .arg(&file)
        .arg("--out")
        .arg(&out)
        .output()
        .unwrap();
    let (_, err, code) = told(&output);
    assert_eq!(code, 2);
    assert!(
        err.contains("insects, more than the 2000000 allowed (lower the pressure"),
        "{err}"
    );
    assert_eq!(
        fs::read_dir(&out).unwrap().count(),
        0,
        "nothing half written"
    );
}

#[cfg(unix)]
#[test]
fn a_stop_leaves_the_old_result_whole_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let mut child = lurefield()
        .arg("run")
        .arg(shipped_path("allotment-beetles.json"))
        .args([
            "--summers",
            "1000000",
            "--out",
            folder.path().to_str().unwrap(),
        ])
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    std::thread::sleep(std::time::Duration::from_millis(1500));
    let killed = std::process::Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status()
        .unwrap();
    assert!(killed.success());
    let status = child.wait().unwrap();
    assert_eq!(status.code(), Some(1));
    assert_eq!(
        fs::read_dir(folder.path()).unwrap().count(),
        0,
        "nothing half written"
    );
}

#[test]
fn a_result_repeats_from_its_manifest_and_a_changed_one_is_told() {
    let folder = tempfile::tempdir().unwrap();
    // This scenario names a wind record, which must travel with the result.
    let (_, err, code) = run_into(
        folder.path(),
        "newark-wind-beetles.json",
        &["--summers", "6", "--quiet"],
    );
    assert_eq!(code, 0, "{err}");
    let manifest = folder.path().join("run/manifest.json");
    let repeat = || {
        told(
            &lurefield()
                .arg("check")
                .arg(&manifest)
                .arg("--repeat")
                .output()
                .unwrap(),
        )
    };
    let (out, err, code) = repeat();
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with("Same: all "), "{out}");

    let text = fs::read_to_string(&manifest).unwrap();
    let value: Value = serde_json::from_str(&text).unwrap();
    let hash = value["outputs"][0]["sha256"].as_str().unwrap();
    fs::write(&manifest, text.replace(hash, &"0".repeat(64))).unwrap();
    let (_, err, code) = repeat();
    assert_eq!(code, 1);
    assert!(err.starts_with("different: 1 of "), "{err}");

    fs::write(
        folder.path().join("run/inputs/newark-wind-beetles.json"),
        "{}",
    )
    .unwrap();
    let (_, err, code) = repeat();
    assert_eq!(code, 2);
    assert!(
        err.contains("is another one; make the result again"),
        "{err}"
    );
    fs::write(&manifest, "{}").unwrap();
    assert_eq!(repeat().2, 2);
}
