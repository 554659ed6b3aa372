//! What is wrong with an input, where, and how to mend it.

/// A fault in what was asked or given. Every one is the input's: the program itself did not fail.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SeasonError {
    /// A fault at a place in a file.
    #[error("{file}: line {line}: {what}")]
    Line {
        /// File as the user named it.
        file: String,
        /// Line, counted from 1.
        line: u64,
        /// What is wrong and how to mend it.
        what: String,
    },
    /// A fault of a whole file.
    #[error("{file}: {what}")]
    File {
        /// File as the user named it.
        file: String,
        /// What is wrong and how to mend it.
        what: String,
    },
    /// A fault in the question.
    #[error("{what}")]
    Question {
        /// What is wrong and how to mend it.
        what: String,
    },
}

impl SeasonError {
    /// A fault in the question.
    pub fn question(what: impl Into<String>) -> Self {
        Self::Question { what: what.into() }
    }

    /// A fault of a whole file.
    pub fn file(file: &str, what: impl Into<String>) -> Self {
        Self::File {
            file: file.into(),
            what: what.into(),
        }
    }

    /// A fault at a line.
    pub fn line(file: &str, line: u64, what: impl Into<String>) -> Self {
        Self::Line {
            file: file.into(),
            line,
            what: what.into(),
        }
    }
}
