//! Habits in plain words, for pictures and reports.

use super::habits::{Habit, HabitRow, HabitTurn, What};
use crate::say::{say, voice};
use crate::scenario::Scenario;
use crate::stats::paired::Class;

/// What a verdict means, in words after "the plan means".
pub fn meaning(scenario: &Scenario, verdict: Class) -> String {
    let guild = scenario.pest.guild;
    let (noun, verb) = (guild.damage_noun(), guild.damage_verb());
    match verdict {
        Class::More => say!("vary.means.more", noun, verb),
        Class::Less => say!("vary.means.less", noun, verb),
        Class::NoChange | Class::EitherWay => say!("vary.means.same"),
    }
}

/// One or two words for a row: its verdict, and whether chance may have made it.
pub fn word(row: &HabitRow) -> &'static str {
    voice().get(match (row.verdict, row.sure) {
        (Class::More, true) => "habit.word.more",
        (Class::More, false) => "habit.word.more.unsure",
        (Class::Less, true) => "habit.word.less",
        (Class::Less, false) => "habit.word.less.unsure",
        (_, true) => "habit.word.same",
        (_, false) => "habit.word.same.unsure",
    })
}

/// Heading of a habit.
pub fn title(scenario: &Scenario, what: What) -> String {
    match what {
        What::Emptying => say!("habit.title.emptying"),
        What::LureAge => say!("habit.title.lure-age"),
        What::Leak => say!("habit.title.leak"),
        What::PickingDays => say!("habit.title.picking-days"),
        What::PickingShare => say!("habit.title.picking-share"),
        What::ChewedLeaves => say!("habit.title.chewed-leaves"),
        What::NextDoor => say!("habit.title.next-door", insects = scenario.pest.short),
    }
}

/// Heading of the column of values.
pub fn column(what: What) -> &'static str {
    voice().get(match what {
        What::Emptying => "habit.column.emptying",
        What::LureAge => "habit.column.lure-age",
        What::Leak => "habit.column.leak",
        What::PickingDays => "habit.column.picking-days",
        What::PickingShare => "habit.column.picking-share",
        What::ChewedLeaves => "habit.column.chewed-leaves",
        What::NextDoor => "habit.column.next-door",
    })
}

/// "1 in 10" for a share, or "60 in 100" for a large one.
fn one_in(share: f64) -> String {
    if share > 0.34 {
        return say!("habit.of-100", share = whole(100.0 * share));
    }
    say!("habit.one-in", n = whole(1.0 / share.max(0.01)))
}

fn whole(value: f64) -> String {
    format!("{value:.0}")
}

/// What must be so for the verdict to turn, in words after "if".
fn condition(scenario: &Scenario, habit: &Habit, turn: &HabitTurn) -> String {
    let row = &habit.rows[turn.row];
    let habit_words = &row.words;
    let above = turn.row > habit.usual;
    let insects = &scenario.pest.short;
    let (days, share) = (whole(turn.at), whole(100.0 * turn.at));
    match (habit.what, above) {
        (What::Emptying, true) if row.value.is_none() => say!("habit.if.emptying.never"),
        (What::Emptying, true) => say!("habit.if.emptying.only", habit_words),
        (What::Emptying, false) => say!("habit.if.emptying", habit_words),
        (What::LureAge, true) => say!("habit.if.lure.older", days),
        (What::LureAge, false) => say!("habit.if.lure.younger", days),
        (What::Leak, true) => say!("habit.if.leak.more", share = one_in(turn.at)),
        (What::Leak, false) => say!("habit.if.leak.less", share = one_in(turn.at)),
        (What::PickingDays, true) => say!("habit.if.pick", habit_words),
        (What::PickingDays, false) => say!("habit.if.pick.only", habit_words),
        (What::PickingShare, true) => say!("habit.if.found.more", share, insects),
        (What::PickingShare, false) => say!("habit.if.found.less", share, insects),
        (What::ChewedLeaves, true) => say!("habit.if.leaves.call", insects),
        (What::ChewedLeaves, false) => say!("habit.if.leaves.no-call", insects),
        (What::NextDoor, true) => say!("habit.if.next-door.more", share, insects),
        (What::NextDoor, false) => say!("habit.if.next-door.less", share, insects),
    }
}

/// Asks what one row does in place of another.
fn what_if(what: What, row: &HabitRow, usual: &HabitRow) -> String {
    let (tried, as_usual) = (&row.words, &usual.words);
    match what {
        What::Emptying => say!("habit.what-if.emptying", tried, as_usual),
        What::LureAge => say!("habit.what-if.lure-age", tried, as_usual),
        What::Leak => say!("habit.what-if.leak", tried, as_usual),
        What::PickingDays => say!("habit.what-if.picking-days", tried, as_usual),
        What::PickingShare => say!("habit.what-if.picking-share", tried, as_usual),
        What::ChewedLeaves if row.value == Some(1.0) => say!("habit.what-if.leaves.call"),
        What::ChewedLeaves => say!("habit.what-if.leaves.no-call"),
        What::NextDoor => say!("habit.what-if.next-door", tried, as_usual),
    }
}

/// One plain finding for a habit: where the verdict turns, or what the far end does beside the usual row.
pub fn sentence(scenario: &Scenario, habit: &Habit, asked: usize) -> String {
    let sure = habit.turns.iter().find(|t| t.sure);
    let said = if let Some(turn) = sure.or(habit.turns.first()) {
        let key = if turn.sure {
            "habit.flips"
        } else {
            "habit.may-flip"
        };
        let habit_if = condition(scenario, habit, turn);
        let then_means = meaning(scenario, habit.rows[turn.row].verdict);
        say!(key, habit_if, then_means)
    } else {
        steady(scenario, habit)
    };
    if habit.plan == asked {
        said
    } else {
        say!(
            "habit.other-plan",
            plan = scenario.plans[habit.plan].name,
            habit_said = said
        )
    }
}

fn steady(scenario: &Scenario, habit: &Habit) -> String {
    let usual = &habit.rows[habit.usual];
    // The end farther from the usual row says most.
    let last = habit.rows.len() - 1;
    let far = if habit.usual > last - habit.usual {
        0
    } else {
        last
    };
    let far = &habit.rows[far];
    let asked = what_if(habit.what, far, usual);
    let key = if far.step.abs() <= scenario.settings.tie_band {
        "habit.then.same"
    } else if far.step.abs() <= 2.0 * far.step_error {
        "habit.then.either"
    } else if habit.what.is_about_the_yard() {
        let [tried, as_usual] = [far, usual].map(|row| format!("{:+.1}", row.mean.change));
        let then = say!("habit.then.yard", tried, as_usual);
        return [asked, then].join(" ");
    } else if far.step > 0.0 {
        "habit.then.more"
    } else {
        "habit.then.fewer"
    };
    let more = far.minutes[1] - usual.minutes[1];
    let key = match more {
        m if m >= 0.5 => [key, "more-minutes"].join("."),
        m if m <= -0.5 => [key, "fewer-minutes"].join("."),
        _ => key.to_owned(),
    };
    let guild = scenario.pest.guild;
    let size = far.step.abs();
    let size = if size < 9.5 {
        format!("{size:.1}")
    } else {
        whole(size)
    };
    let then = say!(
        &key,
        size,
        minutes = whole(more.abs()),
        noun = guild.damage_noun(),
        verb = guild.damage_verb()
    );
    [asked, then].join(" ")
}

/// For picking: how many a day at the plan's own rate, and in how many minutes.
pub fn pace(scenario: &Scenario, habit: &Habit) -> Option<String> {
    if habit.what != What::PickingDays {
        return None;
    }
    let usual = &habit.rows[habit.usual];
    let days = (usual.value? / 7.0 * f64::from(scenario.window.days)).max(1.0);
    let [least, a_day, a_day_most] = usual.minutes.map(|m| whole(m / days));
    Some(say!(
        "habit.pace",
        n = whole(usual.taken / days),
        insects = scenario.pest.short,
        a_day,
        least,
        a_day_most
    ))
}
