//! The recorded summer is the simulated one: same insects, same catch, and the same until the trap makes a difference.

use lurefield::count::one_summer::{MOST_INSECTS, OneSummer, What, record};
use lurefield::count::plans::plan_summer;
use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::Unwatched;
use lurefield::engine::ground::Ground;
use lurefield::report::products::show::Show;
use lurefield::scenario::Scenario;

fn recorded(scenario: &Scenario, summer: u32) -> (OneSummer, u64) {
    let prepared = prepare(scenario, &Unwatched).unwrap();
    let (without, with) = (&scenario.plans[0], &scenario.plans[1]);
    let one = record(&prepared, summer, without, with).unwrap();
    let ground = Ground::for_summer(scenario, summer);
    let (tally, _) = plan_summer(&prepared, &ground, with, None);
    let caught = tally
        .caught_by_day
        .iter()
        .flat_map(|days| days.iter().take(one.days as usize))
        .sum();
    (one, caught)
}

/// A yard quiet enough that all insects of the window are kept.
fn quiet() -> Scenario {
    let mut scenario = super::products::shipped("allotment-beetles.json");
    scenario.settings.summers = 4;
    scenario.pressure.low = 1.0;
    scenario.pressure.high = 2.0;
    scenario
}

fn count(one: &OneSummer, what: What) -> u64 {
    let events = one.insects.iter().flat_map(|i| &i.with().events);
    events.filter(|e| e.what == what).count() as u64
}

#[test]
fn the_recorded_catch_is_the_simulated_catch() {
    let scenario = quiet();
    let mut seen = 0;
    for summer in 0..6 {
        let (one, caught) = recorded(&scenario, summer);
        if one.came <= MOST_INSECTS {
            assert_eq!(one.insects.len(), one.came);
            assert_eq!(count(&one, What::Caught), caught, "summer {summer}");
            seen += caught;
        } else {
            assert!(count(&one, What::Caught) <= caught);
        }
    }
    assert!(seen > 0, "the check needs a catch to compare");
}

#[test]
fn paths_are_the_same_until_the_trap_matters() {
    let (one, _) = recorded(&super::products::shipped("allotment-beetles.json"), 0);
    assert!(
        one.insects.len() >= 50,
        "only {} insects",
        one.insects.len()
    );
    let mut changed = 0;
    for insect in &one.insects {
        let (a, b) = (&insect.without, insect.with());
        let smelled = b
            .events
            .iter()
            .find(|e| e.what == What::Smelled)
            .map(|e| e.t_s);
        if a == b {
            assert!(insect.with.is_none());
            continue;
        }
        changed += 1;
        let smelled = smelled.expect("a path differs only after the scent");
        let points = |t: &lurefield::count::one_summer::Track| -> Vec<[f64; 3]> {
            t.pieces
                .iter()
                .flatten()
                .copied()
                .filter(|p| p[0] < smelled - 0.1)
                .collect()
        };
        // The stretch that ends at the scent is cut there, so its last point may be missing on one side.
        let (before_a, before_b) = (points(a), points(b));
        let n = before_a.len().min(before_b.len()).saturating_sub(1);
        assert_eq!(before_a[..n], before_b[..n]);
    }
    assert!(changed > 5);
}

#[test]
fn without_a_trap_in_the_plan_nothing_is_recorded() {
    let scenario = quiet();
    let prepared = prepare(&scenario, &Unwatched).unwrap();
    assert!(record(&prepared, 0, &scenario.plans[0], &scenario.plans[0]).is_none());
}

#[test]
fn a_weak_lure_leaves_every_path_alone() {
    let scenario = super::products::shipped("weak-lure.json");
    let (one, caught) = recorded(&scenario, 0);
    // Strength zero or nearly so: whoever smells nothing flies the same way.
    for insect in &one.insects {
        let smelled = insect.with().events.iter().any(|e| e.what == What::Smelled);
        assert!(smelled || insect.with.is_none());
    }
    assert!(caught <= 1);
}

#[test]
fn the_show_keeps_order_and_counts() {
    let scenario = super::products::shipped("allotment-beetles.json");
    let (one, _) = recorded(&scenario, 0);
    let stage = lurefield::figure::sheet::day::stage(&scenario, 100.0, 900.0);
    let show = Show::new(&one, &stage.views, usize::MAX);
    assert_eq!(show.insects.len(), one.insects.len());
    for (i, actor) in show.insects.iter().enumerate() {
        for part in &actor.sides {
            let mut last = 0.5 * i as f64;
            for point in part.pieces.iter().flatten() {
                assert!(point[0] >= last - 1e-9, "time runs back");
                last = point[0];
            }
            assert!(last <= show.length);
            assert!(part.events.iter().all(|e| e.0 <= show.length));
        }
    }
    assert_eq!(show.counts(0).caught, 0);
    assert_eq!(show.counts(0).smelled, 0);
    assert!(show.counts(1).landed > 0);
}

#[test]
fn the_file_stays_small() {
    let mut scenario = super::products::shipped("isolated-orchard-perimeter.json");
    scenario.settings.summers = 2;
    let (one, _) = recorded(&scenario, 0);
    let bytes = serde_json::to_string(&one).unwrap().len();
    assert!(bytes < 1_500_000, "{bytes} bytes");
}
