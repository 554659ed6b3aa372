//! Whether the summers so far are enough, and their means with errors, adjusted for the known biology of each summer.

use crate::engine::ground::fitted_set;
use crate::engine::known::Known;
use crate::scenario::Scenario;
use crate::stats::covariate::{Adjusted, Covariates};
use crate::stats::paired::{self, PairedCount};
use crate::stats::settle::MOST;
use crate::stats::words::{Settled, settled_word};
use crate::study::finding::Finding;

/// How many summers to take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Take {
    /// So many, whatever they say; else as many as it takes.
    pub exactly: Option<u32>,
    /// But never more than these.
    pub most: u32,
    /// But no more than some twenty where they would take more segments of flight than so many: an answer that is due soon.
    pub work: Option<u64>,
}

impl Take {
    /// A given number.
    pub fn exactly(summers: u32) -> Take {
        Take {
            exactly: Some(summers),
            most: MOST,
            work: None,
        }
    }

    /// As many as it takes, up to a number.
    pub fn until_settled(most: u32) -> Take {
        Take {
            exactly: None,
            most,
            work: None,
        }
    }
}

/// What growing series of summers say.
#[derive(Clone, Debug)]
pub struct Judge<'a> {
    scenario: &'a Scenario,
    known: Known<'a>,
    moments: Vec<f64>,
    rows: Vec<Vec<f64>>,
    strata: Vec<usize>,
}

impl<'a> Judge<'a> {
    /// Nothing taken yet.
    pub fn new(scenario: &'a Scenario) -> Judge<'a> {
        let known = Known::new(scenario);
        Judge {
            scenario,
            moments: known.moments(),
            known,
            rows: Vec::new(),
            strata: Vec::new(),
        }
    }

    /// The changes of every series, their counts and the word for them.
    fn told(&self, series: &[&[f64]]) -> Vec<(Vec<f64>, PairedCount, Settled)> {
        let band = self.scenario.settings.tie_band;
        let told = |other: &&[f64]| {
            let changes = paired::differences(series[0], other);
            let count = paired::count(&changes, band);
            let word = settled_word(&count, &changes, band);
            (changes, count, word)
        };
        series.iter().map(told).collect()
    }

    /// What is found of every series, but no reason.
    ///
    /// Shape: one value for each summer from 0; all series equally long, the first is what the others are set against.
    pub fn findings(&mut self, series: &[&[f64]]) -> Vec<Finding> {
        let summers = series.first().map_or(0, |first| first.len());
        for summer in self.rows.len()..summers {
            self.rows.push(self.known.of(summer as u32));
            self.strata.extend(fitted_set(self.scenario, summer as u32));
        }
        let sets = self.scenario.kept_sets.as_ref();
        let turn = sets.map(|sets| (&self.strata[..summers], sets.len()));
        let covariates = Covariates::new(&self.rows[..summers], &self.moments, turn);
        let damage: Vec<Adjusted> = series.iter().map(|v| covariates.adjust(v)).collect();
        // Each mean is adjusted by itself; what is printed must add up, and the change is the better known.
        let adjusted = |mean: &Adjusted| mean.mean != mean.plain_mean;
        let each = self.told(series).into_iter().zip(&damage).enumerate();
        each.map(|(i, ((changes, count, word), own))| {
            let change = covariates.adjust(&changes);
            let (first, mut own) = (damage[0], *own);
            if i > 0 && [&first, &own, &change].into_iter().any(adjusted) {
                own.mean = (first.mean + change.mean).max(0.0);
            }
            Finding {
                count,
                word,
                change,
                changes,
                damage: [first, own],
                band: self.scenario.settings.tie_band,
                reason: None,
                better: None,
            }
        })
        .collect()
    }

    /// Whether every word and every mean would hold if summers were added.
    pub fn settled(&mut self, series: &[&[f64]]) -> bool {
        // Words first: they cost nothing.
        self.told(series).iter().all(|(_, _, word)| word.settled)
            && self.findings(series).iter().all(Finding::settled)
    }
}
