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
    /// Places of the numbers with the least variance among the sets: two, or the only one.
    told: Vec<usize>,
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

    /// The order in which the sets are used, from a number in \[0, 1) for each of them: random, each set as likely at each
    /// place, and even, so that the first few are as spread out as all of them are.
    ///
    /// The sets are halved at the median of a number, the halves at that of another, and so on; the order takes them from
    /// both halves in turn, at every level. Numbers are the two that the sets know most about: field patterns narrow what moves
    /// a yard. (On 2,000 summers of the allotment the spread of a mean over 60 summers that comes from the sets falls to
    /// 0.4 of that of a random order, to 0.9 with all numbers in turn, the widest first.)
    ///
    /// # Source
    /// Stratified by the cells of a k-d tree (Bentley 1975, Communications of the ACM 18: 509-517) and taken in the order of
    /// van der Corput's sequence, with the halves exchanged at random (Owen 1995, Randomly permuted (t,m,s)-nets); all from
    /// memory. Checked in `tests/theory/strata.rs`.
    pub fn order(&self, number: impl Fn(usize) -> f64) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.sets.len()).collect();
        // Numbers that are not negative have the order of their bits.
        order.sort_by_cached_key(|&i| number(i).to_bits());
        self.spread_out(order, 0)
    }

    /// Spreads out sets that come in random order.
    fn spread_out(&self, mut sets: Vec<usize>, level: usize) -> Vec<usize> {
        let odd = if sets.len() % 2 == 1 {
            sets.pop()
        } else {
            None
        };
        let Some(&first) = sets.first() else {
            return odd.into_iter().collect();
        };
        let column = self.told[level % self.told.len()];
        // No two are equal, so that exactly half lie below the middle one.
        let before = |a: usize, b: usize| {
            self.sets[a][column]
                .total_cmp(&self.sets[b][column])
                .then(a.cmp(&b))
        };
        let mut ranked = sets.clone();
        let (_, &mut middle, _) =
            ranked.select_nth_unstable_by(sets.len() / 2, |&a, &b| before(a, b));
        let low = |set: usize| before(set, middle).is_lt();
        let (ones, others): (Vec<usize>, Vec<usize>) =
            sets.into_iter().partition(|&set| low(set) == low(first));
        if ones.len() == 1 {
            return ones.into_iter().chain(others).chain(odd).collect();
        }
        let [ones, others] = [ones, others].map(|half| self.spread_out(half, level + 1));
        let in_turn = ones.into_iter().zip(others);
        in_turn.flat_map(|(a, b)| [a, b]).chain(odd).collect()
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
        if columns.is_empty() || made.sets.is_empty() {
            return None;
        }
        let variance = |column: usize| {
            let n = made.sets.len() as f64;
            let values = || made.sets.iter().map(|set| set[column]);
            let mean = values().sum::<f64>() / n;
            values().map(|v| (v - mean) * (v - mean)).sum::<f64>() / n
        };
        let mut told: Vec<usize> = columns.iter().map(|(_, _, column)| *column).collect();
        told.sort_by(|&a, &b| variance(a).total_cmp(&variance(b)));
        told.truncate(2);
        Some(KeptSets {
            columns,
            sets: made.sets.clone(),
            told,
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
            let (here, known) = (lures.iter().find(|l| l.id == name)?, catalogue::lure(name)?);
            let is_same = same(here.values.get(key), known.values.get(key));
            (catalogue::LureValues::TABLE, is_same)
        }
        "trap" => {
            let (here, known) = (traps.iter().find(|t| t.id == name)?, catalogue::trap(name)?);
            let is_same = same(here.values.get(key), known.values.get(key));
            (catalogue::TrapValues::TABLE, is_same)
        }
        _ => return None,
    };
    table.iter().position(|info| is_same && info.key == key)
}
