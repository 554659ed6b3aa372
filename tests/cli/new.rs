//! `new` writes scenarios that read, and never over a file unasked.

use super::{lurefield, told};
use std::path::Path;

fn new_in(folder: &Path, args: &[&str]) -> (String, String, i32) {
    told(
        &lurefield()
            .current_dir(folder)
            .arg("new")
            .args(args)
            .stdin(std::process::Stdio::null())
            .output()
            .unwrap(),
    )
}

fn reads(folder: &Path, file: &str) {
    let (_, err, code) = told(
        &lurefield()
            .current_dir(folder)
            .args(["check", file])
            .output()
            .unwrap(),
    );
    assert_eq!(code, 0, "{err}");
}

#[test]
fn every_listed_preset_is_written_and_reads() {
    let folder = tempfile::tempdir().unwrap();
    let (list, _, code) = new_in(folder.path(), &["--list"]);
    assert_eq!(code, 0);
    assert!(list.lines().count() >= 6);
    for line in list.lines() {
        let name = line.split_whitespace().next().unwrap();
        let file = format!("deep/er/{name}.json");
        let (_, err, code) = new_in(folder.path(), &[&file, "--preset", name]);
        assert_eq!(code, 0, "{err}");
        reads(folder.path(), &file);
    }
}

#[test]
fn one_bed_and_a_distance_are_enough() {
    let folder = tempfile::tempdir().unwrap();
    let (_, err, code) = new_in(
        folder.path(),
        &["y.json", "--crop", "rose", "--trap-distance", "10 ft"],
    );
    assert_eq!(code, 0, "{err}");
    let text = std::fs::read_to_string(folder.path().join("y.json")).unwrap();
    let scenario = lurefield::scenario::read(&text, "y.json", &|_| Err(String::new())).unwrap();
    let trap = scenario.plans[1].traps[0].at;
    let row_y = scenario.plants[0].at.y;
    assert!(
        (row_y - trap.y - 3.048).abs() < 0.01,
        "trap {} m from the row",
        row_y - trap.y
    );
}

/// The row stands along the side that was named, with its trap towards the middle and the other in the far corner.
#[test]
fn a_row_stands_along_the_side_that_is_named() {
    let folder = tempfile::tempdir().unwrap();
    for (side, row, near, far) in [
        ("north", [30.0, 37.0], [30.0, 25.0], [0.0, 0.0]),
        ("south", [30.0, 3.0], [30.0, 15.0], [0.0, 40.0]),
        ("east", [57.0, 20.0], [45.0, 20.0], [0.0, 0.0]),
        ("west", [3.0, 20.0], [15.0, 20.0], [60.0, 0.0]),
    ] {
        let file = format!("{side}.json");
        let args = [&file, "--side", side, "--trap-distance", "12 ft"];
        let (_, err, code) = new_in(folder.path(), &args);
        assert_eq!(code, 0, "{err}");
        let text = std::fs::read_to_string(folder.path().join(&file)).unwrap();
        let scenario = lurefield::scenario::read(&text, &file, &|_| Err(String::new())).unwrap();
        let n = scenario.plants.len() as f64;
        let mean = |of: fn(&lurefield::geometry::Point) -> f64| {
            scenario.plants.iter().map(|p| of(&p.at)).sum::<f64>() / n
        };
        let spots = [
            (mean(|p| p.x), mean(|p| p.y), row),
            (
                scenario.plans[1].traps[0].at.x,
                scenario.plans[1].traps[0].at.y,
                near,
            ),
            (
                scenario.plans[2].traps[0].at.x,
                scenario.plans[2].traps[0].at.y,
                far,
            ),
        ];
        for (x, y, [x_ft, y_ft]) in spots {
            let off = [x / 0.3048 - x_ft, y / 0.3048 - y_ft].map(f64::abs);
            assert!(off.iter().all(|ft| *ft < 2.0), "{side}: {x} {y}");
        }
    }
}

/// The cover table says that roses stay open, so no net is proposed over them.
#[test]
fn plants_grown_to_be_seen_get_no_net() {
    let folder = tempfile::tempdir().unwrap();
    for (crop, net) in [("rose", false), ("raspberry", true)] {
        let file = format!("{crop}.json");
        let (_, err, code) = new_in(folder.path(), &[&file, "--crop", crop]);
        assert_eq!(code, 0, "{err}");
        let text = std::fs::read_to_string(folder.path().join(&file)).unwrap();
        assert_eq!(text.contains("row-cover"), net, "{crop}");
    }
}

#[test]
fn every_pest_makes_a_scenario() {
    let folder = tempfile::tempdir().unwrap();
    for (id, _) in lurefield::catalogue::PESTS {
        let file = format!("{id}.json");
        let (_, err, code) = new_in(
            folder.path(),
            &[
                &file,
                "--pest",
                id,
                "--wind",
                "north-west",
                "--pressure",
                "heavy",
            ],
        );
        assert_eq!(code, 0, "{id}: {err}");
        reads(folder.path(), &file);
    }
}

#[test]
fn a_file_that_is_there_stays_unless_forced() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("y.json");
    std::fs::write(&file, "mine").unwrap();
    let (_, err, code) = new_in(folder.path(), &["y.json", "--preset", "weak-lure"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("y.json: the file is there already; choose another name or add --force"),
        "{err}"
    );
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");
    assert_eq!(
        new_in(
            folder.path(),
            &["y.json", "--preset", "weak-lure", "--force"]
        )
        .2,
        0
    );
    reads(folder.path(), "y.json");
    assert_eq!(
        std::fs::read_dir(folder.path()).unwrap().count(),
        1,
        "a temporary file was left"
    );
}

#[test]
fn targets_that_cannot_be_files_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("d")).unwrap();
    std::fs::write(folder.path().join("f"), "").unwrap();
    let (_, err, code) = new_in(folder.path(), &["d", "--preset", "weak-lure"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("d: this is a folder; name a file in it"),
        "{err}"
    );
    let (_, err, code) = new_in(folder.path(), &["f/y.json", "--preset", "weak-lure"]);
    assert_eq!(code, 1);
    assert!(
        err.contains("a file stands where a folder is needed"),
        "{err}"
    );
}

#[test]
fn wrong_answers_say_what_to_write() {
    let folder = tempfile::tempdir().unwrap();
    for (args, words) in [
        (&["y.json"][..], "nothing to start from"),
        (
            &["y.json", "--preset", "weak-lur"],
            "did you mean \"weak-lure\"?",
        ),
        (
            &["y.json", "--pest", "japanese-beatle"],
            "did you mean \"japanese-beetle\"?",
        ),
        (&["y.json", "--crop", "rse"], "did you mean \"rose\"?"),
        (
            &["y.json", "--plants", "0"],
            "--plants: \"0\" is no number of plants",
        ),
        (
            &["y.json", "--plants", "400"],
            "plant fewer or make the yard larger",
        ),
        (
            &["y.json", "--width", "-4 ft"],
            "--width: -4 ft is out of bounds",
        ),
        (
            &["y.json", "--trap-distance", "300 ft"],
            "is too far in a yard that is 40 ft across",
        ),
        (
            &["y.json", "--trap-distance", "39.9 ft"],
            "is too far in a yard that is 40 ft across",
        ),
        (&["y.json", "--side", "nroth"], "did you mean \"north\"?"),
        (&["y.json", "--wind", "wset"], "did you mean \"west\"?"),
        (
            &["y.json", "--pressure", "much"],
            "--pressure: unknown name \"much\"",
        ),
        (
            &["y.json", "--preset", "weak-lure", "--crop", "rose"],
            "do not go together",
        ),
    ] {
        let args: Vec<String> = args.iter().map(ToString::to_string).collect();
        // A value that starts with a hyphen needs the equals sign.
        let joined: Vec<String> = if args.contains(&"-4 ft".to_string()) {
            vec!["y.json".into(), "--width=-4 ft".into()]
        } else {
            args
        };
        let refs: Vec<&str> = joined.iter().map(String::as_str).collect();
        let (_, err, code) = new_in(folder.path(), &refs);
        assert_eq!(code, 2, "{refs:?}");
        assert!(err.contains(words), "{refs:?}: {err}");
        assert!(!folder.path().join("y.json").exists());
    }
}

#[test]
fn answer_without_a_unit_is_read_as_feet_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let (out, err, code) = new_in(folder.path(), &["y.json", "--width", "50"]);
    assert_eq!(code, 0, "{err}");
    assert!(
        out.starts_with("Note: --width 50 is read as 50 ft.\n"),
        "{out}"
    );
    let (out, _, _) = new_in(folder.path(), &["z.json", "--width", "50 ft"]);
    assert!(out.starts_with("Wrote z.json."), "{out}");
}
