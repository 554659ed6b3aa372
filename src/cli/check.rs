//! `lurefield check`: what was understood, and every default used.

use super::error::CliError;
use super::{files, print};
use std::path::PathBuf;

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Scenario file; with --repeat the manifest of a result
    pub file: PathBuf,
    /// Run the manifest's command again and say whether the same bytes come out
    #[arg(long)]
    pub repeat: bool,
}

/// Reads a scenario and prints what was understood.
///
/// # Errors
/// All faults of the file.
pub fn run(args: &Args) -> Result<(), CliError> {
    if args.repeat {
        return super::repeat::run(&args.file);
    }
    let scenario = files::read_scenario(&args.file)?;
    print(&crate::scenario::describe(&scenario))
}
