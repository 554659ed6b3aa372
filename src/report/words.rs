//! Sentences that several reports share, wrapping, and names for files.

use crate::catalogue::believe::{Believe, Question, believe};
use crate::catalogue::{Grade, Guild, Mover, Pest, Sourced};
use crate::count::outcome::{RunOutcome, Standing};
use crate::geometry::Point;
use crate::say::{Strings, counted, say, voice};
use crate::scenario::{Owner, Plan, Scenario};
use crate::stats::covariate::Adjusted;
use crate::stats::paired::{Class, Rare, Told};
use crate::stats::quantile::DOTS;
use crate::stats::settle::NEAR;
use crate::stats::words::{
    Change, PAIRS_FOR_A_WORD, Word, change_in_words, listed, tenths, thousands,
};
use crate::study::finding::Finding;

/// Width of the terminal text, characters.
pub const COLUMNS: usize = 80;
/// Distance that counts as near in the trials, metres.
const NEAR_M: f64 = 10.0;

/// What a plan asks of the model.
fn question(scenario: &Scenario, plan: &Plan) -> Question {
    // A trap next door asks the same.
    let traps = &plan.traps;
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

/// Plans that do something, by how sure the biology behind them is.
fn by_belief(scenario: &Scenario) -> Vec<(Believe, String)> {
    let mut groups: Vec<(Believe, Vec<String>)> = Vec::new();
    for plan in scenario.plans.iter().filter(|p| does_something(p)) {
        let (own, name) = (believe_in(scenario, plan), quoted(&plan.name));
        match groups.iter_mut().find(|(known, _)| *known == own) {
            Some((_, names)) => names.push(name),
            None => groups.push((own, vec![name])),
        }
    }
    let joined = groups.into_iter().map(|(own, n)| (own, n.join(", ")));
    joined.collect()
}

/// "How sure are we": for each plan the badge of the question that it asks, with its reason, and the weakest number the
/// answer rests on.
pub fn how_sure(scenario: &Scenario) -> Vec<String> {
    let groups = by_belief(scenario);
    let mut lines = vec![if groups.is_empty() {
        sure_of(&believe(&scenario.pest, Question::NoTrap, []))
    } else {
        say!("sure.title")
    }];
    lines.extend(groups.into_iter().map(|(own, plans)| {
        let (badge, reason) = (own.level.word(), own.reason);
        say!("sure.plans", plans, badge, reason)
    }));
    lines.push(weakest(scenario));
    lines
}

/// As [`how_sure`], of a map.
pub fn how_sure_of_map(scenario: &Scenario) -> Vec<String> {
    let own = believe(&scenario.pest, Question::Map, []);
    vec![sure_of(&own), weakest(scenario)]
}

fn sure_of(own: &Believe) -> String {
    say!("sure.pest", badge = own.level.word(), reason = own.reason)
}

fn weakest(scenario: &Scenario) -> String {
    let rests_on = grade_in_words(weakest_grade(scenario));
    say!("sure.weakest", rests_on)
}

/// The field patterns that the answers lean on, for those who asked for the details.
pub fn leaning(scenario: &Scenario) -> Vec<String> {
    let groups = by_belief(scenario).into_iter();
    let groups = groups.filter(|(own, _)| !own.leans_on.is_empty());
    groups
        .map(|(own, plans)| say!("detail.leans", plans, patterns = own.leans_on.join(", ")))
        .collect()
}

/// What stands behind a run, for those who asked for the details: errors of the means, field patterns, seed.
pub fn behind(scenario: &Scenario, outcome: &RunOutcome) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some((first, others)) = outcome.plans.split_first() {
        lines.extend(others.iter().map(|plan| {
            let means = (first.damage.mean, plan.damage.mean);
            let became = with_error(means.0, means.1, &plan.change, outcome.summers);
            say!("detail.change.plan", named = quoted(&plan.name), became)
        }));
        if !others.is_empty() {
            lines.push(after_plus_minus(outcome.summers).to_owned());
        }
    }
    lines.extend(leaning(scenario));
    lines.push(say!("detail.seed", seed = outcome.seed));
    lines
}

/// A plan's name in quotes.
pub fn quoted(name: &str) -> String {
    format!("\"{name}\"")
}

/// The key for this yard: `key@people` where people at their food are the matter and there is such a text.
pub fn about(scenario: &Scenario, key: &str) -> String {
    scenario.pest.guild.about(key)
}

/// What the counts of a plan say.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The sentence, with its count.
    pub sentence: String,
    /// The verdict word; `None` where it could go either way, lies too near a boundary, or rests on too few summers.
    pub word: Option<Word>,
    /// About summers that the twenty dots do not show.
    pub rare: Option<&'static str>,
}

/// The verdict on a plan against the first plan, which is named where it does something.
///
/// The sentence names its own numbers of 20, or of all summers where there are fewer.
pub fn verdict(scenario: &Scenario, named: &str, finding: &Finding) -> Verdict {
    let count = &finding.count;
    let guild = scenario.pest.guild;
    let (noun, verb) = (guild.damage_noun(), guild.damage_verb());
    let told = count.told();
    let Told {
        more,
        same,
        less,
        of,
    } = told;
    let (class, n) = (count.class(), count.leading());
    let key = match class {
        Class::More => "said.more",
        Class::Less => "said.less",
        Class::NoChange => "said.same",
        Class::EitherWay => "said.either",
    };
    let against = scenario.plans.first().filter(|first| does_something(first));
    let key = against.map_or_else(|| key.to_owned(), |_| format!("{key}.against"));
    let key = counted(&key, of as u64);
    let against = against.map_or_else(String::new, |first| quoted(&first.name));
    let mut sentence = say!(&key, n, of, named, verb, noun, against);
    if told.mostly_same() {
        sentence = format!("{} {sentence}", voice().get("said.mostly-same"));
    }
    if matches!(class, Class::More | Class::Less) && told.never_other_way() {
        // The dots do not show a summer in forty.
        let [up, _, down] = count.of_pairs;
        let key = if up.min(down) == 0 {
            "said.never"
        } else {
            "said.hardly"
        };
        sentence = format!("{sentence} {}", voice().get(key));
    }
    if of > 1 {
        sentence = format!("{sentence} {}", say!("said.split", more, same, less, of));
    }
    let rare = count.rare.filter(|_| of == DOTS).map(|rare| match rare {
        Rare::OtherWay => voice().get("said.rare.other-way"),
        Rare::Differed => voice().get("said.rare.differed"),
    });
    Verdict {
        sentence,
        word: finding
            .word
            .word
            .filter(|_| class != Class::EitherWay && count.pairs >= PAIRS_FOR_A_WORD),
        rare,
    }
}

/// The same in a row, with what else is told between the word and what the counts leave open.
pub fn found(
    scenario: &Scenario,
    named: &str,
    finding: &Finding,
    between: Option<String>,
) -> String {
    let said = verdict(scenario, named, finding);
    let word = said.word.map(|word| format!("[{}]", word.told(voice())));
    let [before, after] = finding.damage.map(|d| d.mean);
    let apart = average_apart(finding.class(), before, after, finding.band);
    let apart = apart.map(|key| voice().get(key));
    let more = said.rare.into_iter().chain(apart).map(str::to_owned);
    let all = [Some(said.sentence), word, between].into_iter().flatten();
    all.chain(more).collect::<Vec<_>>().join(" ")
}

/// Says that a neighbor's trap hangs in all plans but the first, where it does.
pub fn theirs(scenario: &Scenario) -> Option<String> {
    let hangs = |plan: &Plan| plan.traps.iter().any(|t| t.neighbours);
    let (first, others) = scenario.plans.split_first()?;
    let told = !hangs(first) && !others.is_empty() && others.iter().all(hangs);
    told.then(|| say!("said.theirs", named = quoted(&first.name)))
}

/// What to say of a run that more summers could change; `None` for one that is settled.
pub fn still_open(outcome: &RunOutcome) -> Option<String> {
    let standing = outcome.standing();
    let key = match standing {
        Standing::Settled => return None,
        Standing::Preview => "still.preview",
        Standing::Open => "still.open",
    };
    let summers = thousands(f64::from(outcome.summers));
    let key = counted(key, u64::from(outcome.summers));
    let mut said = vec![say!(&key, summers)];
    let open = outcome.plans.iter().filter(|plan| !plan.settled());
    let open: Vec<String> = open.map(|plan| quoted(&plan.name)).collect();
    if !open.is_empty() {
        said.push(say!("still.plans", plans = listed(&open)));
    }
    if standing == Standing::Preview {
        said.push(say!("still.leave-out"));
    }
    Some(said.join(" "))
}

/// How many summers were simulated, how they are shown, and what counts as no change.
pub fn simulated(summers: u32, band: f64) -> String {
    let told = thousands(f64::from(summers));
    if summers as usize >= DOTS {
        say!("files.simulated", summers = told, band)
    } else {
        let key = counted("files.simulated-few", u64::from(summers));
        say!(&key, few = told, band)
    }
}

/// What "give or take" means; `None` where it is not said.
pub fn give_or_take(outcome: &RunOutcome) -> Option<String> {
    let said = outcome.summers > 1 && outcome.plans.len() > 1;
    said.then(|| say!("files.give-or-take"))
}

/// "5.7 -> 11.4 in 100, about twice as much. Give or take 0.4": with two standard errors of the change over so many summers.
pub fn became(finding: &Finding, summers: u32) -> String {
    let [before, after] = finding.damage.map(|d| tenths(d.mean));
    let change = change_in_words(before, after, finding.band);
    let [before, after] = [before, after].map(|v| format!("{v:.1}"));
    if summers < 2 {
        return say!("said.became", before, after, change);
    }
    let off = format!("{:.1}", off(finding.change.error));
    say!("said.became.off", before, after, change, off)
}

/// Two standard errors, rounded up to tenths.
fn off(error: f64) -> f64 {
    (NEAR * error * 10.0 - 1e-9).ceil().max(0.0) / 10.0
}

/// "5.7 -> 11.4 (+5.7 ± 0.4) in 100": two means over so many summers and their difference, with two standard errors of it,
/// rounded up. One summer has no such error.
pub fn with_error(before: f64, after: f64, change: &Adjusted, summers: u32) -> String {
    let off = off(change.error);
    let change = (change.mean * 10.0).round() / 10.0;
    // No sign before a nought.
    let change = if change == 0.0 {
        "0.0".to_owned()
    } else {
        format!("{change:+.1}")
    };
    let key = counted("detail.change", u64::from(summers.max(1)));
    let [before, after, off] = [before, after, off].map(|v| format!("{v:.1}"));
    say!(&key, before, after, change, off)
}

/// Says what stands after "±", or why nothing does.
pub fn after_plus_minus(summers: u32) -> &'static str {
    voice().get(&counted("detail.plus-minus", u64::from(summers.max(1))))
}

/// Key of what to add where the average, as printed, does not go the way of the counts; `None` where it does.
pub fn average_apart(class: Class, before: f64, after: f64, band: f64) -> Option<&'static str> {
    let (before, after) = (tenths(before), tenths(after));
    let same = Change::of(before, after, band).0 == Change::Same;
    let (up, down) = (after > before, after < before);
    match class {
        Class::Less if up => Some("said.average-up"),
        Class::More if down => Some("said.average-down"),
        Class::NoChange if !same && up => Some("said.average-up"),
        Class::NoChange if !same => Some("said.average-down"),
        _ => None,
    }
}

/// A sentence and what may have to follow it.
pub fn followed(said: String, by: Option<&str>) -> String {
    match by {
        Some(by) => [&said, by].join(" "),
        None => said,
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
    voice().get(match grade {
        Grade::Exact => "rests.exact",
        Grade::Published => "rests.published",
        Grade::Secondary => "rests.secondary",
        Grade::Memory => "rests.memory",
        Grade::Assumed => "rests.assumed",
    })
}

/// What is protected, as a thing of the asker's: "your plants", or "your table" where people eat.
pub fn yours(scenario: &Scenario) -> &'static str {
    voice().get(&about(scenario, "sure.yours"))
}

/// Warnings as notes, each once.
pub fn notes<'a>(warnings: impl IntoIterator<Item = &'a String>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for warning in warnings {
        let note = say!("sure.note", warning = warning.trim_end_matches('.'));
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

/// What is usually done about the pest of a yard without a trap, in one sentence's words, less what is left out.
fn without_trap(scenario: &Scenario, s: &Strings, left_out: impl Fn(&str) -> bool) -> String {
    let pest = &scenario.pest;
    let mut mine = scenario.crops.iter().filter(|c| c.owner == Owner::Mine);
    let nothing_covered = mine.all(|crop| pest.leaves_open(&crop.kind));
    let out = |method: &&str| left_out(method) || (*method == "row-cover" && nothing_covered);
    let mm = pest.widest_hole_mm().to_string();
    let kept = practices(pest)
        .iter()
        .filter(|(_, methods)| !methods.iter().any(&out));
    let kept = kept.map(|(key, _)| s.fill(key, &[("mm", &mm)]));
    kept.reduce(|most, last| s.fill("list.or", &[("most", &most), ("last", &last)]))
        .unwrap_or_default()
}

/// What is usually done about the pest of a yard without a trap.
pub fn usual(scenario: &Scenario, s: &Strings) -> String {
    without_trap(scenario, s, |_| false)
}

/// What to do instead of a trap, for this pest, without what a plan of the yard does already; empty when nothing is left.
pub fn instead(scenario: &Scenario, s: &Strings) -> String {
    without_trap(scenario, s, |method| {
        let mut all = scenario.plans.iter().flat_map(|plan| &plan.methods);
        all.any(|m| m.kind.id == method)
    })
}

/// What stands before an answer about a pest of whose numbers none was measured.
pub fn invented(scenario: &Scenario) -> Option<&'static str> {
    (scenario.pest.id == "custom").then(|| voice().get("sure.invented"))
}

/// A date as people say it, without the year: the same time in other years is meant.
pub fn day(s: &Strings, date: &str) -> String {
    let parsed: Result<jiff::civil::Date, _> = date.parse();
    parsed.map_or_else(
        |_| date.to_owned(),
        |d| {
            let month = s.get(&format!("month.{}", d.month()));
            s.fill(
                "handout.day",
                &[("month", month), ("day", &d.day().to_string())],
            )
        },
    )
}

/// What is called a summer: the days that are played.
pub fn period(s: &Strings, scenario: &Scenario) -> String {
    let window = &scenario.window;
    let from = window.first_day.as_ref().map(|first| day(s, first));
    let key = from
        .as_ref()
        .map_or("handout.period", |_| "handout.period.from");
    let (days, from) = (window.days.to_string(), from.unwrap_or_default());
    let gaps = [("days", days.as_str()), ("from", from.as_str())];
    s.fill(&counted(key, u64::from(window.days)), &gaps)
}

/// The line that repeats the result of a manifest, from the folder of the result.
pub fn repeat_line(manifest: &str) -> String {
    ["lurefield check", manifest, "--repeat"].join(" ")
}

/// Says how to repeat the result of a manifest. A result's own files name the folder that they lie in as "this folder":
/// they may be moved, so they name no path. What the program prints names the folder ([`at_folder`]).
pub fn repeat(manifest: &str) -> String {
    let folder = voice().get("files.here");
    say!("files.repeat", folder, command = repeat_line(manifest))
}

/// Says which pictures there are.
pub fn pictures(names: &[String]) -> String {
    let folder = voice().get("files.here");
    say!("files.pictures", folder, names = names.join(", "))
}

/// The text without the numbers behind it, for those who did not ask for them.
pub fn without_details(text: &str) -> String {
    let title = format!("\n\n{}\n", voice().get("detail.title"));
    let (people, rest) = text.split_once(&title).unwrap_or((text, ""));
    let end = if rest.is_empty() { "" } else { "\n" };
    format!("{people}{end}")
}

/// A text of a result for somebody who stands elsewhere: the folder takes the place of "this folder".
pub fn at_folder(text: &str, folder: &str) -> String {
    let here = voice().get("files.here");
    // What stands before a gap at the end of a line.
    let before = |line: String| line.split('\0').next().unwrap_or_default().to_owned();
    let pictures = before(say!("files.pictures", folder = here, names = '\0'));
    let repeat = before(say!("files.repeat", folder = here, command = '\0')) + "lurefield check ";
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
            (Some(names), _) => {
                let there = before(say!("files.pictures", folder, names = '\0'));
                format!("{there}{names}")
            }
            (_, Some(rest)) => {
                let (manifest, options) = rest.split_once(' ').unwrap_or((rest, ""));
                let quote = if folder.contains(' ') { "\"" } else { "" };
                let path = format!("{quote}{folder}/{manifest}{quote}");
                let command = ["lurefield check", &path, options].join(" ");
                say!("files.repeat-from-here", command)
            }
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
    wrapped(text, COLUMNS, [0, indent])
}

/// As [`fold`] for a line that has a margin: it stays, and later lines start two further in.
pub fn fold_in(line: &str) -> Vec<String> {
    let margin = line.len() - line.trim_start().len();
    wrapped(line, COLUMNS, [margin, margin + 2])
}

/// Breaks a name into pieces of at most `width` characters, at spaces where it can; at least one piece.
pub fn fold_to(text: &str, width: usize) -> Vec<String> {
    let mut lines = wrapped(text, width, [0, 0]);
    if lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

fn wrapped(text: &str, width: usize, margins: [usize; 2]) -> Vec<String> {
    let shown = text
        .split_whitespace()
        .map(|word| word.replace(char::is_control, ""));
    let words: Vec<String> = shown.filter(|word| !word.is_empty()).collect();
    if words.is_empty() {
        return Vec::new();
    }
    let [first, later] = margins.map(|n| " ".repeat(n));
    let options = textwrap::Options::new(width)
        .initial_indent(&first)
        .subsequent_indent(&later)
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
        assert!(shown.ends_with("\nEnd.\n") && !shown.contains("this folder"));
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
