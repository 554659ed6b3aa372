//! One insect's life: follow a segment to its first event, then act on it.
//!
//! The order of a life is fixed, and every draw is keyed, so that two lives under different plans stay the same, bit
//! for bit, until the first thing that differs. Crossings are solved exactly; no result depends on a time step.

use crate::control::care::Deed;
use crate::engine::event::{AnswerEnd, Event, Fate, Meal, Observer};
use crate::engine::ground::{Ground, Outline, TICKS_PER_S, Wall};
use crate::engine::insect::{Insect, Mode, NO_LURE, Path};
use crate::engine::kept::{Kept, KeptPath, loses_at};
use crate::engine::lookup::Entries;
use crate::engine::lure::{
    Attraction, LureMemory, LureSite, SPILLS, Sense, Stretch, due, due_at, first_answer, spillover,
};
use crate::engine::random::{Purpose, ShortStream, derive, sin_cos, uniform_of};
use crate::geometry::{Point, Rect, line_through_disc};

/// Traps of a plan with the rectangle that holds all their active spaces.
#[derive(Clone, Debug)]
pub struct Lures {
    /// Live traps.
    pub sites: Vec<LureSite>,
    bounds: Rect,
}

impl Lures {
    /// Wraps the live traps of a plan.
    pub fn new(sites: Vec<LureSite>) -> Lures {
        let bounds = sites
            .iter()
            .fold(Rect::NOWHERE, |all, site| all.union(&site.bounds()));
        Lures { sites, bounds }
    }

    /// No traps.
    pub fn none() -> Lures {
        Lures::new(Vec::new())
    }

    #[inline]
    fn may_meet(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
        self.bounds.may_meet(x0, y0, x1, y1)
    }
}

/// Lives an insect's life up to a time (seconds of movement time), the end of the window or its own end.
///
/// A segment under way at `until_s` is finished first, so that a life lived day by day is the same, bit for bit, as one
/// lived at once. Shape: `memory` has one entry for each of `lures.sites`.
pub fn live<O: Observer>(
    ground: &Ground,
    lures: &Lures,
    insect: &mut Insect,
    memory: &mut [LureMemory],
    until_s: f64,
    observer: &mut O,
) {
    Life::of(ground, lures, insect, memory, until_s, observer).go_on(insect, false);
}

/// As [`live`], but no further than to where the insect leaves a plant; whether it has left one.
pub fn live_to_departure<O: Observer>(
    ground: &Ground,
    lures: &Lures,
    insect: &mut Insect,
    memory: &mut [LureMemory],
    until_s: f64,
    observer: &mut O,
) -> bool {
    Life::of(ground, lures, insect, memory, until_s, observer).go_on(insect, true)
}

/// Takes up a life within a segment, at a distance along it where the insect answers a lure, and lives it as
/// [`live_to_departure`] does; with the draws of its answers kept, when they are.
///
/// Shape: insect and memory as [`Observer::stretched`] told them.
pub fn live_from_answer<O: Observer>(
    ground: &Ground,
    lures: &Lures,
    insect: &mut Insect,
    (memory, kept): (&mut [LureMemory], Option<&mut Kept<'_>>),
    (lure, s): (u32, f64),
    until_s: f64,
    observer: &mut O,
) -> bool {
    let mut life = Life::of(ground, lures, insect, memory, until_s, observer);
    if let Some(kept) = kept {
        life.sense = life.sense.with_known(kept.ticks);
        life.kept = Some(kept);
    }
    life.fly_to(insect, s);
    life.answer(insect, lure) && life.go_on(insect, true)
}

/// Tells of the end of the answer that is under way, if one is.
pub(crate) fn answer_ends<O: Observer>(insect: &mut Insect, end: AnswerEnd, observer: &mut O) {
    if insect.answering != NO_LURE {
        observer.hear(&Event::AnswerEnded(insect.answering, end));
        insect.answering = NO_LURE;
    }
}

/// Whole ticks of a time.
#[inline]
pub fn ticks(t_s: f64) -> u64 {
    (t_s * TICKS_PER_S + 0.5) as u64
}

/// What cut a segment short.
#[derive(Clone, Copy, PartialEq)]
enum Cut {
    Turn,
    Stop,
    Edge,
}

/// What an insect meets on a stretch.
enum Met {
    Plant(u32, f64),
    Lure(u32, f64),
}

/// How a kept path ends.
enum End {
    /// At its own end.
    Reached,
    /// Something is met on the present segment.
    Met(Met),
    /// At an edge, by death or the end of the window, somewhere from this segment on.
    Left(usize),
}

struct Life<'a, 'k, O: Observer> {
    ground: &'a Ground,
    sense: Sense<'a>,
    lures: &'a Lures,
    memory: &'a mut [LureMemory],
    until_s: f64,
    end_s: f64,
    entries: Entries,
    observer: &'a mut O,
    /// Draws kept for every variant of the summer.
    kept: Option<&'a mut Kept<'k>>,
    /// Place of the answer under way or last given among those kept, and of the bout that follows it, while its kept draws
    /// last.
    away: Option<(usize, usize)>,
    /// Plants by the lure that is answered on which the insect is ready to land, on this leg.
    ready: Vec<u32>,
    ready_on: Option<([u32; 2], u32)>,
}

impl<'a, 'k, O: Observer> Life<'a, 'k, O> {
    #[inline]
    fn of(
        ground: &'a Ground,
        lures: &'a Lures,
        insect: &Insect,
        memory: &'a mut [LureMemory],
        until_s: f64,
        observer: &'a mut O,
    ) -> Life<'a, 'k, O> {
        Life {
            ground,
            sense: Sense::new(ground, insect.id, insect.female),
            lures,
            memory,
            until_s,
            end_s: ground.clock.end_s(),
            entries: Entries::new(),
            observer,
            kept: None,
            away: None,
            ready: Vec::new(),
            ready_on: None,
        }
    }

    /// Lives on, up to the time or where the insect leaves a plant; whether it has left one.
    fn go_on(&mut self, insect: &mut Insect, to_departure: bool) -> bool {
        loop {
            let goes_on = match insect.mode {
                Mode::Bout if self.away.is_some() => self.move_kept::<false>(insect),
                Mode::Search if self.away.is_some() => self.move_kept::<true>(insect),
                Mode::Bout => self.move_on::<false>(insect),
                Mode::Search => self.move_on::<true>(insect),
                Mode::Rest { until_s } | Mode::Pause { until_s, .. } => self.wait(insect, until_s),
                Mode::OnPlant {
                    plant,
                    since_s,
                    until_s,
                } => {
                    let goes_on = self.sit(insect, plant, since_s, until_s);
                    if goes_on && to_departure && insect.mode == Mode::Bout {
                        return true;
                    }
                    goes_on
                }
                Mode::Approach { lure, lose_s } => self.approach(insect, lure, lose_s),
                Mode::Over(_) => false,
            };
            if !goes_on {
                return false;
            }
        }
    }

    /// Flies so far along the present segment of a path, where something else begins.
    #[inline]
    fn fly_to(&mut self, insect: &mut Insect, s: f64) {
        let to = insect
            .path
            .place(insect.path.ahead(insect.ux, insect.uy, s));
        self.observer.hear(&Event::Flew(insect.at, to));
        insect.at = to;
        insect.t_s = insect.path.time_after(s / self.ground.pest.speed);
    }

    /// Ends a life; always returns false.
    fn end(&mut self, insect: &mut Insect, fate: Fate) -> bool {
        let end = if matches!(fate, Fate::Caught(_)) {
            AnswerEnd::Caught
        } else {
            AnswerEnd::Unfinished
        };
        answer_ends(insect, end, self.observer);
        insect.mode = Mode::Over(fate);
        let day = self.ground.clock.day_at(insect.t_s);
        let female = insect.female;
        self.observer.hear(&Event::Over {
            fate,
            female,
            t_s: insect.t_s,
            day,
        });
        false
    }

    /// Starts a bout of ordinary movement with a fresh heading.
    fn set_off(&mut self, insect: &mut Insect) {
        if let (Some((answer, bout)), Some(kept)) = (self.away, &mut self.kept) {
            let path = kept.begun(answer).bout(self.ground, bout);
            insect.fly(path.lasts_s);
            return;
        }
        let lasts_s;
        ((insect.ux, insect.uy), lasts_s) = self.ground.bout(&mut insect.flight);
        insect.fly(lasts_s);
    }

    /// Rest or pause until a time.
    fn wait(&mut self, insect: &mut Insect, end_s: f64) -> bool {
        if end_s.min(insect.dies_s) > self.until_s {
            return false;
        }
        if insect.dies_s < end_s {
            insect.t_s = insect.dies_s;
            return self.end(insect, Fate::Died);
        }
        insect.t_s = end_s;
        if let Mode::Pause { late, .. } = insect.mode {
            let lure = insect.answering;
            if late && !self.lures.sites[lure as usize].full {
                return self.end(insect, Fate::Caught(lure));
            }
            self.start_search(insect);
        } else {
            self.set_off(insect);
        }
        true
    }

    /// Sits on a plant; tells the feeding when it leaves, dies or time is up.
    fn sit(&mut self, insect: &mut Insect, plant: u32, since_s: f64, leaves_s: f64) -> bool {
        // An insect that came to a plant by a last short hop may land a moment after its time.
        let stop_s = leaves_s.min(insect.dies_s).min(self.until_s).max(since_s);
        if let Some(goes_on) = self.visited(insect, plant, since_s, stop_s) {
            return goes_on;
        }
        self.tell_feeding(insect, plant, since_s, stop_s, None);
        insect.t_s = stop_s;
        if insect.dies_s <= stop_s {
            return self.end(insect, Fate::Died);
        }
        if leaves_s <= stop_s {
            if self.held(insect, plant) {
                return true;
            }
            self.set_off(insect);
            self.turn_to_crop(insect, plant);
            return true;
        }
        insect.mode = Mode::OnPlant {
            plant,
            since_s: stop_s,
            until_s: leaves_s,
        };
        false
    }

    /// A visit finds the insect between two times and ends its stay; `None` when none does.
    fn visited(&mut self, insect: &mut Insect, plant: u32, from_s: f64, to_s: f64) -> Option<bool> {
        let ground = self.ground;
        if ground.care.is_idle() {
            return None;
        }
        for visit in ground.care.visits(from_s, to_s) {
            if !visit.to[plant as usize] {
                continue;
            }
            let (seed, summer) = (ground.seed, ground.summer);
            let mut luck =
                ShortStream::with_tag(seed, summer, insect.id, Purpose::Method, visit.tag);
            if luck.uniform() >= visit.share {
                continue;
            }
            self.tell_feeding(insect, plant, from_s, visit.t_s, visit.gap_s);
            insect.t_s = visit.t_s;
            return Some(match visit.deed {
                Deed::Remove => self.end(insect, Fate::Removed),
                Deed::DriveOff { killed } if luck.uniform() < killed => {
                    self.end(insect, Fate::Killed)
                }
                Deed::DriveOff { .. } => {
                    insect.driven_off(ground, visit.tag, 1);
                    self.set_off(insect);
                    true
                }
            });
        }
        None
    }

    /// Whether a cover keeps an insect from leaving: then it stays once more.
    fn held(&mut self, insect: &mut Insect, plant: u32) -> bool {
        let ground = self.ground;
        let chance = ground
            .care
            .hold(plant as usize, ground.clock.day_at(insect.t_s));
        if chance <= 0.0 || !insect.locked_in {
            return false;
        }
        // The leg that would begin now has its own draw for this.
        let mut luck = ShortStream::keyed(insect.leg, ground.summer, insect.id, Purpose::Method);
        if luck.uniform() >= chance {
            return false;
        }
        insect.sit_down(ground, plant);
        true
    }

    /// An insect that leaves a trap crop may head for the crop that it stands by.
    fn turn_to_crop(&self, insect: &mut Insect, plant: u32) {
        let ground = self.ground;
        let (chance, near_m) = ground.care.preference(plant as usize);
        if chance <= 0.0 {
            return;
        }
        let mut luck = ShortStream::keyed(insect.leg, ground.summer, insect.id, Purpose::Leave);
        let around = ground.crop_near(insect.at, near_m);
        if luck.uniform() < chance && !around.is_empty() {
            let pick = (luck.uniform() * around.len() as f64) as usize;
            let to = ground.plants[around[pick.min(around.len() - 1)] as usize].at;
            let (dx, dy) = (to.x - insect.at.x, to.y - insect.at.y);
            let distance = (dx * dx + dy * dy).sqrt();
            if distance > 0.0 {
                (insect.ux, insect.uy) = (dx / distance, dy / distance);
            }
        }
    }

    /// Feeding from one time to another: the movement hours between, and the late hours of every day that ends meanwhile.
    /// A stay that ends `gap_s` after the movement hours has only so much of its last evening.
    fn tell_feeding(
        &mut self,
        insect: &Insect,
        plant: u32,
        from_s: f64,
        to_s: f64,
        gap_s: Option<f64>,
    ) {
        let clock = &self.ground.clock;
        let evenings = clock.evenings(from_s, to_s);
        let evening = ticks(self.ground.pest.late_feeding);
        let missed = gap_s.map_or(0, |gap| evening.saturating_sub(ticks(gap)));
        let meal = Meal {
            plant,
            at: insect.at,
            ticks: ticks(to_s) - ticks(from_s),
            late_ticks: (evenings * evening).saturating_sub(missed),
            lays: insect.lays(self.ground),
            day: clock.day_at(from_s),
        };
        self.observer.hear(&Event::Fed(meal));
    }

    /// Lands on a plant.
    fn land(&mut self, insect: &mut Insect, plant: u32) {
        let today = self.ground.clock.day_at(insect.t_s);
        insect.locked_in = self.ground.care.hold(plant as usize, today) <= 0.0;
        self.away = None;
        match &mut self.kept {
            Some(kept) => {
                let stay = kept.stay(self.ground, insect.id, plant, insect.t_s);
                insect.take_place(self.ground, plant, &stay);
            }
            None => insect.sit_down(self.ground, plant),
        }
        self.observer.hear(&Event::Landed(plant, insect.t_s));
        answer_ends(insect, AnswerEnd::Landed, self.observer);
    }

    /// A bout of ordinary movement, or an area-restricted search, segment by segment.
    fn move_on<const SEARCH: bool>(&mut self, insect: &mut Insect) -> bool {
        let ground = self.ground;
        let tables = ground.tables;
        let walk = if SEARCH { &ground.search } else { &ground.walk };
        let speed = ground.pest.speed;
        // No lure is answered in a search.
        let lured = !SEARCH && (O::RECORDS || !self.lures.sites.is_empty());
        let Path {
            begin_s, lasts_s, ..
        } = insect.path;
        let most_s = (insect.dies_s - begin_s).min(self.end_s - begin_s);
        let stop_s = lasts_s.min(most_s);
        let mut carried = 0.0;
        loop {
            let pauses = O::RECORDS && self.observer.pauses();
            if (insect.t_s >= self.until_s || pauses) && carried == 0.0 {
                return false;
            }
            let stream = if SEARCH {
                &mut insect.search
            } else {
                &mut insect.flight
            };
            let length = if carried > 0.0 {
                carried
            } else {
                walk.length(stream, tables)
            };
            carried = 0.0;
            let room = ((stop_s - insect.path.gone_s) * speed).max(0.0);
            let (mut s_end, mut cut) = if length < room {
                (length, Cut::Turn)
            } else {
                (room, Cut::Stop)
            };
            let Point { x, y } = insect.at;
            let (ux, uy) = (insect.ux, insect.uy);
            let mut gone = insect.path.ahead(ux, uy, s_end);
            let mut to = insect.path.place(gone);
            let mut normal = (0.0, 0.0);
            if !ground.arena.contains(to.x, to.y) {
                let (s, nx, ny) = ground.arena.exit(x, y, ux, uy);
                carried = (length - s).max(0.0);
                s_end = s.min(s_end);
                cut = Cut::Edge;
                normal = (nx, ny);
                gone = insect.path.ahead(ux, uy, s_end);
                to = insect.path.place(gone);
            }
            if let Some(met) = self.fly::<SEARCH>(insect, s_end, to, (true, lured)) {
                return self.turn_to(insect, &met);
            }
            insect.at = to;
            insect.path.gone = gone;
            insect.path.gone_s += s_end / speed;
            insect.t_s = begin_s + insect.path.gone_s;
            match cut {
                Cut::Turn => {
                    let stream = if SEARCH {
                        &mut insect.search
                    } else {
                        &mut insect.flight
                    };
                    (insect.ux, insect.uy) = walk.turned(ux, uy, stream, tables);
                }
                Cut::Stop => return self.stops::<SEARCH>(insect, lasts_s <= most_s),
                Cut::Edge => {
                    if ground.arena.wall == Wall::Open {
                        return self.end(insect, Fate::Left);
                    }
                    bounce(ground, insect, normal);
                    insect.path.origin = insect.at;
                    insect.path.gone = Point::new(0.0, 0.0);
                }
            }
        }
    }

    /// Flies the segment ahead, whole, or else finds what is met on it: of plants and lures, those that may be near.
    #[inline(always)]
    #[expect(
        clippy::inline_always,
        reason = "the hot loop; measured in benches/speed.rs"
    )]
    fn fly<const SEARCH: bool>(
        &mut self,
        insect: &mut Insect,
        s_end: f64,
        to: Point,
        (plants, lures): (bool, bool),
    ) -> Option<Met> {
        if SEARCH {
            let met = plants.then(|| self.meet_by_lure(insect, s_end)).flatten();
            if met.is_none() {
                self.observer.hear(&Event::Flew(insect.at, to));
            }
            return met;
        }
        let Point { x, y } = insect.at;
        let plants_near = plants && self.ground.lookup.may_enter(x, y, to.x, to.y);
        let lures_near = lures && self.may_answer(insect, s_end, to);
        if (plants_near || lures_near)
            && let Some(met) = self.meet(insect, s_end, plants_near, lures_near)
        {
            return Some(met);
        }
        self.observer.hear(&Event::Flew(insect.at, to));
        None
    }

    /// Whether a lure may act on the segment ahead, or one that the observer asks about.
    #[inline]
    fn may_answer(&mut self, insect: &Insect, s_end: f64, to: Point) -> bool {
        let Point { x, y } = insect.at;
        let from_s = insect.t_s;
        let to_s = from_s + s_end / self.ground.pest.speed;
        let sense = &self.sense;
        let live = self.lures.may_meet(x, y, to.x, to.y) && {
            let mut each = self.lures.sites.iter().zip(self.memory.iter_mut());
            each.any(|(site, memory)| {
                site.bounds().may_meet(x, y, to.x, to.y)
                    && due_at(site, memory, (from_s, to_s), sense)
            })
        };
        live || (O::RECORDS && self.observer.wants(insect, s_end, to))
    }

    /// A bout or search has come to its end, or the insect dies, or time is up.
    fn stops<const SEARCH: bool>(&mut self, insect: &mut Insect, to_its_end: bool) -> bool {
        if !to_its_end {
            insect.t_s = insect.dies_s.min(self.end_s);
            return insect.dies_s <= self.end_s && self.end(insect, Fate::Died);
        }
        insect.t_s = insect.path.begin_s + insect.path.lasts_s;
        if SEARCH {
            answer_ends(insect, AnswerEnd::WentAway, self.observer);
            self.set_off(insect);
        } else {
            let rest_s = self.ground.rest_s(&mut insect.flight);
            insect.mode = Mode::Rest {
                until_s: insect.t_s + rest_s,
            };
        }
        true
    }

    /// As [`Life::move_on`] with the draws kept: what surely meets nothing is passed over, several segments at a time.
    fn move_kept<const SEARCH: bool>(&mut self, insect: &mut Insect) -> bool {
        let (Some((answer, bout)), Some(kept)) = (self.away, self.kept.take()) else {
            return self.move_on::<SEARCH>(insect);
        };
        let drawn = kept.begun(answer);
        // Their places are those of the answer's first words, unless a path is left half way.
        let (search, flight) = (drawn.start.search, drawn.start.flight);
        let path = if SEARCH {
            drawn.search(self.ground)
        } else {
            drawn.bout(self.ground, bout)
        };
        let end = self.along::<SEARCH>(insect, path);
        match end {
            End::Reached => {
                (insect.path.gone, insect.path.gone_s) = (path.gone, path.gone_s);
                insect.at = insect.path.place(path.gone);
                insect.t_s = insect.path.begin_s + path.lasts_s;
                let rest_s = path.rest_s;
                self.kept = Some(kept);
                if SEARCH {
                    answer_ends(insect, AnswerEnd::WentAway, self.observer);
                    self.set_off(insect);
                } else {
                    self.away = Some((answer, bout + 1));
                    insect.mode = Mode::Rest {
                        until_s: insect.t_s + rest_s,
                    };
                }
                true
            }
            End::Met(met) => {
                self.kept = Some(kept);
                self.turn_to(insect, &met)
            }
            End::Left(segment) => {
                path.put(segment, insect);
                (insect.search, insect.flight) = (search, flight);
                let stream = if SEARCH {
                    &mut insect.search
                } else {
                    &mut insect.flight
                };
                stream.seek(path.position(segment));
                self.kept = Some(kept);
                self.away = None;
                self.move_on::<SEARCH>(insect)
            }
        }
    }

    /// Follows a kept path as far as nothing is met and no edge is reached.
    fn along<const SEARCH: bool>(&mut self, insect: &mut Insect, path: &KeptPath) -> End {
        // Far above the rounding of times.
        const SURELY_S: f64 = 1e-5;
        let ground = self.ground;
        let Path {
            origin, begin_s, ..
        } = insect.path;
        // A path that a night cuts short is left at once for its own draws.
        let most_s = insect.dies_s.min(self.until_s) - begin_s;
        if path.lasts_s > most_s {
            return End::Left(0);
        }
        for (segments, b) in path.groups(origin) {
            let inside = ground.arena.holds(&b);
            let plants_near = ground.lookup.may_enter(b.x0, b.y0, b.x1, b.y1)
                || (SEARCH && self.lures.sites[insect.answering as usize].may_spill(&b));
            let begins_s = begin_s + path.segment(segments.start).gone_s;
            let ends_s = begin_s + path.end_of(segments.end - 1).1;
            let minded = |memory: &LureMemory| ends_s + SURELY_S >= memory.refractory_until_s;
            let lures_near = !SEARCH
                && self.lures.may_meet(b.x0, b.y0, b.x1, b.y1)
                && self.memory.iter().any(minded)
                && due(
                    &self.lures.sites,
                    self.memory,
                    begins_s,
                    ends_s,
                    &self.sense,
                );
            if inside && !plants_near && !lures_near && self.observer.counts_alone() {
                self.observer.hear(&Event::FlewOn(segments.len() as u64));
                continue;
            }
            for k in segments {
                path.put(k, insect);
                let to = insect.path.place(path.end_of(k).0);
                if !inside && !ground.arena.contains(to.x, to.y) {
                    return End::Left(k);
                }
                let near = (plants_near, lures_near);
                if let Some(met) = self.fly::<SEARCH>(insect, path.segment(k).s, to, near) {
                    return End::Met(met);
                }
            }
        }
        End::Reached
    }

    /// Flies to what is met and acts on it.
    fn turn_to(&mut self, insect: &mut Insect, met: &Met) -> bool {
        let (Met::Plant(_, s) | Met::Lure(_, s)) = *met;
        self.fly_to(insect, s);
        match *met {
            Met::Plant(plant, _) => {
                self.land(insect, plant);
                true
            }
            Met::Lure(lure, _) => self.answer(insect, lure),
        }
    }

    /// The first plant accepted or lure answered along the present segment up to `s_end`.
    #[inline(never)]
    fn meet(
        &mut self,
        insect: &mut Insect,
        s_end: f64,
        plants_near: bool,
        lures_near: bool,
    ) -> Option<Met> {
        let ground = self.ground;
        let (at, ux, uy) = (insect.at, insect.ux, insect.uy);
        if plants_near {
            ground.lookup.find(at, ux, uy, s_end, &mut self.entries);
        }
        let mut s0 = 0.0;
        loop {
            let next = if plants_near {
                ground.lookup.next(at, ux, uy, s_end, &mut self.entries)
            } else {
                None
            };
            let s1 = next.map_or(s_end, |n| n.s);
            if lures_near && let Some((lure, s)) = self.exposed(insect, s0, s1) {
                return Some(Met::Lure(lure, s));
            }
            let approach = next?;
            let chance = ground.plants[approach.plant as usize].acceptance
                * self.let_in(insect, approach.plant, approach.s);
            if insect.plant.uniform() < chance {
                return Some(Met::Plant(approach.plant, approach.s));
            }
            s0 = approach.s;
        }
    }

    /// Factor of care on the chance of landing on a plant at a distance along the present segment.
    #[inline]
    fn let_in(&self, insect: &Insect, plant: u32, s: f64) -> f64 {
        let ground = self.ground;
        if ground.care.is_idle() {
            return 1.0;
        }
        let day = ground.clock.day_at(insect.t_s + s / ground.pest.speed);
        ground.care.acceptance(plant as usize, day)
    }

    /// The first plant landed on along the present segment up to `s_end`, by an insect that answers a lure.
    ///
    /// Far from the lure plants are noticed as on any flight. Close to it that gives way, by [`spillover`], to landing by
    /// arousal: see [`Life::spilled`].
    #[inline(never)]
    fn meet_by_lure(&mut self, insect: &mut Insect, s_end: f64) -> Option<Met> {
        let ground = self.ground;
        let (at, ux, uy) = (insect.at, insect.ux, insect.uy);
        let spilled = self.spilled(insect, s_end);
        let s_end = spilled.map_or(s_end, |(_, s)| s);
        let to = Point::new(at.x + ux * s_end, at.y + uy * s_end);
        if ground.lookup.may_enter(at.x, at.y, to.x, to.y) {
            let site = &self.lures.sites[insect.answering as usize];
            ground.lookup.find(at, ux, uy, s_end, &mut self.entries);
            while let Some(next) = ground.lookup.next(at, ux, uy, s_end, &mut self.entries) {
                let acceptance = ground.plants[next.plant as usize].acceptance;
                let let_in = self.let_in(insect, next.plant, next.s);
                let luck = insect.plant.uniform();
                // Most are not accepted, wherever the lure is.
                if luck >= acceptance * let_in {
                    continue;
                }
                let place = Point::new(at.x + ux * next.s, at.y + uy * next.s);
                let usual = 1.0 - spillover(place.distance(site.at), site.spill_m);
                if luck < acceptance * usual * let_in {
                    return Some(Met::Plant(next.plant, next.s));
                }
            }
        }
        spilled.map(|(plant, s)| Met::Plant(plant, s))
    }

    /// The first plant landed on by arousal along the present segment, and where.
    ///
    /// On each answer the insect is ready, or not, to land on a plant: with the plant's acceptance times arousal. One that
    /// it is ready for it lands on with a hazard along its way within the plant's detection disc: one in a radius of the
    /// disc, times [`spillover`] at the place (thinned exactly).
    fn spilled(&mut self, insect: &mut Insect, s_end: f64) -> Option<(u32, f64)> {
        let ground = self.ground;
        let (at, ux, uy) = (insect.at, insect.ux, insect.uy);
        let lures = self.lures;
        let site = &lures.sites[insect.answering as usize];
        if site.near_plants.is_empty() {
            return None;
        }
        let (begin, stop) = line_through_disc(at, ux, uy, site.at, SPILLS * site.spill_m)?;
        let (begin, mut stop) = (begin.max(0.0), stop.min(s_end));
        if begin >= stop {
            return None;
        }
        self.get_ready(insect);
        let mut first = None;
        for &plant in &self.ready {
            let disc = &ground.plants[plant as usize];
            let across = line_through_disc(at, ux, uy, disc.at, disc.detection_m);
            let Some((enter, leave)) = across else {
                continue;
            };
            let (mut s, end) = (enter.max(begin), leave.min(stop));
            while s < end {
                s += disc.detection_m * insect.plant.exponential(ground.tables);
                if s >= end {
                    break;
                }
                let place = Point::new(at.x + ux * s, at.y + uy * s);
                let share = spillover(place.distance(site.at), site.spill_m);
                if insect.plant.uniform() < share * self.let_in(insect, plant, s) {
                    (first, stop) = (Some((plant, s)), s);
                    break;
                }
            }
        }
        first
    }

    /// Finds the plants by the lure on which the insect is ready to land, on this leg.
    fn get_ready(&mut self, insect: &Insect) {
        let key = Some((insect.leg, insect.answering));
        if self.ready_on == key {
            return;
        }
        self.ready_on = key;
        let (ground, lures) = (self.ground, self.lures);
        let who = (ground.summer, insect.id);
        let mut block = u32::MAX;
        let mut words = [0; 4];
        self.ready.clear();
        for &plant in &lures.sites[insect.answering as usize].near_plants {
            if plant / 4 != block {
                block = plant / 4;
                words = derive(insect.leg, who, Purpose::Ready, block, 0);
            }
            let luck = uniform_of(words[plant as usize % 4]);
            if luck < ground.plants[plant as usize].acceptance * ground.pest.arousal {
                self.ready.push(plant);
            }
        }
    }

    /// The lure answered first between `s0` and `s1` of the present segment.
    fn exposed(&mut self, insect: &Insect, s0: f64, s1: f64) -> Option<(u32, f64)> {
        let mut stretch = Stretch {
            from: insect.at,
            ux: insect.ux,
            uy: insect.uy,
            start_s: insect.t_s,
            s0,
            s1,
        };
        let first = first_answer(&self.lures.sites, self.memory, &stretch, &mut self.sense);
        if O::RECORDS {
            stretch.s1 = first.map_or(s1, |(_, s)| s);
            self.observer.stretched(insect, self.memory, &stretch);
        }
        first
    }

    /// Responds to a lure.
    fn answer(&mut self, insect: &mut Insect, lure: u32) -> bool {
        let site = &self.lures.sites[lure as usize];
        let memory = &mut self.memory[lure as usize];
        let before = memory.responses;
        memory.responses += 1;
        insect.answering = lure;
        self.observer.hear(&Event::Answered(lure, insect.at));
        if matches!(site.attraction, Attraction::Encounter { .. }) {
            return self.end(insect, Fate::Caught(lure));
        }
        let lose_s = if let Some(kept) = &mut self.kept {
            let number = kept.answer(self.ground, insect, site.answer_tag(before));
            let answer = kept.begun(number);
            insect.leg = answer.start.leg;
            insect.plant = answer.start.plant;
            self.away = Some((number, 0));
            answer.loses_at(self.ground, insect.t_s)
        } else {
            insect.begin_answer(self.ground, site.answer_tag(before));
            let way = insect.way.exponential(self.ground.tables);
            loses_at(self.ground, insect.t_s, way)
        };
        insect.mode = Mode::Approach { lure, lose_s };
        true
    }

    /// The biased walk toward a lure: every segment heads for it with some scatter. Plants on the way are noticed as ever.
    fn approach(&mut self, insect: &mut Insect, lure: u32, lose_s: f64) -> bool {
        let ground = self.ground;
        let (pest, tables) = (&ground.pest, ground.tables);
        let site = &self.lures.sites[lure as usize];
        let stop_s = lose_s.min(insect.dies_s).min(self.end_s);
        for number in 0.. {
            if insect.t_s >= self.until_s {
                return false;
            }
            let Point { x, y } = insect.at;
            let (dx, dy) = (site.at.x - x, site.at.y - y);
            let distance = (dx * dx + dy * dy).sqrt();
            if distance <= site.touch_m {
                return self.arrive(insect, lure, distance);
            }
            let (s, c, length) =
                if let (Some(kept), Some((answer, _))) = (&mut self.kept, self.away) {
                    kept.begun(answer).turn(ground, number)
                } else {
                    let (s, c) = sin_cos(pest.approach_turn_sd * insect.way.normal(tables));
                    (s, c, insect.way.exponential(tables))
                };
            let (bx, by) = (dx / distance, dy / distance);
            (insect.ux, insect.uy) = (bx * c - by * s, bx * s + by * c);
            let room = ((stop_s - insect.t_s) * pest.speed).max(0.0);
            let mut s_end = (pest.approach_segment * length).min(distance).min(room);
            let stopped = s_end >= room;
            let mut edge = false;
            if !ground
                .arena
                .contains(x + insect.ux * s_end, y + insect.uy * s_end)
            {
                s_end = ground.arena.exit(x, y, insect.ux, insect.uy).0.min(s_end);
                edge = true;
            }
            let mut arrived = false;
            // Farther away than the segment is long, by more than rounding: it cannot arrive.
            if distance - s_end < site.touch_m + 1e-6
                && let Some((enter, _)) =
                    line_through_disc(insect.at, insect.ux, insect.uy, site.at, site.touch_m)
                && enter > 0.0
                && enter <= s_end
            {
                s_end = enter;
                arrived = true;
            }
            let met = self.meet_by_lure(insect, s_end);
            let s = met.as_ref().map_or(s_end, |m| match *m {
                Met::Plant(_, s) | Met::Lure(_, s) => s,
            });
            let to = Point::new(x + insect.ux * s, y + insect.uy * s);
            self.observer.hear(&Event::Flew(insect.at, to));
            insect.at = to;
            insect.t_s += s / pest.speed;
            if let Some(Met::Plant(plant, _)) = met {
                self.land(insect, plant);
                return true;
            }
            if arrived {
                return self.arrive(insect, lure, site.touch_m);
            }
            if edge {
                if ground.arena.wall == Wall::Open {
                    return self.end(insect, Fate::Left);
                }
                // Next segment heads for the lure again, which lies inside.
                continue;
            }
            if stopped {
                return self.approach_stops(insect, lure, lose_s, stop_s);
            }
        }
        unreachable!("the way to a lure ends")
    }

    /// The way to a lure ends short of it.
    fn approach_stops(&mut self, insect: &mut Insect, lure: u32, lose_s: f64, stop_s: f64) -> bool {
        insect.t_s = insect.t_s.max(stop_s);
        if insect.dies_s <= insect.t_s && insect.dies_s <= lose_s {
            return self.end(insect, Fate::Died);
        }
        if lose_s > insect.t_s {
            return false;
        }
        self.memory[lure as usize].refractory_until_s = insect.t_s + self.ground.pest.refractory;
        answer_ends(insect, AnswerEnd::WentAway, self.observer);
        self.set_off(insect);
        true
    }

    /// Touches the trap, and what it does.
    fn arrive(&mut self, insect: &mut Insect, lure: u32, distance_m: f64) -> bool {
        let site = &self.lures.sites[lure as usize];
        let pest = &self.ground.pest;
        let [at_trap, later] = match (&mut self.kept, self.away) {
            (Some(kept), Some((answer, _))) => kept.begun(answer).at_trap,
            _ => [(); 2].map(|()| insect.fate.uniform()),
        };
        insect.t_s += distance_m / pest.speed;
        self.observer.hear(&Event::Flew(insect.at, site.at));
        insect.at = site.at;
        let capture = if site.full { 0.0 } else { site.capture };
        if at_trap < capture {
            return self.end(insect, Fate::Caught(lure));
        }
        self.memory[lure as usize].refractory_until_s = insect.t_s + pest.refractory;
        if at_trap < site.capture + site.land {
            let pause = match (&mut self.kept, self.away) {
                (Some(kept), Some((answer, _))) => kept.begun(answer).pause(self.ground),
                _ => insect.fate.exponential(self.ground.tables),
            };
            insect.mode = Mode::Pause {
                until_s: insect.t_s + pest.nearby_rest * pause,
                late: later < site.late_capture,
            };
        } else {
            self.start_search(insect);
        }
        true
    }

    fn start_search(&mut self, insect: &mut Insect) {
        insect.mode = Mode::Search;
        if let (Some(kept), Some((answer, _))) = (&mut self.kept, self.away) {
            let lasts_s = kept.begun(answer).search(self.ground).lasts_s;
            insect.path = Path::from(insect.at, insect.t_s, lasts_s);
            return;
        }
        let lasts_s;
        ((insect.ux, insect.uy), lasts_s) = self.ground.search_around(&mut insect.fate);
        insect.path = Path::from(insect.at, insect.t_s, lasts_s);
    }
}

/// Turns an insect back from a reflecting edge and pulls it inside it.
fn bounce(ground: &Ground, insect: &mut Insect, (nx, ny): (f64, f64)) {
    let outward = insect.ux * nx + insect.uy * ny;
    insect.ux -= 2.0 * outward * nx;
    insect.uy -= 2.0 * outward * ny;
    let Point { mut x, mut y } = insect.at;
    // Where no pull along the normal helps: in a corner rounding may leave the point outside of the other side too.
    if let Outline::Rect(r) = ground.arena.outline {
        if nx <= 0.0 {
            x = x.min(r.x1);
        }
        if nx >= 0.0 {
            x = x.max(r.x0);
        }
        if ny <= 0.0 {
            y = y.min(r.y1);
        }
        if ny >= 0.0 {
            y = y.max(r.y0);
        }
    }
    // Rounding may leave the point a hair outside; a hair inside keeps the next crossing exact.
    let mut pull = 1e-12;
    while !ground.arena.contains(x, y) {
        x -= nx * pull;
        y -= ny * pull;
        pull *= 2.0;
    }
    insect.at = Point::new(x, y);
}
