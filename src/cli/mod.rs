//! The command line. This layer alone touches files, terminal, clock and environment.

pub mod error;
pub mod files;
pub mod season;

use clap::{Parser, Subcommand};
pub use error::CliError;
use std::io::Write;
use std::process::ExitCode;

/// Try a yard on paper before you hang a trap in it.
#[derive(Debug, Parser)]
#[command(name = "lurefield", version)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Say when: degree-days, dates with ranges, a calendar, and what trap counts mean
    Season(Box<season::Args>),
}

/// Reads the arguments, runs the command and returns the exit code: 0 done, 1 failed, 2 bad input.
pub fn main() -> ExitCode {
    let Command::Season(args) = Arguments::parse().command;
    match season::run(&args) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // Nothing can be done about a standard error that is closed.
            let _ = writeln!(std::io::stderr(), "{error}");
            error.exit_code()
        }
    }
}

/// Prints a text and a line end on standard output. A reader that went away is no failure.
///
/// # Errors
/// Any other failure to write.
pub fn print(text: &str) -> Result<(), CliError> {
    let mut out = std::io::stdout().lock();
    match writeln!(out, "{}", text.trim_end()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(CliError::Failed(format!("cannot write: {error}"))),
        _ => Ok(()),
    }
}
