//! No input makes the reader panic: random bytes, and shipped scenarios with parts changed.

use super::shipped_path;
use lurefield::scenario::{describe, read};
use proptest::prelude::*;
use serde_json::Value;

fn try_read(text: &str) {
    match read(text, "yard.json", &|_| {
        Ok("time,dir_deg,wind_mph\n2013-06-01T09:00,1,1\n".into())
    }) {
        Ok(scenario) => assert!(describe(&scenario).lines().all(|l| l.chars().count() <= 80)),
        Err(faults) => {
            assert!(!faults.is_empty());
            assert!(
                faults
                    .iter()
                    .all(|f| !f.what.is_empty() && !f.fix.is_empty() && f.line > 0),
                "{faults:?}"
            );
        }
    }
}

/// Every place of a value.
fn places(value: &Value, at: &str, out: &mut Vec<String>) {
    out.push(at.to_string());
    match value {
        Value::Object(map) => map
            .iter()
            .for_each(|(k, v)| places(v, &format!("{at}/{k}"), out)),
        Value::Array(list) => list
            .iter()
            .enumerate()
            .for_each(|(i, v)| places(v, &format!("{at}/{i}"), out)),
        _ => {}
    }
}

fn odd_value() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        Just(Value::Bool(true)),
        Just(Value::from(0)),
        Just(Value::from(-1)),
        Just(Value::from(1e300)),
        Just(Value::from(u64::MAX)),
        Just(Value::from(0.001)),
        Just(Value::Array(vec![])),
        Just(Value::Object(serde_json::Map::new())),
        Just(Value::from(vec![5.0, 1.0])),
        any::<f64>().prop_map(|f| if f.is_finite() {
            Value::from(f)
        } else {
            Value::Null
        }),
        "[0-9.]{0,6} ?(ft|m|in|mph|')?[ \\PC]{0,3}".prop_map(Value::from),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(7), ..ProptestConfig::default() })]

    #[test]
    fn random_text_never_panics(text in "\\PC{0,200}") {
        try_read(&text);
    }

    #[test]
    fn random_json_like_text_never_panics(text in "[\\[\\]{}\":,0-9a-z.eE\\\\ \n-]{0,200}") {
        try_read(&text);
    }

    #[test]
    fn changed_scenarios_never_panic(which in 0..4usize, picks in proptest::collection::vec((any::<prop::sample::Index>(), odd_value()), 1..4)) {
        let name = ["allotment-beetles", "dozen-apples-codling-moth", "newark-wind-beetles", "backyard-pears-stink-bug"][which];
        let text = std::fs::read_to_string(shipped_path(&format!("{name}.json"))).unwrap();
        let mut value: Value = serde_json::from_str(&text).unwrap();
        for (pick, odd) in picks {
            let mut all = Vec::new();
            places(&value, "", &mut all);
            let at = pick.get(&all).clone();
            *value.pointer_mut(&at).unwrap() = odd;
        }
        try_read(&serde_json::to_string_pretty(&value).unwrap());
    }

    #[test]
    fn cut_scenarios_never_panic(cut in 0..4000usize) {
        let text = std::fs::read_to_string(shipped_path("allotment-beetles.json")).unwrap();
        let end = cut.min(text.len());
        if text.is_char_boundary(end) {
            try_read(&text[..end]);
        }
    }
}
