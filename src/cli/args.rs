//! The arguments of the program.

use crate::say::say;
use clap::{Parser, Subcommand};

/// Try a yard on paper before you hang a trap in it.
#[derive(Debug, Parser)]
#[command(
    name = "lurefield",
    version,
    after_help = format!("{} {}", say!("caution.forecast"), say!("caution.local"))
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// Language of all that is printed and written
    #[arg(long, global = true, value_name = "CODE", default_value = "en")]
    pub language: String,
}

/// The commands, one file each.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Simulate every plan of a scenario on the same summers
    Run(super::run::Args),
    /// Set every plan against doing nothing on the same summers
    Compare(super::compare::Args),
    /// Map where a trap helps or hurts, and rank your own spots
    Place(super::place::Args),
    /// Say what was understood of a scenario, with every default used
    Check(super::check::Args),
    /// Answer a question about a yard in plain words: a paragraph, a picture and the yard file
    Ask(Box<super::ask::Args>),
    /// Look up mesh, height, covers, row covers, what trials say, and what is not modelled
    LookUp(super::look_up::Args),
    /// List the names of pests, plants, traps, lures or methods
    List(super::list::Args),
    /// Start a scenario from a ready yard or from a few answers
    New(Box<super::new::Args>),
    /// Turn results into pages: help-desk text, handout, slides, class pack, poll, evidence, tables, moving picture
    Report(Box<super::report::Args>),
    /// Say when: degree-days, dates with ranges, a calendar, and what trap counts mean
    Season(Box<super::season::Args>),
    /// Say which unknown numbers the answer hangs on, and which of them would turn it
    Vary(super::vary::Args),
    /// Hold the model against patterns from field trials and show what passes, fails or is not run
    Evidence(super::evidence::Args),
    /// Find the sets of unknown numbers that reproduce field trials, by rules written beforehand
    Calibrate(super::calibrate::Args),
    /// Write the model description: every rule, number, source and known limit
    Describe(super::describe::Args),
    /// Write the page that holds the whole program, with a yard in it: one file, for a browser
    Page(super::page::Args),
    /// Print the JSON Schema of the scenario file
    Schema,
    /// Print completions for a shell
    Completions(super::manual::Args),
    /// Print the manual page, for `man`
    Manual,
}
