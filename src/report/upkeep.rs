//! The files and the terminal text of a study of how often to empty traps.

use crate::report::cautions;
use crate::report::csv::{harmless, write};
use crate::report::json::{damage_unit, pretty};
use crate::report::lines::Lines;
use crate::report::provenance::{Facts, Manifest};
use crate::report::words::{how_sure, notes, repeat};
use crate::scenario::Scenario;
use crate::stats::paired::Class;
use crate::stats::words::{PAIRS_FOR_A_VERDICT, thousands};
use crate::study::upkeep::Upkeep;
use serde_json::{Value, json};

/// All files with their names; the manifest comes last and holds the hashes of the others.
pub fn files(scenario: &Scenario, upkeep: &Upkeep, facts: &Facts) -> Vec<(String, Vec<u8>)> {
    let mut files = vec![
        ("emptying.txt".into(), text(scenario, upkeep).into_bytes()),
        ("emptying.json".into(), data(scenario, upkeep).into_bytes()),
        ("emptying.csv".into(), tidy(scenario, upkeep).into_bytes()),
    ];
    #[cfg(feature = "pictures")]
    files.extend(super::figure_files(&[crate::figure::upkeep::emptying(
        scenario, upkeep,
    )]));
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
    if let Some(row) = lazy {
        let at = rows.iter().position(|r| r == row).unwrap_or(1);
        return format!(
            "Empty it {} or more often. Emptied {}, it let more damage happen in {} of 20 summers than with a visit every \
             day.",
            rows[at - 1].interval.clone(),
            row.interval.clone(),
            row.count.more
        );
    }
    if let Some(row) = better {
        return format!(
            "Here a full trap does less harm than an empty one. Emptied {}, it meant less damage in {} of 20 summers than \
             with a visit every day. The scent itself is the trouble.",
            row.interval.clone(),
            row.count.less
        );
    }
    if rows
        .iter()
        .skip(1)
        .all(|r| r.count.class() == Class::NoChange)
    {
        return if filled {
            "How often you empty it made no change to the damage here, though the trap did fill."
                .into()
        } else {
            "How often you empty it made no change here: the trap did not fill.".into()
        };
    }
    "How often to empty it could go either way.".into()
}

/// The text, lines of at most 80 columns.
pub fn text(scenario: &Scenario, upkeep: &Upkeep) -> String {
    let guild = scenario.pest.guild;
    let (noun, verb) = (guild.damage_noun(), guild.damage_verb());
    let mut out = Lines::default();
    out.say(&bottom_line(upkeep));
    if (upkeep.summers as usize) < PAIRS_FOR_A_VERDICT {
        out.say(&format!(
            "This is a preview from {} summers. Use {} or more before you rely on it.",
            upkeep.summers,
            thousands(PAIRS_FOR_A_VERDICT as f64)
        ));
    }
    let no_trap = upkeep.damage_without;
    out.say(&format!(
        "With \"{}\" it would be {no_trap:.1} of 100 {noun} {verb}.",
        upkeep.without
    ));
    out.gap();
    out.say(&format!("\"{}\", {} days:", upkeep.plan, upkeep.days));
    out.0.push(format!(
        "{:14}{:>7}{:>6}{:>6}{:>6}{:>9}{:>8}{:>7}{:>9}",
        "emptied", "of 100", "more", "same", "less", "caught", "kept", "full", "minutes"
    ));
    for (i, row) in upkeep.rows.iter().enumerate() {
        let of_20 = |n: usize| if i == 0 { "-".into() } else { n.to_string() };
        out.0.push(format!(
            "{:14}{:>7.1}{:>6}{:>6}{:>6}{:>9}{:>8.0}{:>7.1}{:>9.0}",
            row.interval.clone(),
            row.damage_mean,
            of_20(row.count.more),
            of_20(row.count.no_change),
            of_20(row.count.less),
            thousands(row.caught_mean),
            row.kept_of_100,
            row.full_days_mean,
            row.effort.minutes[1]
        ));
    }
    out.say(&format!(
        "of 100: {noun} {verb} of 100, average summer. more, same, less: summers of 20, set against a visit every day. \
         caught: {} a summer. kept: of 100 that came for the scent. full: days of {} that began with a full trap. \
         minutes: your time for the whole plan; assumed unless you set it.",
        scenario.pest.short, upkeep.days
    ));
    out.say("Full means: the trap takes no more in, and its scent still calls.");
    out.gap();
    out.say_all(cautions::told(scenario));
    out.gap();
    out.say_all(how_sure(scenario));
    out.say_all(notes(&scenario.warnings));
    out.gap();
    out.say(&format!(
        "{} summers simulated, shown as 20. Seed {}. A change up to {} in 100 counts as no change.",
        thousands(f64::from(upkeep.summers)),
        scenario.settings.seed,
        scenario.settings.tie_band
    ));
    out.say(&repeat(Manifest::NAME));
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
        for (quantity, value, unit) in [
            ("damage mean", row.damage_mean, unit.as_str()),
            ("more damage", row.count.more as f64, "summers of 20"),
            ("no change", row.count.no_change as f64, "summers of 20"),
            ("less damage", row.count.less as f64, "summers of 20"),
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
