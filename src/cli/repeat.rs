//! `lurefield check MANIFEST --repeat`: does the same command still make the same bytes?

use super::args::Arguments;
use super::error::CliError;
use super::work::kept_scenario;
use super::{files, print, start};
use crate::report::provenance::{Manifest, sha256};
use crate::say::{say, speak, voice};
use clap::CommandFactory;
use std::path::{Path, PathBuf};

/// Runs the manifest's command again in a temporary folder and compares the hash of every file.
///
/// # Errors
/// [`CliError::BadInput`] when the manifest or a file kept beside it is not what it should be,
/// [`CliError::Failed`] when a file differs.
pub fn run(manifest: &Path) -> Result<(), CliError> {
    let shown = manifest.display();
    let bad = |what: String| CliError::BadInput(format!("{shown}: {what}"));
    let text = files::read_text(manifest).map_err(CliError::BadInput)?;
    let asked = Manifest::read(&text).ok_or_else(|| bad(say!("repeat.no-manifest")))?;
    let Some((name, options)) = asked.command.split_first() else {
        return Err(bad(say!("repeat.no-command")));
    };
    let beside = manifest.parent().unwrap_or(Path::new(""));
    // Where a file is kept, once it is known to be the same one.
    let kept = |file: &str, known: &str| {
        let path = beside.join(file);
        let bytes = files::read_bytes(&path).map_err(CliError::BadInput)?;
        // Texts are hashed as they are read, without a byte order mark.
        let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
        if ![&bytes, text].iter().any(|b| sha256(b) == known) {
            return Err(bad(say!("repeat.other-file", file)));
        }
        let word = path.to_str().map(String::from);
        word.ok_or_else(|| bad(say!("repeat.not-utf8")))
    };
    let folder =
        tempfile::tempdir().map_err(|error| CliError::Failed(say!("repeat.no-folder", error)))?;
    let out = folder.path().to_str();
    let out = out.ok_or_else(|| bad(say!("repeat.not-utf8")))?;
    let mut line = vec!["lurefield".to_owned(), name.clone()];
    if let Some(scenario) = &asked.scenario {
        line.push(kept(&kept_scenario(&scenario.name), &scenario.sha256)?);
    }
    for word in options {
        let file = word.strip_prefix("inputs/");
        let known = file.and_then(|file| asked.inputs.iter().find(|i| i.file == file));
        line.push(match known {
            Some(known) => kept(word, &known.sha256)?,
            None => word.clone(),
        });
    }
    line.extend(["--out", out, "--quiet"].map(String::from));
    if !asked.language.is_empty() {
        line.extend(["--language".to_owned(), asked.language.clone()]);
    }
    let matches = Arguments::command()
        .try_get_matches_from(line)
        .map_err(|error| bad(say!("repeat.unknown-command", error)))?;
    let spoken = voice().get("language");
    let done = start(&matches);
    speak(spoken);
    let made = made_in(folder.path());
    // A command may make its files and fail all the same: a calibration that no set fits.
    let any = asked.outputs.iter().any(|o| made.join(&o.file).exists());
    if !any {
        done?;
    }
    let mut different = Vec::new();
    for output in &asked.outputs {
        let bytes = files::read_bytes(&made.join(&output.file)).unwrap_or_default();
        if sha256(&bytes) != output.sha256 {
            different.push(output.file.as_str());
        }
    }
    let (total, n) = (asked.outputs.len(), different.len());
    let version = env!("CARGO_PKG_VERSION");
    if different.is_empty() {
        return print(&say!("repeat.same", total, version));
    }
    let names = different.join(", ");
    let mut told = say!("repeat.different", n, total, names);
    if asked.version != version {
        told.push_str(". ");
        told.push_str(&say!("repeat.versions", old = asked.version, version));
    }
    Err(CliError::Failed(told))
}

/// The part that a command has made in an empty folder of results.
fn made_in(out: &Path) -> PathBuf {
    let inside = std::fs::read_dir(out).into_iter().flatten().flatten();
    let folder = inside.map(|e| e.path()).find(|p| p.is_dir());
    folder.unwrap_or_else(|| out.to_path_buf())
}
