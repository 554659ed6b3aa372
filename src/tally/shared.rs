//! All plans of one summer at once: an insect that meets nothing of a plan lives the life it lives without it.
//!
//! Each insect first lives in the yard where nothing is done, and its life is recorded. A plan of traps alone takes the
//! record up to where the insect answers a lure, and simulates only what follows. A plan with other methods takes the
//! record of an insect that never meets a lure nor sits on a plant that is cared for, and simulates every other insect
//! anew. The result is the same, to the bit, as running each plan by itself (tested).

use crate::control::Action;
use crate::engine::ensemble::{DayRules, survives};
use crate::engine::event::{AnswerEnd, Fate, Meal, Observer};
use crate::engine::flight::{Lures, live, live_from_answer};
use crate::engine::ground::Ground;
use crate::engine::insect::{Insect, Mode};
use crate::engine::lure::{Clocks, LureMemory, Sense, first_answer};
use crate::engine::trace::{Interest, Told, Trace};
use crate::geometry::{Point, Rect};
use crate::scenario::Plan;
use crate::tally::prepare::Prepared;
use crate::tally::run::{PlanSummer, close, plan_by_day, plan_with};
use crate::tally::summer::{MapCount, SummerTally};
use std::borrow::Borrow;

/// One plan while the insects of a summer pass: the changed parts of lives, and what they replace.
struct Running {
    lures: Lures,
    which: Vec<usize>,
    rules: DayRules,
    tally: SummerTally,
    gone: SummerTally,
    memory: Vec<LureMemory>,
    /// The active space of each lure, a little grown.
    bounds: Vec<Rect>,
    /// The yard as other methods change it.
    ground: Option<Ground>,
    /// Plants whose care may change a life; empty when no method does.
    cared: Vec<bool>,
    /// Whether every insect must be simulated anew.
    always: bool,
}

/// Where and when the lures of any plan could act.
struct NearAny<'a> {
    bounds: Rect,
    clocks: Clocks,
    sense: Sense<'a>,
}

impl Interest for NearAny<'_> {
    #[inline]
    fn near(&mut self, insect: &Insect, s: f64, to: Point) -> bool {
        self.bounds.may_meet(insect.at.x, insect.at.y, to.x, to.y) && self.meets(insect, 0.0, s)
    }
    #[inline]
    fn meets(&mut self, insect: &Insect, s0: f64, s1: f64) -> bool {
        let [from_s, to_s] = [s0, s1].map(|s| self.sense.after(insect.t_s, s));
        self.clocks.due(from_s, to_s, &self.sense)
    }
    #[inline]
    fn passes(&self, _x0: f64, _y0: f64, _x1: f64, _y1: f64) -> bool {
        false
    }
}

/// Counts the yard where nothing is done, and keeps the flights of the present insect when maps are asked for.
struct Base {
    tally: SummerTally,
    flights: Option<Vec<[f64; 4]>>,
}

impl Observer for Base {
    #[inline]
    fn flew(&mut self, x0: f64, y0: f64, x1: f64, y1: f64) {
        if let Some(flights) = &mut self.flights {
            flights.push([x0, y0, x1, y1]);
        }
        self.tally.flew(x0, y0, x1, y1);
    }
    fn fed(&mut self, meal: &Meal) {
        self.tally.fed(meal);
    }
    fn landed(&mut self, plant: u32) {
        self.tally.landed(plant);
    }
    fn answer_ended(&mut self, lure: u32, end: AnswerEnd) {
        self.tally.answer_ended(lure, end);
    }
    fn began(&mut self, insect: &Insect, day: u32) {
        self.tally.began(insect, day);
    }
    fn outlived(&mut self, female: bool) {
        self.tally.outlived(female);
    }
    fn over(&mut self, fate: Fate, female: bool, day: u32) {
        self.tally.over(fate, female, day);
    }
}

/// The recorded life of one insect.
struct Life<'a, 'b> {
    ground: &'a Ground,
    first: &'a Insect,
    trace: &'a Trace<'b, NearAny<'b>, Base>,
}

impl Life<'_, '_> {
    /// Counts the record from one event and one flight on.
    fn tell(&self, tally: &mut SummerTally, events: usize, flown: u64) {
        tally.add_told(&self.trace.told[events..], self.trace.flown - flown);
        if let (Some(maps), Some(flights)) = (&mut tally.maps, &self.trace.inner.flights) {
            for f in &flights[flown as usize..] {
                maps.fly(f[0], f[1], f[2], f[3]);
            }
        }
    }
}

impl Running {
    fn new(prepared: &Prepared, ground: &Ground, plan: &Plan, map: Option<&MapCount>) -> Running {
        // A little more than the reach, so that rounding never misses a lure.
        const MORE_M: f64 = 1e-6;
        let treated = ground.under(plan);
        let own = treated.as_ref().unwrap_or(ground);
        let (lures, which, rules) = prepared.lures(own, plan);
        let n = ground.plants.len();
        let tally = SummerTally::new(n, which.len(), ground.clock.days, map.cloned());
        Running {
            gone: tally.clone(),
            tally,
            memory: vec![LureMemory::NEW; lures.sites.len()],
            bounds: lures
                .sites
                .iter()
                .map(|site| site.bounds().grown(MORE_M))
                .collect(),
            cared: treated
                .iter()
                .flat_map(|own| (0..n).map(|i| own.care.acts_on(i)))
                .collect(),
            // A trap crop stands where the recorded yard has none.
            always: plan
                .methods
                .iter()
                .any(|m| matches!(m.action, Action::TrapCrop(_))),
            ground: treated,
            lures,
            which,
            rules,
        }
    }

    /// Lets the plan act on a recorded life.
    fn take(&mut self, life: &Life) {
        if self.always || self.cares_for(life) {
            self.memory.fill(LureMemory::NEW);
            life.tell(&mut self.gone, 0, 0);
            let mut insect = *life.first;
            let ground = self.ground.as_ref().unwrap_or(life.ground);
            let (lures, memory) = (&self.lures, &mut self.memory);
            let end_s = ground.clock.end_s();
            live(ground, lures, &mut insect, memory, end_s, &mut self.tally);
            self.tally.insects.alive += u64::from(survives(&mut insect, &mut self.tally));
        } else if let Some((mark, lure, s)) = self.first_answer(life) {
            let mark = &life.trace.marks[mark];
            life.tell(&mut self.gone, mark.events, mark.flown);
            let mut insect = mark.moment.resume(life.first);
            let ground = self.ground.as_ref().unwrap_or(life.ground);
            live_from_answer(
                ground,
                &self.lures,
                &mut insect,
                &mut self.memory,
                (lure, s),
                ground.clock.end_s(),
                &mut self.tally,
            );
            self.tally.insects.alive += u64::from(survives(&mut insect, &mut self.tally));
        }
    }

    /// Whether the insect was on a plant that is cared for.
    fn cares_for(&self, life: &Life) -> bool {
        let cared = |plant: u32| self.cared[plant as usize];
        let from_the_start = || match life.first.mode {
            Mode::OnPlant { plant, .. } => cared(plant),
            _ => false,
        };
        let later = || {
            let mut told = life.trace.told.iter();
            told.any(|told| matches!(*told, Told::Landed(plant) if cared(plant)))
        };
        !self.cared.is_empty() && (from_the_start() || later())
    }

    /// The mark, lure and place along the segment where a lure is answered first; the memories are as before that mark.
    fn first_answer(&mut self, life: &Life) -> Option<(usize, u32, f64)> {
        let mut sense = Sense::new(life.ground, life.first.id, life.first.female);
        self.memory.fill(LureMemory::NEW);
        for (k, mark) in life.trace.marks.iter().enumerate() {
            let stretch = mark.stretch();
            let answer = first_answer(&self.lures.sites, &mut self.memory, &stretch, &mut sense);
            if let Some((lure, s)) = answer {
                return Some((k, lure, s));
            }
        }
        None
    }

    /// The counts of the plan's whole summer; `None` when a trap would have filled up.
    fn finish(mut self, ground: &Ground, base: &SummerTally) -> Option<(SummerTally, Vec<usize>)> {
        self.tally.settle(base, &self.gone);
        if self.rules.would_fill(&self.tally.caught_by_day) {
            return None;
        }
        let own = self.ground.as_ref().unwrap_or(ground);
        let alive = self.tally.insects.alive;
        close(&mut self.tally, own, alive);
        Some((self.tally, self.which))
    }
}

/// Runs plans in one summer, in their order.
pub(crate) fn summer<P: Borrow<Plan>>(
    prepared: &Prepared,
    ground: &Ground,
    plans: &[P],
    map: Option<&MapCount>,
) -> Vec<PlanSummer> {
    let arrivals = prepared.arrivals(ground);
    let guild = prepared.scenario.pest.guild;
    let boil = |(tally, which): (SummerTally, Vec<usize>)| PlanSummer {
        plant_damage: tally.plant_damage(ground, guild),
        tally,
        which,
    };
    let alone = |plan: &Plan| boil(plan_with(prepared, (ground, &arrivals), plan, map.cloned()));
    let by_day = |plan: &Plan| {
        boil(plan_by_day(
            prepared,
            (ground, &arrivals),
            plan,
            map.cloned(),
        ))
    };
    if prepared.day_by_day || plans.len() < 2 {
        return plans.iter().map(|plan| alone(plan.borrow())).collect();
    }
    let mut running: Vec<Running> = plans
        .iter()
        .map(|plan| Running::new(prepared, ground, plan.borrow(), map))
        .collect();
    let near = running.iter().flat_map(|run| &run.bounds).copied();
    let near = near.reduce(|all, b| all.union(&b));
    let n = ground.plants.len();
    let mut base = Base {
        tally: SummerTally::new(n, 0, ground.clock.days, map.cloned()),
        flights: map.map(|_| Vec::new()),
    };
    let near = NearAny {
        bounds: near.unwrap_or(Rect::NOWHERE),
        clocks: Clocks::of(running.iter().flat_map(|run| &run.lures.sites)),
        sense: Sense::new(ground, 0, false),
    };
    let mut trace = Trace::new(&mut base, near);
    let none = Lures::none();
    let end_s = ground.clock.end_s();
    for first in arrivals.insects(ground) {
        let mut insect = first;
        trace.clear();
        trace.interest.clocks.start();
        trace.interest.sense = Sense::new(ground, first.id, first.female);
        if let Some(flights) = &mut trace.inner.flights {
            flights.clear();
        }
        trace.began(&first, ground.clock.day_at(first.t_s));
        live(ground, &none, &mut insect, &mut [], end_s, &mut trace);
        let alive = survives(&mut insect, &mut trace);
        trace.inner.tally.insects.alive += u64::from(alive);
        let life = Life {
            ground,
            first: &first,
            trace: &trace,
        };
        for plan in &mut running {
            plan.take(&life);
        }
    }
    let alive = base.tally.insects.alive;
    close(&mut base.tally, ground, alive);
    let done = running.into_iter().zip(plans);
    done.map(|(run, plan)| {
        run.finish(ground, &base.tally)
            .map_or_else(|| by_day(plan.borrow()), boil)
    })
    .collect()
}
