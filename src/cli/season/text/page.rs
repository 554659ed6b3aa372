//! A page of 80 columns, and numbers as people read them.

use crate::say::{capital, voice};
use crate::stats::words::thousands;

/// Widest line.
pub(super) const COLUMNS: usize = 80;

/// A text that grows line by line, none wider than the terminal.
#[derive(Default)]
pub(super) struct Page {
    pub(super) text: String,
}

impl Page {
    pub(super) fn heading(&mut self, title: &str) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
        self.add("", title);
    }

    /// A paragraph; `first` starts its first line, further lines are indented as far.
    pub(super) fn add(&mut self, first: &str, words: &str) {
        let indent = first.chars().count();
        let mut line = first.to_string();
        let mut width = indent;
        let mut is_empty = true;
        for word in words.split_whitespace() {
            let length = word.chars().count();
            if !is_empty && width + 1 + length > COLUMNS {
                self.line(&line);
                line = " ".repeat(indent);
                width = indent;
                is_empty = true;
            }
            if !is_empty {
                line.push(' ');
                width += 1;
            }
            line.push_str(word);
            width += length;
            is_empty = false;
        }
        self.line(&line);
    }

    /// The whole text, with the mark of a translation at its end.
    pub(super) fn whole(mut self) -> String {
        if let Some(mark) = voice().mark() {
            self.add("", mark);
        }
        self.text
    }

    /// One line; anything beyond the last column is cut.
    pub(super) fn line(&mut self, line: &str) {
        let cut: String = line.trim_end().chars().take(COLUMNS).collect();
        self.text.push_str(&cut);
        self.text.push('\n');
    }
}

/// With a capital and a full stop.
pub(super) fn sentence(text: &str) -> String {
    let text = capital(text);
    if text.ends_with('.') {
        text
    } else {
        format!("{text}.")
    }
}

/// Two or three figures, no more than a reader needs.
pub(super) fn number(value: f64) -> String {
    let size = value.abs();
    if size >= 100.0 {
        thousands(value)
    } else if size >= 10.0 || size == 0.0 {
        format!("{value:.0}")
    } else if size >= 0.095 {
        format!("{value:.1}").replace(".0", "")
    } else {
        format!("{value:.2}")
    }
}
