//! The map between the sites: sites where they are needed, a peak that is held, errors that cover, four classes.

use super::read;
use lurefield::engine::ensemble::{Unwatched, with_threads};
use lurefield::engine::random::{Purpose, ShortStream};
use lurefield::geometry::Point;
use lurefield::placement::kriging::{Covariance, Kernel, Model, Near, Surface};
use lurefield::placement::objective::Objective;
use lurefield::placement::outcome::{PlaceOutcome, SiteOutcome, Verdict, Zone};
use lurefield::placement::search::{Question, place};
use lurefield::placement::site::{Limits, USUAL_SITES, candidates, may_hang};
use lurefield::placement::zones::models;
use lurefield::scenario::{Scenario, Shape};
use lurefield::stats::settle;
use std::sync::LazyLock;

fn question(sites: Option<usize>, all_summers: bool) -> Question {
    Question {
        objective: Objective::Damage,
        limits: Limits {
            sites,
            ..Limits::default()
        },
        apart_m: 3.0,
        sweeps: Vec::new(),
        neighbors_traps: false,
        all_summers,
    }
}

fn search(scenario: &Scenario, sites: Option<usize>) -> PlaceOutcome {
    place(scenario, &question(sites, true), &Unwatched, &|_| false).unwrap()
}

/// One rose on a wide lawn.
fn lawn(summers: u32) -> Scenario {
    read(&format!(
        r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": "250 ft", "depth": "250 ft" }},
        "crops": [{{ "name": "rose", "kind": "rose", "single": ["90 ft", "140 ft"] }}],
        "spots": [{{ "name": "at the rose", "at": ["90.5 ft", "140 ft"] }}],
        "wind": {{ "usually_from": "west", "strength": "light" }},
        "pest": "japanese-beetle", "window": {{ "days": 2 }},
        "surroundings": {{ "pressure": {{ "on_plants_a_day": [4, 16] }} }},
        "plans": [{{ "name": "a", "traps": [{{ "at": ["120 ft", "140 ft"] }}] }}],
        "settings": {{ "summers": {summers}, "seed": 4 }} }}"#
    ))
}

/// The lawn searched over sixty summers, once for all tests that read it.
static LAWN: LazyLock<PlaceOutcome> = LazyLock::new(|| search(&lawn(60), None));

fn small(extra: &str, width: &str, depth: &str) -> Scenario {
    read(&format!(
        r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": "{width}", "depth": "{depth}" }},
        "crops": [{{ "name": "bush", "kind": "raspberry", "single": ["4 ft", "3 ft"] }}], {extra}
        "pest": "japanese-beetle", "window": {{ "days": 2 }}, "surroundings": {{ "pressure": "light" }},
        "plans": [{{ "name": "a", "traps": [{{ "at": ["5 ft", "5 ft"], "place_anyway": true }}] }}],
        "settings": {{ "summers": 12, "seed": 5 }} }}"#
    ))
}

/// The map at a place: the value and error of the cell that holds it.
fn drawn(outcome: &PlaceOutcome, x: f64, y: f64) -> (f64, f64) {
    let map = outcome.map.as_ref().unwrap();
    let cell = |at: f64, first: f64| ((at - first) / map.cell_m) as usize;
    let i = cell(y, map.y0_m) * map.columns + cell(x, map.x0_m);
    (map.change[i], map.se[i])
}

#[test]
fn peak_at_one_plant_on_a_wide_lawn_is_held() {
    let outcome = &*LAWN;
    let plant = &outcome.sites[0];
    assert!(plant.change_mean > 4.0 * plant.se, "{plant:?}");
    let (value, se) = drawn(outcome, plant.x_m, plant.y_m);
    assert!(value >= 0.8 * plant.change_mean, "{value} {plant:?}");
    let error = (se * se + plant.se * plant.se).sqrt();
    assert!(
        (value - plant.change_mean).abs() <= 2.0 * error,
        "{value} {se} {plant:?}"
    );
    // Far off next to nothing is left of it.
    let (far, _) = drawn(outcome, 70.0, 5.0);
    assert!(far < 0.2 * plant.change_mean, "{far}");
}

#[test]
fn left_out_sites_lie_within_2_errors_in_9_of_10_cases() {
    let yard = r#""spots": [{ "name": "s", "at": ["20 ft", "20 ft"] }],"#;
    for scenario in [lawn(20), small(yard, "60 ft", "40 ft")] {
        let outcome = search(&scenario, Some(60));
        let map = outcome.map.as_ref().unwrap();
        let n = outcome.sites.len();
        assert!(
            10 * map.left_out_within >= 9 * n,
            "{} of {n} with {}",
            map.left_out_within,
            map.model
        );
    }
}

/// A peak of the height 50 over a plant, flat far off.
fn peak(at: Point) -> f64 {
    50.0 * libm::exp(-at.distance(Point::new(30.0, 40.0)) / 3.0) + 2.0 * libm::sin(at.x / 25.0)
}

#[test]
fn invented_peak_is_foretold_at_places_without_a_site_within_2_errors_in_9_of_10() {
    let scenario = lawn(1);
    let disc = |at: Point| Shape::Disc { at, radius_m: 0.0 };
    let near = Near {
        things: vec![(disc(Point::new(30.0, 40.0)), 1.0)],
    };
    let limits = Limits::default();
    let (sites, _) = candidates(&scenario, &limits, &near).unwrap();
    let places: Vec<Point> = sites.iter().map(|s| s.at).collect();
    let mut luck = ShortStream::new(9, 1, 0, Purpose::Weather);
    let mut bell = || (0..12).map(|_| luck.uniform()).sum::<f64>() - 6.0;
    let noise = 0.5;
    let values: Vec<f64> = places.iter().map(|p| peak(*p) + noise * bell()).collect();
    let variances = vec![noise * noise; places.len()];
    let (surface, rms) = Surface::best(&places, &values, &variances, &models(&near)).unwrap();
    let plain = Surface::fitted(&places, &values, &variances, &Model::default()).unwrap();
    let left_out = lurefield::placement::kriging::rms(&plain.left_out());
    assert!(rms < left_out, "{rms} {left_out}");
    let (mut within, mut n) = (0, 0);
    for i in 0..20 {
        for j in 0..20 {
            let at = Point::new(2.0 + 3.7 * f64::from(i), 2.0 + 3.7 * f64::from(j));
            let here = surface.predict(at);
            within += u32::from((here.value - peak(at)).abs() <= 2.0 * here.se);
            n += 1;
        }
    }
    assert!(10 * within >= 9 * n, "{within} of {n}");
    let top = surface.value(Point::new(30.0, 40.0));
    assert!((top - 52.0).abs() < 10.0, "{top}");
}

#[test]
fn leaving_out_by_one_matrix_is_leaving_out_in_earnest() {
    let places: Vec<Point> = (0..12)
        .map(|i| Point::new(f64::from(i % 4) * 2.0, f64::from(i / 4) * 3.0))
        .collect();
    let values: Vec<f64> = places.iter().map(|p| p.x * p.x - p.y).collect();
    let model = Model {
        near: Near {
            things: vec![(
                Shape::Disc {
                    at: Point::new(1.0, 1.0),
                    radius_m: 0.0,
                },
                1.0,
            )],
        },
        drift_m: vec![2.0],
        stretch_m: 3.0,
    };
    let covariance = Covariance {
        kernel: Kernel::Matern32,
        sill: 9.0,
        length_m: 4.0,
    };
    let all = Surface::of(&places, &values, &[0.25; 12], (&model, covariance)).unwrap();
    for (i, quick) in all.left_out().into_iter().enumerate() {
        let (mut p, mut v) = (places.clone(), values.clone());
        let (at, value) = (p.remove(i), v.remove(i));
        let rest = Surface::of(&p, &v, &[0.25; 11], (&model, covariance)).unwrap();
        let slow = rest.predict(at);
        assert!((quick.error - (value - slow.value)).abs() < 1e-6);
        // The noise of the site itself comes on top.
        let se = (slow.se * slow.se + 0.25).sqrt();
        assert!((quick.se - se).abs() < 1e-6, "{quick:?} {slow:?}");
    }
}

#[test]
fn sites_include_corners_and_spots_and_keep_clear_of_what_is_closed() {
    let closed = r#""no_hang": [{ "name": "bed", "from": ["10 ft", "4 ft"], "to": ["50 ft", "36 ft"] }],
        "spots": [{ "name": "mine", "at": ["7 ft", "33 ft"] }],"#;
    let scenario = small(closed, "60 ft", "40 ft");
    let near = Objective::Damage.near(&scenario);
    let (sites, _) = candidates(&scenario, &Limits::default(), &near).unwrap();
    assert_eq!(sites[0].name.as_deref(), Some("mine"));
    let yard = scenario.yard;
    for corner in [
        Point::new(yard.x0, yard.y0),
        Point::new(yard.x1, yard.y0),
        Point::new(yard.x0, yard.y1),
        Point::new(yard.x1, yard.y1),
    ] {
        assert!(
            sites.iter().any(|s| s.at.distance(corner) < 0.5),
            "{corner:?}"
        );
    }
    let plant = scenario.plants[0].at;
    assert!(sites.iter().any(|s| s.at.distance(plant) < 1.0));
    assert!(
        sites
            .iter()
            .all(|s| may_hang(&scenario, s.at, &Limits::default()))
    );
    assert!(sites.iter().all(|s| yard.contains(s.at)));
}

#[test]
fn narrow_tiny_and_nearly_closed_yards_have_maps_and_few_sites_are_as_many_as_asked() {
    let closed = r#""no_hang": [{ "name": "all but a strip", "from": ["0 ft", "6 ft"], "to": ["60 ft", "40 ft"] }],"#;
    // Neither sites nor map depend on how well anything is known; but further sites are only chosen after eight summers.
    let quick = |mut scenario: Scenario, sites: Option<usize>| {
        scenario.settings.summers = 9;
        (scenario.pressure.low, scenario.pressure.high) = (0.2, 0.6);
        search(&scenario, sites)
    };
    for scenario in [
        small("", "200 ft", "6 ft"),
        small("", "5 ft", "5 ft"),
        small(closed, "60 ft", "40 ft"),
    ] {
        let outcome = quick(scenario, None);
        assert_eq!(outcome.sites.len(), USUAL_SITES);
        let map = outcome.map.unwrap();
        assert!(map.change.iter().all(|c| c.is_finite()));
        assert!(map.zone.iter().any(|z| *z != Zone::Closed));
    }
    for n in [1, 5, 9, 24] {
        let outcome = quick(small("", "60 ft", "40 ft"), Some(n));
        assert_eq!(outcome.sites.len(), n);
    }
}

#[test]
fn weak_lure_makes_no_difference_and_a_strong_one_beside_the_plant_never() {
    let weak = include_str!("../../scenarios/weak-lure.json");
    let free = question(None, false);
    let outcome = place(&read(weak), &free, &Unwatched, &|_| false).unwrap();
    assert_eq!(outcome.verdict, Verdict::MakesNoDifference);
    assert!(outcome.settled && outcome.summers == settle::FEWEST as usize);
    let none = |s: &SiteOutcome| s.zone == Zone::NoDifference && s.counts.same >= 15;
    assert!(outcome.sites.iter().all(none));
    assert!((outcome.zone_shares[2] - 1.0).abs() < 1e-9);
    let outcome = &*LAWN;
    let classes: Vec<Zone> = outcome.sites.iter().map(|s| s.zone).collect();
    assert!(classes.contains(&Zone::Raises), "{classes:?}");
    let sum: f64 = outcome.zone_shares.iter().sum();
    assert!((sum - 1.0).abs() < 1e-9);
    for site in &outcome.sites {
        let most = [site.counts.less, site.counts.same, site.counts.more].map(|n| n >= 15);
        let class = [Zone::Lowers, Zone::NoDifference, Zone::Raises];
        let told = class.iter().zip(most).find(|(_, m)| *m).map(|(z, _)| *z);
        // Without 15 on any side, one that hardly ever happens decides for the other.
        let beside = match (site.counts.more <= 1, site.counts.less <= 1) {
            (true, false) => Zone::Lowers,
            (false, true) => Zone::Raises,
            _ => Zone::EitherWay,
        };
        assert_eq!(site.zone, told.unwrap_or(beside), "{site:?}");
    }
}

#[test]
fn search_until_settled_is_the_same_for_1_and_5_threads_and_with_its_number_of_summers() {
    let yard = r#""wind": { "usually_from": "west", "strength": "light" },"#;
    let mut scenario = small(yard, "40 ft", "30 ft");
    scenario.settings.summers = 2_000;
    let free = question(Some(30), false);
    let with = |threads, question: &Question, scenario: &Scenario| {
        with_threads(threads, || {
            place(scenario, question, &Unwatched, &|_| false).unwrap()
        })
        .unwrap()
    };
    let one = with(1, &free, &scenario);
    assert_eq!(one, with(5, &free, &scenario));
    assert!(
        one.summers >= 60 && one.settled,
        "{} {}",
        one.summers,
        one.settled
    );
    let mut again = scenario.clone();
    again.settings.summers = one.summers as u32;
    assert_eq!(one, with(2, &question(Some(30), true), &again));
    assert!(one.sites.iter().any(|s| s.summers < one.summers));
}

/// The map's classes follow the counts of the sites: nowhere either way where none of the sites near has both sides.
#[test]
fn no_place_goes_either_way_where_the_sites_near_have_one_side() {
    let mut met = 0;
    for (width, depth) in [("16 ft", "62 ft"), ("60 ft", "40 ft")] {
        let mut scenario = small("", width, depth);
        scenario.settings.summers = 20;
        let outcome = search(&scenario, None);
        let map = outcome.map.as_ref().unwrap();
        for (i, zone) in map.zone.iter().enumerate() {
            let middle = |n: usize| (n as f64 + 0.5) * map.cell_m;
            let (x, y) = (
                map.x0_m + middle(i % map.columns),
                map.y0_m + middle(i / map.columns),
            );
            let at = Point::new(x, y);
            let mut near: Vec<&SiteOutcome> = outcome.sites.iter().collect();
            let away = |s: &SiteOutcome| at.distance(Point::new(s.x_m, s.y_m));
            near.sort_by(|a, b| away(a).total_cmp(&away(b)));
            let near = || near.iter().take(6);
            let both = near().any(|s| s.counts.more > 0) && near().any(|s| s.counts.less > 0);
            met += u32::from(!both);
            assert!(both || *zone != Zone::EitherWay, "{at:?}");
        }
    }
    assert!(met > 100, "{met}");
}
