//! One summer under one plan: events to counts, counts to damage.

use crate::catalogue::Guild;
use crate::control::bags;
use crate::count::outcome::{AnswerAccount, InsectAccount};
use crate::engine::event::{AnswerEnd, Event, Fate, MatingAccount, Meal, Observer};
use crate::engine::ground::{Ground, TICKS_PER_S};
use crate::engine::log::Watched;
use crate::geometry::{Point, Rect};
use crate::scenario::Scenario;
use crate::units::SECONDS_PER_HOUR;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Integer counts of one summer under one plan. Integers, so that no sum depends on its order.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SummerTally {
    /// Days of the window.
    pub days: u32,
    /// Feeding of all insects on each plant, ticks.
    pub fed_ticks: Vec<u64>,
    /// Feeding of mated females on each plant, ticks.
    pub laying_ticks: Vec<u64>,
    /// Time insects sat on each plant during movement hours, ticks.
    pub sitting_ticks: Vec<u64>,
    /// Catch of each lure: males, females.
    pub caught: Vec<[u64; 2]>,
    /// Catch of each lure by day.
    pub caught_by_day: Vec<Vec<u64>>,
    /// Account of insects.
    pub insects: InsectAccount,
    /// Account of answers to lures.
    pub answers: AnswerAccount,
    /// Straight flights simulated.
    pub segments: u64,
    /// Days lived by females, summed; a measure of the eggs they leave.
    pub female_days: i64,
    /// Who mated, when mating is followed.
    pub mating: MatingAccount,
    /// Share of fruit bagged and share of injuries that pass, plant by plant; empty without bags.
    pub bags: Vec<(f64, f64)>,
    /// Maps, when asked for; they do not travel between workers.
    #[serde(skip)]
    pub maps: Option<MapCount>,
    /// Flights over the watched area and landings on plants beside it.
    pub passes: u64,
    /// The area that is watched.
    #[serde(skip)]
    pub watched: Option<Arc<Watched>>,
}

/// Visits and feeding by cell of the yard's grid.
#[derive(Clone, Debug, PartialEq)]
pub struct MapCount {
    yard: Rect,
    cell_m: f64,
    /// Columns, west to east.
    pub columns: usize,
    /// Rows, south to north.
    pub rows: usize,
    /// Flights that passed over each cell.
    pub visits: Vec<u64>,
    /// Feeding in each cell, ticks.
    pub fed_ticks: Vec<u64>,
}

impl MapCount {
    /// An empty map of a yard.
    pub fn new(yard: Rect, cell_m: f64) -> MapCount {
        let columns = (yard.width() / cell_m).ceil().max(1.0) as usize;
        let rows = (yard.height() / cell_m).ceil().max(1.0) as usize;
        MapCount {
            yard,
            cell_m,
            columns,
            rows,
            visits: vec![0; columns * rows],
            fed_ticks: vec![0; columns * rows],
        }
    }

    /// Adds another map of the same yard.
    pub fn add(&mut self, other: &MapCount) {
        for (a, b) in self.visits.iter_mut().zip(&other.visits) {
            *a += b;
        }
        for (a, b) in self.fed_ticks.iter_mut().zip(&other.fed_ticks) {
            *a += b;
        }
    }

    /// Counts a straight flight.
    #[inline]
    pub fn fly(&mut self, x0: f64, y0: f64, x1: f64, y1: f64) {
        if self.yard.may_meet(x0, y0, x1, y1) {
            self.pass(x0, y0, x1, y1);
        }
    }

    fn cell(&self, x: f64, y: f64) -> Option<usize> {
        if !self.yard.contains(Point::new(x, y)) {
            return None;
        }
        let column = (((x - self.yard.x0) / self.cell_m) as usize).min(self.columns - 1);
        let row = (((y - self.yard.y0) / self.cell_m) as usize).min(self.rows - 1);
        Some(row * self.columns + column)
    }

    /// Counts every cell that a straight flight passes over.
    fn pass(&mut self, x0: f64, y0: f64, x1: f64, y1: f64) {
        let (dx, dy) = (x1 - x0, y1 - y0);
        let (from, to) = (Point::new(x0, y0), Point::new(x1, y1));
        let Some((a, b)) = self.yard.clip(from, to) else {
            return;
        };
        let column_of =
            |x: f64| (((x - self.yard.x0) / self.cell_m).max(0.0) as usize).min(self.columns - 1);
        let row_of =
            |y: f64| (((y - self.yard.y0) / self.cell_m).max(0.0) as usize).min(self.rows - 1);
        let (mut column, mut row) = (column_of(x0 + dx * a), row_of(y0 + dy * a));
        let (last_column, last_row) = (column_of(x0 + dx * b), row_of(y0 + dy * b));
        let border = |index: usize, forward: bool, origin: f64| {
            origin
                + if forward {
                    (index + 1) as f64
                } else {
                    index as f64
                } * self.cell_m
        };
        // A straight line crosses exactly this many borders; counting them cannot run away.
        let crossings = column.abs_diff(last_column) + row.abs_diff(last_row);
        let columns = self.columns;
        self.visits[row * columns + column] += 1;
        for _ in 0..crossings {
            let tx = if column == last_column {
                f64::INFINITY
            } else {
                (border(column, dx > 0.0, self.yard.x0) - x0) / dx
            };
            let ty = if row == last_row {
                f64::INFINITY
            } else {
                (border(row, dy > 0.0, self.yard.y0) - y0) / dy
            };
            if tx <= ty {
                column = if dx > 0.0 { column + 1 } else { column - 1 };
            } else {
                row = if dy > 0.0 { row + 1 } else { row - 1 };
            }
            self.visits[row * columns + column] += 1;
        }
    }
}

impl SummerTally {
    /// Empty counts for so many plants, lures and days.
    pub fn new(
        n_plants: usize,
        n_lures: usize,
        n_days: u32,
        maps: Option<MapCount>,
    ) -> SummerTally {
        SummerTally {
            fed_ticks: vec![0; n_plants],
            laying_ticks: vec![0; n_plants],
            sitting_ticks: vec![0; n_plants],
            days: n_days,
            caught: vec![[0; 2]; n_lures],
            caught_by_day: vec![vec![0; n_days as usize]; n_lures],
            maps,
            ..SummerTally::default()
        }
    }

    /// The same empty counts for so many lures.
    #[must_use]
    pub fn for_lures(&self, n_lures: usize) -> SummerTally {
        let maps = self.maps.clone();
        SummerTally {
            watched: self.watched.clone(),
            ..SummerTally::new(self.fed_ticks.len(), n_lures, self.days, maps)
        }
    }

    /// Insect-hours that count for damage on a plant: mated females for egg-layers, everyone otherwise.
    pub fn hours(&self, plant: usize, guild: Guild) -> f64 {
        let ticks = if guild == Guild::EggLayer {
            self.laying_ticks[plant]
        } else {
            self.fed_ticks[plant]
        };
        ticks as f64 / (TICKS_PER_S * SECONDS_PER_HOUR)
    }

    /// Damage of each plant, a share in \[0, 1\]: 1 − exp(−visible·rate·hours/units).
    ///
    /// Chewers: units are leaf area (m2), rate is leaf area eaten an insect-hour, and the damage is the leaf area with
    /// visible damage. Piercers and egg-layers: units are fruit, rate is injuries an insect-hour, `visible` is 1, and
    /// 1 − exp(−mean) is the Poisson share of fruit with at least one.
    pub fn plant_damage(&self, ground: &Ground, guild: Guild) -> Vec<f64> {
        self.shares(ground, guild, ground.pest.visible)
    }

    /// What insects took of each plant, a share in \[0, 1\]: 1 − exp(−rate·hours/units), for chewers the leaf area eaten.
    pub fn plant_loss(&self, ground: &Ground, guild: Guild) -> Vec<f64> {
        self.shares(ground, guild, 1.0)
    }

    fn shares(&self, ground: &Ground, guild: Guild, times: f64) -> Vec<f64> {
        let rate = times * ground.pest.damage_rate;
        (0..self.fed_ticks.len())
            .map(|i| {
                let dose = rate * self.hours(i, guild) / ground.units[i];
                bags::damage(dose, self.bags.get(i).copied().unwrap_or((0.0, 1.0)))
            })
            .collect()
    }

    /// From the counts of the changed parts of lives to those of the summer: base and changed, less what they replace.
    ///
    /// Shape: the base may lack the last lures, which then nobody met in it.
    pub fn settle(&mut self, base: &SummerTally, gone: &SummerTally) {
        self.add(base);
        self.merge(gone, &|own, less| *own = own.wrapping_sub(less));
    }

    /// Adds the counts of other insects of the same summer and yard.
    pub fn add(&mut self, more: &SummerTally) {
        self.merge(more, &|own, more| *own = own.wrapping_add(more));
    }

    /// Merges all counts with those of another.
    fn merge(&mut self, other: &SummerTally, with: &impl Fn(&mut u64, u64)) {
        let all = |own: &mut [u64], other: &[u64]| {
            own.iter_mut().zip(other).for_each(|(o, x)| with(o, *x));
        };
        with(&mut self.segments, other.segments);
        with(&mut self.passes, other.passes);
        let mut days = self.female_days.cast_unsigned();
        with(&mut days, other.female_days.cast_unsigned());
        self.female_days = days.cast_signed();
        all(&mut self.fed_ticks, &other.fed_ticks);
        all(&mut self.laying_ticks, &other.laying_ticks);
        all(&mut self.sitting_ticks, &other.sitting_ticks);
        for (own, other) in self.caught.iter_mut().zip(&other.caught) {
            all(own, other);
        }
        for (own, other) in self.caught_by_day.iter_mut().zip(&other.caught_by_day) {
            all(own, other);
        }
        self.insects.merge(&other.insects, with);
        self.answers.merge(&other.answers, with);
        if let (Some(own), Some(other)) = (&mut self.maps, &other.maps) {
            all(&mut own.visits, &other.visits);
            all(&mut own.fed_ticks, &other.fed_ticks);
        }
    }

    /// All insects caught.
    pub fn caught_total(&self) -> u64 {
        self.caught.iter().map(|c| c[0] + c[1]).sum()
    }
}

/// Worth-weighted mean over the plants that `chosen` picks, times 100; `None` when it picks none.
pub fn weighted_damage(
    scenario: &Scenario,
    plant_damage: &[f64],
    chosen: impl Fn(usize) -> bool,
) -> Option<f64> {
    let (mut sum, mut weight) = (0.0, 0.0);
    for (i, plant) in scenario.plants.iter().enumerate() {
        if chosen(i) {
            let worth = scenario.crops[plant.crop].worth;
            sum += worth * plant_damage[i];
            weight += worth;
        }
    }
    (weight > 0.0).then(|| 100.0 * sum / weight)
}

impl SummerTally {
    fn flew(&mut self, from: Point, to: Point) {
        if let Some(maps) = &mut self.maps {
            maps.fly(from.x, from.y, to.x, to.y);
        }
        if self.watched.as_ref().is_some_and(|w| w.passes(from, to)) {
            self.passes += 1;
        }
    }

    fn fed(&mut self, meal: &Meal) {
        let plant = meal.plant as usize;
        let all = meal.ticks + meal.late_ticks;
        self.fed_ticks[plant] += all;
        self.sitting_ticks[plant] += meal.ticks;
        if meal.lays {
            self.laying_ticks[plant] += all;
        }
        if let Some(maps) = &mut self.maps
            && let Some(cell) = maps.cell(meal.at.x, meal.at.y)
        {
            maps.fed_ticks[cell] += all;
        }
    }

    fn over(&mut self, fate: Fate, female: bool, day: u32) {
        self.female_days += i64::from(female) * i64::from(day);
        match fate {
            Fate::Caught(lure) => {
                self.insects.caught += 1;
                self.caught[lure as usize][usize::from(female)] += 1;
                self.caught_by_day[lure as usize][day as usize] += 1;
            }
            Fate::Killed => self.insects.killed += 1,
            Fate::Removed => self.insects.removed += 1,
            Fate::Died => self.insects.died += 1,
            Fate::Left => self.insects.left += 1,
        }
    }

    fn count(&mut self, event: &Event) {
        match *event {
            Event::Fed(meal) => self.fed(&meal),
            Event::Landed(plant, _) => {
                let beside = self.watched.as_ref().is_some_and(|w| w.is_beside(plant));
                self.passes += u64::from(beside);
            }
            Event::Answered(..) => self.answers.answered += 1,
            Event::AnswerEnded(_, end) => match end {
                AnswerEnd::Caught => self.answers.caught += 1,
                AnswerEnd::Landed => self.answers.landed_on_plant += 1,
                AnswerEnd::WentAway => self.answers.went_away += 1,
                AnswerEnd::Unfinished => self.answers.unfinished += 1,
            },
            Event::Began {
                female,
                from_start,
                day,
            } => {
                self.female_days -= i64::from(female) * i64::from(day);
                self.insects.initial += u64::from(from_start);
                self.insects.entered += u64::from(!from_start);
            }
            Event::Outlived { female } => {
                self.female_days += i64::from(female) * i64::from(self.days);
                self.insects.alive += 1;
            }
            Event::Over {
                fate, female, day, ..
            } => self.over(fate, female, day),
            Event::Mated(account) => self.mating.add(&account),
            Event::Passed => self.passes += 1,
            Event::Flew(..) | Event::FlewOn(_) => {}
        }
    }
}

impl Observer for SummerTally {
    #[inline]
    fn hear(&mut self, event: &Event) {
        match *event {
            Event::Flew(from, to) => {
                self.segments += 1;
                if !self.counts_alone() {
                    self.flew(from, to);
                }
            }
            Event::FlewOn(flights) => self.segments += flights,
            _ => self.count(event),
        }
    }

    #[inline]
    fn counts_alone(&self) -> bool {
        self.maps.is_none() && self.watched.is_none()
    }
}
