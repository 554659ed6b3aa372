//! `lurefield report` through the program: files, exit codes, clear errors, nothing written on a fault.

use super::{lurefield, shipped_path, told};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Results of a short run, made once.
fn results() -> &'static Path {
    static FOLDER: OnceLock<tempfile::TempDir> = OnceLock::new();
    FOLDER
        .get_or_init(|| {
            let folder = tempfile::tempdir().unwrap();
            let output = lurefield()
                .arg("run")
                .arg(shipped_path("allotment-beetles.json"))
                .args(["--summers", "10", "-q", "--out"])
                .arg(folder.path())
                .output()
                .unwrap();
            assert!(output.status.success());
            folder
        })
        .path()
}

fn report(from: &Path, extra: &[&str]) -> (String, String, i32) {
    let out = tempfile::tempdir().unwrap();
    report_into(from, out.path(), extra)
}

fn report_into(from: &Path, out: &Path, extra: &[&str]) -> (String, String, i32) {
    let output = lurefield()
        .args(["report", "--from"])
        .arg(from)
        .arg("--out")
        .arg(out)
        .args(extra)
        .output()
        .unwrap();
    told(&output)
}

fn listed(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            all.extend(listed(&path));
        } else {
            all.push(path);
        }
    }
    all.sort();
    all
}

#[test]
fn run_writes_one_summer_and_its_hash() {
    let one = fs::read(results().join("one-summer.json")).unwrap();
    assert!(one.len() < 1_500_000);
    let manifest = fs::read_to_string(results().join("manifest.json")).unwrap();
    let hash = lurefield::report::provenance::sha256(&one);
    assert!(manifest.contains(&hash));
}

#[test]
fn all_products_are_made_twice_the_same() {
    let (a, b) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    for folder in [&a, &b] {
        let (out, err, code) = report_into(results(), folder.path(), &["--date", "1 June 2026"]);
        assert_eq!((code, err.as_str()), (0, ""), "{out}");
        assert!(out.starts_with("Found: scenario.json, summary.json, one-summer.json"));
        assert!(out.contains("preview"), "{out}");
        assert!(!out.contains("Not made"));
    }
    let files = listed(a.path());
    assert!(files.len() > 25, "{}", files.len());
    for file in files {
        let name = file.strip_prefix(a.path()).unwrap();
        assert_eq!(
            fs::read(&file).unwrap(),
            fs::read(b.path().join(name)).unwrap(),
            "{name:?}"
        );
    }
    let handout = fs::read_to_string(a.path().join("handout.html")).unwrap();
    assert!(handout.contains("1 June 2026"));
}

#[test]
fn the_manifest_names_every_file_with_its_hash() {
    let folder = tempfile::tempdir().unwrap();
    let (out, _, code) = report_into(results(), folder.path(), &["--json"]);
    assert_eq!(code, 0);
    let manifest: serde_json::Value = serde_json::from_str(&out).unwrap();
    let outputs = manifest["outputs"].as_array().unwrap();
    for output in outputs {
        let bytes = fs::read(folder.path().join(output["file"].as_str().unwrap())).unwrap();
        assert_eq!(
            output["sha256"],
            lurefield::report::provenance::sha256(&bytes)
        );
    }
    assert_eq!(listed(folder.path()).len(), outputs.len() + 1);
}

#[test]
fn a_choice_of_products_makes_these_only() {
    let folder = tempfile::tempdir().unwrap();
    let (_, _, code) = report_into(
        results(),
        folder.path(),
        &["--product", "help-desk,tables", "-q"],
    );
    assert_eq!(code, 0);
    let names: Vec<String> = listed(folder.path())
        .iter()
        .map(|p| p.file_name().unwrap().to_string_lossy().into_owned())
        .collect();
    assert_eq!(
        names,
        [
            "help-desk.txt",
            "index.html",
            "manifest.json",
            "tables.html"
        ]
    );
}

#[test]
fn wrong_arguments_exit_with_2_and_write_nothing() {
    for (extra, says) in [
        (&["--product", "handuot"][..], "did you mean \"handout\""),
        (&["--language", "xx"], "the languages are en"),
        (
            &["--plan", "trap by the rasberries"],
            "did you mean \"trap by the raspberries\"",
        ),
        (
            &["--poll", "no-such-file.csv"],
            "no-such-file.csv: there is no such file",
        ),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let (_, err, code) = report_into(results(), folder.path(), extra);
        assert_eq!(code, 2, "{extra:?}: {err}");
        assert!(err.contains(says), "{extra:?}: {err}");
        assert!(listed(folder.path()).is_empty(), "{extra:?}");
    }
}

#[test]
fn wrong_folders_exit_with_2() {
    let empty = tempfile::tempdir().unwrap();
    let (_, err, code) = report(empty.path(), &[]);
    assert_eq!(code, 2);
    assert!(
        err.contains("no results of run, compare or season"),
        "{err}"
    );
    let (_, err, code) = report(&empty.path().join("not-there"), &[]);
    assert_eq!(code, 2);
    assert!(err.contains("there is no such folder"), "{err}");
    let (_, err, code) = report(&results().join("summary.json"), &[]);
    assert_eq!(code, 2);
    assert!(err.contains("this is a file; name the folder"), "{err}");
}

#[test]
fn damaged_results_exit_with_2_and_name_the_file() {
    for (name, text) in [
        ("summary.json", "{"),
        ("scenario.json", "[]"),
        ("one-summer.json", "null"),
        ("compare.json", "\u{0}"),
    ] {
        let copy = tempfile::tempdir().unwrap();
        for file in ["summary.json", "one-summer.json"] {
            fs::copy(results().join(file), copy.path().join(file)).unwrap();
        }
        fs::copy(
            results().join("inputs/allotment-beetles.json"),
            copy.path().join("scenario.json"),
        )
        .unwrap();
        fs::write(copy.path().join(name), text).unwrap();
        let (_, err, code) = report(copy.path(), &[]);
        assert_eq!(code, 2, "{name}: {err}");
        assert!(err.contains(name), "{name}: {err}");
    }
}
