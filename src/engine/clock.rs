//! Movement time: the active hours of the days, one after the other.

use crate::units::SECONDS_PER_HOUR;
use std::sync::Arc;

/// Movement time: the active hours of the days, one after the other. The clock stands still between them, and in hours that
/// are not fit for movement.
#[derive(Clone, Debug, PartialEq)]
pub struct Clock {
    /// Days.
    pub days: u32,
    /// Movement time in a day, seconds.
    pub day_s: f64,
    /// Local hour at which it starts.
    pub start_hour: f64,
    /// The hours that are fit; `None` when all are.
    pub fit: Option<Arc<FitHours>>,
}

/// The hours of each day that are fit for movement.
#[derive(Clone, Debug, PartialEq)]
pub struct FitHours {
    /// When each day begins, seconds of movement time; one more than days.
    begins_s: Vec<f64>,
    /// For each day its fit hours, in order.
    hours: Vec<Vec<usize>>,
}

/// An hour of movement time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    /// Day, from 0.
    pub day: usize,
    /// Hour within the day's movement time, from 0.
    pub of_day: usize,
    /// When it ends, seconds of movement time.
    pub ends_s: f64,
}

impl FitHours {
    /// From whether each active hour of each day is fit. Shape: one row a day, one entry for each begun hour of `day_s`.
    pub fn new(fit: &[Vec<bool>], day_s: f64) -> FitHours {
        let hours: Vec<Vec<usize>> = fit
            .iter()
            .map(|day| (0..day.len()).filter(|h| day[*h]).collect())
            .collect();
        let mut begins_s = vec![0.0];
        let mut sum = 0.0;
        for day in &hours {
            sum += day.iter().map(|h| hour_s(*h, day_s)).sum::<f64>();
            begins_s.push(sum);
        }
        FitHours { begins_s, hours }
    }

    /// Last day that has begun at a time.
    fn day_at(&self, t_s: f64) -> usize {
        let begun = self.begins_s.partition_point(|begin| *begin <= t_s);
        begun.clamp(1, self.hours.len()) - 1
    }
}

/// Length of an hour of a day's movement time, seconds: the last may be part of one.
fn hour_s(hour: usize, day_s: f64) -> f64 {
    (day_s - hour as f64 * SECONDS_PER_HOUR).clamp(0.0, SECONDS_PER_HOUR)
}

impl Clock {
    /// All active hours of some days.
    pub fn new(days: u32, hours: f64, start_hour: f64) -> Clock {
        Clock {
            days,
            day_s: hours * SECONDS_PER_HOUR,
            start_hour,
            fit: None,
        }
    }

    /// When a day begins, seconds of movement time; the end of the window for the day after the last.
    pub fn day_begins_s(&self, day: u32) -> f64 {
        match &self.fit {
            None => f64::from(day) * self.day_s,
            Some(fit) => fit.begins_s[day as usize],
        }
    }

    /// Movement time of a day as a share of a whole one.
    pub fn day_share(&self, day: u32) -> f64 {
        match &self.fit {
            None => 1.0,
            Some(_) => (self.day_begins_s(day + 1) - self.day_begins_s(day)) / self.day_s,
        }
    }

    /// Length of the window, seconds of movement time.
    pub fn end_s(&self) -> f64 {
        self.day_begins_s(self.days)
    }

    /// Whole or begun hours in a day.
    pub fn hours_per_day(&self) -> usize {
        (self.day_s / SECONDS_PER_HOUR).ceil().max(1.0) as usize
    }

    /// Day of a time, from 0; the end of the window belongs to the last day.
    #[inline]
    pub fn day_at(&self, t_s: f64) -> u32 {
        match &self.fit {
            None => ((t_s / self.day_s) as u32).min(self.days - 1),
            Some(fit) => fit.day_at(t_s) as u32,
        }
    }

    /// Day of a time, from 0, where the very end of a day belongs to it.
    pub fn day_ending_at(&self, t_s: f64) -> u32 {
        match &self.fit {
            None => libm::ceil(t_s / self.day_s - 1.0).max(0.0) as u32,
            Some(fit) => fit.begins_s[1..].partition_point(|end| *end < t_s) as u32,
        }
    }

    /// Evenings from one time to another: ends of days after the first, up to the second.
    pub fn evenings(&self, from_s: f64, to_s: f64) -> u64 {
        match &self.fit {
            None => (to_s / self.day_s) as u64 - (from_s / self.day_s) as u64,
            Some(fit) => {
                let ended = |t_s: f64| fit.begins_s[1..].partition_point(|end| *end <= t_s);
                (ended(to_s) - ended(from_s)) as u64
            }
        }
    }

    /// The time when all hours are fit (day times [`Clock::day_s`] and the time in the day) on this clock.
    pub fn of_whole_days(&self, t_s: f64) -> f64 {
        let Some(fit) = &self.fit else { return t_s };
        let day = ((t_s / self.day_s) as usize).min(fit.hours.len());
        let in_day_s = t_s - day as f64 * self.day_s;
        let gone = fit.hours.get(day).map_or(0.0, |hours| {
            let each = hours.iter().map(|h| {
                let begins_s = *h as f64 * SECONDS_PER_HOUR;
                (in_day_s - begins_s).clamp(0.0, hour_s(*h, self.day_s))
            });
            each.sum()
        });
        fit.begins_s[day] + gone
    }

    /// Hour of a time.
    pub fn hour_at(&self, t_s: f64) -> Hour {
        let day = self.day_at(t_s) as usize;
        let begins_s = self.day_begins_s(day as u32);
        let Some(fit) = &self.fit else {
            let mut of_day = ((t_s - begins_s) / SECONDS_PER_HOUR) as usize;
            // The end of the window belongs to the last hour.
            while of_day > 0 && of_day as f64 * SECONDS_PER_HOUR >= self.day_s {
                of_day -= 1;
            }
            let ends_s = (of_day + 1) as f64 * SECONDS_PER_HOUR;
            return Hour {
                day,
                of_day,
                ends_s: (begins_s + ends_s).min(begins_s + self.day_s),
            };
        };
        let mut ends_s = begins_s;
        let mut found = 0;
        for hour in &fit.hours[day] {
            found = *hour;
            ends_s += hour_s(found, self.day_s);
            if t_s < ends_s {
                break;
            }
        }
        Hour {
            day,
            of_day: found,
            ends_s,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three days of 2.5 h: hours 0 and 2, none, all three.
    fn gappy() -> Clock {
        let fit = [
            vec![true, false, true],
            vec![false; 3],
            vec![true, true, true],
        ];
        let whole = Clock::new(3, 2.5, 9.0);
        Clock {
            fit: Some(Arc::new(FitHours::new(&fit, whole.day_s))),
            ..whole
        }
    }

    #[test]
    fn unfit_hours_take_no_time() {
        let clock = gappy();
        let h = SECONDS_PER_HOUR;
        let begins: Vec<f64> = (0..=3).map(|d| clock.day_begins_s(d) / h).collect();
        assert_eq!(begins, [0.0, 1.5, 1.5, 4.0]);
        let hour = |t: f64| {
            let hour = clock.hour_at(t * h);
            (hour.day, hour.of_day, hour.ends_s / h)
        };
        assert_eq!(hour(0.5), (0, 0, 1.0));
        assert_eq!(hour(1.2), (0, 2, 1.5));
        assert_eq!(hour(1.5), (2, 0, 2.5));
        assert_eq!(hour(4.0), (2, 2, 4.0));
        assert_eq!(clock.evenings(0.5 * h, 1.5 * h), 2);
        assert_eq!(clock.evenings(1.5 * h, 4.0 * h), 1);
        let at = |t: f64| clock.of_whole_days(t * h) / h;
        assert_eq!(
            [0.5, 1.5, 2.25, 2.5, 3.0, 6.0, 7.5].map(at),
            [0.5, 1.0, 1.25, 1.5, 1.5, 2.5, 4.0]
        );
    }

    #[test]
    fn whole_days_are_as_without_a_table() {
        let whole = Clock::new(4, 2.5, 9.0);
        let fit = Clock {
            fit: Some(Arc::new(FitHours::new(
                &vec![vec![true; 3]; 4],
                whole.day_s,
            ))),
            ..whole.clone()
        };
        for i in 0..200 {
            let t_s = f64::from(i) * 180.0;
            assert_eq!(fit.day_at(t_s), whole.day_at(t_s), "{t_s}");
            assert_eq!(fit.hour_at(t_s), whole.hour_at(t_s), "{t_s}");
            assert_eq!(
                fit.evenings(60.0, t_s + 60.0),
                whole.evenings(60.0, t_s + 60.0)
            );
            assert!((fit.of_whole_days(t_s) - t_s).abs() < 1e-9);
        }
    }
}
