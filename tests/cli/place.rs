//! `place`: wrong questions are refused with a remedy, right ones leave their files.

use super::{lurefield, repeated, told, yard_with};

/// An option that the arguments do not set themselves.
fn usual<'a>(name: &'a str, value: &'a str, arguments: &[&str]) -> Vec<&'a str> {
    if arguments.contains(&name) {
        Vec::new()
    } else {
        vec![name, value]
    }
}

fn ask(text: &str, arguments: &[&str]) -> (String, String, i32, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("yard.json"), text).unwrap();
    let output = lurefield()
        .current_dir(folder.path())
        .args(["place", "yard.json"])
        .args(usual("--summers", "2", arguments))
        .args(usual("--sites", "9", arguments))
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
        &["no patio", "Add a structure"],
    );
}

#[test]
fn files_are_written_and_json_is_all_that_is_printed() {
    let (out, err, code, folder) = ask(&quick(""), &["--json", "--sweep", "none"]);
    assert_eq!(code, 0, "{err}");
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(value["sites"].as_array().unwrap().len(), 9);
    assert_eq!(value["summers"], 2);
    assert_eq!(value["settled"], false);
    assert!(value["map"]["model"].is_string() && number(&value["map"], "left_out_rms") >= 0.0);
    for name in [
        "placement.json",
        "placement.txt",
        "placement.csv",
        "placement-map.csv",
        "placement-map.png",
        "placement-map.svg",
        "manifest.json",
    ] {
        assert!(
            folder.path().join("output/yard/place").join(name).exists(),
            "{name}"
        );
    }
    let text =
        std::fs::read_to_string(folder.path().join("output/yard/place/placement.txt")).unwrap();
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    assert!(text.contains("A simulation, not a forecast for your yard."));
}

/// A yard whose summers are short, with more parts of a file.
fn quick(more: &str) -> String {
    let comma = if more.is_empty() { "" } else { "," };
    let short = r#""window": { "days": 2 }, "surroundings": { "pressure": "light" }"#;
    yard_with("extra", &format!("{short}{comma} {more}"))
}

/// The result of a search in a folder of its own, as JSON, with the text that goes with it.
#[track_caller]
fn found(text: &str, arguments: &[&str]) -> (serde_json::Value, String) {
    let mut all = vec!["--json", "--quiet", "--sweep", "none"];
    all.extend(arguments);
    let (out, err, code, folder) = ask(text, &all);
    assert_eq!(code, 0, "{err}");
    let kept = folder.path().join("output/yard/place/placement.txt");
    let text = std::fs::read_to_string(kept).unwrap();
    (
        serde_json::from_str(&out).unwrap(),
        text.split_whitespace().collect::<Vec<_>>().join(" "),
    )
}

fn sites(value: &serde_json::Value) -> Vec<serde_json::Value> {
    value["sites"].as_array().unwrap().clone()
}

fn length(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}

#[track_caller]
fn number(value: &serde_json::Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("{key} of {value}"))
}

#[test]
fn every_site_has_its_numbers_and_the_lists_point_at_sites() {
    let spots = r#""spots": [{ "name": "b", "at": ["30 ft", "30 ft"] }, { "name": "a", "at": ["30 ft", "30 ft"] },
        { "name": "c", "at": ["21 ft", "22 ft"] }]"#;
    let (value, text) = found(&quick(spots), &[]);
    let sites = sites(&value);
    assert_eq!(sites.len(), 9 + 3);
    for site in &sites {
        for key in ["x_m", "y_m", "change_mean", "se"] {
            assert!(number(site, key).is_finite(), "{site}");
        }
        let counts = ["more", "same", "less"].map(|k| number(site, k));
        assert_eq!(counts.iter().sum::<f64>(), 2.0, "{site}");
        assert!((number(site, "of") - 2.0).abs() < 1e-9);
    }
    let spots = value["spots"].as_array().unwrap();
    assert_eq!(spots.len(), 3, "every spot is ranked");
    let of = |name: &str| {
        let named =
            |r: &&serde_json::Value| sites[r["site"].as_u64().unwrap() as usize]["name"] == name;
        spots.iter().find(named).unwrap()
    };
    assert_eq!(
        of("a")["rank"],
        of("b")["rank"],
        "two spots at one place tie"
    );
    assert!(of("a")["tied"] == true && text.contains("(a tie)"));
    assert!((value["worst"].as_u64().unwrap() as usize) < sites.len());
    assert!(!value["best"].as_array().unwrap().is_empty());
    assert!(value["verdict"].is_string());
    assert!(value.as_object().unwrap().contains_key("neighbour_change"));
}

#[test]
fn tidy_table_has_a_row_a_number_and_the_grid_a_row_a_cell() {
    let (_, err, code, folder) = ask(&quick(""), &["--quiet", "--sweep", "none"]);
    assert_eq!(code, 0, "{err}");
    let read = |name: &str| {
        let path = folder.path().join("output/yard/place").join(name);
        std::fs::read_to_string(path).unwrap()
    };
    let tidy = read("placement.csv");
    assert!(tidy.starts_with("object,name,x_m,y_m,quantity,value,unit"));
    assert_eq!(tidy.lines().count(), 1 + 9 * 9);
    let grid = read("placement-map.csv");
    let value: serde_json::Value = serde_json::from_str(&read("placement.json")).unwrap();
    let (columns, rows) = (
        number(&value["map"], "columns"),
        number(&value["map"], "rows"),
    );
    assert_eq!(grid.lines().count() as f64, 1.0 + columns * rows);
    for line in grid.lines().skip(1) {
        let zone = line.rsplit(',').next().unwrap();
        assert!(
            [
                "hang here",
                "could go either way",
                "makes no difference",
                "never here",
                "closed"
            ]
            .contains(&zone),
            "{line}"
        );
    }
}

#[test]
fn wasps_over_the_shipped_patio_are_counted_and_a_trap_beside_it_brings_more() {
    let text = std::fs::read_to_string(super::shipped_path("patio-wasps.json")).unwrap();
    let (value, text) = found(&text, &["--objective", "people", "--sites", "12"]);
    assert_eq!(value["objective"], "people");
    assert!(
        value["unit"]
            .as_str()
            .unwrap()
            .contains("over or beside \"patio\"")
    );
    assert!(number(&value, "base_mean") > 0.0);
    let sites = sites(&value);
    let worst = &sites[value["worst"].as_u64().unwrap() as usize];
    let best = &sites[value["best"][0]["site"].as_u64().unwrap() as usize];
    let from_table =
        |site: &serde_json::Value| length(number(site, "x_m") - 9.144, number(site, "y_m") - 3.658);
    assert!(from_table(worst) < from_table(best), "{worst} {best}");
    assert!(number(worst, "change_mean") > 0.0);
    for site in &sites {
        let (x, y) = (number(site, "x_m") / 0.3048, number(site, "y_m") / 0.3048);
        let inside = x > 21.0 && x < 39.0 && y > 6.0 && y < 20.0;
        assert!(!inside, "no trap may hang on the patio: {site}");
    }
    assert!(text.contains("Passes of"), "{text}");
}

/// A bare yard with a lawn that breeds beetles in the west, so that a trap near it sees them first.
fn lawn_yard() -> String {
    let extra = r#""surroundings": { "pressure": { "on_plants_a_day": 0.00002 },
        "sources": [{ "name": "lawn", "at": ["2 ft", "20 ft"], "radius": "4 ft", "a_day": 0.5 }] },
        "window": { "days": 8 },
        "spots": [{ "name": "near", "at": ["8 ft", "20 ft"] }, { "name": "far", "at": ["290 ft", "39 ft"] }]"#;
    let block =
        r#""block": { "from": ["8 ft", "8 ft"], "to": ["20 ft", "32 ft"], "count": [3, 7] }"#;
    // One bean, so that the few from the lawn are not lost among those that come to a bed.
    yard_with("extra", extra)
        .replace(block, r#""single": ["20 ft", "20 ft"]"#)
        .replace(r#""width": "60 ft""#, r#""width": "300 ft""#)
}

#[test]
fn monitoring_trap_sees_them_sooner_near_where_they_breed() {
    let (value, text) = found(&lawn_yard(), &["--objective", "catch", "--summers", "200"]);
    assert_eq!(value["verdict"], "ranked-for-catch");
    let base = number(&value, "base_mean");
    assert_eq!(base, 9.0, "no trap catches nothing in 8 days");
    let sites = sites(&value);
    for site in &sites {
        let chance = number(site, "catches_share");
        assert!((0.0..=1.0).contains(&chance), "{site}");
        let day = base + number(site, "change_mean");
        assert!((1.0..=9.0).contains(&day), "{site}");
    }
    let named = |name: &str| sites.iter().find(|s| s["name"] == name).unwrap();
    let (near, far) = (named("near"), named("far"));
    let gap = number(far, "change_mean") - number(near, "change_mean");
    let se = length(number(far, "se"), number(near, "se"));
    assert!(gap > 4.0 * se, "within 4 standard errors: {near} {far}");
    assert!(number(near, "catches_share") >= number(far, "catches_share"));
    assert!(text.contains("catches at least one in"), "{text}");
    assert!(!text.contains("Never here"), "{text}");
}

#[test]
fn tolerance_0_counts_every_summer_with_damage_and_a_high_one_none() {
    let (value, text) = found(&quick(""), &["--tolerance", "0"]);
    assert_eq!(value["objective"], "tolerance");
    assert!(number(&value, "damage_without") > 0.0);
    assert_eq!(number(&value, "base_mean"), 100.0);
    assert!(
        sites(&value)
            .iter()
            .all(|s| number(s, "change_mean") == 0.0)
    );
    assert!(text.contains("Summers of 100 with over 0 in 100"), "{text}");
    let (value, text) = found(&quick(""), &["--tolerance", "99.99"]);
    assert_eq!(number(&value, "base_mean"), 0.0);
    assert_eq!(value["verdict"], "makes-no-difference");
    assert!(
        text.contains("the trap makes no difference to the number of bad summers"),
        "{text}"
    );
}

#[test]
fn tolerance_below_0_or_with_another_objective_is_refused() {
    refused(
        &quick(""),
        &["--tolerance=-1"],
        &["--tolerance", "0 or more"],
    );
    refused(
        &quick(""),
        &["--tolerance", "5", "--objective", "catch"],
        &["--tolerance goes with --objective damage"],
    );
}

#[test]
fn places_outside_are_tried_and_the_line_about_next_door_is_always_there() {
    let theirs = r#""neighbours": [{ "name": "next door", "from": ["62 ft", 0], "to": ["90 ft", "40 ft"],
        "crops": [{ "name": "their rose", "kind": "rose", "single": ["70 ft", "20 ft"] }] }]"#;
    let outside = ["--outside", "12 ft", "--sites", "30"];
    let (value, text) = found(&quick(theirs), &outside);
    let beyond = |s: &&serde_json::Value| number(s, "x_m") > 60.0 * 0.3048;
    assert!(sites(&value).iter().filter(beyond).count() > 0);
    assert!(number(&value, "neighbour_change").is_finite());
    assert!(
        text.contains("What it does next door:") && text.contains("in 100"),
        "{text}"
    );
    let (value, text) = found(&quick(""), &outside);
    assert!(value["neighbour_change"].is_null());
    assert!(text.contains("What it does next door: not known"), "{text}");
    refused(
        &quick(""),
        &["--outside", "500 ft"],
        &["--outside", "write 0 to", "ft"],
    );
    refused(
        &quick(""),
        &["--outside", "5 bananas"],
        &["--outside", "such as \"30 ft\""],
    );
}

#[test]
fn seconds_end_the_search_in_time_and_the_summers_used_repeat_it() {
    let short = ["--seconds", "0.001", "--summers", "200"];
    let (value, text) = found(&quick(""), &short);
    assert_eq!(value["stopped_early"], true);
    let used = value["summers"].as_u64().unwrap();
    assert!(used < 40, "{used}");
    assert!(
        text.contains(&format!("ran out after {used} of 200 summers")),
        "{text}"
    );
    assert!(
        text.contains(&format!("run place again with --summers {used}")),
        "{text}"
    );
    let (again, _) = found(&quick(""), &["--summers", &used.to_string()]);
    assert_eq!(again["sites"], value["sites"]);
    assert_eq!(again["stopped_early"], false);
    for bad in ["--seconds=0", "--seconds=-3", "--seconds=nan"] {
        refused(&quick(""), &[bad], &["--seconds: write a number above 0"]);
    }
}

#[test]
fn seconds_that_run_out_leave_the_sweeps_out_and_say_so() {
    let budget = ["--json", "--quiet", "--seconds", "0.001", "--sweep", "all"];
    let (out, err, code, _) = ask(&quick(""), &budget);
    assert_eq!(code, 0, "{err}");
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert!(value["sweeps"].as_array().unwrap().is_empty());
    assert_eq!(value["stopped_early"], true);
    let notes = value["notes"].to_string();
    assert!(notes.contains("distance, side, number, spacing"), "{notes}");
}

#[test]
fn sites_keep_their_distance_from_paths() {
    let path = r#""structures": [{ "name": "walk", "kind": "path", "from": ["28 ft", 0], "to": ["32 ft", "10 ft"] },
        { "name": "pond", "kind": "pond", "from": ["50 ft", "30 ft"], "to": ["58 ft", "38 ft"] }]"#;
    let yard = quick(path);
    let (near, _) = found(&yard, &["--sites", "100"]);
    let (kept, _) = found(&yard, &["--sites", "100", "--from-paths", "8 ft"]);
    let away = |s: &serde_json::Value| {
        let (x, y) = (number(s, "x_m") / 0.3048, number(s, "y_m") / 0.3048);
        length((28.0 - x).max(x - 32.0).max(0.0), (y - 10.0).max(0.0))
    };
    assert!(sites(&kept).iter().all(|s| away(s) >= 8.0));
    let too_near = sites(&near).iter().filter(|s| away(s) < 8.0).count();
    assert!(too_near > 0);
    assert_eq!(sites(&near).len(), sites(&kept).len());
    refused(
        &yard,
        &["--from-paths", "400 ft"],
        &["--from-paths", "write 0 to"],
    );
    refused(
        &yard,
        &["--from-paths", "90 ft"],
        &["no place is left", "paths", "free some room"],
    );
}

#[test]
fn best_places_keep_their_distance_from_each_other() {
    for (apart, least_m) in [("0 ft", 0.0), ("12 ft", 3.6576)] {
        let (value, _) = found(&quick(""), &["--sites", "40", "--apart", apart]);
        let sites = sites(&value);
        let best: Vec<&serde_json::Value> = value["best"]
            .as_array()
            .unwrap()
            .iter()
            .map(|r| &sites[r["site"].as_u64().unwrap() as usize])
            .collect();
        assert!(best.len() > 1);
        for (i, a) in best.iter().enumerate() {
            for b in &best[i + 1..] {
                let (x, y) = (
                    number(a, "x_m") - number(b, "x_m"),
                    number(a, "y_m") - number(b, "y_m"),
                );
                assert!(length(x, y) >= least_m, "{a} {b}");
            }
        }
    }
    refused(
        &quick(""),
        &["--apart", "2000 ft"],
        &["--apart", "write 0 to", "ft"],
    );
}

#[test]
fn number_of_sites_out_of_bounds_is_refused() {
    for bad in ["0", "5001"] {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("yard.json"), quick("")).unwrap();
        let output = lurefield()
            .current_dir(folder.path())
            .args(["place", "yard.json", "--sites", bad])
            .output()
            .unwrap();
        let (_, err, code) = told(&output);
        assert_eq!(code, 2, "{err}");
        assert!(
            err.contains("--sites") && err.contains("1 to 5000"),
            "{err}"
        );
    }
}

#[test]
fn search_with_every_option_repeats_from_its_manifest() {
    let options = [
        "--tolerance",
        "2.5",
        "--outside",
        "6 ft",
        "--from-paths",
        "1 ft",
        "--apart",
        "5 ft",
        "--sweep",
        "none",
        "--quiet",
    ];
    let (_, err, code, folder) = ask(&quick(""), &options);
    assert_eq!(code, 0, "{err}");
    let (out, err, code) = repeated(folder.path(), "output/yard/place/manifest.json");
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("byte for byte"), "{out}");
}

/// A yard where a neighbor hangs a trap in one plan.
fn beside_a_neighbor() -> String {
    quick(
        r#""neighbours": [{ "name": "east", "from": ["62 ft", 0], "to": ["90 ft", "40 ft"], "trap": { "at": ["66 ft", "20 ft"] } }]"#,
    )
}

#[test]
fn neighbors_trap_hangs_only_when_asked_and_then_the_first_line_says_so() {
    let (value, text) = found(&beside_a_neighbor(), &[]);
    assert_eq!(value["against"], "no trap");
    assert!(!text.starts_with("With the neighbor's trap"), "{text}");
    assert!(text.contains("--with-neighbors-traps"), "{text}");
    let (value, text) = found(&beside_a_neighbor(), &["--with-neighbors-traps"]);
    assert_eq!(value["against"], "the neighbor's trap alone");
    assert!(
        text.starts_with("With the neighbor's trap already hanging:"),
        "{text}"
    );
}

#[test]
fn without_a_number_the_search_takes_the_summers_it_needs_and_repeats_from_its_manifest() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("yard.json"), quick("")).unwrap();
    let output = lurefield()
        .current_dir(folder.path())
        .args(["place", "yard.json", "--sites", "24", "--json"])
        .output()
        .unwrap();
    let (out, err, code) = told(&output);
    assert_eq!(code, 0, "{err}");
    let value: serde_json::Value = serde_json::from_str(&out).unwrap();
    let summers = value["summers"].as_u64().unwrap();
    assert!((60..=2_000).contains(&summers), "{summers}");
    assert_eq!(value["summers_asked"], value["summers"]);
    let manifest = folder.path().join("output/yard/place/manifest.json");
    let manifest = std::fs::read_to_string(manifest).unwrap();
    assert!(manifest.contains(&format!("\"{summers}\"")), "{manifest}");
    let (out, err, code) = repeated(folder.path(), "output/yard/place/manifest.json");
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("byte for byte"), "{out}");
}
