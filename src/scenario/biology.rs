//! Where the unknown numbers of a summer come from: a fitted set, or each from its own range.

use crate::catalogue::ensemble::{Ensemble, ensemble};
use crate::catalogue::{self, LureKind, Pest, Sourced, TrapKind};

/// Fitted sets, less the numbers that the scenario sets itself.
#[derive(Clone, Debug, PartialEq)]
pub struct KeptSets {
    /// Whose number, as the draws are keyed, its place in the parameter table, and its place in a set.
    columns: Vec<(String, usize, usize)>,
    /// Quantiles of the ranges.
    sets: Vec<Vec<f64>>,
}

impl KeptSets {
    /// Number of sets.
    pub fn len(&self) -> usize {
        self.sets.len()
    }

    /// Whether there are no sets.
    pub fn is_empty(&self) -> bool {
        self.sets.is_empty()
    }

    /// The order in which the sets are used, from a number in \[0, 1) for each of them.
    pub fn order(&self, number: impl Fn(usize) -> f64) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.sets.len()).collect();
        // Numbers that are not negative have the order of their bits.
        order.sort_by_cached_key(|&i| number(i).to_bits());
        order
    }

    /// The quantile that a set gives to an unknown; `None` when it has none, or when the scenario sets the number.
    pub fn quantile(&self, set: usize, id: &str, number: usize) -> Option<f64> {
        self.columns
            .iter()
            .find(|(known, n, _)| *n == number && known == id)
            .map(|(_, _, column)| self.sets[set][*column])
    }

    /// The sets of an ensemble for a pest with its lures and traps. A number whose entry is not the catalogue's own
    /// keeps what the scenario says. `None` when nothing is left.
    pub fn new(
        made: &Ensemble,
        pest: &Pest,
        lures: &[LureKind],
        traps: &[TrapKind],
    ) -> Option<KeptSets> {
        let columns: Vec<(String, usize, usize)> = made
            .parameters
            .iter()
            .enumerate()
            .filter_map(|(place, column)| {
                let number = untouched(&column.id, &column.key, pest, lures, traps)?;
                Some((column.id.clone(), number, place))
            })
            .collect();
        (!columns.is_empty() && !made.sets.is_empty()).then(|| KeptSets {
            columns,
            sets: made.sets.clone(),
        })
    }

    /// The shipped sets of a pest.
    pub fn shipped(pest: &Pest, lures: &[LureKind], traps: &[TrapKind]) -> Option<KeptSets> {
        KeptSets::new(&ensemble(&pest.id)?, pest, lures, traps)
    }
}

/// Place in the parameter table of a number that the scenario leaves as the catalogue has it.
fn untouched(
    id: &str,
    key: &str,
    pest: &Pest,
    lures: &[LureKind],
    traps: &[TrapKind],
) -> Option<usize> {
    let (kind, name) = id.split_once(':')?;
    let same = |here: Option<&Sourced>, there: Option<&Sourced>| here.is_some() && here == there;
    let (table, is_same) = match kind {
        "pest" if name == pest.id => {
            let known = catalogue::pest(name)?;
            let is_same = same(pest.values.get(key), known.values.get(key));
            (catalogue::PestValues::TABLE, is_same)
        }
        "lure" => {
            let here = lures.iter().find(|l| l.id == name)?;
            let known = catalogue::lure(name)?;
            let is_same = same(here.values.get(key), known.values.get(key));
            (catalogue::LureValues::TABLE, is_same)
        }
        "trap" => {
            let here = traps.iter().find(|t| t.id == name)?;
            let known = catalogue::trap(name)?;
            let is_same = same(here.values.get(key), known.values.get(key));
            (catalogue::TrapValues::TABLE, is_same)
        }
        _ => return None,
    };
    is_same
        .then(|| table.iter().position(|info| info.key == key))
        .flatten()
}
