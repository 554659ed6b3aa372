//! The paragraph for the help desk: plain text of a set length to paste into a reply.
//!
//! Each sentence has a rank and shorter forms. Where all are too many words, the sentence of the least rank takes its next
//! form, and so on until the words fit; no sentence is cut.

use crate::report::cautions;
use crate::report::products::results::Count;
use crate::report::products::story::{Story, filled, number};
use crate::report::products::{Files, clean};
use crate::report::words::followed;
use crate::say::LANGUAGES;
use crate::study::finding::Better;

/// Fewest words.
const FEWEST: usize = 90;
/// Most words in English.
const MOST: usize = 130;
/// Most words in any other language: the same takes more of them.
const MOST_TRANSLATED: usize = 150;
/// Words of a plan's name where there is no room for more.
const NAME_WORDS: usize = 5;

pub(super) fn files(story: &Story) -> Files {
    vec![("help-desk.txt".into(), paragraph(story).into_bytes())]
}

/// What gives way first, from the first to the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Spillover,
    Usual,
    Sure,
    BestCounts,
    Catch,
    Damage,
    Preview,
    Best,
    Caution,
    Split,
    Reason,
    Must,
}

/// A sentence in its forms, the longest first; an empty one leaves it out.
struct Part {
    rank: Rank,
    forms: Vec<String>,
}

fn words(text: &str) -> usize {
    text.split_whitespace().count()
}

impl Part {
    fn new(rank: Rank, forms: impl IntoIterator<Item = String>) -> Part {
        let forms = forms.into_iter().collect();
        Part { rank, forms }
    }

    fn text(&self) -> &str {
        self.forms.first().map_or("", |form| form)
    }
}

/// Bottom line, numbers, distance, reason, the best plan, how sure, cautions; one line, so that a mail program folds it.
pub(super) fn paragraph(story: &Story) -> String {
    let english = story.s.get("language") == LANGUAGES[0].0;
    let most = if english { MOST } else { MOST_TRANSLATED };
    let mut parts = parts(story);
    let numbers = parts.len();
    parts.extend(cautions_of(story));
    let mark = story.s.mark().map(str::to_owned);
    parts.extend(mark.map(|mark| Part::new(Rank::Must, [mark])));
    while words(&said(&parts)) > most {
        // Of one rank the last gives way first.
        let able = parts.iter_mut().rev().filter(|p| p.forms.len() > 1);
        let Some(part) = able.min_by_key(|p| p.rank) else {
            break;
        };
        part.forms.remove(0);
    }
    for more in fillers(story) {
        if words(&said(&parts)) < FEWEST {
            parts.insert(numbers, Part::new(Rank::Must, [more]));
        }
    }
    clean(&said(&parts)) + "\n"
}

/// All parts in one line, each sentence once.
fn said(parts: &[Part]) -> String {
    let mut said: Vec<&str> = Vec::new();
    for text in parts.iter().map(Part::text) {
        if !text.is_empty() && !said.contains(&text) {
            said.push(text);
        }
    }
    said.join(" ")
}

/// All but the cautions.
fn parts(story: &Story) -> Vec<Part> {
    let s = story.s;
    let word = story.word().map(|word| format!(" [{word}]"));
    let word = word.unwrap_or_default();
    let short = story.verdict_on(story.it(story.plan()));
    let forms = [story.verdict() + &word, short + &word];
    let mut all = vec![Part::new(Rank::Reason, forms)];
    if story.preview() {
        let keys = ["help.preview.more", "help.preview"];
        all.push(Part::new(Rank::Preview, keys.map(|k| s.get(k).to_owned())));
    }
    // Where one side is empty the verdict has said both counts.
    let open = |c: &&Count| !c.told.never_other_way();
    if let Some(count) = story.plan().count.as_ref().filter(open) {
        let split = filled(s, "help.split", count.told, &[]);
        all.push(Part::new(Rank::Split, [split, String::new()]));
    }
    all.extend(story.distance().map(|d| Part::new(Rank::Must, [d])));
    if let Some(damage) = story.damage() {
        let values = [
            ("state", story.state()),
            ("before", &number(story.first().damage) as &str),
            ("after", &number(story.plan().damage)),
        ];
        let short = s.fill("help.damage", &values);
        let theirs = story.with_theirs_alone();
        let forms = [damage, followed(short, theirs.as_deref())];
        all.push(Part::new(Rank::Damage, forms));
    }
    let catch = story.catch().map(|catch| [catch, String::new()]);
    all.extend(catch.map(|forms| Part::new(Rank::Catch, forms)));
    let reasons = ["why.counts", "help.why"].map(|key| story.reason(key));
    if reasons[0].is_some() {
        all.push(Part::new(Rank::Reason, reasons.into_iter().flatten()));
    }
    let lean = story.lean().map(|line| [line, String::new()]);
    all.extend(lean.map(|forms| Part::new(Rank::Spillover, forms)));
    let elsewhere = story.elsewhere().into_iter();
    all.extend(elsewhere.map(|said| Part::new(Rank::Best, [said, String::new()])));
    all.extend(best(story));
    let counts = story.better().and_then(|Better { plan: i, .. }| {
        let count = story.yard.plans[i].count.as_ref()?;
        let counts = filled(s, "help.best.counts", count.told, &[]);
        Some([counts, String::new()])
    });
    all.extend(counts.map(|forms| Part::new(Rank::BestCounts, forms)));
    let usual = story.usual().map(|usual| [usual, String::new()]);
    all.extend(usual.map(|forms| Part::new(Rank::Usual, forms)));
    let sure = s.fill("help.sure.why", &[("badge", story.sure())]);
    let short = s.fill("help.sure", &[("level", story.level().word())]);
    all.push(Part::new(Rank::Sure, [sure, short]));
    all
}

/// The best plan with its numbers, or that no other plan leaves less; `None` for a single plan.
fn best(story: &Story) -> Option<Part> {
    let s = story.s;
    let plans = &story.yard.plans;
    if plans.len() < 2 {
        return None;
    }
    let Some(Better { plan: best, .. }) = story.better() else {
        let tenths = |i: &usize| (10.0 * plans[*i].damage).round() as i64;
        // Of equal ones the plan of the reply goes first, then the first plan.
        let least = std::iter::once(story.headline)
            .chain(0..plans.len())
            .min_by_key(tenths)?;
        let key = match least {
            i if i == story.headline => "help.best.this",
            0 => "help.best.first",
            _ => "help.best.other",
        };
        let say = |name: &str| {
            let after = number(plans[least].damage);
            s.fill(key, &[("plan", name), ("after", &after)])
        };
        let name = &plans[least].name;
        return Some(Part::new(Rank::Best, [say(name), say(&shortened(name))]));
    };
    let plan = &plans[best];
    let said = story.instead_best()?;
    let shorter = said.replacen(&plan.name, &shortened(&plan.name), 1);
    Some(Part::new(Rank::Best, [said, shorter]))
}

/// The first words of a name that is long.
fn shortened(name: &str) -> String {
    let all: Vec<&str> = name.split_whitespace().collect();
    match all.get(..NAME_WORDS) {
        Some(first) if all.len() > NAME_WORDS => first.join(" ") + "...",
        _ => name.to_owned(),
    }
}

/// Cautions of what the plan of the reply and the better one hold: the reply names both.
fn cautions_of(story: &Story) -> Vec<Part> {
    let s = story.s;
    let scenario = &story.yard.scenario;
    let name = |i: usize| story.yard.plans[i].name.as_str();
    let named = [Some(story.headline), story.better().map(|b| b.plan)].map(|i| i.map(name));
    let about = scenario.plans.iter();
    let about = about.filter(|p| named.contains(&Some(p.name.as_str())));
    let held = cautions::by_length(s, scenario, about);
    let always = Part::new(Rank::Must, [cautions::always(s)]);
    let held = held.into_iter();
    let held = held.map(|forms| Part::new(Rank::Caution, forms));
    std::iter::once(always).chain(held).collect()
}

/// What may be added to a text of few words, the most useful first.
fn fillers(story: &Story) -> [String; 4] {
    let s = story.s;
    let band = story.yard.tie_band.to_string();
    [
        s.get("help.look").into(),
        story.weakest(),
        s.fill("footer.band", &[("band", &band)]),
        s.get("caution.names").into(),
    ]
}
