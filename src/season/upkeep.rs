//! Lures that age with heat, traps that fill, minutes that visits take.

use crate::catalogue::season::UpkeepEntry;
use crate::weather::day::plus;
use jiff::civil::Date;
use serde::Serialize;

/// Mean temperature of each day from a first day on, degrees C; beyond its end a lure ages at the reference speed.
#[derive(Clone, Debug, PartialEq)]
pub struct DailyMeans {
    /// First day.
    pub first: Date,
    /// Means.
    pub means_c: Vec<f64>,
}

/// One lure, from hanging to its replacement.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LureSpan {
    /// Day it is hung.
    pub hung: String,
    /// Day by which to replace it: when half of its response is gone, at the middle life.
    pub replace_by: String,
    /// Earliest, at the shortest life.
    pub earliest: String,
    /// Latest, at the longest life.
    pub latest: String,
    /// For arithmetic: the day it is hung.
    #[serde(skip)]
    pub hung_day: Date,
    /// For arithmetic: replace-by, earliest, latest.
    #[serde(skip)]
    pub days: [Date; 3],
}

/// Days a trap takes to fill at one catch rate.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FillRow {
    /// Insects a day.
    pub per_day: f64,
    /// Days until full.
    pub days_to_full: f64,
    /// Days on which a trap emptied once a week catches nothing more.
    pub full_days_a_week: f64,
}

/// Upkeep of a season.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Upkeep {
    /// Lures, one after the other.
    pub lures: Vec<LureSpan>,
    /// Life of a lure at the reference temperature, days: shortest, middle, longest.
    pub lure_life_d: [f64; 3],
    /// Factor for 10 degC more (assumed).
    pub lure_q10: f64,
    /// Reference temperature, degC (assumed).
    pub lure_reference_c: f64,
    /// Source of the life.
    pub lure_source: String,
    /// Insects that fill the trap; absent when it does not fill.
    pub capacity: Option<f64>,
    /// Source of the capacity.
    pub capacity_source: Option<String>,
    /// Days to full by rate.
    pub fill: Vec<FillRow>,
    /// Days to full at the highest rate among your own traps.
    pub own_rate: Option<FillRow>,
    /// Days between checks.
    pub check_every_d: f64,
    /// Visits from hanging to taking down.
    pub visits: u32,
    /// Minutes for all visits to one trap: least, middle, most.
    pub minutes: [f64; 3],
}

/// The day on which a lure hung on `hung` has used up `life_d` days of life.
///
/// A day at mean temperature T uses q10^((T − reference)/10) days. Returns the first day on which the sum reaches the life.
pub fn replace_by(means: &DailyMeans, hung: Date, life_d: f64, q10: f64, reference_c: f64) -> Date {
    let offset = crate::weather::day::days_between(means.first, hung);
    let mut used = 0.0;
    let mut n = 0;
    // A lure in the cold ages slowly; two years bound the search.
    while used < life_d && n < 730 {
        let mean = usize::try_from(offset + n)
            .ok()
            .and_then(|i| means.means_c.get(i));
        used += mean.map_or(1.0, |t| libm::pow(q10, (t - reference_c) / 10.0));
        n += 1;
    }
    plus(hung, n)
}

/// Lures, emptying and visits between two days.
///
/// Shape: `rates` are catch rates a day to show beside the fixed ones; `down` not before `hang`.
pub fn plan(
    entry: &UpkeepEntry,
    means: &DailyMeans,
    span: Option<(Date, Date)>,
    rates: &[f64],
) -> Upkeep {
    let [low, high] = entry.lure_life.range.unwrap_or([entry.lure_life.value; 2]);
    let lives = [entry.lure_life.value, low, high];
    let (q10, reference) = (entry.lure_q10.value, entry.lure_reference.value);
    let mut lures = Vec::new();
    if let Some((hang, down)) = span {
        let mut hung = hang;
        while hung < down && lures.len() < 24 {
            let days = lives.map(|life| replace_by(means, hung, life, q10, reference));
            lures.push(LureSpan {
                hung: hung.to_string(),
                hung_day: hung,
                replace_by: days[0].to_string(),
                earliest: days[1].to_string(),
                latest: days[2].to_string(),
                days,
            });
            hung = days[0];
        }
    }
    let capacity = entry.capacity.as_ref().map(|c| c.value);
    let visits = span.map_or(0, |(hang, down)| {
        (crate::weather::day::days_between(hang, down) as f64 / entry.check_every.value).ceil()
            as u32
    });
    let [least, most] = entry.visit.range.unwrap_or([entry.visit.value; 2]);
    Upkeep {
        lures,
        lure_life_d: [low, entry.lure_life.value, high],
        lure_q10: q10,
        lure_reference_c: reference,
        lure_source: entry.lure_life.source.clone(),
        capacity,
        capacity_source: entry.capacity.as_ref().map(|c| c.source.clone()),
        fill: capacity.map_or_else(Vec::new, |capacity| fill_table(capacity, rates)),
        own_rate: capacity.and_then(|capacity| {
            rates
                .iter()
                .copied()
                .max_by(f64::total_cmp)
                .filter(|r| *r > 0.0)
                .map(|rate| fill_row(capacity, rate))
        }),
        check_every_d: entry.check_every.value,
        visits,
        minutes: [least, entry.visit.value, most].map(|minutes| minutes * f64::from(visits)),
    }
}

/// Days to full at fixed rates and at those of the user's own traps.
pub fn fill_table(capacity: f64, rates: &[f64]) -> Vec<FillRow> {
    let mut all: Vec<f64> = [25.0, 50.0, 100.0, 250.0, 500.0, 1000.0, 1750.0].to_vec();
    all.extend(rates.iter().copied().filter(|r| *r > 0.0));
    all.sort_by(f64::total_cmp);
    all.dedup();
    all.into_iter()
        .map(|per_day| fill_row(capacity, per_day))
        .collect()
}

fn fill_row(capacity: f64, per_day: f64) -> FillRow {
    let days_to_full = capacity / per_day;
    FillRow {
        per_day,
        days_to_full,
        full_days_a_week: (7.0 - days_to_full).max(0.0),
    }
}
