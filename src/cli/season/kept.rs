//! What makes the same season again: the command, and copies of the files that it read.

use super::Args;
use crate::cli::args::Arguments;
use crate::cli::{CliError, files, work};
use crate::report::Facts;
use crate::report::provenance::Manifest;
use crate::season::finding::InputFile;
use clap::parser::ValueSource;
use clap::{ArgMatches, CommandFactory};

/// Largest file that is copied, bytes. A larger one is named with its hash.
const LARGEST_COPY: u64 = 64 * 1024 * 1024;
/// Arguments that do not change what is written, and the files, which are told where they are kept.
const LEFT_OUT: [&str; 9] = [
    "out", "quiet", "json", "details", "language", "daily", "hourly", "normal", "counts",
];

/// The command that makes a season, and what it read.
pub(super) struct MadeFrom {
    facts: Facts,
    copies: Vec<(String, Vec<u8>)>,
}

impl MadeFrom {
    /// Notes the arguments that were typed and copies the files that they name.
    ///
    /// # Errors
    /// A file that cannot be read a second time.
    pub(super) fn read(
        args: &Args,
        typed: &ArgMatches,
        inputs: &[InputFile],
    ) -> Result<MadeFrom, CliError> {
        let mut command = words(typed);
        let (mut copies, mut hashes) = (Vec::new(), Vec::new());
        let shipped = usize::from(args.data.is_some());
        for known in &inputs[..shipped] {
            hashes.push((known.file.clone(), known.sha256.clone()));
        }
        // In the order in which they were read.
        let given = (args.daily.iter().map(|f| ("--daily", f)))
            .chain(args.hourly.iter().map(|f| ("--hourly", f)))
            .chain(args.normal.iter().map(|f| ("--normal", f)))
            .chain(args.counts.iter().map(|f| ("--counts", f)));
        for (i, ((flag, path), known)) in given.zip(&inputs[shipped..]).enumerate() {
            // The name is printed, so two files of one name stand in folders of their own.
            let mut name = known.file.clone();
            if hashes.iter().any(|(other, _)| *other == name) {
                name = format!("{}/{name}", i + 1);
            }
            command.extend([flag.to_owned(), format!("inputs/{name}")]);
            hashes.push((name.clone(), known.sha256.clone()));
            // What can be read once only is not read again.
            let facts = std::fs::metadata(path);
            if facts.is_ok_and(|m| m.is_file() && m.len() <= LARGEST_COPY) {
                let bytes = files::read_bytes(path).map_err(CliError::BadInput)?;
                copies.push((format!("inputs/{name}"), bytes));
            }
        }
        let facts = Facts {
            generator: String::new(),
            stream_scheme: String::new(),
            ..work::facts(String::new(), hashes, command)
        };
        Ok(MadeFrom { facts, copies })
    }

    /// All files of the result: the copies, the result, the manifest.
    pub(super) fn with(self, results: Vec<(String, Vec<u8>)>) -> Vec<(String, Vec<u8>)> {
        let manifest = Manifest::new(&self.facts, None, &results).file();
        let mut all = self.copies;
        all.extend(results);
        all.push(manifest);
        all
    }
}

/// The arguments that were typed and change what is written, one word each.
fn words(typed: &ArgMatches) -> Vec<String> {
    let mut all = vec!["season".to_owned()];
    let Some((name, given)) = typed.subcommand() else {
        return all;
    };
    let command = Arguments::command();
    for arg in command
        .find_subcommand(name)
        .into_iter()
        .flat_map(clap::Command::get_arguments)
    {
        let id = arg.get_id().as_str();
        let Some(long) = arg.get_long().filter(|_| !LEFT_OUT.contains(&id)) else {
            continue;
        };
        if given.value_source(id) != Some(ValueSource::CommandLine) {
            continue;
        }
        if !arg.get_action().takes_values() {
            all.push(format!("--{long}"));
            continue;
        }
        let values = given.get_raw(id).into_iter().flatten();
        all.extend(values.map(|v| format!("--{long}={}", v.to_string_lossy())));
    }
    all
}
