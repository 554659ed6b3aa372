//! `lurefield check`: what was understood, and every default used.

use super::error::CliError;
use super::{files, print};
use std::path::PathBuf;

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Scenario file
    pub file: PathBuf,
}

/// Reads a scenario and prints what was understood.
///
/// # Errors
/// All faults of the file.
pub fn run(args: &Args) -> Result<(), CliError> {
    let scenario = files::read_scenario(&args.file)?;
    print(&crate::scenario::describe(&scenario))
}
