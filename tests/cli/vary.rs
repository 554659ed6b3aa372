//! `lurefield vary` through the program: the sentence, the files, and refusals that help.

use super::{lurefield, told, yard_with};
use serde_json::Value;
use std::fs;

fn vary(extra: &[&str], yard: &str) -> (tempfile::TempDir, (String, String, i32)) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("yard.json"), yard).unwrap();
    let output = lurefield()
        .current_dir(folder.path())
        .args(["vary", "yard.json", "--out", "out"])
        .args(extra)
        .output()
        .unwrap();
    (folder, told(&output))
}

fn small_yard() -> String {
    yard_with(
        "extra",
        r#""window": { "days": 1 }, "surroundings": { "pressure": { "on_plants_a_day": [0.05, 0.1] } }"#,
    )
}

#[test]
fn the_first_line_says_what_flips_the_verdict_and_every_file_is_there() {
    let extra = ["--summers", "3", "--settle", "12"];
    let (folder, (out, err, code)) = vary(&extra, &small_yard());
    assert_eq!(code, 0, "{err}");
    let first = out.split_inclusive('.').next().unwrap();
    assert!(
        first.starts_with("The verdict flips if the ") || first.starts_with("No single number"),
        "{out}"
    );
    assert!(out.contains("A preview: 3 summers at each value."));
    for caution in [
        "not a forecast for your yard",
        "local extension office",
        "the label is the law",
    ] {
        assert!(out.contains(caution), "missing: {caution}");
    }
    for line in out.lines() {
        assert!(line.chars().count() <= 80, "too wide: {line}");
    }
    let json: Value =
        serde_json::from_slice(&fs::read(folder.path().join("out/vary.json")).unwrap()).unwrap();
    let sweeps = json["sweeps"].as_array().unwrap();
    assert!(sweeps.len() > 20);
    let rows = fs::read_to_string(folder.path().join("out/vary.csv")).unwrap();
    assert_eq!(rows.lines().count(), 1 + 7 * sweeps.len());
    for sweep in sweeps {
        let levels = sweep["levels"].as_array().unwrap();
        assert_eq!(levels[0]["quantile"], 0.0);
        assert_eq!(levels[6]["quantile"], 1.0);
    }
    for name in [
        "vary.txt",
        "what-moves-the-answer.png",
        "how-the-average-settles.svg",
    ] {
        assert!(
            fs::metadata(folder.path().join("out").join(name))
                .unwrap()
                .len()
                > 200,
            "{name}"
        );
    }
}

#[test]
fn its_manifest_makes_the_same_bytes_again() {
    let extra = ["--summers", "2", "--settle", "4", "--quiet"];
    let (folder, (_, err, code)) = vary(&extra, &small_yard());
    assert_eq!(code, 0, "{err}");
    let manifest = folder.path().join("out/manifest.json");
    let repeat = || {
        let output = lurefield()
            .args(["check", manifest.to_str().unwrap(), "--repeat"])
            .output()
            .unwrap();
        told(&output)
    };
    let (out, err, code) = repeat();
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with("Same: all"), "{out}");
    let text = fs::read_to_string(&manifest).unwrap();
    fs::write(
        &manifest,
        text.replace("\"--settle\",\n    \"4\"", "\"--settle\",\n    \"5\""),
    )
    .unwrap();
    let (_, err, code) = repeat();
    assert_eq!(code, 1, "{err}");
    assert!(err.contains("different:"), "{err}");
}

#[test]
fn morris_and_sobol_list_the_asked_number_of_unknowns() {
    let few = [
        "--summers",
        "2",
        "--settle",
        "4",
        "--point-summers",
        "1",
        "--json",
    ];
    for (extra, list, n, picture) in [
        (
            ["--method", "morris", "--top", "4", "--trajectories", "2"],
            "screened",
            4,
            "screening",
        ),
        (
            ["--method", "sobol", "--top", "3", "--base", "8"],
            "shared",
            3,
            "shares-of-the-uncertainty",
        ),
    ] {
        let all: Vec<&str> = few.iter().chain(&extra).copied().collect();
        let (folder, (out, err, code)) = vary(&all, &small_yard());
        assert_eq!(code, 0, "{err}");
        let json: Value = serde_json::from_str(&out).unwrap();
        assert_eq!(json[list].as_array().unwrap().len(), n);
        assert!(folder.path().join(format!("out/{picture}.png")).exists());
    }
}

#[test]
fn wrong_options_say_what_to_do() {
    let yard = small_yard();
    let bare = yard_with("plans", r#""plans": []"#);
    for (extra, yard, said) in [
        (vec!["--of", "aa"], &yard, "did you mean \"a\"?"),
        (
            vec!["--of", "no trap"],
            &yard,
            "is what the others are compared with",
        ),
        (
            vec!["--method", "sobol", "--top", "9"],
            &yard,
            "use --top 8 or fewer",
        ),
        (vec!["--top", "3"], &yard, "add --method morris"),
        (vec!["--summers", "20000"], &yard, "use 10000 or fewer"),
        (
            vec![
                "--method",
                "morris",
                "--trajectories",
                "1000",
                "--point-summers",
                "10000",
            ],
            &yard,
            "use fewer --summers",
        ),
        (
            vec!["--method", "sobel"],
            &yard,
            "possible values: one, morris, sobol",
        ),
        (vec![], &bare, "no plan has a trap"),
    ] {
        let (folder, (out, err, code)) = vary(&extra, yard);
        assert_eq!(code, 2, "{extra:?}: {err}");
        assert!(err.contains(said), "{extra:?}: {err}");
        assert_eq!(out, "");
        let left = fs::read_dir(folder.path().join("out")).map_or(0, Iterator::count);
        assert_eq!(left, 0, "nothing half written");
    }
}
