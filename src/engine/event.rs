//! All that leaves the engine: what an observer of a life is told.

use crate::engine::insect::Insect;
use crate::engine::lure::LureMemory;
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
    pub at: (f64, f64),
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
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
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

/// Receives the events of lives. Every method has an empty default, so that an observer names only what it needs.
pub trait Observer {
    /// A straight flight from (x0, y0) to (x1, y1), metres.
    #[inline]
    fn flew(&mut self, _x0: f64, _y0: f64, _x1: f64, _y1: f64) {}
    /// Whether straight flights that meet nothing may be told by their number alone.
    #[inline]
    fn counts_alone(&self) -> bool {
        false
    }
    /// So many straight flights that met nothing.
    #[inline]
    fn flew_on(&mut self, _flights: u64) {}
    /// An insect fed on a plant.
    #[inline]
    fn fed(&mut self, _meal: &Meal) {}
    /// An insect landed on a plant.
    #[inline]
    fn landed(&mut self, _plant: u32) {}
    /// An insect answered the lure of this index.
    #[inline]
    fn answered(&mut self, _lure: u32, _at: (f64, f64)) {}
    /// Its answer ended.
    #[inline]
    fn answer_ended(&mut self, _lure: u32, _end: AnswerEnd) {}
    /// A life began, on a day.
    #[inline]
    fn began(&mut self, _insect: &Insect, _day: u32) {}
    /// An insect was alive at the end of the window.
    #[inline]
    fn outlived(&mut self, _female: bool) {}
    /// Whether the life shall stand still before its next straight flight; asked of those that trace.
    #[inline]
    fn pauses(&self) -> bool {
        false
    }
    /// Who mated in the summer; told once, when mating is followed.
    fn mated(&mut self, _account: &MatingAccount) {}
    /// Whether this observer wants to hear of every stretch that a lure might act on; see [`Observer::stretched`].
    const TRACES: bool = false;
    /// Whether a lure might act anywhere on the straight flight of `s` metres ahead, to a point; asked before it is cut
    /// into stretches.
    #[inline]
    fn wants(&mut self, _insect: &Insect, _s: f64, _to: Point) -> bool {
        Self::TRACES
    }
    /// Before a stretch from `s0` to `s1` along the present segment is flown: all that a lure could act on, in the
    /// pieces and the order in which lures are asked. `memory` is that of the live lures, the stretch not yet charged.
    #[inline]
    fn stretched(&mut self, _insect: &Insect, _memory: &[LureMemory], _s0: f64, _s1: f64) {}
    /// The stretch just told ends at `s`, where a live lure is answered.
    #[inline]
    fn stretch_cut(&mut self, _s: f64) {}
    /// A life ended; `female` and `day` are for the catch.
    #[inline]
    fn over(&mut self, _fate: Fate, _female: bool, _day: u32) {}
}

/// Observes nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Nobody;

impl Observer for Nobody {}
