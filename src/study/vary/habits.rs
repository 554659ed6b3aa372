//! What the gardener does, and what lies about the yard, at several values in turn: the same summers for every value.
//!
//! All unknown numbers keep each summer's own draw. Emptying uses the intervals of [`crate::study::upkeep`].

use super::Ask;
use super::point::each_of;
use super::sweep::{crossing, edge};
use crate::catalogue::{Grade, Guild, Sourced, Spread};
use crate::control::Action;
use crate::count::prepare::{Prepared, Refusal};
use crate::engine::ensemble::Watch;
use crate::engine::ground::Ground;
use crate::say::{counted, say};
use crate::scenario::{Plan, Scenario};
use crate::stats::paired::{Class, MeanChange, differences};
use crate::stats::spread::mean;
use crate::study::compare::effort;
use crate::study::keep::{Keep, Stage, in_pieces};
use crate::study::upkeep;
use serde::Serialize;

/// Leaks of a cover that are tried: from no gap to a door left open, shares.
const LEAKS: [f64; 6] = [0.0, 0.02, 0.05, 0.1, 0.2, 0.4];
/// Days of picking in a week that are tried, besides the plan's own.
const PICKING_DAYS: [u32; 4] = [1, 2, 4, 7];
/// Shares found at a visit that are tried.
const FOUND: [f64; 4] = [0.25, 0.5, 0.75, 0.95];
/// Ages of a lure on the day it is hung that are tried, days, besides the plan's own.
const LURE_AGES: [f64; 5] = [0.0, 7.0, 14.0, 28.0, 56.0];
/// Shares of those from next door that are tried, with the keys of their words.
const NEXT_DOOR: [(f64, &str); 4] = [
    (0.0, "habit.next-door.none"),
    (0.25, "habit.next-door.quarter"),
    (0.5, "habit.next-door.half"),
    (1.0, "habit.next-door.all"),
];

/// What is moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Days between visits that empty the traps.
    Emptying,
    /// Age of a lure on the day it is hung.
    LureAge,
    /// Share that gets in although the mesh is fine enough.
    Leak,
    /// Days of picking in a week.
    PickingDays,
    /// Share of the insects sitting there that one visit finds.
    PickingShare,
    /// Whether chewed leaves call in more.
    ChewedLeaves,
    /// Share of the insects that come from places next door.
    NextDoor,
}

impl What {
    /// All, in the order in which they are told.
    pub const ALL: [What; 7] = [
        What::Emptying,
        What::LureAge,
        What::Leak,
        What::PickingDays,
        What::PickingShare,
        What::ChewedLeaves,
        What::NextDoor,
    ];

    /// Name in files.
    pub fn id(self) -> &'static str {
        match self {
            What::Emptying => "emptying",
            What::LureAge => "lure-age",
            What::Leak => "leak",
            What::PickingDays => "picking-days",
            What::PickingShare => "picking-share",
            What::ChewedLeaves => "chewed-leaves",
            What::NextDoor => "next-door",
        }
    }

    /// Whether the yard changes, and not what the gardener does in it: then no trap is another yard as well.
    pub fn is_about_the_yard(self) -> bool {
        matches!(self, What::ChewedLeaves | What::NextDoor)
    }

    /// Whether a plan has it.
    fn is_in(self, scenario: &Scenario, plan: &Plan) -> bool {
        let traps = || plan.hangs();
        let does = |f: fn(&Action) -> bool| plan.methods.iter().any(|m| f(&m.action));
        match self {
            What::Emptying | What::LureAge => traps(),
            What::Leak => does(|a| matches!(a, Action::Cover(_))),
            What::PickingDays | What::PickingShare => does(|a| matches!(a, Action::Hands(_))),
            What::ChewedLeaves => scenario.pest.guild == Guild::Chewer,
            What::NextDoor => scenario.sources.iter().any(|s| s.bed.is_none()),
        }
    }
}

/// One value and what the answer is there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HabitRow {
    /// The value; absent for traps that are never emptied.
    pub value: Option<f64>,
    /// The value in words.
    pub words: String,
    /// Mean damage when nothing is done, of 100.
    pub without: f64,
    /// Mean damage under the plan, of 100.
    pub damage: f64,
    /// Their difference.
    #[serde(flatten)]
    pub mean: MeanChange,
    /// What it amounts to.
    pub verdict: Class,
    /// Whether that stands out from chance by more than two standard errors.
    pub sure: bool,
    /// Change less that of the row [`Habit::usual`], of 100: what this value does beside the usual one.
    pub step: f64,
    /// Its standard error, from the pairs.
    pub step_error: f64,
    /// Caught by the asker's traps or picked, in a summer.
    pub taken: f64,
    /// Minutes of the whole plan: least, middle, most.
    pub minutes: [f64; 3],
}

/// A value at which the verdict turns.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct HabitTurn {
    /// First row with another verdict than the usual one.
    pub row: usize,
    /// Where the change crosses the edge, interpolated between the rows.
    pub at: f64,
    /// Whether it stands out from chance: more than two standard errors beyond the edge.
    pub sure: bool,
}

/// One habit at all its values.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Habit {
    /// What is moved.
    pub what: What,
    /// Index of the plan it is asked of: the study's own, or the first that has it.
    pub plan: usize,
    /// Row that is the plan as written or, where a number is drawn anew each summer, the best kept.
    pub usual: usize,
    /// Whether that row is the plan as written.
    pub as_written: bool,
    /// Its values, in their order.
    pub rows: Vec<HabitRow>,
    /// The nearest turn on each side of the usual row.
    pub turns: Vec<HabitTurn>,
}

/// One value as simulated.
struct Case {
    value: Option<f64>,
    /// The value for interpolation.
    at: f64,
    words: String,
    lived: Plan,
    paid: Plan,
    /// The yard, where it is not the one as written.
    yard: Option<Scenario>,
    own: bool,
}

impl Case {
    fn new(at: f64, words: String, plan: Plan, own: bool) -> Case {
        Case {
            value: Some(at),
            at,
            words,
            paid: plan.clone(),
            lived: plan,
            yard: None,
            own,
        }
    }
}

/// The habits that some plan has, with that plan: the asked one first.
fn present(scenario: &Scenario, asked: usize) -> Vec<(What, usize)> {
    let others = (1..scenario.plans.len()).filter(|p| *p != asked);
    let order: Vec<usize> = std::iter::once(asked).chain(others).collect();
    let with = |what: What| {
        let has = |p: &&usize| what.is_in(scenario, &scenario.plans[**p]);
        order.iter().find(has).map(|p| (what, *p))
    };
    What::ALL.into_iter().filter_map(with).collect()
}

/// For each habit of a study, lives of the yard in one summer.
pub(super) fn lengths(scenario: &Scenario, ask: Ask) -> impl Iterator<Item = u32> {
    let habits = if ask.habit_summers == 0 {
        Vec::new()
    } else {
        present(scenario, ask.plan)
    };
    let of =
        |(what, plan): (What, usize)| cases(scenario, &scenario.plans[plan], what).len() as u32;
    habits.into_iter().map(of).collect::<Vec<_>>().into_iter()
}

fn exactly(share: f64) -> Sourced {
    Sourced {
        value: share,
        unit: "share".into(),
        range: None,
        spread: Spread::Uniform,
        source: String::new(),
        grade: Grade::Assumed,
    }
}

/// The plan with one number of some of its methods set.
fn with_number(plan: &Plan, key: &str, of: fn(&Action) -> bool, share: f64) -> Plan {
    let mut plan = plan.clone();
    for method in plan.methods.iter_mut().filter(|m| of(&m.action)) {
        method.kind.values.insert(key.to_owned(), exactly(share));
    }
    plan
}

/// Known values with the plan's own among them, ascending.
fn and_own<const N: usize>(known: [f64; N], own: Option<f64>) -> Vec<f64> {
    let mut all = known.to_vec();
    all.extend(own.filter(|v| !known.contains(v)));
    all.sort_by(f64::total_cmp);
    all
}

fn of_100(share: f64) -> String {
    say!("habit.of-100", share = format!("{:.0}", 100.0 * share))
}

fn cases(scenario: &Scenario, plan: &Plan, what: What) -> Vec<Case> {
    match what {
        What::Emptying => emptying(scenario, plan),
        What::LureAge => lure_ages(plan),
        What::Leak => LEAKS
            .iter()
            .map(|&leak| {
                let cover: fn(&Action) -> bool = |a| matches!(a, Action::Cover(_));
                let words = if leak == 0.0 {
                    say!("habit.leak.nothing")
                } else {
                    of_100(leak)
                };
                Case::new(leak, words, with_number(plan, "leak", cover, leak), false)
            })
            .collect(),
        What::PickingDays => picking_days(plan),
        What::PickingShare => FOUND
            .iter()
            .map(|&found| {
                let hands: fn(&Action) -> bool = |a| matches!(a, Action::Hands(_));
                let plan = with_number(plan, "found", hands, found);
                Case::new(found, of_100(found), plan, false)
            })
            .collect(),
        What::ChewedLeaves => [false, true]
            .map(|calls| {
                let words = if calls { "habit.yes" } else { "habit.no" };
                let own = scenario.chewed_leaves_call == calls;
                let at = f64::from(u8::from(calls));
                let mut case = Case::new(at, say!(words), plan.clone(), own);
                let mut yard = scenario.clone();
                yard.chewed_leaves_call = calls;
                case.yard = Some(yard);
                case
            })
            .into(),
        What::NextDoor => NEXT_DOOR
            .iter()
            .map(|&(share, words)| {
                let mut case = Case::new(share, say!(words), plan.clone(), share == 1.0);
                let mut yard = scenario.clone();
                for source in yard.sources.iter_mut().filter(|s| s.bed.is_none()) {
                    source.per_day_low *= share;
                    source.per_day_high *= share;
                }
                case.yard = Some(yard);
                case
            })
            .collect(),
    }
}

fn emptying(scenario: &Scenario, plan: &Plan) -> Vec<Case> {
    let first = plan.own_traps().next();
    let own = first.and_then(|t| t.empty_every_d);
    upkeep::intervals(plan, scenario.window.days)
        .into_iter()
        .map(|i| Case {
            value: i.every_d.map(f64::from),
            at: f64::from(i.days),
            words: i.words(),
            own: i.every_d == own,
            lived: i.lived,
            paid: i.paid,
            yard: None,
        })
        .collect()
}

fn lure_ages(plan: &Plan) -> Vec<Case> {
    let own = plan.own_traps().next();
    let own = own.map(|t| t.lure_age_d);
    and_own(LURE_AGES, own)
        .into_iter()
        .map(|age| {
            let mut aged = plan.clone();
            for trap in aged.traps.iter_mut().filter(|t| !t.neighbours) {
                trap.lure_age_d = age;
            }
            let words = if age == 0.0 {
                say!("habit.lure.fresh")
            } else {
                let days = format!("{age:.0}");
                say!(&counted("habit.lure.age", age as u64), days)
            };
            Case::new(age, words, aged, own == Some(age))
        })
        .collect()
}

fn picking_days(plan: &Plan) -> Vec<Case> {
    let hands = plan.methods.iter().find_map(|m| match &m.action {
        Action::Hands(hands) => Some(f64::from(hands.days_a_week)),
        _ => None,
    });
    and_own(PICKING_DAYS.map(f64::from), hands)
        .into_iter()
        .map(|days| {
            let mut picked = plan.clone();
            for method in &mut picked.methods {
                if let Action::Hands(hands) = &mut method.action {
                    hands.days_a_week = days as u32;
                }
            }
            let words = match days as u32 {
                7 => say!("habit.pick.daily"),
                n => say!(&counted("habit.pick.days", u64::from(n)), n),
            };
            Case::new(days, words, picked, hands == Some(days))
        })
        .collect()
}

/// Damage without and with, and insects taken, for one case in one summer.
const WIDTH: usize = 3;

/// All habits of a study.
///
/// # Errors
/// [`Refusal`] when stopped or when a summer holds too many insects.
pub(super) fn all(
    prepared: &Prepared,
    ask: Ask,
    watch: &dyn Watch,
    keep: &mut dyn Keep,
) -> Result<Vec<Habit>, Refusal> {
    if ask.habit_summers == 0 {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    for (what, plan) in present(prepared.scenario, ask.plan) {
        let cases = cases(prepared.scenario, &prepared.scenario.plans[plan], what);
        let lives = simulate(prepared, (what, &cases), ask.habit_summers, watch, keep)?;
        found.push(told(prepared.scenario, (what, plan), &cases, &lives));
    }
    Ok(found)
}

fn simulate(
    prepared: &Prepared,
    (what, cases): (What, &[Case]),
    summers: u32,
    watch: &dyn Watch,
    keep: &mut dyn Keep,
) -> Result<Vec<Vec<f64>>, Refusal> {
    let stage = Stage {
        name: &format!("habit {}", what.id()),
        points: summers as usize,
        width: WIDTH * cases.len(),
        chunk: 64,
    };
    let lives = cases.len() as u32;
    let by_summer = BySummer { watch, lives };
    in_pieces(
        stage,
        keep,
        |done| by_summer.advance(done as u32),
        |summers| {
            let summers = summers.start as u32..summers.end as u32;
            each_of(summers, &by_summer, |summer| {
                one_summer(prepared, cases, summer)
            })
        },
    )
}

/// Passes a summer on as so many lives of the yard.
struct BySummer<'a> {
    watch: &'a dyn Watch,
    lives: u32,
}

impl Watch for BySummer<'_> {
    fn advance(&self, summers: u32) {
        self.watch.advance(summers * self.lives);
    }

    fn stopped(&self) -> bool {
        self.watch.stopped()
    }
}

/// Every case in one summer: those of the yard as written side by side, the others each in its own yard.
fn one_summer(prepared: &Prepared, cases: &[Case], summer: u32) -> Result<Vec<f64>, Refusal> {
    let mut out = Vec::with_capacity(WIDTH * cases.len());
    if cases.iter().all(|case| case.yard.is_none()) {
        in_one_yard(prepared, cases, summer, &mut out)?;
        return Ok(out);
    }
    for case in cases {
        let scenario = case.yard.as_ref().unwrap_or(prepared.scenario);
        let here = Prepared {
            scenario,
            day_by_day: prepared.day_by_day || scenario.chewed_leaves_call,
            ..prepared.clone()
        };
        in_one_yard(&here, std::slice::from_ref(case), summer, &mut out)?;
    }
    Ok(out)
}

/// Cases of one yard beside its first plan, which is nothing done.
fn in_one_yard(
    prepared: &Prepared,
    cases: &[Case],
    summer: u32,
    out: &mut Vec<f64>,
) -> Result<(), Refusal> {
    let scenario = prepared.scenario;
    let days = scenario.window.days;
    let ground = Ground::for_summer(scenario, summer);
    prepared.check_size(&ground)?;
    let first = std::iter::once((&scenario.plans[0], days));
    let plans: Vec<(&Plan, u32)> = first
        .chain(cases.iter().map(|case| (&case.lived, days)))
        .collect();
    let lived = upkeep::live(prepared, &ground, &plans);
    for with in &lived[1..] {
        out.extend([
            lived[0].damage,
            with.damage,
            (with.caught + with.removed) as f64,
        ]);
    }
    Ok(())
}

/// Which row the others are set against: the plan as written, else the best kept.
fn usual(what: What, cases: &[Case]) -> (usize, bool) {
    if let Some(own) = cases.iter().position(|c| c.own) {
        return (own, true);
    }
    let best = match what {
        What::PickingDays | What::PickingShare => cases.len() - 1,
        _ => 0,
    };
    (best, false)
}

fn told(
    scenario: &Scenario,
    (what, plan): (What, usize),
    cases: &[Case],
    lives: &[Vec<f64>],
) -> Habit {
    let band = scenario.settings.tie_band;
    let column = |i: usize| lives.iter().map(|l| l[i]).collect::<Vec<f64>>();
    let changes: Vec<Vec<f64>> = (0..cases.len())
        .map(|c| {
            lives
                .iter()
                .map(|l| l[WIDTH * c + 1] - l[WIDTH * c])
                .collect()
        })
        .collect();
    let (usual, as_written) = usual(what, cases);
    let rows: Vec<HabitRow> = cases
        .iter()
        .enumerate()
        .map(|(c, case)| {
            let mean_change = MeanChange::of(&changes[c]);
            let step = MeanChange::of(&differences(&changes[usual], &changes[c]));
            HabitRow {
                value: case.value,
                words: case.words.clone(),
                without: mean(&column(WIDTH * c)),
                damage: mean(&column(WIDTH * c + 1)),
                mean: mean_change,
                verdict: mean_change.class(band),
                sure: mean_change.clear_of(band.copysign(mean_change.change)),
                step: step.change,
                step_error: step.error,
                taken: mean(&column(WIDTH * c + 2)),
                minutes: effort(scenario, &case.paid).minutes,
            }
        })
        .collect();
    let at: Vec<f64> = cases.iter().map(|c| c.at).collect();
    Habit {
        what,
        plan,
        usual,
        as_written,
        turns: turns(&rows, &at, usual, band),
        rows,
    }
}

/// The nearest row with another verdict above the usual one, and below it.
fn turns(rows: &[HabitRow], at: &[f64], usual: usize, band: f64) -> Vec<HabitTurn> {
    let base = rows[usual].verdict;
    let above: Vec<usize> = (usual + 1..rows.len()).collect();
    let below: Vec<usize> = (0..usual).rev().collect();
    [above, below]
        .into_iter()
        .filter_map(|way| {
            let first = way.iter().position(|r| rows[*r].verdict != base)?;
            let (outside, inside) = (way[first], if first == 0 { usual } else { way[first - 1] });
            let edge = edge(base, rows[outside].verdict, band);
            let point = |row: usize| (at[row], rows[row].mean.change);
            let beyond = |r: &usize| rows[*r].verdict != base && rows[*r].mean.clear_of(edge);
            Some(HabitTurn {
                row: outside,
                at: crossing(point(inside), point(outside), edge),
                sure: way[first..].iter().any(beyond),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(change: f64) -> HabitRow {
        let mean = MeanChange { change, error: 0.5 };
        HabitRow {
            value: None,
            words: String::new(),
            without: 50.0,
            damage: 50.0 + change,
            mean,
            verdict: mean.class(1.0),
            sure: true,
            step: 0.0,
            step_error: 0.0,
            taken: 0.0,
            minutes: [0.0; 3],
        }
    }

    #[test]
    fn the_nearest_turn_lies_where_the_change_crosses_the_edge() {
        // -9 at 0.05, +5 at 0.2: the edge of "less" at -1 is crossed 8/14 of the way.
        let rows = [-20.0, -9.0, 5.0, 8.0].map(row);
        let at = [0.0, 0.05, 0.2, 0.4];
        let found = turns(&rows, &at, 0, 1.0);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].row, found[0].sure), (2, true));
        assert!((found[0].at - (0.05 + 0.15 * 8.0 / 14.0)).abs() < 1e-12);
        // Seen from the leaky end the same turn lies below.
        let back = turns(&rows, &at, 3, 1.0);
        assert_eq!((back.len(), back[0].row), (1, 1));
    }

    #[test]
    fn a_habit_that_never_turns_has_no_turn_and_a_close_one_is_not_sure() {
        let at = [1.0, 2.0, 4.0];
        assert!(turns(&[-9.0, -8.0, -5.0].map(row), &at, 2, 1.0).is_empty());
        let close = turns(&[-0.8, -3.0, -5.0].map(row), &at, 2, 1.0);
        assert_eq!((close.len(), close[0].sure), (1, false));
    }
}
