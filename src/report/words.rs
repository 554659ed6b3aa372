//! Sentences that several reports share, wrapping, and names for files.

use crate::catalogue::believe::{Believe, Question, believe};
use crate::catalogue::{Grade, Guild, Mover, Pest, Sourced};
use crate::count::outcome::{RunOutcome, Standing};
use crate::geometry::Point;
use crate::say::Strings;
use crate::scenario::{Owner, Plan, Scenario};
use crate::stats::covariate::Adjusted;
use crate::stats::paired::{Class, PairedCount, Rare, never_other_way};
use crate::stats::settle::NEAR;
use crate::stats::words::{PAIRS_FOR_A_WORD, Settled, listed, thousands};

/// Width of the terminal text, characters.
pub const COLUMNS: usize = 80;
/// Stands beside every verdict.
pub const NOT_A_FORECAST: &str = "A simulation, not a forecast for your yard.";
/// Distance that counts as near in the trials, metres.
const NEAR_M: f64 = 10.0;

/// What a plan asks of the model.
fn question(scenario: &Scenario, plan: &Plan) -> Question {
    let traps: Vec<_> = plan.traps.iter().filter(|t| !t.neighbours).collect();
    let near = |at: Point| {
        let mine = |crop: usize| scenario.crops[crop].owner == Owner::Mine;
        let mut plants = scenario.plants.iter().filter(|p| mine(p.crop));
        plants.any(|p| p.at.distance(at) - p.canopy_m <= NEAR_M)
    };
    match traps.len() {
        0 => Question::NoTrap,
        _ if scenario.isolated => Question::Isolated,
        1..=3 if traps.iter().all(|t| near(t.at)) => Question::FewNear,
        _ => Question::OtherTraps,
    }
}

/// How sure the biology behind one plan is.
pub fn believe_in(scenario: &Scenario, plan: &Plan) -> Believe {
    let methods = plan.methods.iter().map(|m| &m.kind);
    believe(&scenario.pest, question(scenario, plan), methods)
}

/// How sure the biology behind a comparison is: that of its least sure plan.
pub fn believe_least(scenario: &Scenario) -> Believe {
    let all = scenario.plans.iter().filter(|p| does_something(p));
    all.map(|plan| believe_in(scenario, plan))
        .min_by_key(|own| own.level)
        .unwrap_or_else(|| believe(&scenario.pest, Question::NoTrap, []))
}

fn does_something(plan: &Plan) -> bool {
    !plan.traps.is_empty() || !plan.methods.is_empty()
}

/// "How sure are we": for each plan the badge of the question that it asks, with its reason and the field patterns that it
/// leans on, and the weakest number the answer rests on.
pub fn how_sure(scenario: &Scenario) -> Vec<String> {
    let mut groups: Vec<(Believe, Vec<String>)> = Vec::new();
    for plan in scenario.plans.iter().filter(|p| does_something(p)) {
        let (own, name) = (believe_in(scenario, plan), format!("\"{}\"", plan.name));
        match groups.iter_mut().find(|(known, _)| *known == own) {
            Some((_, names)) => names.push(name),
            None => groups.push((own, vec![name])),
        }
    }
    let mut lines = vec!["How sure are we?".to_owned()];
    if groups.is_empty() {
        let pest = believe(&scenario.pest, Question::NoTrap, []);
        lines[0] = format!("How sure are we? {} - {}", pest.level.word(), pest.reason);
    }
    lines.extend(groups.into_iter().map(|(own, names)| {
        format!(
            "For {}: {} - {}{}",
            names.join(", "),
            own.level.word(),
            own.reason,
            leans(&own)
        )
    }));
    lines.push(weakest(scenario));
    lines
}

/// As [`how_sure`], of a map.
pub fn how_sure_of_map(scenario: &Scenario) -> Vec<String> {
    let own = believe(&scenario.pest, Question::Map, []);
    vec![
        format!("How sure are we? {} - {}", own.level.word(), own.reason),
        weakest(scenario),
    ]
}

fn leans(own: &Believe) -> String {
    if own.leans_on.is_empty() {
        return String::new();
    }
    format!(
        " Field patterns behind it: {} (see \"lurefield evidence\").",
        own.leans_on.join(", ")
    )
}

fn weakest(scenario: &Scenario) -> String {
    format!(
        "The weakest number this rests on: {}.",
        grade_in_words(weakest_grade(scenario))
    )
}

/// Stands on every output.
pub const LOCAL_CHECK: &str =
    "Check with your local extension office: dates, thresholds and laws differ.";

/// What the counts of a plan say.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The sentence, with its count.
    pub sentence: String,
    /// The verdict word; `None` where it could go either way, lies too near a boundary, or rests on too few summers.
    pub word: Option<&'static str>,
    /// About summers that the twenty dots do not show.
    pub rare: Option<&'static str>,
}

/// The verdict on a plan against the first plan.
///
/// Shape: `count` from [`crate::stats::paired::count`] and `settled` of the same pairs; the sentence names its own numbers of
/// 20, or of all pairs where there are fewer.
pub fn verdict(scenario: &Scenario, plan: &str, count: &PairedCount, settled: &Settled) -> Verdict {
    let (noun, verb) = (
        scenario.pest.guild.damage_noun(),
        scenario.pest.guild.damage_verb(),
    );
    let ([more, same, less], of) = count.told();
    let split = format!("more {more} of {of}, no change {same} of {of}, less {less} of {of}");
    let (class, n) = (count.class(), count.leading());
    let in_n = match of {
        1 => format!("In the one summer simulated, {plan}"),
        _ => format!("In {n} of {of} simulated summers, {plan}"),
    };
    let never = if never_other_way([more, same, less], of) {
        ", and never the other way"
    } else {
        ""
    };
    let sides = |way: &str| format!("{in_n} meant {way} {verb} {noun}{never} ({split}).");
    let sentence = match class {
        Class::NoChange => format!("{in_n} made no change ({split})."),
        Class::More => sides("more"),
        Class::Less => sides("fewer"),
        Class::EitherWay => format!("Could go either way: {plan}, {verb} {noun}: {split}."),
    };
    let rare = count.rare.map(|rare| match rare {
        Rare::OtherWay => "A rare summer went the other way.",
        Rare::Differed => "A rare summer differed.",
    });
    Verdict {
        sentence,
        word: settled
            .word
            .filter(|_| class != Class::EitherWay && count.pairs >= PAIRS_FOR_A_WORD),
        rare,
    }
}

/// What to say of a run that more summers could change; `None` for one that is settled.
pub fn still_open(outcome: &RunOutcome) -> Option<String> {
    let open: Vec<String> = outcome
        .plans
        .iter()
        .filter(|plan| !plan.settled())
        .map(|plan| format!("\"{}\"", plan.name))
        .collect();
    let summers = match outcome.summers {
        1 => "1 summer".into(),
        n => format!("{} summers", thousands(f64::from(n))),
    };
    let what = if open.is_empty() {
        String::new()
    } else {
        format!(
            ": more summers could still move the word or the average of {}",
            listed(&open)
        )
    };
    match outcome.standing() {
        Standing::Settled => None,
        Standing::Preview => Some(format!(
            "This is a preview from {summers}{what}. Leave out --summers to take as many as the answer needs."
        )),
        Standing::Open => Some(format!("Still open after {summers}{what}.")),
    }
}

/// "5.7 -> 11.4 (+5.7 ± 0.4) in 100": two means over so many summers and their difference, with two standard errors of it,
/// rounded up. One summer has no such error.
pub fn with_error(before: f64, after: f64, change: &Adjusted, summers: u32) -> String {
    let off = (NEAR * change.error * 10.0 - 1e-9).ceil().max(0.0) / 10.0;
    let change = (change.mean * 10.0).round() / 10.0;
    // No sign before a nought.
    let sign = if change > 0.0 { "+" } else { "" };
    let off = match summers {
        0 | 1 => String::new(),
        _ => format!(" \u{b1} {off:.1}"),
    };
    format!(
        "{before:.1} -> {after:.1} ({sign}{:.1}{off}) in 100",
        if change == 0.0 { 0.0 } else { change }
    )
}

/// Says what stands after "±", or why nothing does.
pub fn after_plus_minus(summers: u32) -> &'static str {
    match summers {
        0 | 1 => "One summer cannot say how far the average may be off.",
        _ => "After \u{b1}: how far the average may be off, since not all summers can be tried.",
    }
}

/// The weakest grade among the numbers the answer rests on, in words.
pub fn weakest_grade(scenario: &Scenario) -> Grade {
    numbers(scenario)
        .into_iter()
        .map(|(_, n)| n.grade)
        .max()
        .unwrap_or(Grade::Assumed)
}

/// A grade as people read it.
pub fn grade_in_words(grade: Grade) -> &'static str {
    match grade {
        Grade::Exact => "exact",
        Grade::Published => "published",
        Grade::Secondary => "second-hand (a page that quotes the source)",
        Grade::Memory => "from memory",
        Grade::Assumed => "assumed (nobody has measured it; a range is tried)",
    }
}

/// What is protected, as a thing of the asker's: "your plants", or "your table" where people eat.
pub fn yours(scenario: &Scenario) -> &'static str {
    match scenario.pest.guild {
        Guild::Visitor => "your table",
        _ => "your plants",
    }
}

/// Warnings as notes, each once.
pub fn notes<'a>(warnings: impl IntoIterator<Item = &'a String>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for warning in warnings {
        let note = format!("Note: {}.", warning.trim_end_matches('.'));
        if !all.contains(&note) {
            all.push(note);
        }
    }
    all
}

/// Every sourced number of the scenario with its path, in a fixed order.
pub fn numbers(scenario: &Scenario) -> Vec<(String, &Sourced)> {
    use crate::catalogue::{HostValues, LureValues, PestValues, TrapValues};
    let mut all = Vec::new();
    for info in PestValues::TABLE {
        all.extend(
            scenario
                .pest
                .values
                .get(info.key)
                .map(|v| (format!("pest.{}", info.key), v)),
        );
    }
    for (i, lure) in scenario.lures.iter().enumerate() {
        for info in LureValues::TABLE {
            all.extend(
                lure.values
                    .get(info.key)
                    .map(|v| (format!("lures[{i}].{}", info.key), v)),
            );
        }
    }
    for (i, kind) in scenario.trap_kinds.iter().enumerate() {
        for info in TrapValues::TABLE {
            all.extend(
                kind.values
                    .get(info.key)
                    .map(|v| (format!("traps[{i}].{}", info.key), v)),
            );
        }
    }
    for (i, crop) in scenario.crops.iter().enumerate() {
        for info in HostValues::TABLE {
            all.extend(
                crop.host
                    .get(info.key)
                    .map(|v| (format!("crops[{i}].{}", info.key), v)),
            );
        }
    }
    for (i, plan) in scenario.plans.iter().enumerate() {
        for (j, method) in plan.methods.iter().enumerate() {
            let numbers = method.kind.values.iter();
            all.extend(numbers.map(|(key, v)| (format!("plans[{i}].methods[{j}].{key}"), v)));
        }
    }
    all
}

/// What is usually done against a pest without a trap: keys of the texts, each with the methods that are the same thing.
/// Common practice, no source.
fn practices(pest: &Pest) -> &'static [(&'static str, &'static [&'static str])] {
    const FRUIT: (&str, &[&str]) = ("practice.net-fruit", &["row-cover", "fruit-bags"]);
    let by_night = !(4.0..17.0).contains(&pest.activity.start_hour);
    match (pest.mover, pest.guild) {
        (_, Guild::Visitor) => &[("practice.cover-food", &[]), ("practice.clear-plates", &[])],
        (Mover::Crawler, _) if by_night => &[
            ("practice.pick-night", &["hand-removal"]),
            ("practice.boards", &[]),
        ],
        (_, Guild::Chewer) => &[
            ("practice.pick-dusk", &["hand-removal"]),
            ("practice.cover-bed", &["row-cover"]),
        ],
        (_, Guild::Piercer) => &[("practice.pick", &["hand-removal"]), FRUIT],
        (_, Guild::EggLayer) => &[
            ("practice.pick-fruit", &[]),
            ("practice.clear-fruit", &[]),
            FRUIT,
        ],
    }
}

/// What is usually done about a pest without a trap, in one sentence's words, less what is left out.
fn without_trap(pest: &Pest, s: &Strings, left_out: impl Fn(&str) -> bool) -> String {
    let kept = practices(pest)
        .iter()
        .filter(|(_, methods)| !methods.iter().any(|method| left_out(method)));
    kept.map(|(key, _)| s.get(key))
        .collect::<Vec<_>>()
        .join(", or ")
}

/// What is usually done about a pest without a trap.
pub fn usual(pest: &Pest, s: &Strings) -> String {
    without_trap(pest, s, |_| false)
}

/// What to do instead of a trap, for this pest, without what a plan of the yard does already; empty when nothing is left.
pub fn instead(scenario: &Scenario, s: &Strings) -> String {
    without_trap(&scenario.pest, s, |method| {
        let mut all = scenario.plans.iter().flat_map(|plan| &plan.methods);
        all.any(|m| m.kind.id == method)
    })
}

/// The plan that does best without a trap of the asker's: its index among plans with their class and mean damage.
pub fn best_plan(scenario: &Scenario, found: &[(Class, f64)]) -> Option<usize> {
    let hangs = |p: &Plan| p.traps.iter().any(|t| !t.neighbours);
    let plans = scenario.plans.iter().zip(found).enumerate().skip(1);
    plans
        .filter(|(_, (plan, (class, _)))| !hangs(plan) && *class == Class::Less)
        .min_by(|a, b| a.1.1.1.total_cmp(&b.1.1.1))
        .map(|(i, _)| i)
}

/// What stands before an answer about a pest of whose numbers none was measured.
pub fn invented(scenario: &Scenario) -> Option<&'static str> {
    (scenario.pest.id == "custom").then_some(
        "LOW trust: nothing was measured for this pest. All its numbers are wide guesses.",
    )
}

/// How a result's own files name the folder that they lie in: they may be moved, so they name no path. What the program
/// prints names the folder ([`at_folder`]).
const HERE: &str = "this folder";

/// The line that repeats the result of a manifest, from the folder of the result.
pub fn repeat_line(manifest: &str) -> String {
    format!("lurefield check {manifest} --repeat")
}

/// Says how to repeat the result of a manifest.
pub fn repeat(manifest: &str) -> String {
    format!("Repeat, in {HERE}: {}", repeat_line(manifest))
}

/// Says which pictures there are.
pub fn pictures(names: &[String]) -> String {
    format!("Pictures in {HERE}: {}.", names.join(", "))
}

/// A text of a result for somebody who stands elsewhere: the folder takes the place of "this folder".
pub fn at_folder(text: &str, folder: &str) -> String {
    let pictures = format!("Pictures in {HERE}: ");
    let repeat = format!("Repeat, in {HERE}: lurefield check ");
    let mut lines = Vec::new();
    let mut old = text.lines().peekable();
    while let Some(line) = old.next() {
        let mut told = line.to_owned();
        if !(told.starts_with(&pictures) || told.starts_with(&repeat)) {
            lines.push(told);
            continue;
        }
        // The lines that a paragraph was folded into.
        while let Some(more) = old.next_if(|next| next.starts_with("  ")) {
            told.push(' ');
            told.push_str(more.trim_start());
        }
        let shown = match (told.strip_prefix(&pictures), told.strip_prefix(&repeat)) {
            (Some(names), _) => format!("Pictures in {folder}: {names}"),
            (_, Some(rest)) if folder.contains(' ') => {
                let (manifest, options) = rest.split_once(' ').unwrap_or((rest, ""));
                format!("Repeat: lurefield check \"{folder}/{manifest}\" {options}")
            }
            (_, Some(rest)) => format!("Repeat: lurefield check {folder}/{rest}"),
            _ => told,
        };
        lines.extend(fold(&shown, 2));
    }
    lines.join("\n") + "\n"
}

/// Breaks a paragraph into lines of at most [`COLUMNS`] characters; later lines start with `indent` spaces.
///
/// A word longer than a line is broken, so that no line is ever wider.
pub fn fold(text: &str, indent: usize) -> Vec<String> {
    wrapped(text, COLUMNS, &" ".repeat(indent))
}

/// Breaks a name into pieces of at most `width` characters, at spaces where it can; at least one piece.
pub fn fold_to(text: &str, width: usize) -> Vec<String> {
    let mut lines = wrapped(text, width, "");
    if lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

fn wrapped(text: &str, width: usize, indent: &str) -> Vec<String> {
    let shown = text
        .split_whitespace()
        .map(|word| word.replace(char::is_control, ""));
    let words: Vec<String> = shown.filter(|word| !word.is_empty()).collect();
    if words.is_empty() {
        return Vec::new();
    }
    let options = textwrap::Options::new(width)
        .subsequent_indent(indent)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    let text = words.join(" ");
    let lines = textwrap::wrap(&text, options).into_iter();
    lines.map(Into::into).collect()
}

/// A name for a file: lower-case letters, digits and single hyphens; "plan" when nothing is left.
pub fn slug(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars().take(60) {
        if c.is_ascii_alphanumeric() {
            out.push(c.to_ascii_lowercase());
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-');
    if out.is_empty() {
        "plan".into()
    } else {
        out.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folded_lines_never_pass_80_columns_and_keep_every_letter() {
        let text = format!("{} {} end", "word ".repeat(40), "x".repeat(200));
        let lines = fold(&text, 4);
        assert!(lines.iter().all(|l| l.chars().count() <= COLUMNS));
        let letters = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        assert_eq!(letters(&lines.concat()), letters(&text));
    }

    #[test]
    fn a_text_names_the_folder_it_is_shown_from() {
        let names: Vec<String> = (0..9).map(|i| format!("picture-number-{i}.png")).collect();
        let mut text = fold(&pictures(&names), 2).join("\n");
        text.push_str("\n\n");
        text.push_str(&fold(&repeat("manifest.json"), 2).join("\n"));
        text.push_str("\nEnd.\n");
        let shown = at_folder(&text, "some/where");
        assert!(shown.starts_with("Pictures in some/where: picture-number-0.png"));
        assert!(shown.contains("\n\nRepeat: lurefield check some/where/manifest.json --repeat\n"));
        assert!(shown.ends_with("\nEnd.\n") && !shown.contains(HERE));
        let spaced = at_folder(&text, "some where");
        assert!(spaced.contains("lurefield check \"some where/manifest.json\" --repeat"));
        assert_eq!(at_folder("Nothing.\n", "some/where"), "Nothing.\n");
    }

    #[test]
    fn file_names_are_safe() {
        assert_eq!(slug("Trap 10 ft / from ../roses"), "trap-10-ft-from-roses");
        assert_eq!(slug("<>"), "plan");
    }

    #[test]
    fn one_summer_claims_no_error() {
        let told =
            |values: &[f64]| with_error(2.0, 3.0, &Adjusted::plain(values), values.len() as u32);
        assert_eq!(told(&[1.0]), "2.0 -> 3.0 (+1.0) in 100");
        // Standard error 1, so twice that.
        assert_eq!(told(&[0.0, 2.0]), "2.0 -> 3.0 (+1.0 \u{b1} 2.0) in 100");
        assert!(!after_plus_minus(1).contains('\u{b1}'));
    }
}
