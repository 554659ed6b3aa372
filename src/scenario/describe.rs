//! What was understood, in words that fit 80 columns.

use super::Scenario;

/// What was understood of a scenario.
pub fn describe(scenario: &Scenario) -> String {
    scenario.title.clone()
}
