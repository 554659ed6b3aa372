//! The folder of results. Each command owns a folder in it, which is made beside and swapped in whole; one page on top
//! shows all of them.
//!
//! Whoever changes the folder holds a lock on it, so whatever staging is found under the lock was left by a program that
//! was killed, and is removed. The page on top is taken away before a swap and put back after it: a stop in between
//! leaves no page, never one that tells of other results.

use super::error::CliError;
use super::files::{self, is_staging, set_usual_permissions, staging};
use crate::report::products::overview::{self, MARK, PARTS, Part};
use crate::report::provenance::Manifest;
use crate::say::say;
use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Name of the page on top.
const PAGE: &str = "index.html";
/// Stands before the name of a part that was moved away where two folders cannot change places in one step.
const OLD: &str = ".lurefield-old-";

/// Makes a folder for results and makes sure that the part of a command can be written there, before any work is done.
///
/// # Errors
/// [`CliError::Failed`] with the reason: no permission, or something there that is none of ours.
pub fn ready(out: &Path, part: &str) -> Result<(), CliError> {
    let failed = |error: io::Error| failed(out, &error);
    fs::create_dir_all(out).map_err(failed)?;
    tempfile::tempfile_in(out).map_err(failed)?;
    let target = out.join(part);
    let kept = files::read_text(&target.join(Manifest::NAME)).ok();
    let ours = kept.is_some_and(|text| Manifest::read(&text).is_some());
    let empty = || fs::read_dir(&target).is_ok_and(|mut inside| inside.next().is_none());
    if fs::symlink_metadata(&target).is_ok() && !ours && !empty() {
        let shown = target.display();
        return Err(CliError::Failed(say!("folder.part.not-ours", shown)));
    }
    let page = out.join(PAGE);
    let there = files::read_text(&page).unwrap_or_default();
    if fs::symlink_metadata(&page).is_ok() && !there.contains(MARK) {
        let shown = page.display();
        return Err(CliError::Failed(say!("folder.page.not-ours", shown)));
    }
    Ok(())
}

fn failed(out: &Path, error: &io::Error) -> CliError {
    let shown = out.display();
    CliError::Failed(match error.kind() {
        ErrorKind::AlreadyExists | ErrorKind::NotADirectory => say!("folder.is-file", shown),
        _ => say!("folder.cannot", shown, error),
    })
}

/// Puts the files of a result, its manifest among them, in the place of the part of a command, and makes the page anew.
/// Files that somebody else has put into the part stay in it.
///
/// # Errors
/// [`CliError::Failed`] when writing fails; the old result is then as it was.
pub fn publish(out: &Path, part: &str, results: &[(String, Vec<u8>)]) -> Result<(), CliError> {
    ready(out, part)?;
    swap_in(out, part, results).map_err(|error| failed(out, &error))
}

fn swap_in(out: &Path, part: &str, results: &[(String, Vec<u8>)]) -> io::Result<()> {
    let _lock = lock(out);
    sweep(out)?;
    let target = out.join(part);
    let stage = staging().tempdir_in(out)?;
    for (name, bytes) in results {
        let path = stage.path().join(name);
        fs::create_dir_all(path.parent().unwrap_or(out))?;
        fs::write(path, bytes)?;
    }
    keep_others(&target, stage.path())?;
    set_usual_permissions(stage.path(), 0o755)?;
    let mut page = staging().tempfile_in(out)?;
    page.write_all(overview::page_of(&parts(out, part, stage.path())).as_bytes())?;
    set_usual_permissions(page.path(), 0o644)?;
    match fs::remove_file(out.join(PAGE)) {
        Err(error) if error.kind() != ErrorKind::NotFound => return Err(error),
        _ => swap(stage.path(), &target, &out.join(format!("{OLD}{part}")))?,
    }
    page.persist(out.join(PAGE))?;
    Ok(())
}

/// Holds a folder for one program at a time, as far as the system can; let go when dropped, or when the program ends.
pub(super) fn lock(folder: &Path) -> Option<fs::File> {
    let held = fs::File::open(folder).ok()?;
    held.lock().ok()?;
    Some(held)
}

/// Removes what a killed program has left, and puts back a part that it had moved away.
pub(super) fn sweep(out: &Path) -> io::Result<()> {
    for entry in fs::read_dir(out)? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let old = name.strip_prefix(OLD).map(|part| out.join(part));
        match old {
            Some(part) if !part.exists() => fs::rename(&path, part)?,
            None if !is_staging(&name) => {}
            _ if path.is_dir() => fs::remove_dir_all(&path)?,
            _ => fs::remove_file(&path)?,
        }
    }
    Ok(())
}

/// Changes the places of the staged and the old part, in one step where the system has one.
fn swap(stage: &Path, target: &Path, old: &Path) -> io::Result<()> {
    if !target.exists() {
        return fs::rename(stage, target);
    }
    if exchange(stage, target) {
        return Ok(());
    }
    fs::rename(target, old)?;
    fs::rename(stage, target)?;
    fs::remove_dir_all(old)
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn exchange(a: &Path, b: &Path) -> bool {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE).is_ok()
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn exchange(_: &Path, _: &Path) -> bool {
    false
}

/// Copies into the stage what the old part holds and its manifest does not list.
fn keep_others(target: &Path, stage: &Path) -> io::Result<()> {
    let Ok(text) = files::read_text(&target.join(Manifest::NAME)) else {
        return Ok(());
    };
    let listed = Manifest::read(&text).map_or_else(Vec::new, |m| m.outputs);
    for file in inside(target)? {
        let name = file.strip_prefix(target).unwrap_or(&file);
        let ours = name.starts_with("inputs")
            || name == Path::new(Manifest::NAME)
            || listed.iter().any(|o| Path::new(&o.file) == name);
        let copy = stage.join(name);
        if !ours && !copy.exists() {
            fs::create_dir_all(copy.parent().unwrap_or(stage))?;
            fs::copy(&file, copy)?;
        }
    }
    Ok(())
}

/// All plain files in a folder and in those inside it.
fn inside(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let kind = entry.file_type()?;
        if kind.is_dir() {
            all.extend(inside(&entry.path())?);
        } else if kind.is_file() {
            all.push(entry.path());
        }
    }
    Ok(all)
}

/// The parts of a folder, with one of them as it is staged.
fn parts(out: &Path, staged: &str, stage: &Path) -> Vec<Part> {
    let part = |name: &'static str| {
        let folder = if name == staged {
            stage.to_path_buf()
        } else {
            out.join(name)
        };
        let manifest = files::read_text(&folder.join(Manifest::NAME)).ok()?;
        let manifest = Manifest::read(&manifest)?;
        let texts = manifest.outputs.iter().map(|o| o.file.clone());
        let texts = texts
            .filter(|file| Path::new(file).extension().is_some_and(|e| e == "txt"))
            .filter_map(|file| Some((file.clone(), files::read_text(&folder.join(file)).ok()?)))
            .collect();
        Some(Part {
            name,
            manifest,
            texts,
        })
    };
    PARTS.iter().filter_map(|(name, _)| part(name)).collect()
}
