//! `lurefield vary` through the program: the sentence, the files, and refusals that help.

use super::{lurefield, repeated, told, yard_with};
use serde_json::Value;
use std::fs;
use std::process::Stdio;

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
    let extra = ["--summers", "3", "--settle", "12", "--habit-summers", "3"];
    let (folder, (out, err, code)) = vary(&extra, &small_yard());
    assert_eq!(code, 0, "{err}");
    let first = out.split_inclusive('.').next().unwrap();
    assert!(
        first.starts_with("One number alone can flip the verdict")
            || first.starts_with("No single number"),
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
        serde_json::from_slice(&fs::read(folder.path().join("out/vary/vary.json")).unwrap())
            .unwrap();
    let sweeps = json["sweeps"].as_array().unwrap();
    assert!(sweeps.len() > 20);
    let rows = fs::read_to_string(folder.path().join("out/vary/vary.csv")).unwrap();
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
            fs::metadata(folder.path().join("out/vary").join(name))
                .unwrap()
                .len()
                > 200,
            "{name}"
        );
    }
}

#[test]
fn its_manifest_makes_the_same_bytes_again() {
    let extra = [
        "--summers",
        "2",
        "--settle",
        "4",
        "--habit-summers",
        "2",
        "--quiet",
    ];
    let (folder, (_, err, code)) = vary(&extra, &small_yard());
    assert_eq!(code, 0, "{err}");
    let manifest = folder.path().join("out/vary/manifest.json");
    let repeat = || repeated(folder.path(), "out/vary/manifest.json");
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
        "--habit-summers",
        "0",
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
        assert!(
            folder
                .path()
                .join(format!("out/vary/{picture}.png"))
                .exists()
        );
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
        (vec!["--method", "sobol", "--top", "9"], &yard, "Use fewer"),
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
            "Use fewer --summers",
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

/// Beans and a trap, a net and picking by hand, neighbours with beetles.
fn busy_yard() -> String {
    let yard = yard_with(
        "extra",
        r#""window": { "days": 3 }, "surroundings": { "pressure": { "on_plants_a_day": [0.5, 1] },
        "sources": [{ "name": "their tree", "at": ["50 ft", "20 ft"], "radius": "10 ft", "a_day": [5, 10] }] }"#,
    );
    yard.replace(
        r#""plans": [{"#,
        r#""plans": [
        { "name": "net", "methods": [{ "method": "row-cover", "mesh_mm": 2 }] },
        { "name": "hands", "methods": [{ "method": "hand-removal", "days_a_week": 5 }] },
        {"#,
    )
}

#[test]
fn what_the_gardener_does_is_swept_on_the_same_summers_for_every_plan_that_has_it() {
    let extra = ["--summers", "2", "--settle", "4", "--habit-summers", "6"];
    let (folder, (out, err, code)) = vary(&extra, &busy_yard());
    assert_eq!(code, 0, "{err}");
    for line in out.lines() {
        assert!(line.chars().count() <= 80, "too wide: {line}");
    }
    let read = |name: &str| fs::read_to_string(folder.path().join("out/vary").join(name)).unwrap();
    let json: Value = serde_json::from_str(&read("vary.json")).unwrap();
    let habits = json["habits"].as_array().unwrap();
    let known = [
        ("emptying", 3),
        ("lure-age", 3),
        ("leak", 1),
        ("picking-days", 2),
        ("picking-share", 2),
        ("chewed-leaves", 3),
        ("next-door", 3),
    ];
    assert_eq!(habits.len(), known.len());
    for (habit, (what, plan)) in habits.iter().zip(known) {
        assert_eq!(
            (&habit["what"], &habit["plan"]),
            (&what.into(), &plan.into())
        );
        let rows = habit["rows"].as_array().unwrap();
        let usual = &rows[habit["usual"].as_u64().unwrap() as usize];
        assert_eq!(usual["step"], 0.0);
        for row in rows {
            let gap = row["damage"].as_f64().unwrap()
                - row["without"].as_f64().unwrap()
                - row["change"].as_f64().unwrap();
            assert!(gap.abs() < 1e-9);
            // The same yard without a plan, and the same summers, for every value and every habit of the gardener.
            if !["chewed-leaves", "next-door"].contains(&what) {
                assert_eq!(row["without"], habits[0]["rows"][0]["without"], "{what}");
            }
        }
    }
    let change = |habit: usize, row: usize| habits[habit]["rows"][row]["change"].as_f64().unwrap();
    // A tight net keeps more out than a torn one, and picking every day takes more than once a week.
    assert!(change(2, 0) < change(2, 5), "leak");
    assert!(change(3, 4) < change(3, 0), "picking");
    let minutes = |row: usize| habits[3]["rows"][row]["minutes"][1].as_f64().unwrap();
    assert!(minutes(4) > minutes(0));
    assert_eq!(habits[3]["rows"][3]["words"], "5 days a week");
    assert_eq!(
        (&habits[3]["usual"], &habits[3]["as_written"]),
        (&3.into(), &true.into())
    );
    let sentences = json["habit_sentences"].as_array().unwrap();
    assert_eq!(sentences.len(), habits.len());
    for sentence in sentences {
        let said = sentence.as_str().unwrap();
        let joined = out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(joined.contains(said), "{said}");
    }
    let of_net = sentences[2].as_str().unwrap();
    assert!(of_net.starts_with("This is for \"net\". "));
    let rows: usize = habits
        .iter()
        .map(|h| h["rows"].as_array().unwrap().len())
        .sum();
    assert_eq!(read("habits.csv").lines().count(), 1 + rows);
    let told = read("what-you-do.svg");
    assert!(told.contains("role=\"img\"") && told.contains("How often you pick"));
    assert!(read("what-you-do.txt").contains("What the net lets in"));
}

#[test]
fn emptying_is_the_same_here_as_in_the_command_for_the_season() {
    let extra = [
        "--summers",
        "2",
        "--settle",
        "4",
        "--habit-summers",
        "8",
        "--of",
        "a",
    ];
    let (folder, (_, err, code)) = vary(&extra, &busy_yard());
    assert_eq!(code, 0, "{err}");
    let output = lurefield()
        .current_dir(folder.path())
        .args([
            "season",
            "yard.json",
            "--plan",
            "a",
            "--summers",
            "8",
            "--json",
            "--out",
            "s",
        ])
        .output()
        .unwrap();
    let (out, err, code) = told(&output);
    assert_eq!(code, 0, "{err}");
    let season: Value = serde_json::from_str(&out).unwrap();
    let varied = fs::read(folder.path().join("out/vary/vary.json")).unwrap();
    let varied: Value = serde_json::from_slice(&varied).unwrap();
    let (here, there) = (
        &varied["habits"][0]["rows"],
        season["rows"].as_array().unwrap(),
    );
    assert_eq!(here.as_array().unwrap().len(), there.len());
    for (i, row) in there.iter().enumerate() {
        let gap = here[i]["damage"].as_f64().unwrap() - row["damage_mean"].as_f64().unwrap();
        assert!(gap.abs() < 1e-9, "row {i}");
        assert_eq!(here[i]["minutes"], row["minutes"], "row {i}");
    }
}

/// Files of a folder with their bytes.
fn contents(folder: &std::path::Path) -> std::collections::BTreeMap<String, Vec<u8>> {
    let files = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    files
        .filter(|p| p.is_file())
        .map(|p| {
            (
                p.file_name().unwrap().to_string_lossy().into_owned(),
                fs::read(&p).unwrap(),
            )
        })
        .collect()
}

#[test]
fn a_study_that_was_stopped_goes_on_and_ends_with_the_same_bytes() {
    for method in [["morris", "--trajectories", "6"], ["sobol", "--base", "16"]] {
        let folder = tempfile::tempdir().unwrap();
        let quick = busy_yard().replace("[0.5, 1]", "[0.05, 0.1]");
        fs::write(folder.path().join("yard.json"), quick).unwrap();
        let run = |out: &str, seed: &str| {
            let mut command = lurefield();
            command.current_dir(folder.path());
            command.args(["vary", "yard.json", "--out", out, "--seed", seed, "--json"]);
            command.args(["--summers", "4", "--settle", "240", "--habit-summers", "20"]);
            command.args(["--point-summers", "2", "--top", "3", "--method"]);
            command.args(method);
            command
        };
        let (whole_json, err, code) = told(&run("whole", "3").output().unwrap());
        assert_eq!(code, 0, "{err}");
        // Stopped as soon as something is kept; on a busy machine a run may get away to its end, so it is tried again.
        let partial = folder.path().join("cut/vary.partial.json");
        let stopped = || {
            let mut child = run("cut", "3").stdout(Stdio::null()).spawn().unwrap();
            while !partial.exists() && child.try_wait().unwrap().is_none() {
                std::thread::sleep(std::time::Duration::from_millis(1));
            }
            child.kill().ok();
            child.wait().unwrap();
            fs::read_to_string(&partial).ok()
        };
        let kept = (0..20)
            .find_map(|_| stopped())
            .expect("one of twenty runs is stopped in time");
        // Cut by hand inside a stage, as a stop at another time would have left it.
        let mut cut: Value = serde_json::from_str(&kept).unwrap();
        let stage = cut["stages"]
            .as_object_mut()
            .unwrap()
            .values_mut()
            .next()
            .unwrap();
        let rows = stage.as_array_mut().unwrap();
        assert!(rows.len() >= 60);
        rows.truncate(37);
        fs::write(&partial, cut.to_string()).unwrap();
        let (json, err, code) = told(&run("cut", "3").output().unwrap());
        assert_eq!(code, 0, "{err}");
        assert!(err.contains("Going on after 37 of "), "{err}");
        assert_eq!(json, whole_json);
        assert!(!partial.exists(), "nothing unfinished is left");
        assert_eq!(
            contents(&folder.path().join("whole/vary")),
            contents(&folder.path().join("cut/vary"))
        );
        if method[0] == "sobol" {
            continue;
        }
        // Another seed does not take it up, and says so.
        fs::create_dir(folder.path().join("other")).unwrap();
        fs::write(
            folder.path().join("other/vary.partial.json"),
            cut.to_string(),
        )
        .unwrap();
        let (_, err, code) = told(&run("other", "4").output().unwrap());
        assert_eq!(code, 0, "{err}");
        assert!(
            err.contains("is of another task") && err.contains("all starts anew"),
            "{err}"
        );
        // A file cut in the middle of a number is no unfinished work.
        fs::write(&partial, &kept[..kept.len() / 2]).unwrap();
        let (json, err, code) = told(&run("cut", "3").output().unwrap());
        assert_eq!((json == whole_json, code), (true, 0), "{err}");
        assert!(err.contains("all starts anew"), "{err}");
    }
}

#[test]
fn a_yard_without_traps_is_asked_about_what_it_does() {
    let yard = small_yard().replace(
        r#"{ "name": "a", "traps": [{ "at": ["30 ft", "20 ft"] }] }"#,
        r#"{ "name": "hands", "methods": [{ "method": "hand-removal" }] }"#,
    );
    let extra = ["--summers", "2", "--settle", "4", "--habit-summers", "4"];
    let (_, (out, err, code)) = vary(&extra, &yard);
    assert_eq!(code, 0, "{err}");
    assert!(
        out.contains("\"hands\" means") && out.contains("How often you pick"),
        "{out}"
    );
    assert!(!out.contains("How often you empty"));
}
