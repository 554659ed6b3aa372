//! What is wrong with a scenario file: where, what and how to fix it.

use crate::catalogue;
use crate::catalogue::words::{self, Kind};
use crate::say::say;

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
        let mut at = vec![self.file.clone()];
        if self.line > 0 {
            at[0] = format!("{}:{}", self.file, self.line);
        }
        at.extend(Some(self.path.clone()).filter(|path| !path.is_empty()));
        format!("{}: {}", at.join(": "), self.says())
    }

    /// What is wrong and how to fix it, without the place.
    pub fn says(&self) -> String {
        told(&self.what, self.suggestion.as_deref(), &self.fix)
    }
}

/// What is wrong, the nearest known name and how to fix it, as far as there are such.
pub fn told(what: &str, near: Option<&str>, fix: &str) -> String {
    let near = near.map(did_you_mean).unwrap_or_default();
    let parts = [what, near.as_str(), fix].into_iter();
    let parts: Vec<&str> = parts.filter(|part| !part.is_empty()).collect();
    parts.join("; ")
}

/// A name that the catalogue does not know, with the nearest that it does, and what it knows.
pub(super) fn no_such(kind: Kind, said: &str) -> String {
    let what = say!("fault.unknown.name", name = crate::units::shortened(said));
    told(
        &what,
        words::near(kind, said).as_deref(),
        &known_names(kind),
    )
}

/// All names of a kind, or where they stand when they are too many for a line.
pub(crate) fn known_names(kind: Kind) -> String {
    const MOST: usize = 20;
    let ids = catalogue::ids(kind.files());
    if ids.len() > MOST {
        return say!("fault.known-many", list = kind.group());
    }
    say!("fault.known", list = ids.join(", "))
}

/// The nearest known name, as a question.
pub fn did_you_mean(near: &str) -> String {
    say!("fault.near", near)
}

/// Notes a fault whose text is that of a key, and how to mend it that of the key with `.fix`; both get the same gaps.
macro_rules! fault {
    ($notes:expr, $path:expr, $key:literal $(, $gap:ident $(= $value:expr)?)* $(,)?) => {{
        let (path, key, fix) = ($path, $key, concat!($key, ".fix"));
        let what = $crate::scenario::error::fault!(@ key $(, $gap $(= $value)?)*);
        let fix = $crate::scenario::error::fault!(@ fix $(, $gap $(= $value)?)*);
        $notes.add(path, what, fix);
    }};
    (@ $key:ident) => { say!($key) };
    (@ $key:ident, $($gap:ident $(= $value:expr)?),+) => { say!($key, $($gap $(= $value)?),+) };
}
pub(crate) use fault;

/// The known name nearest to a mistyped one, if any is near enough to be worth saying.
pub fn nearest(name: &str, known: &[&str]) -> Option<String> {
    let lower = crate::units::shortened(name).to_lowercase();
    let far = |known: &&str| strsim::damerau_levenshtein(&lower, &known.to_lowercase());
    let best = *known.iter().min_by_key(|known| far(known))?;
    let near = far(&best) <= (best.len() / 3).max(2) && far(&best) < best.len();
    near.then(|| best.to_string())
}
