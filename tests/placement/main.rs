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
#[path = "../seed.rs"]
mod seed;
mod yards;

use lurefield::scenario::Scenario;

/// A scenario from its text.
fn read(text: &str) -> Scenario {
    let read = lurefield::scenario::read(text, "yard.json", &|_| Err("no files here".into()));
    let mut scenario = read.unwrap_or_else(|faults| {
        let all: Vec<String> = faults.iter().map(ToString::to_string).collect();
        panic!("{}", all.join("\n"))
    });
    scenario.settings.seed = seed::seed(scenario.settings.seed);
    scenario
}
