//! `place`: wrong questions are refused with a remedy, right ones leave their files.

use super::{lurefield, told, yard_with};

fn ask(text: &str, arguments: &[&str]) -> (String, String, i32, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("yard.json"), text).unwrap();
    let output = lurefield()
        .current_dir(folder.path())
        .args(["place", "yard.json", "--summers", "2", "--sites", "9"])
        .args(arguments)
        .output()
        .unwrap();
    let (out, err, code) = told(&output);
    (out, err, code, folder)
}

#[track_caller]
fn refused(text: &str, arguments: &[&str], words: &[&str]) {
    let (_, err, code, _) = ask(text, arguments);
    assert_eq!(code, 2, "{err}");
    for word in words {
        assert!(err.contains(word), "\"{word}\" is not in:\n{err}");
    }
}

#[test]
fn tolerance_of_100_or_more_is_refused() {
    refused(
        &yard_with("", ""),
        &["--tolerance", "101"],
        &["--tolerance", "less than 100"],
    );
}

#[test]
fn spot_outside_the_yard_is_refused() {
    let spots = r#""spots": [{ "name": "far", "at": ["70 ft", "10 ft"] }]"#;
    refused(
        &yard_with("extra", spots),
        &[],
        &["spots[0].at", "outside the yard", "move it inside"],
    );
}

#[test]
fn yard_without_a_free_place_is_refused() {
    let zone = r#""no_hang": [{ "name": "all", "from": [-1, -1], "to": [30, 30] }]"#;
    let text = yard_with("extra", zone).replace(r#""at": ["#, r#""place_anyway": true, "at": ["#);
    refused(
        &text,
        &[],
        &["no place is left to hang a trap", "free some room"],
    );
}

#[test]
fn plan_without_a_trap_is_refused() {
    let plans = r#""plans": [{ "name": "none", "traps": [] }]"#;
    refused(&yard_with("plans", plans), &[], &["add a plan with a trap"]);
}

#[test]
fn people_area_needs_a_patio() {
    refused(
        &yard_with("", ""),
        &["--objective", "people"],
        &["no patio", "add a structure"],
    );
}

#[test]
fn files_are_written_and_json_is_all_that_is_printed() {
    let (out, err, code, folder) = ask(&yard_with("", ""), &["--json", "--sweep", "none"]);
    assert_eq!(code, 0, "{err}");
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(value["sites"].as_array().unwrap().len(), 6);
    assert_eq!(value["summers"], 2);
    for name in [
        "placement.json",
        "placement.txt",
        "placement.csv",
        "placement-map.csv",
        "placement-map.png",
        "placement-map.svg",
        "placement-manifest.json",
    ] {
        assert!(
            folder.path().join("output/yard").join(name).exists(),
            "{name}"
        );
    }
    let text = std::fs::read_to_string(folder.path().join("output/yard/placement.txt")).unwrap();
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    assert!(text.contains("A simulation, not a forecast for your yard."));
}
