//! Degree-days added up: as observed, and beyond the last day of data as in other years.

use crate::season::degree_day::Rule;
use crate::weather::daily::DayTemps;
use crate::weather::day::{days_between, nth};
use crate::weather::temperature::DegreeDays;
use jiff::civil::Date;
use serde::Serialize;

/// Degree-days day by day from the first day of the count to the end of the outlook.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// First day of the count.
    pub start: Date,
    /// Days with data; the rest is outlook.
    pub observed: usize,
    /// Degree-days of each day with data.
    pub daily: Vec<DegreeDays>,
    /// Sum up to and with each day: observed, then the middle of the years.
    pub typical: Vec<DegreeDays>,
    /// The sums of each year of the outlook, over the whole time; empty when there is no outlook.
    pub paths: Vec<(i16, Vec<DegreeDays>)>,
}

impl Outlook {
    /// Adds up the observed days, then goes on with each of the futures.
    ///
    /// Shape: `observed` is without holes and not empty; every future begins on the day after and all have one length.
    pub fn build(rule: &Rule, observed: &[DayTemps], futures: &[(i16, Vec<DayTemps>)]) -> Self {
        let start = observed
            .first()
            .map_or(Date::constant(1970, 1, 1), |d| d.date);
        let daily = degree_days(rule, observed);
        let observed_sum = running_sum(&daily);
        let mut paths = Vec::with_capacity(futures.len());
        for (year, future) in futures.iter().filter(|(_, days)| !days.is_empty()) {
            let all: Vec<DayTemps> = observed.iter().chain(future).copied().collect();
            // The day at the seam keeps its observed value, whatever the next day's minimum would make of it.
            let mut path_daily = degree_days(rule, &all);
            path_daily[..daily.len()].copy_from_slice(&daily);
            paths.push((*year, running_sum(&path_daily)));
        }
        let length = paths
            .first()
            .map_or(observed_sum.len(), |(_, path)| path.len());
        let typical = (0..length)
            .map(|i| {
                if i < observed_sum.len() {
                    observed_sum[i]
                } else {
                    middle(&paths, i)
                }
            })
            .collect();
        Self {
            start,
            observed: daily.len(),
            daily,
            typical,
            paths,
        }
    }

    /// Sum at the end of the data.
    pub fn cumulative(&self) -> DegreeDays {
        self.observed
            .checked_sub(1)
            .map_or(DegreeDays::ZERO, |i| self.typical[i])
    }

    /// The day of an index.
    pub fn date(&self, index: usize) -> Date {
        nth(self.start, index)
    }

    /// The index of a day, if the outlook covers it.
    pub fn index(&self, date: Date) -> Option<usize> {
        usize::try_from(days_between(self.start, date))
            .ok()
            .filter(|i| *i < self.typical.len())
    }

    /// Last day with data.
    pub fn last_day(&self) -> Date {
        self.date(self.observed.saturating_sub(1))
    }

    /// When a sum is reached: likely day, and the range from the sum's own range and from the years.
    pub fn when(&self, at: DegreeDays, low: DegreeDays, high: DegreeDays) -> When {
        let first =
            |sums: &[DegreeDays], at: DegreeDays| sums.iter().position(|s| s.c() >= at.c() - 1e-9);
        let last_observed = self.observed.saturating_sub(1);
        let over_paths = |at: DegreeDays| -> Vec<Option<usize>> {
            if self.paths.is_empty() {
                vec![first(&self.typical, at)]
            } else {
                self.paths.iter().map(|(_, sums)| first(sums, at)).collect()
            }
        };
        let likely = first(&self.typical, at);
        let earliest = over_paths(low).into_iter().flatten().min();
        let highs = over_paths(high);
        let latest = if highs.iter().all(Option::is_some) {
            highs.into_iter().flatten().max()
        } else {
            None
        };
        let status = match likely {
            Some(i) if i <= last_observed => Status::Passed,
            Some(_) => Status::Forecast,
            None => Status::NotReached,
        };
        When {
            status,
            date: likely.map(|i| self.date(i)),
            earliest: earliest.map(|i| self.date(i)),
            latest: latest.map(|i| self.date(i)),
            years_reached: over_paths(at).into_iter().flatten().count(),
        }
    }
}

/// Whether a day lies in the data or in the outlook.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Reached within the data.
    Passed,
    /// Reached in the outlook.
    Forecast,
    /// Not reached by the end of data and outlook.
    NotReached,
}

/// When a sum is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct When {
    /// In the data or in the outlook.
    pub status: Status,
    /// The likely day: the first whose sum, that day included, is at or above it.
    pub date: Option<Date>,
    /// Earliest day: the low end of the sum's range, in the warmest of the years.
    pub earliest: Option<Date>,
    /// Latest day: the high end of the sum's range, in the coolest of the years; `None` when one of them does not reach it.
    pub latest: Option<Date>,
    /// Number of years (or 1 for data alone) in which the sum is reached.
    pub years_reached: usize,
}

/// Degree-days of each day; the next day's minimum is used where the method wants it.
pub fn degree_days(rule: &Rule, days: &[DayTemps]) -> Vec<DegreeDays> {
    days.iter()
        .enumerate()
        .map(|(i, day)| rule.of_day(day.tmin, day.tmax, days.get(i + 1).map(|next| next.tmin)))
        .collect()
}

/// Sums up to and with each day.
pub fn running_sum(daily: &[DegreeDays]) -> Vec<DegreeDays> {
    daily
        .iter()
        .scan(DegreeDays::ZERO, |sum, day| {
            *sum = *sum + *day;
            Some(*sum)
        })
        .collect()
}

/// Median over the years at one day.
fn middle(paths: &[(i16, Vec<DegreeDays>)], i: usize) -> DegreeDays {
    let mut sums: Vec<f64> = paths.iter().map(|(_, path)| path[i].c()).collect();
    sums.sort_by(f64::total_cmp);
    let n = sums.len();
    DegreeDays::from_c(if n % 2 == 1 {
        sums[n / 2]
    } else {
        0.5 * (sums[n / 2 - 1] + sums[n / 2])
    })
}
