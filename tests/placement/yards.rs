//! What the search must find in yards whose answer is known.

use super::read;
use lurefield::engine::ensemble::{Unwatched, with_threads};
use lurefield::placement::objective::Objective;
use lurefield::placement::outcome::PlaceOutcome;
use lurefield::placement::search::{Question, place};
use lurefield::placement::site::Limits;
use lurefield::scenario::Scenario;

fn question(sites: usize) -> Question {
    Question {
        objective: Objective::Damage,
        limits: Limits {
            sites: Some(sites),
            ..Limits::default()
        },
        apart_m: 3.0,
        sweeps: Vec::new(),
        neighbors_traps: false,
        all_summers: true,
    }
}

fn yard(plant_x: f64, wind: &str, extra: &str, summers: u32) -> Scenario {
    read(&format!(
        r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": 18, "depth": 12 }},
        "crops": [{{ "name": "bush", "kind": "raspberry", "single": [{plant_x}, 6] }}], {wind} {extra}
        "pest": "japanese-beetle", "window": {{ "days": 2 }}, "surroundings": {{ "pressure": {{ "on_plants_a_day": [4, 16] }} }},
        "plans": [{{ "name": "a", "traps": [{{ "at": [{plant_x}, 9.1] }}] }}],
        "settings": {{ "summers": {summers}, "seed": 5 }} }}"#
    ))
}

/// Twelve spots that lie as their mirror images do.
fn spots(mirrored: bool) -> String {
    let spot = |i: u32| {
        let (x, y) = (1.5 + 5.0 * f64::from(i % 4), 2.0 + 4.0 * f64::from(i / 4));
        let x = if mirrored { 18.0 - x } else { x };
        format!(r#"{{ "name": "{i}", "at": [{x}, {y}] }}"#)
    };
    let all: Vec<String> = (0..12).map(spot).collect();
    format!(r#""spots": [{}],"#, all.join(", "))
}

fn search(scenario: &Scenario, sites: usize) -> PlaceOutcome {
    place(scenario, &question(sites), &Unwatched, &|_| false).unwrap()
}

#[test]
fn mirrored_yard_gives_the_mirrored_map_within_4_standard_errors() {
    let west = r#""wind": { "usually_from": "west", "strength": "light" },"#;
    let east = r#""wind": { "usually_from": "east", "strength": "light" },"#;
    let a = search(&yard(6.0, west, &spots(false), 30), 6);
    let b = search(&yard(12.0, east, &spots(true), 30), 6);
    for site in a.sites.iter().filter(|s| s.name.is_some()) {
        let other = b
            .sites
            .iter()
            .find(|o| (o.x_m - (18.0 - site.x_m)).abs() < 1e-9 && (o.y_m - site.y_m).abs() < 1e-9)
            .unwrap();
        let se = (site.se * site.se + other.se * other.se).sqrt();
        let gap = (site.change_mean - other.change_mean).abs();
        assert!(gap <= 4.0 * se + 1e-9, "{site:?} {other:?}");
    }
}

#[test]
fn trap_3_m_from_a_plant_in_open_country_raises_damage() {
    let spots = r#""spots": [{ "name": "near", "at": [9, 9.1] }],"#;
    let outcome = search(&yard(9.0, "", spots, 40), 6);
    let near = outcome.sites.first().unwrap();
    assert!(near.change_mean > 4.0 * near.se, "{near:?}");
}

#[test]
fn results_are_identical_for_1_2_and_7_threads() {
    let scenario = yard(9.0, "", "", 12);
    let with = |threads| with_threads(threads, || search(&scenario, 12)).unwrap();
    let one = with(1);
    assert_eq!(one, with(2));
    assert_eq!(one, with(7));
}

#[test]
fn still_air_and_a_centred_plant_give_a_map_symmetric_within_4_standard_errors() {
    let outcome = search(&yard(9.0, "", &spots(false), 40), 6);
    for a in outcome.sites.iter().filter(|s| s.name.is_some()) {
        let b = outcome
            .sites
            .iter()
            .find(|b| {
                (b.x_m - (18.0 - a.x_m)).abs() < 1e-9 && (b.y_m - (12.0 - a.y_m)).abs() < 1e-9
            })
            .unwrap();
        let se = (a.se * a.se + b.se * b.se).sqrt();
        assert!(
            (a.change_mean - b.change_mean).abs() <= 4.0 * se + 1e-9,
            "{a:?} {b:?}"
        );
    }
}
