//! What is wrong with a scenario file: where, what and how to fix it.

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
        let near = self
            .suggestion
            .as_ref()
            .map(|near| format!("; did you mean \"{near}\"?"))
            .unwrap_or_default();
        let fix = if self.fix.is_empty() {
            String::new()
        } else {
            format!("; {}", self.fix)
        };
        format!("{}{line}: {path}{}{near}{fix}", self.file, self.what)
    }
}

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
        self.add(path, what, "keep one of them");
        if let Some(last) = self.list.last_mut() {
            last.line = line;
        }
    }

    /// Notes a name that is not in a list, with the nearest that is.
    pub(crate) fn unknown(
        &mut self,
        path: impl Into<String>,
        noun: &str,
        name: &str,
        known: &[&str],
    ) {
        self.add_near(
            path,
            format!("unknown {noun} \"{}\"", crate::units::shortened(name)),
            format!("known: {}", known.join(", ")),
            nearest(name, known),
        );
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
