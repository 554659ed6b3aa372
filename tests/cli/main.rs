//! What people meet: reading scenarios, messages, exit codes and text.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that fails should panic"
)]

mod ask;
mod bad_input;
mod calibrate;
mod check;
mod compare;
mod flight;
mod folder;
mod mark;
mod never_panics;
mod new;
mod page;
mod place;
mod quantities;
mod questions;
mod report;
mod run;
mod shipped;
#[path = "../sourced.rs"]
mod sourced;
mod trust;
mod vary;
mod weather;
mod wind;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The program, ready for arguments.
fn lurefield() -> Command {
    Command::new(env!("CARGO_BIN_EXE_lurefield"))
}

/// Standard output, standard error and exit code.
fn told(output: &Output) -> (String, String, i32) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (
        text(&output.stdout),
        text(&output.stderr),
        output.status.code().unwrap(),
    )
}

/// A shipped file.
fn shipped_path(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("scenarios")
        .join(name)
}

/// Runs `check` on a text and gives standard error and exit code.
fn check_bytes(bytes: &[u8]) -> (String, i32) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("yard.json");
    std::fs::write(&path, bytes).unwrap();
    let (_, err, code) = told(
        &lurefield()
            .current_dir(folder.path())
            .args(["check", "yard.json"])
            .output()
            .unwrap(),
    );
    (err, code)
}

/// Asks in a folder for a result to be made again from its manifest, and compared.
fn repeated(folder: &Path, manifest: &str) -> (String, String, i32) {
    let output = lurefield()
        .current_dir(folder)
        .args(["check", manifest, "--repeat"])
        .output()
        .unwrap();
    told(&output)
}

/// The smallest useful scenario, one part on each line, with one part replaced.
///
/// Its beans stand in a block: insects land on one of many soon, so that the density is found in a third of the time that
/// one bean alone takes.
fn yard_with(part: &str, text: &str) -> String {
    let mut parts = vec![
        ("format", r#""format": 1"#.to_string()),
        ("title", r#""title": "A trial""#.to_string()),
        (
            "yard",
            r#""yard": { "width": "60 ft", "depth": "40 ft" }"#.to_string(),
        ),
        (
            "crops",
            r#""crops": [{ "name": "beans", "kind": "pole-bean", "block": { "from": ["8 ft", "8 ft"], "to": ["20 ft", "32 ft"], "count": [3, 7] } }]"#
                .to_string(),
        ),
        ("pest", r#""pest": "japanese-beetle""#.to_string()),
        (
            "plans",
            r#""plans": [{ "name": "a", "traps": [{ "at": ["30 ft", "20 ft"] }] }]"#.to_string(),
        ),
    ];
    match parts.iter_mut().find(|(name, _)| *name == part) {
        Some((_, old)) => *old = text.to_string(),
        None => parts.push(("extra", text.to_string())),
    }
    let lines: Vec<String> = parts
        .into_iter()
        .map(|(_, text)| text)
        .filter(|text| !text.is_empty())
        .collect();
    format!("{{\n{}\n}}\n", lines.join(",\n"))
}
