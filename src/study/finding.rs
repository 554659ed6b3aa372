//! What a plan does against the first one on the same summers, as data: sentences, files and pictures take it from here.

use crate::count::outcome::{AnswerAccount, PlanOutcome, RunOutcome};
use crate::scenario::Scenario;
use crate::stats::covariate::Adjusted;
use crate::stats::paired::{self, Class, PairedCount};
use crate::stats::settle::mean_settled;
use crate::stats::spread::of_100;
use crate::stats::words::{Settled, tenths};
use std::cmp::Ordering;

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
    /// Mean damage of the first plan and of this one, of 100, with their errors.
    pub damage: [Adjusted; 2],
    /// A smaller change is none.
    pub band: f64,
    /// Why: where those ended that answered its lures; `None` when none did.
    pub reason: Option<Ended>,
    /// The best other plan without a trap of the asker's, where one is better than the first plan.
    pub better: Option<Better>,
}

/// Where a hundred answers to the lures of a plan ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ended {
    /// Answers in all summers.
    pub answered: u64,
    /// Of 100, kept by a trap.
    pub kept: u64,
    /// Landed on a plant.
    pub landed: u64,
    /// Went away.
    pub away: u64,
    /// Nowhere yet.
    pub open: u64,
}

/// A plan that does better without a trap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Better {
    /// Its index.
    pub plan: usize,
    /// Whether no plan at all has less damage.
    pub of_all: bool,
}

impl Finding {
    /// What every plan does, in their order; the first one does nothing against itself.
    pub fn all(scenario: &Scenario, outcome: &RunOutcome) -> Vec<Finding> {
        let band = scenario.settings.tie_band;
        let against_first = |plan: &PlanOutcome| {
            let first = &outcome.plans[0];
            let changes = paired::differences(&first.damage_by_summer, &plan.damage_by_summer);
            Finding {
                count: paired::count(&changes, band),
                word: plan.word,
                change: plan.change,
                changes,
                damage: [first.damage, plan.damage],
                band,
                reason: Ended::of(&plan.answers),
                better: None,
            }
        };
        let mut all: Vec<Finding> = outcome.plans.iter().map(against_first).collect();
        let found: Vec<_> = all.iter().map(|f| (f.class(), f.after())).collect();
        for (i, finding) in all.iter_mut().enumerate() {
            finding.better = Better::than(i, scenario, &found);
        }
        all
    }

    /// What its counts say.
    pub fn class(&self) -> Class {
        self.count.class()
    }

    /// Mean damage under this plan, of 100.
    pub fn after(&self) -> f64 {
        self.damage[1].mean
    }

    /// Whether word and means would hold if summers were added.
    pub fn settled(&self) -> bool {
        let [_, own] = &self.damage;
        self.word.settled && mean_settled(&self.change) && mean_settled(own)
    }
}

impl Ended {
    /// Of an account; `None` when nothing answered.
    pub fn of(a: &AnswerAccount) -> Option<Ended> {
        let parts = of_100(&[a.caught, a.landed_on_plant, a.went_away, a.unfinished]);
        (a.answered > 0).then(|| Ended {
            answered: a.answered,
            kept: parts[0],
            landed: parts[1],
            away: parts[2],
            open: parts[3],
        })
    }

    /// In the trap, on a plant, or neither.
    pub fn three(&self) -> [u64; 3] {
        [self.kept, self.landed, self.away + self.open]
    }

    /// Those on a plant against those in the trap. The account bears this comparison, and nothing else.
    pub fn lean(&self) -> Ordering {
        self.landed.cmp(&self.kept)
    }
}

impl Better {
    /// The best plan without a trap of the asker's, by the class and the mean damage of each plan, where it is not the plan
    /// of an index. A plan whose mean is not below that of the first plan, as printed, is not better.
    pub fn than(own: usize, scenario: &Scenario, found: &[(Class, f64)]) -> Option<Better> {
        let below = |mean: f64, than: f64| tenths(mean) < tenths(than);
        let first = found.first()?.1;
        let plans = scenario.plans.iter().zip(found).enumerate().skip(1);
        let (plan, (_, (_, least))) = plans
            .filter(|(_, (p, (class, mean)))| {
                !p.hangs() && *class == Class::Less && below(*mean, first)
            })
            .min_by(|a, b| a.1.1.1.total_cmp(&b.1.1.1))?;
        let of_all = !found.iter().any(|(_, mean)| below(*mean, *least));
        // What differs by no more than counts as no change is not better.
        let own_mean = tenths(found.get(own)?.1);
        let better = own_mean - tenths(*least) > scenario.settings.tie_band + 1e-9;
        (plan != own && better).then_some(Better { plan, of_all })
    }
}
