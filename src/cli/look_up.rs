//! `lurefield look-up`: tables and evidence without a yard.

use super::error::CliError;
use super::print;
use crate::report::lookup::{Topic, lookup};

/// What to look up.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub enum What {
    /// The widest safe hole of a net
    Mesh,
    /// How high a trap hangs
    Height,
    /// Which crops are worth covering, and when
    Covers,
    /// What a row cover is and how it is used
    #[value(alias = "row-covers")]
    RowCover,
    /// What trials say, both sides
    #[value(alias = "trials")]
    Research,
    /// What the program does not model
    NotModelled,
}

/// Arguments of `look-up`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// What to look up
    #[arg(ignore_case = true)]
    what: What,
    /// Only this pest
    #[arg(long, value_name = "WORDS")]
    pest: Option<String>,
    /// Only this crop
    #[arg(long, value_name = "WORDS")]
    crop: Option<String>,
}

/// Prints what is known, with source and grade.
///
/// # Errors
/// A failure to write.
pub fn run(args: &Args) -> Result<(), CliError> {
    let topic = match args.what {
        What::Mesh => Topic::Mesh,
        What::Height => Topic::Height,
        What::Covers => Topic::Covers,
        What::RowCover => Topic::RowCover,
        What::Research => Topic::Research,
        What::NotModelled => Topic::NotModelled,
    };
    print(&lookup(topic, args.pest.as_deref(), args.crop.as_deref()))
}
