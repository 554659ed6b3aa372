//! What is wrong with a scenario file: where, what and how to fix it.

use crate::say::{say, voice};
use std::fmt::Display;
use std::ops::RangeInclusive;

/// One fault of a scenario file.
///
/// Shown as `yard.json:12: plans[1].traps[0].at: trap stands ...; move it ...`.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.sentence())]
pub struct Fault {
    /// Name of the file.
    pub file: String,
    /// JSON path, for example `plans[1].traps[0].at`; empty for the file as a whole.
    pub path: String,
    /// Line of that place, counted from 1; 0 when unknown.
    pub line: usize,
    /// What is wrong.
    pub what: String,
    /// How to fix it.
    pub fix: String,
    /// The nearest known name, for a typo.
    pub suggestion: Option<String>,
}

impl Fault {
    fn sentence(&self) -> String {
        let line = if self.line > 0 {
            format!(":{}", self.line)
        } else {
            String::new()
        };
        let path = if self.path.is_empty() {
            String::new()
        } else {
            format!("{}: ", self.path)
        };
        let near = self.suggestion.as_ref().map(|near| did_you_mean(near));
        let parts = [Some(self.what.clone()), near, Some(self.fix.clone())];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        let said = parts.iter().filter(|p| !p.is_empty());
        let said: Vec<&str> = said.map(String::as_str).collect();
        format!("{}{line}: {path}{}", self.file, said.join("; "))
    }
}

/// The nearest known name, as a question.
pub fn did_you_mean(near: &str) -> String {
    say!("fault.near", near)
}

/// Notes a fault whose text is that of a key, and how to mend it that of the key with `.fix`; both get the same gaps.
macro_rules! fault {
    ($faults:expr, $path:expr, $key:literal $(, $gap:ident $(= $value:expr)?)* $(,)?) => {{
        let (path, key, fix) = ($path, $key, concat!($key, ".fix"));
        let what = $crate::scenario::error::fault!(@ key $(, $gap $(= $value)?)*);
        let fix = $crate::scenario::error::fault!(@ fix $(, $gap $(= $value)?)*);
        $faults.add(path, what, fix);
    }};
    (@ $key:ident) => { say!($key) };
    (@ $key:ident, $($gap:ident $(= $value:expr)?),+) => { say!($key, $($gap $(= $value)?),+) };
}
pub(crate) use fault;

/// Faults gathered while a file is read; lines are filled in at the end.
#[derive(Debug, Default)]
pub(crate) struct Faults {
    list: Vec<Fault>,
}

impl Faults {
    /// Notes a fault at a JSON path.
    pub(crate) fn add(
        &mut self,
        path: impl Into<String>,
        what: impl Into<String>,
        fix: impl Into<String>,
    ) {
        self.add_near(path, what, fix, None);
    }

    /// Notes a fault with the nearest known name.
    pub(crate) fn add_near(
        &mut self,
        path: impl Into<String>,
        what: impl Into<String>,
        fix: impl Into<String>,
        suggestion: Option<String>,
    ) {
        self.list.push(Fault {
            file: String::new(),
            path: path.into(),
            line: 0,
            what: what.into(),
            fix: fix.into(),
            suggestion,
        });
    }

    /// Notes a fault of the text itself, at a line.
    pub(crate) fn add_at_line(
        &mut self,
        line: usize,
        what: impl Into<String>,
        fix: impl Into<String>,
    ) {
        self.add("", what, fix);
        if let Some(last) = self.list.last_mut() {
            last.line = line;
        }
    }

    /// Notes a key that is written twice.
    pub(crate) fn add_duplicate(&mut self, path: String, line: usize, what: String) {
        self.add(path, what, say!("fault.keep-one"));
        if let Some(last) = self.list.last_mut() {
            last.line = line;
        }
    }

    /// Notes a name that is not in a list, with the nearest that is. `what` it names ends the key `fault.unknown.`.
    pub(crate) fn unknown(
        &mut self,
        path: impl Into<String>,
        what: &str,
        name: &str,
        known: &[&str],
    ) {
        let (key, list) = (format!("fault.unknown.{what}"), known.join(", "));
        self.add_near(
            path,
            say!(&key, name = crate::units::shortened(name)),
            say!("fault.known", list),
            nearest(name, known),
        );
    }

    /// Whether a number lies between two limits. If not, it is a fault: the text of the key, and how to mend it that of
    /// the key with `.fix`, or the limits alone.
    pub(crate) fn within<T: PartialOrd + Display + Copy>(
        &mut self,
        path: impl Into<String>,
        n: T,
        limits: RangeInclusive<T>,
        key: &str,
    ) -> bool {
        let inside = limits.contains(&n);
        if !inside {
            let fix = format!("{key}.fix");
            let fix = Some(fix.as_str()).filter(|fix| voice().has(fix));
            let (low, high) = (limits.start(), limits.end());
            let what = say!(key, n, low, high);
            self.add(
                path,
                what,
                say!(fix.unwrap_or("fault.between"), n, low, high),
            );
        }
        inside
    }

    /// Number of faults so far.
    pub(crate) fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether there is none.
    pub(crate) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Takes the faults of another list.
    pub(crate) fn append(&mut self, mut other: Faults) {
        self.list.append(&mut other.list);
    }

    /// All faults with file and line, in the order of the file.
    pub(crate) fn finish(self, file: &str, line_of: impl Fn(&str) -> usize) -> Vec<Fault> {
        let mut list = self.list;
        for fault in &mut list {
            fault.file = file.to_string();
            if fault.line == 0 {
                fault.line = line_of(&fault.path);
            }
        }
        list.sort_by(|a, b| a.line.cmp(&b.line).then_with(|| a.path.cmp(&b.path)));
        list.dedup();
        list
    }
}

/// The known name nearest to a mistyped one, if any is near enough to be worth saying.
pub fn nearest(name: &str, known: &[&str]) -> Option<String> {
    let lower = crate::units::shortened(name).to_lowercase();
    known
        .iter()
        .map(|candidate| {
            (
                strsim::damerau_levenshtein(&lower, &candidate.to_lowercase()),
                *candidate,
            )
        })
        .min_by_key(|(distance, _)| *distance)
        .filter(|(distance, candidate)| {
            *distance <= (candidate.len() / 3).max(2) && *distance < candidate.len()
        })
        .map(|(_, candidate)| candidate.to_string())
}
