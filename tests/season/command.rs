//! The command as people and scripts use it.

use crate::data;
use std::path::Path;
use std::process::{Command, Output};

/// Runs `lurefield season` with arguments in a folder.
pub(crate) fn season(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lurefield"))
        .arg("season")
        .args(args)
        .current_dir(folder)
        .output()
        .unwrap()
}

/// Runs it with arguments as they stand on a command line, none with a space in it.
pub(crate) fn line(folder: &Path, args: &str) -> Output {
    season(folder, &args.split_whitespace().collect::<Vec<_>>())
}

/// The same about the codling moth in Seattle, as JSON.
fn moth(folder: &Path, args: &str) -> serde_json::Value {
    answered(&line(
        folder,
        &format!("--pest codling-moth --data seattle --json {args}"),
    ))
}

/// The JSON on standard output.
pub(crate) fn answered(output: &Output) -> serde_json::Value {
    serde_json::from_slice(&output.stdout).unwrap()
}

pub(crate) fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

pub(crate) fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

pub(crate) fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn seattle(folder: &Path) -> String {
    let path = folder.join("daily.csv");
    std::fs::write(&path, lurefield::catalogue::season::SEATTLE).unwrap();
    path.display().to_string()
}

const NOTEBOOK: &str = "trap_id,date_set,date_checked,count,notes\n\
    old pear,2014-04-14,2014-04-21,0,\nold pear,,2014-04-28,,\"rain, nobody looked\"\nold pear,,2014-05-05,2,\n\
    old pear,,2014-05-12,9,\nold pear,,2014-05-19,14,\nfence,2014-04-14,2014-04-21,0,\nfence,,2014-05-05,1,\n\
    fence,,2014-05-12,3,\nfence,,2014-05-19,5,\n";

#[test]
fn json_goes_to_standard_output_alone_and_writes_no_files() {
    let dir = folder();
    let daily = seattle(dir.path());
    let output = season(
        dir.path(),
        &["--pest", "codling-moth", "--daily", &daily, "--json"],
    );
    assert!(output.status.success(), "{}", stderr(&output));
    assert_eq!(stderr(&output), "");
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    for event in answer["events"].as_array().unwrap() {
        assert!(event["name"].is_string() && event["degree_days"].is_number());
        assert!(event["date"].is_string() || event["date"].is_null());
    }
    // weather-checks.json, seattle-2014, sine 50/88 horizontal: sum to 31 August.
    let august = answer["cumulative_at_month_end"]["2014-08"]
        .as_f64()
        .unwrap();
    assert!((august - 2_025.626_481).abs() < 0.02);
    assert!(answer["cumulative"].as_f64().unwrap() > august);
    assert_eq!(answer["thresholds"]["lower_f"], 50.0);
    assert_eq!(answer["method_name"], "sine");
    assert_eq!(answer["last_day"], "2014-12-31");
    assert_eq!(
        std::fs::read_dir(dir.path()).unwrap().count(),
        1,
        "only the input is in the folder"
    );
}

#[test]
fn a_biofix_date_gives_the_published_passing_days() {
    // weather-checks.json, seattle-2012: 250 passed on 19 May when counted from 1 January.
    let dir = folder();
    let answer = moth(dir.path(), "--year 2012 --biofix 2012-01-01");
    let event = answer["events"]
        .as_array()
        .unwrap()
        .iter()
        .find(|e| e["degree_days"] == 250.0)
        .unwrap();
    assert_eq!(event["date"], "2012-05-19");
    assert_eq!(event["status"], "passed");
}

#[test]
fn two_runs_write_the_same_bytes() {
    let dir = folder();
    std::fs::write(dir.path().join("counts.csv"), NOTEBOOK).unwrap();
    let args =
        "--pest codling-moth --data seattle --until 2014-06-01 --crop apple --counts counts.csv";
    for out in ["a", "b"] {
        let output = line(dir.path(), &format!("{args} --out {out}"));
        assert!(output.status.success(), "{}", stderr(&output));
    }
    let mut names: Vec<String> = std::fs::read_dir(dir.path().join("a/season"))
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    for name in [
        "season.json",
        "season.txt",
        "details.txt",
        "season.ics",
        "degree-days.csv",
        "events.csv",
        "flight.csv",
        "calendar.svg",
        "flight.png",
    ] {
        assert!(
            names.iter().any(|n| n == name),
            "{name} is missing: {names:?}"
        );
    }
    for name in names {
        if name == "inputs" {
            continue;
        }
        let [a, b] = ["a/season", "b/season"]
            .map(|out| std::fs::read(dir.path().join(out).join(&name)).unwrap());
        assert_eq!(a, b, "{name}");
    }
}

#[test]
fn the_terminal_keeps_to_80_columns_and_short_sentences() {
    let dir = folder();
    std::fs::write(dir.path().join("counts.csv"), NOTEBOOK).unwrap();
    let newark = data("newark-2013-hourly.csv");
    let hourly =
        format!("--pest japanese-beetle --hourly {newark} --crop raspberry --until 2013-06-01");
    let runs = [
        "--pest codling-moth --data seattle --until 2014-06-01 --crop apple --counts counts.csv",
        &hourly,
        "--pest colorado-potato-beetle --data seattle",
        "--pest codling-moth --counts counts.csv --marked 50 --caught 60 --recaptured 10",
    ];
    let mut long = Vec::new();
    for args in runs {
        let output = line(dir.path(), &format!("{args} --no-figures"));
        assert!(output.status.success(), "{}", stderr(&output));
        let text = stdout(&output);
        for line in text.lines() {
            assert!(
                line.chars().count() <= 80,
                "{} columns: {line}",
                line.chars().count()
            );
        }
        assert!(text.contains("local extension office"));
        assert!(text.contains("se your local threshold"));
        assert!(text.contains("the label is the law"));
        // Sentences of the answer itself; sources and file lists are no prose.
        let prose = text
            .split("\nMethods and sources")
            .next()
            .unwrap()
            .replace("\n  - ", ". ");
        for paragraph in prose
            .split("\n\n")
            .filter(|p| !p.starts_with("What to do") && !p.starts_with("When, "))
        {
            let lines = paragraph
                .lines()
                .skip(1)
                .filter(|l| !l.contains(" around: ") && !l.contains("a day it is full"));
            let body = lines.collect::<Vec<_>>().join("\n");
            for sentence in body.split(['.', ':', '?', ';']) {
                if sentence.split_whitespace().count() > 20 {
                    long.push(sentence.split_whitespace().collect::<Vec<_>>().join(" "));
                }
            }
        }
    }
    assert!(long.is_empty(), "more than 20 words: {long:#?}");
}

#[test]
fn counts_alone_are_read_without_weather() {
    let dir = folder();
    std::fs::write(dir.path().join("counts.csv"), NOTEBOOK).unwrap();
    let answer = answered(&line(
        dir.path(),
        "--pest codling-moth --counts counts.csv --json",
    ));
    let understood = &answer["counts"]["understood"];
    assert_eq!(
        (
            understood["zeros"].as_u64(),
            understood["blanks"].as_u64(),
            understood["with_catch"].as_u64()
        ),
        (Some(2), Some(1), Some(6))
    );
}

#[test]
fn scale_and_method_are_always_said() {
    let dir = folder();
    let args = "--pest codling-moth --data seattle --method triangle --cutoff vertical --scale c --lower 10 --upper 30";
    let text = stdout(&line(dir.path(), &format!("{args} --no-figures --details")));
    assert!(
        text.contains("single triangle, 50-86 F (10.0-30.0 C), vertical cutoff"),
        "{text}"
    );
    assert!(text.contains("1 Jan"));
    let table = std::fs::read_to_string(
        dir.path()
            .join("output/season-codling-moth/season/degree-days.csv"),
    )
    .unwrap();
    let header = "date,degree_days_c_of_the_day,degree_days_c_so_far,method\r\n";
    assert!(table.starts_with(&format!("{header}2014-01-01,")));
    assert!(
        table
            .lines()
            .nth(1)
            .unwrap()
            .ends_with(",triangle 10/30 C vertical")
    );
    assert_eq!(table.lines().count(), 366);
}

#[test]
fn own_events_and_a_pest_of_ones_own_work() {
    let dir = folder();
    let args = "--pest custom --lower 50 --data seattle --year 2012 --event mark=250 --json";
    let answer = answered(&line(dir.path(), args));
    assert_eq!(answer["events"][0]["name"], "mark");
    assert!(answer["events"][0]["date"].is_string());
}

#[test]
fn the_window_weights_fit_a_scenario() {
    let dir = folder();
    let answer = moth(dir.path(), "--window-start 2014-05-10 --window-days 14");
    let weights: Vec<f64> = answer["window"]["weights"]
        .as_array()
        .unwrap()
        .iter()
        .map(|w| w.as_f64().unwrap())
        .collect();
    assert_eq!(weights.len(), 14);
    assert!((weights.iter().sum::<f64>() / 14.0 - 1.0).abs() < 1e-5);
}

#[test]
fn a_scenario_takes_the_window_as_it_is_written() {
    let dir = folder();
    let answer = moth(dir.path(), "--window-start 2014-05-20 --window-days 28");
    let shipped = format!(
        "{}/scenarios/dozen-apples-codling-moth.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(shipped).unwrap();
    let mut yard: serde_json::Value = serde_json::from_str(&text).unwrap();
    yard["window"] = serde_json::json!({
        "first_day": answer["window"]["first_day"],
        "days": answer["window"]["days"],
        "day_weights": answer["window"]["weights"],
    });
    let none = |name: &str| Err(format!("{name}: not needed"));
    let scenario = lurefield::scenario::read(&yard.to_string(), "yard.json", &none).unwrap();
    assert_eq!(scenario.window.days, 28);
    let weights = answer["window"]["weights"].as_array().unwrap();
    for (got, want) in scenario.window.day_weights.iter().zip(weights) {
        assert!((got - want.as_f64().unwrap()).abs() < 1e-5);
    }
    let [first, last] = [0, 27].map(|i| scenario.window.day_weights[i]);
    assert!((first - last).abs() > 0.2, "the flight is not flat");
}
