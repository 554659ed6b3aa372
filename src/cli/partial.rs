//! Unfinished work kept beside the results, so that the same command goes on where it was stopped.

use super::error::CliError;
use super::files;
use crate::say::say;
use crate::study::keep::Keep;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What the file holds: which work, and the values of the first points of each stage as the bits of their numbers, so
/// that not one is lost.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Kept {
    task: String,
    stages: BTreeMap<String, Vec<Vec<u64>>>,
}

/// Unfinished work and its file.
#[derive(Debug)]
pub(super) struct Partial {
    path: PathBuf,
    kept: Kept,
    fault: Option<CliError>,
    points: usize,
    quiet: bool,
}

impl Partial {
    /// Reads what an earlier call has left. Work of another task is left aside, and a sentence on standard error says so.
    ///
    /// Shape: `task` is a fingerprint of everything that the values depend on.
    pub(super) fn read(path: PathBuf, task: &str, quiet: bool) -> Partial {
        let text = files::read_text(&path).ok();
        let found = text
            .as_ref()
            .map(|text| serde_json::from_str::<Kept>(text).unwrap_or_default());
        let fits = found.as_ref().is_some_and(|kept| kept.task == task);
        if found.is_some() && !fits && !quiet {
            tell(&say!("partial.other", path = path.display()));
        }
        let kept = found.filter(|_| fits).unwrap_or_else(|| Kept {
            task: task.to_owned(),
            stages: BTreeMap::new(),
        });
        Partial {
            path,
            kept,
            fault: None,
            points: 0,
            quiet,
        }
    }

    /// Removes the file once all results are written.
    pub(super) fn remove(self) {
        // It may never have been there.
        let _ = std::fs::remove_file(&self.path);
    }

    /// Why the work ended early: a file that cannot be written, or the stop that was asked for.
    pub(super) fn stopped(self) -> CliError {
        let done: usize = self.kept.stages.values().map(Vec::len).sum();
        self.fault.unwrap_or_else(|| {
            if done == 0 {
                return CliError::Failed(say!("partial.nothing"));
            }
            let (points, path) = (self.points.max(done), self.path.display());
            CliError::Failed(say!("partial.stopped", done, points, path))
        })
    }

    /// Says how many points there are in all, for the sentences.
    pub(super) fn of(mut self, points: usize) -> Partial {
        self.points = points;
        let done: usize = self.kept.stages.values().map(Vec::len).sum();
        if done > 0 && !self.quiet {
            tell(&say!("partial.going-on", done, points));
        }
        self
    }
}

impl Keep for Partial {
    fn done(&mut self, stage: &str, points: usize, width: usize) -> Vec<Vec<f64>> {
        let kept = self.kept.stages.get(stage).into_iter().flatten();
        // A row of another width, or one too many, is none of ours; what follows it is not used either.
        kept.take(points)
            .take_while(|row| row.len() == width)
            .map(|row| row.iter().copied().map(f64::from_bits).collect())
            .collect()
    }

    fn save(&mut self, stage: &str, all: &[Vec<f64>]) -> bool {
        let bits = |row: &Vec<f64>| row.iter().map(|v| v.to_bits()).collect();
        let rows = all.iter().map(bits).collect();
        self.kept.stages.insert(stage.to_owned(), rows);
        let text = serde_json::to_string(&self.kept).expect("numbers and texts can be written");
        match files::write_atomic(&self.path, text.as_bytes(), true) {
            Ok(()) => true,
            Err(error) => {
                self.fault = Some(error);
                false
            }
        }
    }
}

/// One line on standard error.
fn tell(line: &str) {
    use std::io::Write as _;
    // A closed terminal is no failure.
    let _ = writeln!(std::io::stderr(), "{line}");
}
