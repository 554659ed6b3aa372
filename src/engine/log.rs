//! The event log of one insect: what happened to it, and a checkpoint wherever a further lure might be answered.

use crate::engine::event::{Event, Observer};
use crate::engine::ground::Ground;
use crate::engine::insect::{Insect, Moment};
use crate::engine::lure::{Chance, Clocks, KnownTicks, LureMemory, Sense, Stretch};
use crate::geometry::Point;
use crate::scenario::Shape;
use std::ops::Range;

/// A place in the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Events before it.
    pub events: usize,
    /// Straight flights before it.
    pub flown: usize,
}

impl Place {
    /// The beginning.
    pub const START: Place = Place {
        events: 0,
        flown: 0,
    };
}

/// A stretch of a straight flight with a chance to answer, and the life as it stood before it.
#[derive(Clone, Debug)]
pub struct Checkpoint {
    /// The life before the segment that the stretch belongs to.
    pub moment: Moment,
    /// The stretch, up to where a live lure is answered.
    pub stretch: Stretch,
    /// Stretch of days in which it lies; see [`EventLog::day`].
    pub day: u32,
    /// What was logged before.
    pub place: Place,
    /// Chances to answer on the stretch, in [`EventLog::chances`].
    pub chances: Range<usize>,
    /// First entry in [`EventLog::memories`].
    memories: usize,
}

/// The area that is watched, if any, and the plants beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Watched {
    shape: Shape,
    beside: Vec<bool>,
}

impl Watched {
    /// An area, with the plants whose canopy reaches within `near_m` of it.
    pub fn area(ground: &Ground, shape: Shape, near_m: f64) -> Watched {
        let distance = |p: Point| match shape {
            Shape::Rect(rect) => rect.distance_to(p),
            Shape::Disc { at, radius_m } => (p.distance(at) - radius_m).max(0.0),
        };
        let near = ground.plants.iter();
        Watched {
            shape,
            beside: near
                .map(|p| distance(p.at) - p.canopy_m <= near_m)
                .collect(),
        }
    }

    /// Whether a plant stands beside the area.
    #[inline]
    pub fn is_beside(&self, plant: u32) -> bool {
        self.beside[plant as usize]
    }

    /// Whether a straight flight passes over the area.
    #[inline]
    pub fn passes(&self, from: Point, to: Point) -> bool {
        match self.shape {
            Shape::Rect(r) => r.clip(from, to).is_some(),
            Shape::Disc { at, radius_m } => {
                let (dx, dy) = (to.x - from.x, to.y - from.y);
                let length_squared = dx * dx + dy * dy;
                let (px, py) = (at.x - from.x, at.y - from.y);
                let t = if length_squared > 0.0 {
                    ((px * dx + py * dy) / length_squared).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                let (ex, ey) = (px - t * dx, py - t * dy);
                ex * ex + ey * ey <= radius_m * radius_m
            }
        }
    }
}

/// Logs the events of one insect, and where lures that do not hang in its yard could be answered.
pub struct EventLog<'a> {
    ground: &'a Ground,
    clocks: Clocks,
    sense: Sense<'a>,
    ticks: &'a KnownTicks,
    watched: Option<&'a Watched>,
    /// Straight flights, when they are kept.
    flights: Option<Vec<(Point, Point)>>,
    events: Vec<Event>,
    flown: usize,
    /// Checkpoints, in the order in which they were come to.
    pub checkpoints: Vec<Checkpoint>,
    /// Chances to answer.
    pub chances: Vec<Chance>,
    memories: Vec<LureMemory>,
    /// Day that a crawler is in; 0 for all others.
    pub day: u32,
    /// Whether the life stands still at its next straight flight after a checkpoint, and whether there was one.
    pub stands_still: bool,
    found: bool,
}

impl<'a> EventLog<'a> {
    /// An empty log that minds the lures of some clocks; flights are kept on request.
    pub fn new(
        ground: &'a Ground,
        clocks: Clocks,
        ticks: &'a KnownTicks,
        watched: Option<&'a Watched>,
        flights: bool,
    ) -> EventLog<'a> {
        EventLog {
            ground,
            clocks,
            sense: Sense::new(ground, 0, false),
            ticks,
            watched,
            flights: flights.then(Vec::new),
            events: Vec::new(),
            flown: 0,
            checkpoints: Vec::new(),
            chances: Vec::new(),
            memories: Vec::new(),
            day: 0,
            stands_still: false,
            found: false,
        }
    }

    /// Turns to another insect.
    pub fn start(&mut self, insect: &Insect) {
        self.clocks.start();
        self.sense = Sense::new(self.ground, insect.id, insect.female).with_known(self.ticks);
        self.flights.iter_mut().for_each(Vec::clear);
        self.events.clear();
        self.flown = 0;
        self.checkpoints.clear();
        self.chances.clear();
        self.memories.clear();
    }

    /// Goes on with a life.
    pub fn go_on(&mut self, day: u32) {
        (self.day, self.found) = (day, false);
    }

    /// Whether the life stands still.
    pub fn rests(&self) -> bool {
        self.stands_still && self.found
    }

    /// The end of the log so far.
    pub fn here(&self) -> Place {
        Place {
            events: self.events.len(),
            flown: self.flown,
        }
    }

    /// Memory of the live lures at a checkpoint.
    pub fn memories(&self, checkpoint: &Checkpoint, lures: usize) -> &[LureMemory] {
        &self.memories[checkpoint.memories..][..lures]
    }

    /// What was logged between two places, but for the flights.
    pub fn events(&self, from: Place, to: Place) -> &[Event] {
        &self.events[from.events..to.events]
    }

    /// Tells what was logged between two places.
    pub fn replay<O: Observer>(&self, from: Place, to: Place, observer: &mut O) {
        match &self.flights {
            Some(flights) => {
                for &(from, to) in &flights[from.flown..to.flown] {
                    observer.hear(&Event::Flew(from, to));
                }
            }
            None => observer.hear(&Event::FlewOn((to.flown - from.flown) as u64)),
        }
        for event in self.events(from, to) {
            observer.hear(event);
        }
    }
}

impl Observer for EventLog<'_> {
    const RECORDS: bool = true;

    #[inline]
    fn hear(&mut self, event: &Event) {
        let Event::Flew(from, to) = *event else {
            self.events.push(*event);
            return;
        };
        self.flown += 1;
        if let Some(flights) = &mut self.flights {
            flights.push((from, to));
        } else if self.watched.is_some_and(|area| area.passes(from, to)) {
            self.events.push(Event::Passed);
        }
    }

    #[inline]
    fn pauses(&self) -> bool {
        self.rests()
    }

    #[inline]
    fn wants(&mut self, insect: &Insect, s: f64, to: Point) -> bool {
        self.clocks.due(insect, s, to, &self.sense)
    }

    #[inline]
    fn stretched(&mut self, insect: &Insect, memory: &[LureMemory], stretch: &Stretch) {
        let before = self.chances.len();
        if !self
            .clocks
            .chances(stretch, &mut self.sense, &mut self.chances)
        {
            return;
        }
        self.found = true;
        self.checkpoints.push(Checkpoint {
            moment: Moment::of(insect),
            stretch: *stretch,
            day: self.day,
            place: self.here(),
            chances: before..self.chances.len(),
            memories: self.memories.len(),
        });
        self.memories.extend_from_slice(memory);
    }
}
