//! The compact trace of one life: every stretch that a further lure might act on, with the state to take it up from.

use crate::engine::event::{AnswerEnd, Fate, Meal, Observer};
use crate::engine::insect::{Insect, Moment};
use crate::engine::lure::{LureMemory, Stretch};
use crate::geometry::Point;

/// One stretch of a straight flight, and the life as it stood before it.
#[derive(Clone, Copy, Debug)]
pub struct Mark {
    /// The life before the segment that the stretch belongs to.
    pub moment: Moment,
    /// Where the stretch begins along the present segment, metres.
    pub s0: f64,
    /// Where it ends.
    pub s1: f64,
    /// Where a live lure is answered on it; infinite when none is.
    pub cut: f64,
    /// Day of the run, from 0.
    pub day: u32,
    /// Number of events told before.
    pub events: usize,
    /// Number of straight flights told before.
    pub flown: u64,
    /// First entry in [`Trace::memories`].
    pub memories: usize,
}

impl Mark {
    /// The stretch.
    #[inline]
    pub fn stretch(&self) -> Stretch {
        Stretch {
            from: self.moment.at,
            ux: self.moment.ux,
            uy: self.moment.uy,
            start_s: self.moment.t_s,
            s0: self.s0,
            s1: self.s1,
        }
    }
}

/// What an observer was told, to be taken back when a life goes another way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// It fed.
    Fed(Meal),
    /// It landed on a plant.
    Landed(u32),
    /// It passed over the area that is watched.
    Passed,
    /// It answered a lure.
    Answered,
    /// An answer ended.
    AnswerEnded(AnswerEnd),
    /// Its life ended.
    Over(Fate, bool, u32),
    /// It was alive at the end of the window.
    Outlived(bool),
}

/// Where a further lure could act, so that other stretches need not be kept.
pub trait Interest {
    /// Whether any of the lures in question could act somewhere on the straight flight of `s` metres ahead, to a point.
    fn near(&mut self, insect: &Insect, s: f64, to: Point) -> bool;
    /// Whether any of them could act on a stretch of this insect.
    fn meets(&mut self, insect: &Insect, s0: f64, s1: f64) -> bool;
    /// Whether enough was found for now: the life stands still before its next straight flight.
    fn has_enough(&self) -> bool {
        false
    }
    /// Whether a straight flight passes over the watched area.
    fn passes(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool;
}

/// Passes everything on and keeps the trace of the present insect.
pub struct Trace<'a, I: Interest, O: Observer> {
    /// Told everything as well.
    pub inner: &'a mut O,
    /// What to keep.
    pub interest: I,
    /// Day of the run.
    pub day: u32,
    /// Stretches kept.
    pub marks: Vec<Mark>,
    /// Memory of the live lures before each stretch.
    pub memories: Vec<LureMemory>,
    /// Events.
    pub told: Vec<Told>,
    /// Straight flights.
    pub flown: u64,
    last_kept: bool,
}

impl<'a, I: Interest, O: Observer> Trace<'a, I, O> {
    /// An empty trace.
    pub fn new(inner: &'a mut O, interest: I) -> Self {
        Trace {
            inner,
            interest,
            day: 0,
            marks: Vec::new(),
            memories: Vec::new(),
            told: Vec::new(),
            flown: 0,
            last_kept: false,
        }
    }

    /// Forgets the present insect.
    pub fn clear(&mut self) {
        self.day = 0;
        self.marks.clear();
        self.memories.clear();
        self.told.clear();
        self.flown = 0;
    }
}

impl<I: Interest, O: Observer> Observer for Trace<'_, I, O> {
    const TRACES: bool = true;

    #[inline]
    fn pauses(&self) -> bool {
        self.interest.has_enough()
    }

    #[inline]
    fn wants(&mut self, insect: &Insect, s: f64, to: Point) -> bool {
        self.interest.near(insect, s, to)
    }

    #[inline]
    fn stretched(&mut self, insect: &Insect, memory: &[LureMemory], s0: f64, s1: f64) {
        self.last_kept = self.interest.meets(insect, s0, s1);
        if self.last_kept {
            self.marks.push(Mark {
                moment: Moment::of(insect),
                s0,
                s1,
                cut: f64::INFINITY,
                day: self.day,
                events: self.told.len(),
                flown: self.flown,
                memories: self.memories.len(),
            });
            self.memories.extend_from_slice(memory);
        }
    }

    fn stretch_cut(&mut self, s: f64) {
        if self.last_kept
            && let Some(mark) = self.marks.last_mut()
        {
            mark.cut = s;
        }
    }

    #[inline]
    fn flew(&mut self, x0: f64, y0: f64, x1: f64, y1: f64) {
        self.flown += 1;
        if self.interest.passes(x0, y0, x1, y1) {
            self.told.push(Told::Passed);
        }
        self.inner.flew(x0, y0, x1, y1);
    }

    fn fed(&mut self, meal: &Meal) {
        self.told.push(Told::Fed(*meal));
        self.inner.fed(meal);
    }

    fn landed(&mut self, plant: u32) {
        self.told.push(Told::Landed(plant));
        self.inner.landed(plant);
    }

    fn answered(&mut self, lure: u32, at: (f64, f64)) {
        self.told.push(Told::Answered);
        self.inner.answered(lure, at);
    }

    fn answer_ended(&mut self, lure: u32, end: AnswerEnd) {
        self.told.push(Told::AnswerEnded(end));
        self.inner.answer_ended(lure, end);
    }

    fn began(&mut self, insect: &Insect, day: u32) {
        // No lure acts before a life begins, so this never has to be told again.
        self.inner.began(insect, day);
    }

    fn outlived(&mut self, female: bool) {
        self.told.push(Told::Outlived(female));
        self.inner.outlived(female);
    }

    fn over(&mut self, fate: Fate, female: bool, day: u32) {
        self.told.push(Told::Over(fate, female, day));
        self.inner.over(fate, female, day);
    }
}
