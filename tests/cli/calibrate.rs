//! `lurefield calibrate` through the program: the same bytes on any number of threads and after a stop, and an honest end
//! when nothing fits.

use super::{lurefield, told};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

const BUG: &str = "brown-marmorated-stink-bug";

fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_file())
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, fs::read(&path).unwrap())
        })
        .collect()
}

#[test]
fn stopped_and_taken_up_again_gives_the_same_bytes_on_any_number_of_threads() {
    let folder = tempfile::tempdir().unwrap();
    let command = |threads: &str, out: &str| {
        let mut command = lurefield();
        command.current_dir(folder.path());
        command.args(["calibrate", BUG, "--draws", "192", "--quiet"]);
        command.args(["--threads", threads, "--out", out]);
        command
    };
    let (out, err, code) = told(&command("1", "whole").output().unwrap());
    assert_eq!((out.as_str(), code), ("", 0), "{err}");
    let partial = folder.path().join("cut/calibration.partial.json");
    let mut child = command("2", "cut").spawn().unwrap();
    while !partial.exists() && child.try_wait().unwrap().is_none() {
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    child.kill().ok();
    child.wait().unwrap();
    let (_, err, code) = told(&command("2", "cut").output().unwrap());
    assert_eq!(code, 0, "{err}");
    let (whole, cut) = (
        contents(&folder.path().join("whole/calibrate")),
        contents(&folder.path().join("cut/calibrate")),
    );
    assert_eq!(
        whole.keys().collect::<Vec<_>>(),
        cut.keys().collect::<Vec<_>>()
    );
    for (name, bytes) in &whole {
        assert!(bytes == &cut[name], "{name} differs");
    }
    for name in [
        "calibration.txt",
        "draws.csv",
        "fitting-numbers.png",
        "distance-to-the-patterns.svg",
    ] {
        assert!(whole[name].len() > 300, "{name}");
    }
    assert_eq!(
        String::from_utf8_lossy(&whole["draws.csv"]).lines().count(),
        193
    );
    let made: Value = serde_json::from_slice(&whole[&format!("ensemble-{BUG}.json")]).unwrap();
    let found: Value = serde_json::from_slice(&whole["calibration.json"]).unwrap();
    assert_eq!(made["made"]["kept"], found["accepted"]);
    assert_eq!(
        made["sets"][0], found["kept"][0]["quantiles"],
        "the data file holds the sets that were tried"
    );
    let manifest = folder.path().join("whole/calibrate/manifest.json");
    let output = lurefield()
        .args(["check", manifest.to_str().unwrap(), "--repeat"])
        .output()
        .unwrap();
    let (out, err, code) = told(&output);
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with("Same: all"), "{out}");
}

#[test]
fn ranges_that_cannot_fit_end_with_a_report_and_no_data_file() {
    let folder = tempfile::tempdir().unwrap();
    // Three lures that call no farther than one: the catch cannot rise as it did.
    let priors =
        r#"{ "lure_values": { "japanese-beetle-both": { "strength_exponent": [0, 0] } } }"#;
    fs::write(folder.path().join("priors.json"), priors).unwrap();
    let output = lurefield()
        .current_dir(folder.path())
        .args([
            "calibrate",
            "japanese-beetle",
            "--draws",
            "4",
            "--out",
            "out",
        ])
        .args(["--priors", "priors.json"])
        .output()
        .unwrap();
    let (out, err, code) = told(&output);
    assert_eq!(code, 1, "{err}");
    assert!(err.contains("no set fits the field patterns"), "{err}");
    assert!(out.starts_with("No set fits: none of 4 sets"), "{out}");
    assert!(out.contains("turns away most sets is P8"), "{out}");
    assert!(out.contains("Nearest misses"), "{out}");
    let made = contents(&folder.path().join("out/calibrate"));
    assert!(made.contains_key("calibration.json"));
    assert!(!made.keys().any(|name| name.starts_with("ensemble-")));
}

#[test]
fn wrong_words_say_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in [
        ("typo.json", r#"{ "pest_value": {} }"#),
        ("number.json", r#"{ "pest_values": { "sped": 2 } }"#),
    ] {
        fs::write(folder.path().join(name), text).unwrap();
    }
    for (args, said) in [
        (&["codling-moth"][..], "Choose one of japanese-beetle, "),
        (&[BUG, "--draws", "1"], "1 is not in 2..=100000"),
        (&[BUG, "--priors", "typo.json"], "pest_values"),
        (&[BUG, "--priors", "number.json"], "speed"),
        (&[BUG, "--priors", "none.json"], "none.json"),
    ] {
        let output = lurefield()
            .current_dir(folder.path())
            .arg("calibrate")
            .args(args)
            .output()
            .unwrap();
        let (out, err, code) = told(&output);
        assert_eq!((out.as_str(), code), ("", 2), "{args:?}: {err}");
        assert!(err.contains(said), "{args:?}: {err}");
    }
}
