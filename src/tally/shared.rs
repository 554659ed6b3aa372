//! All plans of one summer at once: an insect that meets nothing of a plan lives the life it lives without it.
//!
//! Each insect first lives in the yard where nothing is done. Its life is recorded. A plan that its path never meets (no
//! flight through the reach of a lure, no stay on a plant that is cared for) takes the record as it is; every other
//! plan simulates the insect anew. The result is the same, to the bit, as running each plan by itself (tested).

use crate::control::Action;
use crate::engine::ensemble::{DayRules, survives};
use crate::engine::event::{AnswerEnd, Fate, Meal, Observer};
use crate::engine::flight::{Lures, live};
use crate::engine::ground::Ground;
use crate::engine::lure::LureMemory;
use crate::geometry::Point;
use crate::scenario::Plan;
use crate::tally::prepare::Prepared;
use crate::tally::run::{PlanSummer, close, plan_with};
use crate::tally::summer::{MapCount, SummerTally};

/// One plan while the insects of a summer pass.
struct Running {
    ground: Option<Ground>,
    lures: Lures,
    which: Vec<usize>,
    rules: DayRules,
    tally: SummerTally,
    alive: u64,
    /// Reach of each lure, from its place.
    reaches: Vec<(Point, f64)>,
    /// Plants whose care may change a life.
    cared: Vec<bool>,
    /// Whether every insect must be simulated anew.
    always: bool,
    memory: Vec<LureMemory>,
}

/// A life as it is lived where nothing is done.
#[derive(Default)]
struct Record {
    segments: u64,
    flights: Vec<[f64; 4]>,
    keep_flights: bool,
    meals: Vec<Meal>,
    landed: Vec<u32>,
    over: Option<(Fate, bool, u32)>,
    /// For each plan, whether a flight came within reach of one of its lures.
    met: Vec<bool>,
    reaches: Vec<(usize, Point, f64)>,
    box_: [f64; 4],
}

impl Record {
    fn clear(&mut self) {
        self.segments = 0;
        self.flights.clear();
        self.meals.clear();
        self.landed.clear();
        self.over = None;
        self.met.fill(false);
    }

    fn replay(&self, tally: &mut SummerTally) {
        if self.keep_flights {
            for f in &self.flights {
                tally.flew(f[0], f[1], f[2], f[3]);
            }
        } else {
            tally.segments += self.segments;
        }
        for meal in &self.meals {
            tally.fed(meal);
        }
        for plant in &self.landed {
            tally.landed(*plant);
        }
        if let Some((fate, female, day)) = self.over {
            tally.over(fate, female, day);
        }
    }
}

impl Observer for Record {
    #[inline]
    fn flew(&mut self, x0: f64, y0: f64, x1: f64, y1: f64) {
        self.segments += 1;
        if self.keep_flights {
            self.flights.push([x0, y0, x1, y1]);
        }
        let b = &self.box_;
        if x0.max(x1) < b[0] || x0.min(x1) > b[2] || y0.max(y1) < b[1] || y0.min(y1) > b[3] {
            return;
        }
        for (plan, at, reach_m) in &self.reaches {
            if !self.met[*plan] && distance_squared(*at, (x0, y0), (x1, y1)) <= reach_m * reach_m {
                self.met[*plan] = true;
            }
        }
    }

    fn fed(&mut self, meal: &Meal) {
        self.meals.push(*meal);
    }

    fn landed(&mut self, plant: u32) {
        self.landed.push(plant);
    }

    fn answer_ended(&mut self, _lure: u32, _end: AnswerEnd) {}

    fn over(&mut self, fate: Fate, female: bool, day: u32) {
        self.over = Some((fate, female, day));
    }
}

/// Squared distance from a point to a straight flight, m2.
fn distance_squared(p: Point, (x0, y0): (f64, f64), (x1, y1): (f64, f64)) -> f64 {
    let (dx, dy) = (x1 - x0, y1 - y0);
    let square = dx * dx + dy * dy;
    let along = if square > 0.0 {
        (((p.x - x0) * dx + (p.y - y0) * dy) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let (ex, ey) = (x0 + along * dx - p.x, y0 + along * dy - p.y);
    ex * ex + ey * ey
}

/// Runs plans in one summer, in their order.
pub(crate) fn summer(
    prepared: &Prepared,
    ground: &Ground,
    plans: &[Plan],
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
    if prepared.day_by_day || plans.len() < 2 {
        return plans.iter().map(alone).collect();
    }
    let mut running: Vec<Running> = plans
        .iter()
        .map(|plan| start(prepared, ground, plan, map))
        .collect();
    let mut record = Record {
        keep_flights: map.is_some(),
        met: vec![false; plans.len()],
        ..Record::default()
    };
    record.look_out_for(&running);
    for id in 0..arrivals.total() {
        let first = arrivals.insect(ground, id);
        let mut insect = first;
        record.clear();
        if let crate::engine::insect::Mode::OnPlant { plant, .. } = first.mode {
            record.landed.push(plant);
        }
        let starts_on_a_plant = record.landed.len();
        let end_s = ground.clock.end_s();
        live(
            ground,
            &Lures::none(),
            &mut insect,
            &mut [],
            end_s,
            &mut record,
        );
        let alive = survives(&mut insect, &mut record);
        for (k, plan) in running.iter_mut().enumerate() {
            let touched = || record.landed.iter().any(|p| plan.cared[*p as usize]);
            let day = ground.clock.day_at(first.t_s);
            plan.tally.began(first.female, day);
            if plan.always || record.met[k] || touched() {
                let mut insect = first;
                plan.memory.fill(LureMemory::NEW);
                let ground = plan.ground.as_ref().unwrap_or(ground);
                let (lures, memory) = (&plan.lures, &mut plan.memory);
                live(ground, lures, &mut insect, memory, end_s, &mut plan.tally);
                plan.alive += u64::from(survives(&mut insect, &mut plan.tally));
            } else {
                record.replay(&mut plan.tally);
                if alive {
                    plan.alive += 1;
                    plan.tally.outlived(first.female);
                }
            }
        }
        debug_assert!(starts_on_a_plant <= 1);
    }
    running
        .into_iter()
        .zip(plans)
        .map(|(mut run, plan)| {
            if run.rules.would_fill(&run.tally.caught_by_day) {
                return alone(plan);
            }
            let own = run.ground.as_ref().unwrap_or(ground);
            close(&mut run.tally, own, &arrivals, run.alive);
            boil((run.tally, run.which))
        })
        .collect()
}

fn start(prepared: &Prepared, ground: &Ground, plan: &Plan, map: Option<&MapCount>) -> Running {
    let treated = ground.under(plan);
    let own = treated.as_ref().unwrap_or(ground);
    let (lures, which, rules) = prepared.lures(own, plan);
    let n = ground.plants.len();
    Running {
        tally: SummerTally::new(n, which.len(), ground.clock.days, map.cloned()),
        reaches: lures.sites.iter().map(|s| (s.at, s.reach_m())).collect(),
        cared: (0..n)
            .map(|i| treated.is_some() && own.care.acts_on(i))
            .collect(),
        // A trap crop stands where the recorded yard has none.
        always: plan
            .methods
            .iter()
            .any(|m| matches!(m.action, Action::TrapCrop(_))),
        memory: vec![LureMemory::NEW; lures.sites.len()],
        ground: treated,
        lures,
        which,
        rules,
        alive: 0,
    }
}

impl Record {
    fn look_out_for(&mut self, running: &[Running]) {
        // A little more than the reach, so that rounding never misses a lure.
        const MORE: f64 = 1e-6;
        self.box_ = [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ];
        for (plan, run) in running.iter().enumerate() {
            for (at, reach_m) in &run.reaches {
                let r = reach_m + MORE;
                self.reaches.push((plan, *at, r));
                self.box_[0] = self.box_[0].min(at.x - r);
                self.box_[1] = self.box_[1].min(at.y - r);
                self.box_[2] = self.box_[2].max(at.x + r);
                self.box_[3] = self.box_[3].max(at.y + r);
            }
        }
    }
}
