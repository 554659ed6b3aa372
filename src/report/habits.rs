//! What the gardener does, as text and as a table.

use crate::report::csv::{harmless, write};
use crate::report::lines::Lines;
use crate::say::{say, voice};
use crate::scenario::Scenario;
use crate::stats::words::thousands;
use crate::study::vary::habit_words::{column, pace, sentence, title, word};
use crate::study::vary::habits::What;
use crate::study::vary::{Habit, Study};

/// The sentence of every habit, in order.
pub(crate) fn sentences(scenario: &Scenario, study: &Study) -> Vec<String> {
    let one = |h: &Habit| sentence(scenario, h, study.plan);
    study.habits.iter().map(one).collect()
}

/// Adds the habits to a text.
pub(crate) fn say(out: &mut Lines, scenario: &Scenario, study: &Study) {
    if study.habits.is_empty() {
        return;
    }
    let guild = scenario.pest.guild;
    out.gap();
    out.say(&say!("habit.head", summers = study.habit_summers));
    let head = |key: &str| voice().get(key);
    for habit in &study.habits {
        out.gap();
        let key = match habit.what {
            What::ChewedLeaves => "habit.of-plan.question",
            _ => "habit.of-plan",
        };
        let plan = &scenario.plans[habit.plan].name;
        out.say(&say!(key, title = title(scenario, habit.what), plan));
        out.say(&sentence(scenario, habit, study.plan));
        out.say_all(pace(scenario, habit));
        out.0.push(format!(
            "  {:16}{:>8}{:>9}   {:17}{:>8}{:>10}",
            column(habit.what),
            head("habit.table.of-100"),
            head("habit.table.change"),
            head("habit.table.word"),
            head("habit.table.minutes"),
            head("habit.table.taken")
        ));
        for (i, row) in habit.rows.iter().enumerate() {
            let mark = if habit.as_written && i == habit.usual {
                "*"
            } else {
                " "
            };
            let line = format!(
                "{mark} {:16}{:>8.1}{:>+9.1}   {:17}{:>8}{:>10}",
                row.words,
                row.damage,
                row.mean.change,
                word(row),
                thousands(row.minutes[1]),
                thousands(row.taken)
            );
            out.0.push(line.trim_end().to_owned());
        }
    }
    out.gap();
    out.say(&say!(
        "habit.legend",
        noun = guild.damage_noun(),
        verb = guild.damage_verb(),
        insects = scenario.pest.short
    ));
}

/// `habits.csv`: one row for each value of each habit.
pub(crate) fn csv(scenario: &Scenario, study: &Study) -> String {
    let header = [
        "habit",
        "plan",
        "value",
        "value_in_words",
        "as_written",
        "damage_without",
        "damage_with",
        "change",
        "standard_error",
        "word",
        "change_less_usual",
        "standard_error_of_that",
        "taken",
        "minutes_least",
        "minutes",
        "minutes_most",
    ];
    let mut rows = vec![header.map(String::from).to_vec()];
    for habit in &study.habits {
        for (i, r) in habit.rows.iter().enumerate() {
            let mut row = vec![
                habit.what.id().to_owned(),
                harmless(&scenario.plans[habit.plan].name),
                r.value.map_or_else(String::new, |v| v.to_string()),
                r.words.clone(),
                (habit.as_written && i == habit.usual).to_string(),
            ];
            row.extend(
                [r.without, r.damage, r.mean.change, r.mean.error].map(|v| format!("{v:.6}")),
            );
            row.push(word(r).to_owned());
            row.extend([r.step, r.step_error, r.taken].map(|v| format!("{v:.6}")));
            row.extend(r.minutes.map(|v| format!("{v:.2}")));
            rows.push(row);
        }
    }
    write(rows)
}
