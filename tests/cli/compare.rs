//! `compare` as people meet it: files, text that fits, repeatable bytes, and clear refusals.

use super::{check_bytes, lurefield, shipped_path, told, yard_with};

const FILES: [&str; 7] = [
    "compare.txt",
    "compare.json",
    "compare.csv",
    "compare-manifest.json",
    "compare-change-map.png",
    "compare-twenty-summers.svg",
    "inputs/yard.json",
];

fn compare(folder: &std::path::Path, text: &str, more: &[&str]) -> (String, String, i32) {
    std::fs::write(folder.join("yard.json"), text).unwrap();
    let mut command = lurefield();
    command
        .current_dir(folder)
        .args(["compare", "yard.json", "--summers", "8", "--out", "out"])
        .args(more);
    told(&command.output().unwrap())
}

fn plans() -> String {
    yard_with(
        "plans",
        r#""plans": [{ "name": "nothing" }, { "name": "a", "traps": [{ "at": ["30 ft", "20 ft"] }] },
           { "name": "hands", "methods": [{ "method": "hand-removal" }], "dollars": 5 }]"#,
    )
}

#[test]
fn compare_writes_its_files_and_text_that_fits() {
    let folder = tempfile::tempdir().unwrap();
    let (out, err, code) = compare(folder.path(), &plans(), &[]);
    assert_eq!(code, 0, "{err}");
    for name in FILES {
        assert!(folder.path().join("out").join(name).is_file(), "{name}");
    }
    assert!(out.lines().all(|l| l.chars().count() <= 80), "{out}");
    for words in [
        "Set against \"nothing\"",
        "[preview]",
        "not a forecast",
        "Repeat: lurefield check",
        "picking by hand",
    ] {
        assert!(out.contains(words), "\"{words}\" is not in:\n{out}");
    }
}

#[test]
fn json_holds_every_plan_and_counts_that_equal_the_dots() {
    let folder = tempfile::tempdir().unwrap();
    let (out, err, code) = compare(folder.path(), &plans(), &["--json"]);
    assert_eq!(code, 0, "{err}");
    let json: serde_json::Value = serde_json::from_str(&out).unwrap();
    let band = json["tie_band"].as_f64().unwrap();
    let rows = json["plans"].as_array().unwrap();
    assert_eq!(rows.len(), 3);
    for row in rows {
        let dots: Vec<f64> = serde_json::from_value(row["difference_dots"].clone()).unwrap();
        let count = |key: &str| row[key].as_u64().unwrap() as usize;
        assert_eq!(count("more"), dots.iter().filter(|d| **d > band).count());
        assert_eq!(count("less"), dots.iter().filter(|d| **d < -band).count());
        assert_eq!(count("more") + count("same") + count("less"), 20);
        assert_eq!(row["against"], "nothing");
        for key in [
            "word",
            "difference_mean",
            "difference_se",
            "damage_mean",
            "caught_mean",
            "minutes",
            "dollars",
        ] {
            assert!(!row[key].is_null(), "{key}");
        }
    }
    assert_eq!(rows[2]["dollars"], 5.0);
    assert_eq!(rows[0]["difference_mean"], 0.0);
}

#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    let runs: Vec<Vec<Vec<u8>>> = ["1", "2", "7"]
        .iter()
        .map(|n| {
            let folder = tempfile::tempdir().unwrap();
            let (_, err, code) = compare(folder.path(), &plans(), &["--threads", n]);
            assert_eq!(code, 0, "{err}");
            let read = |name: &&str| std::fs::read(folder.path().join("out").join(name)).unwrap();
            FILES.iter().map(read).collect()
        })
        .collect();
    assert!(runs[0] == runs[1] && runs[0] == runs[2]);
}

#[test]
fn against_another_plan_turns_the_sign() {
    let folder = tempfile::tempdir().unwrap();
    let mean = |more: &[&str], name: &str| {
        let (out, err, code) = compare(folder.path(), &plans(), more);
        assert_eq!(code, 0, "{err}");
        let json: serde_json::Value = serde_json::from_str(&out).unwrap();
        let rows = json["plans"].as_array().unwrap().clone();
        let row = rows.iter().find(|r| r["name"] == name).unwrap();
        row["difference_mean"].as_f64().unwrap()
    };
    let there = mean(&["--json"], "a");
    let back = mean(&["--json", "--against", "a"], "nothing");
    assert!((there + back).abs() < 1e-9, "{there} {back}");
}

#[test]
fn the_fence_gives_four_plans_and_both_sides() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(shipped_path("allotment-beetles.json")).unwrap();
    let (out, err, code) = compare(folder.path(), &text, &["--fence"]);
    assert_eq!(code, 0, "{err}");
    for words in [
        "neither hangs a trap",
        "only I hang traps",
        "only they hang traps",
        "both hang traps",
        "Next door, \"east plot\"",
    ] {
        assert!(out.contains(words), "\"{words}\" is not in:\n{out}");
    }
    let (_, err, code) = compare(folder.path(), &plans(), &["--fence"]);
    assert_eq!(code, 2);
    assert!(err.contains("no neighbour's plot"), "{err}");
}

#[test]
fn a_missing_plan_is_refused_with_the_nearest_name() {
    let folder = tempfile::tempdir().unwrap();
    let (_, err, code) = compare(folder.path(), &plans(), &["--against", "nothin"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("there is no plan \"nothin\"; did you mean \"nothing\"?"),
        "{err}"
    );
}

#[track_caller]
fn refused(method: &str, words: &[&str]) {
    let plans = format!(r#""plans": [{{ "name": "a", "methods": [{method}] }}]"#);
    let (err, code) = check_bytes(yard_with("plans", &plans).as_bytes());
    assert_eq!(code, 2, "{err}");
    for word in words {
        assert!(err.contains(word), "\"{word}\" is not in:\n{err}");
    }
}

#[test]
fn wrong_methods_are_refused_with_place_and_remedy() {
    refused(
        r#"{ "method": "row-cover", "mesh_mm": -1 }"#,
        &["yard.json:7: plans[0].methods[0].mesh_mm: a mesh of -1 mm; write the width of a hole"],
    );
    refused(
        r#"{ "method": "row-cover", "from_day": 9, "to_day": 4 }"#,
        &["plans[0].methods[0].to_day: it ends on day 4, before it starts on day 9"],
    );
    refused(
        r#"{ "method": "hand-removal", "crops": ["bean"] }"#,
        &["plans[0].methods[0].crops[0]: unknown crop \"bean\"; did you mean \"beans\"?"],
    );
    refused(
        r#"{ "method": "hand-removal", "times": ["25:00"] }"#,
        &["plans[0].methods[0].times[0]: \"25:00\" is no time of day; write 0:00 to 23:59"],
    );
    refused(
        r#"{ "method": "hand-removl" }"#,
        &["did you mean \"hand-removal\"?"],
    );
    refused(
        r#"{ "method": "trap-care" }"#,
        &["unknown method \"trap-care\""],
    );
    refused(
        r#"{ "method": "hand-removal", "mesh_mm": 2 }"#,
        &["\"hand-removal\" takes no \"mesh_mm\""],
    );
    refused(
        r#"{ "method": "hand-removal", "days_a_week": 8 }"#,
        &["8 days a week; write 1 to 7"],
    );
    refused(r#"{ "method": "fruit-bags" }"#, &["does not harm fruit"]);
    refused(
        r#"{ "method": "repellent", "every": 0 }"#,
        &["every 0 days"],
    );
    refused(
        r#"{ "method": "trap-crop" }"#,
        &["add a crop with \"trap_crop\": true"],
    );
    refused(
        r#"{ "method": "row-cover", "open_days": [5, 2] }"#,
        &["open from day 5 to day 2"],
    );
    refused(
        r#"{ "method": "row-cover", "values": { "leek": 0.1 } }"#,
        &["did you mean \"leak\"?"],
    );
    refused(
        r#"{ "method": "row-cover", "values": { "leak": 1.5 } }"#,
        &["leak"],
    );
}

#[test]
fn two_plans_of_one_name_are_refused() {
    let plans =
        r#""plans": [{ "name": "a" }, { "name": "A", "methods": [{ "method": "hand-removal" }] }]"#;
    let (err, code) = check_bytes(yard_with("plans", plans).as_bytes());
    assert_eq!(code, 2);
    assert!(err.contains("the name \"A\" is used twice"), "{err}");
}

#[test]
fn seasons_in_open_country_are_refused() {
    let (err, code) =
        check_bytes(yard_with("extra", r#""surroundings": { "seasons": 4 }"#).as_bytes());
    assert_eq!(code, 2);
    assert!(err.contains("\"setting\": \"isolated\""), "{err}");
}

#[test]
fn a_bed_that_is_no_crop_is_refused() {
    let bed = r#""surroundings": { "sources": [{ "name": "s", "bed": "peas", "a_day": 3 }] }"#;
    let (err, code) = check_bytes(yard_with("extra", bed).as_bytes());
    assert_eq!(code, 2);
    assert!(
        err.contains("surroundings.sources[0].bed: unknown crop \"peas\""),
        "{err}"
    );
}
