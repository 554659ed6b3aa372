//! `lurefield check MANIFEST --repeat`: does the same command still make the same bytes?

use super::args::Arguments;
use super::error::CliError;
use super::work::kept_scenario;
use super::{dispatch, files, print};
use crate::report::provenance::sha256;
use clap::Parser;
use serde_json::Value;
use std::path::Path;

/// Runs the manifest's command again in a temporary folder and compares the hash of every file.
///
/// # Errors
/// [`CliError::BadInput`] when the manifest or the scenario beside it is not what it should be,
/// [`CliError::Failed`] when a file differs.
pub fn run(manifest: &Path) -> Result<(), CliError> {
    let shown = manifest.display();
    let bad = |what: &str| CliError::BadInput(format!("{shown}: {what}"));
    let text = files::read_text(manifest).map_err(CliError::BadInput)?;
    let value: Value =
        serde_json::from_str(&text).map_err(|e| bad(&format!("this is not JSON: {e}")))?;
    let words = |key: &str| -> Option<Vec<String>> {
        value
            .get(key)?
            .as_array()?
            .iter()
            .map(|w| w.as_str().map(String::from))
            .collect()
    };
    if value.get("program").and_then(Value::as_str) != Some("lurefield") {
        return Err(bad(
            "this is no manifest; name the manifest.json beside a result",
        ));
    }
    let command =
        words("command").ok_or_else(|| bad("it names no command; make the result again"))?;
    let outputs: Vec<(String, String)> = value
        .get("outputs")
        .and_then(Value::as_array)
        .and_then(|list| {
            let pair = |o: &Value| {
                Some((
                    o.get("file")?.as_str()?.to_string(),
                    o.get("sha256")?.as_str()?.to_string(),
                ))
            };
            list.iter().map(pair).collect()
        })
        .ok_or_else(|| bad("it lists no files; make the result again"))?;
    let beside = manifest.parent().unwrap_or(Path::new(""));
    let kept = |file: String, known: &str, what: &str| {
        let path = beside.join(file);
        let read = files::read_text(&path).map_err(CliError::BadInput)?;
        if sha256(read.as_bytes()) != known {
            return Err(bad(&format!(
                "the {what} kept in its inputs folder is another one; make the result again"
            )));
        }
        Ok(path)
    };
    let said = |path: &str| {
        value
            .pointer(path)
            .and_then(Value::as_str)
            .unwrap_or_default()
    };
    // Some commands take no scenario; ranges of one's own are kept beside the result as well.
    let scenario = if value.get("scenario").is_some() {
        let name = kept_scenario(said("/scenario/name"));
        Some(kept(name, said("/scenario/sha256"), "scenario")?)
    } else {
        None
    };
    let inputs = value.get("inputs").and_then(Value::as_array);
    let priors = inputs
        .into_iter()
        .flatten()
        .find(|i| scenario.is_none() && i["file"] == "priors.json")
        .map(|i| {
            let known = i["sha256"].as_str().unwrap_or_default();
            kept("inputs/priors.json".into(), known, "file of ranges")
        })
        .transpose()?;
    let folder =
        tempfile::tempdir().map_err(|e| CliError::Failed(format!("no temporary folder: {e}")))?;
    let utf8 = |path: &Option<std::path::PathBuf>| match path {
        Some(path) => path.to_str().map(|p| Some(p.to_owned())),
        None => Some(None),
    };
    let (Some(scenario), Some(priors), Some(out), Some((name, options))) = (
        utf8(&scenario),
        utf8(&priors),
        folder.path().to_str(),
        command.split_first(),
    ) else {
        return Err(bad(
            "its folder's name is not UTF-8, or it names no command",
        ));
    };
    let mut line = vec!["lurefield", name.as_str()];
    line.extend(scenario.as_deref());
    line.extend(options.iter().map(String::as_str));
    line.extend(priors.iter().flat_map(|p| ["--priors", p.as_str()]));
    line.extend(["--out", out, "--quiet"]);
    let arguments = Arguments::try_parse_from(line)
        .map_err(|e| bad(&format!("its command is not known here: {e}")))?;
    let done = dispatch(arguments.command);
    // A command may make its files and fail all the same: a calibration that no set fits.
    let made = outputs
        .iter()
        .any(|(file, _)| folder.path().join(file).exists());
    if !made {
        done?;
    }
    let mut different = Vec::new();
    for (file, hash) in &outputs {
        let bytes = files::read_bytes(&folder.path().join(file)).unwrap_or_default();
        if sha256(&bytes) != *hash {
            different.push(file.as_str());
        }
    }
    let made_by = value.get("version").and_then(Value::as_str).unwrap_or("?");
    let here = env!("CARGO_PKG_VERSION");
    if different.is_empty() {
        return print(&format!(
            "Same: all {} files came out again, byte for byte (version {here}).",
            outputs.len()
        ));
    }
    let versions = if made_by == here {
        String::new()
    } else {
        format!(" The result was made by version {made_by}, this is {here}.")
    };
    Err(CliError::Failed(format!(
        "different: {} of {} files: {}.{versions}",
        different.len(),
        outputs.len(),
        different.join(", ")
    )))
}
