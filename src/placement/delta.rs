//! Exact delta rerun: every candidate site of one trap in one summer, for the work of the insects that answer it.
//!
//! Each insect first lives without the trap. A site changes that life only where the insect meets its active space at a
//! tick of its clock, and the ticks are the same for all sites. From there on, and only there, it lives again: on the way to
//! the trap and what follows there, up to where it leaves a plant. What follows that is lived once for all sites that come
//! to it. The result equals a full rerun to the bit (tests/placement/delta.rs).

use crate::engine::arrival::Arrivals;
use crate::engine::ensemble::{go_home, survives};
use crate::engine::event::{AnswerEnd, Fate, Meal, Nobody, Observer};
use crate::engine::flight::{
    Lures, ahead, live, live_from_answer, live_from_answer_to_departure, live_to_departure,
};
use crate::engine::ground::Ground;
use crate::engine::insect::{Insect, Mode};
use crate::engine::kept::Kept;
use crate::engine::lure::{Attraction, KnownTicks, LureMemory, LureSite, Sense, due};
use crate::engine::trace::{Interest, Mark, Told, Trace};
use crate::engine::wind::HourSpace;
use crate::geometry::{Point, Rect};
use crate::placement::counts::Counts;
use crate::scenario::Shape;
use crate::tally::summer::SummerTally;
use std::collections::BTreeMap;
use std::ops::Range;

/// Counts of one site in one summer.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteTally {
    /// All integer counts of the summer.
    pub summer: SummerTally,
    /// Flights over the watched area and landings on plants beside it.
    pub passes: u64,
}

/// The area that is watched, if any, and the plants beside it.
#[derive(Clone, Debug)]
pub struct Watched {
    shape: Option<Shape>,
    beside: Vec<bool>,
}

impl Watched {
    /// Nothing is watched.
    pub fn nothing(ground: &Ground) -> Watched {
        Watched {
            shape: None,
            beside: vec![false; ground.plants.len()],
        }
    }

    /// An area, with the plants whose canopy reaches within `near_m` of it.
    pub fn area(ground: &Ground, shape: Shape, near_m: f64) -> Watched {
        let distance = |p: Point| match shape {
            Shape::Rect(rect) => rect.distance_to(p),
            Shape::Disc { at, radius_m } => (p.distance(at) - radius_m).max(0.0),
        };
        let beside = ground
            .plants
            .iter()
            .map(|p| distance(p.at) - p.canopy_m <= near_m)
            .collect();
        Watched {
            shape: Some(shape),
            beside,
        }
    }

    /// Whether no area is watched.
    #[inline]
    pub(crate) fn is_nothing(&self) -> bool {
        self.shape.is_none()
    }

    /// Whether a plant stands beside the area.
    #[inline]
    pub(crate) fn is_beside(&self, plant: u32) -> bool {
        self.beside[plant as usize]
    }

    /// Whether a straight flight passes over the area.
    #[inline]
    pub(crate) fn passes(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
        match self.shape {
            None => false,
            Some(shape) => crosses(&shape, x0, y0, x1, y1),
        }
    }
}

/// Whether a straight flight touches a shape.
fn crosses(shape: &Shape, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
    let (dx, dy) = (x1 - x0, y1 - y0);
    match *shape {
        Shape::Rect(r) => r.clip(Point::new(x0, y0), Point::new(x1, y1)).is_some(),
        Shape::Disc { at, radius_m } => {
            let length_squared = dx * dx + dy * dy;
            let (px, py) = (at.x - x0, at.y - y0);
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

/// Adds what it is told to a site's counts.
struct Counter<'a> {
    tally: &'a mut SiteTally,
    watched: &'a Watched,
}

impl Observer for Counter<'_> {
    #[inline]
    fn flew(&mut self, x0: f64, y0: f64, x1: f64, y1: f64) {
        self.tally.summer.flew(x0, y0, x1, y1);
        if self.watched.passes(x0, y0, x1, y1) {
            self.tally.passes += 1;
        }
    }
    #[inline]
    fn counts_alone(&self) -> bool {
        self.watched.is_nothing()
    }
    #[inline]
    fn flew_on(&mut self, flights: u64) {
        self.tally.summer.segments += flights;
    }
    fn fed(&mut self, meal: &Meal) {
        self.tally.summer.fed(meal);
    }
    fn landed(&mut self, plant: u32) {
        self.tally.summer.landed(plant);
        self.tally.passes += u64::from(self.watched.is_beside(plant));
    }
    fn answered(&mut self, lure: u32, at: (f64, f64)) {
        self.tally.summer.answered(lure, at);
    }
    fn answer_ended(&mut self, lure: u32, end: AnswerEnd) {
        self.tally.summer.answer_ended(lure, end);
    }
    fn began(&mut self, insect: &Insect, day: u32) {
        self.tally.summer.began(insect, day);
    }
    fn outlived(&mut self, female: bool) {
        self.tally.summer.outlived(female);
    }
    fn over(&mut self, fate: Fate, female: bool, day: u32) {
        self.tally.summer.over(fate, female, day);
    }
}

impl SiteTally {
    fn new(ground: &Ground, n_lures: usize) -> SiteTally {
        SiteTally {
            summer: SummerTally::new(ground.plants.len(), n_lures, ground.clock.days, None),
            passes: 0,
        }
    }

    /// Counts again what an observer was told of the rest of a life.
    fn add_told(&mut self, told: &[Told], flown: u64, watched: &Watched) {
        self.summer.add_told(told, flown);
        for event in told {
            match *event {
                Told::Landed(plant) => self.passes += u64::from(watched.is_beside(plant)),
                Told::Passed => self.passes += 1,
                _ => {}
            }
        }
    }

    fn add(&mut self, more: &SiteTally) {
        let nothing = more.summer.without_counts();
        let own = self.summer.insects;
        self.passes += more.passes;
        self.summer.settle(&more.summer, &nothing);
        // No lure acts before a life begins, so settling leaves these as the other has them.
        self.summer.insects.initial += own.initial;
        self.summer.insects.entered += own.entered;
    }
}

/// Lives a life to its end or the end of the window; a crawler goes home every night, as in a run day by day.
fn live_out<O: Observer>(
    ground: &Ground,
    lures: &Lures,
    insect: &mut Insect,
    memory: &mut [LureMemory],
    observer: &mut O,
    mut new_day: impl FnMut(&mut O, u32),
) {
    if !ground.crawls {
        live(
            ground,
            lures,
            insect,
            memory,
            ground.clock.end_s(),
            observer,
        );
        return;
    }
    for day in 0..ground.clock.days {
        let ends_s = f64::from(day + 1) * ground.clock.day_s;
        if insect.t_s >= ends_s || matches!(insect.mode, Mode::Over(_)) {
            continue;
        }
        new_day(observer, day);
        live(ground, lures, insect, memory, ends_s, observer);
        go_home(ground, insect, ends_s, observer);
    }
}

/// Counts of the base and of every site.
#[derive(Clone, Debug)]
pub struct DeltaSummer {
    /// Without the trap.
    pub base: SiteTally,
    /// With it at each site, in the order of the sites; the trap is the last lure.
    pub sites: Vec<SiteTally>,
    /// Insects that lived again, over all sites.
    pub lived_again: u64,
}

impl DeltaSummer {
    /// Adds the counts of another part of the insects.
    pub fn add(&mut self, other: &DeltaSummer) {
        self.base.add(&other.base);
        for (site, more) in self.sites.iter_mut().zip(&other.sites) {
            site.add(more);
        }
        self.lived_again += other.lived_again;
    }
}

/// The trap at many sites of one summer, beside the live lures of a base plan.
///
/// Shape: every candidate is the same trap, `at` and `near_plants` apart, and stands in the arena. Day rules do not act
/// here, crawlers' nights apart.
pub fn delta(
    ground: &Ground,
    arrivals: &Arrivals,
    base: &[LureSite],
    candidates: &[LureSite],
    watched: &Watched,
) -> DeltaSummer {
    delta_part(ground, arrivals, base, candidates, watched, (0, 1))
}

/// As [`delta`] for one part of the insects, of so many: part 0 of 1 is all of them. The counts of all parts add up to
/// those of the summer, so that more than one thread may work on it.
pub fn delta_part(
    ground: &Ground,
    arrivals: &Arrivals,
    base: &[LureSite],
    candidates: &[LureSite],
    watched: &Watched,
    (part, parts): (u32, u32),
) -> DeltaSummer {
    let (plants, lures) = (ground.plants.len(), base.len() + 1);
    let mut counts = SiteTally::new(ground, lures);
    let mut changes = Counts::new(candidates.len(), plants, lures, ground.clock.days as usize);
    let mut rerun = Rerun {
        ground,
        arrivals,
        base: Lures::new(base.to_vec()),
        watched,
        ids: (part..arrivals.total()).step_by(parts as usize),
        lived_again: 0,
    };
    let screen = Screen::new(ground, candidates);
    if base.is_empty() && !ground.crawls && !ground.care.has_visits() {
        rerun.run_by_legs(&screen, &mut counts, &mut changes);
    } else {
        rerun.run(&screen, &mut counts, &mut changes);
    }
    DeltaSummer {
        sites: (0..candidates.len())
            .map(|site| changes.with(&counts, site))
            .collect(),
        base: counts,
        lived_again: rerun.lived_again,
    }
}

struct Rerun<'a> {
    ground: &'a Ground,
    arrivals: &'a Arrivals,
    base: Lures,
    watched: &'a Watched,
    /// The insects to live.
    ids: std::iter::StepBy<Range<u32>>,
    lived_again: u64,
}

/// Places of the trap that an insect answers at one moment, after as many answers; in the order of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Group {
    /// Time as bits: times are not negative, so they have the same order.
    time: u64,
    chance: usize,
    answers: u32,
}

impl Group {
    fn of(chances: &[Chance], chance: usize, answers: u32) -> Group {
        Group {
            time: chances[chance].t_s.to_bits(),
            chance,
            answers,
        }
    }
}

/// One piece of the lives of one insect, without the trap: from where it arrives or leaves a plant to where it leaves the
/// next plant, or to the end. A leg that is lived for an answer stands still after each chance to give one; what follows
/// is a further piece, lived when some site comes so far.
#[derive(Clone, Debug)]
struct Piece {
    /// What was told, chances to answer and straight flights, as places in the trace.
    told: Range<usize>,
    chances: Range<usize>,
    flown: Range<u64>,
    next: Next,
}

/// What follows a piece.
#[derive(Clone, Debug)]
enum Next {
    /// Nothing: the life is over, or the window.
    End,
    /// Another piece.
    Piece(usize),
    /// The rest of the leg, from this insect on, not lived yet.
    Rest(Box<Insect>),
    /// The leg that this insect begins, not looked for yet.
    Leg(Box<Insect>),
}

/// All pieces of one insect that some life has come to: a life without the trap and what follows it at every site.
#[derive(Default)]
struct Legs {
    pieces: Vec<Piece>,
    /// The leg that each belongs to.
    keys: Vec<[u32; 2]>,
}

impl Legs {
    /// Lives a whole life that begins, without standing still.
    fn live<O: Observer>(&mut self, ground: &Ground, insect: &Insect, trace: &mut Trace<Near, O>) {
        self.pieces.clear();
        self.keys.clear();
        trace.interest.stands_still = false;
        let mut here = self.begin(ground, insect, trace);
        while let Some(next) = self.after(ground, here, trace) {
            here = next;
        }
        trace.interest.stands_still = true;
    }

    /// The first piece of the leg that an insect begins.
    fn begin<O: Observer>(
        &mut self,
        ground: &Ground,
        insect: &Insect,
        trace: &mut Trace<Near, O>,
    ) -> usize {
        let known = self.keys.iter().position(|key| *key == insect.leg);
        known.unwrap_or_else(|| self.add(ground, insect, trace))
    }

    /// The piece that follows another.
    fn after<O: Observer>(
        &mut self,
        ground: &Ground,
        piece: usize,
        trace: &mut Trace<Near, O>,
    ) -> Option<usize> {
        let next = match std::mem::replace(&mut self.pieces[piece].next, Next::End) {
            Next::End => return None,
            Next::Piece(next) => next,
            Next::Rest(insect) => self.add(ground, &insect, trace),
            Next::Leg(insect) => self.begin(ground, &insect, trace),
        };
        self.pieces[piece].next = Next::Piece(next);
        Some(next)
    }

    /// Lives a piece.
    fn add<O: Observer>(
        &mut self,
        ground: &Ground,
        insect: &Insect,
        trace: &mut Trace<Near, O>,
    ) -> usize {
        let mut insect = *insect;
        self.keys.push(insect.leg);
        let chances = trace.interest.chances.len();
        let (told, flown) = (trace.told.len(), trace.flown);
        trace.interest.enough = false;
        let none = Lures::none();
        let next = if live_to_departure(ground, &none, &mut insect, &mut [], trace) {
            Next::Leg(Box::new(insect))
        } else if trace.interest.enough && !matches!(insect.mode, Mode::Over(_)) {
            Next::Rest(Box::new(insect))
        } else {
            survives(&mut insect, trace);
            Next::End
        };
        self.pieces.push(Piece {
            told: told..trace.told.len(),
            chances: chances..trace.interest.chances.len(),
            flown: flown..trace.flown,
            next,
        });
        self.pieces.len() - 1
    }
}

impl Rerun<'_> {
    /// As [`Rerun::run`] where nothing but the trap acts on an insect: lives that meet on a plant are one again, so that
    /// what follows a departure is lived once for all sites.
    fn run_by_legs(&mut self, screen: &Screen, counts: &mut SiteTally, changes: &mut Counts) {
        let (ground, watched) = (self.ground, self.watched);
        let mut waiting = Waiting::default();
        let mut nobody = Nobody;
        let ticks = KnownTicks::new();
        let mut trace = Trace::new(&mut nobody, Near::new(screen, watched));
        trace.interest.ticks = Some(&ticks);
        let mut legs = Legs::default();
        let mut kept = Kept::new(&ticks);
        let mut memory = vec![LureMemory::NEW; screen.candidates.len()];
        let mut groups: BTreeMap<Group, Vec<(usize, f64)>> = BTreeMap::new();
        // One trap that is hung from place to place stays in the cache, unlike hundreds.
        let mut trap = Lures::new(screen.candidates.iter().take(1).cloned().collect());
        let near = screen.candidates.iter().map(|c| c.near_plants.clone());
        let mut near_plants: Vec<Vec<u32>> = near.collect();
        for id in self.ids.clone() {
            let Some(first) = self.arrivals.insect(ground, id) else {
                continue;
            };
            let day = ground.clock.day_at(first.t_s);
            counts.summer.began(&first, day);
            trace.clear();
            trace.interest.turn_to(&first);
            legs.live(ground, &first, &mut trace);
            let (told, flown) = (trace.told.len(), trace.flown);
            counts.add_told(&trace.told, flown, watched);
            if trace.interest.chances.is_empty() {
                continue;
            }
            kept.clear();
            let mut sense = Sense::new(ground, id, first.female);
            let chances = &trace.interest.chances;
            screen.answers(&mut sense, (&trace.marks, chances), &mut waiting);
            for answer in &waiting.answers {
                let (site, mark) = (answer.site, &trace.marks[answer.mark]);
                let mut gone = changes.off(site, watched);
                gone.add_told(&trace.told[mark.events..told], flown - mark.flown);
                memory[site] = LureMemory::NEW;
                let group = groups.entry(Group::of(chances, answer.chance, 0));
                group.or_default().push((site, answer.s));
            }
            // Through time, so that ticks are asked for in order.
            while let Some((group, members)) = groups.pop_first() {
                let mark = trace.marks[trace.interest.chances[group.chance].mark];
                let answering = mark.moment.resume(&first);
                for (site, s) in members {
                    let mut counter = changes.at(site, watched);
                    let mut insect = answering;
                    trap.hang_at(screen.places[site], &mut near_plants[site]);
                    let leaves = live_from_answer_to_departure(
                        ground,
                        &trap,
                        &mut insect,
                        (&mut memory[site..=site], &mut kept),
                        s,
                        &mut counter,
                    );
                    trap.hang_at(screen.places[site], &mut near_plants[site]);
                    if !leaves {
                        if survives(&mut insect, &mut counter) {
                            counter.stays_alive();
                        }
                        continue;
                    }
                    let mut here = Some(legs.begin(ground, &insect, &mut trace));
                    while let Some(number) = here {
                        let leg = &legs.pieces[number];
                        let not_before_s = memory[site].refractory_until_s;
                        let taken = leg.chances.clone().find_map(|k| {
                            let chance = (&trace.interest.chances[k], &trace.marks[..]);
                            let s = screen.taken(chance, site, not_before_s, &mut sense)?;
                            Some((k, s))
                        });
                        if let Some((chance, s)) = taken {
                            let chances = &trace.interest.chances;
                            let mark = &trace.marks[chances[chance].mark];
                            let told = &trace.told[leg.told.start..mark.events];
                            counter.add_told(told, mark.flown - leg.flown.start);
                            let answers = memory[site].responses;
                            let group = groups.entry(Group::of(chances, chance, answers));
                            group.or_default().push((site, s));
                            break;
                        }
                        let told = &trace.told[leg.told.clone()];
                        counter.add_told(told, leg.flown.end - leg.flown.start);
                        here = legs.after(ground, number, &mut trace);
                    }
                }
            }
            self.lived_again += waiting.answers.len() as u64;
        }
    }

    fn run(&mut self, screen: &Screen, counts: &mut SiteTally, changes: &mut Counts) {
        let (ground, watched) = (self.ground, self.watched);
        let own = self.base.sites.len();
        let with_each = |c: &LureSite| {
            let all = self.base.sites.iter().chain([c]);
            Lures::new(all.cloned().collect())
        };
        let with: Vec<Lures> = screen.candidates.iter().map(with_each).collect();
        let mut memory = vec![LureMemory::NEW; own];
        let mut again = vec![LureMemory::NEW; own + 1];
        let mut waiting = Waiting::default();
        let mut alive = 0;
        let mut counter = Counter {
            tally: counts,
            watched,
        };
        let mut trace = Trace::new(&mut counter, Near::new(screen, watched));
        for id in self.ids.clone() {
            let Some(first) = self.arrivals.insect(ground, id) else {
                continue;
            };
            let mut insect = first;
            memory.fill(LureMemory::NEW);
            trace.clear();
            trace.interest.turn_to(&first);
            trace.began(&insect, ground.clock.day_at(insect.t_s));
            live_out(
                ground,
                &self.base,
                &mut insect,
                &mut memory,
                &mut trace,
                |trace, day| trace.day = day,
            );
            let survived = survives(&mut insect, &mut trace);
            alive += u64::from(survived);
            if trace.marks.is_empty() {
                continue;
            }
            let mut sense = Sense::new(ground, id, first.female);
            let chances = &trace.interest.chances;
            screen.answers(&mut sense, (&trace.marks, chances), &mut waiting);
            for answer in &waiting.answers {
                let (mark, site) = (&trace.marks[answer.mark], answer.site);
                let mut gone = changes.off(site, watched);
                gone.add_told(&trace.told[mark.events..], trace.flown - mark.flown);
                again[..own].copy_from_slice(&trace.memories[mark.memories..mark.memories + own]);
                again[own] = LureMemory::NEW;
                let mut counter = changes.at(site, watched);
                let survived = live_again(
                    ground,
                    &with[site],
                    (&first, mark),
                    &mut again,
                    answer.s,
                    &mut counter,
                );
                if survived {
                    counter.stays_alive();
                }
            }
            self.lived_again += waiting.answers.len() as u64;
        }
        counts.summer.insects.alive = alive;
    }
}

/// Lives a life again from the answer to its last lure onward; whether the insect is alive at the end.
fn live_again<O: Observer>(
    ground: &Ground,
    lures: &Lures,
    (first, mark): (&Insect, &Mark),
    memory: &mut [LureMemory],
    s: f64,
    observer: &mut O,
) -> bool {
    let mut insect = mark.moment.resume(first);
    let lure = lures.sites.len() as u32 - 1;
    let answer = (lure, s);
    if ground.crawls {
        let ends_s = f64::from(mark.day + 1) * ground.clock.day_s;
        live_from_answer(ground, lures, &mut insect, memory, answer, ends_s, observer);
        go_home(ground, &mut insect, ends_s, observer);
        live_out(ground, lures, &mut insect, memory, observer, |_, _| {});
    } else {
        let end_s = ground.clock.end_s();
        live_from_answer(ground, lures, &mut insect, memory, answer, end_s, observer);
    }
    survives(&mut insect, observer)
}

/// A chance to answer the trap, wherever it hangs: a tick of the insect's clock on a stretch that was kept.
#[derive(Clone, Copy, Debug)]
struct Chance {
    /// The stretch.
    mark: usize,
    /// Where along the segment.
    s: f64,
    /// Where and when, and the shape of active spaces then.
    at: Point,
    t_s: f64,
    space: HourSpace,
}

/// Tells the trace which stretches to keep: those with a chance to answer.
struct Near<'a> {
    screen: &'a Screen<'a>,
    watched: &'a Watched,
    sense: Sense<'a>,
    memory: LureMemory,
    acts: bool,
    kept: usize,
    chances: Vec<Chance>,
    /// Whether a life stands still after a chance, and whether there was one.
    stands_still: bool,
    enough: bool,
    ticks: Option<&'a KnownTicks>,
}

impl<'a> Near<'a> {
    fn new(screen: &'a Screen<'a>, watched: &'a Watched) -> Near<'a> {
        Near {
            screen,
            watched,
            sense: Sense::new(screen.ground, 0, false),
            memory: LureMemory::NEW,
            acts: false,
            kept: 0,
            chances: Vec::new(),
            stands_still: false,
            enough: false,
            ticks: None,
        }
    }

    /// Turns to another insect.
    fn turn_to(&mut self, insect: &Insect) {
        let sense = Sense::new(self.screen.ground, insect.id, insect.female);
        self.sense = match self.ticks {
            Some(ticks) => {
                ticks.clear();
                sense.with_known(ticks)
            }
            None => sense,
        };
        self.memory = LureMemory::NEW;
        let first = self.screen.candidates.first();
        self.acts = first.is_some_and(|site| site.acts_on(insect.female));
        self.kept = 0;
        self.chances.clear();
        self.enough = false;
    }
}

impl Interest for Near<'_> {
    #[inline]
    fn near(&mut self, insect: &Insect, s: f64, to: Point) -> bool {
        self.acts
            && self
                .screen
                .bounds
                .may_meet(insect.at.x, insect.at.y, to.x, to.y)
            && {
                let to_s = self.sense.after(insect.t_s, s);
                let site = std::slice::from_ref(&self.screen.candidates[0]);
                let memory = std::slice::from_mut(&mut self.memory);
                due(site, memory, insect.t_s, to_s, &self.sense)
            }
    }

    #[inline]
    fn meets(&mut self, insect: &Insect, s0: f64, s1: f64) -> bool {
        if !self.acts {
            return false;
        }
        let before = self.chances.len();
        let stretch = ahead(insect, s0, s1);
        if self.screen.touch {
            self.chances.push(Chance {
                mark: self.kept,
                s: s0,
                at: insect.at,
                t_s: insect.t_s,
                space: HourSpace::Disc,
            });
        } else {
            let site = &self.screen.candidates[0];
            let mut ticks = site.ticks_on(&stretch, &mut self.sense, &mut self.memory);
            while let Some((s, t_s)) = ticks.next() {
                let at = stretch.at(s);
                if self.screen.bounds.contains(at) {
                    self.chances.push(Chance {
                        mark: self.kept,
                        s,
                        at,
                        t_s,
                        space: ticks.space_at(t_s),
                    });
                }
            }
        }
        let any = self.chances.len() > before;
        self.kept += usize::from(any);
        self.enough |= any && self.stands_still;
        any
    }

    #[inline]
    fn has_enough(&self) -> bool {
        self.enough
    }

    #[inline]
    fn passes(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
        self.watched.passes(x0, y0, x1, y1)
    }
}

/// The candidates, with what all of them share.
struct Screen<'a> {
    candidates: &'a [LureSite],
    places: Vec<Point>,
    /// Smallest rectangle that holds all active spaces, a little grown.
    bounds: Rect,
    /// The trap takes an insect by mere touch.
    touch: bool,
    ground: &'a Ground,
}

impl<'a> Screen<'a> {
    fn new(ground: &'a Ground, candidates: &'a [LureSite]) -> Screen<'a> {
        // Far above rounding.
        const MORE_M: f64 = 1e-6;
        let spaces = candidates.iter().map(|c| c.bounds().grown(MORE_M));
        let first = candidates.first().map(|c| c.attraction);
        Screen {
            candidates,
            places: candidates.iter().map(|c| c.at).collect(),
            bounds: spaces.fold(Rect::NOWHERE, |all, space| all.union(&space)),
            touch: matches!(first, Some(Attraction::Encounter { .. })),
            ground,
        }
    }

    /// Where along its segment an insect takes a chance to answer one site, if it does.
    #[inline]
    fn taken(
        &self,
        (chance, marks): (&Chance, &[Mark]),
        site: usize,
        not_before_s: f64,
        sense: &mut Sense,
    ) -> Option<f64> {
        let mark = &marks[chance.mark];
        let s = if self.touch {
            self.candidates[site].encountered_on(&mark.stretch(), sense)?
        } else {
            let (trap, place) = (&self.candidates[0], self.places[site]);
            let answers =
                chance.t_s >= not_before_s && trap.covers_from(place, chance.at, chance.space);
            answers.then_some(chance.s)?
        };
        // A lure that hangs already may have been answered before.
        (s < mark.cut).then_some(s)
    }

    /// The sites that an insect answers, each with its first chance to do so.
    fn answers(
        &self,
        sense: &mut Sense,
        (marks, chances): (&[Mark], &[Chance]),
        waiting: &mut Waiting,
    ) {
        waiting.answers.clear();
        waiting.open.clear();
        waiting.open.extend(0..self.candidates.len());
        let Waiting { open, answers } = waiting;
        for (number, chance) in chances.iter().enumerate() {
            open.retain(|&site| {
                let taken = self.taken((chance, marks), site, 0.0, sense);
                answers.extend(taken.map(|s| Answer {
                    chance: number,
                    mark: chance.mark,
                    site,
                    s,
                }));
                taken.is_none()
            });
        }
    }
}

/// A site that an insect answers.
struct Answer {
    chance: usize,
    mark: usize,
    site: usize,
    s: f64,
}

/// What the screening of one insect found, and the sites it has not answered yet.
#[derive(Default)]
struct Waiting {
    open: Vec<usize>,
    answers: Vec<Answer>,
}

/// The same by brute force, for the bench and the tests: the summer with the trap at one site, from the first insect on.
pub fn full(
    ground: &Ground,
    arrivals: &Arrivals,
    base: &[LureSite],
    candidate: &LureSite,
    watched: &Watched,
) -> SiteTally {
    let lures = Lures::new(base.iter().chain([candidate]).cloned().collect());
    let mut tally = SiteTally::new(ground, lures.sites.len());
    let mut counter = Counter {
        tally: &mut tally,
        watched,
    };
    let mut memory = vec![LureMemory::NEW; lures.sites.len()];
    let mut alive = 0;
    for mut insect in arrivals.insects(ground) {
        memory.fill(LureMemory::NEW);
        counter.began(&insect, ground.clock.day_at(insect.t_s));
        live_out(
            ground,
            &lures,
            &mut insect,
            &mut memory,
            &mut counter,
            |_, _| {},
        );
        alive += u64::from(survives(&mut insect, &mut counter));
    }
    tally.summer.insects.alive = alive;
    tally
}
