//! Random findings: whatever a run or a comparison brings, every page, slide, caption and text alternative says what its
//! numbers bear, in every language.
//!
//! The findings are invented. A product is read back through the catalogue: which of its sentences stand there, and with
//! what in their gaps. Each rule judges those sentences against the counts.

use crate::findings::{NAMES, comparison, flat, number, outcome, pick};
use crate::fixture::Stream;
use crate::markup::plain;
use crate::play_findings::{Sheets, has, one_summer, own, paper_game, poll, sheets, summer, table};
use crate::products::{MADE, folder_of, is, request, shipped_text};
use lurefield::catalogue::{Guild, Mover};
use lurefield::count::one_summer::OneSummer;
use lurefield::count::outcome::RunOutcome;
use lurefield::report::compare_data;
use lurefield::report::products::game::{self, Expected, Rules};
use lurefield::report::products::results::{
    Placement, Plan, Repeat, Results, Sweep, SweepPoint, Yard, read,
};
use lurefield::report::products::story::Story;
use lurefield::report::products::{Product, Request, build, slides, summer as moving};
use lurefield::report::words::repeat_line;
use lurefield::say::{LANGUAGES, Strings};
use lurefield::scenario::Scenario;
use lurefield::stats::paired::Class;
use lurefield::stats::words::{in_print, printed, tenths, thousands};
use lurefield::study::finding::Ended;
use std::collections::{BTreeMap, BTreeSet};

/// Findings that are tried, each in every language.
const TRIES: u64 = 400;
/// What a yard answers to the first question of a poll.
const ANSWERED: [&str; 3] = ["poll.right.1", "poll.right.1.yes", "poll.right.1.open"];
const YARDS: [&str; 6] = [
    "allotment-beetles.json",
    "backyard-pears-stink-bug.json",
    "dozen-apples-codling-moth.json",
    "patio-wasps.json",
    "street-of-five.json",
    "strawberry-slugs.json",
];

/// A shipped yard with two to six plans of traps and methods, as text.
fn yard(luck: &mut Stream) -> (String, Scenario) {
    let text = shipped_text(pick(luck, &YARDS));
    let mut yard: serde_json::Value = serde_json::from_str(&text).unwrap();
    let shipped = yard["plans"].as_array().unwrap().clone();
    let trapped: Vec<&serde_json::Value> = shipped
        .iter()
        .filter(|p| p["traps"].as_array().is_some_and(|t| !t.is_empty()))
        .collect();
    let n = 2 + (luck.next() * 5.0) as usize;
    let plans = (0..n).map(|i| {
        let mut plan = serde_json::json!({});
        if i > 0 && luck.next() < 0.6 {
            plan = trapped[(luck.next() * trapped.len() as f64) as usize].clone();
        }
        plan["name"] = NAMES[i].into();
        let mut methods = Vec::new();
        for method in ["hand-removal", "row-cover"] {
            if i > 0 && luck.next() < 0.35 {
                methods.push(serde_json::json!({ "method": method }));
            }
        }
        if !methods.is_empty() {
            plan["methods"] = methods.into();
        }
        plan
    });
    yard["plans"] = plans.collect::<Vec<_>>().into();
    let checked = |yard: &serde_json::Value| {
        let text = yard.to_string();
        let scenario = lurefield::scenario::read(&text, "yard.json", &|_| Err(String::new()));
        scenario.map(|scenario| (text, scenario))
    };
    checked(&yard).unwrap_or_else(|_| {
        // A table takes no net, and nobody picks wasps by hand.
        for plan in yard["plans"].as_array_mut().unwrap() {
            plan.as_object_mut().unwrap().remove("methods");
        }
        checked(&yard).unwrap_or_else(|faults| panic!("{}", faults[0]))
    })
}

/// Distances of a search, of any damage.
fn placement(scenario: &Scenario, luck: &mut Stream) -> Placement {
    let points = (0..2 + (luck.next() * 8.0) as usize).map(|i| {
        let more = (luck.next() * 21.0) as usize;
        let less = ((luck.next() * 21.0) as usize).min(20 - more);
        SweepPoint {
            label: format!("{} ft", 10 * (i + 1)),
            damage_mean: 12.0 + (more as f64 - less as f64) * luck.next(),
            counts: [more, 20 - more - less, less],
            caught_mean: pick(luck, &[0.0, 12.0, 1234.0]),
        }
    });
    Placement {
        scenario: scenario.name.clone(),
        sweeps: vec![Sweep {
            name: "distance".into(),
            damage_without: 12.0,
            points: points.collect(),
        }],
    }
}

/// What is true of a finding, worked out from its numbers.
pub(crate) struct Facts<'a> {
    pub(crate) s: &'a Strings,
    pub(crate) yard: &'a Yard,
    pub(crate) scenario: &'a Scenario,
    headline: usize,
    /// Index of the best plan without a trap, and whether no plan leaves less.
    best: Option<(usize, bool)>,
    sweep: Option<&'a Sweep>,
    /// The summer that was recorded with the plan, where an insect came near.
    pub(crate) one: Option<&'a OneSummer>,
    pub(crate) sheets: &'a Sheets,
    /// The paper game for this yard, and what many throws of it come to.
    pub(crate) game: Option<(Rules, Expected)>,
    repeat: String,
}

impl Facts<'_> {
    pub(crate) fn plan(&self) -> &Plan {
        &self.yard.plans[self.headline]
    }

    /// What a text calls the plan.
    pub(crate) fn it(&self) -> &str {
        let plan = self.plan();
        self.s.get(match (plan.only_traps, plan.traps) {
            (true, 1) => "it.trap",
            (true, 2..) => "it.traps",
            _ => "it.plan",
        })
    }

    /// The best plan where it is another one, and better by more than counts as no change.
    fn better(&self) -> Option<(usize, bool)> {
        let less = |i: usize| tenths(self.plan().damage) - tenths(self.yard.plans[i].damage);
        let clear = |i: usize| less(i) > self.yard.tie_band + 1e-9;
        self.best.filter(|(i, _)| *i != self.headline && clear(*i))
    }

    pub(crate) fn class(&self) -> Option<Class> {
        self.plan().count.as_ref().map(|c| c.told.class())
    }
}

/// More, the same and less of 20; `None` for the first plan.
pub(crate) fn counts(plan: &Plan) -> Option<[usize; 3]> {
    plan.count.as_ref().map(|c| c.told.all())
}

/// The best plan by the rule: without a trap of the asker's, less in its counts, and below the first plan in tenths.
fn best(scenario: &Scenario, plans: &[Plan]) -> Option<(usize, bool)> {
    let rivals = (1..plans.len()).filter(|i| {
        let count = plans[*i].count.as_ref().unwrap();
        scenario.plans[*i].traps.iter().all(|t| t.neighbours)
            && count.told.class() == Class::Less
            && tenths(plans[*i].damage) < tenths(plans[0].damage)
    });
    let best = rivals.min_by(|a, b| plans[*a].damage.total_cmp(&plans[*b].damage))?;
    let of_all = plans
        .iter()
        .all(|p| tenths(p.damage) >= tenths(plans[best].damage));
    Some((best, of_all))
}

/// The names and texts of all files, as a reader sees them.
pub(crate) type Texts = BTreeMap<String, String>;

/// A page or drawing without its marks.
fn seen(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('<') {
        out.push_str(before);
        let dark = ["style", "script"]
            .into_iter()
            .find(|t| after.starts_with(t));
        let end = dark.map_or_else(|| ">".to_owned(), |t| format!("</{t}>"));
        // A mark of a letter or two goes on in its sentence.
        rest = after.split_once(&*end).map_or("", |(_, r)| r);
        out.push('\n');
    }
    out.push_str(rest);
    plain(out)
}

/// What stands in the gaps of a template, everywhere that the text holds it.
fn gaps(text: &str, template: &str) -> Vec<BTreeMap<String, String>> {
    // Pieces of plain text, and the gap that follows each.
    let mut pieces: Vec<(&str, Option<&str>)> = Vec::new();
    let mut rest = template;
    while let Some((plain, after)) = rest.split_once('{') {
        let (gap, after) = after.split_once('}').unwrap();
        pieces.push((plain, Some(gap)));
        rest = after;
    }
    pieces.push((rest, None));
    let start = pieces[0].0;
    let one = |from: usize| -> Option<BTreeMap<String, String>> {
        let mut at = from + start.len();
        let mut found = BTreeMap::new();
        for pair in pieces.windows(2) {
            let (next, last) = (pair[1].0, pair[1].1.is_none());
            let after = &text[at..];
            let length = match next {
                "" if last => after.find([' ', '\n']).unwrap_or(after.len()),
                _ => after.find(next)?,
            };
            let value = &after[..length];
            if value.len() > 80 || (from > 0 || !start.is_empty()) && value.contains(". ") {
                return None;
            }
            // What begins with a gap is found by what follows it.
            let value = value.rsplit(". ").next().unwrap_or(value);
            found.insert(pair[0].1?.to_lowercase(), value.trim().to_owned());
            at += length + next.len();
        }
        Some(found)
    };
    if pieces.len() == 1 {
        let n = text.matches(template).count();
        return vec![BTreeMap::new(); n];
    }
    if start.is_empty() {
        // Everywhere that the plain text after the first gap stands.
        let next = pieces[1].0;
        let starts = text.match_indices(next).filter(|_| !next.is_empty());
        let from = starts.map(|(i, _)| text[..i].rfind(['.', '\n']).map_or(0, |i| i + 1));
        return from.filter_map(one).collect();
    }
    text.match_indices(start)
        .filter_map(|(i, _)| one(i))
        .collect()
}

/// One text with the sentences of its language.
pub(crate) struct Reader<'a> {
    pub(crate) s: &'a Strings,
    pub(crate) text: String,
}

impl Reader<'_> {
    pub(crate) fn gaps(&self, key: &str) -> Vec<BTreeMap<String, String>> {
        gaps(&self.text, self.s.get(key))
    }

    pub(crate) fn says(&self, key: &str) -> bool {
        !self.gaps(key).is_empty()
    }
}

pub(crate) fn count(gaps: &BTreeMap<String, String>, gap: &str) -> usize {
    gaps[gap].parse().unwrap_or(usize::MAX)
}

pub(crate) type Faults = Vec<String>;

/// 1 and 2. The bottom line is its count, its side is the greater one, and neither side is made up.
fn headline(r: &Reader, f: &Facts) -> Faults {
    let Some([more, same, less]) = counts(f.plan()) else {
        return Faults::new();
    };
    let class = f.class().unwrap();
    let mut faults = Faults::new();
    let never = more.min(less) == 0;
    for (key, n, holds) in [
        ("verdict.more", more, class == Class::More && more > less),
        ("verdict.less", less, class == Class::Less && less > more),
        (
            "verdict.more.never-less",
            more,
            class == Class::More && never,
        ),
        (
            "verdict.less.never-more",
            less,
            class == Class::Less && never,
        ),
        ("verdict.same", same, class == Class::NoChange),
    ] {
        let one = [key, ".one"].concat();
        if r.s.has(&one) && r.says(&one) && !(holds && more + same + less == 1) {
            faults.push(format!("headline: {one} of {more}, {same}, {less}"));
        }
        for gaps in r.gaps(key) {
            if count(&gaps, "n") != n || count(&gaps, "of") != more + same + less || !holds {
                faults.push(format!(
                    "headline: {key} {gaps:?} of {more}, {same}, {less}"
                ));
            }
        }
    }
    let open = ["verdict.open"].into_iter().any(|key| r.says(key));
    if open && (more == 0 || less == 0 || class != Class::EitherWay) {
        faults.push(format!("either way: {more}, {same}, {less}"));
    }
    for key in ["verdict.split", "help.split", "teacher.expect.line"] {
        for gaps in r.gaps(key) {
            if ["more", "same", "less"].map(|k| count(&gaps, k)) != [more, same, less] {
                faults.push(format!("split: {key} {gaps:?}, not {more}, {same}, {less}"));
            }
        }
    }
    let words = [
        "almost-always",
        "usually",
        "sometimes",
        "seldom",
        "almost-never",
    ];
    for word in words.into_iter().filter(|w| {
        r.text
            .contains(&format!("[{}]", r.s.get(&format!("word.{w}"))))
    }) {
        let lead = [more, same, less][match class {
            Class::More => 0,
            Class::NoChange => 1,
            Class::Less => 2,
            Class::EitherWay => {
                faults.push("headline: a word where it could go either way".into());
                continue;
            }
        }];
        let least = match word {
            "almost-always" => 19,
            "usually" => 15,
            _ => 0,
        };
        if lead < least || f.yard.summers < 60 {
            faults.push(format!(
                "headline: [{word}] with {lead} of {} summers",
                f.yard.summers
            ));
        }
    }
    faults
}

/// 3. A reason is the account: of 100 that answered, so many ended there.
fn reason(r: &Reader, f: &Facts) -> Faults {
    let mut faults = Faults::new();
    let fate = f.plan().fate;
    let [kept, plant, away] = fate.map_or([0; 3], |fate| fate.three());
    let told = |n: u64| n.to_string();
    for key in [
        "why.counts",
        "figure.fate.level2",
        "slide.fate.claim.split",
        "teacher.game.why",
    ] {
        for gaps in r.gaps(key) {
            let is = |gap: &str, n: u64| gaps.get(gap).is_none_or(|v| *v == told(n));
            if f.plan().fate.is_none() || !is("a", kept) || !is("b", plant) || !is("c", away) {
                faults.push(format!("reason: {key} {gaps:?} of {kept}, {plant}, {away}"));
            }
        }
    }
    for (key, holds) in [
        ("why.spill", plant > 50),
        ("why.kept", kept > plant),
        ("figure.fate.pattern.spill", plant > kept),
        ("figure.fate.pattern.kept", kept > plant),
        (
            "figure.fate.pattern.even",
            kept == plant && f.plan().fate.is_some(),
        ),
        ("slide.fate.claim", plant > 50),
        ("slide.fate.claim.kept", kept > 50),
        ("slide.fate.claim.away", away > 50),
        ("slide.fate.notes.kept", kept > plant),
        ("slide.fate.notes.2", f.plan().fate.is_some() && kept < 100),
    ] {
        if r.says(key) && !holds {
            faults.push(format!("reason: {key} of {kept}, {plant}, {away}"));
        }
    }
    faults
}

/// 4. A word of change is borne by the numbers printed beside it, and an average that goes against the counts is told.
fn change(r: &Reader, f: &Facts) -> Faults {
    let mut faults = Faults::new();
    let [first, plan] = [&f.yard.plans[0], f.plan()].map(|p| p.damage);
    let [before, after] = [first, plan].map(printed);
    let near = (before - after).abs() <= f.yard.tie_band.max(0.05) + 1e-9;
    let denied = match f.class() {
        Some(Class::More) => after < before,
        Some(Class::Less) => after > before,
        _ => false,
    };
    for gaps in r.gaps("damage.change") {
        if gaps["before"] != in_print(first) || gaps["after"] != in_print(plan) {
            faults.push(format!("change: {gaps:?}, not {first} to {plan}"));
        }
        let all = r.s.all();
        let mut words = all.filter(|(k, v)| {
            k.starts_with("change.")
                && (*v == gaps["change"]
                    || !crate::product_findings::gaps(&gaps["change"], v).is_empty()
                        && v.contains('{'))
        });
        let key = words.next().map_or("none", |(k, _)| k);
        let down = [
            "little-less",
            "fifth-less",
            "quarter-less",
            "third-less",
            "half",
            "less-than-half",
            "third-or-less",
            "small-part",
        ];
        let ratio = after / before;
        let holds = match key.strip_prefix("change.") {
            Some("same") => near || (ratio - 1.0).abs() < 0.051,
            Some(word) if down.contains(&word) => after < before && !near,
            Some(_) => after > before && !near,
            None => false,
        };
        if !holds {
            faults.push(format!("change: {before} to {after} is not {key}"));
        }
        let told = r.says("said.average-up") || r.says("said.average-down");
        // Most summers without a change leave an average with one to be told too.
        let moved = f.class() == Some(Class::NoChange) && key != "change.same";
        if told != (denied || moved) {
            faults.push(format!(
                "change: {before} to {after} against the counts, told: {told}"
            ));
        }
    }
    for gaps in r.gaps("damage.no-change") {
        if in_print(first) != in_print(plan) || gaps["after"] != in_print(plan) {
            faults.push(format!("change: {gaps:?} for {first} to {plan}"));
        }
    }
    let caught = thousands(plan_caught(f)) != "0";
    for (key, holds) in [
        (
            "slide.damage.claim",
            f.class() == Some(Class::More) && !denied && caught,
        ),
        (
            "slide.damage.claim.more",
            f.class() == Some(Class::More) && !denied,
        ),
        (
            "slide.damage.claim.less",
            f.class() == Some(Class::Less) && !denied,
        ),
    ] {
        if r.says(key) && !holds {
            faults.push(format!("change: {key} with {before} to {after}"));
        }
    }
    faults
}

fn plan_caught(f: &Facts) -> f64 {
    f.plan().caught
}

/// 5. Twenty summers are not spoken of where fewer were run, unless that is marked.
fn made(r: &Reader, f: &Facts, name: &str) -> Faults {
    // What others found in other summers is their own count.
    let own = !["evidence.html", "tables.html"].contains(&name);
    // "De 20 a 21" is an average that went up, and a poll counts sheets.
    let spoken = r.text.replace(" de 20 a ", " ");
    let spoken = spoken.replace(r.s.get("poll.small"), "");
    let of_20 = own && [" of 20", " de 20"].iter().any(|t| spoken.contains(t));
    let bracket = format!("[{}]", r.s.get("slide.preview"));
    let marked = r.says("verdict.preview") || r.text.contains(&bracket);
    if of_20 && f.yard.summers < 20 && !marked {
        return vec![format!(
            "made: 20 summers spoken of, {} run",
            f.yard.summers
        )];
    }
    Faults::new()
}

/// 6. The line that repeats it is the one of these results, and no page points to a file that was not made.
fn paths(r: &Reader, f: &Facts, raw: &str, files: &BTreeSet<String>) -> Faults {
    let mut faults = Faults::new();
    for (i, _) in r.text.match_indices("lurefield check") {
        if !r.text[i..].starts_with(&f.repeat) {
            faults.push(format!(
                "paths: {}",
                &r.text[i..].chars().take(50).collect::<String>()
            ));
        }
    }
    for part in raw.split("href=\"").skip(1) {
        let to = part.split('"').next().unwrap();
        if !to.starts_with('#') && !files.contains(to) {
            faults.push(format!("paths: {to} was not made"));
        }
    }
    faults
}

/// 7 and 10. Advice names the best plan by the rule with its number, never the page's own, and nothing that a plan does.
fn advice(r: &Reader, f: &Facts, must_name: bool) -> Faults {
    let mut faults = Faults::new();
    let better = f.better();
    let mut named = false;
    for (key, of_all) in [("instead.best", true), ("instead.untrapped", false)] {
        for gaps in r.gaps(key) {
            named = true;
            let holds = better.is_some_and(|(i, all)| {
                let plan = &f.yard.plans[i];
                let whole = in_print(plan.damage);
                let after = if whole == in_print(f.yard.plans[0].damage) {
                    format!("{:.1}", tenths(plan.damage))
                } else {
                    whole
                };
                all == of_all && gaps["plan"] == plan.name && gaps["after"] == after
            });
            if !holds {
                faults.push(format!("advice: {key} {gaps:?}, best is {better:?}"));
            }
        }
    }
    if must_name && better.is_some() != named {
        faults.push(format!("best: named: {named}, best is {better:?}"));
    }
    let does = |id: &str| {
        f.scenario
            .plans
            .iter()
            .flat_map(|p| &p.methods)
            .any(|m| m.kind.id == id)
    };
    for (key, method) in [
        ("practice.pick-dusk", "hand-removal"),
        ("practice.pick", "hand-removal"),
        ("practice.cover-bed", "row-cover"),
        ("practice.net-fruit", "row-cover"),
    ] {
        let told = r.text.to_lowercase().contains(r.s.get(key));
        if must_name && told && does(method) {
            faults.push(format!("advice: {key}, which a plan does"));
        }
    }
    let class = f.class();
    for what in ["trap", "plan"] {
        for (way, of) in [("more", Some(Class::More)), ("less", Some(Class::Less))] {
            if r.says(&format!("handout.do.{what}.{way}")) && class != of {
                faults.push(format!("advice: do this, {what}, {way}, with {class:?}"));
            }
        }
    }
    if let Some(sweep) = f.sweep {
        let drawn = &sweep.points[..sweep.points.len().min(7)];
        let less: Vec<bool> = drawn
            .iter()
            .map(|p| Class::of_20(p.counts[0], p.counts[1], p.counts[2]) == Class::Less)
            .collect();
        for (key, holds) in [
            ("slide.place.claim", !less.contains(&true)),
            ("slide.place.claim.less", *less.last().unwrap()),
            ("slide.place.claim.some", less.contains(&true)),
        ] {
            if r.says(key) && !holds {
                faults.push(format!("advice: {key} with {less:?}"));
            }
        }
    }
    faults
}

/// 8. What is said of traps, catch and class is true of this yard.
fn yard_bears(r: &Reader, f: &Facts) -> Faults {
    let mut faults = Faults::new();
    let plan = f.plan();
    let it = f.it();
    // A verdict names a plan of something else than traps.
    let named = format!("\"{}\"", plan.name);
    let traps_alone = plan.only_traps && plan.traps > 0;
    for key in [
        "verdict.more",
        "verdict.less",
        "verdict.same",
        "verdict.open",
        "slide.damage.claim.more",
        "slide.damage.claim.less",
    ] {
        for gaps in r.gaps(key) {
            let of_verdict = key.starts_with("verdict.") && !traps_alone;
            let it = if of_verdict { &named } else { it };
            if gaps["it"] != it {
                faults.push(format!("yard: {key} {gaps:?}, not \"{it}\""));
            }
        }
    }
    for gaps in r.gaps("damage.caught") {
        if plan.traps == 0 || number(&gaps["caught"]) > 0.0 && plan.caught < 0.5 {
            faults.push(format!("yard: {gaps:?} with {} traps", plan.traps));
        }
    }
    let any = f.yard.plans.iter().any(|p| p.traps > 0);
    let class = f.class();
    let guess = |way: Class| class == Some(way);
    for (key, holds) in [
        ("help.distance", plan.traps == 1),
        ("help.distance.many", plan.traps > 1),
        ("handout.do.trap.more", plan.traps > 0 && plan.only_traps),
        ("handout.do.trap.less", plan.traps > 0 && plan.only_traps),
        ("handout.do.trap.same", plan.traps > 0 && plan.only_traps),
        ("slide.damage.notes.2", any),
        ("student.title", plan.traps > 0 && plan.only_traps),
        ("student.step4.more", guess(Class::More)),
        ("student.step4.less", guess(Class::Less)),
        (
            "student.step4.same",
            guess(Class::NoChange) || guess(Class::EitherWay),
        ),
        ("student.game.need", guess(Class::More)),
        ("verdict.alone", f.yard.plans.len() == 1),
        ("verdict.base", f.headline == 0),
    ] {
        if r.says(key) && !holds {
            faults.push(format!("yard: {key} with {} traps, {class:?}", plan.traps));
        }
    }
    let next_door = r.text.contains("neighbor") || r.text.contains("vecin");
    // What is known of a pest is not of this yard.
    if f.scenario.plots.is_empty() && next_door && !r.says("evidence.not-modelled") {
        faults.push("yard: a neighbor where there is none".into());
    }
    if r.says("teacher.wrong.idea") {
        faults.extend(teachers(r, f));
    }
    faults
}

/// What a teacher is told: the box that fits the most summers, ideas that this yard refutes, and draws that vary only where
/// the cards do.
fn teachers(r: &Reader, f: &Facts) -> Faults {
    let mut faults = Faults::new();
    let all = counts(f.plan()).unwrap();
    let most = *all.iter().max().unwrap();
    let boxes = [
        "student.guess.more",
        "student.guess.same",
        "student.guess.less",
    ];
    let mut fit = boxes.into_iter().zip(all).filter(|(_, n)| *n == most);
    let right = match (fit.next(), fit.next()) {
        (Some((key, _)), None) => r.s.fill("teacher.key.1.box", &[("box", r.s.get(key))]),
        _ => r.s.get("teacher.key.1.none").to_owned(),
    };
    let (split, heads) = ("verdict.split", ["teacher.key", "teacher.key.1"]);
    let heads = heads.map(|key| r.s.get(key)).join(" ");
    let answer = r.text.split_once(&*heads).map_or("", |(_, answer)| answer);
    if !answer.trim_start().starts_with(&right) || !r.says(split) {
        faults.push(format!(
            "yard: the answer key does not say {right} of {all:?}"
        ));
    }
    let alike = most == all.iter().sum::<usize>();
    let helps = f.class() == Some(Class::Less);
    for (key, holds) in [
        ("teacher.wrong.bag", !helps && f.plan().caught >= 0.5),
        ("teacher.wrong.near", !helps),
        ("teacher.wrong.all", helps && printed(f.plan().damage) > 0.0),
        ("teacher.wrong.one", !alike),
        ("teacher.all", alike),
        ("teacher.expect.group", !alike),
        ("teacher.expect.agree", !alike),
        ("teacher.key.3.do", !alike),
        ("teacher.key.3b.do", !alike),
    ] {
        if r.says(key) != holds {
            faults.push(format!("yard: {key} told: {} of {all:?}", !holds));
        }
    }
    faults
}

/// Every plan is drawn, or named as one that is not.
fn all_shown(r: &Reader, f: &Facts, name: &str) -> Faults {
    let mut faults = Faults::new();
    let start = r.s.get("figure.left-out").split('{').next().unwrap();
    let named: Vec<&str> = r.text.split(start).skip(1).collect();
    let key = match name {
        "handout.html" => "figure.change.level2",
        "slides/slide-damage-and-catch.txt" => "figure.damage.level2",
        _ => return faults,
    };
    let drawn: Vec<String> = r.gaps(key).iter().map(|g| g["plan"].clone()).collect();
    // Without twenty summers there is no picture of them.
    if !drawn.is_empty() {
        for plan in &f.yard.plans[1..] {
            let quoted = format!("\"{}\"", plan.name);
            let is_drawn = drawn.iter().any(|d| d.trim_matches('"') == plan.name);
            // The list ends with its sentence.
            let mut lists = named.iter().filter_map(|list| list.split_once('.'));
            let is_named = lists.any(|(list, _)| list.contains(&quoted));
            if !is_drawn && !is_named {
                faults.push(format!(
                    "picture: {key}: {quoted} is neither drawn nor named"
                ));
            }
        }
    }
    faults
}

/// 16. Where the pest crawls, nothing flies or lands, and no cup in the soil hangs.
fn creature(lines: &str, f: &Facts, name: &str) -> Faults {
    let pages = ["handout", "slides/", "class/", "one-summer", "poll"];
    let of_pest = pages.iter().any(|page| name.starts_with(page));
    if f.scenario.pest.mover != Mover::Crawler || !of_pest {
        return Faults::new();
    }
    let words: &[&str] = match f.s.get("language") {
        "es" => &[
            "vuela", "vuelan", "voló", "vuelo", "vuelos", "posa", "posó", "posan", "posaron",
            "cuelga", "cuelgan", "cuelgue", "cuelguen", "colgar",
        ],
        _ => &[
            "fly", "flies", "flew", "flight", "flights", "flying", "land", "lands", "landed",
            "landing", "landings", "hang", "hangs", "hung",
        ],
    };
    let said = words.iter().filter(|word| has(lines, &[word]));
    said.map(|word| format!("creature: {word} of {}", f.scenario.pest.name))
        .collect()
}

/// 9. Captions, text alternatives and tables hold the counts and numbers of their plans.
fn pictures(r: &Reader, f: &Facts) -> Faults {
    let mut faults = Faults::new();
    let of = |gaps: &BTreeMap<String, String>| {
        let name = gaps["plan"].trim_matches('"');
        f.yard.plans.iter().find(|p| p.name == name)
    };
    for gaps in r.gaps("figure.change.level2") {
        let told = ["more", "same", "less"].map(|k| count(&gaps, k));
        if of(&gaps).and_then(counts) != Some(told) {
            faults.push(format!("picture: {gaps:?}"));
        }
    }
    for (key, hold) in [
        (
            "figure.change.pattern.open",
            (|[more, _, less]: [usize; 3]| more > 0 && less > 0) as fn([usize; 3]) -> bool,
        ),
        ("figure.change.pattern.more", |[more, ..]| more >= 15),
        ("figure.change.pattern.less", |[_, _, less]| less >= 15),
        ("figure.change.pattern.same", |[_, same, _]| same >= 15),
        ("figure.change.pattern.more.some", |[more, _, less]| {
            more > less
        }),
        ("figure.change.pattern.less.some", |[more, _, less]| {
            less > more
        }),
    ] {
        for gaps in r.gaps(key) {
            if !of(&gaps).and_then(counts).is_some_and(hold) {
                faults.push(format!("picture: {key} {gaps:?}"));
            }
        }
    }
    let rows: Vec<(String, String, String)> = match f.sweep {
        Some(sweep) if r.says("figure.place.title") || r.says("slide.place.notes.1") => {
            let none = (
                r.s.get("slide.place.none").to_owned(),
                in_print(sweep.damage_without),
                "0".to_owned(),
            );
            let points = sweep.points.iter().take(7);
            std::iter::once(none)
                .chain(points.map(|p| {
                    (
                        p.label.clone(),
                        in_print(p.damage_mean),
                        thousands(p.caught_mean),
                    )
                }))
                .collect()
        }
        _ => f
            .yard
            .plans
            .iter()
            .map(|p| (p.name.clone(), in_print(p.damage), thousands(p.caught)))
            .collect(),
    };
    for gaps in r.gaps("figure.damage.level2") {
        let name = gaps["plan"].trim_matches('"').to_owned();
        if !rows.contains(&(name, gaps["after"].clone(), gaps["caught"].clone())) {
            faults.push(format!("picture: {gaps:?}, not of {rows:?}"));
        }
    }
    // The rows that are drawn are those that the numbers beside the picture name.
    let drawn: Vec<String> = r
        .gaps("figure.damage.level2")
        .iter()
        .map(|g| g["plan"].trim_matches('"').to_owned())
        .collect();
    let value = |name: &str, of: fn(&(String, String, String)) -> &String| {
        rows.iter()
            .find(|row| row.0 == name)
            .map_or(f64::NAN, |row| {
                of(row).replace(',', "").parse().unwrap_or(0.0)
            })
    };
    for (key, of) in [
        (
            "figure.damage.most",
            (|row: &(String, String, String)| &row.1) as fn(&_) -> &_,
        ),
        ("figure.damage.catch", |row| &row.2),
    ] {
        for gaps in r.gaps(key) {
            let name = gaps["plan"].trim_matches('"');
            let mut others = drawn.iter().filter(|n| *n != name);
            if others.any(|other| value(other, of) >= value(name, of)) {
                faults.push(format!("picture: {key} {gaps:?} of {rows:?}"));
            }
        }
    }
    if r.says("figure.damage.catch.none") && drawn.iter().any(|n| value(n, |row| &row.2) > 0.0) {
        faults.push("picture: a catch where nothing was caught".into());
    }
    faults
}

/// 11. No gap is left open, nothing stands twice that should stand once, and every number is one.
fn clean(r: &Reader, raw_lines: &str) -> Faults {
    let mut faults = Faults::new();
    for part in r.text.split('{').skip(1) {
        let gap = part.split('}').next().unwrap();
        if part.contains('}')
            && !gap.is_empty()
            && gap.chars().all(|c| c.is_ascii_lowercase() || c == '_')
        {
            faults.push(format!("clean: {{{gap}}} is not filled"));
        }
    }
    if let Some(line) = raw_lines.lines().find(|l| l.trim().contains("  ")) {
        faults.push(format!("clean: two spaces in {line:?}"));
    }
    let words: Vec<&str> = r
        .text
        .split_whitespace()
        .map(|w| w.trim_matches(['(', ')', ',', ':', ';', '"']))
        .collect();
    for word in &words {
        let zero = word
            .strip_prefix('-')
            .is_some_and(|n| n.trim_end_matches('.').parse::<f64>() == Ok(0.0));
        if zero || ["NaN", "inf", "-inf", "null"].contains(&word.trim_end_matches('.')) {
            faults.push(format!("clean: {word}"));
        }
    }
    let many = [
        "times", "insects", "beetles", "summers", "days", "minutes", "traps", "plans", "weeks",
        "runs",
    ];
    let muchos = [
        "veces", "insectos", "veranos", "días", "minutos", "trampas", "planes", "semanas",
    ];
    for pair in words.windows(2) {
        let noun = pair[1].trim_end_matches('.');
        if pair[0] == "1" && many.iter().chain(&muchos).any(|n| *n == noun) {
            faults.push(format!("clean: 1 {noun}"));
        }
    }
    for three in words
        .windows(3)
        .filter(|w| w[0] == "1" && w[1] == "simulated")
    {
        if three[2].trim_end_matches('.') == "summers" {
            faults.push("clean: 1 simulated summers".into());
        }
    }
    for none in ["0 summers of 0", "0 of 0", "0 de 0"] {
        if r.text.contains(&format!(" {none} ")) {
            faults.push(format!("clean: {none}"));
        }
    }
    faults
}

/// All faults of the products of a finding.
pub(crate) fn faults_of(f: &Facts, all: &Texts, files: &BTreeSet<String>) -> Faults {
    let mut faults = Faults::new();
    for (name, raw) in all {
        let lines = if is(name, "txt") {
            raw.clone()
        } else {
            seen(raw)
        };
        let r = Reader {
            s: f.s,
            text: flat(&lines),
        };
        let must_name = name == "handout.html"
            || name == "help-desk.txt"
            || name == "slides/slide-damage-and-catch.txt";
        let found = [
            headline(&r, f),
            reason(&r, f),
            change(&r, f),
            made(&r, f, name),
            paths(&r, f, raw, files),
            advice(&r, f, must_name),
            yard_bears(&r, f),
            pictures(&r, f),
            all_shown(&r, f, name),
            creature(&lines, f, name),
            clean(&r, &lines),
            summer(&r, f, raw, name),
            paper_game(&r, f, name, files.contains("class/trap-game.html")),
            poll(&r, f, name),
            own(&lines, f, name),
        ];
        faults.extend(
            found
                .into_iter()
                .flatten()
                .map(|fault| format!("{name}: {fault}")),
        );
    }
    faults.extend(same_everywhere(f, all));
    faults
}

/// 9. Table, marks, cards and text alternative of the headline hold one set of counts.
fn same_everywhere(f: &Facts, all: &Texts) -> Faults {
    let mut faults = Faults::new();
    let Some([more, same, less]) = counts(f.plan()) else {
        return faults;
    };
    let [up, none, down] = ["student.more", "student.same", "student.less"].map(|k| f.s.get(k));
    if let Some(sheet) = all.get("class/student-sheet.html") {
        let cards = [up, none, down].map(|way| sheet.matches(&format!(" ({way})")).count());
        if cards != [more, same, less] {
            faults.push(format!(
                "student sheet: {cards:?} cards, not {more}, {same}, {less}"
            ));
        }
    }
    let row = format!(
        "<td class=\"n\">{more}</td><td class=\"n\">{same}</td><td class=\"n\">{less}</td>"
    );
    if all
        .get("handout.html")
        .is_some_and(|page| !page.contains(&row))
    {
        faults.push(format!("handout: no row of {more}, {same}, {less}"));
    }
    if let Some(slide) = all.get("slides/slide-verdict.txt") {
        let start = format!("{}\t", f.plan().name);
        let marks = slide.lines().filter_map(|l| {
            l.strip_prefix(&start)?
                .split('\t')
                .nth(1)?
                .parse::<f64>()
                .ok()
        });
        let marks: Vec<f64> = marks.collect();
        if marks.len() != 20 {
            faults.push(format!("slide: {} marks", marks.len()));
        }
        let band = f.yard.tie_band;
        // Printed marks are rounded, so those on the edge of the band may stand on either side.
        let off = |n: usize, m: usize| {
            n.abs_diff(m)
                > marks
                    .iter()
                    .filter(|d| (d.abs() - band).abs() < 0.051)
                    .count()
        };
        if off(marks.iter().filter(|d| **d > band).count(), more)
            || off(marks.iter().filter(|d| **d < -band).count(), less)
        {
            faults.push(format!("slide: {marks:?} are not {more}, {same}, {less}"));
        }
    }
    faults
}

/// All texts of the products of results, the slides as drawings, and the names of all files that are made.
pub(crate) fn texts(
    s: &Strings,
    results: &Results,
    request: &Request,
) -> (Texts, BTreeSet<String>) {
    let products = [
        Product::HelpDesk,
        Product::Handout,
        Product::Class,
        Product::Evidence,
        Product::Tables,
        Product::Poll,
    ];
    let request = Request {
        products: products.to_vec(),
        ..request.clone()
    };
    let built = build(results, &request, &MADE).unwrap();
    let is_text = |name: &str| [".html", ".txt"].iter().any(|e| name.ends_with(e));
    let files = built.files.iter().filter(|(name, _)| is_text(name));
    let mut all: Texts = files
        .map(|(n, b)| (n.clone(), String::from_utf8(b.clone()).unwrap()))
        .collect();
    let yard = results.yard.as_ref().unwrap();
    let story = Story::new(s, results, yard, request.plan.as_deref()).unwrap();
    if let Ok(page) = moving::page(&story, &request, &MADE) {
        all.insert("one-summer.html".into(), page);
    }
    for (figure, side) in slides::drawn(&story, &MADE) {
        all.insert(format!("slides/{}.txt", figure.name), side);
        all.insert(format!("slides/{}.svg", figure.name), figure.svg);
    }
    let named = built.files.iter().map(|(name, _)| name);
    let files = named.chain(all.keys()).cloned().collect();
    (all, files)
}

/// Results of a run, a comparison or both, as the files say them.
pub(crate) fn results(luck: &mut Stream) -> (Scenario, Results) {
    let (text, mut scenario) = yard(luck);
    scenario.settings.tie_band = pick(luck, &[0.0, 0.5, 1.0, 3.0]);
    let run: RunOutcome = outcome(&mut scenario, luck);
    let compared = comparison(&scenario, run.clone(), luck);
    let mut folder = folder_of(&text, &scenario, &run);
    let kind = pick(luck, &[0, 1, 2]);
    if kind > 0 {
        folder.files.insert(
            "compare.json".into(),
            compare_data::json(&scenario, &compared),
        );
    }
    if kind > 1 {
        folder.files.remove("summary.json");
    }
    folder.repeat = Some(Repeat {
        says: "footer.repeat",
        line: repeat_line("run/manifest.json"),
    });
    let mut results = read(&folder).unwrap();
    if luck.next() < 0.5 {
        results.placement = Some(placement(&scenario, luck));
    }
    let recorded = (1..scenario.plans.len()).filter(|_| luck.next() < 0.7);
    let recorded: Vec<usize> = recorded.collect();
    results.one_summers = recorded
        .into_iter()
        .map(|with| one_summer(&scenario, with, luck))
        .collect();
    // Many a plant is hard to land on, and many a trap spills most that it calls.
    let land = pick(luck, &[0.05, 0.1, 0.2, 0.3, 0.5, 1.0]);
    let spilled = (luck.next() < 0.7).then(|| pick(luck, &[50, 60, 80]));
    dice(&mut scenario, &mut results, (land, spilled));
    // Many summers that have settled are rarer among random ones than in a run that goes on until they have.
    let yard = results.yard.as_mut().unwrap();
    yard.preview &= yard.summers < 60 || luck.next() < 0.2;
    (scenario, results)
}

/// What the dice of the paper game follow from: landing on a plant, and how many of 100 that answered ended on one.
pub(crate) fn dice(
    scenario: &mut Scenario,
    results: &mut Results,
    (land, spilled): (f64, Option<u64>),
) {
    let plans = results.yard.as_mut().unwrap().plans.iter_mut();
    for plan in plans.filter(|p| p.traps > 0) {
        let counted = |landed| Ended {
            answered: 100,
            kept: 15,
            landed,
            away: 85 - landed,
            open: 0,
        };
        plan.fate = spilled.map(counted).or(plan.fate);
    }
    for yard in [scenario, &mut results.yard.as_mut().unwrap().scenario] {
        for crop in &mut yard.crops {
            crop.host.acceptance.value = land;
        }
    }
}

pub(crate) fn people(s: Strings, scenario: &Scenario) -> Strings {
    match scenario.pest.guild {
        Guild::Visitor => s.about("people"),
        Guild::Piercer | Guild::EggLayer => s.about("fruit"),
        Guild::Chewer => s,
    }
}

/// What is true of results for the plan that is asked for, else for the first plan that does anything.
pub(crate) fn facts<'a>(
    s: &'a Strings,
    scenario: &'a Scenario,
    results: &'a Results,
    (asked, sheets): (Option<&str>, &'a Sheets),
) -> Facts<'a> {
    let yard = results.yard.as_ref().unwrap();
    let plans = &yard.plans;
    let acts = |i: &usize| plans[*i].traps > 0 || !plans[*i].only_traps;
    let headline = match asked {
        Some(name) => plans.iter().position(|p| p.name == name).unwrap(),
        None => (1..plans.len()).find(acts).unwrap_or(1),
    };
    Facts {
        s,
        yard,
        scenario,
        headline,
        best: best(scenario, plans),
        sweep: results.placement.as_ref().map(|p| &p.sweeps[0]),
        one: results
            .one_summers
            .iter()
            .find(|one| one.with == plans[headline].name && !one.insects.is_empty()),
        sheets,
        game: plans[headline]
            .fate
            .and_then(|ended| game::rules(scenario, &ended))
            .map(|rules| (rules, game::expected(rules, 4000, 1))),
        repeat: results.repeat.clone().map_or_else(String::new, |r| r.line),
    }
}

#[test]
fn every_product_says_what_its_numbers_bear_whatever_they_are() {
    let (mut shown, mut made) = (Vec::new(), BTreeMap::new());
    for seed in 0..TRIES {
        let mut luck = Stream(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x0BAD_5EED);
        luck.next();
        let (scenario, results) = results(&mut luck);
        let n = scenario.plans.len();
        let asked = (luck.next() < 0.5).then(|| NAMES[(luck.next() * n as f64) as usize]);
        // A trap with more harm in most summers is rare, and so is one with less; paper game and poll are about them.
        let yard = results.yard.as_ref().unwrap();
        let mut plans = yard.plans.iter();
        let one_way = plans.find(|p| {
            let sided = |[more, same, less]: [usize; 3]| {
                let helps = less > more && !yard.preview;
                helps || 4 * more >= 3 * (more + same + less)
            };
            p.traps > 0 && p.only_traps && counts(p).is_some_and(sided)
        });
        let asked = one_way.map(|p| p.name.as_str()).or(asked);
        let sheets = sheets(&mut luck);
        for (code, _) in LANGUAGES {
            let s = people(Strings::of(code).unwrap(), &scenario);
            let request = Request {
                language: (*code).into(),
                plan: asked.map(str::to_owned),
                poll: Some(table(&s, &sheets)),
                ..request()
            };
            let facts = facts(&s, &scenario, &results, (asked, &sheets));
            let (all, files) = texts(&s, &results, &request);
            for name in files.iter().filter(|name| is(name, "html")) {
                *made.entry(name.clone()).or_insert(0) += 1;
            }
            let told = Reader {
                s: &s,
                text: flat(&seen(&all["poll-result.html"])),
            };
            for key in ANSWERED.into_iter().filter(|key| told.says(key)) {
                *made.entry(key.into()).or_insert(0) += 1;
            }
            let faults = faults_of(&facts, &all, &files);
            if !faults.is_empty() {
                shown.push(format!(
                    "finding {seed} in {code}, {}:\n  {}",
                    scenario.name,
                    faults.join("\n  ")
                ));
            }
        }
    }
    assert!(
        shown.is_empty(),
        "{} of {}\n{}",
        shown.len(),
        2 * TRIES,
        shown.join("\n")
    );
    let played = ["one-summer.html", "class/trap-game.html"];
    for name in played.into_iter().chain(ANSWERED) {
        let n = made.get(name).copied().unwrap_or(0);
        assert!(n >= 4, "{name} is made {n} times: {made:?}");
    }
}

/// A yard of many plans: those that no picture has room for are named.
#[test]
fn plans_that_are_not_drawn_are_named() {
    let (mut n_pages, mut n_named) = (0, 0);
    for seed in 0..40 {
        let mut luck = Stream(seed);
        luck.next();
        let (mut scenario, mut results) = results(&mut luck);
        let yard = results.yard.as_mut().unwrap();
        for i in 0..3 * seed as usize % 14 {
            let (mut plan, mut planned) = (yard.plans[1].clone(), scenario.plans[1].clone());
            plan.name = format!("further {i}");
            planned.name.clone_from(&plan.name);
            yard.plans.push(plan);
            scenario.plans.push(planned);
        }
        yard.scenario.plans.clone_from(&scenario.plans);
        let sheets = sheets(&mut luck);
        for (code, _) in LANGUAGES {
            let s = people(Strings::of(code).unwrap(), &scenario);
            let request = Request {
                language: (*code).into(),
                ..request()
            };
            let f = facts(&s, &scenario, &results, (None, &sheets));
            let (all, _) = texts(&s, &results, &request);
            for name in ["handout.html", "slides/slide-damage-and-catch.txt"] {
                let lines = if is(name, "txt") {
                    all[name].clone()
                } else {
                    seen(&all[name])
                };
                let r = Reader {
                    s: &s,
                    text: flat(&lines),
                };
                assert_eq!(
                    all_shown(&r, &f, name),
                    Faults::new(),
                    "{seed} {code} {name}"
                );
                n_pages += 1;
                let start = s.get("figure.left-out").split('{').next().unwrap();
                n_named += usize::from(r.text.contains(start));
            }
        }
    }
    assert!(n_named > 20 && n_named < n_pages, "{n_named} of {n_pages}");
}

/// A finding of the allotment whose headline is a trap of this class, with an account and a better plan without a trap.
fn found(s: &Strings, way: Class, judge: impl Fn(&Facts)) {
    for seed in 0..4000 {
        let mut luck = Stream(seed);
        luck.next();
        let (scenario, results) = results(&mut luck);
        let sheets = sheets(&mut luck);
        let facts = facts(s, &scenario, &results, (None, &sheets));
        let plan = facts.plan();
        let fits =
            facts.class() == Some(way) && plan.traps == 1 && plan.only_traps && plan.fate.is_some();
        if fits && facts.better().is_some() && facts.sweep.is_some() {
            return judge(&facts);
        }
    }
    panic!("no such finding");
}

/// Each rule finds what it is there to find: a sentence of the catalogue with another number, or where it does not hold.
#[test]
fn a_product_that_says_too_much_is_found() {
    let s = Strings::of("en").unwrap();
    found(&s, Class::More, |f| {
        let read = |text: String| Reader {
            s: &s,
            text: flat(&text),
        };
        let said = |key: &str, gaps: &[(&str, &str)]| read(s.fill(key, gaps));
        let none = BTreeSet::new();
        let [more, same, less] = counts(f.plan()).unwrap();
        let (n, wrong) = (more.to_string(), (more - 1).to_string());
        let of = (more + same + less).to_string();
        let (it, state) = ("the trap", "leaves chewed");
        // A rule that finds no fault in what is so.
        let so = said(
            "verdict.more",
            &[("n", &n), ("of", &of), ("it", it), ("state", state)],
        );
        assert_eq!(
            (headline(&so, f), yard_bears(&so, f)),
            (Faults::new(), Faults::new())
        );
        let spoiled = [
            headline(
                &said(
                    "verdict.more",
                    &[("n", &wrong), ("of", &of), ("it", it), ("state", state)],
                ),
                f,
            ),
            headline(
                &said(
                    "verdict.less",
                    &[("n", &n), ("of", &of), ("it", it), ("state", state)],
                ),
                f,
            ),
            headline(&said("verdict.open", &[("it", it)]), f),
            headline(
                &said(
                    "verdict.split",
                    &[("more", &wrong), ("less", "0"), ("same", "9"), ("of", &of)],
                ),
                f,
            ),
            headline(
                &read("[almost always]".into()),
                &Facts {
                    yard: &Yard {
                        summers: 12,
                        ..f.yard.clone()
                    },
                    ..copy(f)
                },
            ),
            reason(&said("why.counts", &[("a", "101"), ("b", "3")]), f),
            reason(
                &said(
                    "figure.fate.level2",
                    &[("a", "1"), ("b", "101"), ("c", "3")],
                ),
                f,
            ),
            reason(
                &read(
                    [
                        s.get("why.kept"),
                        s.get("figure.fate.pattern.spill"),
                        s.get("slide.fate.claim"),
                        s.get("slide.fate.claim.kept"),
                    ]
                    .join(" "),
                ),
                f,
            ),
            change(
                &said(
                    "damage.change",
                    &[
                        ("state", state),
                        ("before", "97"),
                        ("after", "98"),
                        ("change", "about half"),
                    ],
                ),
                f,
            ),
            change(
                &said("damage.no-change", &[("state", state), ("after", "101")]),
                f,
            ),
            change(&said("slide.damage.claim.less", &[("it", it)]), f),
            made(
                &said(
                    "verdict.more",
                    &[("n", "19"), ("of", "20"), ("it", it), ("state", state)],
                ),
                &Facts {
                    yard: &Yard {
                        summers: 12,
                        ..f.yard.clone()
                    },
                    ..copy(f)
                },
                "handout.html",
            ),
            paths(
                &read("lurefield check elsewhere/manifest.json --repeat".into()),
                f,
                "",
                &none,
            ),
            paths(&read(String::new()), f, "<a href=\"there.html\">", &none),
            advice(
                &said(
                    "instead.best",
                    &[("plan", &f.plan().name), ("after", "1.0")],
                ),
                f,
                false,
            ),
            advice(&read(String::new()), f, true),
            advice(&read(s.get("handout.do.trap.less").into()), f, false),
            yard_bears(
                &said(
                    "verdict.more",
                    &[
                        ("n", &n),
                        ("of", &of),
                        ("it", "the traps"),
                        ("state", state),
                    ],
                ),
                f,
            ),
            yard_bears(&read(s.get("student.step4.less").into()), f),
            yard_bears(
                &said("help.distance.many", &[("distance", "10 ft (3 m)")]),
                f,
            ),
            yard_bears(
                &read(
                    [
                        s.get("teacher.wrong.idea"),
                        s.get("teacher.key"),
                        s.get("teacher.key.1"),
                        s.get("student.guess.less"),
                    ]
                    .join(" "),
                ),
                f,
            ),
            pictures(
                &said(
                    "figure.change.level2",
                    &[
                        ("plan", &f.plan().name),
                        ("more", &wrong),
                        ("same", &same.to_string()),
                        ("less", &less.to_string()),
                    ],
                ),
                f,
            ),
            pictures(
                &said("figure.change.pattern.less", &[("plan", &f.plan().name)]),
                f,
            ),
            pictures(
                &said(
                    "figure.damage.level2",
                    &[("plan", &f.plan().name), ("after", "101"), ("caught", "7")],
                ),
                f,
            ),
            clean(&read("a {gap} of it".into()), ""),
            clean(&read(String::new()), "two  spaces"),
            clean(&read("about NaN of 100".into()), ""),
            clean(&read("a change of -0.0 of 100".into()), ""),
            clean(&read("it fell 1 times.".into()), ""),
            clean(&read("in 0 of 0 summers".into()), ""),
        ];
        for (i, faults) in spoiled.iter().enumerate() {
            assert!(!faults.is_empty(), "spoiled text {i} is not found");
        }
        let sheet = "1 (more harm) 2 (less harm)".to_owned();
        let all = Texts::from([
            ("class/student-sheet.html".to_owned(), sheet),
            ("handout.html".to_owned(), String::new()),
        ]);
        assert_eq!(same_everywhere(f, &all).len(), 2);
    });
}

fn copy<'a>(f: &Facts<'a>) -> Facts<'a> {
    Facts {
        repeat: f.repeat.clone(),
        ..*f
    }
}
