//! What is known of a summer before it is lived: where in their ranges its unknown numbers were drawn.

use crate::catalogue::{HostValues, LureValues, ParameterInfo, PestValues, Sourced, TrapValues};
use crate::engine::ground::{fitted_set, quantile};
use crate::scenario::Scenario;

/// The numbers that the summers of a scenario draw, and the law they are drawn from.
#[derive(Clone, Debug)]
pub struct Known<'a> {
    scenario: &'a Scenario,
    /// Whose number, as the draws are keyed, and its place in the table of its kind; each once.
    numbers: Vec<(String, usize)>,
    /// Expectation of each quantile.
    centre: Vec<f64>,
}

/// Variance of a uniform quantile.
const UNIFORM: f64 = 1.0 / 12.0;

impl<'a> Known<'a> {
    /// Everything that has a range in the pest, lures, traps, crops, methods, pressure and sources of a scenario.
    pub fn new(scenario: &'a Scenario) -> Known<'a> {
        let mut numbers: Vec<(String, usize)> = Vec::new();
        let mut add = |id: &str, number: usize| {
            if !numbers.iter().any(|(i, n)| *n == number && i == id) {
                numbers.push((id.to_owned(), number));
            }
        };
        let ranged = |number: Option<&Sourced>| {
            number.is_some_and(|s| s.range.is_some_and(|[low, high]| low < high))
        };
        let mut table =
            |id: String, infos: &[ParameterInfo], get: &dyn Fn(&str) -> Option<Sourced>| {
                for (number, info) in infos.iter().enumerate() {
                    if ranged(get(info.key).as_ref()) {
                        add(&id, number);
                    }
                }
            };
        let pest = &scenario.pest;
        table(format!("pest:{}", pest.id), PestValues::TABLE, &|key| {
            pest.values.get(key).cloned()
        });
        for lure in &scenario.lures {
            table(format!("lure:{}", lure.id), LureValues::TABLE, &|key| {
                lure.values.get(key).cloned()
            });
        }
        for kind in &scenario.trap_kinds {
            table(format!("trap:{}", kind.id), TrapValues::TABLE, &|key| {
                kind.values.get(key).cloned()
            });
        }
        for crop in &scenario.crops {
            table(
                format!("crop:{}", crop.kind.id),
                HostValues::TABLE,
                &|key| crop.host.get(key).cloned(),
            );
        }
        for method in scenario.plans.iter().flat_map(|plan| &plan.methods) {
            for (number, value) in method.kind.values.values().enumerate() {
                if ranged(Some(value)) {
                    add(&format!("method:{}", method.kind.id), number);
                }
            }
        }
        if scenario.pressure.low < scenario.pressure.high {
            add("pressure", 0);
        }
        for (i, source) in scenario.sources.iter().enumerate() {
            if source.per_day_low < source.per_day_high {
                add("source", i);
            }
        }
        if scenario.chewed_leaves_call {
            add("chewed leaves call", 0);
        }
        let mut known = Known {
            scenario,
            centre: vec![0.0; numbers.len()],
            numbers,
        };
        known.centre = known.over_sets(0.5, <[f64]>::to_vec);
        known
    }

    /// Average over the fitted sets of something made of the quantiles of one set; `otherwise` stands for a number that no
    /// set holds.
    fn over_sets(&self, otherwise: f64, of: impl Fn(&[f64]) -> Vec<f64>) -> Vec<f64> {
        let row = |set: Option<usize>| -> Vec<f64> {
            let numbers = self.numbers.iter();
            numbers
                .map(|(id, number)| self.fitted(set, id, *number).unwrap_or(otherwise))
                .collect()
        };
        let Some(sets) = &self.scenario.kept_sets else {
            return of(&row(None));
        };
        let mut sum = of(&row(Some(0)));
        for set in 1..sets.len() {
            for (sum, value) in sum.iter_mut().zip(of(&row(Some(set)))) {
                *sum += value;
            }
        }
        sum.iter().map(|s| s / sets.len() as f64).collect()
    }

    fn fitted(&self, set: Option<usize>, id: &str, number: usize) -> Option<f64> {
        let sets = self.scenario.kept_sets.as_ref()?;
        sets.quantile(set?, id, number)
    }

    /// How many numbers.
    pub fn len(&self) -> usize {
        self.numbers.len()
    }

    /// Whether nothing is drawn.
    pub fn is_empty(&self) -> bool {
        self.numbers.is_empty()
    }

    /// Quantiles of one summer, each less its expectation; in [-1, 1].
    pub fn of(&self, summer: u32) -> Vec<f64> {
        let set = fitted_set(self.scenario, summer);
        let seed = self.scenario.settings.seed;
        let numbers = self.numbers.iter().zip(&self.centre);
        numbers
            .map(|((id, number), centre)| {
                let drawn = || quantile(seed, summer, id, *number);
                self.fitted(set, id, *number).unwrap_or_else(drawn) - centre
            })
            .collect()
    }

    /// Expectation of the product of each pair of what [`Known::of`] gives.
    ///
    /// Shape: square, row after row. Numbers that no set holds are uniform and independent of all others.
    pub fn moments(&self) -> Vec<f64> {
        let n = self.len();
        // A number that no set holds stands at its centre here, so that it has no product with any other.
        let mut products = self.over_sets(0.5, |quantiles| {
            let off: Vec<f64> = quantiles
                .iter()
                .zip(&self.centre)
                .map(|(q, c)| q - c)
                .collect();
            let pairs = off.iter().flat_map(|a| off.iter().map(move |b| a * b));
            pairs.collect()
        });
        for (i, (id, number)) in self.numbers.iter().enumerate() {
            let some = self.scenario.kept_sets.as_ref().map(|_| 0);
            if self.fitted(some, id, *number).is_none() {
                products[i * n + i] = UNIFORM;
            }
        }
        products
    }
}
