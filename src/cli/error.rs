//! What a command can end with, and the exit code that goes with it.

use std::process::ExitCode;

/// Why a command did not finish.
#[derive(Debug, thiserror::Error)]
pub enum CliError {
    /// The input is wrong; exit code 2. Says where, what and how to fix it.
    #[error("{0}")]
    BadInput(String),
    /// The input is right, but the work could not be done; exit code 1.
    #[error("{0}")]
    Failed(String),
}

impl CliError {
    /// 2 for wrong input, 1 for a failure.
    pub fn exit_code(&self) -> ExitCode {
        match self {
            CliError::BadInput(_) => ExitCode::from(2),
            CliError::Failed(_) => ExitCode::from(1),
        }
    }
}
