//! What `check` says of a scenario.

use super::{lurefield, shipped_path, told, yard_with};

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
        "10 to 40 (usual)",
        "numbers of the Japanese beetle are drawn from assumed ranges",
        "NOT MODELED",
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
        text.contains("hours with no wind told, which repeat the one before: 1"),
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
    assert_eq!(names, ["no trap", "neighbor's trap only", "a"]);
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
        assert_eq!(super::sourced::fault(s), None);
        assert_eq!(s.source, "set in the scenario");
    }
}

/// The warnings of a yard that reads.
fn warnings(text: &str) -> Vec<String> {
    let read = lurefield::scenario::read(text, "yard.json", &|_| Err(String::new()));
    read.unwrap().warnings
}

#[test]
fn house_on_plants_is_told_and_one_beside_them_is_not() {
    let house = |x: &str, kind: &str| {
        let thing = format!(
            r#""structures": [{{ "name": "house", {kind} "from": ["{x}", "18 ft"], "to": ["26 ft", "22 ft"] }}]"#
        );
        warnings(&yard_with("extra", &thing))
    };
    let told = "\"house\" stands on 1 plant of \"beans\". The insects find it all the same. Check the places.";
    assert_eq!(house("16 ft", r#""kind": "house","#), [told]);
    assert_eq!(house("16 ft", r#""kind": "shed","#), [told]);
    assert_eq!(house("16 ft", ""), [told]);
    // A pot may stand on a patio, and a plant under a tree.
    assert!(house("16 ft", r#""kind": "patio","#).is_empty());
    assert!(house("16 ft", r#""kind": "tree","#).is_empty());
    assert!(house("22 ft", r#""kind": "house","#).is_empty());
}

#[test]
fn trap_among_leaves_is_told_once_and_one_in_a_tree_is_not() {
    let yard = yard_with("", "");
    let yard = lurefield::scenario::read(&yard, "yard.json", &|_| Err(String::new())).unwrap();
    let plant = yard.plants[0].at;
    let plans = |kind: &str, beside_m: f64| {
        let (x, y) = (plant.x + beside_m, plant.y);
        let trap = format!(r#"{{ "name": "T", "at": ["{x} m", "{y} m"] }}"#);
        let plans = format!(
            r#""plans": [{{ "name": "a", "traps": [{trap}] }}, {{ "name": "b", "traps": [{trap}] }}]"#
        );
        warnings(&yard_with("plans", &plans).replace("pole-bean", kind))
    };
    let told = "\"T\" hangs among the leaves of \"beans\". Check its place.";
    assert_eq!(plans("pole-bean", 0.05), [told]);
    assert!(plans("pole-bean", 10.0).is_empty());
    assert!(plans("apple", 0.05).is_empty());
}

#[test]
fn trap_in_a_shed_is_a_fault_and_a_note_where_the_file_insists() {
    let shed = r#""structures": [{ "name": "shed", "from": ["28 ft", "18 ft"], "to": ["32 ft", "22 ft"] }]"#;
    let anyway = yard_with("extra", shed).replace(r#""at": ["#, r#""place_anyway": true, "at": ["#);
    assert_eq!(
        warnings(&anyway),
        ["\"trap 1\" hangs inside \"shed\". The walls stop no insect here. Check its place."]
    );
}

#[test]
fn number_without_a_unit_is_told_with_its_feet_and_0_is_not() {
    let one = yard_with("yard", r#""yard": { "width": 20, "depth": "40 ft" }"#);
    let told = "yard.width: the number has no unit. It is read as meters: 20 m is 65.6 ft. \
                Write \"20 m\", or \"20 ft\" if you mean feet.";
    let one = one.replace("30 ft", "3 ft");
    assert_eq!(warnings(&one), [told]);
    let two = one.replace("\"40 ft\"", "15");
    assert_eq!(
        warnings(&two),
        [format!("{told} This file has 1 more such number.")]
    );
    let three = two.replace("[\"3 ft\", \"20 ft\"]", "[4, 0]");
    assert_eq!(
        warnings(&three),
        [format!("{told} This file has 2 more such numbers.")]
    );
}

/// What `check` says of a yard, in one line.
fn said(part: &str, text: &str) -> String {
    let text = yard_with(part, text);
    let scenario = lurefield::scenario::read(&text, "yard.json", &|_| Err(String::new())).unwrap();
    let told = lurefield::scenario::describe(&scenario);
    told.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn numbers_worked_out_are_told_alike_wherever_they_stand_and_without_stray_decimals() {
    for n in 1..200 {
        let n = f64::from(n * n) / 100.0;
        let around = format!(
            r#""surroundings": {{ "pressure": {{ "on_plants_a_day": {n} }}, "sources": [{{ "name": "nest", "at": [1, 1] }}] }}"#
        );
        let text = said("surroundings", &around);
        for word in text.split([' ', ',', ';', '(']) {
            let decimals = word.trim_end_matches('.').split_once('.');
            let stray = decimals.is_some_and(|(whole, rest)| {
                whole.parse::<u32>().is_ok() && rest.parse::<u64>().is_ok() && rest.len() > 4
            });
            assert!(!stray, "{n}: {word} in {text}");
        }
        let between = |start: &str, end: &str| {
            let rest = text
                .split_once(start)
                .unwrap_or_else(|| panic!("{start} in {text}"))
                .1;
            rest.split_once(end).unwrap().0.to_owned()
        };
        let adds = between("\"nest\" adds ", " a day");
        assert_eq!(adds, between("sources[0].a_day: ", " insects a day"));
        let look = between("without a trap: ", " (about");
        assert_eq!(look, between("taken as ", " [assumed"));
    }
}

#[test]
fn one_day_is_not_many() {
    let every = |days: u32| {
        said(
            "plans",
            &format!(
                r#""plans": [{{ "name": "a", "traps": [{{ "at": [9, 9], "empty_every": {days} }}] }}]"#
            ),
        )
    };
    assert!(every(1).contains("emptied every day"), "{}", every(1));
    assert!(every(2).contains("emptied every 2 days"));
    let days = |n: u32| said("extra", &format!(r#""window": {{ "days": {n} }}"#));
    assert!(
        days(1).contains("- 1 day; simulated summers: at most"),
        "{}",
        days(1)
    );
    assert!(days(21).contains("- 21 days; simulated summers: at most"));
    for text in [every(1), days(1)] {
        for many in ["days", "traps", "plants", "summers"] {
            assert!(!text.contains(&format!(" 1 {many}")), "{text}");
        }
    }
}
