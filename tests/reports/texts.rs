//! Terminal text, JSON, tables and manifest agree with each other and with the pictures.

use crate::fixture;
use lurefield::count::outcome::RunOutcome;
use lurefield::figure;
use lurefield::report::{self, Facts, csv, json, provenance, text, words};
use lurefield::scenario::Scenario;
use lurefield::study::finding::Finding;

fn facts() -> Facts {
    Facts {
        version: "0.0.0-test".into(),
        scenario_sha256: provenance::sha256(b"the scenario text"),
        inputs: vec![("wind.csv".into(), provenance::sha256(b"the wind"))],
        generator: "named in a test".into(),
        stream_scheme: "named in a test".into(),
        command: vec!["run".into()],
    }
}

fn made() -> (Scenario, RunOutcome) {
    let scenario = fixture::scenario();
    let outcome = fixture::outcome(&scenario, 1000);
    (scenario, outcome)
}

fn said(scenario: &Scenario, outcome: &RunOutcome) -> String {
    text::run(scenario, outcome, &["damage-map.png".into()])
}

/// The text on one line, so that a sentence is found wherever it was wrapped.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn text_and_picture_agree_to_the_last_count() {
    let (scenario, outcome) = made();
    let said = flat(&said(&scenario, &outcome));
    let picture = figure::dots::difference(&scenario, &outcome).unwrap();
    let summary: serde_json::Value =
        serde_json::from_str(&json::summary(&scenario, &outcome)).unwrap();
    for (i, plan) in scenario.plans.iter().enumerate().skip(1) {
        let dots: Vec<f64> = picture
            .table
            .rows
            .iter()
            .filter(|r| r[0] == plan.name)
            .map(|r| r[2].parse().unwrap())
            .collect();
        let more = dots.iter().filter(|d| **d > 1.0).count();
        let less = dots.iter().filter(|d| **d < -1.0).count();
        let none = 20 - more - less;
        let sentence = format!("More in {more} of 20, no change in {none}, less in {less}.");
        assert!(said.contains(&sentence), "{sentence}\n{said}");
        assert!(picture.svg.contains(&format!(">more in {more} of 20<")));
        let against = &summary["plans"][i]["against_first"];
        assert_eq!(against["more_of_20"], more);
        assert_eq!(against["no_change_of_20"], none);
        assert_eq!(against["less_of_20"], less);
    }
}

#[test]
fn no_line_passes_80_columns() {
    let (mut scenario, mut outcome) = made();
    let check = |text: &str| {
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
            assert_eq!(line.trim_end(), line);
        }
    };
    check(&said(&scenario, &outcome));
    let long =
        "A very long name of a plan that somebody typed without thinking of the terminal at all "
            .repeat(3);
    scenario.plans[1].name = long.clone();
    outcome.plans[1].name = long;
    scenario.pest.short = "insects-with-a-name-that-does-not-end-".repeat(4);
    check(&said(&scenario, &outcome));
}

#[test]
fn the_order_is_sentence_damage_pictures_reason_instead_caution_badge_repeat_details() {
    let (scenario, outcome) = made();
    let said = flat(&said(&scenario, &outcome));
    let parts = [
        "In 20 of 20 summers",
        "Damage, with the catch beside it",
        "Pictures in",
        "Why: of every 100",
        "Instead:",
        "A simulation, not a forecast for your yard.",
        "Check with your local extension office: dates, thresholds and laws differ.",
        "How sure are we?",
        "The weakest number this rests on: assumed",
        "A change up to 1 in 100 counts as no change.",
        "Repeat, in this folder: lurefield check manifest.json --repeat",
        "Behind the numbers:",
        "After \u{b1}: how far the average may be off",
        "Seed 7.",
    ];
    let places: Vec<usize> = parts
        .iter()
        .map(|p| said.find(p).unwrap_or_else(|| panic!("{p}\n{said}")))
        .collect();
    assert!(places.is_sorted(), "{places:?}");
}

/// What is printed without the details keeps all that people read, and none of the seeds and errors.
#[test]
fn the_details_can_be_left_out() {
    let (scenario, outcome) = made();
    let all = said(&scenario, &outcome);
    let short = words::without_details(&all);
    assert!(
        all.starts_with(&short) && short.ends_with("--repeat\n"),
        "{short}"
    );
    for technical in ["Seed", "\u{b1}", "Field patterns", "Behind the numbers"] {
        assert!(!short.contains(technical), "{technical}\n{short}");
    }
    assert!(short.contains("Better here") || short.contains("Instead"));
    assert_eq!(words::without_details("Nothing.\n"), "Nothing.\n");
}

#[test]
fn parts_of_100_answers_add_up() {
    let (scenario, outcome) = made();
    let said = flat(&said(&scenario, &outcome));
    assert!(
        said.contains("43 ended in a trap, 40 on a plant, 16 went away. And 1 did none of these."),
        "{said}"
    );
}

#[test]
fn a_close_call_has_no_verdict_word() {
    let (scenario, mut outcome) = made();
    let n = outcome.summers as usize;
    let first = outcome.plans[0].damage_by_summer.clone();
    outcome.plans[1].damage_by_summer = first
        .iter()
        .enumerate()
        .map(|(i, d)| if i < n / 2 { d + 5.0 } else { d - 5.0 })
        .collect();
    let found = Finding::all(&scenario, &outcome);
    let verdict = words::verdict(&scenario, "it", &found[1]);
    assert_eq!(verdict.word, None);
    assert!(
        verdict.sentence.starts_with("Could go either way"),
        "{}",
        verdict.sentence
    );
    assert!(
        verdict
            .sentence
            .contains("More in 10 of 20, no change in 0, less in 10.")
    );
}

#[test]
fn a_lure_without_strength_says_no_change_in_20_of_20() {
    let (scenario, mut outcome) = made();
    outcome.plans[1].damage_by_summer = outcome.plans[0].damage_by_summer.clone();
    let said = flat(&said(&scenario, &outcome));
    assert!(
        said.contains("In 20 of 20 summers, \"Trap 10 ft from the roses\" made no change"),
        "{said}"
    );
}

#[test]
fn a_rare_summer_is_told() {
    let (scenario, mut outcome) = made();
    let first = outcome.plans[0].damage_by_summer.clone();
    outcome.plans[1].damage_by_summer = first.iter().map(|d| d + 5.0).collect();
    outcome.plans[1].damage_by_summer[3] = first[3] - 5.0;
    assert!(flat(&said(&scenario, &outcome)).contains("A rare summer went the other way."));
}

#[test]
fn few_summers_are_a_preview_and_very_few_have_no_word() {
    let scenario = fixture::scenario();
    let said_of = |summers| flat(&said(&scenario, &fixture::outcome(&scenario, summers)));
    let full = said_of(1000);
    assert!(!full.contains("preview") && full.contains("[almost always]"));
    assert!(full.contains("\u{b1} 0.1) in 100"), "{full}");
    let few = said_of(59);
    assert!(few.contains("This is a preview from 59 summers"), "{few}");
    assert!(few.contains("[preview]") && !few.contains("[almost always]"));
}

#[test]
fn a_run_that_is_not_settled_names_the_plans_and_says_preview_or_still_open() {
    let (scenario, mut outcome) = made();
    outcome.settled = false;
    outcome.plans[1].change.error = 0.4;
    let preview = flat(&said(&scenario, &outcome));
    assert!(
        preview.contains("[almost always] [preview]")
            && preview.contains(
                "This is a preview from 1,000 summers. More summers could still move the word or the average of \
                 \"Trap 10 ft from the roses\". Leave out --summers"
            ),
        "{preview}"
    );
    outcome.most = 1000;
    let open = flat(&said(&scenario, &outcome));
    assert!(
        open.contains("It is still open with 1,000 summers run. More summers could"),
        "{open}"
    );
    assert!(!open.contains("preview"));
}

#[test]
fn summary_holds_the_numbers_of_the_outcome() {
    let (scenario, outcome) = made();
    let value: serde_json::Value =
        serde_json::from_str(&json::summary(&scenario, &outcome)).unwrap();
    assert_eq!(value["format"], 1);
    assert_eq!(value["summers"], 1000);
    assert_eq!(value["plans"].as_array().unwrap().len(), 3);
    for (plan, result) in value["plans"]
        .as_array()
        .unwrap()
        .iter()
        .zip(&outcome.plans)
    {
        assert_eq!(plan["damage"]["dots"].as_array().unwrap().len(), 20);
        assert_eq!(plan["damage"]["unit"], "leaves chewed of 100");
        assert_eq!(plan["insects"]["caught"], result.insects.caught);
        assert_eq!(plan["answers"]["answered"], result.answers.answered);
        assert_eq!(plan["crops"][0]["damage"], result.crop_damage[0]);
        let mean = result.damage_by_summer.iter().sum::<f64>() / 1000.0;
        assert!((plan["damage"]["mean"].as_f64().unwrap() - mean).abs() < 1e-9);
    }
    // A ring without plants is null, never zero.
    assert!(value["plans"][1]["rings"][0]["damage"].is_null());
}

#[test]
fn cells_from_a_user_cannot_run_in_a_spreadsheet() {
    let (mut scenario, mut outcome) = made();
    outcome.plans[1].name = "=cmd|' /C calc'!A0".into();
    scenario.crops[0].name = "@roses, \"red\"".into();
    scenario.plots[0].name = "-1+1".into();
    let table = csv::summary(&scenario, &outcome);
    let mut reader = ::csv::Reader::from_reader(table.as_bytes());
    assert_eq!(
        reader.headers().unwrap(),
        vec!["plan", "object", "quantity", "value", "unit"]
    );
    let mut objects = Vec::new();
    for record in reader.records() {
        let record = record.unwrap();
        assert_eq!(record.len(), 5);
        for cell in [&record[0], &record[1], &record[2], &record[4]] {
            assert!(!cell.starts_with(['=', '+', '-', '@']), "{cell}");
        }
        assert!(record[3].is_empty() || record[3].parse::<f64>().is_ok());
        objects.push(record[1].to_owned());
    }
    assert!(objects.contains(&"'@roses, \"red\"".to_owned()));
}

#[test]
fn grid_has_a_row_a_cell_with_its_centre() {
    let (scenario, outcome) = made();
    let grid = &outcome.plans[1].visits;
    let table = csv::grid(&scenario, grid);
    assert_eq!(table.lines().count(), 1 + grid.values.len());
    assert_eq!(table.lines().next(), Some("x_m,y_m,value"));
    let second = table.lines().nth(2).unwrap();
    assert_eq!(second, format!("0.3750,0.1250,{}", grid.values[1]));
}

#[test]
fn manifest_comes_last_and_holds_the_hash_of_every_other_file() {
    let (scenario, outcome) = made();
    let files = report::run_files(&scenario, &outcome, &facts());
    let (last, manifest) = files.last().unwrap();
    assert_eq!(last, "manifest.json");
    let manifest: serde_json::Value = serde_json::from_slice(manifest).unwrap();
    let outputs = manifest["outputs"].as_array().unwrap();
    assert_eq!(outputs.len(), files.len() - 1);
    for (entry, (name, bytes)) in outputs.iter().zip(&files) {
        assert_eq!(entry["file"], name.as_str());
        assert_eq!(entry["sha256"], provenance::sha256(bytes));
    }
    let mut names: Vec<&String> = files.iter().map(|(n, _)| n).collect();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), files.len());
    assert_eq!(manifest["seed"], 7);
    assert_eq!(manifest["denominator"], 20);
    assert_eq!(manifest["scenario"]["sha256"], facts().scenario_sha256);
    assert_eq!(manifest["defaults"][0]["path"], "window.days");
    assert_eq!(manifest["repeat"], "lurefield check manifest.json --repeat");
    assert!(
        manifest["monte_carlo"][0]["standard_error"]
            .as_f64()
            .unwrap()
            > 0.0
    );
}

#[test]
fn manifest_tells_defaults_from_changes_of_the_file() {
    let (mut scenario, outcome) = made();
    scenario.pest = lurefield::catalogue::pest("japanese-beetle").unwrap();
    scenario.pest.values.speed.value *= 1.01;
    let manifest: serde_json::Value =
        serde_json::to_value(provenance::of_run(&scenario, &outcome, &facts(), &[])).unwrap();
    let set_by = |path: &str| {
        let all = manifest["parameters"].as_array().unwrap();
        all.iter().find(|p| p["path"] == path).unwrap()["set_by"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    assert_eq!(set_by("pest.speed"), "file");
    assert_eq!(set_by("pest.segment_mean"), "default");
    assert_eq!(set_by("lures[0].reach"), "file");
}

/// Leaves the text where a person can read it.
#[test]
fn text_is_written_for_reading() {
    let (scenario, outcome) = made();
    let folder = std::env::temp_dir().join("lurefield-pictures");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, bytes) in report::run_files(&scenario, &outcome, &facts()) {
        if std::path::Path::new(&name)
            .extension()
            .is_none_or(|e| e != "png")
        {
            assert!(std::str::from_utf8(&bytes).is_ok(), "{name}");
        }
        std::fs::write(folder.join(name), bytes).unwrap();
    }
}

#[test]
fn files_of_a_run_are_equal_bytes_when_made_twice() {
    let (scenario, outcome) = made();
    assert_eq!(
        report::run_files(&scenario, &outcome, &facts()),
        report::run_files(&scenario, &outcome, &facts())
    );
}
