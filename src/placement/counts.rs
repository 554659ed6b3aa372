//! What changes at each candidate site, in one row of whole numbers a site.
//!
//! Hundreds of sites are counted at once, an event here and an event there: a row keeps what one site needs in a few lines
//! of the processor's cache. What a site replaces is taken away from the same row, so a number may pass below zero on the
//! way; all arithmetic wraps around, and the sum with the counts of the base is right in the end.

use crate::engine::event::{AnswerEnd, Fate, Meal, Observer};
use crate::engine::trace::Told;
use crate::placement::delta::{SiteTally, Watched};

const SEGMENTS: usize = 0;
const PASSES: usize = 1;
const FEMALE_DAYS: usize = 2;
const ANSWERED: usize = 3;
const ANSWER_CAUGHT: usize = 4;
const ANSWER_LANDED: usize = 5;
const ANSWER_WENT_AWAY: usize = 6;
const ANSWER_UNFINISHED: usize = 7;
const CAUGHT: usize = 8;
const KILLED: usize = 9;
const REMOVED: usize = 10;
const DIED: usize = 11;
const LEFT: usize = 12;
const ALIVE: usize = 13;
/// From here on: fed, laying and sitting ticks of each plant, then the catch of each lure by sex, and by day.
const PLANTS: usize = 14;

/// Counts by site: a row each.
#[derive(Clone, Debug)]
pub(crate) struct Counts {
    width: usize,
    plants: usize,
    lures: usize,
    days: usize,
    rows: Vec<u64>,
}

impl Counts {
    /// Nothing counted at so many sites.
    pub(crate) fn new(sites: usize, plants: usize, lures: usize, days: usize) -> Counts {
        let width = PLANTS + 3 * plants + lures * (2 + days);
        Counts {
            width,
            plants,
            lures,
            days,
            rows: vec![0; width * sites],
        }
    }

    /// Counts what happens at a site.
    #[inline]
    pub(crate) fn at<'a>(&'a mut self, site: usize, watched: &'a Watched) -> RowCounter<'a> {
        self.counter(site, watched, 1)
    }

    /// Takes away what does not happen there after all.
    #[inline]
    pub(crate) fn off<'a>(&'a mut self, site: usize, watched: &'a Watched) -> RowCounter<'a> {
        self.counter(site, watched, u64::MAX)
    }

    #[inline]
    fn counter<'a>(&'a mut self, site: usize, watched: &'a Watched, one: u64) -> RowCounter<'a> {
        RowCounter {
            row: &mut self.rows[site * self.width..][..self.width],
            caught: PLANTS + 3 * self.plants,
            by_day: PLANTS + 3 * self.plants + 2 * self.lures,
            days: self.days,
            one,
            watched,
        }
    }

    /// The counts of a site: those of the base and what changes.
    ///
    /// Shape: the base may lack the last lures, which then nobody met in it.
    pub(crate) fn with(&self, base: &SiteTally, site: usize) -> SiteTally {
        let row = &self.rows[site * self.width..][..self.width];
        let mut tally = base.clone();
        let add = |own: &mut u64, k: usize| *own = own.wrapping_add(row[k]);
        add(&mut tally.passes, PASSES);
        let summer = &mut tally.summer;
        add(&mut summer.segments, SEGMENTS);
        let female_days = row[FEMALE_DAYS].cast_signed();
        summer.female_days = summer.female_days.wrapping_add(female_days);
        let answers = &mut summer.answers;
        add(&mut answers.answered, ANSWERED);
        add(&mut answers.caught, ANSWER_CAUGHT);
        add(&mut answers.landed_on_plant, ANSWER_LANDED);
        add(&mut answers.went_away, ANSWER_WENT_AWAY);
        add(&mut answers.unfinished, ANSWER_UNFINISHED);
        let insects = &mut summer.insects;
        add(&mut insects.caught, CAUGHT);
        add(&mut insects.killed, KILLED);
        add(&mut insects.removed, REMOVED);
        add(&mut insects.died, DIED);
        add(&mut insects.left, LEFT);
        add(&mut insects.alive, ALIVE);
        for plant in 0..self.plants {
            add(&mut summer.fed_ticks[plant], PLANTS + 3 * plant);
            add(&mut summer.laying_ticks[plant], PLANTS + 3 * plant + 1);
            add(&mut summer.sitting_ticks[plant], PLANTS + 3 * plant + 2);
        }
        summer.caught.resize(self.lures, [0; 2]);
        summer.caught_by_day.resize(self.lures, vec![0; self.days]);
        let caught = PLANTS + 3 * self.plants;
        for lure in 0..self.lures {
            for sex in 0..2 {
                add(&mut summer.caught[lure][sex], caught + 2 * lure + sex);
            }
            let by_day = caught + 2 * self.lures + lure * self.days;
            for (day, own) in summer.caught_by_day[lure].iter_mut().enumerate() {
                *own = own.wrapping_add(row[by_day + day] as u32);
            }
        }
        tally
    }
}

/// Adds what it is told to the counts of a site, or takes it away.
pub(crate) struct RowCounter<'a> {
    row: &'a mut [u64],
    caught: usize,
    by_day: usize,
    days: usize,
    one: u64,
    watched: &'a Watched,
}

impl RowCounter<'_> {
    #[inline]
    fn add(&mut self, k: usize, n: u64) {
        let own = &mut self.row[k];
        *own = own.wrapping_add(n.wrapping_mul(self.one));
    }

    /// Counts again what an observer was told of the rest of a life.
    pub(crate) fn add_told(&mut self, told: &[Told], flown: u64) {
        self.add(SEGMENTS, flown);
        for event in told {
            match *event {
                Told::Fed(meal) => self.fed(&meal),
                Told::Landed(plant) => self.landed(plant),
                Told::Passed => self.add(PASSES, 1),
                Told::Answered => self.answered(0, (0.0, 0.0)),
                Told::AnswerEnded(end) => self.answer_ended(0, end),
                Told::Over(fate, female, day) => self.over(fate, female, day),
                Told::Outlived(female) => {
                    self.outlived(female);
                    self.stays_alive();
                }
            }
        }
    }

    /// An insect is alive at the end of the window.
    pub(crate) fn stays_alive(&mut self) {
        self.add(ALIVE, 1);
    }
}

impl Observer for RowCounter<'_> {
    #[inline]
    fn flew(&mut self, x0: f64, y0: f64, x1: f64, y1: f64) {
        self.add(SEGMENTS, 1);
        if self.watched.passes(x0, y0, x1, y1) {
            self.add(PASSES, 1);
        }
    }
    #[inline]
    fn counts_alone(&self) -> bool {
        self.watched.is_nothing()
    }
    #[inline]
    fn flew_on(&mut self, flights: u64) {
        self.add(SEGMENTS, flights);
    }
    fn fed(&mut self, meal: &Meal) {
        let at = PLANTS + 3 * meal.plant as usize;
        let all = meal.ticks + meal.late_ticks;
        self.add(at, all);
        self.add(at + 1, if meal.lays { all } else { 0 });
        self.add(at + 2, meal.ticks);
    }
    fn landed(&mut self, plant: u32) {
        self.add(PASSES, u64::from(self.watched.is_beside(plant)));
    }
    fn answered(&mut self, _lure: u32, _at: (f64, f64)) {
        self.add(ANSWERED, 1);
    }
    fn answer_ended(&mut self, _lure: u32, end: AnswerEnd) {
        let which = match end {
            AnswerEnd::Caught => ANSWER_CAUGHT,
            AnswerEnd::Landed => ANSWER_LANDED,
            AnswerEnd::WentAway => ANSWER_WENT_AWAY,
            AnswerEnd::Unfinished => ANSWER_UNFINISHED,
        };
        self.add(which, 1);
    }
    fn outlived(&mut self, female: bool) {
        self.add(FEMALE_DAYS, u64::from(female) * self.days as u64);
    }
    fn over(&mut self, fate: Fate, female: bool, day: u32) {
        self.add(FEMALE_DAYS, u64::from(female) * u64::from(day));
        let which = match fate {
            Fate::Caught(lure) => {
                let lure = lure as usize;
                self.add(self.caught + 2 * lure + usize::from(female), 1);
                self.add(self.by_day + lure * self.days + day as usize, 1);
                CAUGHT
            }
            Fate::Killed => KILLED,
            Fate::Removed => REMOVED,
            Fate::Died => DIED,
            Fate::Left => LEFT,
        };
        self.add(which, 1);
    }
}
