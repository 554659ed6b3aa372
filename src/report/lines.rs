//! Collects the lines of a terminal text, folded to the width of the terminal.

use crate::report::cautions;
use crate::report::words::{fold, how_sure, notes};
use crate::say::voice;
use crate::scenario::Scenario;

/// Lines so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Lines(pub(crate) Vec<String>);

impl Lines {
    /// Adds a text; lines after its first are indented by two.
    pub(crate) fn say(&mut self, text: &str) {
        self.hang(text, 2);
    }

    /// Adds texts one after the other.
    pub(crate) fn say_all(&mut self, texts: impl IntoIterator<Item = String>) {
        for text in texts {
            self.say(&text);
        }
    }

    /// Adds a text; lines after its first are indented by so many.
    pub(crate) fn hang(&mut self, text: &str, indent: usize) {
        self.0.extend(fold(text, indent));
    }

    /// Adds an empty line, unless one stands there or nothing does.
    pub(crate) fn gap(&mut self) {
        if self.0.last().is_some_and(|l| !l.is_empty()) {
            self.0.push(String::new());
        }
    }

    /// What stands under every answer about plans: cautions, how sure we are, and what was found odd.
    pub(crate) fn cautions<'a>(
        &mut self,
        scenario: &Scenario,
        warnings: impl IntoIterator<Item = &'a String>,
    ) {
        self.gap();
        self.say_all(cautions::told(scenario));
        self.gap();
        self.say_all(how_sure(scenario));
        self.say_all(notes(warnings));
        self.gap();
    }

    /// Ends the text for people, and opens the numbers behind it ([`crate::report::words::without_details`]).
    pub(crate) fn details(&mut self) {
        self.mark();
        self.gap();
        self.say(voice().get("detail.title"));
    }

    /// The mark of a translation, once.
    fn mark(&mut self) {
        let mark = voice().mark();
        let mark = mark.filter(|mark| !self.0.iter().any(|line| line == mark));
        self.say_all(mark.map(str::to_owned));
    }

    /// The whole text, ending with a line break.
    pub(crate) fn text(mut self) -> String {
        self.mark();
        self.0.join("\n") + "\n"
    }
}
