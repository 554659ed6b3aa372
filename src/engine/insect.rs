//! One insect: where it is, what it is doing, and its own streams of luck.

use crate::engine::event::Fate;
use crate::engine::ground::Ground;
use crate::engine::random::{LongStream, Purpose, ShortStream};
use crate::geometry::Point;

/// What an insect is doing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mode {
    /// A bout of ordinary movement until this time.
    Bout {
        /// End of the bout, seconds of movement time.
        until_s: f64,
    },
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
    /// Sits by a trap that did not keep it.
    Pause {
        /// End of the pause.
        until_s: f64,
    },
    /// Area-restricted search around a trap that did not keep it.
    Search {
        /// End of the search.
        until_s: f64,
    },
    /// Its life in the yard is over.
    Over(Fate),
}

/// No lure.
pub const NO_LURE: u32 = u32::MAX;

/// One insect.
#[derive(Clone, Copy, Debug)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "four independent facts of one insect"
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
    /// When it dies a natural death.
    pub dies_s: f64,
    /// Sex.
    pub female: bool,
    /// Came from outside, not from this yard.
    pub from_outside: bool,
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
    /// Segment lengths, turns, bouts, rests.
    pub flight: LongStream,
    /// Acceptance, spot and stay.
    pub plant: ShortStream,
    /// At the trap and after.
    pub fate: ShortStream,
    /// On the way to a lure.
    pub way: ShortStream,
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
            mode: Mode::Bout { until_s: t_s },
            dies_s,
            female,
            from_outside,
            locked_in: false,
            came_mated: from_outside && mating < ground.pest.mated_on_arrival,
            mating_u,
            answering: NO_LURE,
            home: at,
            flight: LongStream::new(seed, summer, id, Purpose::Flight),
            plant: ShortStream::new(seed, summer, id, Purpose::Plant),
            fate: ShortStream::new(seed, summer, id, Purpose::Fate),
            way: ShortStream::with_tag(seed, summer, id, Purpose::Lure, 0x00ff_ffff),
        }
    }

    /// Whether a female lays fertile eggs on a day.
    pub fn lays(&self, ground: &Ground) -> bool {
        self.female
            && (self.came_mated
                || self.mating_u < ground.mated_by_day[ground.clock.day_at(self.t_s) as usize])
    }
}

/// A life at one moment of a bout of ordinary movement: all of it that changes while the insect lives.
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
    bout_ends_s: f64,
    home: Point,
    answering: u32,
    locked_in: bool,
    words: [u32; 4],
}

impl Moment {
    /// The insect now. Outside a bout of ordinary movement the end of the bout is its own time.
    #[inline]
    pub fn of(insect: &Insect) -> Moment {
        Moment {
            t_s: insect.t_s,
            at: insect.at,
            ux: insect.ux,
            uy: insect.uy,
            bout_ends_s: match insect.mode {
                Mode::Bout { until_s } => until_s,
                _ => insect.t_s,
            },
            home: insect.home,
            answering: insect.answering,
            locked_in: insect.locked_in,
            words: [
                insect.flight.position(),
                insect.plant.position(),
                insect.fate.position(),
                insect.way.position(),
            ],
        }
    }

    /// The insect as it was at this moment, from the same insect at any other.
    pub fn resume(&self, other: &Insect) -> Insect {
        let mut insect = *other;
        insect.t_s = self.t_s;
        insect.at = self.at;
        (insect.ux, insect.uy) = (self.ux, self.uy);
        insect.mode = Mode::Bout {
            until_s: self.bout_ends_s,
        };
        insect.home = self.home;
        insect.answering = self.answering;
        insect.locked_in = self.locked_in;
        let [flight, plant, fate, way] = self.words;
        insect.flight.seek(flight);
        insect.plant.seek(plant);
        insect.fate.seek(fate);
        insect.way.seek(way);
        insect
    }
}
