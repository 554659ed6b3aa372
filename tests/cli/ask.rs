//! `ask`: from a question in plain words to the paragraph, the picture and the yard; and `list`, the names that it knows.

use super::{lurefield, told};
use std::io::Write;
use std::path::Path;
use std::process::Stdio;

fn ask(folder: &Path, args: &[&str], typed: &str) -> (String, String, i32) {
    let mut child = lurefield()
        .current_dir(folder)
        .arg("ask")
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(typed.as_bytes())
        .unwrap();
    told(&child.wait_with_output().unwrap())
}

#[test]
fn one_command_gives_the_paragraph_the_picture_and_the_yard() {
    let folder = tempfile::tempdir().unwrap();
    let words = [
        "--pest",
        "Japanese Beetles",
        "--plants",
        "8 roses along the north fence",
        "--trap",
        "10 ft south of the roses",
        "--yard",
        "60 by 40 ft",
        "--summers",
        "20",
    ];
    let (out, err, code) = ask(folder.path(), &words, "");
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("of 20 simulated summers"), "{out}");
    assert!(out.contains("10 ft"), "the distance: {out}");
    let yard = folder.path().join("roses-japanese-beetle.json");
    assert!(yard.is_file());
    let results = folder.path().join("output/roses-japanese-beetle");
    for file in [
        "run/change-in-twenty-summers.png",
        "run/summary.json",
        "report/help-desk.txt",
        "index.html",
    ] {
        assert!(results.join(file).is_file(), "{file}");
    }
    let paragraph = std::fs::read_to_string(results.join("report/help-desk.txt")).unwrap();
    assert!(
        out.contains(paragraph.trim()),
        "the paragraph is that of the report"
    );
    // The same question finds its yard; another keeps it.
    let again = [&words[..4], &["--only-write"]].concat();
    let (out, err, code) = ask(folder.path(), &again, "");
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("roses-japanese-beetle-2.json"), "{out}");
    assert!(folder.path().join("roses-japanese-beetle-2.json").is_file());
}

#[test]
fn a_newcomer_gets_through_by_answering_and_every_slip_is_asked_again() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "japanese beatle\njapanese beetle\n60 by 40 ft\n8 rozes\n8 roses along the north fence\n\n\
                 300 ft from the roses\n30 ft from the roses\n\nsouthwest\nmany\n";
    let (out, err, code) = ask(
        folder.path(),
        &["--questions", "--only-write", "--file", "y.json"],
        typed,
    );
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("y.json"), "{out}");
    for slip in ["\"japanese-beetle\"", "\"roses\"", "does not fit"] {
        assert!(err.contains(slip), "{slip}: {err}");
    }
    let text = std::fs::read_to_string(folder.path().join("y.json")).unwrap();
    let yard = lurefield::scenario::read(&text, "y.json", &|_| Err(String::new())).unwrap();
    assert_eq!(yard.plants.len(), 8);
    assert_eq!(yard.pressure.said, "heavy");
    assert!(matches!(yard.wind, lurefield::scenario::Wind::Rose { .. }));
}

#[test]
fn what_is_not_answered_has_an_answer_and_a_warned_plant_may_be_meant() {
    let folder = tempfile::tempdir().unwrap();
    let args = ["--questions", "--only-write", "--file", "y.json"];
    let (out, err, code) = ask(
        folder.path(),
        &args,
        "japanese beetle\n\ntomatoes\nyes\nno\n",
    );
    assert_eq!(code, 0, "{err}");
    assert!(
        err.contains("hardly eat tomatoes") && out.contains("hardly eat tomatoes"),
        "{out}"
    );
    assert!(folder.path().join("y.json").is_file());
}

#[test]
fn what_was_typed_is_told_when_the_answers_end() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "japanese beetle\n60 by 40 ft\n";
    let (_, err, code) = ask(folder.path(), &["--questions"], typed);
    assert_eq!(code, 2, "{err}");
    let line = "lurefield ask --pest \"japanese beetle\" --yard \"60 by 40 ft\"";
    assert!(err.contains(line), "{err}");
    assert!(std::fs::read_dir(folder.path()).unwrap().next().is_none());
}

#[test]
fn faults_name_the_answer_and_the_way_out() {
    let folder = tempfile::tempdir().unwrap();
    for (args, parts) in [
        (&[][..], &["--pest", "--plants", "lurefield ask --help"][..]),
        (&["--pest", "japanese beetle"], &["--plants"]),
        (
            &["--pest", "elefant", "--plants", "roses"],
            &["--pest", "elefant", "japanese-beetle"],
        ),
        (
            &["--pest", "japanese beetle", "--plants", "8 rozes"],
            &["--plants", "\"roses\""],
        ),
        (
            &["--pest", "japanese beetle", "--plants", "30 lettuces"],
            &["hardly eat lettuces", "--anyway"],
        ),
        (
            &["--pest", "codling moth", "--plants", "30 lettuces"],
            &["fruit"],
        ),
        (
            &["--pest", "japanese beetle", "--plants", "1000000 roses"],
            &["5000"],
        ),
        (
            &[
                "--pest",
                "japanese beetle",
                "--plants",
                "8 roses",
                "--wind",
                "north south",
            ],
            &["--wind", "two winds"],
        ),
        (
            &[
                "--pest",
                "japanese beetle",
                "--plants",
                "8 roses",
                "--do",
                "net and bags",
            ],
            &["--do", "its own"],
        ),
    ] {
        let (_, err, code) = ask(folder.path(), args, "");
        assert_eq!(code, 2, "{args:?}: {err}");
        for part in parts {
            assert!(err.contains(part), "{args:?}: {part} in {err}");
        }
    }
    assert!(
        std::fs::read_dir(folder.path()).unwrap().next().is_none(),
        "nothing is written"
    );
}

#[test]
fn a_pest_without_numbers_gets_a_note_and_no_count() {
    let folder = tempfile::tempdir().unwrap();
    for (id, note) in lurefield::catalogue::unmodelled::all() {
        let (out, err, code) = ask(folder.path(), &["--pest", id, "--plants", "roses"], "");
        assert_eq!(code, 0, "{id}: {err}");
        assert!(
            out.contains(&note.says) && out.contains(&note.source),
            "{id}: {out}"
        );
        assert!(!out.contains("simulated summers"), "{id}");
        for word in &note.words {
            let found = lurefield::catalogue::unmodelled::find(word).map(|n| n.name);
            assert_eq!(found.as_deref(), Some(note.name.as_str()), "{word}");
        }
    }
    let yard = super::yard_with("pest", "\"pest\": \"aphids\"");
    let (err, code) = super::check_bytes(yard.as_bytes());
    assert_eq!(code, 2);
    assert!(err.contains("lurefield ask --pest"), "{err}");
}

#[test]
fn tables_and_trials_are_looked_up_without_a_yard() {
    for (args, parts) in [
        (
            &["mesh", "--pest", "codling moth"][..],
            &["2.4 by 4.8", "2016"][..],
        ),
        (&["height", "--pest", "japanese beetles"], &["3 to 4 ft"]),
        (
            &["covers", "--crop", "raspberries"],
            &["Raspberries", "bloom"],
        ),
        (&["row-cover"], &["Cheesecloth", "edge", "bees"]),
        (
            &["research", "--pest", "japanese beetle"],
            &["Gordon & Potter", "safe distance"],
        ),
        (&["not-modelled"], &["Sun or shade"]),
        (&["mesh", "--pest", "elephants"], &["Nothing is known"]),
    ] {
        let (out, err, code) = told(&lurefield().arg("look-up").args(args).output().unwrap());
        assert_eq!(code, 0, "{err}");
        for part in parts {
            assert!(out.contains(part), "{args:?}: {part} in {out}");
        }
    }
}

#[test]
fn every_name_is_listed_once_with_its_grade() {
    use lurefield::catalogue::{CROPS, LURES, METHODS, PESTS, TRAPS, ids};
    for (what, list) in [
        ("pests", PESTS),
        ("crops", CROPS),
        ("traps", TRAPS),
        ("lures", LURES),
        ("methods", METHODS),
    ] {
        let (out, err, code) = told(&lurefield().args(["list", what]).output().unwrap());
        assert_eq!(code, 0, "{err}");
        for id in ids(list) {
            let lines = out
                .lines()
                .filter(|line| line.starts_with(&format!("{id}: ")));
            assert_eq!(lines.count(), 1, "{id}");
        }
    }
    let (out, ..) = told(&lurefield().args(["list", "crops"]).output().unwrap());
    assert!(out.lines().count() >= 40);
    assert!(out.lines().all(|line| line.contains(" across: ")), "{out}");
}

#[test]
fn everyday_words_are_read_in_yard_files_as_in_questions() {
    let yard = super::yard_with("pest", "\"pest\": \"Japanese Beetles\"");
    let (err, code) = super::check_bytes(yard.as_bytes());
    assert_eq!(code, 0, "{err}");
}

#[test]
fn shells_and_manuals_know_every_command() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let (out, err, code) = told(&lurefield().args(["completions", shell]).output().unwrap());
        assert_eq!(code, 0, "{err}");
        assert!(out.contains("ask") && out.contains("place"), "{shell}");
    }
    let (out, err, code) = told(&lurefield().arg("manual").output().unwrap());
    assert_eq!(code, 0, "{err}");
    for part in [
        ".TH",
        "lurefield\\-ask",
        "\\-\\-plants",
        "lurefield\\-place",
    ] {
        assert!(out.contains(part), "{part}");
    }
}
