//! The delta rerun against the full rerun, to the bit.

use super::read;
use lurefield::count::prepare::{Prepared, unscaled};
use lurefield::count::summer::SummerTally;
use lurefield::engine::ensemble::run_plan;
use lurefield::engine::flight::Lures;
use lurefield::engine::ground::Ground;
use lurefield::engine::log::Watched;
use lurefield::engine::lure::LureSite;
use lurefield::engine::random::{Purpose, ShortStream};
use lurefield::geometry::{Point, Rect};
use lurefield::placement::delta::{full, sites as delta};
use lurefield::scenario::{Scenario, Shape};

/// A random yard: size, plants, wind, pest, lure, setting all drawn from one stream.
fn random_yard(number: u32) -> (Scenario, ShortStream) {
    let mut luck = ShortStream::new(2026, number, 0, Purpose::Weather);
    let mut pick =
        |choices: &[&str]| choices[(luck.uniform() * choices.len() as f64) as usize].to_string();
    let pest = pick(&[
        "japanese-beetle",
        "brown-marmorated-stink-bug",
        "gray-field-slug",
        "codling-moth",
    ]);
    let kind = match pest.as_str() {
        "japanese-beetle" => "raspberry",
        "gray-field-slug" => "lettuce",
        _ => "apple",
    };
    let wind = pick(&[
        r#""wind": { "usually_from": "west", "strength": "light" },"#,
        r#""wind": { "usually_from": "north-east", "strength": "strong" },"#,
        "",
    ]);
    let lure = pick(&[
        "",
        r#""lure_age": 20,"#,
        r#""strength": 0.3, "from_day": 2, "to_day": 2,"#,
        r#""lures": 3,"#,
        r#""catch_radius": "2 m","#,
    ]);
    let setting = pick(&["", r#", "setting": "isolated""#]);
    let width = 10.0 + 20.0 * luck.uniform();
    let depth = 8.0 + 20.0 * luck.uniform();
    let rows = 2 + (3.0 * luck.uniform()) as u32;
    let crops: Vec<String> = (0..rows)
        .map(|row| {
            let y = 2.0 + (depth - 4.0) * f64::from(row) / f64::from(rows);
            format!(r#"{{ "name": "row {row}", "kind": "{kind}", "row": {{ "from": [2, {y}], "to": [{}, {y}], "count": 4 }} }}"#, width - 2.0)
        })
        .collect();
    let text = format!(
        r#"{{ "format": 1, "title": "Invented", "yard": {{ "width": {width}, "depth": {depth} }},
        "crops": [{}], {wind} "pest": "{pest}", "window": {{ "days": 3 }},
        "surroundings": {{ "pressure": {{ "on_plants_a_day": 1 }} {setting} }},
        "plans": [{{ "name": "a", "traps": [{{ {lure} "at": [1, 1] }}, {{ "at": [5, 4] }}] }}],
        "settings": {{ "summers": 10, "seed": {number} }} }}"#,
        crops.join(", ")
    );
    (read(&text), luck)
}

fn at(ground: &Ground, template: &LureSite, at: Point) -> LureSite {
    LureSite {
        at,
        near_plants: ground.plants_near(at),
        ..template.clone()
    }
}

/// Sites in and around the yard, and exactly on plants and corners.
fn sites(
    scenario: &Scenario,
    ground: &Ground,
    template: &LureSite,
    n: usize,
    luck: &mut ShortStream,
) -> Vec<LureSite> {
    // Never outside the arena: the program stretches the land for sites beyond the yard.
    let area = scenario.yard.grown(2.0);
    let mut sites: Vec<LureSite> = (0..n)
        .map(|_| {
            Point::new(
                area.x0 + area.width() * luck.uniform(),
                area.y0 + area.height() * luck.uniform(),
            )
        })
        .map(|p| at(ground, template, p))
        .collect();
    sites.push(at(ground, template, scenario.plants[0].at));
    sites.push(at(ground, template, Point::new(0.0, 0.0)));
    sites
}

fn check(
    prepared: &Prepared,
    ground: &Ground,
    base: &[LureSite],
    candidates: &[LureSite],
    watched: Option<&Watched>,
) -> u64 {
    let arrivals = prepared.arrivals(ground);
    let quick = delta(
        ground,
        &arrivals,
        base,
        candidates,
        watched.cloned(),
        (0, 1),
    );
    for (site, tally) in candidates.iter().zip(&quick.variants) {
        let slow = full(ground, &arrivals, base, site, watched.cloned());
        assert_eq!(*tally, slow, "site {:?}", site.at);
        assert!(tally.insects.balances());
    }
    quick.lived_again
}

#[test]
fn delta_equals_full_rerun_to_the_bit_in_random_yards() {
    let mut lived_again = 0;
    let mut compared = 0;
    for number in 0..8 {
        let (scenario, mut luck) = random_yard(number);
        let prepared = unscaled(&scenario).unwrap();
        for summer in 0..2 {
            let ground = Ground::for_summer(&scenario, summer);
            let traps = &scenario.plans[1].traps;
            let template = ground.lure_site(&traps[0], 0);
            let candidates = sites(&scenario, &ground, &template, 36, &mut luck);
            let area = Shape::Rect(Rect::new(1.0, 1.0, 4.0, 3.0));
            let watched = Watched::area(&ground, area, 0.5);
            lived_again += check(&prepared, &ground, &[], &candidates, Some(&watched));
            compared += candidates.len();
        }
    }
    assert!(
        compared >= 600 && lived_again > 1_000,
        "{compared} sites, {lived_again} lives"
    );
}

#[test]
fn delta_beside_other_traps_equals_full_rerun_to_the_bit() {
    let mut lived_again = 0;
    for number in [0, 1, 3, 4, 6] {
        let (scenario, mut luck) = random_yard(number);
        let prepared = unscaled(&scenario).unwrap();
        // One summer alone may bring next to no insects.
        for summer in 3..8 {
            let ground = Ground::for_summer(&scenario, summer);
            let traps = &scenario.plans[1].traps;
            let base = [
                ground.lure_site(&traps[1], 0),
                ground.lure_site(&traps[0], 1),
            ];
            let template = ground.lure_site(&traps[1], 2);
            let candidates = sites(&scenario, &ground, &template, 12, &mut luck);
            lived_again += check(&prepared, &ground, &base, &candidates, None);
        }
    }
    assert!(lived_again > 100, "{lived_again} lives");
}

#[test]
fn full_rerun_is_the_engine_that_compares_plans() {
    for number in [0, 1, 2, 3, 4, 5] {
        let (scenario, _) = random_yard(number);
        let prepared = unscaled(&scenario).unwrap();
        let ground = Ground::for_summer(&scenario, 1);
        let arrivals = prepared.arrivals(&ground);
        let site = ground.lure_site(&scenario.plans[1].traps[0], 0);
        let slow = full(&ground, &arrivals, &[], &site, None);
        let (_, _, mut rules) = prepared.lures(&ground, &scenario.plans[1]);
        rules.day_by_day = ground.crawls;
        rules.mating = false;
        rules.capacity = vec![None];
        let mut tally = SummerTally::new(ground.plants.len(), 1, ground.clock.days, None);
        run_plan(
            &ground,
            &arrivals,
            &mut Lures::new(vec![site]),
            &rules,
            &mut tally,
        );
        assert_eq!(slow, tally);
    }
}

#[test]
fn inert_trap_changes_nothing_anywhere() {
    let (scenario, mut luck) = random_yard(0);
    let prepared = unscaled(&scenario).unwrap();
    let ground = Ground::for_summer(&scenario, 0);
    let mut template = ground.lure_site(&scenario.plans[1].traps[0], 0);
    template.strength_by_day.fill(0.0);
    let candidates = sites(&scenario, &ground, &template, 10, &mut luck);
    let arrivals = prepared.arrivals(&ground);
    let quick = delta(&ground, &arrivals, &[], &candidates, None, (0, 1));
    assert_eq!(quick.lived_again, 0);
    for mut site in quick.variants {
        assert_eq!(site.caught_total(), 0);
        site.caught.clear();
        site.caught_by_day.clear();
        assert_eq!(site, quick.base);
    }
}

#[test]
fn parts_of_a_summer_add_up_to_the_whole() {
    for number in [1, 3, 6] {
        let (scenario, mut luck) = random_yard(number);
        let prepared = unscaled(&scenario).unwrap();
        let ground = Ground::for_summer(&scenario, 0);
        let template = ground.lure_site(&scenario.plans[1].traps[0], 0);
        let candidates = sites(&scenario, &ground, &template, 20, &mut luck);
        let watched = Watched::area(&ground, Shape::Rect(Rect::new(3.0, 3.0, 6.0, 6.0)), 1.0);
        let arrivals = prepared.arrivals(&ground);
        let run = |part| {
            let watched = Some(watched.clone());
            delta(&ground, &arrivals, &[], &candidates, watched, part)
        };
        let whole = run((0, 1));
        for parts in [2, 4, 7] {
            let part = |k| run((k, parts));
            let mut sum = part(0);
            (1..parts).for_each(|k| sum.add(&part(k)));
            assert_eq!(sum.base, whole.base);
            assert_eq!(sum.variants, whole.variants);
            assert_eq!(sum.lived_again, whole.lived_again);
        }
    }
}
