//! A baited trap as the engine sees it: active space, response, what happens at the trap.

use crate::engine::clock::{Clock, Hour};
use crate::engine::ground::Ground;
use crate::engine::insect::Insect;
use crate::engine::random::{
    Purpose, SPAN_WORDS, ShortStream, Tables, derive, seed_key, uniform_of,
};
use crate::engine::wind::{Air, WindTable};
use crate::geometry::{Point, Rect, line_through_disc};
use std::cell::Cell;

/// How a trap draws insects.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Attraction {
    /// A plume with a response hazard that falls with the distance to nothing at the reach, and across the wind.
    Plume {
        /// Reach, metres.
        reach_m: f64,
        /// How far the lure works from any side in wind, metres.
        near_m: f64,
        /// Exponent of the fall with distance: the hazard is that at the lure times 1 − (distance / reach)^fall.
        fall: f64,
        /// Hazard of responding at the lure, females, 1/s.
        female_per_s: f64,
        /// Hazard of responding at the lure, males, 1/s.
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
    /// Not less than any of them, nor than 1.
    pub strength_most: f64,
    /// Share kept of those that reach the trap.
    pub capture: f64,
    /// Share that lands by the trap and is not kept.
    pub land: f64,
    /// Share of those that landed by it that it keeps after all, when their pause ends.
    pub late_capture: f64,
    /// Distance at which an insect touches it, metres.
    pub touch_m: f64,
    /// Spillover length λ: plants on the way and round the trap are landed on with a hazard that falls as exp(−r/λ), metres.
    pub spill_m: f64,
    /// Plants whose detection disc comes within [`SPILLS`] spillover lengths, in order.
    pub near_plants: Vec<u32>,
    /// True on a day when the trap is full (set day by day).
    pub full: bool,
}

/// What one insect has been through with one lure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LureMemory {
    /// Ignores the lure until this time, seconds.
    pub refractory_until_s: f64,
    /// Responses so far.
    pub responses: u32,
    /// The tick of its clock that was asked for last.
    tick: Tick,
}

impl LureMemory {
    /// Nothing yet.
    pub const NEW: LureMemory = LureMemory {
        refractory_until_s: 0.0,
        responses: 0,
        tick: Tick::NEVER,
    };
}

/// Beyond so many spillover lengths nothing is left of spillover.
pub const SPILLS: f64 = 4.0;
/// exp(−[`SPILLS`]).
const LEFT_THERE: f64 = 0.018_315_638_888_734_18;

/// Spillover at a distance from a lure, both metres: exp(−r/λ), less what would be left at [`SPILLS`] lengths, so that it
/// falls to nothing there without a step; 1 at the lure.
#[inline]
pub fn spillover(distance_m: f64, length_m: f64) -> f64 {
    let lengths = distance_m / length_m;
    // Nothing is left there, whichever way the exponential is rounded.
    if lengths > SPILLS + 1e-6 {
        return 0.0;
    }
    ((libm::exp(-lengths) - LEFT_THERE) / (1.0 - LEFT_THERE)).max(0.0)
}

/// A moment at which an insect may answer a lure.
///
/// The clock of insect and trap is a Poisson process whose rate is the hazard right at a fresh lure. A tick has luck of
/// its own, and counts when that is below the hazard of the place, the air and the lure's age as a share of that rate
/// (Poisson thinning). To answer at the first such tick is the same, in law, as to respond with the hazard all along; and
/// where the trap hangs moves no tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tick {
    /// No tick lies between this time and the tick, seconds.
    since_s: f64,
    /// When it is.
    pub t_s: f64,
    /// Counts when the lure's strength, as a share of its greatest, is above this.
    luck: f64,
}

impl Tick {
    const NEVER: Tick = Tick {
        since_s: f64::INFINITY,
        t_s: f64::NEG_INFINITY,
        luck: 0.0,
    };

    #[inline]
    fn is_next_after(&self, t_s: f64) -> bool {
        self.since_s <= t_s && t_s < self.t_s
    }
}

/// Ticks of the clocks of one summer's insects that were found already, for lives that ask for the same ones again.
#[derive(Clone, Debug)]
pub struct KnownTicks {
    slots: Vec<Cell<KnownTick>>,
}

/// A tick with the clock that it belongs to: insect, tag of the lure and rate.
#[derive(Clone, Copy, Debug)]
struct KnownTick {
    insect: u32,
    tag: u32,
    per_s: f64,
    tick: Tick,
}

impl KnownTicks {
    /// The base is lived first, then all that follows it through time: enough ticks for most lives.
    const SLOTS: usize = 512;
    const EMPTY: KnownTick = KnownTick {
        insect: u32::MAX,
        tag: 0,
        per_s: 0.0,
        tick: Tick::NEVER,
    };

    /// None yet.
    pub fn new() -> KnownTicks {
        KnownTicks {
            slots: vec![Cell::new(KnownTicks::EMPTY); KnownTicks::SLOTS],
        }
    }

    #[inline]
    fn tick_after(&self, t_s: f64, site: &LureSite, sense: &Sense) -> Tick {
        let (insect, tag, per_s) = (sense.who.2, site.tag, site.ticks_per_s(sense.female));
        // The clocks of different lures begin at different slots.
        let span = (t_s * per_s) as usize + 8 * tag as usize;
        let slot = &self.slots[span % KnownTicks::SLOTS];
        let known = slot.get();
        let same = (known.insect, known.tag) == (insect, tag) && known.per_s == per_s;
        if same && known.tick.is_next_after(t_s) {
            return known.tick;
        }
        let tick = site.fresh_tick(t_s, sense);
        slot.set(KnownTick {
            insect,
            tag,
            per_s,
            tick,
        });
        tick
    }
}

impl Default for KnownTicks {
    fn default() -> Self {
        KnownTicks::new()
    }
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

impl Stretch {
    /// The point at a distance along the segment.
    #[inline]
    pub fn at(&self, s: f64) -> Point {
        Point::new(self.from.x + self.ux * s, self.from.y + self.uy * s)
    }
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
    known: Option<&'a KnownTicks>,
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
            known: None,
        }
    }

    /// The same senses, with the ticks that are known already.
    #[must_use]
    pub fn with_known(mut self, ticks: &'a KnownTicks) -> Sense<'a> {
        self.known = Some(ticks);
        self
    }

    /// Time at a distance along the segment of a stretch.
    #[inline]
    pub fn time(&self, stretch: &Stretch, s: f64) -> f64 {
        self.after(stretch.start_s, s)
    }

    /// Time after so many metres of flight.
    #[inline]
    pub fn after(&self, t_s: f64, s: f64) -> f64 {
        t_s + s * self.slowness
    }

    /// Where along its segment a tick falls, when it falls on the stretch and the lure is strong enough for it.
    #[inline]
    fn counts(&mut self, site: &LureSite, stretch: &Stretch, tick: &Tick) -> Option<f64> {
        let s = (tick.t_s - stretch.start_s) * self.speed;
        if s <= stretch.s0 || s > stretch.s1 {
            return None;
        }
        let day = self.hour_at(tick.t_s).day;
        site.is_strong(tick.luck, day).then_some(s)
    }

    /// Day and air of a time.
    #[inline]
    pub fn day_and_air(&mut self, t_s: f64) -> (usize, Air) {
        let hour = self.hour_at(t_s);
        let air = self.wind.hours[hour.day * self.wind.hours_per_day + hour.of_day];
        (hour.day, air)
    }

    /// Hour of a time, as [`crate::engine::clock::Clock::hour_at`] has it; hours hold for many stretches in turn.
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

    /// Whether an insect that answers it may spill over to plants somewhere in a box.
    #[inline]
    pub(crate) fn may_spill(&self, b: &Rect) -> bool {
        !self.near_plants.is_empty() && b.distance_to(self.at) < SPILLS * self.spill_m
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

    /// The rate of an insect's clock, 1/s.
    #[inline]
    pub fn ticks_per_s(&self, female: bool) -> f64 {
        match self.attraction {
            Attraction::Encounter { .. } => 0.0,
            Attraction::Plume {
                female_per_s,
                male_per_s,
                ..
            } => self.strength_most * if female { female_per_s } else { male_per_s },
        }
    }

    /// The first tick of an insect's clock after a time.
    ///
    /// Time is cut into spans with one tick each on average, and each span has draws of its own.
    #[inline]
    pub fn tick_after(&self, t_s: f64, sense: &Sense, memory: &mut LureMemory) -> Tick {
        if !memory.tick.is_next_after(t_s) {
            memory.tick = match sense.known {
                Some(known) => known.tick_after(t_s, self, sense),
                None => self.fresh_tick(t_s, sense),
            };
        }
        memory.tick
    }

    #[inline(never)]
    fn fresh_tick(&self, t_s: f64, sense: &Sense) -> Tick {
        let per_s = self.ticks_per_s(sense.female);
        if per_s <= 0.0 {
            return Tick {
                since_s: t_s,
                t_s: f64::INFINITY,
                luck: 1.0,
            };
        }
        let (seed, summer, insect) = sense.who;
        let (key, mean_s) = (seed_key(seed), 1.0 / per_s);
        let tag = self.answer_tag(0);
        let block_of = |span: u64| (span as u32).wrapping_mul(SPAN_WORDS) / 4;
        let words = |block: u32| derive(key, (summer, insect), Purpose::Lure, tag, block);
        let mut first = (t_s * per_s) as u64;
        loop {
            // Two spans at once, and two ticks of each, are mostly enough.
            let spans = [first, first + 1];
            let drawn = spans.map(|span| words(block_of(span)));
            for (span, mut drawn) in spans.into_iter().zip(drawn) {
                let (mut tick_s, ends_s) = (span as f64 * mean_s, (span + 1) as f64 * mean_s);
                let mut block = block_of(span);
                'span: loop {
                    for pair in [[drawn[0], drawn[1]], [drawn[2], drawn[3]]] {
                        let Some(gap) = sense.tables.exponential_of(pair[0]) else {
                            return self.tick_from(span, t_s, sense);
                        };
                        let since_s = tick_s;
                        tick_s += mean_s * gap;
                        if tick_s > ends_s {
                            break 'span;
                        }
                        if tick_s > t_s {
                            return Tick {
                                since_s,
                                t_s: tick_s,
                                luck: uniform_of(pair[1]),
                            };
                        }
                    }
                    block = block.wrapping_add(1);
                    drawn = words(block);
                }
            }
            first += 2;
        }
    }

    /// The first tick after a time, from a span on.
    #[cold]
    fn tick_from(&self, span: u64, t_s: f64, sense: &Sense) -> Tick {
        let mean_s = 1.0 / self.ticks_per_s(sense.female);
        let (seed, summer, insect) = sense.who;
        let tag = self.answer_tag(0);
        let mut clock = ShortStream::with_tag(seed, summer, insect, Purpose::Lure, tag);
        let ticked = clock.tick_after(t_s, mean_s, span, true, sense.tables);
        Tick {
            since_s: ticked.since_s,
            t_s: ticked.t_s,
            luck: ticked.luck,
        }
    }

    /// Whether a tick of some luck may count on a day, wherever it is.
    #[inline]
    fn is_strong(&self, luck: f64, day: usize) -> bool {
        luck * self.strength_most < self.strength_by_day[day]
    }

    /// Whether a tick of some luck counts at a place on a day, in the air of its hour.
    #[inline]
    fn is_answered(&self, luck: f64, day: usize, p: Point, air: Air) -> bool {
        self.is_strong(luck, day)
            && luck * self.strength_most < self.strength_by_day[day] * self.share_at(p, air)
    }

    /// Hazard of responding at a place, as a share of that right at the lure: 1 − (r/reach)^fall along the wind, times how
    /// often the plume lies there; close by, the same fall over the near distance on all sides, where that is more.
    pub fn share_at(&self, p: Point, air: Air) -> f64 {
        let Attraction::Plume {
            reach_m,
            near_m,
            fall,
            ..
        } = self.attraction
        else {
            return 0.0;
        };
        let (dx, dy) = (p.x - self.at.x, p.y - self.at.y);
        let r = (dx * dx + dy * dy).sqrt();
        let left = |within_m: f64| {
            if r < within_m {
                1.0 - libm::pow(r / within_m, fall)
            } else {
                0.0
            }
        };
        let far = left(reach_m);
        if far == 0.0 || air == Air::Calm {
            return far;
        }
        (far * air.across(dx, dy)).max(left(near_m))
    }

    /// Distance along the segment at which an insect answers within the stretch: after its beginning, up to its end.
    #[inline]
    pub fn answered_on(
        &self,
        stretch: &Stretch,
        sense: &mut Sense,
        memory: &mut LureMemory,
    ) -> Option<f64> {
        if matches!(self.attraction, Attraction::Encounter { .. }) {
            return self.encountered_on(stretch, sense);
        }
        let begins_s = memory.refractory_until_s;
        let mut ticks = self.ticks_on(stretch, sense, memory);
        loop {
            let (s, tick) = ticks.next()?;
            let (day, air) = ticks.day_and_air(tick.t_s);
            if tick.t_s >= begins_s && self.is_answered(tick.luck, day, stretch.at(s), air) {
                return Some(s);
            }
        }
    }

    /// The ticks that count on a stretch, each with its place along the segment.
    #[inline]
    pub fn ticks_on<'a, 'b>(
        &'a self,
        stretch: &'a Stretch,
        sense: &'a mut Sense<'b>,
        memory: &'a mut LureMemory,
    ) -> TicksOn<'a, 'b> {
        TicksOn {
            site: self,
            stretch,
            from_s: sense.time(stretch, stretch.s0) - MOMENT_S,
            to_s: sense.time(stretch, stretch.s1) + MOMENT_S,
            sense,
            memory,
        }
    }

    /// As [`LureSite::answered_on`] for an encounter disc.
    pub fn encountered_on(&self, stretch: &Stretch, sense: &mut Sense) -> Option<f64> {
        let Attraction::Encounter { radius_m, calls } = self.attraction else {
            return None;
        };
        if !calls[usize::from(sense.female)] {
            return None;
        }
        let (from, ux, uy) = (stretch.from, stretch.ux, stretch.uy);
        let (enter, leave) = line_through_disc(from, ux, uy, self.at, radius_m)?;
        let (mut begin, end) = (enter.max(stretch.s0), leave.min(stretch.s1));
        while begin < end {
            let hour = sense.hour_at(sense.time(stretch, begin));
            if self.strength_by_day[hour.day] > 0.0 {
                return Some(begin);
            }
            let hour_ends = (hour.ends_s - stretch.start_s) * sense.speed;
            // The next hour begins where this one ends; rounding must not hold the loop.
            begin = if hour_ends > begin { hour_ends } else { end };
        }
        None
    }

    /// Keys the draws of the answer that follows so many others.
    #[inline]
    pub fn answer_tag(&self, responses: u32) -> u32 {
        (self.tag << 12) | (responses & 0xfff)
    }
}

/// More than rounding could take from a time, seconds.
const MOMENT_S: f64 = 1e-5;

/// The ticks that count on a stretch; see [`LureSite::ticks_on`].
#[derive(Debug)]
pub struct TicksOn<'a, 'b> {
    site: &'a LureSite,
    stretch: &'a Stretch,
    from_s: f64,
    to_s: f64,
    sense: &'a mut Sense<'b>,
    memory: &'a mut LureMemory,
}

impl TicksOn<'_, '_> {
    /// Day and air of a time.
    #[inline]
    pub fn day_and_air(&mut self, t_s: f64) -> (usize, Air) {
        self.sense.day_and_air(t_s)
    }
}

impl Iterator for TicksOn<'_, '_> {
    type Item = (f64, Tick);

    #[inline]
    fn next(&mut self) -> Option<(f64, Tick)> {
        loop {
            let tick = self.site.tick_after(self.from_s, self.sense, self.memory);
            if tick.t_s > self.to_s {
                return None;
            }
            self.from_s = tick.t_s;
            if let Some(s) = self.sense.counts(self.site, self.stretch, &tick) {
                return Some((s, tick));
            }
        }
    }
}

/// A chance to answer: a tick of one clock on a stretch, for every lure that goes by that clock, wherever it hangs.
#[derive(Clone, Copy, Debug)]
pub struct Chance {
    /// Number of the clock.
    clock: u32,
    /// Where along the segment.
    pub s: f64,
    /// When.
    pub t_s: f64,
    luck: f64,
    day: u32,
    at: Point,
    air: Air,
    view: View,
}

/// Where the traps must stand, seen from a place, for a tick of some luck to count; those in view may still be too weak.
#[derive(Clone, Copy, Debug)]
struct View {
    /// Square of the distance within which they stand.
    within_squared: f64,
    /// Square of the distance within which the wind does not matter.
    near_squared: f64,
    /// In wind: where it blows toward, and the tangent of the angle off it.
    plume: Option<((f64, f64), f64)>,
}

impl View {
    /// Whether a trap so far to the west and south is in view.
    #[inline]
    fn holds(&self, dx: f64, dy: f64) -> bool {
        let r_squared = dx * dx + dy * dy;
        r_squared < self.within_squared
            && (r_squared < self.near_squared
                || self.plume.is_none_or(|(toward, tangent)| {
                    let along = dx * toward.0 + dy * toward.1;
                    let aside = dx * toward.1 - dy * toward.0;
                    aside.abs() <= along * tangent
                }))
    }
}

/// For the luck of a tick, as a share of what the strongest of some traps may have: how near the trap must be, and how near
/// to the middle of its plume. Upper bounds, so that most ticks that count nowhere are known without a look at each trap.
#[derive(Clone, Debug)]
struct Limits {
    /// Distance, metres, and angle over the spread of directions, for each step of luck from its lower end.
    steps: Vec<(f64, f64)>,
    near_m: f64,
}

impl Limits {
    const STEPS: usize = 128;
    /// Far above rounding.
    const MORE: f64 = 1.0 + 1e-6;

    fn new() -> Limits {
        let angle = |k: usize| (-2.0 * libm::log(k as f64 / Limits::STEPS as f64)).sqrt();
        Limits {
            steps: (0..Limits::STEPS)
                .map(|k| (0.0, Limits::MORE * angle(k)))
                .collect(),
            near_m: 0.0,
        }
    }

    /// Makes room for a trap.
    fn add(&mut self, site: &LureSite) {
        let Attraction::Plume {
            reach_m,
            near_m,
            fall,
            ..
        } = site.attraction
        else {
            return;
        };
        for (k, (within_m, _)) in self.steps.iter_mut().enumerate() {
            let left = libm::pow(1.0 - k as f64 / Limits::STEPS as f64, 1.0 / fall);
            *within_m = within_m.max(Limits::MORE * reach_m.max(near_m) * left);
        }
        self.near_m = self.near_m.max(Limits::MORE * near_m);
    }

    #[inline]
    fn step(&self, luck: f64) -> (f64, f64) {
        self.steps[((luck * Limits::STEPS as f64) as usize).min(Limits::STEPS - 1)]
    }

    #[inline]
    fn view(&self, luck: f64, air: Air) -> View {
        let (within_m, angle) = self.step(luck);
        let plume = match air {
            // Beyond 80 degrees the tangent is of little use.
            Air::Blowing { toward, spread_rad } if angle * spread_rad < 1.4 => {
                Some((toward, libm::tan(angle * spread_rad)))
            }
            _ => None,
        };
        View {
            within_squared: within_m * within_m,
            near_squared: self.near_m * self.near_m,
            plume,
        }
    }
}

/// One clock, and the traps that go by it.
#[derive(Clone, Debug)]
struct Clocked {
    /// One of the traps, as strong as the strongest of them.
    site: LureSite,
    memory: LureMemory,
    /// Where they hang, and the rectangle of these places.
    places: Vec<Point>,
    hub: Rect,
    /// Holds the active spaces of all of them, a little grown.
    space: Rect,
    limits: Limits,
    /// Greatest strength on any day.
    strength: f64,
}

impl Clocked {
    fn add(&mut self, site: &LureSite, space: &Rect) {
        let own = &site.strength_by_day;
        for (most, own) in self.site.strength_by_day.iter_mut().zip(own) {
            *most = most.max(*own);
        }
        self.strength = own.iter().copied().fold(self.strength, f64::max);
        self.space = self.space.union(space);
        let Point { x, y } = site.at;
        self.hub = self.hub.union(&Rect::new(x, y, x, y));
        if self.places.is_empty() || self.site.attraction != site.attraction {
            self.limits.add(site);
        }
        self.places.push(site.at);
    }

    /// Whether a tick could count somewhere on a way between two times.
    #[inline]
    fn due(&mut self, way: &Rect, (from_s, to_s): (f64, f64), sense: &Sense) -> bool {
        let gap = |low: f64, high: f64| low.max(high).max(0.0);
        let dx = gap(self.hub.x0 - way.x1, way.x0 - self.hub.x1);
        let dy = gap(self.hub.y0 - way.y1, way.y0 - self.hub.y1);
        let off_squared = dx * dx + dy * dy;
        let within = |luck: f64| {
            let (within_m, _) = self.limits.step(luck);
            off_squared < within_m * within_m
        };
        if !within(0.0) {
            return false;
        }
        let (mut from_s, to_s) = (from_s - MOMENT_S, to_s + MOMENT_S);
        loop {
            let tick = self.site.tick_after(from_s, sense, &mut self.memory);
            if tick.t_s > to_s {
                return false;
            }
            if within(tick.luck * self.site.strength_most / self.strength) {
                return true;
            }
            from_s = tick.t_s;
        }
    }
}

/// The clocks of one insect for several traps, whichever plan they belong to.
#[derive(Clone, Debug)]
pub struct Clocks {
    each: Vec<Clocked>,
    /// For each sex: some trap takes an insect by mere touch.
    touch: [bool; 2],
    /// Holds all active spaces, and those of the traps that take by touch.
    bounds: Rect,
}

impl Clocks {
    /// The clocks of some traps, each once.
    pub fn of<'a>(sites: impl Iterator<Item = &'a LureSite>) -> Clocks {
        // A little more than the reach, so that rounding never misses a lure.
        const MORE_M: f64 = 1e-6;
        let mut all = Clocks {
            each: Vec::new(),
            touch: [false; 2],
            bounds: Rect::NOWHERE,
        };
        for site in sites {
            let space = site.bounds().grown(MORE_M);
            all.bounds = all.bounds.union(&space);
            if let Attraction::Encounter { calls, .. } = site.attraction {
                all.touch = [0, 1].map(|sex| all.touch[sex] || calls[sex]);
                continue;
            }
            let known = all.clock_of(site).map(|k| k as usize);
            let clock = known.unwrap_or_else(|| {
                all.each.push(Clocked {
                    site: site.clone(),
                    memory: LureMemory::NEW,
                    places: Vec::new(),
                    hub: Rect::NOWHERE,
                    space,
                    limits: Limits::new(),
                    strength: 0.0,
                });
                all.each.len() - 1
            });
            all.each[clock].add(site, &space);
        }
        all
    }

    /// Number of the clock that a trap goes by; `None` for a trap that takes by touch.
    pub fn clock_of(&self, site: &LureSite) -> Option<u32> {
        let rates = |site: &LureSite| [false, true].map(|female| site.ticks_per_s(female));
        let same = |known: &LureSite| {
            known.tag == site.tag
                && known.strength_most == site.strength_most
                && rates(known) == rates(site)
        };
        let plume = matches!(site.attraction, Attraction::Plume { .. });
        let mut clocks = self.each.iter();
        let found = clocks.position(|known| plume && same(&known.site));
        found.map(|k| k as u32)
    }

    /// Turns to another insect.
    pub fn start(&mut self) {
        for clock in &mut self.each {
            clock.memory = LureMemory::NEW;
        }
    }

    /// Whether a trap could act on the straight flight of `s` metres ahead, to a point.
    #[inline]
    pub fn due(&mut self, insect: &Insect, s: f64, to: Point, sense: &Sense) -> bool {
        let Point { x, y } = insect.at;
        self.bounds.may_meet(x, y, to.x, to.y)
            && (self.touch[usize::from(insect.female)] || {
                let times = (insect.t_s, sense.after(insect.t_s, s));
                let way = Rect::new(x.min(to.x), y.min(to.y), x.max(to.x), y.max(to.y));
                let mut clocks = self.each.iter_mut();
                clocks.any(|clock| clock.due(&way, times, sense))
            })
    }

    /// Adds the chances on a stretch, in its order; whether there is any, or a trap that may be touched.
    #[inline]
    pub fn chances(
        &mut self,
        stretch: &Stretch,
        sense: &mut Sense,
        chances: &mut Vec<Chance>,
    ) -> bool {
        let before = chances.len();
        let (from, to) = (stretch.at(stretch.s0), stretch.at(stretch.s1));
        for (number, clock) in self.each.iter_mut().enumerate() {
            if !clock.space.may_meet(from.x, from.y, to.x, to.y) {
                continue;
            }
            let site = &clock.site;
            let mut ticks = site.ticks_on(stretch, sense, &mut clock.memory);
            while let Some((s, tick)) = ticks.next() {
                let at = stretch.at(s);
                if !clock.space.contains(at) {
                    continue;
                }
                let (day, air) = ticks.day_and_air(tick.t_s);
                let share = tick.luck * site.strength_most / site.strength_by_day[day];
                let view = clock.limits.view(share, air);
                let mut places = clock.places.iter();
                if places.any(|place| view.holds(at.x - place.x, at.y - place.y)) {
                    chances.push(Chance {
                        clock: number as u32,
                        s,
                        t_s: tick.t_s,
                        luck: tick.luck,
                        day: day as u32,
                        at,
                        air,
                        view,
                    });
                }
            }
        }
        if self.each.len() > 1 {
            chances[before..].sort_by(|a, b| a.s.total_cmp(&b.s));
        }
        chances.len() > before || self.touch[usize::from(sense.female)]
    }
}

impl LureSite {
    /// Whether an insect takes a chance to answer, when it goes by the same clock and minds the lure.
    #[inline]
    pub fn takes(&self, chance: &Chance, clock: Option<u32>) -> bool {
        clock == Some(chance.clock)
            && (chance.view).holds(chance.at.x - self.at.x, chance.at.y - self.at.y)
            && self.is_answered(chance.luck, chance.day as usize, chance.at, chance.air)
    }
}

/// Whether some lure could act between two times; false only when surely none does.
///
/// Shape: one memory for each site.
#[inline]
pub fn due(
    sites: &[LureSite],
    memory: &mut [LureMemory],
    from_s: f64,
    to_s: f64,
    sense: &Sense,
) -> bool {
    let mut both = sites.iter().zip(memory);
    both.any(|(site, memory)| due_at(site, memory, (from_s, to_s), sense))
}

/// As [`due`] for one lure.
#[inline]
pub fn due_at(
    site: &LureSite,
    memory: &mut LureMemory,
    (from_s, to_s): (f64, f64),
    sense: &Sense,
) -> bool {
    if matches!(site.attraction, Attraction::Encounter { .. }) {
        return true;
    }
    to_s + MOMENT_S >= memory.refractory_until_s
        && site.tick_after(from_s - MOMENT_S, sense, memory).t_s <= to_s + MOMENT_S
}

/// The lure answered first on a stretch, and where along the segment.
///
/// Shape: one memory for each site.
pub fn first_answer(
    sites: &[LureSite],
    memory: &mut [LureMemory],
    stretch: &Stretch,
    sense: &mut Sense,
) -> Option<(u32, f64)> {
    let mut first: Option<(u32, f64)> = None;
    for (k, (site, memory)) in sites.iter().zip(memory.iter_mut()).enumerate() {
        if let Some(s) = site.answered_on(stretch, sense, memory)
            && first.is_none_or(|(_, best)| s < best)
        {
            first = Some((k as u32, s));
        }
    }
    first
}

/// Factor on the reach of several lures of one kind in one trap: their number to a power.
pub fn reach_factor(n_lures: u32, exponent: f64) -> f64 {
    libm::pow(f64::from(n_lures.max(1)), exponent)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_of_spillover_is_its_exponential() {
        assert_eq!(LEFT_THERE, libm::exp(-SPILLS));
        assert_eq!(spillover(0.0, 1.5), 1.0);
        assert_eq!(spillover(SPILLS * 1.5, 1.5), 0.0);
    }

    #[test]
    fn a_trap_that_is_answered_is_in_view_and_most_others_are_not() {
        let mut luck = ShortStream::new(3, 1, 0, Purpose::Weather);
        let (mut answered, mut hidden) = (0, 0);
        for number in 0..20_000 {
            let site = LureSite {
                at: Point::new(0.0, 0.0),
                tag: 0,
                attraction: Attraction::Plume {
                    reach_m: 1.0 + 20.0 * luck.uniform(),
                    near_m: 3.0 * luck.uniform(),
                    fall: 0.5 + 3.0 * luck.uniform(),
                    female_per_s: 1.0,
                    male_per_s: 1.0,
                },
                strength_by_day: vec![luck.uniform()],
                strength_most: 1.0,
                capture: 1.0,
                land: 0.0,
                late_capture: 0.0,
                touch_m: 0.1,
                spill_m: 1.0,
                near_plants: Vec::new(),
                full: false,
            };
            let turn = 2.0 * std::f64::consts::PI * luck.uniform();
            let air = if number % 3 == 0 {
                Air::Calm
            } else {
                Air::Blowing {
                    toward: (libm::sin(turn), libm::cos(turn)),
                    spread_rad: 0.04 + 0.5 * luck.uniform(),
                }
            };
            let at = Point::new(20.0 * luck.uniform() - 10.0, 20.0 * luck.uniform() - 10.0);
            let tick = luck.uniform();
            if !site.is_strong(tick, 0) {
                continue;
            }
            let mut limits = Limits::new();
            limits.add(&site);
            let seen = limits
                .view(tick / site.strength_by_day[0], air)
                .holds(at.x, at.y);
            if site.is_answered(tick, 0, at, air) {
                answered += 1;
                assert!(seen, "{site:?} {at:?} {air:?} {tick}");
            } else {
                hidden += u32::from(!seen);
            }
        }
        assert!(answered > 500 && hidden > 5_000, "{answered} {hidden}");
    }
}
