//! What `check` says of a scenario.

use super::{lurefield, shipped_path, told};

fn flat(name: &str) -> String {
    let (out, err, code) = told(&lurefield().arg("check").arg(shipped_path(name)).output().unwrap());
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
        "8.0 to 30.0 (usual)",
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
    assert!(text.contains("missing hours that repeat the hour before: 1"), "{text}");
}

#[test]
fn schema_command_prints_the_shipped_schema() {
    let (out, _, code) = told(&lurefield().arg("schema").output().unwrap());
    assert_eq!(code, 0);
    assert_eq!(out, std::fs::read_to_string(shipped_path("scenario.schema.json")).unwrap());
}
