//! The files and the terminal text of a comparison.

use crate::catalogue::{flag_of, says_of};
use crate::count::outcome::Standing;
use crate::report::cautions;
use crate::report::compare_data::{self, per_10_saved, word};
use crate::report::compare_why as why;
use crate::report::lines::Lines;
use crate::report::provenance::{self, Facts};
use crate::report::text::eaten;
use crate::report::words::{
    after_plus_minus, how_sure, notes, still_open, verdict, with_error, yours,
};
use crate::scenario::Scenario;
use crate::stats::paired::Class;
use crate::stats::words::{PAIRS_FOR_A_WORD, change_in_words, listed, tenths, thousands};
use crate::study::compare::CompareOutcome;
use crate::study::spread::pairing_ceiling;
use std::fmt::Write as _;
use why::{points, quoted};

/// All files of a comparison with their names, in a fixed order; the manifest comes last.
pub fn files(
    scenario: &Scenario,
    outcome: &CompareOutcome,
    facts: &Facts,
) -> Vec<(String, Vec<u8>)> {
    let mut files = pictures(scenario, outcome);
    let names = super::picture_names(&files);
    let text = text(scenario, outcome, &names);
    files.insert(0, ("compare.txt".into(), text.into_bytes()));
    files.push((
        "compare.json".into(),
        compare_data::json(scenario, outcome).into_bytes(),
    ));
    files.push((
        "compare.csv".into(),
        compare_data::csv(scenario, outcome).into_bytes(),
    ));
    let against = outcome.plans.first().map_or("", |p| &p.name);
    let manifest = provenance::of_run(scenario, &outcome.run, facts, &files);
    files.push(manifest.with("against", against).file());
    files
}

#[cfg(feature = "pictures")]
fn pictures(scenario: &Scenario, outcome: &CompareOutcome) -> Vec<(String, Vec<u8>)> {
    super::figure_files(&crate::figure::of_compare(scenario, outcome))
}

#[cfg(not(feature = "pictures"))]
fn pictures(_: &Scenario, _: &CompareOutcome) -> Vec<(String, Vec<u8>)> {
    Vec::new()
}

/// The text, lines of at most 80 columns: sentence, table, pictures, reasons, cautions, details, repeat line.
pub fn text(scenario: &Scenario, outcome: &CompareOutcome, pictures: &[String]) -> String {
    let mut out = Lines::default();
    if let Some(warning) = crate::report::words::invented(scenario) {
        out.say(warning);
    }
    bottom_line(&mut out, outcome);
    table(&mut out, scenario, outcome);
    if !pictures.is_empty() {
        out.gap();
        out.say(&crate::report::words::pictures(pictures));
    }
    sentences(&mut out, scenario, outcome);
    reasons(&mut out, scenario, outcome);
    over_the_fence(&mut out, scenario, outcome);
    seasons(&mut out, scenario, outcome);
    costs(&mut out, scenario, outcome);
    out.gap();
    out.say_all(cautions::told(scenario));
    details(&mut out, scenario, outcome);
    out.say(&crate::report::words::repeat(provenance::Manifest::NAME));
    out.text()
}

/// Plans by what their counts say: less damage, more damage, no change, either way.
pub fn sorted(outcome: &CompareOutcome) -> [Vec<String>; 4] {
    let mut classes: [Vec<String>; 4] = Default::default();
    for plan in outcome.plans.iter().skip(1) {
        let class = match plan.count.class() {
            Class::Less => 0,
            Class::More => 1,
            Class::NoChange => 2,
            Class::EitherWay => 3,
        };
        classes[class].push(quoted(&plan.name));
    }
    classes
}

fn bottom_line(out: &mut Lines, outcome: &CompareOutcome) {
    let first = outcome.plans.first().map_or("", |p| p.name.as_str());
    let preview = outcome.run.standing() == Standing::Preview;
    let few = (outcome.run.summers as usize) < PAIRS_FOR_A_WORD;
    let heads = if few {
        [
            "So far less damage",
            "So far more damage",
            "So far no change",
            "Could go either way so far",
        ]
    } else {
        [
            "Less damage",
            "More damage",
            "No change",
            "Could go either way",
        ]
    };
    out.say(&format!(
        "Set against {} on the same {} simulated summers{}:",
        quoted(first),
        thousands(f64::from(outcome.run.summers)),
        if preview { " [preview]" } else { "" }
    ));
    for (head, names) in heads.iter().zip(sorted(outcome)) {
        if !names.is_empty() {
            out.say(&format!("{head}: {}.", listed(&names)));
        }
    }
    if let Some(open) = still_open(&outcome.run) {
        out.say(&open);
    }
    out.say(crate::report::words::NOT_A_FORECAST);
}

/// Widths: plan, damage, change, more, same, less, taken, minutes, dollars, flag; 80 in all.
fn table(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    const NAME: usize = 27;
    let guild = scenario.pest.guild;
    let flags = flags(outcome);
    out.gap();
    out.0.push(format!(
        "{:NAME$}{:>7}{:>7}{:>6}{:>5}{:>5}{:>7}{:>6}{:>5}{:>5}",
        "plan", "of 100", "change", "more", "same", "less", "taken", "min", "$", "flag"
    ));
    for (i, plan) in outcome.plans.iter().enumerate() {
        let ([more, same, less], _) = plan.count.told();
        let first = i == 0;
        let change = if first {
            "-".to_string()
        } else {
            points(plan.difference_mean)
        };
        let told = |n: usize| if first { "-".into() } else { n.to_string() };
        let taken = plan.caught_mean + plan.removed_mean + plan.killed_mean;
        let letters: String = plan
            .flags
            .iter()
            .filter_map(|f| letter(&flags, f))
            .collect();
        let letters = if letters.is_empty() {
            "-".into()
        } else {
            letters
        };
        let mut names = crate::report::words::fold_to(&plan.name, NAME - 1);
        let name = names.remove(0);
        out.0.push(format!(
            "{name:NAME$}{:>7.1}{change:>7}{:>6}{:>5}{:>5}{:>7}{:>6.0}{:>5.0}{letters:>5}",
            plan.damage_mean,
            told(more),
            told(same),
            told(less),
            thousands(taken),
            plan.effort.minutes[1],
            plan.effort.dollars[1],
        ));
        for rest in names {
            out.0.push(format!("  {rest}"));
        }
    }
    out.say(&format!(
        "of 100: {} {} of 100, {}, average summer. more, same, less: simulated summers of {}. \
         taken: {} caught, picked or killed a summer. min, $: minutes and dollars of your time and money for all {} \
         days; assumed unless you set them.",
        guild.damage_noun(),
        guild.damage_verb(),
        yours(scenario),
        outcome.plans.last().map_or(20, |p| p.count.told().1),
        scenario.pest.short,
        scenario.window.days
    ));
    for (i, flag) in flags.iter().enumerate() {
        let mark = char::from(b'a' + i as u8);
        out.say(&format!(
            "Flag {mark}, {flag}: {}",
            flag_reason(scenario, flag)
        ));
    }
}

fn letter(flags: &[String], flag: &str) -> Option<char> {
    let at = flags.iter().position(|f| f == flag)?;
    Some(char::from(b'a' + at as u8))
}

/// Flags that say something, in the order of the plans.
fn flags(outcome: &CompareOutcome) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for flag in outcome.plans.iter().flat_map(|p| &p.flags) {
        if flag != "none known" && !all.contains(flag) {
            all.push(flag.clone());
        }
    }
    all
}

fn flag_reason(scenario: &Scenario, flag: &str) -> String {
    let methods = scenario.plans.iter().flat_map(|p| &p.methods);
    let found = methods
        .filter(|m| m.flag() == flag)
        .map(|m| m.kind.flag_reason.clone())
        .next();
    let mut reasons: Vec<String> = found.into_iter().collect();
    let traps = scenario.plans.iter().flat_map(|p| &p.traps);
    for trap in traps.filter(|t| !t.neighbours) {
        let (kind, lure) = (&scenario.trap_kinds[trap.kind], &scenario.lures[trap.lure]);
        let says = says_of(kind, lure);
        if flag_of(kind, lure) == flag && !reasons.contains(&says) {
            reasons.push(says);
        }
    }
    reasons.join(" ")
}

fn sentences(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    out.gap();
    let before = outcome.plans.first().map_or(0.0, |p| p.damage_mean);
    for (plan, raw) in outcome.plans.iter().zip(&outcome.run.plans).skip(1) {
        let said = verdict(scenario, &quoted(&plan.name), &plan.count, &plan.settled);
        let mut text = said.sentence;
        if let Some(word) = said.word {
            let _ = write!(text, " [{word}]");
        }
        let _ = write!(
            text,
            " {}, {}.",
            with_error(before, plan.damage_mean, &raw.change, outcome.run.summers),
            change_in_words(
                tenths(before),
                tenths(plan.damage_mean),
                scenario.settings.tie_band
            )
        );
        if let Some(rare) = said.rare {
            let _ = write!(text, " {rare}");
        }
        out.say(&text);
    }
    if let Some(line) = eaten(&outcome.run) {
        out.say(&line);
    }
}

fn reasons(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    out.gap();
    out.say("Why:");
    for line in why::reasons(scenario, outcome) {
        out.say(&line);
    }
    let males = why::males(scenario, outcome);
    if !males.is_empty() {
        out.gap();
    }
    for line in males {
        out.say(&line);
    }
    if let Some(line) = why::instead(scenario, outcome) {
        out.gap();
        out.say(&line);
    }
}

fn over_the_fence(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let plots = why::plots_that_grow(scenario);
    let lines = match plots[..] {
        [] => return,
        [one] => why::next_door(scenario, outcome, one),
        _ => {
            out.gap();
            out.0.extend(why::street(scenario, outcome));
            why::street_words(scenario, outcome)
        }
    };
    if plots.len() == 1 {
        out.gap();
    }
    for line in lines {
        out.say(&line);
    }
}

fn seasons(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let Some(seasons) = &outcome.seasons else {
        return;
    };
    out.gap();
    out.say(&format!(
        "{} seasons, insects at the start of each of 100 at first ({} repeats):",
        seasons.seasons, seasons.repeats
    ));
    for plan in &seasons.plans {
        let course: Vec<String> = plan
            .insects_of_100
            .iter()
            .map(|v| format!("{v:.0}"))
            .collect();
        out.say(&format!(
            "- {}: {}; about {:.2} times a year.",
            quoted(&plan.name),
            course.join(" -> "),
            plan.factor
        ));
    }
    if scenario.seasons.arrivals > 0.0 {
        out.say(&format!(
            "Before each season {:.0} of 100 come from outside.",
            100.0 * scenario.seasons.arrivals
        ));
    } else {
        out.say("No insect comes from outside; in open country this does not hold.");
    }
}

fn costs(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    let noun = scenario.pest.guild.damage_noun();
    let mut lines = Vec::new();
    for (plan, compared) in scenario.plans.iter().zip(&outcome.plans) {
        let effort = &compared.effort;
        let Some(dollars) = per_10_saved(scenario, compared, effort.dollars[1]) else {
            continue;
        };
        let minutes = per_10_saved(scenario, compared, effort.minutes[1]).unwrap_or(0.0);
        let own = plan.own_cost[0].is_some() || plan.own_cost[1].is_some();
        lines.push(format!(
            "- {}: ${} and {} minutes. The whole plan: ${} to ${} and {} to {} minutes{}.",
            quoted(&compared.name),
            thousands(dollars),
            thousands(minutes),
            thousands(effort.dollars[0]),
            thousands(effort.dollars[2]),
            thousands(effort.minutes[0]),
            thousands(effort.minutes[2]),
            if own {
                " (partly your own numbers)"
            } else {
                " (assumed)"
            }
        ));
    }
    if lines.is_empty() {
        return;
    }
    out.gap();
    out.say(&format!("Cost of each 10 {noun} in 100 saved:"));
    for line in lines {
        out.say(&line);
    }
}

/// How many times, for people: large factors have no meaning beyond "very".
fn times(factor: f64) -> String {
    if factor >= 1000.0 {
        "over 1,000".into()
    } else {
        format!("{factor:.1}")
    }
}

fn pairing(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    out.say(
        "Technical: mean change, its Monte Carlo error (one standard error; from 100 summers on what is known of each summer's insects is taken out), and how many times the same summers for both plans cut its variance.",
    );
    let in_turn = scenario
        .kept_sets
        .as_ref()
        .map(crate::scenario::biology::KeptSets::len);
    if let Some(sets) = in_turn {
        out.say(&format!(
            "\"In all\" compares with draws of their own for every plan and summer: the {} fitted sets of the insects' numbers also take turns, so that many summers use all of them equally often; and it counts what is known of each summer.",
            thousands(sets as f64)
        ));
    }
    for plan in outcome.plans.iter().skip(1) {
        let factor = match (plan.pairing_factor, plan.pairing_limit) {
            (None, _) => "no variance".to_owned(),
            (Some(f), Some(limit)) => {
                format!("{} times of at most {}", times(f), times(limit))
            }
            (Some(f), None) => format!("{} times", times(f)),
        };
        let factor = match plan.variance_cut {
            Some(cut) if in_turn.is_some() => format!("{factor}, {} in all", times(cut)),
            _ => factor,
        };
        out.say(&format!(
            "- {}: {}, error {:.2}, {factor}; {}{}",
            quoted(&plan.name),
            if plan.difference_mean.abs() < 0.005 {
                "0.00".to_owned()
            } else {
                format!("{:+.2}", plan.difference_mean)
            },
            plan.difference_se,
            word(&plan.settled),
            if plan.settled.settled {
                ""
            } else {
                " (near a boundary of the scale: the milder word)"
            }
        ));
    }
    if let Some(all) = outcome.pairing_overall {
        out.say(&format!(
            "All plans together: {} times{}. A plan that spreads summers far more, or far less, than \"{}\" cannot reach a high number, however well it is paired.",
            times(all),
            match outcome.variance_cut_overall {
                Some(cut) if in_turn.is_some() => format!(", {} in all", times(cut)),
                _ => String::new(),
            },
            outcome.plans.first().map_or("", |p| &p.name)
        ));
    }
}

fn details(out: &mut Lines, scenario: &Scenario, outcome: &CompareOutcome) {
    out.gap();
    out.say_all(how_sure(scenario));
    out.say_all(notes(&scenario.warnings));
    out.gap();
    pairing(out, scenario, outcome);
    if let Some(spread) = &outcome.spread {
        out.gap();
        out.say("Two spreads apart (standard deviation, points of 100):");
        for plan in spread {
            let both = |c: &crate::stats::components::Components| {
                format!(
                    "luck of a summer {:.1}, not knowing the insects {:.1}",
                    c.within.sqrt(),
                    c.between.sqrt()
                )
            };
            let change = plan
                .change
                .as_ref()
                .map_or(String::new(), |c| format!(". Change: {}", both(c)));
            out.say(&format!(
                "- {}: damage: {}{change}.",
                quoted(&plan.name),
                both(&plan.damage)
            ));
        }
        let ceiling = outcome
            .pairing_overall
            .and_then(|now| Some((now, pairing_ceiling(spread, now)?)));
        if let Some((now, ceiling)) = ceiling {
            out.say(&format!(
                "Plans can share their luck, but not what is unknown of a lure that only one of them hangs: the same summers cut the variance of all differences together {} times, and with no luck left in them it would be about {} times.",
                times(now),
                times(ceiling)
            ));
        }
        out.say("More summers shrink neither. Only field work would shrink the second.");
    }
    out.gap();
    out.say(after_plus_minus(outcome.run.summers));
    out.say(&format!(
        "{} summers simulated, shown as 20. Seed {}. A change up to {} in 100 counts as no change.",
        thousands(f64::from(outcome.run.summers)),
        outcome.run.seed,
        scenario.settings.tie_band
    ));
}
