//! What the search and the sweeps find: where a trap helps, where it does nothing, and how several are chosen.

use super::read;
use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::Unwatched;
use lurefield::engine::ground::Ground;
use lurefield::geometry::Point;
use lurefield::placement::delta;
use lurefield::placement::objective::Objective;
use lurefield::placement::outcome::{PlaceOutcome, SiteOutcome};
use lurefield::placement::search::{Question, Slot, place};
use lurefield::placement::site::Limits;
use lurefield::scenario::Scenario;
use lurefield::stats::spread::{mean, standard_error};

/// A search with a grid of about so many sites and the sweeps named.
fn search(scenario: &Scenario, sites: usize, sweeps: Vec<&'static str>) -> PlaceOutcome {
    let question = Question {
        objective: Objective::Damage,
        limits: Limits {
            sites: Some(sites),
            ..Limits::default()
        },
        apart_m: 3.0,
        sweeps,
        neighbors_traps: false,
        all_summers: true,
    };
    place(scenario, &question, &Unwatched, &|_| false).unwrap()
}

fn named<'a>(outcome: &'a PlaceOutcome, name: &str) -> &'a SiteOutcome {
    let named = |s: &&SiteOutcome| s.name.as_deref() == Some(name);
    outcome.sites.iter().find(named).unwrap()
}

fn spots(places: &[(String, Point)]) -> String {
    let words: Vec<String> = places
        .iter()
        .map(|(name, p)| format!(r#"{{ "name": "{name}", "at": [{}, {}] }}"#, p.x, p.y))
        .collect();
    words.join(", ")
}

#[test]
fn in_an_isolated_field_a_trap_away_from_the_plants_lowers_damage_by_more_than_4_standard_errors() {
    // A lone berry bed whose beetles all live on it and the land round it: every beetle kept is one less. There are enough
    // of them that a zone, which needs 15 of 20 summers, does not hang on summers with next to no damage either way.
    let scenario = read(
        r#"{ "format": 1, "title": "Invented", "yard": { "width": "120 ft", "depth": "60 ft" },
        "crops": [{ "name": "berries", "kind": "blueberry", "row": { "from": ["10 ft", "30 ft"], "to": ["40 ft", "30 ft"], "count": 8 } }],
        "pest": "japanese-beetle", "window": { "days": 14 },
        "surroundings": { "pressure": { "on_plants_a_day": 30 }, "setting": "isolated", "margin": "20 ft" },
        "plans": [{ "name": "a", "traps": [{ "at": ["110 ft", "30 ft"], "empty_every": 1 }] }],
        "settings": { "summers": 120, "seed": 3 } }"#,
    );
    let outcome = search(&scenario, 24, Vec::new());
    let best = &outcome.sites[outcome.best[0].site];
    assert!(best.change_mean < -4.0 * best.se, "{best:?}");
    assert!(outcome.zone_shares[0] > 0.0, "{:?}", outcome.zone_shares);
}

#[test]
fn trap_60_to_100_m_away_changes_less_than_4_standard_errors_or_a_tenth_of_one_nearby() {
    let away = [3.0, 60.0, 80.0, 100.0];
    let places: Vec<(String, Point)> = away
        .iter()
        .map(|m| (format!("{m} m"), Point::new(10.0 + m, 6.0)))
        .collect();
    let scenario = read(&format!(
        r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": 120, "depth": 12 }},
        "crops": [{{ "name": "bush", "kind": "raspberry", "single": [10, 6] }}],
        "pest": "japanese-beetle", "window": {{ "days": 1 }}, "surroundings": {{ "pressure": "light" }},
        "spots": [{}], "plans": [{{ "name": "a", "traps": [{{ "at": [13, 6] }}] }}],
        "settings": {{ "summers": 90, "seed": 6 }} }}"#,
        spots(&places)
    ));
    let outcome = search(&scenario, 1, Vec::new());
    let near = named(&outcome, "3 m");
    assert!(near.change_mean > 4.0 * near.se, "{near:?}");
    for m in &away[1..] {
        let far = named(&outcome, &format!("{m} m"));
        let nothing = far.change_mean.abs() <= 4.0 * far.se;
        let little = far.change_mean.abs() + 4.0 * far.se < 0.1 * near.change_mean;
        assert!(nothing || little, "{far:?} {near:?}");
    }
}

#[test]
fn still_air_round_one_plant_is_radial_and_the_sweep_agrees_with_the_map_within_4_standard_errors()
{
    let (middle, rings) = (Point::new(11.0, 11.0), [10.0, 20.0]);
    let mut places = Vec::new();
    for ft in rings {
        for k in 0..8 {
            let (sin, cos) = libm::sincos(f64::from(k) * std::f64::consts::PI / 4.0);
            let r = ft * 0.3048;
            let at = Point::new(middle.x + r * sin, middle.y + r * cos);
            places.push((format!("{ft} ft, side {k}"), at));
        }
    }
    let scenario = read(&format!(
        r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": 22, "depth": 22 }},
        "crops": [{{ "name": "bush", "kind": "raspberry", "single": [11, 11] }}],
        "wind": {{ "strength": "still" }}, "pest": "japanese-beetle", "window": {{ "days": 1 }},
        "surroundings": {{ "pressure": "light" }}, "spots": [{}],
        "plans": [{{ "name": "a", "traps": [{{ "at": [11, 14] }}] }}], "settings": {{ "summers": 100, "seed": 9 }} }}"#,
        spots(&places)
    ));
    let outcome = search(&scenario, 1, vec!["distance", "side"]);
    let both = |a: f64, b: f64| 4.0 * (a * a + b * b).sqrt() + 1e-9;
    for ft in rings {
        let sides: Vec<&SiteOutcome> = (0..8)
            .map(|k| named(&outcome, &format!("{ft} ft, side {k}")))
            .collect();
        for (i, a) in sides.iter().enumerate() {
            for b in &sides[i + 1..] {
                let gap = (a.change_mean - b.change_mean).abs();
                assert!(gap <= both(a.se, b.se), "{a:?} {b:?}");
            }
        }
        let on_map = mean(&sides.iter().map(|s| s.change_mean).collect::<Vec<_>>());
        // The sides share their summers, so the mean of eight is no surer than one of them.
        let se = mean(&sides.iter().map(|s| s.se).collect::<Vec<_>>());
        let sweep = &outcome.sweeps[0];
        let point = sweep
            .points
            .iter()
            .find(|p| p.label == format!("{ft} ft"))
            .unwrap();
        let gap = (point.mean.change - on_map).abs();
        assert!(gap <= both(point.mean.error, se), "{point:?} {on_map} {se}");
        assert!(on_map > 4.0 * se, "nothing was seen: {on_map} {se}");
    }
    let wheel = &outcome.sweeps[1].points;
    for (i, a) in wheel.iter().enumerate() {
        for b in &wheel[i + 1..] {
            let gap = (a.mean.change - b.mean.change).abs();
            assert!(gap <= both(a.mean.error, b.mean.error), "{a:?} {b:?}");
        }
    }
}

/// Damage of every summer with a first and a second trap, for all ordered pairs of places.
fn all_pairs(scenario: &Scenario, places: &[Point], summers: u32) -> Vec<Vec<Vec<f64>>> {
    let prepared = prepare(scenario, &Unwatched).unwrap();
    let slot = Slot::of(scenario).unwrap();
    let mut damage = vec![vec![Vec::new(); places.len()]; places.len()];
    for summer in 0..summers {
        let ground = Ground::for_summer(scenario, summer);
        let arrivals = prepared.arrivals(&ground);
        let second = slot.lures_at(&ground, places, 1);
        for (first, row) in places.iter().zip(&mut damage) {
            let hung = slot.lures_at(&ground, &[*first], 0);
            let counts = delta::sites(&ground, &arrivals, &hung, &second, None, (0, 1));
            for (tally, series) in counts.variants.iter().zip(row) {
                let valued = Objective::Damage.value(scenario, &ground, tally, None);
                series.push(valued.damage);
            }
        }
    }
    damage
}

#[test]
fn pair_found_by_adding_and_exchanging_is_the_best_of_all_pairs_within_4_standard_errors() {
    let scenario = read(
        r#"{ "format": 1, "title": "Invented", "yard": { "width": 16, "depth": 12 },
        "crops": [{ "name": "bush", "kind": "raspberry", "single": [5, 4] }],
        "pest": "japanese-beetle", "window": { "days": 1 }, "surroundings": { "pressure": "usual" },
        "plans": [{ "name": "a", "traps": [{ "at": [12, 9] }] }], "settings": { "summers": 20, "seed": 12 } }"#,
    );
    let outcome = search(&scenario, 9, vec!["number"]);
    let places: Vec<Point> = outcome
        .sites
        .iter()
        .map(|s| Point::new(s.x_m, s.y_m))
        .collect();
    assert!((5..=12).contains(&places.len()), "{}", places.len());
    let points = &outcome.sweeps[0].points;
    let pair = points.iter().find(|p| p.traps == 2).unwrap();
    let index = |at: [f64; 2]| {
        let same = |p: &Point| p.x == at[0] && p.y == at[1];
        places.iter().position(same).unwrap()
    };
    let damage = all_pairs(&scenario, &places, 20);
    let found = &damage[index(pair.places_m[0])][index(pair.places_m[1])];
    assert!((mean(found) - pair.damage_mean).abs() < 1e-9, "{pair:?}");
    let order = |a: &&Vec<f64>, b: &&Vec<f64>| mean(a).total_cmp(&mean(b));
    let best = damage.iter().flatten().min_by(order).unwrap();
    let gaps: Vec<f64> = found.iter().zip(best).map(|(a, b)| a - b).collect();
    let se = standard_error(&gaps).unwrap();
    assert!(mean(&gaps) <= 4.0 * se + 1e-9, "{} {se}", mean(&gaps));
    // All pairs are not alike, so the test can fail.
    let worst = damage.iter().flatten().max_by(order).unwrap();
    let gaps: Vec<f64> = worst.iter().zip(best).map(|(a, b)| a - b).collect();
    assert!(mean(&gaps) > 4.0 * standard_error(&gaps).unwrap());
}

#[test]
fn two_spots_at_one_place_tie_and_a_far_worse_one_does_not() {
    let places = [
        ("one".to_string(), Point::new(17.0, 11.0)),
        ("other".to_string(), Point::new(17.0, 11.0)),
        ("bad".to_string(), Point::new(5.0, 7.5)),
    ];
    let scenario = read(&format!(
        r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": 18, "depth": 12 }},
        "crops": [{{ "name": "bush", "kind": "raspberry", "single": [5, 5] }}],
        "pest": "japanese-beetle", "window": {{ "days": 1 }}, "spots": [{}],
        "surroundings": {{ "pressure": {{ "on_plants_a_day": [4, 16] }} }},
        "plans": [{{ "name": "a", "traps": [{{ "at": [9, 9] }}] }}], "settings": {{ "summers": 40, "seed": 2 }} }}"#,
        spots(&places)
    ));
    let outcome = search(&scenario, 6, Vec::new());
    let ranks: Vec<(usize, bool)> = outcome.spots.iter().map(|r| (r.rank, r.tied)).collect();
    assert_eq!(ranks, [(1, true), (1, true), (3, false)]);
    let (one, other) = (named(&outcome, "one"), named(&outcome, "other"));
    assert_eq!(one.change_mean, other.change_mean);
    let worst = &outcome.sites[outcome.spots[2].site];
    assert_eq!(worst.name.as_deref(), Some("bad"));
    assert_eq!(worst.summers, 40, "an asker's spot is never dropped");
}
