//! Same scenario, same seed: same results, whatever the threads and however often.

#[path = "theory/yard.rs"]
mod yard;

use lurefield::count::outcome::{RunOutcome, Standing};
use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::{Unwatched, with_threads};
use lurefield::scenario::Scenario;
use lurefield::study::run::{run, run_for};
use lurefield::study::settle::Take;

fn scenario() -> Scenario {
    let mut scenario = yard::yard(
        20.0,
        &[(6.0, 9.0), (8.0, 9.0), (14.0, 4.0)],
        &[
            ("one", &[(12.0, 12.0)]),
            ("three", &[(3.0, 3.0), (17.0, 3.0), (10.0, 17.0)]),
        ],
    );
    scenario.settings.summers = 70;
    scenario.window.days = 3;
    scenario.window.day_weights = vec![1.0; 3];
    scenario
}

fn outcome(scenario: &Scenario, threads: usize) -> RunOutcome {
    with_threads(threads, || {
        let prepared = prepare(scenario, &Unwatched).expect("the yard can be run");
        run(&prepared, &Unwatched).expect("nobody stops it")
    })
    .expect("the threads start")
}

#[test]
fn threads_do_not_change_a_single_bit() {
    let scenario = scenario();
    let one = outcome(&scenario, 1);
    assert!(one.plans[1].insects.caught > 0);
    let text = serde_json::to_string(&one).unwrap();
    for threads in [2, 7] {
        let other = outcome(&scenario, threads);
        assert_eq!(one, other, "{threads} threads");
        assert_eq!(text, serde_json::to_string(&other).unwrap());
    }
}

/// The rule stops at one number whatever the threads, and that number asked for outright gives the same bits.
#[test]
fn summers_taken_until_the_answer_is_settled_are_those_asked_for_outright() {
    let scenario = scenario();
    let until = |take: Take, threads: usize| {
        with_threads(threads, || {
            let prepared = prepare(&scenario, &Unwatched).expect("the yard can be run");
            run_for(&prepared, take, &Unwatched).expect("nobody stops it")
        })
        .expect("the threads start")
    };
    let rule = until(Take::until_settled(2000), 1);
    assert!(rule.settled && rule.summers >= 60 && rule.summers < 2000);
    for threads in [2, 7] {
        assert_eq!(rule, until(Take::until_settled(2000), threads));
    }
    assert_eq!(rule, until(Take::exactly(rule.summers), 2));
    // A cap that is reached says so; the number asked for outright, with the same cap, gives the same.
    let capped = until(Take::until_settled(60), 2);
    let asked = Take {
        exactly: Some(60),
        most: 60,
        work: None,
    };
    assert_eq!(capped, until(asked, 1));
    assert_eq!(capped.standing() == Standing::Open, rule.summers > 60);
}

#[test]
fn another_seed_gives_another_summer() {
    let mut scenario = scenario();
    scenario.settings.summers = 4;
    let one = outcome(&scenario, 1);
    scenario.settings.seed += 1;
    assert_ne!(one.plans[0].insects, outcome(&scenario, 1).plans[0].insects);
}

/// Plans share their summers: a plan's result does not depend on which others stand beside it, or in what order.
#[test]
fn plan_does_not_depend_on_its_neighbours_in_the_list() {
    let mut scenario = scenario();
    scenario.settings.summers = 4;
    let all = outcome(&scenario, 1);
    scenario.plans.swap(1, 2);
    let swapped = outcome(&scenario, 1);
    assert_eq!(
        all.plans[1].damage_by_summer,
        swapped.plans[2].damage_by_summer
    );
    assert_eq!(all.plans[2].insects, swapped.plans[1].insects);
    // More summers begin with the same ones.
    scenario.plans.swap(1, 2);
    scenario.settings.summers = 6;
    let longer = outcome(&scenario, 1);
    assert_eq!(
        all.plans[1].damage_by_summer,
        longer.plans[1].damage_by_summer[..4]
    );
}
