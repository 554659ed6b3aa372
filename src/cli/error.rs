//! What a command can end with, and the exit code that goes with it.

use crate::say::{counted, say};
use crate::scenario::Fault;
use std::process::ExitCode;

/// Why a command did not finish.
#[derive(Debug, thiserror::Error)]
pub enum CliError {
    /// The scenario has faults; exit code 2.
    #[error("{}", faults_text(.0))]
    Faults(Vec<Fault>),
    /// The input is wrong in another way; exit code 2. Says where, what and how to fix it.
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
            CliError::Faults(_) | CliError::BadInput(_) => ExitCode::from(2),
            CliError::Failed(_) => ExitCode::from(1),
        }
    }
}

fn faults_text(faults: &[Fault]) -> String {
    let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
    let n = lines.len();
    let end = say!(&counted("faults.end", n as u64), n);
    format!("{}\n{end}", lines.join("\n"))
}
