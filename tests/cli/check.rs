//! What `check` says of a scenario.

use super::{lurefield, shipped_path, told};

fn flat(name: &str) -> String {
    let (out, err, code) = told(
        &lurefield()
            .arg("check")
            .arg(shipped_path(name))
            .output()
            .unwrap(),
    );
    assert_eq!((err.as_str(), code), ("", 0));
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn check_names_yard_traps_defaults_and_cautions() {
    let text = flat("allotment-beetles.json");
    for words in [
        "60 ft (18.3 m) west to east, 40 ft (12.2 m) south to north",
        "near trap [removes some]: bucket or bag trap with vanes",
        "10 ft (3.0 m) from the nearest of your plants (raspberries)",
        "no trap: nothing is hung",
        "usually from west, light",
        "10.0 to 40.0 (usual)",
        "numbers of the Japanese beetle are drawn from assumed ranges",
        "NOT MODELLED",
        "A simulation, not a forecast for your yard.",
        "Check with your local extension office",
    ] {
        assert!(text.contains(words), "\"{words}\" is not in: {text}");
    }
}

#[test]
fn check_labels_a_moth_trap_as_one_that_tells() {
    assert!(flat("dozen-apples-codling-moth.json").contains("middle trap [tells you]"));
}

#[test]
fn check_tells_of_missing_hours_and_halved_airport_wind() {
    let text = flat("newark-wind-beetles.json");
    assert!(
        text.contains("missing hours that repeat the hour before: 1"),
        "{text}"
    );
}

#[test]
fn schema_command_prints_the_shipped_schema() {
    let (out, _, code) = told(&lurefield().arg("schema").output().unwrap());
    assert_eq!(code, 0);
    assert_eq!(
        out,
        std::fs::read_to_string(shipped_path("scenario.schema.json")).unwrap()
    );
}

#[test]
fn a_neighbours_trap_stands_in_every_plan_but_no_trap() {
    let text = super::yard_with(
        "extra",
        r#""neighbours": [{ "name": "east", "from": [20, 0], "to": [30, 10], "trap": { "at": [22, 5] } }]"#,
    );
    let scenario = lurefield::scenario::read(&text, "yard.json", &|_| Err(String::new())).unwrap();
    let names: Vec<&str> = scenario.plans.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["no trap", "neighbour's trap only", "a"]);
    let theirs: Vec<usize> = scenario
        .plans
        .iter()
        .map(|p| p.traps.iter().filter(|t| t.neighbours).count())
        .collect();
    assert_eq!(theirs, [0, 1, 1]);
    assert_eq!(scenario.plans[2].traps.len(), 2);
}

#[test]
fn changed_numbers_become_ranges_and_keep_their_unit() {
    let text = super::yard_with(
        "pest",
        r#""pest": { "base": "japanese-beetle", "overrides": { "residence_mean": ["90 min", 3], "arousal": 1.5, "speed": "4 mph" } }"#,
    );
    let scenario = lurefield::scenario::read(&text, "yard.json", &|_| Err(String::new())).unwrap();
    let values = scenario.pest.values;
    assert_eq!(values.residence_mean.range, Some([1.5, 3.0]));
    assert_eq!(values.arousal.range, Some([1.5, 1.5]));
    assert!((values.speed.at(0.37) - 4.0 * 0.447_04).abs() < 1e-12);
    for s in [&values.residence_mean, &values.arousal, &values.speed] {
        assert_eq!(s.fault(), None);
        assert_eq!(s.source, "set in the scenario");
    }
}
