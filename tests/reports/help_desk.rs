//! The paragraph for the help desk: its words are counted, and what it must hold is there, whatever was found.

use crate::findings::{outcome, pick};
use crate::fixture::Stream;
use crate::products::{MADE, folder_of, request, shipped_text};
use lurefield::catalogue::Guild;
use lurefield::report::cautions::{self, Content};
use lurefield::report::products::results::{Results, read};
use lurefield::report::products::story::Story;
use lurefield::report::products::{Product, Request, build};
use lurefield::say::Strings;
use lurefield::scenario::Scenario;
use lurefield::stats::words::tenths;

/// Yards that are made up.
const TRIES: u64 = 200;
/// Fewest words; most in English, most in Spanish.
const BOUNDS: [usize; 3] = [90, 130, 150];
const SHIPPED: [&str; 9] = [
    "allotment-beetles.json",
    "backyard-pears-stink-bug.json",
    "dozen-apples-codling-moth.json",
    "isolated-orchard-perimeter.json",
    "newark-wind-beetles.json",
    "strawberry-netting.json",
    "strawberry-slugs.json",
    "street-of-five.json",
    "weak-lure.json",
];
const NAMES: [&str; 6] = [
    "nothing",
    "near",
    "a trap by the raspberries",
    "net",
    "both traps at the two far corners of the yard, emptied twice a week",
    "dusk",
];

fn scenario_of(text: &str) -> Scenario {
    let load = |name: &str| {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
        std::fs::read_to_string(path.join(name)).map_err(|e| e.to_string())
    };
    lurefield::scenario::read(text, "yard.json", &load).unwrap()
}

/// The text of a yard of one to six plans that may hold anything.
fn yard(luck: &mut Stream) -> String {
    let pests = [
        r#""japanese-beetle""#,
        r#""brown-marmorated-stink-bug""#,
        r#""codling-moth""#,
        r#""gray-field-slug""#,
        r#"{ "base": "gray-field-slug", "name": "wasp of the ground" }"#,
        r#"{ "base": "japanese-beetle", "name": "hornet", "guild": "visitor" }"#,
    ];
    let actions = [
        r#"{ "method": "row-cover", "mesh_mm": 0.9 }"#,
        r#"{ "method": "hand-removal" }"#,
        r#"{ "method": "repellent" }"#,
        r#"{ "method": "water-spray" }"#,
        r#"{ "method": "fruit-bags", "crops": ["mine"] }"#,
    ];
    let pest = pick(luck, &pests);
    // Bags are for those that harm fruit.
    let methods = if pest.contains("bug") || pest.contains("moth") {
        &actions[..]
    } else {
        &actions[..4]
    };
    let n = 1 + (luck.next() * 6.0) as usize;
    let plans: Vec<String> = (0..n)
        .map(|i| {
            let traps = [
                "",
                r#"{ "at": [2, 10] }"#,
                r#"{ "at": [6.5, 6] }, { "at": [12, 2] }"#,
            ];
            let traps = if i == 0 { "" } else { pick(luck, &traps) };
            let share = luck.next();
            let held = methods.iter().copied();
            let held = held.filter(|_| i > 0 && luck.next() < share);
            let held: Vec<&str> = held.collect();
            format!(
                r#"{{ "name": "{}", "traps": [{traps}], "methods": [{}] }}"#,
                NAMES[i],
                held.join(", ")
            )
        })
        .collect();
    format!(
        r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": 14, "depth": 12 }}, "pest": {},
        "window": {{ "days": 7 }}, "crops": [{{ "name": "mine", "kind": "{}", "single": [6, 6] }}], "plans": [{}] }}"#,
        pest,
        pick(luck, &["apple", "blueberry", "raspberry"]),
        plans.join(", ")
    )
}

/// Whether a text holds the cautions of a content, at least its first sentence or its short one.
pub(crate) fn cautions(s: &Strings, text: &str, content: Content) -> bool {
    // Where the crops are named, the sentence ends with them; the mesh has the pest's number.
    let begins = |key: &str| s.get(key).split('{').next().unwrap_or_default().to_owned();
    [content.keys()[0], content.short()]
        .iter()
        .any(|key| text.contains(begins(key).trim_end_matches('.')))
}

/// The replies about every plan of a yard, in a language.
fn replies(results: &Results, language: &str) -> Vec<String> {
    let yard = results.yard.as_ref().unwrap();
    let plans = yard.plans.iter().map(|plan| {
        let asked = Request {
            products: vec![Product::HelpDesk],
            plan: Some(plan.name.clone()),
            language: language.into(),
            ..request()
        };
        let built = build(results, &asked, &MADE).unwrap();
        let file = built.files.iter().find(|(n, _)| n == "help-desk.txt");
        String::from_utf8(file.unwrap().1.clone()).unwrap()
    });
    plans.collect()
}

/// Faults of a reply about a plan.
fn faults(results: &Results, language: &str, at: usize, text: &str) -> Vec<String> {
    let yard = results.yard.as_ref().unwrap();
    let s = Strings::of(language).unwrap();
    let s = match yard.scenario.pest.guild {
        Guild::Visitor => s.about("people"),
        _ => s,
    };
    let plan = &yard.plans[at];
    let story = Story::new(&s, results, yard, Some(&plan.name)).unwrap();
    let words = text.split_whitespace().count();
    let most = BOUNDS[if language == "en" { 1 } else { 2 }];
    let mut faults = Vec::new();
    let mut must = |holds: bool, what: &str| {
        if !holds {
            faults.push(format!("{language}, {}: {what}", plan.name));
        }
    };
    must(
        (BOUNDS[0]..=most).contains(&words),
        &format!("{words} words"),
    );
    must(text.lines().count() == 1, "a mail program folds it");
    must(
        language != "en" || text.is_ascii(),
        "plain text pastes anywhere",
    );
    let badge = s.fill("help.sure", &[("level", story.level().word())]);
    let badges = [story.sure(), &badge];
    must(badges.iter().any(|b| text.contains(b)), "no badge");
    let short = story.verdict_on(story.it(story.plan()));
    let verdicts = [story.verdict(), short];
    must(verdicts.iter().any(|v| text.starts_with(v)), "no verdict");
    for (there, what) in [
        (story.distance(), "no distance"),
        (s.mark().map(str::to_owned), "no mark"),
    ] {
        must(there.is_none_or(|t| text.contains(&t)), what);
    }
    let reasons = ["why.counts", "help.why"].map(|key| story.reason(key));
    let said = reasons.iter().flatten().any(|r| text.contains(r));
    must(said == reasons[0].is_some(), "not one reason");
    if yard.plans.len() > 1 {
        let name = |name: &str| {
            let all: Vec<&str> = name.split_whitespace().take(5).collect();
            format!("\"{}", all.join(" "))
        };
        let least = yard.plans.iter().map(|p| p.damage);
        let least = least.fold(f64::INFINITY, f64::min);
        let names_one = yard.plans.iter().any(|p| text.contains(&name(&p.name)));
        let is_best = text.contains(s.get("help.best.this"));
        must(names_one || is_best, "no best plan");
        must(
            !is_best || tenths(plan.damage) <= tenths(least),
            "not the best plan",
        );
    }
    let about = yard.scenario.plans.iter().find(|p| p.name == plan.name);
    let held = cautions::contents(&yard.scenario, about);
    for content in held {
        must(cautions(&s, text, content), &format!("no {content:?}"));
    }
    for key in ["caution.forecast", "caution.local", "caution.home"] {
        must(text.contains(s.get(key)), key);
    }
    faults
}

#[test]
fn a_reply_has_its_words_and_what_it_must_hold_whatever_was_found() {
    let mut luck = Stream(97);
    let shipped = SHIPPED
        .iter()
        .flat_map(|name| [shipped_text(name), shipped_text(name)]);
    let mut yards: Vec<String> = shipped.collect();
    yards.extend((0..TRIES).map(|_| yard(&mut luck)));
    let mut shown = Vec::new();
    let mut counted = [usize::MAX, 0];
    for text in &yards {
        let mut scenario = scenario_of(text);
        let found = outcome(&mut scenario, &mut luck);
        let mut folder = folder_of(text, &scenario, &found);
        for input in ["newark-2013-hourly.csv", "seattle-2012-2014-daily.csv"] {
            let kept = shipped_text(&format!("data/{input}"));
            folder.files.insert(format!("inputs/{input}"), kept);
        }
        let results = read(&folder).unwrap();
        for language in ["en", "es"] {
            for (at, reply) in replies(&results, language).iter().enumerate() {
                let n = reply.split_whitespace().count();
                counted = [counted[0].min(n), counted[1].max(n)];
                let wrong = faults(&results, language, at, reply);
                if !wrong.is_empty() {
                    shown.push(format!("{}\n{reply}", wrong.join("; ")));
                }
            }
        }
    }
    assert!(
        shown.is_empty(),
        "{} replies, words {counted:?}\n{}",
        shown.len(),
        shown[..shown.len().min(6)].join("\n")
    );
}

#[test]
fn no_reply_rests_on_numbers_that_nobody_measured() {
    let text = |pest: &str, lure: &str| {
        format!(
            r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": 14, "depth": 12 }}, "pest": "{pest}",
            "crops": [{{ "name": "mine", "kind": "rose", "single": [6, 6] }}],
            "plans": [{{ "name": "nothing" }}, {{ "name": "near", "traps": [{{ "at": [2, 10], "lure": "{lure}" }}] }}] }}"#
        )
    };
    let mut luck = Stream(5);
    for (pest, lure, made) in [
        ("japanese-beetle", "japanese-beetle-both", true),
        ("japanese-beetle", "custom", false),
        ("custom", "custom", false),
    ] {
        let text = text(pest, lure);
        let mut scenario = scenario_of(&text);
        let found = outcome(&mut scenario, &mut luck);
        let results = read(&folder_of(&text, &scenario, &found)).unwrap();
        let built = build(&results, &request(), &MADE).unwrap();
        let there = built.files.iter().any(|(n, _)| n == "help-desk.txt");
        assert_eq!(there, made, "{pest}, {lure}");
        let why = built.missing.iter().find(|(p, _)| *p == Product::HelpDesk);
        assert_eq!(why.is_some(), !made);
    }
}
