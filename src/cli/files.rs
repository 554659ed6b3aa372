//! Reading and writing files: size limits, clear errors, and nothing half written.

use super::error::CliError;
use super::folder;
use crate::say::say;
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
    let bytes = read_up_to(path, Some(LARGEST_TEXT))?;
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_string()),
        Err(error) => {
            let line = bytes[..error.valid_up_to()].split(|b| *b == b'\n').count();
            Err(say!("file.not-utf8", shown = path.display(), line))
        }
    }
}

/// Reads the bytes of a file.
///
/// # Errors
/// A sentence that says what is wrong.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, String> {
    read_up_to(path, None)
}

/// Opens a file, or says what is wrong.
fn open(path: &Path) -> Result<fs::File, String> {
    let shown = path.display();
    let explain = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound => say!("file.none", shown),
        ErrorKind::PermissionDenied => say!("file.no-reading", shown),
        ErrorKind::IsADirectory => say!("file.is-folder", shown),
        _ => say!("file.unreadable", shown, error),
    };
    if fs::metadata(path).map_err(explain)?.is_dir() {
        return Err(say!("file.is-folder", shown));
    }
    fs::File::open(path).map_err(explain)
}

fn read_up_to(path: &Path, most: Option<u64>) -> Result<Vec<u8>, String> {
    let shown = path.display();
    let mut bytes = Vec::new();
    // A special file may claim to be empty and never end, so the limit holds while reading.
    open(path)?
        .take(most.map_or(u64::MAX, |most| most + 1))
        .read_to_end(&mut bytes)
        .map_err(|error| say!("file.unreadable", shown, error))?;
    match most {
        Some(most) if bytes.len() as u64 > most => {
            let size = most / 1024 / 1024;
            Err(say!("file.too-large", shown, size))
        }
        _ => Ok(bytes),
    }
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
        return Err(CliError::BadInput(say!("file.is-folder", shown)));
    }
    let exists = || CliError::BadInput(say!("file.is-there", shown));
    if !overwrite && fs::symlink_metadata(path).is_ok() {
        return Err(exists());
    }
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    };
    let failed = |error: std::io::Error| {
        CliError::Failed(match error.kind() {
            ErrorKind::PermissionDenied => say!("file.no-writing", shown),
            ErrorKind::AlreadyExists | ErrorKind::NotADirectory => say!("file.no-folder", shown),
            ErrorKind::ReadOnlyFilesystem => say!("file.read-only", shown),
            _ => say!("file.unwritable", shown, error),
        })
    };
    fs::create_dir_all(&folder).map_err(failed)?;
    let lock = folder::lock(&folder);
    if lock.is_some() {
        folder::sweep(&folder).map_err(failed)?;
    }
    let mut beside = staging().tempfile_in(&folder).map_err(failed)?;
    beside
        .write_all(bytes)
        .and_then(|()| beside.as_file().sync_all())
        .map_err(failed)?;
    set_usual_permissions(beside.path(), 0o644).map_err(failed)?;
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

/// What stands beside its place until it is whole.
const STAGING: &str = ".lurefield-staging-";

/// Makes files and folders that stand beside their place until they are whole.
pub(super) fn staging() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(STAGING);
    builder
}

/// Whether a name is one of those.
pub(super) fn is_staging(name: &str) -> bool {
    name.starts_with(STAGING)
}

/// What was staged is private; a result should be readable like any other file.
#[cfg(unix)]
pub(super) fn set_usual_permissions(path: &Path, mode: u32) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(mode))
}

/// Other systems give new files the folder's permissions.
#[cfg(not(unix))]
#[allow(clippy::unnecessary_wraps, reason = "same signature on all systems")]
pub(super) fn set_usual_permissions(_: &Path, _: u32) -> std::io::Result<()> {
    Ok(())
}
