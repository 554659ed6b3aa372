//! `lurefield describe`: the model description, with every number of the catalogue.

use super::error::CliError;
use super::{folder, print};
use crate::report::provenance::Manifest;
use crate::report::{Facts, model};
use crate::say::say;
use std::path::PathBuf;

/// Arguments of `describe`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Folder for model.html and model.md
    #[arg(long, value_name = "FOLDER", default_value = "output/model")]
    out: PathBuf,
    /// Print nothing
    #[arg(long, short)]
    quiet: bool,
}

/// Writes the description as a page and as Markdown.
///
/// # Errors
/// A folder that cannot be written.
pub fn run(args: &Args) -> Result<(), CliError> {
    let version = env!("CARGO_PKG_VERSION");
    let mut written = vec![
        ("model.html".to_owned(), model::html(version).into_bytes()),
        ("model.md".to_owned(), model::markdown(version).into_bytes()),
    ];
    let facts = Facts {
        version: version.into(),
        command: vec!["describe".into()],
        ..Facts::default()
    };
    written.push(Manifest::new(&facts, None, &written).file());
    folder::publish(&args.out, "describe", &written)?;
    if args.quiet {
        return Ok(());
    }
    let page = args.out.join("describe/model.html");
    print(&say!("yard.model-written", page = page.display()))
}
