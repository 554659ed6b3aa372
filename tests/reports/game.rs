//! The game on paper leads the way the field trials and the model went, played many times.

use crate::fixture::Stream;
use lurefield::count::outcome::AnswerAccount;
use lurefield::figure::sheet::board::Square;
use lurefield::report::products::game::{
    Die, INSECTS, NUMBERS, PLANTS, Rules, SIDE, TRAP, board, expected, reading, round, rules,
};
use lurefield::study::finding::Ended;

fn shipped() -> lurefield::scenario::Scenario {
    super::products::shipped("allotment-beetles.json")
}

#[test]
fn the_die_is_fair() {
    let mut die = Die::new(5);
    let mut faces = [0_u32; 6];
    let n = 60_000;
    for _ in 0..n {
        faces[die.roll() as usize - 1] += 1;
    }
    // 4 standard errors of a count with p = 1/6.
    let (mean, se) = (f64::from(n) / 6.0, (f64::from(n) * 5.0 / 36.0).sqrt());
    for face in faces {
        assert!((f64::from(face) - mean).abs() < 4.0 * se, "{faces:?}");
    }
}

#[test]
fn two_rolls_make_each_number_once() {
    let all: Vec<u32> = (1..=NUMBERS).map(reading).collect();
    let rolled: Vec<u32> = (1..=6)
        .flat_map(|a| (1..=6).map(move |b| 10 * a + b))
        .collect();
    assert_eq!(all, rolled);
    let mut die = Die::new(11);
    let mut seen = [0_u32; 36];
    for _ in 0..72_000 {
        seen[die.pair() as usize - 1] += 1;
    }
    // 2000 each; 5 standard errors of a count with p = 1/36.
    assert!(seen.iter().all(|n| n.abs_diff(2000) < 220), "{seen:?}");
}

/// Where those ended that answered, as an account of a thousand.
fn ended(luck: &mut Stream) -> Ended {
    let caught = (1000.0 * luck.next() * luck.next()) as u64;
    let landed_on_plant = ((1000 - caught) as f64 * luck.next()) as u64;
    Ended::of(&AnswerAccount {
        answered: 1000,
        caught,
        landed_on_plant,
        went_away: 1000 - caught - landed_on_plant,
        unfinished: 0,
    })
    .unwrap()
}

#[test]
fn the_odds_are_those_that_the_yard_has_counted() {
    let scenario = shipped();
    let mut luck = Stream(7);
    for _ in 0..500 {
        let ended = ended(&mut luck);
        let rules = rules(&scenario, &ended).unwrap();
        // Raspberry: landing 0.28 is 10 of 36.
        assert_eq!(rules.land, 10);
        let off = NUMBERS - rules.plant - rules.caught;
        let parts = [rules.caught, rules.plant, off];
        for (n, of_100) in parts.into_iter().zip(ended.three()) {
            let apart = f64::from(n) / f64::from(NUMBERS) - of_100 as f64 / 100.0;
            // Each end keeps a number, which may come from another.
            assert!(n >= 1 && apart.abs() < 2.5 / 36.0, "{rules:?} of {ended:?}");
        }
    }
}

#[test]
fn the_more_a_yard_spills_the_more_its_game_loses() {
    let mut before = 0.0;
    for plant in [2, 8, 16, 24, 34] {
        let rules = Rules {
            land: 10,
            plant,
            caught: 1,
        };
        let e = expected(rules, 8000, 3);
        assert!(e.with > before + 0.2, "{e:?}");
        // The round without the trap is the same in all of them.
        assert!((e.without - 1.58).abs() < 0.1, "{e:?}");
        before = e.with;
    }
}

#[test]
fn the_catch_of_a_game_is_its_share_at_the_trap() {
    let mut die = Die::new(2);
    let rules = Rules {
        land: 1,
        plant: 12,
        caught: 18,
    };
    let (mut caught, mut leaves) = (0, 0);
    for _ in 0..4000 {
        let score = round(rules, true, &mut die);
        caught += score.caught;
        leaves += score.leaves;
    }
    // Of those at the trap 18 are caught for 12 that land; few land before, with 1 of 36.
    let ratio = f64::from(leaves) / f64::from(caught);
    assert!((0.66..0.76).contains(&ratio), "{ratio}");
}

#[test]
fn no_round_loses_or_catches_more_than_it_has_insects() {
    let mut die = Die::new(9);
    for with_trap in [false, true] {
        for _ in 0..500 {
            let rules = Rules {
                land: 30,
                plant: 18,
                caught: 17,
            };
            let score = round(rules, with_trap, &mut die);
            assert!(score.leaves + score.caught <= INSECTS);
            assert!(with_trap || score.caught == 0);
        }
    }
}

#[test]
fn the_board_shows_what_the_rules_play_on() {
    let squares = board();
    assert_eq!(squares.len(), SIDE * SIDE);
    for (i, (square, scent)) in squares.iter().enumerate() {
        let at = (i / SIDE, i % SIDE);
        assert_eq!(*square == Square::Trap, at == TRAP);
        assert_eq!(*square == Square::Plant, PLANTS.contains(&at));
        if at == TRAP {
            assert!(scent);
        }
    }
}
