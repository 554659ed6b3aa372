//! One insect: where it is, what it is doing, and its own streams of luck.

use crate::engine::event::Fate;
use crate::engine::ground::Ground;
use crate::engine::random::{
    LongStream, Purpose, ShortStream, derive, seed_key, sin_cos, uniform_of,
};
use crate::geometry::Point;

/// What an insect is doing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mode {
    /// A bout of ordinary movement, as [`Insect::path`] says.
    Bout,
    /// Rests on background vegetation.
    Rest {
        /// End of the rest.
        until_s: f64,
    },
    /// Sits on a plant and feeds.
    OnPlant {
        /// Plant index.
        plant: u32,
        /// Start of the part of the stay that has not been told yet.
        since_s: f64,
        /// End of the stay.
        until_s: f64,
    },
    /// On the way to a lure.
    Approach {
        /// Lure index.
        lure: u32,
        /// Loses the odour then.
        lose_s: f64,
    },
    /// Sits by a trap that has not kept it so far.
    Pause {
        /// End of the pause.
        until_s: f64,
        /// The trap keeps it then after all, unless it is full.
        late: bool,
    },
    /// Area-restricted search around a trap that did not keep it, as [`Insect::path`] says.
    Search,
    /// Its life in the yard is over.
    Over(Fate),
}

/// A bout or search under way. Place and time are kept as differences to where it began, so that the same draws from
/// another place and time give the same differences, bit for bit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Path {
    /// Where it began.
    pub origin: Point,
    /// From there to where the insect is, metres.
    pub gone: Point,
    /// When it began, seconds of movement time.
    pub begin_s: f64,
    /// Time since then.
    pub gone_s: f64,
    /// How long it goes on.
    pub lasts_s: f64,
}

impl Path {
    /// A path that begins.
    #[inline]
    pub fn from(origin: Point, begin_s: f64, lasts_s: f64) -> Path {
        Path {
            origin,
            gone: Point::new(0.0, 0.0),
            begin_s,
            gone_s: 0.0,
            lasts_s,
        }
    }

    /// From where it began to `s` metres ahead.
    #[inline]
    pub fn ahead(&self, ux: f64, uy: f64, s: f64) -> Point {
        Point::new(self.gone.x + ux * s, self.gone.y + uy * s)
    }

    /// The place that lies so far from where it began.
    #[inline]
    pub fn place(&self, gone: Point) -> Point {
        Point::new(self.origin.x + gone.x, self.origin.y + gone.y)
    }

    /// When so much time will have passed since now.
    #[inline]
    pub fn time_after(&self, more_s: f64) -> f64 {
        self.begin_s + (self.gone_s + more_s)
    }
}

/// No lure.
pub const NO_LURE: u32 = u32::MAX;

/// One insect.
#[derive(Clone, Copy, Debug)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "five independent facts of one insect"
)]
pub struct Insect {
    /// Number within the summer; keys its draws.
    pub id: u32,
    /// Time, seconds of movement time.
    pub t_s: f64,
    /// Position.
    pub at: Point,
    /// Heading, unit vector.
    pub ux: f64,
    /// Heading, unit vector.
    pub uy: f64,
    /// What it is doing.
    pub mode: Mode,
    /// The bout or search that it is in, if it is in one; `at` and `t_s` follow it.
    pub path: Path,
    /// When it dies a natural death.
    pub dies_s: f64,
    /// Sex.
    pub female: bool,
    /// Came from outside, not from this yard.
    pub from_outside: bool,
    /// Was there when the window opened.
    pub from_start: bool,
    /// A cover put on while it sits here, or already there when it came up, keeps it in. One that crept in by a gap
    /// finds the gap again: the published reductions under nets hold for both ways together.
    pub locked_in: bool,
    /// Mated before it came.
    pub came_mated: bool,
    /// A virgin has mated by the first day whose chance of mating is above this.
    pub mating_u: f64,
    /// The lure it is answering, or [`NO_LURE`].
    pub answering: u32,
    /// A crawler's shelter.
    pub home: Point,
    /// Key of the present leg of its life: what follows its arrival, a stay on a plant, an answer to a lure.
    pub leg: [u32; 2],
    /// Segment lengths, turns, bouts, rests of this leg.
    pub flight: LongStream,
    /// Acceptance of plants on this leg.
    pub plant: ShortStream,
    /// At the trap and after, in the present answer.
    pub fate: ShortStream,
    /// On the way to the lure, in the present answer.
    pub way: ShortStream,
    /// Segments of the search, in the present answer.
    pub search: LongStream,
}

impl Insect {
    /// A new insect at a place and time, flying. `from_outside` insects may have mated before.
    pub fn new(
        ground: &Ground,
        id: u32,
        t_s: f64,
        at: Point,
        heading: (f64, f64),
        from_outside: bool,
    ) -> Insect {
        let (seed, summer) = (ground.seed, ground.summer);
        let mut life = ShortStream::new(seed, summer, id, Purpose::Life);
        let female = life.uniform() < ground.pest.female_share;
        let mating = life.uniform();
        let mating_u = life.uniform();
        let dies_s = if ground.death_per_s > 0.0 {
            t_s + life.exponential(ground.tables) / ground.death_per_s
        } else {
            f64::INFINITY
        };
        Insect {
            id,
            t_s,
            at,
            ux: heading.0,
            uy: heading.1,
            mode: Mode::Bout,
            path: Path::from(at, t_s, 0.0),
            dies_s,
            female,
            from_outside,
            from_start: false,
            locked_in: false,
            came_mated: from_outside && mating < ground.pest.mated_on_arrival,
            mating_u,
            answering: NO_LURE,
            home: at,
            leg: seed_key(seed),
            flight: LongStream::new(seed, summer, id, Purpose::Flight),
            plant: ShortStream::new(seed, summer, id, Purpose::Plant),
            fate: ShortStream::new(seed, summer, id, Purpose::Fate),
            way: ShortStream::new(seed, summer, id, Purpose::Way),
            search: LongStream::new(seed, summer, id, Purpose::Search),
        }
    }

    /// Begins a bout of ordinary movement of a length, with the present heading.
    #[inline]
    pub fn fly(&mut self, lasts_s: f64) {
        self.path = Path::from(self.at, self.t_s, lasts_s);
        self.mode = Mode::Bout;
    }

    /// Begins a leg: all that follows is drawn from streams under its key.
    #[inline]
    pub fn begin_leg(&mut self, summer: u32, key: [u32; 2]) {
        self.leg = key;
        self.flight = LongStream::keyed(key, summer, self.id, Purpose::Flight);
        self.plant = ShortStream::keyed(key, summer, self.id, Purpose::Plant);
    }

    /// Begins a leg that follows no tick of a clock: after a night at home (kind 0) or a visit that drives it off (kind 1).
    pub fn driven_off(&mut self, ground: &Ground, tag: u32, kind: u32) {
        let who = (ground.summer, self.id);
        let words = derive(seed_key(ground.seed), who, Purpose::Driven, tag, kind);
        self.begin_leg(ground.summer, [words[0], words[1]]);
    }

    /// Begins the leg that follows an answer to a lure, with the draws of that answer. `tag` is the lure's and the number
    /// of answers before.
    pub fn begin_answer(&mut self, ground: &Ground, tag: u32) {
        let (seed, summer) = (ground.seed, ground.summer);
        let words = derive(seed_key(seed), (summer, self.id), Purpose::Away, tag, 0);
        self.begin_leg(summer, [words[0], words[1]]);
        self.fate = ShortStream::with_tag(seed, summer, self.id, Purpose::Fate, tag);
        self.way = ShortStream::with_tag(seed, summer, self.id, Purpose::Way, tag);
        self.search = LongStream::with_tag(seed, summer, self.id, Purpose::Search, tag);
    }

    /// Sits down on a plant until its clock ticks next.
    #[inline]
    pub fn sit_down(&mut self, ground: &Ground, plant: u32) {
        self.take_place(ground, plant, &Stay::on(ground, self.id, plant, self.t_s));
    }

    /// Begins a stay.
    #[inline]
    pub fn take_place(&mut self, ground: &Ground, plant: u32, stay: &Stay) {
        self.at = stay.spot;
        self.begin_leg(ground.summer, stay.leg);
        self.mode = Mode::OnPlant {
            plant,
            since_s: self.t_s,
            until_s: stay.leaves_s,
        };
    }

    /// Whether a female lays fertile eggs on a day.
    pub fn lays(&self, ground: &Ground) -> bool {
        self.female
            && (self.came_mated
                || self.mating_u < ground.mated_by_day[ground.clock.day_at(self.t_s) as usize])
    }
}

/// Mean of the clock that ends stays, seconds: one that ticks faster than once a second is of no use to anyone.
pub fn mean_stay_s(ground: &Ground) -> f64 {
    ground.pest.residence_mean.max(1.0)
}

/// A stay on a plant. It ends when the clock of insect and plant ticks next: a Poisson process in time, so that every
/// stay is exponential, whenever it begins. Two lives of one insect that sit on the same plant at the same time leave it
/// together, from the same spot, and from there on draw the same: they are one life again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stay {
    /// A stay that begins at this time or later, and before it ends, is this stay.
    pub since_s: f64,
    /// When it ends, seconds of movement time.
    pub leaves_s: f64,
    /// Where the insect sits.
    pub spot: Point,
    /// Key of the leg that follows.
    pub leg: [u32; 2],
}

impl Stay {
    /// The stay of an insect that is on a plant at a time.
    pub fn on(ground: &Ground, insect: u32, plant: u32, t_s: f64) -> Stay {
        let mean_s = mean_stay_s(ground);
        let (seed, summer) = (ground.seed, ground.summer);
        let mut clock = ShortStream::with_tag(seed, summer, insect, Purpose::Clock, plant);
        let span = (t_s / mean_s) as u64;
        let tick = clock.tick_after(t_s, mean_s, span, false, ground.tables);
        let words = derive(
            seed_key(seed),
            (summer, insect),
            Purpose::Stay,
            plant,
            tick.number,
        );
        let site = &ground.plants[plant as usize];
        let (s, c) = sin_cos(2.0 * std::f64::consts::PI * uniform_of(words[0]));
        let r = site.canopy_m * uniform_of(words[1]).sqrt();
        let (x, y) = (site.at.x + r * c, site.at.y + r * s);
        // A canopy at the very edge of an arena must not put an insect outside it.
        let spot = if ground.arena.contains(x, y) {
            Point::new(x, y)
        } else {
            site.at
        };
        Stay {
            since_s: tick.since_s,
            leaves_s: tick.t_s,
            spot,
            leg: [words[2], words[3]],
        }
    }
}

/// A life at one moment of a bout of ordinary movement: all of it that changes while the insect lives, but for its draws.
#[derive(Clone, Copy, Debug)]
pub struct Moment {
    /// Time, seconds of movement time.
    pub t_s: f64,
    /// Position.
    pub at: Point,
    /// Heading, unit vector.
    pub ux: f64,
    /// Heading, unit vector.
    pub uy: f64,
    path: Path,
    home: Point,
    answering: u32,
    locked_in: bool,
}

impl Moment {
    /// The insect now.
    #[inline]
    pub fn of(insect: &Insect) -> Moment {
        Moment {
            t_s: insect.t_s,
            at: insect.at,
            ux: insect.ux,
            uy: insect.uy,
            path: insect.path,
            home: insect.home,
            answering: insect.answering,
            locked_in: insect.locked_in,
        }
    }

    /// The insect as it was at this moment, from the same insect at any other. Its draws are those of the other: it is about
    /// to answer a lure, and from there on draws anew.
    pub fn resume(&self, other: &Insect) -> Insect {
        let mut insect = *other;
        insect.t_s = self.t_s;
        insect.at = self.at;
        (insect.ux, insect.uy) = (self.ux, self.uy);
        insect.mode = Mode::Bout;
        insect.path = self.path;
        insect.home = self.home;
        insect.answering = self.answering;
        insect.locked_in = self.locked_in;
        insect
    }
}
