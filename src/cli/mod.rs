//! The command line. This layer alone touches files, terminal, clock and environment.
//!
//! To add a command: one file with an `Args` struct and `pub fn run(args) -> Result<(), CliError>`, its variant in
//! [`args::Command`] and its line in `start`.

pub mod args;
pub mod ask;
pub mod calibrate;
pub mod check;
pub mod compare;
pub mod describe;
pub mod error;
pub mod evidence;
pub mod files;
pub mod folder;
pub mod list;
pub mod look_up;
pub mod manual;
pub mod new;
pub mod page;
mod partial;
pub mod place;
pub mod repeat;
pub mod report;
pub mod run;
pub mod season;
pub mod vary;
pub mod work;

use crate::report::products::unknown_language;
use crate::say::{say, speak};
use args::{Arguments, Command};
use clap::{ArgMatches, CommandFactory, FromArgMatches};
pub use error::CliError;
use std::io::Write;
use std::process::ExitCode;

/// Reads the arguments, runs the command and returns the exit code: 0 done, 1 failed, 2 bad input.
pub fn main() -> ExitCode {
    // Help and version leave through here as well; wrong arguments exit with 2.
    match start(&Arguments::command().get_matches()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // Nothing can be done about a standard error that is closed.
            let _ = writeln!(std::io::stderr(), "{error}");
            error.exit_code()
        }
    }
}

/// Speaks the asked language and runs the asked command.
fn start(matches: &ArgMatches) -> Result<(), CliError> {
    let arguments =
        Arguments::from_arg_matches(matches).map_err(|e| CliError::BadInput(e.to_string()))?;
    if !speak(&arguments.language) {
        return Err(CliError::BadInput(unknown_language(&arguments.language)));
    }
    match arguments.command {
        Command::Run(args) => run::run(&args),
        Command::Compare(args) => compare::run(&args),
        Command::Place(args) => place::run(&args),
        Command::Check(args) => check::run(&args),
        Command::Ask(args) => ask::run(&args),
        Command::List(args) => list::run(&args),
        Command::LookUp(args) => look_up::run(&args),
        Command::New(args) => new::run(&args),
        Command::Report(args) => report::run(&args),
        Command::Season(args) => season::run(&args, matches),
        Command::Vary(args) => vary::run(&args),
        Command::Evidence(args) => evidence::run(&args),
        Command::Calibrate(args) => calibrate::run(&args),
        Command::Describe(args) => describe::run(&args),
        Command::Page(args) => page::run(&args),
        Command::Schema => schema(),
        Command::Completions(args) => manual::completions(&args),
        Command::Manual => manual::page(),
    }
}

fn schema() -> Result<(), CliError> {
    let text = serde_json::to_string_pretty(&crate::scenario::schema())
        .map_err(|e| CliError::Failed(e.to_string()))?;
    print(&text)
}

/// Prints a text and a line end on standard output. A reader that went away (`lurefield ... | head`) is no failure.
///
/// # Errors
/// Any other failure to write.
pub fn print(text: &str) -> Result<(), CliError> {
    let mut out = std::io::stdout().lock();
    match writeln!(out, "{}", text.trim_end()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(CliError::Failed(say!("print.cannot", error)))
        }
        _ => Ok(()),
    }
}
