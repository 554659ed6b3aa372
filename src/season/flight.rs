//! The flight curve: emergence spread over degree-days, adults present day by day, and the weights a simulated window needs.

use crate::catalogue::season::Flights;
use crate::say::{counted, say};
use crate::season::events::ASSUMED_SPREAD;
use crate::season::forecast::Outlook;
use crate::stats::normal;
use crate::weather::InputError;
use crate::weather::temperature::DegreeDays;
use jiff::civil::Date;

/// One generation of adults.
///
/// Emergence is a normal distribution over degree-days. The shape is assumed; start and middle come from the event table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Generation {
    /// Number, from 1.
    pub number: u32,
    /// Degree-days when 1 in 100 have emerged.
    pub start: DegreeDays,
    /// Degree-days when half have emerged.
    pub middle: DegreeDays,
    /// Size relative to the first.
    pub size: f64,
}

impl Generation {
    /// Share of the generation that has emerged at a sum of degree-days.
    pub fn emerged(&self, sum: DegreeDays) -> f64 {
        let sd = (self.middle - self.start).c() / normal::Z_99;
        if sd <= 0.0 {
            return if sum >= self.middle { 1.0 } else { 0.0 };
        }
        normal::share_below((sum - self.middle).c() / sd)
    }
}

/// The adults of a season.
#[derive(Clone, Debug, PartialEq)]
pub struct Flight {
    /// Generations in order.
    pub generations: Vec<Generation>,
    /// Mean life of an adult, days; the share that lives through a day is e^(−1/life).
    pub adult_life_d: f64,
    /// What was added to every sum: the biofix on a count that began earlier.
    pub shift: DegreeDays,
}

/// Which end of the range of the degree-days is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// The low end: an early flight.
    Low,
    /// The values themselves.
    Likely,
    /// The high end: a late flight.
    High,
}

impl Flight {
    /// From a season file; `shift` is added to every sum (the biofix on a count that began earlier).
    ///
    /// A number without a range is widened as [`ASSUMED_SPREAD`] says, so that ends of the flight carry the same doubt as events.
    pub fn from_catalogue(flights: &Flights, shift: DegreeDays, bound: Bound) -> Self {
        let sum = |s: &crate::catalogue::Sourced| {
            let [low, high] = s.range.unwrap_or([
                s.value * (1.0 - ASSUMED_SPREAD),
                s.value * (1.0 + ASSUMED_SPREAD),
            ]);
            let value = match bound {
                Bound::Low => low,
                Bound::Likely => s.value,
                Bound::High => high,
            };
            shift
                + if s.unit == "C-days" {
                    DegreeDays::from_c(value)
                } else {
                    DegreeDays::from_f(value)
                }
        };
        Self {
            generations: flights
                .generations
                .iter()
                .map(|g| Generation {
                    number: g.generation,
                    start: sum(&g.start),
                    middle: sum(&g.middle),
                    size: g.size.value,
                })
                .collect(),
            adult_life_d: flights.adult_life.value,
            shift,
        }
    }

    /// All that has emerged at a sum of degree-days, in units of the first generation.
    pub fn emerged(&self, sum: DegreeDays) -> f64 {
        self.generations
            .iter()
            .map(|g| g.size * g.emerged(sum))
            .sum()
    }

    /// Adults present on each day, in units of the first generation: those of yesterday that live, and those that emerge today.
    pub fn presence(&self, sums: &[DegreeDays]) -> Vec<f64> {
        let survival = libm::exp(-1.0 / self.adult_life_d);
        let mut present = 0.0;
        let mut before = self.emerged(DegreeDays::ZERO);
        sums.iter()
            .map(|&sum| {
                let now = self.emerged(sum);
                present = present * survival + (now - before).max(0.0);
                before = now;
                present
            })
            .collect()
    }
}

/// Share of a generation, or of the peak number, below which nobody is about (own rule).
pub const NOBODY: f64 = 1e-3;

/// Relative number of adults about on each day of a window; mean 1. Fills `Window::day_weights` of a scenario.
///
/// Shape: one weight a day from `first_day`, `days` in all; never negative; their mean is 1.
///
/// # Errors
/// When the outlook does not cover the window, or no adult is about in it.
pub fn day_weights(
    flight: &Flight,
    outlook: &Outlook,
    first_day: Date,
    days: u32,
) -> Result<Vec<f64>, InputError> {
    let presence = flight.presence(&outlook.typical);
    let days = days as usize;
    let covered = outlook
        .index(first_day)
        .filter(|i| days > 0 && i + days <= presence.len());
    let Some(first) = covered else {
        return Err(InputError::question(say!(
            &counted("ask.window-uncovered", days as u64),
            n = days,
            date = first_day,
            begins = outlook.start,
            date_end = outlook.date(presence.len().saturating_sub(1))
        )));
    };
    let window = &presence[first..first + days];
    let mean = window.iter().sum::<f64>() / days as f64;
    let highest = |part: &[f64]| part.iter().copied().fold(0.0, f64::max);
    let peak = highest(&presence);
    // Tails of the bell curve never end; under 1 in 1,000 is nobody.
    if peak < NOBODY || highest(window) < NOBODY * peak {
        return Err(InputError::question(say!(
            &counted("ask.window-empty", days as u64),
            n = days,
            date = first_day
        )));
    }
    Ok(window.iter().map(|p| p / mean).collect())
}

/// First and last day on which at least `share` of the peak number is about, and the day of the peak.
pub fn span(presence: &[f64], share: f64) -> Option<(usize, usize, usize)> {
    let (peak, &top) = presence
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(&a.0)))?;
    if top < NOBODY {
        return None;
    }
    let first = presence.iter().position(|p| *p >= share * top)?;
    let last = presence.iter().rposition(|p| *p >= share * top)?;
    Some((first, peak, last))
}
