//! What is wrong with an input, where, and how to mend it.

use crate::say::say;

/// A fault in what was asked or given. Every one is the input's: the program itself did not fail.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct InputError(String);

impl InputError {
    /// A fault in the question: what is wrong and how to mend it.
    pub fn question(what: impl Into<String>) -> Self {
        Self(what.into())
    }

    /// A fault of a whole file, as the user named it.
    pub fn file(file: &str, what: impl Into<String>) -> Self {
        Self(say!("table.fault", file, what = what.into()))
    }

    /// A fault at a line, counted from 1.
    pub fn line(file: &str, line: u64, what: impl Into<String>) -> Self {
        Self(say!("table.fault-at", file, line, what = what.into()))
    }
}
