//! The files and the terminal text of a study of how often to empty traps.

use crate::report::csv::{harmless, write};
use crate::report::figure_files;
use crate::report::json::{damage_unit, pretty};
use crate::report::lines::Lines;
use crate::report::provenance::{Facts, Manifest};
use crate::report::words::{leaning, quoted, repeat, simulated, yours};
use crate::say::{counted, say, voice};
use crate::scenario::Scenario;
use crate::stats::paired::{Class, Told};
use crate::stats::words::{PAIRS_FOR_A_VERDICT, thousands};
use crate::study::upkeep::{Row, Upkeep};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// All files with their names; the manifest comes last and holds the hashes of the others.
pub fn files(scenario: &Scenario, upkeep: &Upkeep, facts: &Facts) -> Vec<(String, Vec<u8>)> {
    let mut files = vec![
        ("emptying.txt".into(), text(scenario, upkeep).into_bytes()),
        ("emptying.json".into(), data(scenario, upkeep).into_bytes()),
        ("emptying.csv".into(), tidy(scenario, upkeep).into_bytes()),
    ];
    files.extend(figure_files(|| {
        vec![crate::figure::upkeep::emptying(scenario, upkeep)]
    }));
    let manifest = Manifest::new(facts, Some(scenario), &files);
    let seed = scenario.settings.seed;
    files.push(manifest.of_summers(seed, upkeep.summers).file());
    files
}

/// The bottom line: the longest interval that costs nothing, or that it hardly matters, or that a full trap does less.
pub fn bottom_line(upkeep: &Upkeep) -> String {
    let rows = &upkeep.rows;
    let lazy = rows.iter().skip(1).find(|r| r.count.class() == Class::More);
    let better = rows.iter().skip(1).find(|r| r.count.class() == Class::Less);
    let filled = rows.iter().any(|r| r.summers_with_full >= 0.5 / 20.0);
    let told = |key: &str, row: &Row, before: &str| {
        let (n, of) = (row.count.leading(), row.count.told().of);
        match row.every_d {
            Some(_) => say!(key, before, emptied = row.interval, n, of),
            None => say!(&format!("{key}.never"), before, n, of),
        }
    };
    if let Some(row) = lazy {
        let at = rows.iter().position(|r| r == row).unwrap_or(1);
        return told("emptying.more", row, &rows[at - 1].interval);
    }
    if let Some(row) = better {
        return told("emptying.less", row, "");
    }
    let mut others = rows.iter().skip(1);
    say!(match others.all(|r| r.count.class() == Class::NoChange) {
        true if filled => "emptying.same.filled",
        true => "emptying.same",
        false => "emptying.either",
    })
}

/// The text, lines of at most 80 columns.
pub fn text(scenario: &Scenario, upkeep: &Upkeep) -> String {
    let guild = scenario.pest.guild;
    let (noun, verb) = (guild.damage_noun(), guild.damage_verb());
    let mut out = Lines::default();
    out.say(&bottom_line(upkeep));
    if (upkeep.summers as usize) < PAIRS_FOR_A_VERDICT {
        out.say(&say!(
            &counted("emptying.preview", u64::from(upkeep.summers)),
            summers = upkeep.summers,
            enough = thousands(PAIRS_FOR_A_VERDICT as f64)
        ));
    }
    out.say(&say!(
        "emptying.without",
        named = quoted(&upkeep.without),
        number = format!("{:.1}", upkeep.damage_without),
        noun,
        verb
    ));
    out.gap();
    let days = upkeep.days;
    out.say(&say!("emptying.title", named = quoted(&upkeep.plan), days));
    let mut columns = voice().get("emptying.columns").split('/');
    let mut column = || columns.next().unwrap_or_default();
    let mut head = format!("{:14}", column());
    for width in [7, 6, 6, 6, 9, 8, 7, 9] {
        let _ = write!(head, "{:>width$}", column());
    }
    out.0.push(head);
    for (i, row) in upkeep.rows.iter().enumerate() {
        let told = |n: usize| if i == 0 { "-".into() } else { n.to_string() };
        let Told {
            more, same, less, ..
        } = row.count.told();
        out.0.push(format!(
            "{:14}{:>7.1}{:>6}{:>6}{:>6}{:>9}{:>8.0}{:>7.1}{:>9.0}",
            row.interval,
            row.damage_mean,
            told(more),
            told(same),
            told(less),
            thousands(row.caught_mean),
            row.kept_of_100,
            row.full_days_mean,
            row.effort.minutes[1]
        ));
    }
    out.say(&say!(
        "emptying.legend",
        noun,
        verb,
        yours = yours(scenario),
        of = upkeep.rows.last().map_or(0, |row| row.count.told().of),
        insects = scenario.pest.short,
        days
    ));
    out.say(voice().get("emptying.full"));
    // The other plans of the file are not told of here.
    let mut shown = scenario.clone();
    shown.plans.retain(|plan| plan.name == upkeep.plan);
    out.cautions(&shown, &scenario.warnings);
    out.say(&simulated(upkeep.summers, scenario.settings.tie_band));
    out.say(&repeat(Manifest::NAME));
    out.details();
    out.say_all(leaning(&shown));
    out.say(&say!("detail.seed", seed = scenario.settings.seed));
    out.text()
}

/// The numbers as JSON.
pub fn data(scenario: &Scenario, upkeep: &Upkeep) -> String {
    let rows: Vec<Value> = upkeep
        .rows
        .iter()
        .map(|r| {
            json!({
                "every_days": r.every_d,
                "damage_mean": r.damage_mean,
                "told": r.count.told(),
                "more_of_20": r.count.more,
                "no_change_of_20": r.count.no_change,
                "less_of_20": r.count.less,
                "caught_mean": r.caught_mean,
                "kept_of_100": r.kept_of_100,
                "full_days_mean": r.full_days_mean,
                "summers_with_a_full_trap": r.summers_with_full,
                "minutes": r.effort.minutes,
                "dollars": r.effort.dollars,
            })
        })
        .collect();
    pretty(&json!({
        "format": 1,
        "scenario": scenario.name,
        "plan": upkeep.plan,
        "without": upkeep.without,
        "damage_without": upkeep.damage_without,
        "days": upkeep.days,
        "summers": upkeep.summers,
        "seed": scenario.settings.seed,
        "tie_band": scenario.settings.tie_band,
        "said": bottom_line(upkeep),
        "rows": rows,
    }))
}

fn tidy(scenario: &Scenario, upkeep: &Upkeep) -> String {
    let unit = damage_unit(scenario);
    let header = ["plan", "emptied", "quantity", "value", "unit"];
    let mut rows = vec![header.map(String::from).to_vec()];
    for row in &upkeep.rows {
        let [more, same, less] = crate::report::csv::counted(&row.count);
        for (quantity, value, unit) in [
            ("damage mean", row.damage_mean, unit.as_str()),
            (more.0, more.1, more.2.as_str()),
            (same.0, same.1, &same.2),
            (less.0, less.1, &less.2),
            ("catch mean", row.caught_mean, "insects a summer"),
            ("kept", row.kept_of_100, "of 100 answers"),
            ("full", row.full_days_mean, "days a summer"),
            ("your time", row.effort.minutes[1], "minutes"),
        ] {
            rows.push(vec![
                harmless(&upkeep.plan),
                row.interval.clone(),
                quantity.into(),
                value.to_string(),
                unit.into(),
            ]);
        }
    }
    write(rows)
}
