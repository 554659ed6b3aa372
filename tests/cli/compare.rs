//! `compare` as people meet it: files, text that fits, repeatable bytes, and clear refusals.

use super::{check_bytes, lurefield, repeated, shipped_path, told, yard_with};

const FILES: [&str; 7] = [
    "compare.txt",
    "compare.json",
    "compare.csv",
    "manifest.json",
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

/// The same plans with few beetles and three days, for what takes many summers.
fn light() -> String {
    let few = r#"],
"window": { "days": 3 },
"surroundings": { "pressure": { "on_plants_a_day": [0.2, 0.6] } }
}"#;
    let text = plans();
    let end = text.rfind(']').unwrap();
    format!("{}{few}", &text[..end])
}

#[test]
fn compare_writes_its_files_and_text_that_fits() {
    let folder = tempfile::tempdir().unwrap();
    let (out, err, code) = compare(folder.path(), &light(), &[]);
    assert_eq!(code, 0, "{err}");
    for name in FILES {
        assert!(
            folder.path().join("out/compare").join(name).is_file(),
            "{name}"
        );
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
fn json_holds_every_plan_and_counts_of_the_summers_that_follow_the_dots() {
    let folder = tempfile::tempdir().unwrap();
    let (out, err, code) = compare(folder.path(), &light(), &["--json"]);
    assert_eq!(code, 0, "{err}");
    let json: serde_json::Value = serde_json::from_str(&out).unwrap();
    let band = json["tie_band"].as_f64().unwrap();
    let rows = json["plans"].as_array().unwrap();
    assert_eq!(rows.len(), 3);
    for row in rows {
        let dots: Vec<f64> = serde_json::from_value(row["difference_dots"].clone()).unwrap();
        let count = |key: &str| row[key].as_u64().unwrap() as usize;
        let follows = |key: &str, dots: usize| (20 * count(key)).abs_diff(8 * dots) <= 20;
        assert!(
            follows("more", dots.iter().filter(|d| **d > band).count()),
            "{row}"
        );
        assert!(
            follows("less", dots.iter().filter(|d| **d < -band).count()),
            "{row}"
        );
        assert_eq!(count("more") + count("same") + count("less"), 8);
        assert_eq!(count("of"), 8);
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
            let (_, err, code) = compare(folder.path(), &light(), &["--threads", n]);
            assert_eq!(code, 0, "{err}");
            let read =
                |name: &&str| std::fs::read(folder.path().join("out/compare").join(name)).unwrap();
            FILES.iter().map(read).collect()
        })
        .collect();
    assert!(runs[0] == runs[1] && runs[0] == runs[2]);
}

#[test]
fn against_another_plan_turns_the_sign() {
    let folder = tempfile::tempdir().unwrap();
    let mean = |more: &[&str], name: &str| {
        let (out, err, code) = compare(folder.path(), &light(), more);
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
    assert!(err.contains("no neighbor's plot"), "{err}");
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
    // File, line and path stand before every fault.
    assert!(
        err.contains("yard.json:7: plans[0].methods[0]."),
        "no place in:\n{err}"
    );
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
    refused(
        r#"{ "method": "row-cover", "mesh_mm": 500 }"#,
        &["a mesh of 500 mm; write at most 100 mm"],
    );
    refused(
        r#"{ "method": "row-cover", "from_day": 99 }"#,
        &["plans[0].methods[0].from_day: day 99 of 14; write 1 to 14"],
    );
    refused(
        r#"{ "method": "hand-removal", "times": [] }"#,
        &["plans[0].methods[0].times: 0 times of day"],
    );
    refused(
        r#"{ "method": "hand-removal", "times": ["19:00", "19:00"] }"#,
        &["\"19:00\" is written twice; write it once"],
    );
    refused(
        r#"{ "method": "hand-removal", "crops": ["beans", "beans"] }"#,
        &["\"beans\" is named twice"],
    );
    refused(
        r#"{ "method": "hand-removal", "crops": [] }"#,
        &["no crop is named"],
    );
}

#[test]
fn compare_itself_refuses_what_check_refuses_and_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let text = yard_with(
        "plans",
        r#""plans": [{ "name": "a", "methods": [{ "method": "row-cover", "mesh_mm": -1 }] }]"#,
    );
    let (out, err, code) = compare(folder.path(), &text, &[]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains("plans[0].methods[0].mesh_mm"), "{err}");
    assert!(!folder.path().join("out").exists());
}

/// Every shipped yard: lines that fit, the doubt, the caution and the repeat line, and no "-0.0".
#[test]
fn every_shipped_yard_fits_80_columns() {
    let folder = tempfile::tempdir().unwrap();
    let shipped = std::fs::read_dir(shipped_path("")).unwrap();
    let mut seen = 0;
    for entry in shipped.map(|e| e.unwrap().path()) {
        let name = entry.file_name().unwrap().to_string_lossy().into_owned();
        let is_yard = entry.extension().is_some_and(|e| e == "json");
        if !is_yard || name == "scenario.schema.json" {
            continue;
        }
        let output = lurefield()
            .current_dir(folder.path())
            .arg("compare")
            .arg(&entry)
            .args(["--summers", "3", "--out", "out"])
            .output()
            .unwrap();
        let (out, err, code) = told(&output);
        assert_eq!(code, 0, "{name}: {err}");
        for line in out.lines() {
            assert!(line.chars().count() <= 80, "{name}: {line}");
        }
        for words in [
            "not a forecast",
            "Repeat: lurefield check",
            "How sure are we",
            "Why:",
        ] {
            assert!(out.contains(words), "{name}: no \"{words}\" in:\n{out}");
        }
        let minus_zero = |word: &str| {
            let number = word.trim_matches(|c: char| c != '-' && !c.is_ascii_digit());
            number.starts_with("-0") && number.chars().all(|c| "-0.".contains(c))
        };
        assert!(!out.split_whitespace().any(minus_zero), "{name}:\n{out}");
        seen += 1;
    }
    assert!(seen >= 10, "{seen} yards");
}

/// A trap for males on an orchard: the text says plainly why a full trap need not save fruit.
#[test]
fn a_trap_for_males_is_explained() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(shipped_path("dozen-apples-codling-moth.json")).unwrap();
    let (out, err, code) = compare(folder.path(), &text, &[]);
    assert_eq!(code, 0, "{err}");
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "Such a trap tells you when moths fly. It is not meant to stop them.",
        "males lay no eggs",
        "Why a trap full of males need not save fruit:",
        "mated females came in from outside",
        "To keep half of the females from it, traps must take about",
        "Better here: ",
    ] {
        assert!(flat.contains(words), "no \"{words}\" in:\n{out}");
    }
    // A lure for both sexes gets no such account.
    let text = std::fs::read_to_string(shipped_path("strawberry-netting.json")).unwrap();
    let (out, err, code) = compare(folder.path(), &text, &[]);
    assert_eq!(code, 0, "{err}");
    assert!(!out.contains("males"), "{out}");
}

#[test]
fn a_street_is_told_lot_by_lot_with_its_ends() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(shipped_path("street-of-five.json")).unwrap();
    let (out, err, code) = compare(folder.path(), &text, &[]);
    assert_eq!(code, 0, "{err}");
    let head = out.lines().find(|l| l.starts_with("lot by lot")).unwrap();
    let columns: Vec<&str> = head.split_whitespace().skip(3).collect();
    let lots = "yours lot 2 lot 3 lot 4 lot 5 ends between";
    assert_eq!(columns.join(" "), lots);
    let row = out
        .lines()
        .skip_while(|l| !l.starts_with("lot by lot"))
        .nth(1)
        .unwrap();
    let cells: Vec<f64> = row
        .split_whitespace()
        .rev()
        .take(7)
        .map(|c| c.parse().unwrap())
        .collect();
    // From the right: between, ends, lot 5 ... yours. One decimal each.
    assert!(
        (cells[1] - 0.5 * (cells[2] + cells[6])).abs() < 0.11,
        "{row}"
    );
    assert!(
        (cells[0] - (cells[3] + cells[4] + cells[5]) / 3.0).abs() < 0.11,
        "{row}"
    );
}

#[test]
fn pairing_is_told_with_its_bound_and_few_summers_get_no_word() {
    let folder = tempfile::tempdir().unwrap();
    let (out, err, code) = compare(folder.path(), &light(), &["--details"]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains(" times of at most "), "{out}");
    assert!(out.contains("All plans together: "), "{out}");
    for word in [
        "[usually]",
        "[almost always]",
        "\nMore damage:",
        "\nLess damage:",
    ] {
        assert!(!out.contains(word), "{word} after 8 summers:\n{out}");
    }
    let (json, err, code) = compare(folder.path(), &light(), &["--json", "--spread"]);
    assert_eq!(code, 0, "{err}");
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    for row in json["plans"].as_array().unwrap().iter().skip(1) {
        let (Some(factor), Some(limit)) = (
            row["pairing_factor"].as_f64(),
            row["pairing_limit"].as_f64(),
        ) else {
            continue;
        };
        assert!(factor <= limit * (1.0 + 1e-9), "{factor} of {limit}");
    }
    assert!(json["pairing_overall"].as_f64().unwrap() > 0.0);
    let spread = json["spread"].as_array().unwrap();
    assert_eq!(spread.len(), 3);
    assert!(spread[0]["damage"]["between"].as_f64().unwrap() >= 0.0);
}

/// A question at a help desk: one bed, one trap, a distance. Two commands give sentence, picture and alternative.
#[test]
fn a_bed_a_trap_and_a_distance_give_a_sentence_a_picture_and_an_alternative() {
    let folder = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| {
        let output = lurefield()
            .current_dir(folder.path())
            .args(args)
            .stdin(std::process::Stdio::null())
            .output()
            .unwrap();
        told(&output)
    };
    let (out, err, code) = run(&[
        "new",
        "y.json",
        "--crop",
        "rose",
        "--trap-distance",
        "10 ft",
    ]);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("lurefield compare y.json"), "{out}");
    let (out, err, code) = run(&["compare", "y.json", "--summers", "20", "--out", "out"]);
    assert_eq!(code, 0, "{err}");
    assert!(
        out.contains("\"trap by the row\"") && !out.contains("less damage: \"trap"),
        "{out}"
    );
    assert!(out.contains("Better here: "), "{out}");
    // The cover table keeps roses open.
    assert!(
        out.contains("picking by hand at dusk") && !out.contains("net over"),
        "{out}"
    );
    assert!(
        folder
            .path()
            .join("out/compare/compare-change-map.png")
            .is_file()
    );
}

/// `check MANIFEST --repeat` makes the same bytes again, for `compare` with its options and for `place`.
#[test]
fn results_of_compare_and_place_repeat_from_their_manifests() {
    let folder = tempfile::tempdir().unwrap();
    let (_, err, code) = compare(
        folder.path(),
        &light(),
        &["--against", "a", "--most-summers", "9"],
    );
    assert_eq!(code, 0, "{err}");
    let placed = lurefield()
        .current_dir(folder.path())
        .args([
            "place",
            "yard.json",
            "--summers",
            "2",
            "--sites",
            "9",
            "--sweep",
            "none",
            "--out",
            "placed",
        ])
        .output()
        .unwrap();
    assert!(placed.status.success(), "{:?}", told(&placed));
    for manifest in ["out/compare/manifest.json", "placed/place/manifest.json"] {
        let repeat = || repeated(folder.path(), manifest);
        let (out, err, code) = repeat();
        assert_eq!(code, 0, "{manifest}: {err}");
        assert!(out.contains("byte for byte"), "{out}");
        // A changed result is told, with the file's name and exit code 1.
        let path = folder.path().join(manifest);
        let text = std::fs::read_to_string(&path).unwrap();
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        let first = &value["outputs"][0];
        let (file, hash) = (
            first["file"].as_str().unwrap(),
            first["sha256"].as_str().unwrap(),
        );
        std::fs::write(&path, text.replace(hash, &"0".repeat(64))).unwrap();
        let (_, err, code) = repeat();
        assert_eq!(code, 1, "{err}");
        assert!(err.contains("different") && err.contains(file), "{err}");
    }
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
