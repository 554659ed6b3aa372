//! All that leaves the engine: what an observer of a life is told.

use crate::engine::clock::Clock;
use crate::engine::insect::Insect;
use crate::engine::lure::{LureMemory, Stretch};
use crate::geometry::Point;

/// How a life in the yard ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// Kept by the trap of this index.
    Caught(u32),
    /// Killed by a method.
    Killed,
    /// Removed by hand.
    Removed,
    /// Natural death.
    Died,
    /// Crossed the outer edge.
    Left,
}

/// How an answer to a lure ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AnswerEnd {
    /// Kept by the trap.
    Caught,
    /// Landed on a plant on the way or in the search that followed.
    Landed,
    /// Lost the odour, or gave up the search.
    WentAway,
    /// Died, left or ran out of time first.
    Unfinished,
}

/// A stay on a plant, or the part of one that is told at once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meal {
    /// Plant index.
    pub plant: u32,
    /// Where the insect sat, metres.
    pub at: Point,
    /// Movement time spent there, in ticks of 1/1024 s.
    pub ticks: u64,
    /// Feeding after the movement hours of the days that ended meanwhile, in ticks.
    pub late_ticks: u64,
    /// Whether it was a mated female.
    pub lays: bool,
    /// Day on which it began, from 0.
    pub day: u32,
}

/// Who was there to mate, and who did.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct MatingAccount {
    /// Males that were there in the window.
    pub males: u64,
    /// Males that traps kept.
    pub males_caught: u64,
    /// Females that grew up here.
    pub local_females: u64,
    /// Those of them that mated.
    pub local_mated: u64,
    /// Females that came from outside.
    pub outside_females: u64,
    /// Those of them that came mated.
    pub outside_mated: u64,
}

impl MatingAccount {
    /// Adds another account to this one.
    pub fn add(&mut self, other: &MatingAccount) {
        self.males += other.males;
        self.males_caught += other.males_caught;
        self.local_females += other.local_females;
        self.local_mated += other.local_mated;
        self.outside_females += other.outside_females;
        self.outside_mated += other.outside_mated;
    }
}

/// One thing that happens in a life, or in a summer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Event {
    /// A life began, on a day.
    Began {
        /// Sex.
        female: bool,
        /// Was there when the window opened.
        from_start: bool,
        /// Day, from 0.
        day: u32,
    },
    /// A straight flight between two places.
    Flew(Point, Point),
    /// So many straight flights that met nothing.
    FlewOn(u64),
    /// A flight passed over the area that is watched.
    Passed,
    /// An insect fed on a plant.
    Fed(Meal),
    /// It landed on the plant of this index, at a time, seconds of movement time.
    Landed(u32, f64),
    /// It answered the lure of this index, at a place.
    Answered(u32, Point),
    /// Its answer to this lure ended.
    AnswerEnded(u32, AnswerEnd),
    /// Its life ended; sex and day are for the catch.
    Over {
        /// How.
        fate: Fate,
        /// Sex.
        female: bool,
        /// When, seconds of movement time.
        t_s: f64,
        /// Day, from 0.
        day: u32,
    },
    /// It was alive at the end of the window.
    Outlived {
        /// Sex.
        female: bool,
    },
    /// Who mated in the summer; told once, when mating is followed.
    Mated(MatingAccount),
}

impl Event {
    /// The beginning of an insect's life.
    #[inline]
    pub fn began(insect: &Insect, clock: &Clock) -> Event {
        Event::Began {
            female: insect.female,
            from_start: insect.from_start,
            day: clock.day_at(insect.t_s),
        }
    }
}

/// Hears the events of lives.
pub trait Observer {
    /// Something happened.
    fn hear(&mut self, event: &Event);
    /// Whether straight flights that meet nothing may be told by their number alone.
    #[inline]
    fn counts_alone(&self) -> bool {
        false
    }
    /// Whether this observer is asked about every stretch that a lure might act on; see [`Observer::stretched`].
    const RECORDS: bool = false;
    /// Whether the life shall stand still before its next straight flight; asked of those that record.
    #[inline]
    fn pauses(&self) -> bool {
        false
    }
    /// Whether a lure might act anywhere on the straight flight of `s` metres ahead, to a point; asked before it is cut
    /// into stretches.
    #[inline]
    fn wants(&mut self, _insect: &Insect, _s: f64, _to: Point) -> bool {
        Self::RECORDS
    }
    /// Before a stretch is flown: all that a lure could act on, in the pieces and the order in which lures are asked. It
    /// ends where a live lure is answered. `memory` is that of the live lures.
    #[inline]
    fn stretched(&mut self, _insect: &Insect, _memory: &[LureMemory], _stretch: &Stretch) {}
}

/// Observes nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Nobody;

impl Observer for Nobody {
    #[inline]
    fn hear(&mut self, _event: &Event) {}
    #[inline]
    fn counts_alone(&self) -> bool {
        true
    }
}
