//! One summer under one plan: events to counts, counts to damage.

use crate::catalogue::Guild;
use crate::control::bags;
use crate::engine::event::{AnswerEnd, Fate, MatingAccount, Meal, Observer};
use crate::engine::ground::{Ground, TICKS_PER_S};
use crate::engine::insect::Insect;
use crate::engine::trace::Told;
use crate::geometry::{Point, Rect};
use crate::scenario::Scenario;
use crate::tally::outcome::{AnswerAccount, InsectAccount};
use crate::units::SECONDS_PER_HOUR;

/// Integer counts of one summer under one plan. Integers, so that no sum depends on its order.
#[derive(Clone, Debug, Default, PartialEq)]
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
    pub caught_by_day: Vec<Vec<u32>>,
    /// Account of insects; `alive` is filled in by the runner.
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
    /// Maps, when asked for.
    pub maps: Option<MapCount>,
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

    /// The same yard with nothing counted, and no maps.
    #[must_use]
    pub fn without_counts(&self) -> SummerTally {
        SummerTally::new(self.fed_ticks.len(), self.caught.len(), self.days, None)
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

    /// Damage of each plant, a share in \[0, 1\]: 1 − exp(−rate·hours/units).
    ///
    /// Chewers: units are leaf area (m2), rate is leaf area eaten an insect-hour. Piercers and egg-layers: units are
    /// fruit, rate is injuries an insect-hour, and 1 − exp(−mean) is the Poisson share of fruit with at least one.
    pub fn plant_damage(&self, ground: &Ground, guild: Guild) -> Vec<f64> {
        (0..self.fed_ticks.len())
            .map(|i| {
                let dose = ground.pest.damage_rate * self.hours(i, guild) / ground.units[i];
                bags::damage(dose, self.bags.get(i).copied().unwrap_or((0.0, 1.0)))
            })
            .collect()
    }

    /// Counts again what an observer was told of the rest of a life.
    pub fn add_told(&mut self, told: &[Told], flown: u64) {
        self.segments += flown;
        for event in told {
            match *event {
                Told::Fed(meal) => self.fed(&meal),
                Told::Landed(plant) => self.landed(plant),
                Told::Passed => {}
                Told::Answered => self.answered(0, (0.0, 0.0)),
                Told::AnswerEnded(end) => self.answer_ended(0, end),
                Told::Over(fate, female, day) => self.over(fate, female, day),
                Told::Outlived(female) => {
                    self.outlived(female);
                    self.insects.alive += 1;
                }
            }
        }
    }

    /// From the counts of the changed parts of lives to those of the summer: base and changed, less what they replace.
    ///
    /// Shape: the base may lack the last lures, which then nobody met in it.
    pub fn settle(&mut self, base: &SummerTally, gone: &SummerTally) {
        settle(&mut self.segments, base.segments, gone.segments);
        self.female_days += base.female_days - gone.female_days;
        settle_all(&mut self.fed_ticks, &base.fed_ticks, &gone.fed_ticks);
        settle_all(
            &mut self.laying_ticks,
            &base.laying_ticks,
            &gone.laying_ticks,
        );
        settle_all(
            &mut self.sitting_ticks,
            &base.sitting_ticks,
            &gone.sitting_ticks,
        );
        let by_sex = self.caught.iter_mut().zip(&base.caught);
        for ((own, base), gone) in by_sex.zip(&gone.caught) {
            settle_all(own, base, gone);
        }
        let by_day = self.caught_by_day.iter_mut().zip(&base.caught_by_day);
        for ((own, base), gone) in by_day.zip(&gone.caught_by_day) {
            for ((o, b), g) in own.iter_mut().zip(base).zip(gone) {
                *o = b + *o - g;
            }
        }
        let (o, b, g) = (&mut self.insects, &base.insects, &gone.insects);
        o.initial = b.initial;
        o.entered = b.entered;
        settle(&mut o.caught, b.caught, g.caught);
        settle(&mut o.killed, b.killed, g.killed);
        settle(&mut o.removed, b.removed, g.removed);
        settle(&mut o.died, b.died, g.died);
        settle(&mut o.left, b.left, g.left);
        settle(&mut o.alive, b.alive, g.alive);
        let (o, b, g) = (&mut self.answers, &base.answers, &gone.answers);
        settle(&mut o.answered, b.answered, g.answered);
        settle(&mut o.caught, b.caught, g.caught);
        settle(&mut o.landed_on_plant, b.landed_on_plant, g.landed_on_plant);
        settle(&mut o.went_away, b.went_away, g.went_away);
        settle(&mut o.unfinished, b.unfinished, g.unfinished);
        if let (Some(o), Some(b), Some(g)) = (&mut self.maps, &base.maps, &gone.maps) {
            settle_all(&mut o.visits, &b.visits, &g.visits);
            settle_all(&mut o.fed_ticks, &b.fed_ticks, &g.fed_ticks);
        }
    }

    /// All insects caught.
    pub fn caught_total(&self) -> u64 {
        self.caught.iter().map(|c| c[0] + c[1]).sum()
    }
}

fn settle(own: &mut u64, base: u64, gone: u64) {
    *own = base + *own - gone;
}

fn settle_all(own: &mut [u64], base: &[u64], gone: &[u64]) {
    for ((o, b), g) in own.iter_mut().zip(base).zip(gone) {
        settle(o, *b, *g);
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

impl Observer for SummerTally {
    #[inline]
    fn flew(&mut self, x0: f64, y0: f64, x1: f64, y1: f64) {
        self.segments += 1;
        if let Some(maps) = &mut self.maps {
            maps.fly(x0, y0, x1, y1);
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
            && let Some(cell) = maps.cell(meal.at.0, meal.at.1)
        {
            maps.fed_ticks[cell] += all;
        }
    }

    fn answered(&mut self, _lure: u32, _at: (f64, f64)) {
        self.answers.answered += 1;
    }

    fn answer_ended(&mut self, _lure: u32, end: AnswerEnd) {
        match end {
            AnswerEnd::Caught => self.answers.caught += 1,
            AnswerEnd::Landed => self.answers.landed_on_plant += 1,
            AnswerEnd::WentAway => self.answers.went_away += 1,
            AnswerEnd::Unfinished => self.answers.unfinished += 1,
        }
    }

    #[inline]
    fn began(&mut self, insect: &Insect, day: u32) {
        self.female_days -= i64::from(insect.female) * i64::from(day);
        if insect.from_start {
            self.insects.initial += 1;
        } else {
            self.insects.entered += 1;
        }
    }

    #[inline]
    fn outlived(&mut self, female: bool) {
        self.female_days += i64::from(female) * i64::from(self.days);
    }

    fn mated(&mut self, account: &MatingAccount) {
        self.mating.add(account);
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
}
