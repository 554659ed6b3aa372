//! The folder of results: whole parts at any moment, one page on top, and nothing of anybody else's lost.

use super::{lurefield, repeated, told, yard_with};
use lurefield::report::provenance::{Manifest, sha256};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::Duration;

/// A trap, hands and a net over three quick days.
fn yard() -> String {
    let plans = r#""plans": [{ "name": "nothing" }, { "name": "a", "traps": [{ "at": ["30 ft", "20 ft"] }] },
        { "name": "hands", "methods": [{ "method": "hand-removal" }] }], "window": { "days": 3 },
        "surroundings": { "pressure": { "on_plants_a_day": [0.2, 0.6] } }"#;
    yard_with("plans", plans)
}

fn call(folder: &Path, line: &str) -> (String, String, i32) {
    let output = lurefield()
        .current_dir(folder)
        .args(line.split(' '))
        .output()
        .unwrap();
    told(&output)
}

#[track_caller]
fn done(folder: &Path, line: &str) -> String {
    let (out, err, code) = call(folder, line);
    assert_eq!(code, 0, "{line}: {err}");
    out
}

fn with_yard() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("yard.json"), yard()).unwrap();
    folder
}

fn names(folder: &Path) -> BTreeSet<String> {
    fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect()
}

fn inside(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for name in names(folder) {
        let path = folder.join(name);
        if path.is_dir() {
            all.extend(inside(&path));
        } else {
            all.push(path);
        }
    }
    all
}

/// The seed of a part, once all its files are there, as its manifest says, and no other.
#[track_caller]
fn whole(part: &Path) -> u64 {
    let text = fs::read_to_string(part.join("manifest.json")).unwrap();
    let manifest = Manifest::read(&text).unwrap();
    for output in &manifest.outputs {
        let bytes = fs::read(part.join(&output.file)).unwrap();
        assert_eq!(sha256(&bytes), output.sha256, "{}", output.file);
    }
    let kept = names(&part.join("inputs")).len();
    assert_eq!(inside(part).len(), manifest.outputs.len() + 1 + kept);
    let summary = fs::read_to_string(part.join("summary.json")).unwrap();
    let summary: serde_json::Value = serde_json::from_str(&summary).unwrap();
    assert_eq!(summary["seed"].as_u64(), manifest.seed);
    manifest.seed.unwrap()
}

/// The files that a page links or shows, which must be there.
#[track_caller]
fn linked(out: &Path) -> Vec<String> {
    let page = fs::read_to_string(out.join("index.html")).unwrap();
    let links: Vec<String> = page
        .split(" href=\"")
        .chain(page.split(" src=\""))
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .filter(|link| !link.starts_with(['#', '<']))
        .map(String::from)
        .collect();
    for link in &links {
        assert!(out.join(link).is_file(), "{link}");
    }
    links
}

#[test]
fn thirty_kills_leave_the_old_or_the_new_and_the_next_run_leaves_nothing_else() {
    let folder = with_yard();
    let here = folder.path();
    done(here, "run yard.json --summers 3 --seed 1 --out out -q");
    let out = here.join("out");
    assert_eq!(whole(&out.join("run")), 1);
    let staged = || names(&out).iter().any(|n| n.starts_with(".lurefield-"));
    let (mut old, mut kills, mut left) = (1, 0, 0);
    let (mut draw, mut longest_us) = (7_u64, 400_000_u64);
    for seed in 2..200 {
        if kills >= 32 {
            break;
        }
        let mut child = lurefield()
            .current_dir(here)
            .args(["run", "yard.json", "--summers", "3", "--out", "out", "-q"])
            .args(["--seed", &seed.to_string()])
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        draw = draw.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        let share = (draw >> 33) % 1000;
        let mut running = || child.try_wait().unwrap().is_none();
        // By turns at any moment, and while files are written.
        if seed % 2 == 0 {
            std::thread::sleep(Duration::from_micros(longest_us * share / 1000));
        } else {
            while running() && !staged() {
                std::thread::sleep(Duration::from_micros(100));
            }
            std::thread::sleep(Duration::from_micros(share * 8));
        }
        let killed = running();
        child.kill().ok();
        child.wait().unwrap();
        kills += usize::from(killed);
        longest_us = if killed {
            longest_us * 9 / 8
        } else {
            longest_us * 3 / 4
        };
        left += usize::from(staged());
        let now = whole(&out.join("run"));
        assert!(now == old || now == seed, "{now} after {old} and {seed}");
        old = now;
        if out.join("index.html").exists() {
            linked(&out);
        }
    }
    assert!(kills >= 30, "only {kills} kills came in time");
    assert!(left > 0, "no kill came while files were written");
    done(here, "run yard.json --summers 3 --seed 1 --out out -q");
    assert_eq!(whole(&out.join("run")), 1);
    let expected = ["index.html", "run"].map(String::from);
    assert_eq!(names(&out), BTreeSet::from(expected));
}

#[test]
fn a_part_that_was_moved_away_comes_back_and_old_staging_goes() {
    let folder = with_yard();
    let here = folder.path();
    done(here, "run yard.json --summers 3 --out out -q");
    let out = here.join("out");
    // As a stop between two renames leaves it where folders cannot change places in one step.
    fs::rename(out.join("run"), out.join(".lurefield-old-run")).unwrap();
    fs::create_dir_all(out.join(".lurefield-staging-x/inputs")).unwrap();
    fs::write(out.join(".lurefield-staging-y"), "half").unwrap();
    fs::write(out.join(".lurefield-notes"), "mine").unwrap();
    done(here, "compare yard.json --summers 3 --out out -q");
    whole(&out.join("run"));
    let expected = [".lurefield-notes", "compare", "index.html", "run"].map(String::from);
    assert_eq!(names(&out), BTreeSet::from(expected));
}

#[test]
fn one_page_shows_all_parts_with_answers_pictures_and_every_file() {
    let folder = with_yard();
    let here = folder.path();
    let shy = yard().replace("A trial", "<b>A & 'trial'</b>");
    fs::write(here.join("yard.json"), shy).unwrap();
    let mut parts = Vec::new();
    for (line, part) in [
        ("run yard.json --summers 3", "run"),
        ("compare yard.json --summers 3", "compare"),
        ("place yard.json --summers 2 --sites 9", "place"),
        ("season --pest codling-moth --data seattle", "season"),
        ("season yard.json --summers 2 --plan a", "emptying"),
        ("report --from out", "report"),
        ("describe", "describe"),
    ] {
        done(here, &format!("{line} --out out -q"));
        parts.push(part);
        let links = linked(&here.join("out"));
        for part in &parts {
            let text = fs::read_to_string(here.join(format!("out/{part}/manifest.json"))).unwrap();
            for output in Manifest::read(&text).unwrap().outputs {
                let link = format!("{part}/{}", output.file);
                assert!(links.contains(&link), "{link} after {line}");
            }
        }
    }
    let page = fs::read_to_string(here.join("out/index.html")).unwrap();
    assert!(
        page.contains("Results: &lt;b&gt;A &amp; 'trial'&lt;/b&gt;"),
        "{page}"
    );
    assert!(!page.contains("<script") && !page.contains("<b>A"));
    let answer = fs::read_to_string(here.join("out/compare/compare.txt")).unwrap();
    let first = answer.lines().next().unwrap().replace('"', "&quot;");
    assert!(page.contains(&first), "{first}");
    let mut expected: BTreeSet<String> = parts.into_iter().map(String::from).collect();
    expected.insert("index.html".into());
    assert_eq!(names(&here.join("out")), expected);
}

#[test]
fn what_others_have_put_there_is_kept_or_refused_before_any_work() {
    let folder = with_yard();
    let here = folder.path();
    for (theirs, says) in [
        ("a/run/thesis.txt", "not a result of lurefield"),
        ("b/index.html", "not from lurefield"),
    ] {
        fs::create_dir_all(here.join(theirs).parent().unwrap()).unwrap();
        fs::write(here.join(theirs), "mine").unwrap();
        let line = format!("run yard.json --summers 1000000 --out {}", &theirs[..1]);
        let (_, err, code) = call(here, &line);
        assert_eq!(code, 1, "{err}");
        assert!(err.contains(says), "{err}");
        assert_eq!(fs::read_to_string(here.join(theirs)).unwrap(), "mine");
    }
    done(here, "run yard.json --summers 3 --out out -q");
    let part = here.join("out/run");
    fs::write(part.join("notes.txt"), "mine").unwrap();
    assert!(part.join("visits-3-hands.csv").exists());
    fs::write(here.join("yard.json"), yard().replace("hands", "fingers")).unwrap();
    done(here, "run yard.json --summers 3 --out out -q");
    assert_eq!(fs::read_to_string(part.join("notes.txt")).unwrap(), "mine");
    assert!(!part.join("visits-3-hands.csv").exists(), "of the old run");
    assert!(part.join("visits-3-fingers.csv").exists());
}

#[test]
fn results_of_version_0_6_all_in_one_folder_are_still_read() {
    let folder = with_yard();
    let here = folder.path();
    done(here, "run yard.json --summers 3 --out out -q");
    fs::rename(here.join("out/run"), here.join("flat")).unwrap();
    let said = done(here, "report --from flat --product handout --out pages");
    assert!(said.contains("summary.json"), "{said}");
    let page = fs::read_to_string(here.join("pages/report/handout.html")).unwrap();
    assert!(page.contains("lurefield check manifest.json --repeat"));
    done(here, "run yard.json --summers 3 --out out -q");
    // A part may be named as well; pages go into the folder that it stands in.
    done(here, "report --from out/run --product tables -q");
    assert!(here.join("out/report/tables.html").exists());
    done(here, "report --from out --product handout -q");
    let page = fs::read_to_string(here.join("out/report/handout.html")).unwrap();
    assert!(page.contains("lurefield check run/manifest.json --repeat"));
}

#[test]
fn an_unknown_language_is_refused_with_the_list_and_the_known_one_is_noted() {
    let folder = with_yard();
    let here = folder.path();
    for line in [
        "--language xx run yard.json",
        "compare yard.json --language xx",
        "season --pest codling-moth --data seattle --language xx",
        "schema --language xx",
    ] {
        let (out, err, code) = call(here, line);
        assert_eq!((out.as_str(), code), ("", 2), "{line}");
        assert!(err.contains("the languages are en"), "{err}");
    }
    assert!(!here.join("output").exists());
    done(here, "--language en run yard.json --summers 2 --out out -q");
    let text = fs::read_to_string(here.join("out/run/manifest.json")).unwrap();
    assert_eq!(Manifest::read(&text).unwrap().language, "en");
}

#[test]
fn technical_lines_come_only_when_asked_for() {
    let folder = with_yard();
    let here = folder.path();
    for line in [
        "place yard.json --summers 2 --sites 9 --out out",
        "season yard.json --summers 2 --plan a --out out",
    ] {
        let plain = done(here, line);
        assert!(!plain.contains("Pictures in"), "{plain}");
        assert!(plain.contains("out/index.html"), "{plain}");
        let all = done(here, &format!("{line} --details"));
        assert!(all.contains("Pictures in out/"), "{all}");
    }
    for command in ["run", "compare", "vary"] {
        let help = done(here, &format!("{command} --help"));
        assert!(help.contains("--details"), "{help}");
    }
}

#[test]
fn seasons_and_the_description_repeat_from_what_they_kept() {
    let folder = with_yard();
    let here = folder.path();
    let weather = lurefield::catalogue::season::SEATTLE;
    fs::create_dir(here.join("old")).unwrap();
    for file in ["w.csv", "old/w.csv"] {
        fs::write(here.join(file), weather).unwrap();
    }
    let notebook = "date,count\n2014-04-14,0\n2014-04-21,3\n2014-05-05,2\n";
    fs::write(here.join("n.csv"), notebook).unwrap();
    let moth = "season --pest codling-moth -q --no-figures --until 2014-06-01";
    done(
        here,
        &format!(
            "{moth} --daily w.csv --normal old/w.csv --counts n.csv --event=petals=320 --lower 49.5 --out a"
        ),
    );
    done(here, &format!("{moth} --data seattle --out b"));
    done(here, "season --pest codling-moth -q --counts n.csv --out c");
    done(here, "season yard.json -q --summers 2 --plan a --out d");
    done(here, "describe -q --out e");
    for file in ["w.csv", "old/w.csv", "n.csv", "yard.json"] {
        fs::remove_file(here.join(file)).unwrap();
    }
    for manifest in [
        "a/season/manifest.json",
        "b/season/manifest.json",
        "c/counts/manifest.json",
        "d/emptying/manifest.json",
        "e/describe/manifest.json",
    ] {
        let (out, err, code) = repeated(here, manifest);
        assert_eq!(code, 0, "{manifest}: {err}");
        assert!(out.starts_with("Same: all"), "{out}");
    }
    let text = fs::read_to_string(here.join("a/season/manifest.json")).unwrap();
    let other = text.replace("--event=petals=320", "--event=petals=300");
    assert_ne!(text, other);
    fs::write(here.join("a/season/manifest.json"), other).unwrap();
    let (_, err, code) = repeated(here, "a/season/manifest.json");
    assert_eq!(code, 1, "{err}");
    assert!(err.contains("different:"), "{err}");
    fs::write(here.join("a/season/inputs/n.csv"), "date,count\n").unwrap();
    let (_, err, code) = repeated(here, "a/season/manifest.json");
    assert_eq!(code, 2, "{err}");
    assert!(err.contains("n.csv is another one"), "{err}");
}
