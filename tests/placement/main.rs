//! Where a trap should hang: the exact delta rerun, the map and the search.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that fails should panic"
)]

mod delta;
mod found;
mod harsh;
mod kriging;
mod map;
mod reference;
mod yards;

use lurefield::scenario::Scenario;

/// A scenario from its text.
fn read(text: &str) -> Scenario {
    lurefield::scenario::read(text, "yard.json", &|_| Err("no files here".into())).unwrap_or_else(
        |faults| {
            panic!(
                "{}",
                faults
                    .iter()
                    .map(ToString::to_string)
                    .collect::<Vec<_>>()
                    .join("\n")
            )
        },
    )
}
