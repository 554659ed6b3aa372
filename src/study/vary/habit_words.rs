//! Habits in plain words, for pictures and reports.

use super::habits::{Habit, HabitRow, HabitTurn, What};
use super::sweep::Verdict;
use crate::scenario::Scenario;

/// What a verdict means, in words after "the plan means".
pub fn meaning(scenario: &Scenario, verdict: Verdict) -> String {
    let guild = scenario.pest.guild;
    let damage = format!("{} {}", guild.damage_verb(), guild.damage_noun());
    match verdict {
        Verdict::More => format!("more {damage}"),
        Verdict::Less => format!("fewer {damage}"),
        Verdict::NoChange => "no real change".into(),
    }
}

/// One or two words for a row: its verdict, and whether chance may have made it.
pub fn word(row: &HabitRow) -> &'static str {
    match (row.verdict, row.sure) {
        (Verdict::More, true) => "more damage",
        (Verdict::More, false) => "more, unsure",
        (Verdict::Less, true) => "less damage",
        (Verdict::Less, false) => "less, unsure",
        (Verdict::NoChange, true) => "no real change",
        (Verdict::NoChange, false) => "none, unsure",
    }
}

/// Heading of a habit.
pub fn title(scenario: &Scenario, what: What) -> String {
    match what {
        What::Emptying => "How often you empty the traps".into(),
        What::LureAge => "How old the lure is when you hang it".into(),
        What::Leak => "What the net lets in".into(),
        What::PickingDays => "How often you pick".into(),
        What::PickingShare => "What you find at each visit".into(),
        What::ChewedLeaves => "Do chewed leaves call in more?".into(),
        What::NextDoor => format!("How many {} come from next door", scenario.pest.short),
    }
}

/// Heading of the column of values.
pub fn column(what: What) -> &'static str {
    match what {
        What::Emptying => "emptied",
        What::LureAge => "lure",
        What::Leak => "leaks",
        What::PickingDays => "picked",
        What::PickingShare => "found",
        What::ChewedLeaves => "they call",
        What::NextDoor => "come",
    }
}

/// "1 in 10" for a share, or "60 in 100" for a large one.
fn one_in(share: f64) -> String {
    if share > 0.34 {
        return format!("{:.0} in 100", 100.0 * share);
    }
    format!("1 in {:.0}", 1.0 / share.max(0.01))
}

/// What must be so for the verdict to turn, in words after "if".
fn condition(scenario: &Scenario, habit: &Habit, turn: &HabitTurn) -> String {
    let words = &habit.rows[turn.row].words;
    let above = turn.row > habit.usual;
    let pest = &scenario.pest.short;
    let more = if above { "more" } else { "less" };
    match habit.what {
        What::Emptying if above && words == "never" => "you never empty it".into(),
        What::Emptying if above => format!("you empty it only {words}"),
        What::Emptying => format!("you empty it {words}"),
        What::LureAge => format!(
            "the lure is {} than about {:.0} days when you hang it",
            if above { "older" } else { "younger" },
            turn.at
        ),
        What::Leak => format!("the net leaks {more} than about {}", one_in(turn.at)),
        What::PickingDays if above => format!("you pick {words}"),
        What::PickingDays => format!("you pick only {words}"),
        What::PickingShare => {
            format!(
                "a visit finds {more} than about {:.0} in 100 of the {pest}",
                100.0 * turn.at
            )
        }
        What::ChewedLeaves if above => format!("chewed leaves call in more {pest}"),
        What::ChewedLeaves => format!("chewed leaves call in no more {pest}"),
        What::NextDoor => format!(
            "{more} than about {:.0} in 100 of the {pest} from next door come",
            100.0 * turn.at
        ),
    }
}

/// "about 3 more of 100 leaves eaten".
fn points(scenario: &Scenario, step: f64) -> String {
    let guild = scenario.pest.guild;
    let size = step.abs();
    let size = if size < 9.5 {
        format!("{size:.1}")
    } else {
        format!("{size:.0}")
    };
    format!(
        "about {size} {} of 100 {} {}",
        if step > 0.0 { "more" } else { "fewer" },
        guild.damage_noun(),
        guild.damage_verb()
    )
}

/// What one row does in place of another, in words that begin the sentence.
fn swap(what: What, other: &HabitRow, usual: &HabitRow) -> String {
    let (a, b) = (&other.words, &usual.words);
    match what {
        What::Emptying => format!("Emptying it {a} instead of {b}"),
        What::LureAge => format!("Hanging a lure {a} instead of {b}"),
        What::Leak => format!("A net that leaks {a} instead of {b}"),
        What::PickingDays => format!("Picking {a} instead of {b}"),
        What::PickingShare => format!("Finding {a} instead of {b} at each visit"),
        What::ChewedLeaves if a == "yes" => "If chewed leaves call in more".into(),
        What::ChewedLeaves => "If chewed leaves call in no more".into(),
        What::NextDoor => format!("If {a} instead of {b} of those from next door come"),
    }
}

/// One plain sentence for a habit: where the verdict turns, or what the far end does beside the usual row.
pub fn sentence(scenario: &Scenario, habit: &Habit, asked: usize) -> String {
    let sure = habit.turns.iter().find(|t| t.sure);
    let said = if let Some(turn) = sure.or(habit.turns.first()) {
        let (word, more) = if turn.sure {
            ("flips", "")
        } else {
            ("may flip", "; more summers would tell")
        };
        format!(
            "The verdict {word} if {} (then: {}){more}.",
            condition(scenario, habit, turn),
            meaning(scenario, habit.rows[turn.row].verdict)
        )
    } else {
        steady(scenario, habit)
    };
    if habit.plan == asked {
        said
    } else {
        format!("For \"{}\": {said}", scenario.plans[habit.plan].name)
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
    let begin = swap(habit.what, far, usual);
    let minutes = far.minutes[1] - usual.minutes[1];
    let time = if minutes.abs() < 0.5 {
        String::new()
    } else {
        let less = if minutes > 0.0 { "more" } else { "fewer" };
        format!(", and {:.0} {less} minutes", minutes.abs())
    };
    if far.step.abs() <= scenario.settings.tie_band {
        return format!("{begin}: no real change in damage{time}.");
    }
    if far.step.abs() <= 2.0 * far.step_error {
        return format!("{begin}: could go either way{time}.");
    }
    if habit.what.is_about_the_yard() {
        return format!(
            "{begin}, the plan changes damage by {:+.1} points of 100. Else it is {:+.1}. The verdict stays.",
            far.change, usual.change
        );
    }
    format!(
        "{begin}: {}{time}. The verdict stays.",
        points(scenario, far.step)
    )
}

/// For picking: how many a day at the plan's own rate, and in how many minutes.
pub fn pace(scenario: &Scenario, habit: &Habit) -> Option<String> {
    if habit.what != What::PickingDays {
        return None;
    }
    let usual = &habit.rows[habit.usual];
    let days = usual.value? / 7.0 * f64::from(scenario.window.days);
    Some(format!(
        "At this pressure you would take about {:.0} {} on a day of picking, in about {:.0} minutes ({:.0} to {:.0}).",
        usual.taken / days.max(1.0),
        scenario.pest.short,
        usual.minutes[1] / days.max(1.0),
        usual.minutes[0] / days.max(1.0),
        usual.minutes[2] / days.max(1.0)
    ))
}
