//! What a plan does against the first one on the same summers, as data: sentences, files and pictures take it from here.

use crate::count::outcome::{PlanOutcome, RunOutcome};
use crate::scenario::Scenario;
use crate::stats::covariate::Adjusted;
use crate::stats::paired::{self, Class, PairedCount};
use crate::stats::words::Settled;
use crate::study::settle::State;

/// What one plan does.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Counts of the summers with more, the same and less damage, and their dots.
    pub count: PairedCount,
    /// The word for them.
    pub word: Settled,
    /// Mean change with its error, points of 100.
    pub change: Adjusted,
    /// Change in each summer.
    pub changes: Vec<f64>,
    /// Mean damage of the first plan and of this one, of 100.
    pub damage: [f64; 2],
    /// A smaller change is none.
    pub band: f64,
}

impl Finding {
    /// What a plan does against another.
    pub fn of(scenario: &Scenario, first: &PlanOutcome, plan: &PlanOutcome) -> Finding {
        let band = scenario.settings.tie_band;
        let changes = paired::differences(&first.damage_by_summer, &plan.damage_by_summer);
        Finding {
            count: paired::count(&changes, band),
            word: plan.word,
            change: plan.change,
            changes,
            damage: [first.damage.mean, plan.damage.mean],
            band,
        }
    }

    /// As [`Finding::of`] while summers still come: damage by summer under the first plan and this one, the first plan's
    /// mean, and what is known of this one.
    pub(crate) fn so_far(
        [first, plan]: [&[f64]; 2],
        first_mean: f64,
        state: &State,
        band: f64,
    ) -> Finding {
        let changes = paired::differences(first, plan);
        Finding {
            count: paired::count(&changes, band),
            word: state.word,
            change: state.change,
            changes,
            damage: [first_mean, state.damage.mean],
            band,
        }
    }

    /// What every plan but the first does, in their order.
    pub fn all(scenario: &Scenario, outcome: &RunOutcome) -> Vec<Finding> {
        let Some((first, others)) = outcome.plans.split_first() else {
            return Vec::new();
        };
        let of = |plan| Finding::of(scenario, first, plan);
        others.iter().map(of).collect()
    }

    /// What its counts say.
    pub fn class(&self) -> Class {
        self.count.class()
    }
}
