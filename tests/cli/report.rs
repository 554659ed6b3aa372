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
                .args(["--summers", "20", "-q", "--out"])
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
    let one = fs::read(results().join("run/one-summer.json")).unwrap();
    assert!(one.len() < 1_500_000);
    let manifest = fs::read_to_string(results().join("run/manifest.json")).unwrap();
    let hash = lurefield::report::provenance::sha256(&one);
    assert!(manifest.contains(&hash));
}

#[test]
fn all_products_are_made_twice_the_same() {
    let (a, b) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    for folder in [&a, &b] {
        let (out, err, code) = report_into(results(), folder.path(), &["--date", "1 June 2026"]);
        assert_eq!((code, err.as_str()), (0, ""), "{out}");
        assert!(
            out.starts_with("Found: scenario.json, summary.json, one-summer.json"),
            "{out}"
        );
        assert!(out.contains("preview"), "{out}");
        assert!(!out.contains("Not made"));
    }
    let files = listed(&a.path().join("report"));
    assert!(files.len() >= 25, "{}", files.len());
    for file in files {
        let name = file.strip_prefix(a.path()).unwrap();
        assert_eq!(
            fs::read(&file).unwrap(),
            fs::read(b.path().join(name)).unwrap(),
            "{name:?}"
        );
    }
    let handout = fs::read_to_string(a.path().join("report/handout.html")).unwrap();
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
        let bytes = fs::read(
            folder
                .path()
                .join("report")
                .join(output["file"].as_str().unwrap()),
        )
        .unwrap();
        assert_eq!(
            output["sha256"],
            lurefield::report::provenance::sha256(&bytes)
        );
    }
    assert_eq!(
        listed(&folder.path().join("report")).len(),
        outputs.len() + 1
    );
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
    let names: Vec<String> = listed(&folder.path().join("report"))
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
    let (_, err, code) = report(&results().join("run/summary.json"), &[]);
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
            fs::copy(results().join("run").join(file), copy.path().join(file)).unwrap();
        }
        fs::copy(
            results().join("run/inputs/allotment-beetles.json"),
            copy.path().join("scenario.json"),
        )
        .unwrap();
        fs::write(copy.path().join(name), text).unwrap();
        let (_, err, code) = report(copy.path(), &[]);
        assert_eq!(code, 2, "{name}: {err}");
        assert!(err.contains(name), "{name}: {err}");
    }
}

/// A small yard, and a season of its pest: what the commands of this build write, in one folder.
fn real_results() -> &'static Path {
    static FOLDER: OnceLock<tempfile::TempDir> = OnceLock::new();
    FOLDER
        .get_or_init(|| {
            let folder = tempfile::tempdir().unwrap();
            let yard = shipped_path("allotment-beetles.json");
            let yard = yard.to_str().unwrap();
            let seasonal = [
                "season",
                "--pest",
                "japanese-beetle",
                "--data",
                "seattle",
                "--until",
                "2014-06-01",
            ];
            for command in [
                &["run", yard, "--summers", "20"][..],
                &["compare", yard, "--summers", "20", "--most-summers", "20"],
                &[
                    "place",
                    yard,
                    "--summers",
                    "4",
                    "--sites",
                    "12",
                    "--sweep",
                    "distance",
                ],
                &seasonal,
            ] {
                let output = lurefield()
                    .args(command)
                    .args(["--quiet", "--out"])
                    .arg(folder.path())
                    .output()
                    .unwrap();
                assert!(
                    output.status.success(),
                    "{}",
                    String::from_utf8_lossy(&output.stderr)
                );
            }
            folder
        })
        .path()
}

#[test]
fn pages_tell_what_compare_place_and_season_of_this_build_wrote() {
    let (a, b) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    for folder in [&a, &b] {
        let (out, err, code) = report_into(real_results(), folder.path(), &[]);
        assert_eq!((code, err.as_str()), (0, ""), "{out}");
        for name in [
            "summary.json",
            "compare.json",
            "placement.json",
            "season.json",
            "one-summer.json",
        ] {
            assert!(out.contains(name), "{out}");
        }
        assert!(!out.contains("Not made"), "{out}");
    }
    for file in listed(a.path()) {
        let name = file.strip_prefix(a.path()).unwrap();
        assert_eq!(
            fs::read(&file).unwrap(),
            fs::read(b.path().join(name)).unwrap(),
            "{name:?}"
        );
    }
    let place = |name: &str| match name {
        "compare.json" => "compare/compare.json",
        "placement.json" => "place/placement.json",
        _ => "season/season.json",
    };
    let read = |name: &str| -> serde_json::Value {
        serde_json::from_str(&fs::read_to_string(real_results().join(place(name))).unwrap())
            .unwrap()
    };
    let handout = fs::read_to_string(a.path().join("report/handout.html")).unwrap();
    let picture = fs::read_to_string(a.path().join("report/slides/slide-verdict.txt")).unwrap();
    let compared = read("compare.json");
    let plans = compared["plans"].as_array().unwrap();
    for (i, plan) in plans.iter().enumerate().skip(1) {
        let [more, same, less] = ["more", "same", "less"].map(|k| plan[k].as_u64().unwrap());
        let row = format!(
            "<td class=\"n\">{more}</td><td class=\"n\">{same}</td><td class=\"n\">{less}</td>"
        );
        assert!(handout.contains(&row), "{}: {row}", plan["name"]);
        if i > 1 {
            continue;
        }
        assert!(picture.contains(&format!(
            "more in {more} of 20, no change in {same}, less in {less}."
        )));
        // The marks beyond the band are the printed counts, to the last one.
        let band = compared["tie_band"].as_f64().unwrap();
        let dots = plan["difference_dots"].as_array().unwrap();
        let beyond = dots.iter().filter(|d| d.as_f64().unwrap() > band).count() as u64;
        assert_eq!((dots.len(), beyond), (20, more));
    }
    let sweeps = read("placement.json");
    let distance = sweeps["sweeps"]
        .as_array()
        .unwrap()
        .iter()
        .find(|s| s["name"] == "distance")
        .unwrap();
    let slide = fs::read_to_string(a.path().join("report/slides/slide-distance.txt")).unwrap();
    for point in distance["points"].as_array().unwrap().iter().take(3) {
        assert!(slide.contains(point["label"].as_str().unwrap()));
    }
    let peak: jiff::civil::Date = read("season.json")["flight"]["peak"]
        .as_str()
        .unwrap()
        .parse()
        .unwrap();
    assert!(handout.contains(&peak.strftime("%B %-d").to_string()));
    assert!(handout.contains("Seattle, 2012-2014"));
}

#[test]
fn a_recorded_summer_is_shown_for_nets_and_hands_too() {
    for plan in ["picking by hand at dusk", "net on the raspberries"] {
        let out = tempfile::tempdir().unwrap();
        let (said, _, code) = report_into(results(), out.path(), &["--plan", plan]);
        assert_eq!(code, 0);
        let page =
            fs::read_to_string(out.path().join("report/one-summer.html")).unwrap_or_default();
        assert!(page.contains("without this plan"), "{plan}: {said}");
        assert!(
            said.contains("Not made: class, because it needs a plan of traps alone"),
            "{said}"
        );
        assert_eq!(
            page.contains("picked or killed</th>"),
            plan.starts_with("picking"),
            "{plan}"
        );
    }
}

#[test]
fn the_words_follow_a_yard_about_people() {
    let results = tempfile::tempdir().unwrap();
    for command in ["run", "compare"] {
        let output = lurefield()
            .arg(command)
            .arg(shipped_path("patio-wasps.json"))
            .args(["--summers", "20", "--quiet", "--out"])
            .arg(results.path())
            .output()
            .unwrap();
        assert!(output.status.success());
    }
    let out = tempfile::tempdir().unwrap();
    let (said, _, code) = report_into(results.path(), out.path(), &[]);
    assert_eq!(code, 0, "{said}");
    assert!(
        out.path().join("report/class/student-sheet.html").exists(),
        "{said}"
    );
    let mut read = vec![
        results.path().join("compare/compare.txt"),
        results.path().join("run/summary.txt"),
    ];
    let about_the_yard = |f: &PathBuf| {
        let name = f.file_name().unwrap().to_string_lossy();
        let page = f.extension().is_some_and(|e| e == "html" || e == "txt");
        page && !["tables.html", "evidence.html", "index.html"].contains(&&*name)
    };
    read.extend(listed(out.path()).into_iter().filter(about_the_yard));
    for file in read {
        let text = fs::read_to_string(&file).unwrap().to_lowercase();
        for word in [" plant", " leaf ", "leaves lost", "leaves chewed", "roses"] {
            assert!(!text.contains(word), "{}: \"{word}\"", file.display());
        }
    }
}

/// A yard whose own words are no words of any language, and whose plan of doing nothing the program names.
const QUX: &str = r#"{ "format": 1, "title": "Qux", "yard": { "width": "40 ft", "depth": "30 ft" },
    "crops": [{ "name": "Qux", "kind": "rose", "block": { "from": ["16 ft", "6 ft"], "to": ["24 ft", "14 ft"], "count": [4, 4] } }],
    "pest": "japanese-beetle", "window": { "days": 2 }, "surroundings": { "pressure": "usual" },
    "plans": [{ "name": "Quux", "traps": [{ "name": "q", "at": ["22 ft", "10 ft"] }] },
        { "name": "Quuux", "methods": [{ "method": "hand-removal", "times": ["9:00"] }] }] }"#;

fn spoken(language: &str, command: &[&str], out: &Path) {
    let output = lurefield()
        .args(["--language", language])
        .args(command)
        .args(["-q", "--out"])
        .arg(out)
        .output()
        .unwrap();
    let (text, err, code) = told(&output);
    assert_eq!((code, err.as_str()), (0, ""), "{text}");
}

/// Words of a page that are English and nothing else, outside of markup.
fn english(page: &str) -> Vec<String> {
    let body = page.split_once("</head>").map_or(page, |(_, body)| body);
    let mut text = String::new();
    for part in body.split('<') {
        let end = part.find('>').map_or(0, |at| at + 1);
        if !part.starts_with("script") && !part.starts_with("style") {
            text += &part[end..];
            text.push(' ');
        }
    }
    let stop = [
        "the", "of", "with", "and", "is", "are", "your", "less", "none", "known", "leaves",
    ];
    text.split(|c: char| !c.is_alphabetic())
        .filter(|word| stop.contains(&word.to_lowercase().as_str()))
        .map(str::to_owned)
        .collect()
}

#[test]
fn results_of_one_language_are_told_in_another_as_if_made_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let yard = folder.path().join("qux.json");
    fs::write(&yard, QUX).unwrap();
    let yard = yard.to_str().unwrap();
    let at = |name: String| folder.path().join(name);
    for made in ["en", "es"] {
        let results = at(made.into());
        spoken(made, &["run", yard, "--summers", "20"], &results);
        spoken(made, &["compare", yard, "--summers", "20"], &results);
    }
    for made in ["en", "es"] {
        for read in ["en", "es"] {
            let from = at(made.into());
            let report = ["report", "--from", from.to_str().unwrap()];
            spoken(read, &report, &at(format!("{made}-{read}")));
        }
    }
    let mut pages = 0;
    for read in ["en", "es"] {
        let (a, b) = (at(format!("en-{read}")), at(format!("es-{read}")));
        let files = listed(&a.join("report"));
        assert_eq!(files.len(), listed(&b.join("report")).len());
        for file in files {
            let name = file.strip_prefix(&a).unwrap();
            if name.ends_with("manifest.json") {
                continue;
            }
            let (own, other) = (fs::read(&file).unwrap(), fs::read(b.join(name)).unwrap());
            assert!(own == other, "{read}: {}", name.display());
            let text = String::from_utf8_lossy(&own);
            // Sources stand in their own language.
            let people = ["help-desk", "handout", "slides"];
            let shown = name.to_string_lossy();
            let told = shown.ends_with(".html") || shown.ends_with(".txt");
            if told && people.iter().any(|p| shown.contains(p)) {
                pages += 1;
                let words = english(&text);
                assert_eq!(words.is_empty(), read == "es", "{shown}: {words:?}");
            }
        }
    }
    assert!(pages >= 8, "{pages}");
}
