//! The desk of the page, without a browser: any number of workers finds the bytes that one process finds, and what is asked
//! wrongly is told.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that fails should panic"
)]

use lurefield::count::prepare::prepare;
use lurefield::desk::Desk;
use lurefield::engine::ensemble::Unwatched;
use lurefield::placement::objective::Objective;
use lurefield::placement::search::{Question, place};
use lurefield::placement::site::Limits;
use lurefield::report::{self, Facts};
use lurefield::scenario::{self, Scenario};
use lurefield::stats::paired;
use lurefield::study::compare::{How, compare};
use lurefield::study::run::run_for;
use lurefield::study::settle::Take;
use proptest::prelude::*;
use rand::rngs::StdRng;
use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use serde_json::{Value, json};
use std::path::Path;

const YARDS: [(&str, &str); 3] = [
    (
        "allotment-beetles.json",
        include_str!("../scenarios/allotment-beetles.json"),
    ),
    (
        "strawberry-slugs.json",
        include_str!("../scenarios/strawberry-slugs.json"),
    ),
    (
        "newark-wind-beetles.json",
        include_str!("../scenarios/newark-wind-beetles.json"),
    ),
];

fn packed(head: &Value, raw: &[u8]) -> Vec<u8> {
    let head = head.to_string();
    let mut bytes = (head.len() as u32).to_le_bytes().to_vec();
    bytes.extend(head.as_bytes());
    bytes.extend(raw);
    bytes
}

fn ask(desk: &mut Desk, head: &Value, raw: &[u8]) -> (Value, Vec<u8>) {
    parted(&desk.call(&packed(head, raw)))
}

fn parted(answer: &[u8]) -> (Value, Vec<u8>) {
    let (length, rest) = answer.split_first_chunk::<4>().unwrap();
    let (head, raw) = rest.split_at(u32::from_le_bytes(*length) as usize);
    (serde_json::from_slice(head).unwrap(), raw.to_vec())
}

/// The shares of a step, each with its length.
fn joined(answers: &[(Value, Vec<u8>)]) -> Vec<u8> {
    let mut all = Vec::new();
    for (_, share) in answers {
        all.extend((share.len() as u32).to_le_bytes());
        all.extend(share);
    }
    all
}

fn begin(question: &str, (name, text): (&str, &str), options: &Value) -> Value {
    json!({
        "do": "begin", "id": 7, "question": question, "text": text, "name": name, "options": options,
    })
}

/// What so many workers answer, and all that was told on the way. Who does what, and who hears of it when, is drawn by lot.
fn found(workers: usize, question: &Value) -> (Value, Vec<Value>) {
    let mut lot = StdRng::seed_from_u64(workers as u64);
    let mut desks: Vec<Desk> = (0..workers).map(|_| Desk::default()).collect();
    let mut heads: Vec<Value> = Vec::new();
    for (k, desk) in desks.iter_mut().enumerate() {
        let mut head = question.clone();
        head["files"] = (k == 0).into();
        heads.push(ask(desk, &head, &[]).0);
    }
    let mut news: Vec<Vec<u8>> = vec![Vec::new(); workers];
    let (mut told, mut stretch, mut left, mut open) = (Vec::new(), 0, Vec::new(), 0);
    loop {
        let k = lot.random_range(0..workers);
        let head = heads[k].clone();
        assert_eq!(head["ok"], true, "{head}");
        if head["state"] == "done" {
            if k == 0 {
                told.push(head["so_far"].clone());
                told.dedup();
                return (head, told);
            }
            continue;
        }
        let at = head["part"]["stretch"].as_u64().unwrap();
        if at > stretch {
            (stretch, open) = (at, head["part"]["of"].as_u64().unwrap());
            left = (0..open).collect();
            left.shuffle(&mut lot);
        }
        if at == stretch && left.is_empty() && open > 0 {
            continue;
        }
        let many = if at == stretch {
            lot.random_range(1..9)
        } else {
            0
        };
        let units = left.split_off(left.len().saturating_sub(many));
        let head = json!({ "do": "advance", "id": 7, "stretch": at, "units": units });
        let (head, share) = ask(&mut desks[k], &head, &std::mem::take(&mut news[k]));
        open -= units.len() as u64;
        if !share.is_empty() {
            let share = joined(&[(Value::Null, share)]);
            for inbox in &mut news {
                inbox.extend(&share);
            }
        }
        let so_far = Some(&head["so_far"]).filter(|_| head["state"] == "wants");
        if let Some(so_far) = so_far.filter(|s| !s.is_null()) {
            assert_eq!(k, 0, "one worker tells what is known");
            told.push(so_far.clone());
        }
        heads[k] = head;
    }
}

fn read((name, text): (&str, &str)) -> Scenario {
    let load = |_: &str| Ok(include_str!("../scenarios/data/newark-2013-hourly.csv").to_owned());
    scenario::read(text, name, &load).unwrap()
}

fn file(files: &[(String, Vec<u8>)], name: &str) -> String {
    let (_, bytes) = files.iter().find(|(n, _)| n == name).unwrap();
    String::from_utf8(bytes.clone()).unwrap()
}

#[test]
fn a_run_shared_by_workers_is_that_of_the_program_to_the_last_byte() {
    for yard in YARDS {
        let mut scenario = read(yard);
        let take = Take {
            exactly: Some(23),
            most: scenario.settings.summers,
            work: None,
        };
        scenario.settings.summers = 23;
        let prepared = prepare(&scenario, &Unwatched).unwrap();
        let outcome = run_for(&prepared, take, &Unwatched).unwrap();
        let files = report::run_files(&scenario, &outcome, &Facts::default());
        for workers in [1, 2, 7] {
            let (done, told) = found(workers, &begin("run", yard, &json!({ "summers": 23 })));
            for name in ["summary.json", "summary.csv"] {
                assert_eq!(
                    done["files"][name],
                    file(&files, name),
                    "{} {workers}",
                    yard.0
                );
            }
            let summers: Vec<u64> = told.iter().filter_map(|t| t["summers"].as_u64()).collect();
            // A worker that lags behind tells the newest.
            assert!(summers.is_sorted() && summers.iter().all(|n| [10, 20, 23].contains(n)));
            let last = told.last().unwrap();
            assert_eq!(last["summers"], 23);
            let mean = last["plans"][1]["mean"].as_f64().unwrap();
            assert_eq!(mean, outcome.plans[1].damage.mean);
        }
    }
}

#[test]
fn a_trap_that_moved_needs_no_pilot_and_finds_the_same_bytes() {
    let (name, text) = YARDS[0];
    let mut moved: Value = serde_json::from_str(text).unwrap();
    moved["plans"][1]["traps"][0]["at"] = json!(["31 ft", "21 ft"]);
    let moved = moved.to_string();
    let question = |text| begin("run", (name, text), &json!({ "summers": 4 }));
    let mut desk = Desk::default();
    let mut steps = Vec::new();
    let mut answered = |desk: &mut Desk, text| {
        let mut head = question(text);
        head["files"] = true.into();
        let (mut told, mut share) = ask(desk, &head, &[]);
        let mut stages = Vec::new();
        while told["state"] == "wants" {
            let part = &told["part"];
            stages.push(part["stage"].clone());
            let units: Vec<u64> = (0..part["of"].as_u64().unwrap()).collect();
            let head = json!({
                "do": "advance", "id": 7, "stretch": part["stretch"],
                "units": if share.is_empty() { units } else { Vec::new() },
            });
            let raw = if share.is_empty() {
                Vec::new()
            } else {
                joined(&[(Value::Null, share)])
            };
            (told, share) = ask(desk, &head, &raw);
        }
        steps.push(stages);
        told["files"]["summary.json"].clone()
    };
    answered(&mut desk, text);
    let again = answered(&mut desk, &moved);
    let anew = answered(&mut Desk::default(), &moved);
    assert_eq!(again, anew);
    assert!(steps[0].contains(&json!("draws")) && steps[2].contains(&json!("draws")));
    assert!(!steps[1].contains(&json!("draws")));
}

#[test]
fn a_search_shared_by_workers_is_that_of_the_program_to_the_last_byte() {
    for yard in YARDS {
        let mut scenario = read(yard);
        scenario.settings.summers = 9;
        let question = Question {
            objective: Objective::Damage,
            limits: Limits {
                sites: Some(26),
                ..Limits::default()
            },
            apart_m: 3.048,
            sweeps: Vec::new(),
            neighbors_traps: false,
            all_summers: true,
        };
        let outcome = place(&scenario, &question, &Unwatched, &|_| false).unwrap();
        let files = report::place::files(&scenario, &outcome, &Facts::default());
        for workers in [1, 2, 7] {
            let options = json!({ "summers": 9, "sites": 26 });
            let (done, told) = found(workers, &begin("place", yard, &options));
            for name in ["placement.json", "placement.csv", "placement.txt"] {
                assert_eq!(
                    done["files"][name],
                    file(&files, name),
                    "{} {workers}",
                    yard.0
                );
            }
            let sites = told[0]["sites"].as_array().unwrap();
            assert!(told.len() >= 2 && !sites.is_empty());
        }
    }
}

#[test]
fn plans_compared_until_settled_take_the_summers_that_the_program_takes() {
    let yard = YARDS[1];
    let mut scenario = read(yard);
    let take = Take::until_settled(80);
    scenario.settings.summers = 80;
    let prepared = prepare(&scenario, &Unwatched).unwrap();
    let how = How {
        take,
        spread: false,
    };
    let outcome = compare(&prepared, how, &Unwatched).unwrap();
    scenario.settings.summers = outcome.run.summers;
    let files = report::compare::files(&scenario, &outcome, &Facts::default());
    let (done, _) = found(2, &begin("compare", yard, &json!({ "most": 80 })));
    assert_eq!(done["files"]["compare.json"], file(&files, "compare.json"));
    let story = json!({
        "do": "story", "text": yard.1, "name": yard.0, "files": done["files"],
    });
    let (told, _) = ask(&mut Desk::default(), &story, &[]);
    assert_eq!(told["ok"], true, "{told}");
    let text = told["files"]["help-desk.txt"].as_str().unwrap();
    assert!(text.split(' ').count() > 60);
}

#[test]
fn one_summer_can_be_watched() {
    let (done, _) = found(2, &begin("watch", YARDS[0], &json!({ "summers": 5 })));
    let one = done["files"]["one-summer.json"].as_str().unwrap();
    let one: Value = serde_json::from_str(one).unwrap();
    assert!(!one["insects"].as_array().unwrap().is_empty());
}

#[test]
fn a_yard_is_read_with_its_faults_in_place() {
    let mut desk = Desk::default();
    let (told, _) = ask(&mut desk, &json!({ "do": "read", "text": YARDS[0].1 }), &[]);
    let scenario = read(YARDS[0]);
    assert_eq!(told["faults"], json!([]));
    assert_eq!(
        told["yard"]["plants"].as_array().unwrap().len(),
        scenario.plants.len()
    );
    assert_eq!(
        told["yard"]["plans"].as_array().unwrap().len(),
        scenario.plans.len()
    );
    let text = YARDS[0].1.replacen("raspberry", "raspbery", 1);
    let (told, _) = ask(
        &mut desk,
        &json!({ "do": "read", "text": text, "name": "y.json" }),
        &[],
    );
    assert_eq!(told["ok"], true);
    assert!(told["yard"].is_null());
    assert_eq!(told["faults"][0]["place"], "crops[0].kind");
    assert!(told["faults"][0]["line"].as_u64().unwrap() > 1);
    let (choices, _) = ask(&mut desk, &json!({ "do": "choices" }), &[]);
    for yard in choices["yards"].as_array().unwrap() {
        let (told, _) = ask(
            &mut desk,
            &json!({ "do": "read", "text": yard["text"] }),
            &[],
        );
        assert_eq!(told["faults"], json!([]), "{}", yard["name"]);
    }
    let (texts, _) = ask(&mut desk, &json!({ "do": "texts", "language": "en" }), &[]);
    assert!(texts["texts"]["desk.no-question"].is_string());
}

#[test]
fn a_yard_from_answers_reads_and_answers_that_make_none_are_told() {
    let mut desk = Desk::default();
    let composed = |desk: &mut Desk, changed: &Value| {
        let mut asked = json!({
            "do": "compose", "pest": "japanese-beetle", "crop": "rose", "width_ft": 60.0, "depth_ft": 40.0,
            "plants": 8, "trap_ft": 10.0, "wind": "unknown", "pressure": "usual",
        });
        for (key, value) in changed.as_object().unwrap() {
            asked[key] = value.clone();
        }
        ask(desk, &asked, &[]).0
    };
    for plants in [1, 8] {
        let answer = composed(&mut desk, &json!({ "plants": plants }));
        let yard = read(("my-yard.json", answer["text"].as_str().unwrap()));
        assert_eq!(yard.plants.len(), plants);
        assert!((yard.yard.width() - 60.0 * 0.3048).abs() < 1e-9);
    }
    for (changed, told) in [
        (json!({ "plants": 0 }), "\"0\" is no number of plants"),
        (
            json!({ "plants": 400 }),
            "plant fewer or make the yard larger",
        ),
        (json!({ "width_ft": -4.0 }), "-4 ft is out of bounds"),
        (json!({ "depth_ft": 1e300 }), "out of bounds"),
        (json!({ "trap_ft": 300.0 }), "Move it nearer"),
        (json!({ "crop": "roze" }), "did you mean \"rose\""),
    ] {
        let answer = composed(&mut desk, &changed);
        assert_eq!(answer["ok"], false, "{changed}");
        let says = answer["say"].as_str().unwrap();
        assert!(says.contains(told), "{changed}: {says}");
    }
}

#[test]
fn a_dropped_question_is_gone_and_a_lost_share_is_told() {
    let mut desk = Desk::default();
    let question = begin("run", YARDS[0], &json!({ "summers": 3 }));
    let (wants, share) = ask(&mut desk, &question, &[]);
    assert_eq!(wants["state"], "wants");
    assert!(wants["part"]["of"].as_u64().unwrap() > 2 && share.is_empty());
    let advance = json!({ "do": "advance", "id": 7, "stretch": 1, "units": [2] });
    let (_, share) = ask(&mut desk, &advance, &[]);
    let mut changed = joined(&[(Value::Null, share)]);
    *changed.last_mut().unwrap() ^= 1;
    let (told, _) = ask(&mut desk, &advance, &changed);
    assert_eq!(told["ok"], false);
    assert!(told["say"].as_str().unwrap().ends_with('.'));
    assert_eq!(ask(&mut desk, &advance, &[]).0["ok"], false);
    ask(&mut desk, &question, &[]);
    assert_eq!(
        ask(&mut desk, &json!({ "do": "drop", "id": 7 }), &[]).0["ok"],
        true
    );
    assert_eq!(ask(&mut desk, &advance, &[]).0["ok"], false);
}

#[test]
fn what_no_yard_can_be_is_told() {
    let mut desk = Desk::default();
    let bad = [
        begin("run", ("x.json", "{"), &json!({})),
        begin("run", YARDS[0], &json!({ "summers": 0 })),
        begin("run", YARDS[0], &json!({ "summers": -1 })),
        begin("place", YARDS[0], &json!({ "objective": "people" })),
        begin("place", YARDS[0], &json!({ "tolerance": 200 })),
        begin("dance", YARDS[0], &json!({})),
        begin("run", YARDS[0], &json!({ "language": "xx" })),
        json!({ "do": "advance", "id": 1, "units": [-1] }),
        json!({ "do": "story", "text": YARDS[0].1, "files": {} }),
        json!({ "do": "story", "text": YARDS[0].1, "files": { "summary.json": "{\"format\":1}" } }),
        json!({ "do": "nothing known" }),
        json!([]),
    ];
    for head in bad {
        let (told, _) = ask(&mut desk, &head, &[]);
        assert_eq!(told["ok"], false, "{head}");
        assert!(!told["say"].as_str().unwrap().is_empty());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn bytes_that_are_no_request_are_refused(bytes in prop::collection::vec(any::<u8>(), 0..60)) {
        let (told, _) = parted(&Desk::default().call(&bytes));
        prop_assert_eq!(&told["ok"], &json!(false));
    }

    #[test]
    fn a_request_with_changed_bytes_never_panics(at in 0..400_usize, to in any::<u8>()) {
        let mut request = packed(&json!({ "do": "read", "text": YARDS[1].1 }), &[]);
        let at = at % request.len();
        request[at] = to;
        let (told, _) = parted(&Desk::default().call(&request));
        prop_assert!(told["ok"].is_boolean());
    }
}

#[test]
fn a_plan_is_set_against_another_on_the_same_summers() {
    let yard = YARDS[0];
    let scenario = read(yard);
    let (a, b) = (&scenario.plans[1].name, &scenario.plans[2].name);
    let prepared = prepare(&scenario, &Unwatched).unwrap();
    let outcome = run_for(&prepared, Take::exactly(30), &Unwatched).unwrap();
    let of = |name: &str| outcome.plans.iter().find(|p| p.name == name).unwrap();
    let count = |first: &str| {
        let changes = paired::differences(&of(first).damage_by_summer, &of(b).damage_by_summer);
        paired::count(&changes, scenario.settings.tie_band).told()
    };
    assert_ne!(count(a), count(&scenario.plans[0].name));
    for question in ["run", "compare"] {
        let options = json!({ "summers": 30, "against": a });
        let (done, _) = found(2, &begin(question, yard, &options));
        let plans = done["so_far"]["plans"].as_array().unwrap();
        assert_eq!(plans[0]["name"], **a);
        assert!(plans[0]["says"].is_null());
        let told = plans.iter().find(|p| p["name"] == **b).unwrap();
        assert_eq!(told["counts"], serde_json::to_value(count(a)).unwrap());
        let mean = told["mean"].as_f64().unwrap() - plans[0]["mean"].as_f64().unwrap();
        assert!((told["change"]["mean"].as_f64().unwrap() - mean).abs() < 1e-9);
        let says = told["says"].as_str().unwrap();
        assert!(says.contains(&format!(" \"{a}\"")), "{says}");
    }
    let options = json!({ "against": a[1..] });
    let (told, _) = ask(&mut Desk::default(), &begin("run", yard, &options), &[]);
    assert_eq!(told["ok"], false);
    let says = told["say"].as_str().unwrap();
    assert!(says.contains(&format!("did you mean \"{a}\"?")), "{says}");
}

/// What the page is made from, as `src/page/assemble.mjs` takes it.
fn sources() -> String {
    const LEFT: [&str; 4] = [
        "src/cli",
        "src/main.rs",
        "src/page/check",
        "src/page/node_modules",
    ];
    fn under(root: &Path, at: &str, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(root.join(at)).unwrap() {
            let entry = entry.unwrap();
            let name = format!("{at}/{}", entry.file_name().to_str().unwrap());
            match entry.file_type().unwrap().is_dir() {
                _ if LEFT.contains(&name.as_str()) => {}
                true => under(root, &name, found),
                false => found.push(name),
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = vec!["Cargo.lock".to_owned(), "Cargo.toml".to_owned()];
    under(root, "src", &mut files);
    under(root, "scenarios", &mut files);
    files.sort();
    let mut all = Vec::new();
    for file in files {
        let bytes = std::fs::read(root.join(&file)).unwrap();
        all.extend([file.as_bytes(), b"\0", &bytes, b"\0"].concat());
    }
    report::provenance::sha256(&all)
}

#[test]
fn the_page_that_is_kept_is_as_new_as_its_sources() {
    let page = include_str!("../output/lurefield.html");
    let made_from = page.split_once(r#"<meta name="lurefield-sources" content=""#);
    let (made_from, _) = made_from.unwrap().1.split_once('"').unwrap();
    assert_eq!(
        made_from,
        sources(),
        "run src/page/build.sh: output/lurefield.html is older than what it is built from"
    );
}
