//! A season's flight curve feeds a yard: `window.flight`.

use super::{lurefield, told};
use serde_json::Value;
use std::fs;
use std::path::Path;

const YARD: &str = r#"{ "format": 1, "title": "Invented", "yard": { "width": 12, "depth": 10 },
    "crops": [{ "name": "apples", "kind": "apple", "row": { "from": [3, 5], "to": [9, 5], "count": 3 } }],
    "pest": "codling-moth", "window": { "flight": "season.json" },
    "plans": [{ "name": "none" }, { "name": "trap", "traps": [{ "at": [6, 8] }] }],
    "settings": { "summers": 3 } }"#;

fn call(folder: &Path, arguments: &[&str]) -> (String, String, i32) {
    told(
        &lurefield()
            .current_dir(folder)
            .args(arguments)
            .output()
            .unwrap(),
    )
}

/// The words of a season's command.
fn season<'a>(more: &[&'a str]) -> Vec<&'a str> {
    let begin = "season --pest codling-moth --data seattle --until 2014-06-01";
    begin.split(' ').chain(more.iter().copied()).collect()
}

#[test]
fn a_seasons_flight_sets_days_and_weights_and_is_kept_with_the_result() {
    let folder = tempfile::tempdir().unwrap();
    let here = folder.path();
    let (_, err, code) = call(here, &season(&["--out", "s", "--quiet"]));
    assert_eq!(code, 0, "{err}");
    let text = fs::read_to_string(here.join("s/season/season.json")).unwrap();
    let window: Value = serde_json::from_str::<Value>(&text).unwrap()["window"].clone();
    let weights = window["weights"].as_array().unwrap();
    assert_eq!(weights.len() as u64, window["days"].as_u64().unwrap());
    fs::copy(here.join("s/season/season.json"), here.join("season.json")).unwrap();
    fs::write(here.join("yard.json"), YARD).unwrap();
    let (_, err, code) = call(here, &["run", "yard.json", "--out", "by-file", "--quiet"]);
    assert_eq!(code, 0, "{err}");

    // The same numbers written by hand give the same summers.
    let by_hand = YARD.replace(
        r#"{ "flight": "season.json" }"#,
        &format!(
            r#"{{ "first_day": {}, "days": {}, "day_weights": {} }}"#,
            window["first_day"], window["days"], window["weights"]
        ),
    );
    fs::write(here.join("hand.json"), by_hand).unwrap();
    let (_, err, code) = call(here, &["run", "hand.json", "--out", "by-hand", "--quiet"]);
    assert_eq!(code, 0, "{err}");
    let csv = |name: &str| fs::read_to_string(here.join(name).join("run/summary.csv")).unwrap();
    assert_eq!(
        csv("by-file").replace("yard", "hand"),
        csv("by-hand").replace("yard", "hand")
    );

    fs::remove_file(here.join("season.json")).unwrap();
    let (out, err, code) = call(here, &["check", "by-file/run/manifest.json", "--repeat"]);
    assert_eq!(code, 0, "{out}{err}");
}

#[test]
fn a_flight_that_is_missing_or_of_another_pest_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let here = folder.path();
    fs::write(here.join("yard.json"), YARD).unwrap();
    let (_, err, code) = call(here, &["check", "yard.json"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("window.flight") && err.contains("lurefield season"),
        "{err}"
    );
    let (out, err, code) = call(here, &season(&["--json"]));
    assert_eq!(code, 0, "{err}");
    fs::write(here.join("season.json"), out).unwrap();
    let beetles = YARD
        .replace("codling-moth", "japanese-beetle")
        .replace("\"apple\"", "\"raspberry\"");
    fs::write(here.join("yard.json"), beetles).unwrap();
    let (_, err, code) = call(here, &["check", "yard.json"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("codling-moth") && err.contains("japanese-beetle"),
        "{err}"
    );
}
