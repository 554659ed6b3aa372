//! Terminal text of a run: sentence, damage with the catch beside it, pictures, reason, what else, caution, details.

use crate::count::outcome::{PlanOutcome, RunOutcome, Standing};
use crate::report::cautions;
use crate::report::lines::Lines;
use crate::report::words::{
    after_plus_minus, best_plan, fold, how_sure, instead, invented, notes, repeat, still_open,
    verdict, with_error,
};
use crate::say::voice;
use crate::scenario::Scenario;
use crate::stats::paired::{self, Class, PairedCount};
use crate::stats::spread::{mean, of_100};
use crate::stats::words::{change_in_words, in_print, tenths, thousands};
use std::fmt::Write as _;

/// The text, lines of at most 80 columns, ending with the repeat line.
///
/// Shape: `pictures` are file names inside the output folder, may be empty.
pub fn run(scenario: &Scenario, outcome: &RunOutcome, pictures: &[String]) -> String {
    let mut out = Lines::default();
    let counts = counts(scenario, outcome);
    if let Some(warning) = invented(scenario) {
        out.say(warning);
    }
    sentences(&mut out, scenario, outcome, &counts);
    damage(&mut out, scenario, outcome);
    if !pictures.is_empty() {
        out.gap();
        out.say(&super::words::pictures(pictures));
    }
    answers(&mut out, scenario, outcome);
    let hangs = |i: usize| scenario.plans[i + 1].traps.iter().any(|t| !t.neighbours);
    let mut each = counts.iter().enumerate();
    if each.any(|(i, c)| hangs(i) && c.class() != Class::Less) {
        better(&mut out, scenario, outcome, &counts);
    }
    out.gap();
    out.say_all(cautions::told(scenario));
    out.gap();
    out.say_all(how_sure(scenario));
    out.say_all(notes(scenario.warnings.iter().chain(&outcome.warnings)));
    out.gap();
    out.say(&format!(
        "{} summers simulated, shown as 20. Seed {}. A change under {} in 100 counts as no change.",
        thousands(f64::from(outcome.summers)),
        outcome.seed,
        scenario.settings.tie_band
    ));
    if outcome.plans.len() > 1 {
        out.say(after_plus_minus(outcome.summers));
    }
    out.say(&repeat("manifest.json"));
    out.text()
}

/// The best plan without a trap, and what is usually done besides.
fn better(out: &mut Lines, scenario: &Scenario, outcome: &RunOutcome, counts: &[PairedCount]) {
    let classes = std::iter::once(Class::NoChange).chain(counts.iter().map(PairedCount::class));
    let means = outcome.plans.iter().map(|p| p.damage.mean);
    let found: Vec<(Class, f64)> = classes.zip(means).collect();
    let usual = instead(scenario, voice());
    match best_plan(scenario, &found) {
        Some(best) => out.say(&format!(
            "Better here: {}. It leaves {:.1} of 100 {} {}.",
            quoted(&scenario.plans[best].name),
            found[best].1,
            scenario.pest.guild.damage_noun(),
            scenario.pest.guild.damage_verb()
        )),
        None if usual.is_empty() => {}
        None => out.say(&format!("Instead: {usual}.")),
    }
}

/// The leaf area eaten under each plan; `None` where fruit is counted.
pub(super) fn eaten(outcome: &RunOutcome) -> Option<String> {
    let each: Option<Vec<String>> = outcome
        .plans
        .iter()
        .map(|plan| {
            let share = plan.eaten?;
            Some(format!("{:.1} ({})", share, plan.name))
        })
        .collect();
    Some(format!(
        "Leaf area eaten, of 100: {}. A leaf counts as chewed long before it is gone.",
        each?.join(", ")
    ))
}

/// Counts of every plan but the first, in the order of the plans; the same numbers as the picture of differences.
pub fn counts(scenario: &Scenario, outcome: &RunOutcome) -> Vec<PairedCount> {
    let series: Vec<&[f64]> = outcome
        .plans
        .iter()
        .map(|p| p.damage_by_summer.as_slice())
        .collect();
    paired::against_first(&series, scenario.settings.tie_band)
}

fn sentences(out: &mut Lines, scenario: &Scenario, outcome: &RunOutcome, counts: &[PairedCount]) {
    let (noun, verb) = (
        scenario.pest.guild.damage_noun(),
        scenario.pest.guild.damage_verb(),
    );
    if counts.is_empty() {
        if let Some(only) = outcome.plans.first() {
            let shown = in_print(only.damage.mean);
            out.say(&format!(
                "{}: on average {shown} of 100 {noun} {verb}. Add a plan to compare.",
                quoted(&only.name)
            ));
        }
        return;
    }
    for (plan, count) in outcome.plans.iter().skip(1).zip(counts) {
        let verdict = verdict(scenario, &quoted(&plan.name), count, &plan.word);
        let mut text = verdict.sentence;
        if let Some(word) = verdict.word {
            let _ = write!(text, " [{word}]");
        }
        if outcome.standing() == Standing::Preview {
            text.push_str(" [preview]");
        }
        if let Some(rare) = verdict.rare {
            text.push(' ');
            text.push_str(rare);
        }
        out.say(&text);
    }
    let first = outcome.plans.first().map_or("", |p| p.name.as_str());
    out.say(&format!(
        "Each plan is set against {} on the same summers.",
        quoted(first)
    ));
    if let Some(open) = still_open(outcome) {
        out.say(&open);
    }
}

fn damage(out: &mut Lines, scenario: &Scenario, outcome: &RunOutcome) {
    let (noun, verb) = (
        scenario.pest.guild.damage_noun(),
        scenario.pest.guild.damage_verb(),
    );
    let short = &scenario.pest.short;
    out.gap();
    out.say(&format!(
        "Damage, with the catch beside it (average of {} summers):",
        thousands(f64::from(outcome.summers))
    ));
    let widest = outcome
        .plans
        .iter()
        .map(|p| p.name.chars().count())
        .max()
        .unwrap_or(0)
        .min(28);
    let first = outcome.plans.first().map_or(0.0, |p| p.damage.mean);
    for (i, plan) in outcome.plans.iter().enumerate() {
        let value = plan.damage.mean;
        let number = in_print(value);
        let taken = taken(
            plan,
            outcome.summers,
            short,
            scenario.plans[i].traps.is_empty(),
        );
        if plan.name.chars().count() > widest {
            for piece in super::words::fold_to(&plan.name, 76) {
                out.0.push(format!("  {piece}"));
            }
            out.0.push(format!(
                "  {:widest$}  {number:>7} of 100 {noun} {verb}{taken}",
                ""
            ));
        } else {
            out.0.push(format!(
                "  {:widest$}  {number:>7} of 100 {noun} {verb}{taken}",
                plan.name
            ));
        }
        if i > 0 {
            let change = format!(
                "{}, {}",
                with_error(first, value, &plan.change, outcome.summers),
                change_in_words(tenths(first), tenths(value), scenario.settings.tie_band)
            );
            out.0.push(format!("      {change}"));
        }
    }
    if let Some(line) = eaten(outcome) {
        out.say(&line);
    }
    // A long name of a pest may still pass the edge.
    out.0 = std::mem::take(&mut out.0)
        .into_iter()
        .flat_map(|l| {
            if l.chars().count() > 80 {
                fold(&l, 4)
            } else {
                vec![l]
            }
        })
        .collect();
}

fn answers(out: &mut Lines, scenario: &Scenario, outcome: &RunOutcome) {
    let target = scenario.pest.guild.target_noun();
    let short = &scenario.pest.short;
    let answered: Vec<&PlanOutcome> = outcome
        .plans
        .iter()
        .filter(|p| p.answers.answered > 0)
        .collect();
    if answered.is_empty() {
        return;
    }
    out.gap();
    out.say(&format!(
        "Why: of every 100 times {short} answered the lure:"
    ));
    for plan in &answered {
        let a = &plan.answers;
        let parts = of_100(&[a.caught, a.landed_on_plant, a.went_away, a.unfinished]);
        let mut text = format!(
            "- {}: {} ended in the trap, {} on a {target}, {} went away",
            quoted(&plan.name),
            parts[0],
            parts[1],
            parts[2]
        );
        if parts[3] > 0 {
            let _ = write!(text, ", {} did none of these", parts[3]);
        }
        text.push('.');
        if parts[1] > parts[0] {
            let _ = write!(text, " More landed on {target}s than in the trap.");
        }
        out.say(&text);
    }
}

/// What became of insects under a plan: "; 109 beetles caught, 3 picked"; empty where nothing was taken.
fn taken(plan: &PlanOutcome, summers: u32, short: &str, no_trap: bool) -> String {
    let n = f64::from(summers.max(1));
    let (removed, killed) = (
        plan.insects.removed as f64 / n,
        plan.insects.killed as f64 / n,
    );
    let mut parts = Vec::new();
    if !no_trap {
        parts.push((catch(plan), "caught"));
    }
    if removed > 0.0 {
        parts.push((removed, "picked"));
    }
    if killed > 0.0 {
        parts.push((killed, "killed"));
    }
    let told = parts.iter().enumerate().map(|(i, (count, how))| {
        let count = if *count > 0.0 && *count < 0.5 {
            "under 1".to_owned()
        } else {
            thousands(*count)
        };
        if i == 0 {
            format!("; {count} {short} {how}")
        } else {
            format!(", {count} {how}")
        }
    });
    told.collect()
}

fn catch(plan: &PlanOutcome) -> f64 {
    mean(
        &plan
            .caught_by_summer
            .iter()
            .map(|c| *c as f64)
            .collect::<Vec<_>>(),
    )
}

fn quoted(name: &str) -> String {
    format!("\"{name}\"")
}
