//! Reading and writing files: size limits, clear errors, and nothing half written.

use super::error::CliError;
use crate::scenario::{self, Scenario};
use std::fs;
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

/// Largest text that is read, bytes.
const LARGEST_TEXT: u64 = 64 * 1024 * 1024;

/// Reads a text file: UTF-8, a byte order mark is dropped.
///
/// # Errors
/// A sentence that says what is wrong with the file and what to do.
pub fn read_text(path: &Path) -> Result<String, String> {
    let shown = path.display();
    let explain = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound => {
            format!("{shown}: there is no such file; check the spelling and the folder")
        }
        ErrorKind::PermissionDenied => {
            format!("{shown}: no permission to read it; change its permissions")
        }
        ErrorKind::IsADirectory => format!("{shown}: this is a folder; name a file in it"),
        _ => format!("{shown}: cannot be read: {error}"),
    };
    if fs::metadata(path).map_err(explain)?.is_dir() {
        return Err(format!("{shown}: this is a folder; name a file in it"));
    }
    let mut bytes = Vec::new();
    // A special file may claim to be empty and never end, so the limit holds while reading.
    fs::File::open(path)
        .map_err(explain)?
        .take(LARGEST_TEXT + 1)
        .read_to_end(&mut bytes)
        .map_err(explain)?;
    if bytes.len() as u64 > LARGEST_TEXT {
        return Err(format!(
            "{shown}: larger than {} MB; this is not a file for lurefield",
            LARGEST_TEXT / 1024 / 1024
        ));
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_string()),
        Err(error) => {
            let line = bytes[..error.valid_up_to()].split(|b| *b == b'\n').count();
            Err(format!(
                "{shown}:{line}: this is not UTF-8 text; save it as UTF-8"
            ))
        }
    }
}

/// Reads the bytes of a file.
///
/// # Errors
/// A sentence that says what is wrong.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, String> {
    fs::read(path).map_err(|e| format!("{}: cannot be read: {e}", path.display()))
}

/// Reads and checks a scenario; files it names are looked up beside it.
///
/// # Errors
/// [`CliError::BadInput`] when the file cannot be read, [`CliError::Faults`] with all faults of its content.
pub fn read_scenario(path: &Path) -> Result<Scenario, CliError> {
    let text = read_text(path).map_err(CliError::BadInput)?;
    let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
    let load = |name: &str| read_text(&folder.join(name));
    scenario::read(&text, &path.display().to_string(), &load).map_err(CliError::Faults)
}

/// Writes a file whole or not at all: beside it first, then renamed. Missing folders are made.
///
/// # Errors
/// [`CliError::BadInput`] when the target cannot be a file or stands there already and `overwrite` is false,
/// [`CliError::Failed`] when writing fails.
pub fn write_atomic(path: &Path, bytes: &[u8], overwrite: bool) -> Result<(), CliError> {
    let shown = path.display();
    if path.file_name().is_none() || path.is_dir() {
        return Err(CliError::BadInput(format!(
            "{shown}: this is a folder; name a file in it"
        )));
    }
    let exists = || {
        CliError::BadInput(format!(
            "{shown}: the file is there already; choose another name or add --force"
        ))
    };
    if !overwrite && fs::symlink_metadata(path).is_ok() {
        return Err(exists());
    }
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    };
    let failed = |error: std::io::Error| match error.kind() {
        ErrorKind::PermissionDenied => CliError::Failed(format!(
            "{shown}: no permission to write there; choose another folder"
        )),
        ErrorKind::AlreadyExists | ErrorKind::NotADirectory => CliError::Failed(format!(
            "{shown}: a file stands where a folder is needed; choose another folder"
        )),
        ErrorKind::ReadOnlyFilesystem => CliError::Failed(format!(
            "{shown}: the disk is read-only; choose another folder"
        )),
        _ => CliError::Failed(format!("{shown}: cannot be written: {error}")),
    };
    fs::create_dir_all(&folder).map_err(failed)?;
    let mut beside = tempfile::Builder::new()
        .prefix(".lurefield-")
        .tempfile_in(&folder)
        .map_err(failed)?;
    beside
        .write_all(bytes)
        .and_then(|()| beside.as_file().sync_all())
        .map_err(failed)?;
    set_usual_permissions(beside.as_file()).map_err(failed)?;
    if overwrite {
        beside
            .persist(path)
            .map(|_| ())
            .map_err(|e| failed(e.error))
    } else {
        beside
            .persist_noclobber(path)
            .map(|_| ())
            .map_err(|e| match e.error.kind() {
                ErrorKind::AlreadyExists => exists(),
                _ => failed(e.error),
            })
    }
}

/// Makes a folder for results and makes sure that it can be written.
///
/// # Errors
/// [`CliError::Failed`] with the reason.
pub fn make_folder(folder: &Path) -> Result<(), CliError> {
    let shown = folder.display();
    let failed = |error: std::io::Error| match error.kind() {
        ErrorKind::AlreadyExists | ErrorKind::NotADirectory => CliError::Failed(format!(
            "{shown}: a file stands where a folder is needed; choose another with --out"
        )),
        _ => CliError::Failed(format!(
            "{shown}: cannot be written: {error}; choose another folder with --out"
        )),
    };
    fs::create_dir_all(folder).map_err(failed)?;
    tempfile::Builder::new()
        .prefix(".lurefield-")
        .tempfile_in(folder)
        .map_err(failed)?;
    Ok(())
}

/// Writes all files of a result into a folder: first all of them beside their places, then renamed one after the other,
/// so that a full disk or a stop leaves the old result whole.
///
/// # Errors
/// [`CliError::Failed`] when writing fails.
pub fn write_results(folder: &Path, results: &[(String, Vec<u8>)]) -> Result<(), CliError> {
    make_folder(folder)?;
    let failed = |error: std::io::Error| {
        CliError::Failed(format!(
            "{}: cannot be written: {error}; choose another folder with --out",
            folder.display()
        ))
    };
    let stage = tempfile::Builder::new()
        .prefix(".lurefield-")
        .tempdir_in(folder)
        .map_err(failed)?;
    for (i, (_, bytes)) in results.iter().enumerate() {
        fs::write(stage.path().join(i.to_string()), bytes).map_err(failed)?;
    }
    for (i, (name, _)) in results.iter().enumerate() {
        let target = folder.join(name);
        if let Some(parent) = target.parent() {
            fs::create_dir_all(parent).map_err(failed)?;
        }
        fs::rename(stage.path().join(i.to_string()), target).map_err(failed)?;
    }
    Ok(())
}

/// Temporary files are private; a result should be readable like any other file.
#[cfg(unix)]
fn set_usual_permissions(file: &fs::File) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

/// Other systems give new files the folder's permissions.
#[cfg(not(unix))]
#[allow(clippy::unnecessary_wraps, reason = "same signature on all systems")]
fn set_usual_permissions(_file: &fs::File) -> std::io::Result<()> {
    Ok(())
}
