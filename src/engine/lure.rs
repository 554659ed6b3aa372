//! A baited trap as the engine sees it: active space, response, what happens at the trap.

use crate::engine::ground::{Clock, Ground, Hour};
use crate::engine::random::{Purpose, ShortStream, Tables};
use crate::engine::wind::{HourSpace, WindTable};
use crate::geometry::{Point, Rect, line_through_disc};

/// How a trap draws insects.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Attraction {
    /// Active space (disc, or near disc and downwind sector) with a response hazard.
    Plume {
        /// Reach, metres.
        reach_m: f64,
        /// Radius of the near disc in wind, metres.
        near_m: f64,
        /// Hazard of responding, females, 1/s.
        female_per_s: f64,
        /// Hazard of responding, males, 1/s.
        male_per_s: f64,
    },
    /// Encounter disc of the effective attraction radius: every insect of a called sex that crosses it is caught.
    Encounter {
        /// Effective attraction radius in the plane (EARc), metres.
        radius_m: f64,
        /// Whether the lure calls males and females; a sex it does not call flies through.
        calls: [bool; 2],
    },
}

/// A trap of one plan in one summer.
#[derive(Clone, Debug, PartialEq)]
pub struct LureSite {
    /// Where it hangs.
    pub at: Point,
    /// Keys the draws of this trap; the same tag shares luck between plans.
    pub tag: u32,
    /// How it draws.
    pub attraction: Attraction,
    /// Response relative to a fresh lure, for each day; 0 where it does not hang.
    pub strength_by_day: Vec<f64>,
    /// Share kept of those that reach the trap.
    pub capture: f64,
    /// Share that lands by the trap and is not kept.
    pub land: f64,
    /// Arrestment radius, metres.
    pub arrestment_m: f64,
    /// Plants whose canopy lies within the arrestment radius.
    pub near_plants: Vec<u32>,
    /// True on a day when the trap is full (set day by day).
    pub full: bool,
}

/// What one insect has been through with one lure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LureMemory {
    /// Exposure (hazard times time) left until it responds; NaN before the draw.
    pub budget: f64,
    /// Ignores the lure until this time, seconds.
    pub refractory_until_s: f64,
    /// Responses so far.
    pub responses: u32,
    /// Exposure of the stretch under consideration, not yet charged.
    pub pending: f64,
}

impl LureMemory {
    /// Nothing yet.
    pub const NEW: LureMemory = LureMemory {
        budget: f64::NAN,
        refractory_until_s: 0.0,
        responses: 0,
        pending: 0.0,
    };
}

/// The part of a life that a lure may act on: one stretch of a straight segment.
#[derive(Clone, Copy, Debug)]
pub struct Stretch {
    /// Start of the segment.
    pub from: Point,
    /// Heading.
    pub ux: f64,
    /// Heading.
    pub uy: f64,
    /// Time at the start of the segment, seconds of movement time.
    pub start_s: f64,
    /// Where the stretch begins along the segment, metres.
    pub s0: f64,
    /// Where it ends.
    pub s1: f64,
}

/// Who meets lures, and where: what all stretches of one life share.
#[derive(Clone, Debug)]
pub struct Sense<'a> {
    clock: &'a Clock,
    wind: &'a WindTable,
    tables: &'a Tables,
    /// Seed, summer and insect.
    who: (u64, u32, u32),
    female: bool,
    speed: f64,
    slowness: f64,
    /// The hour asked for last, and the times that surely belong to it.
    hour: Hour,
    hour_from_s: f64,
    hour_until_s: f64,
}

impl<'a> Sense<'a> {
    /// The senses of one insect of a summer.
    #[inline]
    pub fn new(ground: &'a Ground, insect: u32, female: bool) -> Sense<'a> {
        let who = (ground.seed, ground.summer, insect);
        Sense::in_air(&ground.clock, &ground.wind, who, female, ground.pest.speed)
    }

    /// The senses of an insect (seed, summer, number) that flies at a speed, m/s.
    #[inline]
    pub fn in_air(
        clock: &'a Clock,
        wind: &'a WindTable,
        who: (u64, u32, u32),
        female: bool,
        speed: f64,
    ) -> Sense<'a> {
        Sense {
            clock,
            wind,
            tables: Tables::get(),
            who,
            female,
            speed,
            slowness: 1.0 / speed,
            hour: Hour {
                day: 0,
                of_day: 0,
                ends_s: 0.0,
            },
            hour_from_s: f64::INFINITY,
            hour_until_s: f64::NEG_INFINITY,
        }
    }

    /// Whether the insect is a female.
    pub fn is_female(&self) -> bool {
        self.female
    }

    /// Hour of a time, as [`crate::engine::ground::Clock::hour_at`] has it; hours hold for many stretches in turn.
    #[inline]
    pub fn hour_at(&mut self, t_s: f64) -> Hour {
        // Close to the end of an hour rounding decides, so there the clock is asked anew.
        const CLOSE_S: f64 = 1e-6;
        if !(t_s >= self.hour_from_s && t_s < self.hour_until_s) {
            self.hour = self.clock.hour_at(t_s);
            self.hour_from_s = t_s;
            self.hour_until_s = self.hour.ends_s - CLOSE_S;
        }
        self.hour
    }
}

impl LureSite {
    /// Outer radius of the active space, metres.
    pub fn reach_m(&self) -> f64 {
        match self.attraction {
            Attraction::Plume { reach_m, .. } => reach_m,
            Attraction::Encounter { radius_m, .. } => radius_m,
        }
    }

    /// Whether no insect can ever respond.
    pub fn is_inert(&self) -> bool {
        let never = self.strength_by_day.iter().all(|&s| s <= 0.0);
        match self.attraction {
            Attraction::Plume {
                reach_m,
                female_per_s,
                male_per_s,
                ..
            } => never || reach_m <= 0.0 || (female_per_s <= 0.0 && male_per_s <= 0.0),
            Attraction::Encounter { radius_m, calls } => {
                never || radius_m <= 0.0 || calls == [false; 2]
            }
        }
    }

    /// Smallest rectangle that holds the active space.
    pub fn bounds(&self) -> Rect {
        Rect::new(self.at.x, self.at.y, self.at.x, self.at.y).grown(self.reach_m())
    }

    /// Distance along the segment at which an insect responds within the stretch, or how much of its budget the
    /// stretch uses up.
    ///
    /// Draws the budget (a unit exponential keyed by insect, lure and response number) on first exposure.
    #[inline]
    pub fn exposure(
        &self,
        stretch: &Stretch,
        sense: &mut Sense,
        memory: &mut LureMemory,
    ) -> Exposure {
        // A stretch that surely ends before the lure is minded again.
        const SURELY_S: f64 = 1e-6;
        if stretch.start_s + stretch.s1 * sense.slowness + SURELY_S < memory.refractory_until_s {
            return Exposure::None;
        }
        let (dx, dy) = (self.at.x - stretch.from.x, self.at.y - stretch.from.y);
        let across = dx * stretch.uy - dy * stretch.ux;
        let reach = self.reach_m();
        if across * across >= reach * reach {
            return Exposure::None;
        }
        let along = dx * stretch.ux + dy * stretch.uy;
        let half = (reach * reach - across * across).sqrt();
        let (enter, leave) = (
            (along - half).max(stretch.s0),
            (along + half).min(stretch.s1),
        );
        if enter >= leave {
            return Exposure::None;
        }
        self.exposure_inside(stretch, (enter, leave), sense, memory)
    }

    fn exposure_inside(
        &self,
        stretch: &Stretch,
        disc: (f64, f64),
        sense: &mut Sense,
        memory: &mut LureMemory,
    ) -> Exposure {
        let (slowness, speed, wind) = (sense.slowness, sense.speed, sense.wind);
        let time_at = |s: f64| stretch.start_s + s * slowness;
        let mut begin = disc.0;
        if time_at(begin) < memory.refractory_until_s {
            begin = (memory.refractory_until_s - stretch.start_s) * speed;
            if begin >= disc.1 {
                return Exposure::None;
            }
        }
        let mut used = 0.0;
        while begin < disc.1 {
            let hour = sense.hour_at(time_at(begin));
            let hour_ends = (hour.ends_s - stretch.start_s) * speed;
            // The next hour begins where this one ends; rounding must not hold the loop.
            let end = if hour_ends > begin {
                hour_ends.min(disc.1)
            } else {
                disc.1
            };
            let strength = self.strength_by_day[hour.day];
            if strength > 0.0 {
                match self.attraction {
                    Attraction::Encounter { calls, .. } => {
                        return if calls[usize::from(sense.female)] {
                            Exposure::Responds(begin)
                        } else {
                            Exposure::None
                        };
                    }
                    Attraction::Plume {
                        near_m,
                        female_per_s,
                        male_per_s,
                        ..
                    } => {
                        let hazard = strength
                            * if sense.female {
                                female_per_s
                            } else {
                                male_per_s
                            };
                        if hazard > 0.0 {
                            let space = wind.hours[hour.day * wind.hours_per_day + hour.of_day];
                            for piece in self.pieces(stretch, space, near_m, begin, end) {
                                if piece.1 <= piece.0 {
                                    continue;
                                }
                                if memory.budget.is_nan() {
                                    memory.budget = self.budget(sense, memory.responses);
                                }
                                let cost = (piece.1 - piece.0) * hazard * slowness;
                                let left = memory.budget - used;
                                if cost >= left {
                                    let s = piece.0 + left.max(0.0) * speed / hazard;
                                    return Exposure::Responds(s.min(piece.1));
                                }
                                used += cost;
                            }
                        }
                    }
                }
            }
            begin = end;
        }
        if used > 0.0 {
            Exposure::Used(used)
        } else {
            Exposure::None
        }
    }

    /// The stretches of [begin, end] inside the active space, in order and disjoint; empty ones have no length.
    fn pieces(
        &self,
        stretch: &Stretch,
        space: HourSpace,
        near_m: f64,
        begin: f64,
        end: f64,
    ) -> [(f64, f64); 2] {
        const EMPTY: (f64, f64) = (0.0, 0.0);
        let HourSpace::Sector { left, right } = space else {
            return [(begin, end), EMPTY];
        };
        let (qx, qy) = (stretch.from.x - self.at.x, stretch.from.y - self.at.y);
        let (mut a, mut b) = (begin, end);
        for (nx, ny) in [left, right] {
            // n·(q + s u) >= 0: solved only where the stretch changes sides.
            let offset = nx * qx + ny * qy;
            let slope = nx * stretch.ux + ny * stretch.uy;
            match (offset + slope * begin >= 0.0, offset + slope * end >= 0.0) {
                (true, true) => {}
                (false, false) => b = f64::NEG_INFINITY,
                (false, true) => a = a.max(-offset / slope),
                (true, false) => b = b.min(-offset / slope),
            }
        }
        let sector = if a < b { (a, b) } else { EMPTY };
        if sector == (begin, end) {
            return [sector, EMPTY];
        }
        let near = line_through_disc(stretch.from, stretch.ux, stretch.uy, self.at, near_m)
            .map_or(EMPTY, |(s0, s1)| (s0.max(begin), s1.min(end)));
        let near = if near.0 < near.1 { near } else { EMPTY };
        if sector == EMPTY {
            return [near, EMPTY];
        }
        if near == EMPTY {
            return [sector, EMPTY];
        }
        let (first, second) = if near.0 <= sector.0 {
            (near, sector)
        } else {
            (sector, near)
        };
        if second.0 <= first.1 {
            [(first.0, first.1.max(second.1)), EMPTY]
        } else {
            [first, second]
        }
    }

    /// Exposure that an insect bears before it responds: a unit exponential keyed by insect, lure and response number.
    pub fn budget(&self, sense: &Sense, responses: u32) -> f64 {
        let tag = self.answer_tag(responses);
        let (seed, summer, insect) = sense.who;
        ShortStream::with_tag(seed, summer, insect, Purpose::Lure, tag).exponential(sense.tables)
    }

    /// Keys the draws of the answer that follows so many others.
    #[inline]
    pub fn answer_tag(&self, responses: u32) -> u32 {
        (self.tag << 12) | (responses & 0xfff)
    }

    /// The greatest hazard that an insect can ever be under, 1/s; infinite where a touch is enough.
    pub fn most_hazard_per_s(&self, female: bool) -> f64 {
        let strength = self.strength_by_day.iter().copied().fold(0.0, f64::max);
        match self.attraction {
            Attraction::Encounter { calls, .. } if strength > 0.0 && calls[usize::from(female)] => {
                f64::INFINITY
            }
            Attraction::Encounter { .. } => 0.0,
            Attraction::Plume {
                female_per_s,
                male_per_s,
                ..
            } => strength * if female { female_per_s } else { male_per_s },
        }
    }
}

/// The lure answered first on a stretch, and where along the segment; otherwise the stretch is charged to every budget.
///
/// Shape: one memory for each site. When a lure is answered no budget has been charged yet.
pub fn first_answer(
    sites: &[LureSite],
    memory: &mut [LureMemory],
    stretch: &Stretch,
    sense: &mut Sense,
) -> Option<(u32, f64)> {
    let mut first: Option<(u32, f64)> = None;
    for (k, (site, memory)) in sites.iter().zip(memory.iter_mut()).enumerate() {
        memory.pending = 0.0;
        match site.exposure(stretch, sense, memory) {
            Exposure::None => {}
            Exposure::Used(used) => memory.pending = used,
            Exposure::Responds(s) => {
                if first.is_none_or(|(_, best)| s < best) {
                    first = Some((k as u32, s));
                }
            }
        }
    }
    if first.is_none() {
        for memory in memory.iter_mut() {
            memory.budget -= memory.pending;
        }
    }
    first
}

/// What a stretch does to an insect's readiness to respond.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Exposure {
    /// It lies outside the active space, or the lure is ignored.
    None,
    /// It uses up so much of the budget.
    Used(f64),
    /// The insect responds at this distance along the segment, metres.
    Responds(f64),
}

/// Factor on the reach of several lures of one kind in one trap.
///
/// # Source
/// Ten times the emission gave about twice the response distance: Baker & Roelofs 1981, Environ Entomol 10: 211-218
/// (abstract read), hence reach grows as emission to the power log10(2) = 0.301.
pub fn reach_factor(n_lures: u32) -> f64 {
    if n_lures <= 1 {
        1.0
    } else {
        libm::pow(f64::from(n_lures), std::f64::consts::LOG10_2)
    }
}
