//! `lurefield list`: what the program knows by name, a line each.

use super::error::CliError;
use super::print;
use crate::catalogue::words::{Kind, others};
use crate::catalogue::{self, Grade, unmodelled};
use crate::report::words::grade_in_words;
use crate::say::{say, translated, voice};

/// What to list.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub enum What {
    /// Pests, with those that have notes only
    Pests,
    /// Plants
    #[value(alias = "plants")]
    Crops,
    /// Kinds of trap
    Traps,
    /// Lures
    Lures,
    /// What can be done besides hanging traps
    Methods,
}

/// Arguments of `list`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// What to list
    #[arg(ignore_case = true)]
    pub what: What,
}

/// Prints the names that may be written, with other words for each and how sure its numbers are.
///
/// # Errors
/// A failure to write.
pub fn run(args: &Args) -> Result<(), CliError> {
    let words = |kind: Kind, id: &str| {
        // Three are enough to know what it is; English words stand first in the table, and others last.
        let mut list = others(kind, id);
        if voice().mark().is_some() {
            list.reverse();
        }
        list.truncate(3);
        if list.is_empty() {
            String::new()
        } else {
            say!("known.words", list = list.join(", "))
        }
    };
    // In a word, without what it means.
    let grade = |grade: Grade| {
        let said = grade_in_words(grade);
        said.split_once(" (")
            .map_or(said, |(word, _)| word)
            .to_owned()
    };
    let lines: Vec<String> = match args.what {
        What::Pests => {
            let each = catalogue::ids(catalogue::PESTS)
                .into_iter()
                .filter_map(catalogue::pest);
            let mut lines: Vec<String> = each
                .map(|p| {
                    let words = words(Kind::Pest, &p.id);
                    say!(
                        "known.pest",
                        id = p.id,
                        name = p.name,
                        latin = p.scientific,
                        words,
                        sure = translated(&p.badge)
                    )
                })
                .collect();
            let notes = unmodelled::all();
            lines.push(String::new());
            lines.push(say!("known.notes"));
            lines.extend(notes.iter().map(|(id, note)| {
                say!(
                    "known.note",
                    id,
                    name = note.name,
                    grade = grade(note.grade)
                )
            }));
            lines
        }
        What::Crops => {
            let each = catalogue::ids(catalogue::CROPS)
                .into_iter()
                .filter_map(catalogue::crop);
            each.map(|c| {
                let words = words(Kind::Crop, &c.id);
                let across = crate::units::feet_and_metres(2.0 * c.canopy.central());
                say!(
                    "known.crop",
                    id = c.id,
                    name = c.plural,
                    words,
                    across,
                    grade = grade(c.canopy.grade)
                )
            })
            .collect()
        }
        What::Traps => {
            let each = catalogue::ids(catalogue::TRAPS)
                .into_iter()
                .filter_map(catalogue::trap);
            each.map(|t| {
                let words = words(Kind::Trap, &t.id);
                say!(
                    "known.trap",
                    id = t.id,
                    name = t.name,
                    words,
                    grade = grade(t.values.capture.grade)
                )
            })
            .collect()
        }
        What::Lures => {
            let each = catalogue::ids(catalogue::LURES)
                .into_iter()
                .filter_map(catalogue::lure);
            each.map(|l| {
                let words = words(Kind::Lure, &l.id);
                let insects = catalogue::pest(&l.pest).map_or_else(|| l.pest.clone(), |p| p.plural);
                say!(
                    "known.lure",
                    id = l.id,
                    name = l.name,
                    insects,
                    words,
                    grade = grade(l.values.reach.grade)
                )
            })
            .collect()
        }
        What::Methods => {
            let each = catalogue::ids(catalogue::METHODS)
                .into_iter()
                .filter_map(catalogue::method);
            each.map(|m| {
                let words = words(Kind::Method, &m.id);
                say!(
                    "known.method",
                    id = m.id,
                    name = m.name,
                    words,
                    flag = m.flag
                )
            })
            .collect()
        }
    };
    print(&lines.join("\n"))
}
