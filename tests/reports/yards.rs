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
