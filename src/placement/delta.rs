//! Exact delta rerun: every candidate site of one trap in one summer, for the work of the insects that answer it.
//!
//! Each insect first lives without the trap. A site changes that life only where the insect meets its active space *and*
//! its keyed draw says that it responds; its budget is the same for all sites of a trap. From there on, and only there,
//! it lives again. The result equals a full rerun to the bit (tests/placement/delta.rs).

use crate::engine::arrival::Arrivals;
use crate::engine::ensemble::{go_home, survives};
use crate::engine::event::{AnswerEnd, Fate, Meal, Nobody, Observer};
use crate::engine::flight::{
    Lures, live, live_from_answer, live_from_answer_to_departure, live_to_departure,
};
use crate::engine::ground::Ground;
use crate::engine::insect::{Insect, Mode};
use crate::engine::kept::Kept;
use crate::engine::lure::{Attraction, Exposure, LureMemory, LureSite, Sense, Stretch};
use crate::engine::trace::{Interest, Mark, Told, Trace};
use crate::engine::wind::HourSpace;
use crate::geometry::{Point, Rect};
use crate::scenario::Shape;
use crate::tally::summer::SummerTally;
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

    #[inline]
    fn passes(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
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
        Shape::Rect(r) => {
            let (mut a, mut b) = (0.0_f64, 1.0_f64);
            for (p, d, low, high) in [(x0, dx, r.x0, r.x1), (y0, dy, r.y0, r.y1)] {
                if d == 0.0 {
                    if p < low || p > high {
                        return false;
                    }
                } else {
                    let (s, t) = ((low - p) / d, (high - p) / d);
                    a = a.max(s.min(t));
                    b = b.min(s.max(t));
                }
            }
            a <= b
        }
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
        self.watched.shape.is_none()
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
        self.tally.passes += u64::from(self.watched.beside[plant as usize]);
    }
    fn answered(&mut self, lure: u32, at: (f64, f64)) {
        self.tally.summer.answered(lure, at);
    }
    fn answer_ended(&mut self, lure: u32, end: AnswerEnd) {
        self.tally.summer.answer_ended(lure, end);
    }
    fn began(&mut self, female: bool, day: u32) {
        self.tally.summer.began(female, day);
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
                Told::Landed(plant) => self.passes += u64::from(watched.beside[plant as usize]),
                Told::Passed => self.passes += 1,
                _ => {}
            }
        }
    }

    /// From the counts of the changed parts of lives to those of the summer.
    fn settle(&mut self, base: &SiteTally, replaced: &SiteTally) {
        self.passes = base.passes + self.passes - replaced.passes;
        self.summer.settle(&base.summer, &replaced.summer);
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
    let empty = SiteTally::new(ground, base.len() + 1);
    let mut counts = empty.clone();
    let mut sites = vec![empty.clone(); candidates.len()];
    let mut replaced = vec![empty; candidates.len()];
    let mut rerun = Rerun {
        ground,
        arrivals,
        base: Lures::new(base.to_vec()),
        with: candidates
            .iter()
            .map(|c| Lures::new(base.iter().chain([c]).cloned().collect()))
            .collect(),
        watched,
        lived_again: 0,
    };
    let screen = Screen::new(ground, candidates);
    if base.is_empty() && !ground.crawls && !ground.care.has_visits() {
        rerun.run_by_legs(&screen, &mut counts, &mut sites, &mut replaced);
    } else {
        rerun.run(&screen, &mut counts, &mut sites, &mut replaced);
    }
    counts.summer.insects.initial = u64::from(arrivals.initial);
    counts.summer.insects.entered = u64::from(arrivals.total() - arrivals.initial);
    for (site, gone) in sites.iter_mut().zip(&replaced) {
        site.settle(&counts, gone);
    }
    DeltaSummer {
        base: counts,
        sites,
        lived_again: rerun.lived_again,
    }
}

struct Rerun<'a> {
    ground: &'a Ground,
    arrivals: &'a Arrivals,
    base: Lures,
    with: Vec<Lures>,
    watched: &'a Watched,
    lived_again: u64,
}

/// What follows a leg of a life.
#[derive(Clone, Copy, Debug)]
enum Next {
    /// Nothing: the life is over, or the window.
    End,
    /// The leg of this number.
    Leg(usize),
}

/// One leg of the lives of one insect, without the trap: from where it arrives or leaves a plant to where it leaves the
/// next plant, or to the end.
#[derive(Clone, Debug)]
struct Leg {
    key: [u32; 2],
    /// What was told, stretches kept and straight flights, as places in the trace.
    told: Range<usize>,
    marks: Range<usize>,
    flown: Range<u64>,
    next: Next,
    /// The greatest exposure from here to the end of the life.
    dose: f64,
}

/// All legs of one insect that some life has come to: a life without the trap and what follows it at every site.
#[derive(Default)]
struct Legs {
    legs: Vec<Leg>,
}

impl Legs {
    fn find(&self, key: [u32; 2]) -> Option<usize> {
        self.legs.iter().position(|leg| leg.key == key)
    }

    /// The leg that an insect begins, and all that follow it.
    fn from<O: Observer>(
        &mut self,
        ground: &Ground,
        insect: &Insect,
        trace: &mut Trace<Near, O>,
        dose: impl Fn(&Mark) -> f64,
    ) -> usize {
        if let Some(known) = self.find(insect.leg) {
            return known;
        }
        let first = self.legs.len();
        let none = Lures::none();
        let mut insect = *insect;
        loop {
            let (told, marks, flown) = (trace.told.len(), trace.marks.len(), trace.flown);
            let key = insect.leg;
            let leaves = live_to_departure(ground, &none, &mut insect, &mut [], trace);
            let here = self.legs.len();
            let (next, goes_on) = if leaves {
                let known = self.find(insect.leg);
                (Next::Leg(known.unwrap_or(here + 1)), known.is_none())
            } else {
                survives(&mut insect, trace);
                (Next::End, false)
            };
            self.legs.push(Leg {
                key,
                told: told..trace.told.len(),
                marks: marks..trace.marks.len(),
                flown: flown..trace.flown,
                next,
                dose: trace.marks[marks..].iter().map(&dose).sum(),
            });
            if !goes_on {
                break;
            }
        }
        for k in (first..self.legs.len()).rev() {
            if let Next::Leg(next) = self.legs[k].next {
                self.legs[k].dose += self.legs[next].dose;
            }
        }
        first
    }
}

impl Rerun<'_> {
    /// As [`Rerun::run`] where nothing but the trap acts on an insect: lives that meet on a plant are one again, so that
    /// what follows a departure is lived once for all sites.
    fn run_by_legs(
        &mut self,
        screen: &Screen,
        counts: &mut SiteTally,
        sites: &mut [SiteTally],
        replaced: &mut [SiteTally],
    ) {
        let (ground, watched) = (self.ground, self.watched);
        let mut waiting = Waiting::default();
        let mut nobody = Nobody;
        let mut trace = Trace::new(&mut nobody, Near::new(screen, watched));
        let mut legs = Legs::default();
        let mut kept = Kept::default();
        for id in 0..self.arrivals.total() {
            let first = self.arrivals.insect(ground, id);
            counts
                .summer
                .began(first.female, ground.clock.day_at(first.t_s));
            trace.clear();
            trace.interest.turn_to(&first);
            legs.legs.clear();
            let most_per_m = screen.most_per_m(first.female);
            let dose = |mark: &Mark| (mark.s1 - mark.s0) * most_per_m;
            legs.from(ground, &first, &mut trace, dose);
            let (told, marks, flown) = (trace.told.len(), trace.marks.len(), trace.flown);
            counts.add_told(&trace.told, flown, watched);
            if marks == 0 {
                continue;
            }
            kept.clear();
            let mut sense = Sense::new(ground, id, first.female);
            screen.answers(
                &mut sense,
                (&trace.marks, &trace.interest.culls),
                &mut waiting,
            );
            for answer in &waiting.answers {
                let site = answer.site;
                let mark = trace.marks[answer.mark];
                let gone = &mut replaced[site];
                gone.add_told(&trace.told[mark.events..told], flown - mark.flown, watched);
                let tally = &mut sites[site];
                let mut memory = [LureMemory::NEW];
                let mut from = (mark, answer.s);
                'life: loop {
                    let (mark, s) = from;
                    let mut insect = mark.moment.resume(ground.summer, &first);
                    let mut counter = Counter { tally, watched };
                    let leaves = live_from_answer_to_departure(
                        ground,
                        &self.with[site],
                        &mut insect,
                        (&mut memory, &mut kept),
                        (0, mark.s0, s),
                        &mut counter,
                    );
                    if !leaves {
                        let alive = survives(&mut insect, &mut counter);
                        tally.summer.insects.alive += u64::from(alive);
                        break;
                    }
                    let mut here = legs.from(ground, &insect, &mut trace, dose);
                    loop {
                        let leg = &legs.legs[here];
                        let found = screen.on_leg(
                            leg,
                            (&trace.marks, &trace.interest.culls),
                            site,
                            &mut sense,
                            &mut memory[0],
                        );
                        if let Some((mark, s)) = found {
                            let mark = trace.marks[mark];
                            let told = &trace.told[leg.told.start..mark.events];
                            tally.add_told(told, mark.flown - leg.flown.start, watched);
                            from = (mark, s);
                            continue 'life;
                        }
                        let told = &trace.told[leg.told.clone()];
                        tally.add_told(told, leg.flown.end - leg.flown.start, watched);
                        match leg.next {
                            Next::End => break 'life,
                            Next::Leg(next) => here = next,
                        }
                    }
                }
            }
            self.lived_again += waiting.answers.len() as u64;
        }
    }

    fn run(
        &mut self,
        screen: &Screen,
        counts: &mut SiteTally,
        sites: &mut [SiteTally],
        replaced: &mut [SiteTally],
    ) {
        let (ground, watched) = (self.ground, self.watched);
        let own = self.base.sites.len();
        let mut memory = vec![LureMemory::NEW; own];
        let mut again = vec![LureMemory::NEW; own + 1];
        let mut waiting = Waiting::default();
        let mut alive = 0;
        let mut counter = Counter {
            tally: counts,
            watched,
        };
        let mut trace = Trace::new(&mut counter, Near::new(screen, watched));
        for id in 0..self.arrivals.total() {
            let first = self.arrivals.insect(ground, id);
            let mut insect = first;
            memory.fill(LureMemory::NEW);
            trace.clear();
            trace.interest.turn_to(&first);
            trace.began(insect.female, ground.clock.day_at(insect.t_s));
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
            screen.answers(
                &mut sense,
                (&trace.marks, &trace.interest.culls),
                &mut waiting,
            );
            for answer in &waiting.answers {
                let (mark, site) = (&trace.marks[answer.mark], answer.site);
                let gone = &mut replaced[site];
                gone.add_told(
                    &trace.told[mark.events..],
                    trace.flown - mark.flown,
                    watched,
                );
                again[..own].copy_from_slice(&trace.memories[mark.memories..mark.memories + own]);
                again[own] = LureMemory::NEW;
                let tally = &mut sites[site];
                let mut counter = Counter { tally, watched };
                let survived = live_again(
                    ground,
                    &self.with[site],
                    (&first, mark),
                    &mut again,
                    answer.s,
                    &mut counter,
                );
                tally.summer.insects.alive += u64::from(survived);
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
    let mut insect = mark.moment.resume(ground.summer, first);
    let lure = lures.sites.len() as u32 - 1;
    let answer = (lure, mark.s0, s);
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

/// Tells the trace which stretches to keep, and keeps the coarse tests of each beside it.
struct Near<'a> {
    screen: &'a Screen<'a>,
    watched: &'a Watched,
    sense: Sense<'a>,
    culls: Vec<Cull>,
}

impl<'a> Near<'a> {
    fn new(screen: &'a Screen<'a>, watched: &'a Watched) -> Near<'a> {
        Near {
            screen,
            watched,
            sense: Sense::new(screen.ground, 0, false),
            culls: Vec::new(),
        }
    }

    /// Turns to another insect.
    fn turn_to(&mut self, insect: &Insect) {
        self.sense = Sense::new(self.screen.ground, insect.id, insect.female);
        self.culls.clear();
    }
}

impl Interest for Near<'_> {
    #[inline]
    fn near(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
        self.screen.bounds.may_meet(x0, y0, x1, y1)
    }

    #[inline]
    fn meets(&mut self, insect: &Insect, s0: f64, s1: f64) -> bool {
        if self.screen.most_per_s[usize::from(insect.female)] <= 0.0 {
            return false;
        }
        let cull = Cull::new(self.screen, &mut self.sense, insect, s0, s1);
        let reaches = cull.reaches(&self.screen.all);
        if reaches {
            self.culls.push(cull);
        }
        reaches
    }

    #[inline]
    fn passes(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
        self.watched.passes(x0, y0, x1, y1)
    }
}

/// Sites side by side in the yard and the rectangle that holds them.
struct Tile {
    rect: Rect,
    sites: std::ops::Range<usize>,
}

/// The candidates, sorted into tiles, with what all of them share.
struct Screen<'a> {
    candidates: &'a [LureSite],
    /// Index of a candidate for each place in the tiles.
    order: Vec<usize>,
    /// Smallest rectangle that holds all sites.
    all: Rect,
    /// The same with the reach around it.
    bounds: Rect,
    tiles: Vec<Tile>,
    reach_m: f64,
    near_m: f64,
    /// Greatest hazard of males and females, 1/s.
    most_per_s: [f64; 2],
    /// The lure acts by its plume, and the hazard of a fresh one for males and females, 1/s.
    plume: bool,
    per_s: [f64; 2],
    ground: &'a Ground,
}

/// Slack of the coarse tests, metres: far above rounding, far below anything that matters.
const SLACK_M: f64 = 1e-6;

/// Sides of a tile in metres: about ten sites of the usual grid.
const TILE_M: f64 = 2.0;

impl<'a> Screen<'a> {
    fn new(ground: &'a Ground, candidates: &'a [LureSite]) -> Screen<'a> {
        let mut order: Vec<usize> = (0..candidates.len()).collect();
        let tile = |i: usize| {
            let at = candidates[i].at;
            (
                (at.y / TILE_M).floor() as i64,
                (at.x / TILE_M).floor() as i64,
            )
        };
        order.sort_by_key(|&i| (tile(i), i));
        let rect = |places: &[usize]| {
            let first = candidates[places[0]].at;
            places
                .iter()
                .map(|&i| candidates[i].at)
                .fold(Rect::new(first.x, first.y, first.x, first.y), |r, p| {
                    r.union(&Rect::new(p.x, p.y, p.x, p.y))
                })
        };
        let mut tiles = Vec::new();
        let mut start = 0;
        while start < order.len() {
            let stop = (start..order.len())
                .find(|&k| tile(order[k]) != tile(order[start]))
                .unwrap_or(order.len());
            tiles.push(Tile {
                rect: rect(&order[start..stop]),
                sites: start..stop,
            });
            start = stop;
        }
        let nowhere = Rect::new(
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        );
        let all = if order.is_empty() {
            nowhere
        } else {
            rect(&order)
        };
        let first = candidates.first();
        let reach_m = first.map_or(0.0, LureSite::reach_m);
        let near_m = match first.map(|c| c.attraction) {
            None => 0.0,
            Some(Attraction::Encounter { radius_m, .. }) => radius_m,
            Some(Attraction::Plume { near_m, .. }) => near_m,
        };
        let (plume, per_s) = match first.map(|c| c.attraction) {
            Some(Attraction::Plume {
                female_per_s,
                male_per_s,
                ..
            }) => (true, [male_per_s, female_per_s]),
            _ => (false, [0.0; 2]),
        };
        let most = |female| first.map_or(0.0, |c| c.most_hazard_per_s(female));
        Screen {
            candidates,
            order,
            all,
            bounds: all.grown(reach_m + SLACK_M),
            tiles,
            reach_m,
            near_m,
            most_per_s: [most(false), most(true)],
            plume,
            per_s,
            ground,
        }
    }

    /// The sites that an insect answers, each with the stretch of its first answer.
    ///
    /// One budget holds for all sites, so that a bound of the exposure rules out most of them: first of the whole life,
    /// then tile by tile. Stretches that lie wholly inside the active space of every site of a tile are charged once.
    fn answers(
        &self,
        sense: &mut Sense,
        (marks, culls): (&[Mark], &[Cull]),
        waiting: &mut Waiting,
    ) {
        waiting.answers.clear();
        let Some(site) = self.candidates.first() else {
            return;
        };
        let budget = site.budget(sense, 0);
        let most_per_m = self.most_per_m(sense.is_female());
        let dose = |mark: &Mark| (mark.s1 - mark.s0) * most_per_m;
        if marks.iter().map(dose).sum::<f64>() < budget {
            return;
        }
        for tile in &self.tiles {
            let mut at_most = 0.0;
            waiting.reaching.clear();
            for (k, (cull, mark)) in culls.iter().zip(marks).enumerate() {
                let side = cull.side(&tile.rect);
                if side != Side::Out {
                    at_most += dose(mark);
                    waiting.reaching.push((k, side));
                }
            }
            if at_most < budget {
                continue;
            }
            // What all sites of the tile have in common, up to where they part.
            let mut memory = LureMemory {
                budget,
                ..LureMemory::NEW
            };
            let mut begun = 0;
            let mut common = None;
            for &(k, side) in &waiting.reaching {
                let mark = &marks[k];
                if side != Side::In || mark.cut.is_finite() {
                    break;
                }
                if culls[k].dose >= memory.budget {
                    let first = self.order[tile.sites.start];
                    common = self.expose(sense, mark, first, &mut memory).map(|s| (k, s));
                    break;
                }
                memory.budget -= culls[k].dose;
                begun += 1;
            }
            if let Some((mark, s)) = common {
                let sites = tile.sites.clone().map(|place| self.order[place]);
                waiting
                    .answers
                    .extend(sites.map(|site| Answer { mark, site, s }));
                continue;
            }
            for place in tile.sites.clone() {
                let site = self.order[place];
                let mut memory = memory;
                for &(k, _) in &waiting.reaching[begun..] {
                    if let Some(s) = self.charge(sense, (&marks[k], &culls[k]), site, &mut memory) {
                        waiting.answers.push(Answer { mark: k, site, s });
                        break;
                    }
                }
            }
        }
    }

    /// One stretch at one site, with no more work than it takes.
    #[inline]
    fn charge(
        &self,
        sense: &mut Sense,
        (mark, cull): (&Mark, &Cull),
        site: usize,
        memory: &mut LureMemory,
    ) -> Option<f64> {
        let side = if mark.cut.is_finite() || cull.begins_s < memory.refractory_until_s {
            Side::Across
        } else {
            let Point { x, y } = self.candidates[site].at;
            cull.side(&Rect::new(x, y, x, y))
        };
        match side {
            Side::Out => None,
            Side::In if cull.dose < memory.budget => {
                memory.budget -= cull.dose;
                None
            }
            _ => self.expose(sense, mark, site, memory),
        }
    }

    /// Greatest exposure on a metre of flight, a little more than rounding could add.
    fn most_per_m(&self, female: bool) -> f64 {
        const MORE: f64 = 1.0 + 1e-9;
        self.most_per_s[usize::from(female)] / self.ground.pest.speed * MORE
    }

    /// Where an insect answers one site on a leg; otherwise the leg is charged to its budget.
    fn on_leg(
        &self,
        leg: &Leg,
        (marks, culls): (&[Mark], &[Cull]),
        site: usize,
        sense: &mut Sense,
        memory: &mut LureMemory,
    ) -> Option<(usize, f64)> {
        if memory.budget.is_nan() {
            memory.budget = self.candidates[site].budget(sense, memory.responses);
        }
        if leg.dose < memory.budget {
            return None;
        }
        leg.marks.clone().find_map(|k| {
            let s = self.charge(sense, (&marks[k], &culls[k]), site, memory)?;
            Some((k, s))
        })
    }

    /// One stretch at one site: the answer, or the charge to its budget, as [`crate::engine::flight`] does it.
    fn expose(
        &self,
        sense: &mut Sense,
        mark: &Mark,
        site: usize,
        memory: &mut LureMemory,
    ) -> Option<f64> {
        let site = &self.candidates[site];
        let mut ask = |s1: f64| {
            let stretch = Stretch {
                s1,
                ..mark.stretch()
            };
            site.exposure(&stretch, sense, memory)
        };
        let mut exposure = ask(mark.s1);
        if let Exposure::Responds(s) = exposure
            && s < mark.cut
        {
            return Some(s);
        }
        if mark.cut.is_finite() && exposure != Exposure::None {
            exposure = ask(mark.cut);
        }
        if let Exposure::Used(used) = exposure {
            memory.budget -= used;
        }
        None
    }
}

/// How a stretch lies to the active spaces of some sites.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    /// Surely outside all of them.
    Out,
    /// Surely inside all of them, from end to end and within one hour.
    In,
    /// Neither is sure.
    Across,
}

/// Coarse tests of one stretch, and what it costs where it lies wholly inside an active space.
#[derive(Clone, Copy, Debug)]
struct Cull {
    /// Ends of the stretch.
    ends: [Point; 2],
    /// When it begins, a moment early.
    begins_s: f64,
    reach_m: f64,
    near_m: f64,
    /// Squared radii within which both ends are surely inside the reach and the near disc; negative when they do not
    /// apply.
    inside_m2: f64,
    beside_m2: f64,
    /// Normals of the wedge with the least and the largest value of normal·p on the stretch; `None` for a disc.
    wedge: Option<[(f64, f64, f64, f64); 2]>,
    /// Exposure of the whole stretch, as [`LureSite::exposure`] sums it.
    dose: f64,
}

impl Cull {
    #[inline]
    fn new(screen: &Screen, sense: &mut Sense, insect: &Insect, s0: f64, s1: f64) -> Cull {
        let Point { x, y } = insect.at;
        let (ux, uy) = (insect.ux, insect.uy);
        let ends = [s0, s1].map(|s| Point::new(x + ux * s, y + uy * s));
        let Ground { wind, pest, .. } = screen.ground;
        let slowness = 1.0 / pest.speed;
        // A little early, so that rounding never moves a stretch into the wrong hour.
        let begins_s = insect.t_s + s0 * slowness - 1e-6;
        let hour = sense.hour_at(begins_s.max(0.0));
        let one_hour = insect.t_s + s1 * slowness + 1e-6 < hour.ends_s;
        let space = if screen.plume && one_hour {
            wind.hours[hour.day * wind.hours_per_day + hour.of_day]
        } else {
            HourSpace::Disc
        };
        let wedge = match space {
            HourSpace::Disc => None,
            HourSpace::Sector { left, right } => Some([left, right].map(|(nx, ny)| {
                let [a, b] = ends.map(|p| nx * p.x + ny * p.y);
                (nx, ny, a.min(b) - SLACK_M, a.max(b) + SLACK_M)
            })),
        };
        let strength = screen.candidates[0].strength_by_day[hour.day];
        let hazard = strength * screen.per_s[usize::from(insect.female)];
        let whole = screen.plume && one_hour && hazard > 0.0;
        let within_m2 = |radius_m: f64| {
            let inner_m = radius_m - SLACK_M;
            if whole && inner_m > 0.0 {
                inner_m * inner_m
            } else {
                -1.0
            }
        };
        Cull {
            ends,
            begins_s,
            reach_m: screen.reach_m + SLACK_M,
            near_m: screen.near_m + SLACK_M,
            inside_m2: within_m2(screen.reach_m),
            beside_m2: within_m2(screen.near_m.min(screen.reach_m)),
            wedge,
            dose: (s1 - s0) * hazard * slowness,
        }
    }

    /// Whether the stretch may come into the active space of any site of a rectangle.
    #[inline]
    fn reaches(&self, sites: &Rect) -> bool {
        self.side(sites) != Side::Out
    }

    /// How the stretch lies to the sites of a rectangle.
    #[inline]
    fn side(&self, sites: &Rect) -> Side {
        if !self.within(sites, self.reach_m) {
            return Side::Out;
        }
        let farthest_m2 = |p: &Point| {
            let dx = (p.x - sites.x0).abs().max((p.x - sites.x1).abs());
            let dy = (p.y - sites.y0).abs().max((p.y - sites.y1).abs());
            dx * dx + dy * dy
        };
        let farthest_m2 = farthest_m2(&self.ends[0]).max(farthest_m2(&self.ends[1]));
        let Some(wedge) = &self.wedge else {
            return if farthest_m2 < self.inside_m2 {
                Side::In
            } else {
                Side::Across
            };
        };
        // The near disc counts from any side, whatever part of the stretch lies in the wedge.
        if farthest_m2 < self.beside_m2 {
            return Side::In;
        }
        let (mut inside, mut outside) = (true, false);
        for &(nx, ny, least, most) in wedge {
            let (x_low, x_high) = if nx > 0.0 {
                (sites.x0, sites.x1)
            } else {
                (sites.x1, sites.x0)
            };
            let (y_low, y_high) = if ny > 0.0 {
                (sites.y0, sites.y1)
            } else {
                (sites.y1, sites.y0)
            };
            outside |= most < nx * x_low + ny * y_low;
            inside &= least > nx * x_high + ny * y_high;
        }
        if outside && !self.within(sites, self.near_m) {
            Side::Out
        } else if inside && farthest_m2 < self.inside_m2 {
            Side::In
        } else {
            Side::Across
        }
    }

    #[inline]
    fn within(&self, sites: &Rect, reach_m: f64) -> bool {
        let [a, b] = &self.ends;
        a.x.max(b.x) >= sites.x0 - reach_m
            && a.x.min(b.x) <= sites.x1 + reach_m
            && a.y.max(b.y) >= sites.y0 - reach_m
            && a.y.min(b.y) <= sites.y1 + reach_m
    }
}

/// A site that an insect answers.
struct Answer {
    mark: usize,
    site: usize,
    s: f64,
}

/// What the screening of one insect found, and room to work in.
#[derive(Default)]
struct Waiting {
    /// Marks that may reach the tile in hand.
    reaching: Vec<(usize, Side)>,
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
    for id in 0..arrivals.total() {
        let mut insect = arrivals.insect(ground, id);
        memory.fill(LureMemory::NEW);
        counter.began(insect.female, ground.clock.day_at(insect.t_s));
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
    let insects = &mut tally.summer.insects;
    insects.alive = alive;
    insects.initial = u64::from(arrivals.initial);
    insects.entered = u64::from(arrivals.total() - arrivals.initial);
    tally
}
