//! The draws of one insect's answers to lures, kept so that they are made once for every way in which a summer may go.
//!
//! The way to the lure, what happens there, the search around it and the bouts that follow are drawn under the tag of the
//! lure and the number of the answer alone. Another place of the lure moves the path as a whole; what it meets there is
//! asked anew.

use crate::engine::ground::Ground;
use crate::engine::insect::{Insect, Path, Stay};
use crate::engine::lure::KnownTicks;
use crate::engine::random::{LongStream, ShortStream, sin_cos};
use crate::engine::walk::Walk;
use crate::geometry::{Point, Rect};
use std::ops::Range;

/// Segments that are judged together.
const TOGETHER: usize = 16;

/// One segment of a kept path.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Segment {
    /// Heading.
    pub(crate) u: (f64, f64),
    /// Length, metres.
    pub(crate) s: f64,
    /// From the start of the path to its beginning.
    pub(crate) gone: Point,
    /// Time since the start of the path.
    pub(crate) gone_s: f64,
    /// Position of the stream before it.
    position: u32,
}

/// A bout or search as far as its draws go.
#[derive(Debug)]
pub(crate) struct KeptPath {
    segments: Vec<Segment>,
    /// Boxes of the segments, so many at a time, as differences to the start.
    boxes: Vec<Rect>,
    /// From its start to its end.
    pub(crate) gone: Point,
    /// Its time.
    pub(crate) gone_s: f64,
    /// How long it lasts.
    pub(crate) lasts_s: f64,
    /// Rest after it (bouts).
    pub(crate) rest_s: f64,
}

impl KeptPath {
    /// Draws a path in the open, as [`crate::engine::flight`] does.
    fn draw(
        ground: &Ground,
        walk: &Walk,
        stream: &mut LongStream,
        heading: (f64, f64),
        lasts_s: f64,
    ) -> KeptPath {
        let (tables, speed) = (ground.tables, ground.pest.speed);
        let mut path = Path::from(Point::new(0.0, 0.0), 0.0, lasts_s);
        let (mut ux, mut uy) = heading;
        let mut segments = Vec::with_capacity(2 * TOGETHER);
        let mut boxes: Vec<Rect> = Vec::with_capacity(2);
        loop {
            let position = stream.position();
            let length = walk.length(stream, tables);
            let room = ((lasts_s - path.gone_s) * speed).max(0.0);
            let s = length.min(room);
            if segments.len().is_multiple_of(TOGETHER) {
                let Point { x, y } = path.gone;
                boxes.push(Rect::new(x, y, x, y));
            }
            segments.push(Segment {
                u: (ux, uy),
                s,
                gone: path.gone,
                gone_s: path.gone_s,
                position,
            });
            path.gone = path.ahead(ux, uy, s);
            path.gone_s += s / speed;
            let Point { x, y } = path.gone;
            if let Some(last) = boxes.last_mut() {
                *last = last.union(&Rect::new(x, y, x, y));
            }
            // As in the engine: a segment as long as the room ends the path.
            if length >= room {
                break;
            }
            (ux, uy) = walk.turned(ux, uy, stream, tables);
        }
        KeptPath {
            segments,
            boxes,
            gone: path.gone,
            gone_s: path.gone_s,
            lasts_s,
            rest_s: 0.0,
        }
    }

    /// Segments that are judged together, with the box that holds them when the path starts at `origin`.
    pub(crate) fn groups(&self, origin: Point) -> impl Iterator<Item = (Range<usize>, Rect)> {
        self.boxes.iter().enumerate().map(move |(k, b)| {
            // Rounding is monotone, so the box of moved corners holds every moved point.
            let moved = Rect::new(
                origin.x + b.x0,
                origin.y + b.y0,
                origin.x + b.x1,
                origin.y + b.y1,
            );
            let end = ((k + 1) * TOGETHER).min(self.segments.len());
            (k * TOGETHER..end, moved)
        })
    }

    /// One segment.
    #[inline]
    pub(crate) fn segment(&self, k: usize) -> &Segment {
        &self.segments[k]
    }

    /// Displacement and time at the end of one segment.
    #[inline]
    pub(crate) fn end_of(&self, k: usize) -> (Point, f64) {
        match self.segments.get(k + 1) {
            Some(next) => (next.gone, next.gone_s),
            None => (self.gone, self.gone_s),
        }
    }

    /// Puts the insect at the start of a segment.
    #[inline]
    pub(crate) fn put(&self, k: usize, insect: &mut Insect) {
        let segment = &self.segments[k];
        (insect.ux, insect.uy) = segment.u;
        (insect.path.gone, insect.path.gone_s) = (segment.gone, segment.gone_s);
        insect.at = insect.path.place(segment.gone);
        insect.t_s = insect.path.begin_s + segment.gone_s;
    }

    /// Position of the stream before a segment.
    pub(crate) fn position(&self, k: usize) -> u32 {
        self.segments[k].position
    }
}

/// The draws of one answer.
#[derive(Debug)]
pub(crate) struct KeptAnswer {
    /// The insect with the streams of the answer, at their first words.
    pub(crate) start: Insect,
    way: ShortStream,
    fate: ShortStream,
    flight: LongStream,
    /// Time until the odour is lost, times the hazard of losing it.
    way_length: f64,
    turns: Vec<(f64, f64, f64)>,
    /// What happens at the trap, and after a pause there.
    pub(crate) at_trap: [f64; 2],
    /// Pause by the trap in units of its mean, and the search; drawn when first asked for.
    pub(crate) pause: Option<f64>,
    search: Option<KeptPath>,
    bouts: Vec<KeptPath>,
}

impl KeptAnswer {
    fn new(ground: &Ground, insect: &Insect, tag: u32) -> KeptAnswer {
        let mut start = *insect;
        start.begin_answer(ground, tag);
        let (mut way, mut fate) = (start.way, start.fate);
        let way_length = way.exponential(ground.tables);
        let at_trap = [fate.uniform(), fate.uniform()];
        KeptAnswer {
            way,
            fate,
            flight: start.flight,
            start,
            way_length,
            turns: Vec::with_capacity(TOGETHER),
            at_trap,
            pause: None,
            search: None,
            bouts: Vec::new(),
        }
    }

    /// When the odour is lost on a way that begins at a time.
    #[inline]
    pub(crate) fn loses_at(&self, ground: &Ground, t_s: f64) -> f64 {
        loses_at(ground, t_s, self.way_length)
    }

    /// Sine and cosine of the turn away from the lure, and the length in units of the mean, of one segment of the way.
    #[inline]
    pub(crate) fn turn(&mut self, ground: &Ground, k: usize) -> (f64, f64, f64) {
        while self.turns.len() <= k {
            let turn = ground.pest.approach_turn_sd * self.way.normal(ground.tables);
            let (s, c) = sin_cos(turn);
            let length = self.way.exponential(ground.tables);
            self.turns.push((s, c, length));
        }
        self.turns[k]
    }

    /// The pause by the trap in units of its mean.
    pub(crate) fn pause(&mut self, ground: &Ground) -> f64 {
        *self
            .pause
            .get_or_insert_with(|| self.fate.exponential(ground.tables))
    }

    /// The search around the trap.
    pub(crate) fn search(&mut self, ground: &Ground) -> &KeptPath {
        let (fate, start) = (&mut self.fate, &mut self.start);
        self.search.get_or_insert_with(|| {
            let (heading, lasts_s) = ground.search_around(fate);
            let mut stream = start.search;
            KeptPath::draw(ground, &ground.search, &mut stream, heading, lasts_s)
        })
    }

    /// One of the bouts that follow when the answer comes to nothing.
    pub(crate) fn bout(&mut self, ground: &Ground, k: usize) -> &KeptPath {
        while self.bouts.len() <= k {
            let flight = &mut self.flight;
            let (heading, lasts_s) = ground.bout(flight);
            let mut bout = KeptPath::draw(ground, &ground.walk, flight, heading, lasts_s);
            bout.rest_s = ground.rest_s(flight);
            self.bouts.push(bout);
        }
        &self.bouts[k]
    }
}

/// When the odour is lost on a way that begins at a time, from a unit exponential draw.
#[inline]
pub(crate) fn loses_at(ground: &Ground, t_s: f64, draw: f64) -> f64 {
    let loss = ground.pest.approach_loss;
    if loss > 0.0 {
        t_s + draw / loss
    } else {
        f64::INFINITY
    }
}

/// The answers of one insect, and its stays on plants.
#[derive(Debug)]
pub struct Kept<'a> {
    /// Ticks of its clocks.
    pub(crate) ticks: &'a KnownTicks,
    /// Tags of the answers: of the lure, and the number of answers to it before.
    tags: Vec<u32>,
    answers: Vec<KeptAnswer>,
    /// Stays on each plant, and the plants that have any.
    stays: Vec<Vec<Stay>>,
    visited: Vec<u32>,
}

impl<'a> Kept<'a> {
    /// Nothing yet.
    pub fn new(ticks: &'a KnownTicks) -> Kept<'a> {
        Kept {
            ticks,
            tags: Vec::new(),
            answers: Vec::new(),
            stays: Vec::new(),
            visited: Vec::new(),
        }
    }

    /// Forgets the present insect.
    pub fn clear(&mut self) {
        self.tags.clear();
        self.answers.clear();
        for plant in self.visited.drain(..) {
            self.stays[plant as usize].clear();
        }
    }

    /// The place among the kept answers of the one with this tag.
    pub(crate) fn answer(&mut self, ground: &Ground, insect: &Insect, tag: u32) -> usize {
        let known = self.tags.iter().position(|&kept| kept == tag);
        known.unwrap_or_else(|| {
            self.tags.push(tag);
            self.answers.push(KeptAnswer::new(ground, insect, tag));
            self.answers.len() - 1
        })
    }

    /// An answer that has begun.
    #[inline]
    pub(crate) fn begun(&mut self, number: usize) -> &mut KeptAnswer {
        &mut self.answers[number]
    }

    /// A stay on a plant, as [`Stay::on`] has it.
    #[inline]
    pub(crate) fn stay(&mut self, ground: &Ground, insect: u32, plant: u32, t_s: f64) -> Stay {
        if self.stays.is_empty() {
            self.stays.resize(ground.plants.len(), Vec::new());
        }
        let stays = &mut self.stays[plant as usize];
        let known = |stay: &&Stay| stay.since_s <= t_s && t_s < stay.leaves_s;
        if let Some(stay) = stays.iter().find(known) {
            return *stay;
        }
        if stays.is_empty() {
            self.visited.push(plant);
        }
        let stay = Stay::on(ground, insect, plant, t_s);
        stays.push(stay);
        stay
    }
}
