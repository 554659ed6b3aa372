//! Sentences that several reports share, wrapping, and names for files.

use crate::catalogue::believe::{Believe, Question, believe};
use crate::catalogue::{Grade, Guild, Mover, Sourced};
use crate::geometry::Point;
use crate::scenario::{Owner, Plan, Scenario};
use crate::stats::covariate::Adjusted;
use crate::stats::paired::{Class, MOST_DOTS, PairedCount, Rare};
use crate::stats::settle::NEAR;
use crate::stats::words::{PAIRS_FOR_A_WORD, Settled, listed, thousands};
use crate::tally::outcome::{RunOutcome, Standing};

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
    /// The verdict word, or why there is none; `None` where it could go either way or when there are too few summers.
    pub word: Option<&'static str>,
    /// About summers that the twenty dots do not show.
    pub rare: Option<&'static str>,
}

/// The verdict on a plan against the first plan.
///
/// Shape: `count` from [`crate::stats::paired::count`] and `settled` of the same pairs; the sentence names its own numbers of
/// 20.
pub fn verdict(scenario: &Scenario, plan: &str, count: &PairedCount, settled: &Settled) -> Verdict {
    let (noun, verb) = (
        scenario.pest.guild.damage_noun(),
        scenario.pest.guild.damage_verb(),
    );
    let split = format!(
        "more {} of 20, no change {} of 20, less {} of 20",
        count.more, count.no_change, count.less
    );
    let (class, n) = (count.class(), count.leading());
    let of_20 = format!("In {n} of 20 simulated summers, {plan}");
    let sides = |way: &str, other: usize| {
        let never = if n < MOST_DOTS && other == 0 {
            ", and never the other way"
        } else {
            ""
        };
        format!("{of_20} meant {way} {verb} {noun}{never} ({split}).")
    };
    let sentence = match class {
        Class::NoChange => format!("{of_20} made no change ({split})."),
        Class::More => sides("more", count.less),
        Class::Less => sides("fewer", count.more),
        Class::EitherWay => format!("Could go either way: {plan}, {verb} {noun}: {split}."),
    };
    let word = (class != Class::EitherWay).then(|| {
        settled
            .word
            .unwrap_or("too near a boundary of the scale for a word")
    });
    let rare = count.rare.map(|rare| match rare {
        Rare::OtherWay => "A rare summer went the other way.",
        Rare::Differed => "A rare summer differed.",
    });
    Verdict {
        sentence,
        word: word.filter(|_| count.pairs >= PAIRS_FOR_A_WORD),
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

/// What to do instead of a trap, for this pest. Common practice, no source.
pub fn instead(scenario: &Scenario) -> &'static str {
    match (scenario.pest.mover, scenario.pest.guild) {
        (_, Guild::Visitor) => "cover food and drink, and clear plates at once.",
        (Mover::Crawler, _) => {
            "pick by hand after dark, or lift boards and collect what hides there."
        }
        (Mover::Flyer, Guild::Chewer) => {
            "pick by hand at dusk into soapy water. Or cover the bed with wildlife-safe mesh (5 mm or less)."
        }
        (Mover::Flyer, Guild::Piercer) => {
            "pick by hand. Or cover the fruit with bags or wildlife-safe mesh (5 mm or less)."
        }
        (Mover::Flyer, Guild::EggLayer) => {
            "pick ripe fruit often, and clear fallen fruit. Or use bags or wildlife-safe mesh (5 mm or less)."
        }
    }
}

/// Cautions of a run, each a line of its own.
pub fn cautions(scenario: &Scenario) -> Vec<String> {
    crate::report::cautions::told(scenario)
}

/// The line that repeats the result.
pub fn repeat_line(scenario: &Scenario) -> String {
    format!(
        "lurefield check output/{}/manifest.json --repeat",
        scenario.name
    )
}

/// Breaks a paragraph into lines of at most [`COLUMNS`] characters; later lines start with `indent` spaces.
///
/// A word longer than a line is broken, so that no line is ever wider.
pub fn fold(text: &str, indent: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut length = 0;
    for word in text.split_whitespace() {
        let mut rest: Vec<char> = word.chars().filter(|c| !c.is_control()).collect();
        let gap = usize::from(length > 0 && !line.ends_with(' '));
        if length > 0 && length + gap + rest.len() > COLUMNS {
            lines.push(std::mem::take(&mut line));
            line = " ".repeat(indent);
            length = indent;
        } else if gap > 0 {
            line.push(' ');
            length += 1;
        }
        while length + rest.len() > COLUMNS {
            let tail = rest.split_off(COLUMNS - length);
            line.extend(rest);
            lines.push(std::mem::take(&mut line));
            line = " ".repeat(indent);
            length = indent;
            rest = tail;
        }
        length += rest.len();
        line.extend(rest);
    }
    if !line.trim().is_empty() {
        lines.push(line);
    }
    lines
}

/// Breaks a name into pieces of at most `width` characters, at spaces where it can; at least one piece.
///
/// # Panics
/// Never: there is always a piece.
pub fn fold_to(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let mut rest: Vec<char> = word.chars().filter(|c| !c.is_control()).collect();
        loop {
            let line = lines.last_mut().expect("starts with one and never shrinks");
            let used = line.chars().count();
            let gap = usize::from(used > 0);
            if used + gap + rest.len() <= width {
                line.extend(std::iter::repeat_n(' ', gap));
                line.extend(rest);
                break;
            }
            if used == 0 {
                let tail = rest.split_off(width);
                line.extend(rest);
                rest = tail;
            }
            lines.push(String::new());
        }
    }
    lines
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
