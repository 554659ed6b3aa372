//! How often the traps of a plan are emptied, against damage: the same summers for every interval.

use crate::control::Effort;
use crate::count::outcome::AnswerAccount;
use crate::count::plans::{self, PlanSummer};
use crate::count::prepare::{Prepared, Refusal};
use crate::count::summer::weighted_damage;
use crate::engine::ensemble::{Watch, each_summer};
use crate::engine::ground::Ground;
use crate::say::say;
use crate::scenario::{Owner, Plan, Scenario};
use crate::stats::paired::{self, PairedCount};
use crate::stats::spread::mean;
use crate::study::compare::effort;

/// Intervals that are tried, days; those longer than the window are left out, and "never" comes last.
pub const EVERY_D: [u32; 5] = [1, 2, 3, 7, 14];

/// What one interval does.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Days between visits; `None` when the traps are never emptied.
    pub every_d: Option<u32>,
    /// The interval in words.
    pub interval: String,
    /// Mean damage of the asker's plants, of 100.
    pub damage_mean: f64,
    /// Counts of 20 against emptying at the shortest interval.
    pub count: PairedCount,
    /// Mean catch of the asker's traps in a summer.
    pub caught_mean: f64,
    /// Of 100 answers to a lure, how many the traps kept.
    pub kept_of_100: f64,
    /// Mean days of a summer that began with a full trap, for one trap.
    pub full_days_mean: f64,
    /// Share of the summers in which a trap was full on some day.
    pub summers_with_full: f64,
    /// Minutes and dollars of the whole plan: least, middle, most.
    pub effort: Effort,
}

/// The answer for one plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Upkeep {
    /// Name of the plan.
    pub plan: String,
    /// Name of the plan that does nothing.
    pub without: String,
    /// Mean damage under that plan, of 100.
    pub damage_without: f64,
    /// Days of the window.
    pub days: u32,
    /// Summers simulated.
    pub summers: u32,
    /// One row an interval, the shortest first.
    pub rows: Vec<Row>,
}

/// One plan in one summer.
pub(crate) struct Lived {
    /// Damage of the asker's plants, of 100.
    pub(crate) damage: f64,
    /// Catch of the asker's own traps.
    pub(crate) caught: u64,
    /// Insects picked by hand or cleared.
    pub(crate) removed: u64,
    full_days: f64,
    answers: AnswerAccount,
}

/// A plan with its own traps emptied at one interval.
pub(crate) struct Interval {
    /// Days between visits; `None` when nobody comes.
    pub(crate) every_d: Option<u32>,
    /// Days between visits as simulated: an interval as long as the window fills the traps once.
    pub(crate) days: u32,
    /// The plan as simulated.
    pub(crate) lived: Plan,
    /// The plan as its minutes are counted: nobody goes to empty it, one visit takes it down.
    pub(crate) paid: Plan,
}

impl Interval {
    /// "every day", "every 3 days", "never".
    pub(crate) fn words(&self) -> String {
        match self.every_d {
            None => say!("emptying.never"),
            Some(1) => say!("emptying.daily"),
            Some(n) => say!("emptying.every", n),
        }
    }
}

/// A plan at every interval, the shortest first and "never" last.
pub(crate) fn intervals(plan: &Plan, window_days: u32) -> Vec<Interval> {
    let with = |every: Option<u32>| {
        let mut plan = plan.clone();
        for trap in plan.traps.iter_mut().filter(|t| !t.neighbours) {
            trap.empty_every_d = every;
        }
        plan
    };
    let shorter = EVERY_D.into_iter().filter(|d| *d < window_days);
    let mut all: Vec<Interval> = shorter
        .map(|d| Interval {
            every_d: Some(d),
            days: d,
            lived: with(Some(d)),
            paid: with(Some(d)),
        })
        .collect();
    all.push(Interval {
        every_d: None,
        days: window_days,
        lived: with(Some(window_days)),
        paid: with(None),
    });
    all
}

/// Simulates a plan at every interval, and the first plan, on the same summers.
///
/// Shape: `plan` is the index of a plan with a trap of the asker's.
///
/// # Errors
/// [`Refusal::Stopped`] when the watch says so.
pub fn study(prepared: &Prepared, plan: usize, watch: &dyn Watch) -> Result<Upkeep, Refusal> {
    let scenario = prepared.scenario;
    let (first, plan) = (&scenario.plans[0], &scenario.plans[plan]);
    let days = scenario.window.days;
    let intervals = intervals(plan, days);
    let mut without: Vec<f64> = Vec::new();
    let mut seen: Vec<Vec<Lived>> = intervals.iter().map(|_| Vec::new()).collect();
    let summers = scenario.settings.summers;
    each_summer(
        0..summers,
        watch,
        |summer| {
            let ground = Ground::for_summer(scenario, summer);
            let kept = intervals.iter().map(|i| (&i.lived, i.days));
            let plans: Vec<(&Plan, u32)> = std::iter::once((first, days)).chain(kept).collect();
            let mut lived = live(prepared, &ground, &plans);
            let base = lived.remove(0);
            (base.damage, lived)
        },
        |_, (base, rest)| {
            without.push(base);
            for (all, new) in seen.iter_mut().zip(rest) {
                all.push(new);
            }
        },
    )?;
    let damage: Vec<Vec<f64>> = seen
        .iter()
        .map(|rows| rows.iter().map(|s| s.damage).collect())
        .collect();
    let rows = seen.iter().enumerate().map(|(i, all)| {
        let differences = paired::differences(&damage[0], &damage[i]);
        let mut answers = AnswerAccount::default();
        for one in all {
            answers.add(&one.answers);
        }
        let of = |value: &dyn Fn(&Lived) -> f64| mean(&all.iter().map(value).collect::<Vec<_>>());
        Row {
            every_d: intervals[i].every_d,
            interval: intervals[i].words(),
            damage_mean: mean(&damage[i]),
            count: paired::count(&differences, scenario.settings.tie_band),
            caught_mean: of(&|s| s.caught as f64),
            kept_of_100: if answers.answered > 0 {
                100.0 * answers.caught as f64 / answers.answered as f64
            } else {
                0.0
            },
            full_days_mean: of(&|s| s.full_days),
            summers_with_full: of(&|s| f64::from(u8::from(s.full_days > 0.0))),
            effort: effort(scenario, &intervals[i].paid),
        }
    });
    Ok(Upkeep {
        plan: plan.name.clone(),
        without: first.name.clone(),
        damage_without: mean(&without),
        days,
        summers,
        rows: rows.collect(),
    })
}

/// Lives plans in one summer, each with the days between the visits that empty its traps.
pub(crate) fn live(prepared: &Prepared, ground: &Ground, plans: &[(&Plan, u32)]) -> Vec<Lived> {
    let alone: Vec<&Plan> = plans.iter().map(|(plan, _)| *plan).collect();
    let found = plans::summer(prepared, ground, &alone, None);
    let both = found.into_iter().zip(plans);
    both.map(|(found, plan)| boil(prepared.scenario, ground, *plan, found))
        .collect()
}

fn boil(
    scenario: &Scenario,
    ground: &Ground,
    (plan, every_d): (&Plan, u32),
    found: PlanSummer,
) -> Lived {
    let PlanSummer {
        plant_damage: damage,
        plant_loss: _,
        tally,
        which,
    } = found;
    let mine = |i: usize| scenario.crops[scenario.plants[i].crop].owner == Owner::Mine;
    let (mut caught, mut full, mut traps) = (0, 0, 0);
    for (lure, &trap) in which.iter().enumerate() {
        let trap = &plan.traps[trap];
        if trap.neighbours {
            continue;
        }
        traps += 1;
        caught += tally.caught[lure].iter().sum::<u64>();
        let by_day = &tally.caught_by_day[lure];
        full += full_days(by_day, ground.traps[trap.kind].capacity, every_d);
    }
    Lived {
        damage: weighted_damage(scenario, &damage, mine).unwrap_or(0.0),
        caught,
        removed: tally.insects.removed,
        full_days: f64::from(full) / f64::from(traps.max(1)),
        answers: tally.answers,
    }
}

/// Days that began with a full trap, by the engine's rule: emptied on days 0, n, 2n, ...; full when the catch since then
/// has reached the capacity.
pub fn full_days(caught_by_day: &[u64], capacity: f64, every_d: u32) -> u32 {
    let mut in_trap = 0_u64;
    let mut full = 0;
    for (day, caught) in caught_by_day.iter().enumerate() {
        if (day as u32).is_multiple_of(every_d.max(1)) {
            in_trap = 0;
        }
        full += u32::from(in_trap as f64 >= capacity);
        in_trap += caught;
    }
    full
}

#[cfg(test)]
mod tests {
    use super::full_days;

    #[test]
    fn full_days_are_counted_from_the_last_emptying() {
        // Worked by hand: capacity 10, 4 a day. In the trap at dawn: 0 4 8 12 16 20 24; full from the fourth day on.
        assert_eq!(full_days(&[4; 7], 10.0, 7), 4);
        // Emptied every third day, it never holds more than 8 at dawn.
        assert_eq!(full_days(&[4; 7], 10.0, 3), 0);
        // A full trap catches no more and stays full.
        assert_eq!(full_days(&[10, 0, 0, 0], 10.0, 14), 3);
    }
}
