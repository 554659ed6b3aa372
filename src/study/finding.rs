//! What a plan does against the first one on the same summers, as data: sentences, files and pictures take it from here.

use crate::count::outcome::{PlanOutcome, RunOutcome};
use crate::scenario::Scenario;
use crate::stats::covariate::Adjusted;
use crate::stats::paired::{self, Class, PairedCount};
use crate::stats::words::Settled;

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
    /// What a plan does against another: damage by summer and its mean under both, what is known of the change, and the
    /// change that is none.
    pub(crate) fn new(
        [first, plan]: [&[f64]; 2],
        damage: [f64; 2],
        (word, change): (Settled, Adjusted),
        band: f64,
    ) -> Finding {
        let changes = paired::differences(first, plan);
        Finding {
            count: paired::count(&changes, band),
            word,
            change,
            changes,
            damage,
            band,
        }
    }

    /// The same of finished plans.
    pub fn of(scenario: &Scenario, first: &PlanOutcome, plan: &PlanOutcome) -> Finding {
        let damage = [&first.damage_by_summer, &plan.damage_by_summer].map(Vec::as_slice);
        let means = [first.damage.mean, plan.damage.mean];
        let band = scenario.settings.tie_band;
        Finding::new(damage, means, (plan.word, plan.change), band)
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
