//! Many lives and many summers: one plan in one summer, and summers on all cores with results in summer order.
//!
//! The only file that may use threads. Results never depend on how many.

use crate::control::males::share_mated;
use crate::engine::arrival::Arrivals;
use crate::engine::event::{AnswerEnd, Event, Fate, MatingAccount, Observer};
use crate::engine::flight::{Lures, answer_ends, live};
use crate::engine::ground::{Ground, TICKS_PER_S};
use crate::engine::insect::{Insect, Mode};
use crate::engine::lure::LureMemory;
use crate::engine::shares::Shares;
use crate::units::SECONDS_PER_HOUR;

/// Things that one day does to the next.
///
/// A life lived day by day is the same, bit for bit, as one lived at once, until a rule acts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DayRules {
    /// Run day by day, so that the rules can act.
    pub day_by_day: bool,
    /// Virgin females mate with the males that traps have left.
    pub mating: bool,
    /// Chewed leaves call more insects the day after; the guild decides whose hours count.
    pub chewed_leaves_call: bool,
    /// For each lure: insects that fill the trap, and the days between visits that empty it.
    pub capacity: Vec<Option<(f64, u32)>>,
}

impl DayRules {
    /// Whether a trap would have been full at the start of some day, given the catch of each lure by day: then the plan
    /// must be run day by day.
    pub fn would_fill(&self, caught_by_day: &[Vec<u64>]) -> bool {
        self.capacity
            .iter()
            .zip(caught_by_day)
            .any(|(rule, by_day)| {
                let &Some((capacity, every)) = rule else {
                    return false;
                };
                let mut in_trap = 0_u64;
                by_day.iter().enumerate().any(|(day, &n)| {
                    if (day as u32).is_multiple_of(every.max(1)) {
                        in_trap = 0;
                    }
                    let full = in_trap as f64 >= capacity;
                    in_trap += n;
                    full
                })
            })
    }
}

/// Counts the catch for the day rules and passes everything on.
struct CatchCount<'a, O: Observer> {
    inner: &'a mut O,
    in_trap: Vec<u64>,
    males: u64,
    /// Feeding on each plant in the night now ending, ticks; empty when nobody asks.
    night_ticks: Vec<u64>,
}

impl<O: Observer> Observer for CatchCount<'_, O> {
    #[inline]
    fn hear(&mut self, event: &Event) {
        match *event {
            Event::Fed(meal) => {
                if let Some(sum) = self.night_ticks.get_mut(meal.plant as usize) {
                    *sum += meal.late_ticks;
                }
            }
            Event::Over {
                fate: Fate::Caught(lure),
                female,
                ..
            } => {
                self.in_trap[lure as usize] += 1;
                self.males += u64::from(!female);
            }
            _ => {}
        }
        self.inner.hear(event);
    }
}

/// When the present stretch of a life ends: with the night for a crawler in a yard of several days, with the window for
/// all others (day 0).
pub fn until_s(ground: &Ground, day: u32) -> f64 {
    if ground.crawls {
        ground.clock.day_begins_s(day + 1)
    } else {
        ground.clock.end_s()
    }
}

/// The stretch in which a life begins.
pub fn first_day(ground: &Ground, insect: &Insect) -> u32 {
    let mut day = 0;
    while ground.crawls && day + 1 < ground.clock.days && insect.t_s >= until_s(ground, day) {
        day += 1;
    }
    day
}

/// Ends a stretch of a life: a crawler goes home and comes out again on a further day. Whether the life goes on; it is told
/// when it outlives the window.
pub fn next_day<O: Observer>(
    ground: &Ground,
    insect: &mut Insect,
    day: &mut u32,
    observer: &mut O,
) -> bool {
    if ground.crawls && !matches!(insect.mode, Mode::Over(_)) {
        go_home(ground, insect, until_s(ground, *day), observer);
        while *day < ground.clock.days && insect.t_s >= until_s(ground, *day) {
            *day += 1;
        }
        if *day < ground.clock.days {
            return true;
        }
    }
    survives(insect, observer);
    false
}

/// Lives a life on from a day to its end or that of the window.
pub fn live_on<O: Observer>(
    ground: &Ground,
    lures: &Lures,
    insect: &mut Insect,
    memory: &mut [LureMemory],
    mut day: u32,
    observer: &mut O,
) {
    loop {
        let until_s = until_s(ground, day);
        live(ground, lures, insect, memory, until_s, observer);
        if !next_day(ground, insect, &mut day, observer) {
            return;
        }
    }
}

/// Runs one plan in one summer.
///
/// Without day rules every insect lives its whole life at once; with them all insects live a day, then the next.
pub fn run_plan<O: Observer>(
    ground: &Ground,
    arrivals: &Arrivals,
    lures: &mut Lures,
    rules: &DayRules,
    observer: &mut O,
) {
    if rules.day_by_day {
        run_by_day(ground, arrivals, lures, rules, observer);
        return;
    }
    let mut memory = vec![LureMemory::NEW; lures.sites.len()];
    for mut insect in arrivals.insects(ground) {
        memory.fill(LureMemory::NEW);
        observer.hear(&Event::began(&insect, &ground.clock));
        let day = first_day(ground, &insect);
        live_on(ground, lures, &mut insect, &mut memory, day, observer);
    }
}

/// Tells of an insect that is alive at the end of the window, and of an answer that is still open.
fn survives<O: Observer>(insect: &mut Insect, observer: &mut O) {
    if matches!(insect.mode, Mode::Over(_)) {
        return;
    }
    answer_ends(insect, AnswerEnd::Unfinished, observer);
    let female = insect.female;
    observer.hear(&Event::Outlived { female });
}

fn run_by_day<O: Observer>(
    ground: &Ground,
    arrivals: &Arrivals,
    lures: &mut Lures,
    rules: &DayRules,
    observer: &mut O,
) {
    let mut ground = ground.clone();
    let n_lures = lures.sites.len();
    let mut insects: Vec<Insect> = arrivals.insects(&ground).collect();
    let starts: Vec<f64> = insects.iter().map(|i| i.t_s).collect();
    let mut memory = vec![LureMemory::NEW; insects.len() * n_lures];
    let mut count = CatchCount {
        inner: observer,
        in_trap: vec![0; n_lures],
        males: 0,
        night_ticks: Vec::new(),
    };
    if rules.chewed_leaves_call {
        count.night_ticks = vec![0; ground.plants.len()];
    }
    let mut fed_at_night = vec![0.0; count.night_ticks.len()];
    for insect in &insects {
        count.hear(&Event::began(insect, &ground.clock));
    }
    for day in 0..ground.clock.days {
        let begins_s = ground.clock.day_begins_s(day);
        let ends_s = ground.clock.day_begins_s(day + 1);
        for (k, rule) in rules.capacity.iter().enumerate() {
            if let &Some((capacity, every)) = rule {
                if day % every.max(1) == 0 {
                    count.in_trap[k] = 0;
                }
                lures.sites[k].full = count.in_trap[k] as f64 >= capacity;
            }
        }
        if rules.mating {
            let males = insects
                .iter()
                .zip(&starts)
                .filter(|(i, s)| !i.female && **s <= begins_s)
                .count();
            let removed = if males == 0 {
                0.0
            } else {
                count.males as f64 / males as f64
            };
            ground.mated_by_day[day as usize] = share_mated(ground.pest.matings, removed.min(1.0));
        }
        chewed_leaves_call(&mut ground, &mut count.night_ticks, &mut fed_at_night, day);
        for (i, insect) in insects.iter_mut().enumerate() {
            if insect.t_s >= ends_s || matches!(insect.mode, Mode::Over(_)) {
                continue;
            }
            let own = &mut memory[i * n_lures..(i + 1) * n_lures];
            live(&ground, lures, insect, own, ends_s, &mut count);
            if ground.crawls {
                go_home(&ground, insect, ends_s, &mut count);
            }
        }
    }
    for site in &mut lures.sites {
        site.full = false;
    }
    if rules.mating {
        let account = mating_account(&ground, &insects, &starts, count.males);
        count.hear(&Event::Mated(account));
    }
    for insect in &mut insects {
        survives(insect, count.inner);
    }
}

/// Leaves fed on overnight call on the day after, the more of them the more, up to a limit; the call fades by half a day.
///
/// Shape: feeding of last night in ticks, which is taken over, and hours of the nights so far, faded.
fn chewed_leaves_call(
    ground: &mut Ground,
    last_night: &mut [u64],
    fed_at_night: &mut [f64],
    day: u32,
) {
    let (n, pest) = (ground.plants.len(), ground.pest);
    let nights = fed_at_night.iter_mut().zip(last_night);
    for (plant, (hours, ticks)) in nights.enumerate() {
        *hours = 0.5 * *hours + *ticks as f64 / (TICKS_PER_S * SECONDS_PER_HOUR);
        *ticks = 0;
        if *hours > 0.0 {
            let dose = pest.visible * pest.damage_rate * *hours / ground.units[plant];
            let factor = 1.0 - (ground.chewed_call - 1.0) * libm::expm1(-dose);
            ground.care.scale_acceptance(n, plant, day, factor);
        }
    }
}

/// A female has mated when her own number is below the chance of some day of her life.
fn mating_account(
    ground: &Ground,
    insects: &[Insect],
    starts: &[f64],
    males_caught: u64,
) -> MatingAccount {
    let mut account = MatingAccount {
        males_caught,
        ..MatingAccount::default()
    };
    for (insect, start_s) in insects.iter().zip(starts) {
        if !insect.female {
            account.males += 1;
        } else if insect.from_outside {
            account.outside_females += 1;
            account.outside_mated += u64::from(insect.came_mated);
        } else {
            let (first, last) = (
                ground.clock.day_at(*start_s) as usize,
                ground.clock.day_at(insect.t_s) as usize,
            );
            let chances = &ground.mated_by_day[first..=last.max(first)];
            account.local_females += 1;
            account.local_mated += u64::from(chances.iter().any(|c| insect.mating_u < *c));
        }
    }
    account
}

/// The end of a crawler's night: it goes back to its shelter, or makes a new one where it is.
fn go_home<O: Observer>(ground: &Ground, insect: &mut Insect, ends_s: f64, observer: &mut O) {
    if matches!(insect.mode, Mode::Over(_)) {
        return;
    }
    answer_ends(insect, AnswerEnd::WentAway, observer);
    let night = ground.clock.day_at(ends_s - 0.5 * ground.clock.day_s);
    insect.driven_off(ground, night, 0);
    if insect.flight.uniform() < ground.pest.homing {
        insect.at = insect.home;
    } else {
        insect.home = insect.at;
    }
    insect.t_s = insect.t_s.max(ends_s);
    insect.mode = Mode::Rest {
        until_s: insect.t_s + ground.rest_s(&mut insect.flight),
    };
}

/// Watches a long computation: told of progress, asked whether to stop.
pub trait Watch: Sync {
    /// So many more summers are done.
    fn advance(&self, _summers: u32) {}
    /// What the summers so far say: for each plan but the first, how many of 20 have more, the same and less damage.
    fn so_far(&self, _summers: u32, _counts: &[[usize; 3]]) {}
    /// True when the user wants to stop.
    fn stopped(&self) -> bool {
        false
    }
    /// The work of all workers, where several without a common memory share it.
    fn shares(&self) -> Option<&Shares> {
        None
    }
}

/// Asks a watch whether to stop and tells it nothing: for work that is not counted in summers.
pub struct StopOnly<'a>(pub &'a dyn Watch);

impl Watch for StopOnly<'_> {
    fn stopped(&self) -> bool {
        self.0.stopped()
    }
    fn shares(&self) -> Option<&Shares> {
        self.0.shares()
    }
}

/// Nobody watches.
#[derive(Clone, Copy, Debug, Default)]
pub struct Unwatched;

impl Watch for Unwatched {}

/// The user stopped the computation; nothing is to be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stopped;

/// Summers computed at once before their results are folded; bounds memory, never changes a result.
const CHUNK: u32 = 64;

/// Computes `one(summer)` for each summer, on all cores, and hands the results to `fold` in summer order.
///
/// # Errors
/// [`Stopped`] when the watch says so.
pub fn each_summer<T: Send>(
    summers: std::ops::Range<u32>,
    watch: &dyn Watch,
    one: impl Fn(u32) -> T + Sync,
    mut fold: impl FnMut(u32, T),
) -> Result<(), Stopped> {
    let mut begin = summers.start;
    while begin < summers.end {
        if watch.stopped() {
            return Err(Stopped);
        }
        let end = summers.end.min(begin + CHUNK);
        let results = chunk(begin, end, watch, &one);
        if watch.stopped() {
            return Err(Stopped);
        }
        for (summer, result) in (begin..end).zip(results) {
            if let Some(result) = result {
                fold(summer, result);
            }
        }
        begin = end;
    }
    Ok(())
}

#[cfg(feature = "parallel")]
fn chunk<T: Send>(
    begin: u32,
    end: u32,
    watch: &dyn Watch,
    one: &(impl Fn(u32) -> T + Sync),
) -> Vec<Option<T>> {
    use rayon::prelude::*;
    // One at a time: summers differ widely in how long they take.
    (begin..end)
        .into_par_iter()
        .with_max_len(1)
        .map(|summer| watched(summer, watch, one))
        .collect()
}

#[cfg(not(feature = "parallel"))]
fn chunk<T: Send>(
    begin: u32,
    end: u32,
    watch: &dyn Watch,
    one: &(impl Fn(u32) -> T + Sync),
) -> Vec<Option<T>> {
    (begin..end)
        .map(|summer| watched(summer, watch, one))
        .collect()
}

fn watched<T>(summer: u32, watch: &dyn Watch, one: &impl Fn(u32) -> T) -> Option<T> {
    if watch.stopped() {
        return None;
    }
    let result = one(summer);
    watch.advance(1);
    Some(result)
}

/// Runs a computation on a given number of threads (0 for one a core). Results are the same for any number.
///
/// # Errors
/// Why the threads cannot be started.
#[cfg(feature = "parallel")]
pub fn with_threads<T: Send>(threads: usize, work: impl FnOnce() -> T + Send) -> Result<T, String> {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .map_err(|why| why.to_string())?;
    Ok(pool.install(work))
}

/// Runs a computation on the present thread: this build has no threads.
///
/// # Errors
/// Never.
#[cfg(not(feature = "parallel"))]
pub fn with_threads<T: Send>(
    _threads: usize,
    work: impl FnOnce() -> T + Send,
) -> Result<T, String> {
    Ok(work())
}
