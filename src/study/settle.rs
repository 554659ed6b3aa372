//! Whether the summers so far are enough, and their means with errors, adjusted for the known biology of each summer.

use crate::engine::ground::fitted_set;
use crate::engine::known::Known;
use crate::scenario::Scenario;
use crate::stats::covariate::{Adjusted, Covariates};
use crate::stats::paired;
use crate::stats::settle::{MOST, mean_settled};
use crate::stats::words::{Settled, settled_word};

/// How many summers to take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Take {
    /// So many, whatever they say; else as many as it takes.
    pub exactly: Option<u32>,
    /// But never more than these.
    pub most: u32,
}

impl Take {
    /// A given number.
    pub fn exactly(summers: u32) -> Take {
        Take {
            exactly: Some(summers),
            most: MOST,
        }
    }

    /// As many as it takes, up to a number.
    pub fn until_settled(most: u32) -> Take {
        Take {
            exactly: None,
            most,
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

/// The state of one plan, or of one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Mean of the series; the first one's and the change, where means are adjusted.
    pub damage: Adjusted,
    /// Mean of its difference to the first series; 0 for the first itself.
    pub change: Adjusted,
    /// The word for that difference.
    pub word: Settled,
}

impl State {
    /// Whether word and means would hold if summers were added.
    pub fn settled(&self) -> bool {
        self.word.settled && mean_settled(&self.change) && mean_settled(&self.damage)
    }
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

    fn words(&self, changes: &[Vec<f64>]) -> Vec<Settled> {
        let band = self.scenario.settings.tie_band;
        let word = |change: &Vec<f64>| settled_word(&paired::count(change, band), change, band);
        changes.iter().map(word).collect()
    }

    /// The state of every series.
    ///
    /// Shape: one value for each summer from 0; all series equally long, the first is what the others are set against.
    pub fn states(&mut self, series: &[&[f64]]) -> Vec<State> {
        let summers = series.first().map_or(0, |first| first.len());
        for summer in self.rows.len()..summers {
            self.rows.push(self.known.of(summer as u32));
            self.strata.extend(fitted_set(self.scenario, summer as u32));
        }
        let sets = self.scenario.kept_sets.as_ref();
        let turn = sets.map(|sets| (&self.strata[..summers], sets.len()));
        let covariates = Covariates::new(&self.rows[..summers], &self.moments, turn);
        let changes = changes(series);
        let words = self.words(&changes);
        let each = series.iter().zip(&changes).zip(words);
        let mut states: Vec<State> = each
            .map(|((values, change), word)| State {
                damage: covariates.adjust(values),
                change: covariates.adjust(change),
                word,
            })
            .collect();
        // Each mean is adjusted by itself; what is printed must add up, and the change is the better known.
        let adjusted = |mean: &Adjusted| mean.mean != mean.plain_mean;
        if let Some((first, others)) = states.split_first_mut() {
            for other in others {
                if [&first.damage, &other.damage, &other.change]
                    .into_iter()
                    .any(adjusted)
                {
                    other.damage.mean = (first.damage.mean + other.change.mean).max(0.0);
                }
            }
        }
        states
    }

    /// Whether every word and every mean would hold if summers were added.
    pub fn settled(&mut self, series: &[&[f64]]) -> bool {
        // Words first: they cost nothing.
        self.words(&changes(series)).iter().all(|w| w.settled)
            && self.states(series).iter().all(State::settled)
    }
}

fn changes(series: &[&[f64]]) -> Vec<Vec<f64>> {
    let first = series.first().copied().unwrap_or_default();
    series
        .iter()
        .map(|other| paired::differences(first, other))
        .collect()
}
