//! The game on paper leads the way the field trials and the model went, played many times.

use lurefield::figure::sheet::board::Square;
use lurefield::report::products::game::{
    Die, INSECTS, PLANTS, Rules, SIDE, TRAP, board, expected, round, rules,
};

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
fn the_dice_come_from_the_scenario() {
    let scenario = shipped();
    let rules = rules(&scenario).unwrap();
    // Raspberry: landing 0.28 is 2 of 6. Beside a plant: ready 2 x 0.28 = 0.56, kept by a bucket 0.43 + 0.22 x 0.3 = 0.496, so
    // 0.56 + 0.44 x 0.504 x 0.56 = 0.68, which is 4 of 6.
    assert_eq!(rules, Rules { land: 2, plant: 4 });
}

#[test]
fn with_the_trap_more_leaves_are_lost_in_most_games() {
    let games = 20_000;
    let e = expected(rules(&shipped()).unwrap(), games, 3);
    let se = 100.0 * (0.25 / f64::from(games)).sqrt();
    assert!(e.more - 4.0 * se > 75.0, "{e:?}");
    assert!(e.with > e.without, "{e:?}");
    // It is no sure thing either: the class must be able to see a tie or the other way.
    assert!(e.more < 99.0, "{e:?}");
}

#[test]
fn a_trap_that_keeps_nearly_all_is_not_worse_than_one_that_spills() {
    let spills = expected(Rules { land: 2, plant: 5 }, 4000, 3);
    let keeps = expected(Rules { land: 2, plant: 1 }, 4000, 3);
    assert!(keeps.with < spills.with);
    assert!((keeps.without - spills.without).abs() < 0.2);
}

#[test]
fn no_round_loses_or_catches_more_than_it_has_insects() {
    let mut die = Die::new(9);
    for with_trap in [false, true] {
        for _ in 0..500 {
            let score = round(Rules { land: 5, plant: 5 }, with_trap, &mut die);
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
