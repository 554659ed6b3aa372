//! Yards unlike the shipped ones: a turned map, one plant with a name, crawlers, tables, a neighbor's trap, a trap crop. What is
//! said of them must hold there too.

use crate::fixture;
use lurefield::catalogue::{self, Guild, Mover};
use lurefield::count::outcome::{PlanOutcome, RunOutcome};
use lurefield::figure::{self, Figure};
use lurefield::placement::outcome::SiteOutcome;
use lurefield::placement::words::{place_name, signed};
use lurefield::report::text;
use lurefield::say::{LANGUAGES, Strings};
use lurefield::scenario::{FromSide, Owner, Scenario, describe};
use lurefield::stats::paired::Class;
use lurefield::study::finding::Better;
use lurefield::units::{METRES_PER_FOOT, feet_and_metres};

/// Every text of a picture.
fn all_words(figure: &Figure) -> String {
    let table = figure.table.header.join("\t");
    [&figure.alt, &figure.levels.join(" "), &table]
        .map(String::as_str)
        .join("\n")
}

fn picture(scenario: &Scenario, name: &str) -> Figure {
    let outcome = fixture::outcome(scenario, 20);
    let mut all = figure::of_run(scenario, &outcome).into_iter();
    all.find(|f| f.name == name).unwrap()
}

/// Lines of a description between two heads.
fn part<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    text.split_once(from).unwrap().1.split_once(to).unwrap().0
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A map whose top is not north has no east to its right: its places are told by the sides of the map.
#[test]
fn a_turned_map_tells_places_by_its_own_sides() {
    for (up, compass) in [
        (0.0, true),
        (0.5 * std::f64::consts::PI, false),
        (0.8, false),
    ] {
        let mut scenario = fixture::scenario();
        scenario.up_bearing_rad = up;
        let site = crate::place_findings::site(&mut fixture::Stream::new(1), 20);
        let mut said = vec![place_name(&scenario, &site)];
        let described = flat(&describe(&scenario));
        said.push(part(&described, "YARD", " PEST").to_owned());
        said.push(part(&described, " PLANS", " DEFAULTS").to_owned());
        for name in ["visits-map", "feeding-map"] {
            said.push(all_words(&picture(&scenario, name)));
        }
        let top = described.contains("bottom to top, which is east");
        assert_eq!(
            top,
            (up - 0.5 * std::f64::consts::PI).abs() < 0.1,
            "{described}"
        );
        for text in said {
            let text = text
                .replace(", which is east", "")
                .replace("which is north-east", "");
            let told = [" east", " north", "south-west"]
                .iter()
                .any(|word| text.contains(word));
            assert_eq!(told, compass, "up {up}: {text}");
        }
    }
}

/// The names of plans and plants are the asker's own: "the" and "nearest" before them may make nonsense ("nearest Mr. Lincoln"),
/// and a plan called "do nothing" needs its quotes.
#[test]
fn names_of_ones_own_stand_in_quotes_within_sentences() {
    let mut bare = Vec::new();
    for (code, _) in LANGUAGES {
        let all = Strings::of(code).unwrap();
        let drawn = all.all().filter(|(key, _)| key.starts_with("figure."));
        for (key, text) in drawn.filter(|(_, text)| text.ends_with('.')) {
            for gap in ["{plan}", "{crop}", "{thing}"] {
                let parts: Vec<&str> = text.split(gap).collect();
                let quoted = parts
                    .windows(2)
                    .all(|p| p[0].ends_with('"') && p[1].starts_with('"'));
                // A list that begins with the name has its own mark.
                let begins = parts[0].is_empty() && parts.len() == 2;
                if !quoted && !begins {
                    bare.push(format!("{code}: {key}: {text}"));
                }
            }
        }
    }
    assert!(bare.is_empty(), "{}", bare.join("\n"));
    let mut scenario = fixture::scenario();
    scenario.crops[0].name = "the Gravenstein".into();
    let words = all_words(&picture(&scenario, "damage-map"));
    assert!(!words.contains("the the"), "{words}");
}

/// Feet and meters beside each other are one length: half a foot off at most a quarter, below 30 ft.
#[test]
fn feet_and_meters_say_the_same_length() {
    for i in 1..3000 {
        let metres = f64::from(i) * 0.003;
        let text = feet_and_metres(metres);
        let (ft, rest) = text.split_once(" ft (").unwrap();
        let (ft, m): (f64, f64) = (ft.parse().unwrap(), rest[..rest.len() - 3].parse().unwrap());
        assert!(
            (ft * METRES_PER_FOOT - m).abs() < 0.28 * METRES_PER_FOOT + 0.05,
            "{text}"
        );
        assert!((m - metres).abs() <= 0.051, "{text} for {metres}");
    }
}

/// Where no plant stands in any ring there is nothing to draw, and no "no ring changes" to say.
#[test]
fn rings_without_plants_are_not_drawn() {
    let scenario = fixture::scenario();
    let mut outcome = fixture::outcome(&scenario, 20);
    let drawn = |outcome: &RunOutcome| {
        let all = figure::of_run(&scenario, outcome);
        all.into_iter().find(|f| f.name == "distance-from-trap")
    };
    assert!(drawn(&outcome).is_some());
    let name = outcome.plans[1].name.clone();
    let empty = |plan: &mut PlanOutcome| {
        for ring in &mut plan.rings {
            (ring.n_plants, ring.damage, ring.damage_without) = (0, None, None);
        }
    };
    empty(&mut outcome.plans[1]);
    assert!(!all_words(&drawn(&outcome).unwrap()).contains(&name));
    outcome.plans.iter_mut().for_each(empty);
    assert!(drawn(&outcome).is_none());
}

/// Crawlers live in a yard that is closed (the engine reflects them), and a side that most come from is not all sides.
#[test]
fn who_arrives_is_told_as_it_is_simulated() {
    let all_sides = "arriving from all sides";
    let mut scenario = fixture::scenario();
    assert!(flat(&describe(&scenario)).contains(all_sides));
    scenario.from_side = Some(FromSide {
        bearing_rad: std::f64::consts::PI,
        share: 0.7,
    });
    let text = flat(&describe(&scenario));
    assert!(
        !text.contains(all_sides) && text.contains("70 of 100"),
        "{text}"
    );
    assert!(text.contains("about south"), "{text}");
    scenario.from_side = None;
    scenario.pest.mover = Mover::Crawler;
    assert!(!flat(&describe(&scenario)).contains(all_sides));
    let slugs = r#"{ "format": 1, "title": "t", "yard": { "width": "20 ft", "depth": "20 ft" }, "pest": "gray-field-slug",
        "crops": [{ "name": "lettuce", "kind": "lettuce", "single": ["9 ft", "9 ft"] }] }"#;
    let slugs = lurefield::scenario::read(slugs, "slugs", &|_| Err(String::new())).unwrap();
    assert!(!flat(&describe(&slugs)).contains(all_sides));
}

/// A table is no plant: it has neither leaves nor a stem.
#[test]
fn a_table_is_not_told_of_as_a_plant() {
    let yard = r#"{ "format": 1, "title": "t", "yard": { "width": "40 ft", "depth": "30 ft" },
        "crops": [{ "name": "bench", "kind": "patio-table", "single": ["9 ft", "9 ft"] }],
        "pest": { "base": "custom", "name": "wasp", "guild": "visitor" },
        "plans": [{ "name": "a trap", "traps": [{ "at": ["30 ft", "20 ft"] }] }] }"#;
    let scenario = lurefield::scenario::read(yard, "wasps", &|_| Err(String::new())).unwrap();
    assert_eq!(scenario.pest.guild, Guild::Visitor);
    let text = flat(&describe(&scenario));
    for word in ["plant ", "plants", "leaves", "stem"] {
        assert!(!text.contains(word), "{word}: {text}");
    }
}

/// What a neighbor's trap takes is not counted, so that no "0 caught" may stand beside it.
#[test]
fn no_catch_is_told_of_a_plan_with_only_a_neighbors_trap() {
    let mut scenario = fixture::scenario();
    let outcome = fixture::outcome(&scenario, 20);
    let row = |scenario: &Scenario| {
        let text = text::run(scenario, &outcome, &[]);
        let name = &scenario.plans[1].name;
        let rows = text
            .lines()
            .find(|l| l.trim_start().starts_with(name.as_str()));
        rows.unwrap_or_default().to_owned()
    };
    assert!(row(&scenario).contains("caught"), "{}", row(&scenario));
    let caught = |scenario: &Scenario| {
        picture(scenario, "damage-map")
            .svg
            .matches("caught")
            .count()
    };
    let before = caught(&scenario);
    scenario.plans[1].traps[0].neighbours = true;
    assert!(!row(&scenario).contains("caught"), "{}", row(&scenario));
    assert_eq!(caught(&scenario), before - 1);
}

/// The damage of a trap crop does not count and is not told; 0 would be false where it is eaten.
#[test]
fn a_trap_crop_has_no_number_on_the_map_of_damage() {
    let mut scenario = fixture::scenario();
    let name = scenario.crops[2].name.clone();
    let told = |scenario: &Scenario| all_words(&picture(scenario, "damage-map"));
    assert!(told(&scenario).contains(&name));
    scenario.crops[2].trap_crop = true;
    assert!(!told(&scenario).contains(&name));
    let figure = picture(&scenario, "damage-map");
    assert!(figure.table.rows.iter().all(|row| row[1] != name));
    assert!(scenario.crops.iter().any(|c| c.owner != Owner::Mine));
}

/// What is known of traps and baits says nothing of a plan that only picks, nets or bags.
#[test]
fn the_reason_of_a_plan_without_a_trap_is_about_what_it_does() {
    use lurefield::catalogue::believe::{Question, believe};
    for id in catalogue::ids(catalogue::PESTS) {
        let pest = catalogue::pest(id).unwrap();
        for method in catalogue::ids(catalogue::METHODS) {
            let kind = catalogue::method(method).unwrap();
            let said = believe(&pest, Question::NoTrap, [&kind]);
            let reason = said.reason.to_lowercase();
            let own = reason.contains(&kind.name);
            // Where the pest alone holds the level down, its own reason may stand.
            let by_pest = reason == pest.badge_reason.to_lowercase();
            assert!(own || by_pest, "{id}, {method}: {reason}");
            for bait in ["beer", "lure"] {
                let about_trap = reason.contains(bait) && method == "hand-removal";
                assert!(!about_trap, "{id}, {method}: {reason}");
            }
        }
    }
}

/// A codling moth lays its eggs and does not feed on the tree: the map tells of sitting, which holds for every pest.
#[test]
fn the_map_of_stays_tells_of_sitting() {
    let scenario = fixture::scenario();
    let figure = picture(&scenario, "feeding-map");
    let text = all_words(&figure);
    assert!(
        text.contains("hours of sitting") && !text.contains("feed"),
        "{text}"
    );
}

/// No sign stands before a change that is printed as nothing.
#[test]
fn nothing_has_no_sign() {
    assert_eq!([0.02, 0.0, -0.02].map(signed), ["0.0"; 3]);
    assert_eq!([0.06, -0.06, 12.0].map(signed), ["+0.1", "-0.1", "+12"]);
}

/// The class in the table of the map of places is the one that is drawn there.
#[test]
fn the_table_of_places_tells_the_class_that_the_map_shows() {
    use lurefield::placement::words::zone_word;
    let scenario = fixture::scenario();
    for seed in 0..40 {
        let outcome = crate::place_findings::outcome(&scenario, seed);
        let map = outcome.map.as_ref().unwrap();
        let figures = figure::placement::all(&scenario, &outcome);
        let figure = figures.iter().find(|f| f.name == "placement-map").unwrap();
        for row in &figure.table.rows {
            let here = |s: &&SiteOutcome| {
                let at = [s.x_m, s.y_m].map(|m| format!("{:.0}", m / METRES_PER_FOOT));
                at == row[1..3] && format!("{:.2}", s.change_mean) == row[3]
            };
            let site = outcome.sites.iter().find(here).unwrap();
            let [column, line] = [site.x_m, site.y_m].map(|m| (m / map.cell_m) as usize);
            if column < map.columns && line < map.rows {
                let drawn = map.zone[line * map.columns + column];
                assert_eq!(
                    row.last().map(String::as_str),
                    Some(zone_word(drawn)),
                    "seed {seed}"
                );
            }
        }
    }
}

fn of(text: &str) -> Scenario {
    let read = lurefield::scenario::read(text, "yard.json", &|_| Err(String::new()));
    read.unwrap_or_else(|_| panic!("it reads"))
}

/// A vine, a row of beans to draw them off, a neighbor with a trap; plans and crop by choice.
fn beside_a_trap(kind: &str, plans: &str) -> Scenario {
    of(&format!(
        r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": "40 ft", "depth": "40 ft" }},
        "crops": [{{ "name": "mine", "kind": "{kind}", "single": ["20 ft", "20 ft"] }},
            {{ "name": "bait", "kind": "pole-bean", "single": ["5 ft", "5 ft"], "trap_crop": true }}],
        "neighbours": [{{ "name": "N", "from": ["42 ft", "0 ft"], "to": ["80 ft", "40 ft"],
            "crops": [{{ "name": "theirs", "kind": "rose", "single": ["60 ft", "20 ft"] }}], "trap": {{ "at": ["46 ft", "20 ft"] }} }}],
        "pest": "japanese-beetle", "plans": [{{ "name": "none" }}, {plans}] }}"#
    ))
}

const PICK: &str =
    r#"{ "name": "pick", "methods": [{ "method": "hand-removal", "times": ["19:00"] }] }"#;

/// Whoever does nothing has the trap next door all the same: only the first plan with nothing is without it, and the text says
/// so.
#[test]
fn a_neighbors_trap_hangs_for_those_who_do_nothing() {
    let hung = |s: &Scenario| -> Vec<(String, usize)> {
        let plans = s.plans.iter();
        plans.map(|p| (p.name.clone(), p.traps.len())).collect()
    };
    let own = beside_a_trap("grape", &format!(r#"{{ "name": "as it is" }}, {PICK}"#));
    let named = |n: &str, traps| (n.to_owned(), traps);
    assert_eq!(
        hung(&own),
        [named("none", 0), named("as it is", 1), named("pick", 1)]
    );
    let made = hung(&beside_a_trap("grape", PICK));
    assert_eq!(
        made.len(),
        3,
        "one with their trap alone is added: {made:?}"
    );
    assert_eq!(made[1].1, 1);
    let outcome = fixture::outcome(&own, 20);
    let told = flat(&text::run(&own, &outcome, &[]));
    let line = "A neighbor's trap hangs in every plan but \"none\".";
    assert!(told.contains(line), "{told}");
    let alone = fixture::scenario();
    let told = flat(&text::run(&alone, &fixture::outcome(&alone, 20), &[]));
    assert!(!told.contains("A neighbor's trap hangs"), "{told}");
}

/// What a plan changes next door is told with it, where it is more than counts as no change.
#[test]
fn what_changes_next_door_is_told() {
    let scenario = beside_a_trap("grape", PICK);
    let mut outcome = fixture::outcome(&scenario, 20);
    for (theirs, wanted) in [(20.4, false), (27.0, true), (13.0, true)] {
        for (i, plan) in outcome.plans.iter_mut().enumerate() {
            plan.plot_damage = vec![Some(if i == 2 { theirs } else { 20.0 })];
        }
        let told = flat(&text::run(&scenario, &outcome, &[]));
        let line = format!(
            "With \"pick\", \"N\" next door feels it too. There it goes from 20.0 to {theirs:.1} in 100."
        );
        assert_eq!(told.contains(&line), wanted, "{told}");
    }
}

/// A trap crop stands in some plans only, so no distance is measured to it.
#[test]
fn no_distance_is_measured_to_a_trap_crop() {
    let trap = r#"{ "name": "trap", "traps": [{ "at": ["6 ft", "6 ft"] }] }"#;
    let scenario = beside_a_trap("grape", trap);
    let at = scenario.plans[2].own_traps().next().unwrap().at;
    let (away_m, crop) = scenario.nearest_plant(at).unwrap();
    assert_eq!(crop.name, "mine");
    let wanted = 14.0 * 2f64.sqrt() * METRES_PER_FOOT;
    assert!((away_m - wanted).abs() < 1e-9, "{away_m}");
}

/// The mesh that is advised stops the pest: no hole is wider than the narrowest of them, nor than is safe for wildlife.
#[test]
fn the_mesh_that_is_advised_keeps_the_pest_out() {
    for id in catalogue::ids(catalogue::PESTS) {
        let pest = catalogue::pest(id).unwrap();
        assert!(
            pest.widest_hole_mm() <= pest.narrowest_mm().min(5.0),
            "{id}"
        );
    }
    let moth = of(
        r#"{ "format": 1, "title": "Invented", "yard": { "width": "40 ft", "depth": "40 ft" },
        "crops": [{ "name": "tree", "kind": "apple", "single": ["20 ft", "20 ft"] }], "pest": "codling-moth",
        "plans": [{ "name": "none" }, { "name": "net", "traps": [{ "at": ["5 ft", "5 ft"] }], "methods": [{ "method": "row-cover", "mesh_mm": 1.5 }] }] }"#,
    );
    let outcome = fixture::outcome(&moth, 20);
    let told = flat(&text::run(&moth, &outcome, &[]));
    assert!(told.contains("wildlife-safe mesh (2 mm or less)"), "{told}");
    assert!(!told.contains("5 mm"), "{told}");
}

/// Nobody nets what is grown to be seen, so no net is advised over it.
#[test]
fn no_net_is_advised_over_what_stays_open() {
    let s = Strings::of("en").unwrap();
    for (kind, wanted) in [("grape", true), ("rose", false)] {
        let mut scenario = beside_a_trap(kind, PICK);
        scenario.crops.retain(|c| c.name == "mine");
        let said = lurefield::report::words::usual(&scenario, &s);
        assert_eq!(said.contains("mesh"), wanted, "{kind}: {said}");
    }
}

/// Another plan is better only by more than counts as no change.
#[test]
fn a_plan_that_leaves_as_much_is_not_better() {
    let scenario = beside_a_trap("grape", PICK);
    let found = |least: f64| {
        [
            (Class::NoChange, 20.0),
            (Class::Less, 9.9),
            (Class::Less, least),
        ]
    };
    let better = |least: f64| Better::than(1, &scenario, &found(least)).map(|b| b.plan);
    assert_eq!(better(9.6), None);
    assert_eq!(better(8.9), None);
    assert_eq!(better(8.8), Some(2));
}
