//! `lurefield completions` and `lurefield manual`: what shells and readers of manuals want, from the same arguments.

use super::args::Arguments;
use super::error::CliError;
use super::print;
use clap::CommandFactory;

/// Arguments of `completions`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The shell
    shell: clap_complete::Shell,
}

/// Prints completions for a shell.
///
/// # Errors
/// A failure to write.
pub fn completions(args: &Args) -> Result<(), CliError> {
    let mut out = Vec::new();
    clap_complete::generate(args.shell, &mut Arguments::command(), "lurefield", &mut out);
    print(&String::from_utf8_lossy(&out))
}

/// Prints the manual page: the program, then each command.
///
/// # Errors
/// A failure to write.
pub fn page() -> Result<(), CliError> {
    let mut all = Arguments::command();
    all.build();
    let mut out = Vec::new();
    let mut write = |command: clap::Command| clap_mangen::Man::new(command).render(&mut out);
    let failed = |error: std::io::Error| CliError::Failed(error.to_string());
    write(all.clone()).map_err(failed)?;
    for command in all.get_subcommands().filter(|c| c.get_name() != "help") {
        write(command.clone()).map_err(failed)?;
    }
    print(&String::from_utf8_lossy(&out))
}
