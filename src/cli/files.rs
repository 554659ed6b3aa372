//! Writing files: nothing is ever half written.

use super::error::CliError;
use std::io::Write;
use std::path::Path;

/// Writes a file whole or not at all: beside it first, then renamed. Missing folders are made.
///
/// # Errors
/// [`CliError::BadInput`] when the target stands there already and `overwrite` is false, [`CliError::Failed`] when writing fails.
pub fn write_atomic(path: &Path, bytes: &[u8], overwrite: bool) -> Result<(), CliError> {
    let shown = path.display();
    if !overwrite && path.exists() {
        return Err(CliError::BadInput(format!("{shown}: the file is there already; choose another name")));
    }
    let failed = |error: std::io::Error| CliError::Failed(format!("{shown}: cannot be written: {error}"));
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder).map_err(failed)?;
    let mut beside = tempfile::NamedTempFile::new_in(folder).map_err(failed)?;
    beside.write_all(bytes).map_err(failed)?;
    beside.persist(path).map(|_| ()).map_err(|e| failed(e.error))
}
