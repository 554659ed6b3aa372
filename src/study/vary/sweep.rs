//! One unknown at a time across its range, and where the verdict turns.

use super::LEVELS;
use super::point::{Point, evaluate};
use super::unknown::{Unknown, moved};
use crate::count::prepare::{Prepared, Refusal};
use crate::engine::ensemble::Watch;
use crate::engine::ground::Held;
use crate::stats::paired::Class;
use crate::study::keep::Keep;
use serde::Serialize;

/// One value of an unknown and what the answer is there.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Level {
    /// Quantile of the range.
    pub quantile: f64,
    /// Value in the unknown's unit.
    pub value: f64,
    /// The answer.
    #[serde(flatten)]
    pub point: Point,
}

/// One unknown across its range.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sweep {
    /// The unknown.
    pub unknown: Unknown,
    /// Its values, ascending.
    pub levels: Vec<Level>,
    /// Largest answer less the smallest, of 100.
    pub swing: f64,
}

/// A number that turns the verdict.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Flip {
    /// Index in [`crate::study::vary::Study::sweeps`].
    pub sweep: usize,
    /// Value beyond which the verdict differs, in the unknown's unit.
    pub at: f64,
    /// True when the other verdict holds above the value, false when below.
    pub above: bool,
    /// The other verdict.
    pub to: Class,
    /// Whether it stands out from chance: more than two standard errors beyond the edge.
    pub sure: bool,
}

/// Turns of one sweep. The value is interpolated between neighbours, in the quantile of the range.
///
/// Looks from the verdict `base` outwards: one turn for each end of the range at most.
pub fn flips(
    sweep: usize,
    levels: &[Level],
    unknown: &Unknown,
    base: Class,
    tie_band: f64,
) -> Vec<Flip> {
    let of = |l: &Level| l.point.mean.class(tie_band);
    let mut found = Vec::new();
    for above in [true, false] {
        let end = if above { levels.last() } else { levels.first() };
        let Some(end) = end.filter(|l| of(l) != base) else {
            continue;
        };
        let mut order: Vec<&Level> = levels.iter().collect();
        if above {
            order.reverse();
        }
        // From the end inwards to the first value where the usual verdict holds.
        let Some(inner) = order.iter().position(|l| of(l) == base) else {
            continue;
        };
        let (inside, outside) = (order[inner], order[inner - 1]);
        let edge = edge(base, of(outside), tie_band);
        let at = |l: &Level| (l.quantile, l.point.mean.change);
        let quantile = crossing(at(inside), at(outside), edge);
        let beyond = order[..inner].iter();
        let beyond = beyond.copied().any(|l| l.point.mean.clear_of(edge));
        found.push(Flip {
            sweep,
            at: unknown.at(quantile),
            above,
            to: of(end),
            sure: beyond,
        });
    }
    found
}

/// The change at which one verdict gives way to another.
pub(super) fn edge(from: Class, to: Class, tie_band: f64) -> f64 {
    match (from, to) {
        (Class::More, _) | (Class::NoChange, Class::More) => tie_band,
        _ => -tie_band,
    }
}

/// Where the line through two values and their changes crosses an edge.
pub(super) fn crossing(inside: (f64, f64), outside: (f64, f64), edge: f64) -> f64 {
    let (a, b) = (inside.1 - edge, outside.1 - edge);
    let share = if a == b {
        0.5
    } else {
        (a / (a - b)).clamp(0.0, 1.0)
    };
    inside.0 + share * (outside.0 - inside.0)
}

/// Sweeps every unknown; widest swing first.
pub(super) fn sweep_all(
    prepared: &Prepared,
    plan: usize,
    summers: u32,
    watch: &dyn Watch,
    keep: &mut dyn Keep,
) -> Result<Vec<Sweep>, Refusal> {
    let unknowns = moved(prepared.scenario, plan);
    let quantile = |level: usize| level as f64 / (LEVELS - 1) as f64;
    let points: Vec<Vec<Held>> = unknowns
        .iter()
        .flat_map(|u| (0..LEVELS).map(|l| vec![u.held(quantile(l))]))
        .collect();
    let found = evaluate(prepared, plan, ("sweep", &points), summers, watch, keep)?;
    let mut sweeps: Vec<Sweep> = unknowns
        .into_iter()
        .zip(found.chunks(LEVELS))
        .map(|(unknown, points)| {
            let levels: Vec<Level> = points
                .iter()
                .enumerate()
                .map(|(l, point)| Level {
                    quantile: quantile(l),
                    value: unknown.at(quantile(l)),
                    point: *point,
                })
                .collect();
            let (low, high) = points
                .iter()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| {
                    (a.min(p.mean.change), b.max(p.mean.change))
                });
            Sweep {
                unknown,
                levels,
                swing: high - low,
            }
        })
        .collect();
    sweeps.sort_by(|a, b| b.swing.total_cmp(&a.swing));
    Ok(sweeps)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Grade;
    use crate::stats::paired::MeanChange;

    fn unknown() -> Unknown {
        Unknown {
            id: "lure:x".into(),
            number: 0,
            key: "reach".into(),
            name: "reach of the lure".into(),
            unit: "ft".into(),
            low: 0.0,
            high: 60.0,
            log: false,
            grade: Grade::Assumed,
            source: "invented".into(),
        }
    }

    fn levels(changes: &[f64]) -> Vec<Level> {
        let last = (changes.len() - 1) as f64;
        changes
            .iter()
            .enumerate()
            .map(|(i, &change)| Level {
                quantile: i as f64 / last,
                value: 60.0 * i as f64 / last,
                point: Point {
                    mean: MeanChange { change, error: 0.5 },
                    ..Point::default()
                },
            })
            .collect()
    }

    #[test]
    fn a_flip_is_found_between_the_two_values_that_enclose_it() {
        // 5 at 20 ft, -3 at 10 ft; the edge of "more" at +1 lies half way down.
        let l = levels(&[-9.0, -3.0, 5.0, 6.0, 7.0, 8.0, 9.0]);
        let found = flips(3, &l, &unknown(), Class::More, 1.0);
        assert_eq!(found.len(), 1);
        assert!((found[0].at - 15.0).abs() < 1e-9, "{found:?}");
        assert!(!found[0].above && found[0].sure && found[0].to == Class::Less);
    }

    #[test]
    fn a_range_that_never_turns_has_no_flip_and_a_close_one_is_not_sure() {
        assert!(flips(0, &levels(&[4.0; 7]), &unknown(), Class::More, 1.0).is_empty());
        let l = levels(&[4.0, 4.0, 4.0, 4.0, 3.0, 2.0, 0.8]);
        let found = flips(0, &l, &unknown(), Class::More, 1.0);
        assert!(found[0].above && !found[0].sure && found[0].to == Class::NoChange);
    }
}
