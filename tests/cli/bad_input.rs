//! Wrong input: each fault names file, line, path and remedy; exit code 2; nothing panics.

use super::{check_bytes, lurefield, shipped_path, told, yard_with};

/// The scenario with one part replaced must be refused with all of these words.
#[track_caller]
fn refused(part: &str, text: &str, words: &[&str]) {
    let yard = yard_with(part, text);
    let (err, code) = check_bytes(yard.as_bytes());
    assert_eq!(code, 2, "{err}");
    for word in words {
        assert!(err.contains(word), "\"{word}\" is not in:\n{err}");
    }
    assert!(
        err.lines()
            .all(|l| l.starts_with("yard.json:") || l.contains("nothing was run")),
        "{err}"
    );
}

#[test]
fn the_plain_yard_is_accepted() {
    assert_eq!(
        check_bytes(yard_with("none", "").as_bytes()),
        (String::new(), 0)
    );
}

#[test]
fn byte_order_mark_and_windows_line_ends_are_accepted() {
    let text = format!("\u{feff}{}", yard_with("none", "").replace('\n', "\r\n"));
    assert_eq!(check_bytes(text.as_bytes()).1, 0);
}

#[test]
fn line_numbers_count_windows_line_ends_once() {
    let text = yard_with("pest", r#""pest": "beetle""#).replace('\n', "\r\n");
    let (err, _) = check_bytes(text.as_bytes());
    assert!(
        err.contains("yard.json:6: pest: unknown pest \"beetle\""),
        "{err}"
    );
}

#[test]
fn unknown_name_suggests_the_nearest() {
    refused(
        "yard",
        r#""yard": { "widht": "60 ft", "depth": "40 ft" }"#,
        &[
            "yard.json:4: yard.widht: unknown name \"widht\"; did you mean \"width\"?",
            "yard: \"width\" is missing; add \"width\": a length such as \"30 ft\"",
        ],
    );
}

#[test]
fn trap_outside_the_yard_says_how_far_and_what_to_enlarge() {
    refused(
        "plans",
        r#""plans": [{ "name": "a", "traps": [{ "at": ["71 ft", "20 ft"] }] }]"#,
        &[
            "yard.json:7: plans[0].traps[0].at: trap stands 11 ft (3.4 m) outside the yard; move it inside or enlarge \"yard.width\"",
        ],
    );
}

#[test]
fn trap_inside_a_structure_is_refused_unless_placed_anyway() {
    let shed = r#""structures": [{ "name": "shed", "from": ["28 ft", "18 ft"], "to": ["32 ft", "22 ft"] }]"#;
    refused(
        "extra",
        shed,
        &[
            "plans[0].traps[0].at: trap stands inside \"shed\"",
            "\"place_anyway\": true",
        ],
    );
    let anyway = yard_with("extra", shed).replace(r#""at": ["#, r#""place_anyway": true, "at": ["#);
    assert_eq!(check_bytes(anyway.as_bytes()).1, 0);
}

#[test]
fn trap_in_a_no_hang_zone_is_refused() {
    refused(
        "extra",
        r#""no_hang": [{ "name": "seat", "at": ["30 ft", "20 ft"], "radius": "3 ft" }]"#,
        &["no-hang zone \"seat\""],
    );
}

#[test]
fn plants_outside_the_yard_are_refused() {
    refused(
        "crops",
        r#""crops": [{ "name": "beans", "kind": "pole-bean", "row": { "from": [1, 1], "to": [1, 20], "count": 5 } }]"#,
        &[
            "crops[0]: 2 of 5 plants stand outside the yard, up to 25.5 ft (7.8 m)",
            "enlarge \"yard.depth\"",
        ],
    );
}

#[test]
fn crops_on_one_spot_are_refused_and_touching_canopies_are_fine() {
    let two = |x: &str| {
        let one = r#"{ "name": "beans", "kind": "pole-bean", "single": ["20 ft", "20 ft"] }"#;
        format!(
            r#""crops": [{one}, {{ "name": "roses", "kind": "rose", "single": ["{x}", "20 ft"] }}]"#
        )
    };
    refused(
        "crops",
        &two("20 ft"),
        &["crops[1]: a plant of \"roses\" stands on one of \"beans\""],
    );
    assert_eq!(
        check_bytes(yard_with("crops", &two("20 ft 6 in")).as_bytes()).1,
        0
    );
}

#[test]
fn blocks_that_lie_on_each_other_are_refused() {
    let block = |name: &str, x0: u32| {
        format!(
            r#"{{ "name": "{name}", "kind": "strawberry", "block": {{ "from": [{x0}, 1], "to": [{}, 3] }} }}"#,
            x0 + 4
        )
    };
    refused(
        "crops",
        &format!(r#""crops": [{}, {}]"#, block("a", 1), block("b", 2)),
        &["lie on each other by more than half"],
    );
}

#[test]
fn empty_crops_and_names_are_refused() {
    refused("crops", r#""crops": []"#, &["crops: there is no crop"]);
    refused(
        "crops",
        r#""crops": [{ "name": " ", "kind": "rose", "single": [1, 1] }]"#,
        &["crops[0].name: the name is empty"],
    );
    refused("title", r#""title": """#, &["title: the title is empty"]);
}

#[test]
fn crop_without_or_with_two_layouts_is_refused() {
    refused(
        "crops",
        r#""crops": [{ "name": "a", "kind": "rose" }]"#,
        &["has no place", "\"single\""],
    );
    let two = r#""crops": [{ "name": "a", "kind": "rose", "single": [1, 1], "ring": { "centre": [5, 5], "radius": 1 } }]"#;
    refused("crops", two, &["more than one layout"]);
}

#[test]
fn duplicate_names_are_refused() {
    let plan = r#"{ "name": "A", "traps": [] }"#;
    refused(
        "plans",
        &format!(r#""plans": [{plan}, {plan}]"#),
        &["plans[1].name: the name \"A\" is used twice"],
    );
}

#[test]
fn duplicate_keys_are_refused_at_the_second() {
    refused(
        "extra",
        r#""title": "again""#,
        &["yard.json:8: title: \"title\" is written twice"],
    );
}

#[test]
fn unknown_pest_crop_lure_and_trap_suggest_names() {
    refused(
        "pest",
        r#""pest": "japanese-beatle""#,
        &["pest: unknown pest \"japanese-beatle\"; did you mean \"japanese-beetle\"?"],
    );
    refused(
        "crops",
        r#""crops": [{ "name": "a", "kind": "rapsberry", "single": [1, 1] }]"#,
        &["did you mean \"raspberry\"?"],
    );
    refused(
        "plans",
        r#""plans": [{ "name": "a", "traps": [{ "at": [1, 1], "lure": "slug-bear", "kind": "buckt" }] }]"#,
        &["did you mean \"slug-beer\"?", "did you mean \"bucket\"?"],
    );
}

#[test]
fn lure_of_another_pest_is_a_warning_only() {
    let text = yard_with(
        "plans",
        r#""plans": [{ "name": "a", "traps": [{ "at": [1, 1], "lure": "slug-beer" }] }]"#,
    );
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("yard.json");
    std::fs::write(&path, text).unwrap();
    let (out, _, code) = told(&lurefield().arg("check").arg(&path).output().unwrap());
    assert_eq!(code, 0);
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("is not made for the Japanese beetle"),
        "{out}"
    );
}

#[test]
fn sizes_that_are_none_are_refused() {
    let yard = |width: &str| format!(r#""yard": {{ "width": {width}, "depth": 10 }}"#);
    refused(
        "yard",
        &yard("-3"),
        &["yard.width: -10 ft (-3.0 m) must be above 0"],
    );
    refused(
        "yard",
        &yard("0"),
        &["yard.width: 0.0 ft (0.00 m) must be above 0"],
    );
    refused(
        "yard",
        &yard("600"),
        &["yard.width", "out of bounds", "(500.0 m)"],
    );
    refused("yard", &yard("1e308"), &["yard.width", "out of bounds"]);
    refused(
        "yard",
        &yard("\"thirty feet\""),
        &["yard.width: \"thirty feet\" is not a length such as \"30 ft\""],
    );
    refused("yard", &yard("\"30\""), &["is not a length"]);
    refused(
        "yard",
        &yard("true"),
        &["yard.width: found true; write a length"],
    );
    refused("yard", &yard("\"NaN ft\""), &["is not a length"]);
    refused("yard", &yard("\"1e400 ft\""), &["is not a length"]);
}

#[test]
fn numbers_that_are_none_are_refused_as_text_errors() {
    refused(
        "yard",
        r#""yard": { "width": NaN, "depth": 10 }"#,
        &["yard.json:4: ", "NaN or Infinity"],
    );
    refused(
        "yard",
        r#""yard": { "width": Infinity, "depth": 10 }"#,
        &["yard.json:4: ", "NaN or Infinity"],
    );
    refused(
        "yard",
        r#""yard": { "width": 1e999, "depth": 10 }"#,
        &["yard.json:4: ", "too large"],
    );
}

#[test]
fn summers_must_be_between_one_and_a_million() {
    refused(
        "extra",
        r#""settings": { "summers": 0 }"#,
        &["settings.summers: 0 summers; write 1 to 1000000"],
    );
    refused(
        "extra",
        r#""settings": { "summers": 1000001 }"#,
        &["settings.summers"],
    );
    refused(
        "extra",
        r#""settings": { "summers": -5 }"#,
        &["settings.summers: -5 is below 0"],
    );
    refused(
        "extra",
        r#""settings": { "summers": 5.5 }"#,
        &["settings.summers: found the number 5.5; write a whole number"],
    );
    refused(
        "extra",
        r#""settings": { "summers": 99999999999 }"#,
        &["settings.summers", "too large"],
    );
}

#[test]
fn pressure_must_be_a_believable_number() {
    refused(
        "extra",
        r#""surroundings": { "pressure": { "on_plants_a_day": 1000000000 } }"#,
        &["on_plants_a_day", "write at most 100000"],
    );
    refused(
        "extra",
        r#""surroundings": { "pressure": { "on_plants_a_day": 0 } }"#,
        &["above 0"],
    );
    refused(
        "extra",
        r#""surroundings": { "pressure": { "on_plants_a_day": [9, 3] } }"#,
        &["lower end first"],
    );
    refused(
        "extra",
        r#""surroundings": { "pressure": "havy" }"#,
        &["unknown word \"havy\"; did you mean \"heavy\"?"],
    );
}

#[test]
fn wind_shares_must_add_up() {
    let table =
        r#""wind": { "sectors": [{ "from": "W", "share": 0.5, "speed": "5 mph" }], "calm": 0.2 }"#;
    refused(
        "extra",
        table,
        &["wind.sectors: shares and calm add up to 0.700"],
    );
    refused(
        "extra",
        r#""wind": { "usually_from": "wset" }"#,
        &["wind.usually_from: unknown side \"wset\"; did you mean \"west\"?"],
    );
    refused(
        "extra",
        r#""wind": { "usually_from": "west", "file": "x.csv" }"#,
        &["wind: the wind is not clear"],
    );
    refused(
        "extra",
        r#""wind": { "file": "missing.csv" }"#,
        &["wind.file: missing.csv: there is no such file"],
    );
}

#[test]
fn changed_numbers_are_checked() {
    let pest = |change: &str| {
        format!(r#""pest": {{ "base": "japanese-beetle", "overrides": {{ {change} }} }}"#)
    };
    refused(
        "pest",
        &pest(r#""sped": 2"#),
        &[
            "pest.overrides.sped: unknown number",
            "did you mean \"speed\"?",
        ],
    );
    refused(
        "pest",
        &pest(r#""speed": [3, 1]"#),
        &["pest.overrides.speed: range [3, 1] is upside down"],
    );
    refused("pest", &pest(r#""speed": 0"#), &["must be above 0"]);
    refused("pest", &pest(r#""female_share": 1.4"#), &["is more than 1"]);
    refused("pest", &pest(r#""speed": "2 ft""#), &["is not a speed"]);
    refused(
        "pest",
        &pest(r#""speed": [1, 2, 3]"#),
        &["pest.overrides.speed: list of 3 where 2 belong"],
    );
    let shares = r#""trap_values": { "bucket": { "capture": 0.9 } }"#;
    refused(
        "extra",
        shares,
        &["trap_values.bucket: capture and land add up to as much as 1.21"],
    );
    refused(
        "extra",
        r#""lure_values": { "slug-beer": { "reach": "2 m" } }"#,
        &["no plan uses this lure"],
    );
}

#[test]
fn neighbours_lie_outside_and_owners_exist() {
    refused(
        "extra",
        r#""neighbours": [{ "name": "east", "from": [10, 0], "to": [30, 10] }]"#,
        &["lies on your yard"],
    );
    refused(
        "plans",
        r#""plans": [{ "name": "a", "traps": [{ "at": [1, 1], "owner": "nobody" }] }]"#,
        &["unknown owner \"nobody\""],
    );
}

#[test]
fn days_of_a_trap_lie_in_the_window() {
    refused(
        "plans",
        r#""plans": [{ "name": "a", "traps": [{ "at": [1, 1], "from_day": 40 }] }]"#,
        &["from_day: day 40 of 14"],
    );
    refused(
        "extra",
        r#""window": { "days": 0 }"#,
        &["window.days: 0 days; write 1 to 200"],
    );
    refused(
        "extra",
        r#""window": { "first_day": "2026-02-30" }"#,
        &["window.first_day: \"2026-02-30\" is no date"],
    );
}

#[test]
fn several_faults_come_at_once_in_the_order_of_the_file() {
    let yard = yard_with("extra", r#""settings": { "summers": 0 }"#)
        .replace("\"pole-bean\"", "\"pole-been\"")
        .replace("[\"30 ft\", \"20 ft\"]", "[\"70 ft\", \"20 ft\"]");
    let (err, code) = check_bytes(yard.as_bytes());
    let lines: Vec<&str> = err.lines().collect();
    assert_eq!((code, lines.len()), (2, 4), "{err}");
    assert!(lines[0].starts_with("yard.json:5: crops[0].kind"), "{err}");
    assert!(
        lines[1].starts_with("yard.json:7: plans[0].traps[0].at"),
        "{err}"
    );
    assert!(
        lines[2].starts_with("yard.json:8: settings.summers"),
        "{err}"
    );
    assert_eq!(lines[3], "3 faults; nothing was run");
}

#[test]
fn texts_that_are_no_scenario_are_refused() {
    for (text, word) in [
        ("", "the file is empty"),
        ("[]", "found a list of 0"),
        ("{", "this is not JSON"),
        ("{\"format\": 1,}", "comma"),
        ("null", "found nothing (null)"),
        ("{}", "\"yard\" is missing"),
    ] {
        let (err, code) = check_bytes(text.as_bytes());
        assert_eq!(code, 2);
        assert!(err.contains(word), "{text}: {err}");
    }
    let (err, code) = check_bytes(b"{\n\"title\": \"\xff\xfe\"}");
    assert_eq!(code, 2);
    assert!(err.contains("yard.json:2: this is not UTF-8 text"), "{err}");
}

#[test]
fn deep_nesting_is_refused() {
    for open in ["[", "{\"a\":"] {
        let (err, code) = check_bytes(open.repeat(100_000).as_bytes());
        assert_eq!(code, 2);
        assert!(err.contains("nested too deeply"), "{err}");
    }
}

#[test]
fn unknown_format_is_refused() {
    refused(
        "format",
        r#""format": 2"#,
        &["format: format 2 is unknown; this version reads format 1"],
    );
}

#[test]
fn missing_files_and_folders_are_named() {
    let (_, err, code) = told(
        &lurefield()
            .args(["check", "no-such-file.json"])
            .output()
            .unwrap(),
    );
    assert_eq!(code, 2);
    assert!(
        err.contains("no-such-file.json: there is no such file"),
        "{err}"
    );
    let (_, err, code) = told(
        &lurefield()
            .arg("check")
            .arg(shipped_path("data"))
            .output()
            .unwrap(),
    );
    assert_eq!(code, 2);
    assert!(err.contains("this is a folder"), "{err}");
}

#[test]
fn unknown_command_exits_with_two() {
    assert_eq!(told(&lurefield().arg("chek").output().unwrap()).2, 2);
    assert_eq!(told(&lurefield().output().unwrap()).2, 2);
}

#[test]
fn lists_that_only_cost_memory_are_refused() {
    let one = r#"{ "name": "a", "kind": "rose", "single": [1, 1] }"#;
    let crops = vec![one; 201].join(",");
    refused(
        "crops",
        &format!(r#""crops": [{crops}]"#),
        &["crops: 201 entries; write at most 200"],
    );
    let row = r#"{ "name": "a", "kind": "rose", "row": { "from": [1, 1], "to": [2, 1], "count": 4294967295 } }"#;
    refused(
        "crops",
        &format!(r#""crops": [{row}]"#),
        &["crops[0].row.count: 4294967295 plants; write 1 to 5000"],
    );
}
