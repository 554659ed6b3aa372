//! The game on paper: one die, a board of eight by eight squares, twelve insects without a trap and twelve with it.
//!
//! The board is the same for every yard; the odds are the yard's own. Two rolls are read as one number from 11 to 66, one of
//! 36. An insect wanders, lands on a plant it meets with the crop's chance of landing, and goes straight to the trap once it
//! is within the scent. There it ends as those ended that answered the lures of the plan: on a plant, in the trap, or away.

use crate::figure::sheet::board::Square;
use crate::scenario::{Owner, Scenario};
use crate::study::finding::Ended;

/// Squares along a side.
pub const SIDE: usize = 8;
/// Index of the last row or column.
const LAST: i32 = 7;
/// Insects in a round.
pub const INSECTS: u32 = 12;
/// Moves of an insect at most.
pub const MOST_MOVES: u32 = 20;
/// The plants: rows and columns from the top left.
pub const PLANTS: [(usize, usize); 6] = [(2, 2), (2, 3), (2, 4), (3, 2), (3, 3), (3, 4)];
/// The trap.
pub const TRAP: (usize, usize) = (5, 4);
/// The scent is smelled within so many squares of the trap, also cornerwise.
pub const SCENT: usize = 2;

/// Numbers that two rolls can make.
pub const NUMBERS: u32 = 36;

/// The chances of the game, each as so many of [`NUMBERS`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rules {
    /// Lands on a plant with the first so many.
    pub land: u32,
    /// At the trap: lands on a plant with the first so many.
    pub plant: u32,
    /// At the trap: is caught with the next so many; with the rest it goes off.
    pub caught: u32,
}

/// The number that stands so far up among those of two rolls, from 1: 11 to 66.
pub fn reading(n: u32) -> u32 {
    let before = n - 1;
    10 * (before / 6 + 1) + before % 6 + 1
}

/// Result of a round.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Score {
    /// Leaves lost.
    pub leaves: u32,
    /// Insects caught.
    pub caught: u32,
}

/// A die, seeded, so that every report says the same.
pub struct Die(u64);

impl Die {
    /// A die with a seed.
    pub fn new(seed: u64) -> Die {
        Die(seed)
    }

    /// 1 to 6: SplitMix64 (Steele, Lea & Flood 2014, constants from memory), without bias.
    pub fn roll(&mut self) -> u32 {
        loop {
            self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let mut z = self.0;
            z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            let bits = (z ^ (z >> 31)) >> 61;
            if bits < 6 {
                return bits as u32 + 1;
            }
        }
    }

    /// Two rolls, read as one of [`NUMBERS`], from 1.
    pub fn pair(&mut self) -> u32 {
        6 * (self.roll() - 1) + self.roll()
    }
}

/// A share as so many numbers: at least one, and at most so many.
fn numbers(share: f64, most: u32) -> u32 {
    ((f64::from(NUMBERS) * share).round() as u32).clamp(1, most)
}

/// The rules that fit a scenario and where those ended that answered; `None` when it names no plant of the asker's.
pub fn rules(scenario: &Scenario, ended: &Ended) -> Option<Rules> {
    let crop = scenario.crops.iter().find(|c| c.owner == Owner::Mine)?;
    let [kept, landed, _] = ended.three().map(|n| n as f64 / 100.0);
    // Each of the three ends keeps a number.
    let plant = numbers(landed, NUMBERS - 2);
    Some(Rules {
        land: numbers(crop.host.get("acceptance")?.central(), NUMBERS - 1),
        plant,
        caught: numbers(kept, NUMBERS - 1 - plant),
    })
}

/// The board: what lies on each square and whether it is within the scent.
pub fn board() -> Vec<(Square, bool)> {
    let at = |r: usize, c: usize| {
        if (r, c) == TRAP {
            Square::Trap
        } else if PLANTS.contains(&(r, c)) {
            Square::Plant
        } else {
            Square::Empty
        }
    };
    (0..SIDE * SIDE)
        .map(|i| (at(i / SIDE, i % SIDE), scent(i / SIDE, i % SIDE)))
        .collect()
}

fn scent(row: usize, column: usize) -> bool {
    row.abs_diff(TRAP.0) <= SCENT && column.abs_diff(TRAP.1) <= SCENT
}

/// Up, right, down, left as changes of row and column.
const STEPS: [(i32, i32); 4] = [(-1, 0), (0, 1), (1, 0), (0, -1)];

/// Plays a round of [`INSECTS`] insects exactly as the sheet says.
pub fn round(rules: Rules, with_trap: bool, die: &mut Die) -> Score {
    let mut score = Score::default();
    for _ in 0..INSECTS {
        one(rules, with_trap, die, &mut score);
    }
    score
}

fn one(rules: Rules, with_trap: bool, die: &mut Die, score: &mut Score) {
    let side = loop {
        let roll = die.roll();
        if roll <= 4 {
            break roll;
        }
    };
    let along = die.roll().cast_signed();
    let last = LAST;
    // It flies in from its side: the first step it would keep to leads inward.
    let (mut row, mut column, mut heading) = match side {
        1 => (0, along, 2),
        2 => (along, last, 3),
        3 => (last, along, 0),
        _ => (along, 0, 1),
    };
    for moves in 0..=MOST_MOVES {
        let here = (row as usize, column as usize);
        if PLANTS.contains(&here) && die.pair() <= rules.land {
            score.leaves += 1;
            return;
        }
        if with_trap && scent(here.0, here.1) {
            let number = die.pair();
            score.leaves += u32::from(number <= rules.plant);
            let caught = rules.plant + 1..=rules.plant + rules.caught;
            score.caught += u32::from(caught.contains(&number));
            return;
        }
        if moves == MOST_MOVES {
            return;
        }
        let roll = die.roll() as usize;
        if roll <= 4 {
            heading = roll - 1;
        }
        row += STEPS[heading].0;
        column += STEPS[heading].1;
        if !(0..=last).contains(&row) || !(0..=last).contains(&column) {
            return;
        }
    }
}

/// What many games come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Games of 100 in which the round with the trap loses more leaves.
    pub more: f64,
    /// Games of 100 with a tie.
    pub same: f64,
    /// Mean leaves lost without the trap.
    pub without: f64,
    /// Mean leaves lost with it.
    pub with: f64,
}

/// Plays many games of two rounds.
pub fn expected(rules: Rules, games: u32, seed: u64) -> Expected {
    let mut die = Die::new(seed);
    let (mut more, mut same, mut without, mut with) = (0_u32, 0_u32, 0_u32, 0_u32);
    for _ in 0..games {
        let a = round(rules, false, &mut die).leaves;
        let b = round(rules, true, &mut die).leaves;
        more += u32::from(b > a);
        same += u32::from(b == a);
        without += a;
        with += b;
    }
    let n = f64::from(games.max(1));
    Expected {
        more: 100.0 * f64::from(more) / n,
        same: 100.0 * f64::from(same) / n,
        without: f64::from(without) / n,
        with: f64::from(with) / n,
    }
}
