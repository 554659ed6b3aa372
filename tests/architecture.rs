//! The house rules, read from the source: who may import whom, who may touch the outside world, and that the map in
//! DEVELOPERS.md names every folder.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that fails should panic"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Each layer and the layers of ours that it may import.
const LAYERS: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("geometry", &[]),
    ("stats", &[]),
    ("catalogue", &["units"]),
    ("control", &["units", "geometry", "catalogue"]),
    ("scenario", &["units", "geometry", "catalogue", "control"]),
    (
        "engine",
        &["units", "geometry", "catalogue", "control", "scenario"],
    ),
    (
        "tally",
        &[
            "units",
            "geometry",
            "catalogue",
            "control",
            "scenario",
            "engine",
            "stats",
        ],
    ),
    (
        "season",
        &[
            "units",
            "geometry",
            "catalogue",
            "control",
            "scenario",
            "engine",
            "tally",
            "stats",
        ],
    ),
    (
        "placement",
        &[
            "units",
            "geometry",
            "catalogue",
            "control",
            "scenario",
            "engine",
            "tally",
            "stats",
        ],
    ),
    (
        "figure",
        &[
            "units",
            "geometry",
            "catalogue",
            "control",
            "scenario",
            "tally",
            "stats",
            "season",
            "placement",
        ],
    ),
    (
        "report",
        &[
            "units",
            "geometry",
            "catalogue",
            "control",
            "scenario",
            "tally",
            "stats",
            "season",
            "placement",
            "figure",
        ],
    ),
];

fn sources(folder: &Path, out: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    entries.sort();
    for entry in entries {
        if entry.is_dir() {
            sources(&entry, out);
        } else if entry.extension().is_some_and(|e| e == "rs") {
            out.push(entry);
        }
    }
}

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// All source files, in a fixed order; read once.
fn all_sources() -> &'static [PathBuf] {
    static ALL: OnceLock<Vec<PathBuf>> = OnceLock::new();
    ALL.get_or_init(|| {
        let mut files = Vec::new();
        sources(&src(), &mut files);
        files
    })
}

/// The layer of a file: its first folder, or its own name.
fn layer(file: &Path) -> String {
    let inside = file.strip_prefix(src()).unwrap();
    let first = inside
        .components()
        .next()
        .unwrap()
        .as_os_str()
        .to_string_lossy()
        .into_owned();
    first.trim_end_matches(".rs").to_string()
}

/// Source lines without comments.
fn code(file: &Path) -> Vec<(usize, String)> {
    fs::read_to_string(file)
        .unwrap()
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim_start().starts_with("//"))
        .map(|(i, line)| (i + 1, line.to_string()))
        .collect()
}

#[test]
fn layers_import_only_what_lies_below_them() {
    let mut faults = Vec::new();
    for file in all_sources() {
        let name = layer(file);
        if ["cli", "lib", "main"].contains(&name.as_str()) {
            continue;
        }
        let allowed = LAYERS
            .iter()
            .find(|(layer, _)| *layer == name)
            .unwrap_or_else(|| {
                panic!("{name}: a new layer; add it to the table here and to DEVELOPERS.md")
            })
            .1;
        for (number, line) in code(file) {
            for (at, _) in line.match_indices("crate::") {
                let rest = &line[at + "crate::".len()..];
                let used: String = rest
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect();
                if used != name && !allowed.contains(&used.as_str()) {
                    faults.push(format!(
                        "{}:{number}: {name} imports {used}",
                        file.display()
                    ));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn only_the_command_line_touches_the_outside_world() {
    let mut faults = Vec::new();
    for file in all_sources() {
        if layer(file) == "cli" {
            continue;
        }
        for (number, line) in code(file) {
            for outside in [
                "std::fs",
                "std::env",
                "std::time",
                "std::process",
                "std::net",
                "println!",
                "eprintln!",
            ] {
                if line.contains(outside) && layer(file) != "main" {
                    faults.push(format!("{}:{number}: {outside}", file.display()));
                }
            }
            let threads = line.contains("rayon::") || line.contains("std::thread");
            // Summers, and the pictures of one result; neither changes with the number of threads.
            let may = ["engine/ensemble.rs", "figure/canvas.rs"];
            if threads && !may.iter().any(|name| file.ends_with(name)) {
                faults.push(format!(
                    "{}:{number}: threads outside engine/ensemble.rs and figure/canvas.rs",
                    file.display()
                ));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_map_in_the_guide_names_every_folder_and_no_other() {
    let guide =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md")).unwrap();
    let mut layers: Vec<String> = all_sources().iter().map(|f| layer(f)).collect();
    layers.sort();
    layers.dedup();
    for name in &layers {
        if !["lib", "main"].contains(&name.as_str()) {
            assert!(
                guide.contains(&format!("`src/{name}")),
                "DEVELOPERS.md does not map src/{name}"
            );
        }
    }
    for (at, _) in guide.match_indices("`src/") {
        let path: String = guide[at + 1..]
            .chars()
            .take_while(|c| *c != '`' && *c != '*')
            .collect();
        if path.contains('<') {
            continue;
        }
        let full = Path::new(env!("CARGO_MANIFEST_DIR")).join(path.trim_end_matches('/'));
        assert!(
            full.exists(),
            "DEVELOPERS.md maps {path}, which is not there"
        );
    }
}

#[test]
fn the_readme_commands_that_ci_runs_are_there() {
    let readme =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
    assert!(
        readme
            .lines()
            .any(|l| l == "    cargo run --release -- run scenarios/allotment-beetles.json")
    );
    assert!(readme.lines().any(|l| l.starts_with("    cargo test")));
}
