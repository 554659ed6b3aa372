//! The ledger: what each version answers to a few small questions, to the bit.
//!
//! A manifest promises the same bytes for the same version only, so a change that moves a number must raise the version.
//! `tests/data/ledger.json` holds one entry a version, oldest first; entries stay. To see the entry of this build:
//!
//! ```text
//! LUREFIELD_LEDGER=print cargo test --release --test ledger -- --nocapture
//! ```
//!
//! A digest is the SHA-256 of all numbers of the serialised results, in the shortest decimal digits that give back the very
//! bits. Names and sentences are left out, so that a change of words moves none.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a helper of a test that fails should panic; the entry is printed on request"
)]

use lurefield::count::outcome::RunOutcome;
use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::Unwatched;
use lurefield::placement::objective::Objective;
use lurefield::placement::outcome::PlaceOutcome;
use lurefield::placement::search::{Question, place};
use lurefield::placement::site::Limits;
use lurefield::report::provenance::sha256;
use lurefield::scenario::{Scenario, read};
use lurefield::study::compare::{CompareOutcome, How, compare};
use lurefield::study::run::run;
use lurefield::study::settle::Take;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Version of this build.
const VERSION: &str = env!("CARGO_PKG_VERSION");

type Digests = BTreeMap<String, String>;

#[derive(Deserialize, Serialize)]
struct Entry {
    version: String,
    digests: Digests,
}

#[derive(Deserialize)]
struct Ledger {
    versions: Vec<Entry>,
}

fn ledger() -> Ledger {
    serde_json::from_str(include_str!("data/ledger.json")).unwrap()
}

/// SHA-256 of the numbers of a result.
fn digest(result: &impl Serialize) -> String {
    sha256(numbers_of(&serde_json::to_string(result).unwrap()).as_bytes())
}

/// Numbers, nulls and truth values of a JSON text in their order, with a space between.
fn numbers_of(json: &str) -> String {
    let (mut out, mut inside, mut escaped) = (String::new(), false, false);
    for c in json.chars() {
        let kept = !inside && (c.is_ascii_alphanumeric() || "+-.".contains(c));
        if kept {
            out.push(c);
        } else if !out.ends_with(' ') {
            out.push(' ');
        }
        if c == '"' && !escaped {
            inside = !inside;
        }
        escaped = inside && c == '\\' && !escaped;
    }
    out
}

fn scenario(text: &str) -> Scenario {
    read(text, "ledger.json", &|_| Err("no files".into())).unwrap_or_else(|f| panic!("{}", f[0]))
}

/// As `lurefield run` does it.
fn runs(text: &str) -> RunOutcome {
    let scenario = scenario(text);
    run(&prepare(&scenario, &Unwatched).unwrap(), &Unwatched).unwrap()
}

/// As `lurefield compare` does it, with no summer more than asked.
fn compares(text: &str) -> CompareOutcome {
    let scenario = scenario(text);
    let how = How {
        take: Take::exactly(scenario.settings.summers),
        spread: false,
    };
    compare(&prepare(&scenario, &Unwatched).unwrap(), how, &Unwatched).unwrap()
}

/// As `lurefield place` does it, with one sweep.
fn places(text: &str) -> PlaceOutcome {
    let question = Question {
        objective: Objective::Damage,
        limits: Limits {
            sites: Some(12),
            ..Limits::default()
        },
        apart_m: 3.0,
        sweeps: vec!["number"],
        neighbors_traps: false,
        all_summers: true,
    };
    place(&scenario(text), &question, &Unwatched, &|_| false).unwrap()
}

/// The numbers of a comparison.
fn compared(text: &str) -> String {
    let outcome = compares(text);
    let plans: Vec<_> = outcome
        .plans
        .iter()
        .map(|p| {
            let count = [
                p.finding.count.more,
                p.finding.count.no_change,
                p.finding.count.less,
            ];
            let taken = [p.caught_mean, p.removed_mean, p.killed_mean];
            let change = (
                p.finding.change.mean,
                p.finding.change.error,
                p.finding.after(),
            );
            (count, change, taken, &p.effort, &p.plant_classes, &p.mating)
        })
        .collect();
    digest(&(&outcome.run, plans, &outcome.seasons))
}

const BEETLES: &str = r#""pest": "japanese-beetle", "window": { "days": 3 },
    "crops": [{ "name": "vines", "kind": "grape", "row": { "from": [4, 8], "to": [14, 8], "count": 4 } },
              { "name": "beans", "kind": "pole-bean", "row": { "from": [4, 3], "to": [8, 3], "count": 3 } }]"#;

/// A question by its name, and its digest today.
fn digests() -> Digests {
    let yard = |rest: &str, summers: u32| {
        format!(
            r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": 18, "depth": 12 }}, {rest},
            "settings": {{ "summers": {summers}, "seed": 21 }} }}"#
        )
    };
    let beetles = |rest: &str, summers: u32| yard(&format!("{BEETLES}, {rest}"), summers);
    let of = |name: &str, digest: String| (name.to_owned(), digest);
    let trap = r#"{ "name": "trap", "traps": [{ "at": [9, 10] }] }"#;
    let west = r#""wind": { "usually_from": "west", "strength": "light" }"#;
    BTreeMap::from([
        of(
            "run, fitted beetles, trap, shed, next door",
            digest(&runs(&beetles(
                &format!(
                    r#"{west}, "surroundings": {{ "pressure": "light" }},
                    "structures": [{{ "name": "shed", "kind": "shed", "from": [15, 1], "to": [17, 3] }}],
                    "neighbours": [{{ "name": "east", "from": [19, 0], "to": [30, 12],
                        "crops": [{{ "name": "theirs", "kind": "rose", "single": [24, 6] }}] }}],
                    "plans": [{{ "name": "nothing" }}, {trap}]"#
                ),
                8,
            ))),
        ),
        of(
            "run, beetles from their ranges, full and worn traps",
            digest(&runs(&beetles(
                r#""biology": "ranges", "surroundings": { "pressure": "usual" },
                "trap_values": { "bucket": { "capacity": [4, 5] } },
                "plans": [{ "name": "nothing" },
                    { "name": "two", "traps": [{ "at": [9, 10], "empty_every": 2 }, { "at": [2, 2], "lure_age": 60, "lures": 2 }] },
                    { "name": "disc", "traps": [{ "at": [9, 10], "catch_radius": 2 }] }]"#,
                6,
            ))),
        ),
        of(
            "compare, beetles under every method",
            compared(&beetles(
                &format!(
                    r#"{west}, "surroundings": {{ "pressure": "usual", "chewed_leaves_call": true }},
                    "plans": [{{ "name": "nothing" }}, {trap},
                    {{ "name": "net", "methods": [{{ "method": "row-cover", "crops": ["vines"], "mesh_mm": 4, "open_days": [2, 2] }}] }},
                    {{ "name": "hands", "methods": [{{ "method": "hand-removal", "times": ["9:00", "19:00"] }}] }},
                    {{ "name": "spray", "methods": [{{ "method": "repellent", "crops": ["vines"] }}] }},
                    {{ "name": "water", "traps": [{{ "at": [9, 10] }}], "methods": [{{ "method": "water-spray", "crops": ["vines"] }}] }}]"#
                ),
                8,
            )),
        ),
        of(
            "compare, codling moths that mate, bags",
            compared(&yard(
                r#""pest": "codling-moth", "window": { "days": 6 },
                "crops": [{ "name": "apples", "kind": "apple", "row": { "from": [4, 6], "to": [14, 6], "count": 3 } }],
                "surroundings": { "pressure": { "on_plants_a_day": [0.2, 0.6] },
                    "sources": [{ "name": "old tree", "at": [9, 11], "a_day": 10 }] },
                "plans": [{ "name": "nothing" }, { "name": "trap", "traps": [{ "at": [9, 9] }] },
                    { "name": "bags", "methods": [{ "method": "fruit-bags", "share": 0.5 }] }]"#,
                8,
            )),
        ),
        of(
            "compare, slugs that creep home",
            compared(&yard(
                r#""pest": "gray-field-slug", "window": { "days": 3 },
                "crops": [{ "name": "lettuces", "kind": "lettuce", "row": { "from": [4, 6], "to": [8, 6], "count": 6 } }],
                "surroundings": { "pressure": { "on_plants_a_day": [0.2, 0.6] } }, "wind": { "strength": "still" },
                "plans": [{ "name": "nothing" }, { "name": "cup", "traps": [{ "at": [6, 6.5], "kind": "cup", "empty_every": 1 }] }]"#,
                6,
            )),
        ),
        of(
            "compare, an isolated yard over three seasons",
            compared(&beetles(
                r#""surroundings": { "pressure": { "on_plants_a_day": [2, 6] }, "setting": "isolated", "margin": 6, "seasons": 3 },
                "plans": [{ "name": "nothing" }, { "name": "two", "traps": [{ "at": [1, 1] }, { "at": [17, 11] }] }]"#,
                6,
            )),
        ),
        of(
            "run, fitted stink bugs from a wood edge",
            digest(&runs(&yard(
                r#""pest": "brown-marmorated-stink-bug", "window": { "days": 3 },
                "crops": [{ "name": "tomatoes", "kind": "tomato", "row": { "from": [4, 6], "to": [10, 6], "count": 5 } }],
                "surroundings": { "pressure": "usual",
                    "sources": [{ "name": "wood", "at": [9, 20], "radius": 4 }] },
                "plans": [{ "name": "nothing" }, { "name": "trap", "traps": [{ "at": [12, 6] }] }]"#,
                6,
            ))),
        ),
        of(
            "place, fitted beetles, one to four traps",
            digest(&places(&beetles(
                &format!(r#"{west}, "surroundings": {{ "pressure": "light" }}, "plans": [{trap}]"#),
                10,
            ))),
        ),
    ])
}

fn numbers(version: &str) -> [u32; 3] {
    let parts: Vec<u32> = version.split('.').map(|p| p.parse().unwrap()).collect();
    parts.try_into().unwrap()
}

#[test]
fn this_version_answers_to_the_bit_as_its_entry_says() {
    let found = Entry {
        version: VERSION.into(),
        digests: digests(),
    };
    let line = serde_json::to_string_pretty(&found).unwrap();
    if std::env::var("LUREFIELD_LEDGER").is_ok_and(|v| v == "print") {
        println!("{line}");
    }
    let ledger = ledger();
    let last = ledger.versions.last().filter(|e| e.version == VERSION);
    let last = last.unwrap_or_else(|| {
        panic!("tests/data/ledger.json: add this entry at the end of \"versions\":\n{line}")
    });
    let moved: Vec<&String> = found
        .digests
        .keys()
        .filter(|name| last.digests.get(*name) != found.digests.get(*name))
        .collect();
    assert!(
        moved.is_empty() && last.digests.len() == found.digests.len(),
        "results moved under version {VERSION}: {moved:?}. Raise the version in Cargo.toml and add the new digests to \
         tests/data/ledger.json:\n{line}"
    );
}

#[test]
fn entries_are_in_order_and_whole() {
    let versions = ledger().versions;
    let names: Vec<[u32; 3]> = versions.iter().map(|e| numbers(&e.version)).collect();
    assert!(names.is_sorted_by(|a, b| a < b), "{names:?}");
    for entry in &versions {
        assert!(entry.digests.len() >= 5, "{}", entry.version);
        let whole = |d: &String| d.len() == 64 && d.bytes().all(|b| b.is_ascii_hexdigit());
        assert!(entry.digests.values().all(whole), "{}", entry.version);
    }
}

#[test]
fn a_digest_hangs_on_every_bit_and_on_no_word() {
    let digest_of = |name: &str, value: f64| digest(&(name, [value, -0.0], None::<f64>));
    let one = digest_of("a trap", 0.1);
    assert_eq!(one, digest_of("another \"trap\" \\", 0.1));
    assert_ne!(one, digest_of("a trap", 0.1_f64.next_up()));
    assert_eq!(
        numbers_of(r#"{"a\"1\\":[1.5,"2\\",-3e-7],"d":null}"#).trim(),
        "1.5 -3e-7 null"
    );
}
