//! Single wild readings: one that lies far from the median of its neighbors is named with its line and left to the user.
//!
//! Every number of the rule is assumed. A lasting jump is another matter (`daily.rs`): its readings agree with each other.

use crate::say::{say, voice};
use crate::stats::quantile::median;
use crate::weather::columns::TemperatureUnit;
use std::collections::VecDeque;

/// Neighbors that a judgement needs on each side (assumed).
const NEEDED: usize = 2;

/// Wild readings named one by one; the rest is only counted.
const NAMED: usize = 5;

/// How far is too far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Neighbors taken on each side.
    pub each_side: usize,
    /// Farthest neighbor, minutes.
    pub within_min: i64,
    /// Least distance from their median, degrees C.
    pub least_c: f64,
    /// Least distance in spreads: medians of the neighbors' own distances from their median.
    pub spreads: f64,
    /// Least distance when the number with its sign changed fits the neighbors, degrees C; `None` leaves this out.
    pub slipped_c: Option<f64>,
}

/// For hourly readings. In a year of clean hours at one airport the largest distance is 5.8 C.
pub const HOURS: Limits = Limits {
    each_side: 3,
    within_min: 240,
    least_c: 10.0,
    spreads: 4.0,
    slipped_c: None,
};

/// For daily extremes. In three clean years the largest distance is 13.5 C, and 6.6 C where signs differ.
pub const DAYS: Limits = Limits {
    each_side: 4,
    within_min: 6 * 1440,
    least_c: 16.0,
    spreads: 5.0,
    slipped_c: Some(9.0),
};

/// One reading.
#[derive(Clone, Copy, Debug)]
struct Reading {
    minutes: i64,
    line: u64,
    value: f64,
}

/// Looks at readings as they pass and remembers the wild ones.
#[derive(Clone, Debug)]
pub struct Watch {
    limits: Limits,
    unit: TemperatureUnit,
    what: &'static str,
    window: VecDeque<Reading>,
    named: Vec<String>,
    found: usize,
}

impl Watch {
    /// A watch over one column; `what` is the key of the word for a reading, for example `wild.minimum`.
    pub fn new(limits: Limits, unit: TemperatureUnit, what: &str) -> Self {
        let what = voice().get(what);
        Self {
            limits,
            unit,
            what,
            window: VecDeque::with_capacity(2 * limits.each_side + 1),
            named: Vec::new(),
            found: 0,
        }
    }

    /// The next reading, in the file's unit, with its time and line.
    pub fn take(&mut self, minutes: i64, line: u64, value: f64) {
        if self.window.len() > 2 * self.limits.each_side {
            self.window.pop_front();
        }
        self.window.push_back(Reading {
            minutes,
            line,
            value,
        });
        if let Some(at) = self.window.len().checked_sub(self.limits.each_side + 1) {
            self.judge(at);
        }
    }

    /// The notes, after the last reading; empty when nothing is wild.
    pub fn finish(mut self) -> Vec<String> {
        let first = self.window.len().saturating_sub(self.limits.each_side);
        for at in first..self.window.len() {
            self.judge(at);
        }
        let more = self.found - self.named.len();
        let mut notes = self.named;
        if more > 0 {
            notes.push(say!("wild.more", more));
        }
        if !notes.is_empty() {
            let limits = self.limits;
            let rule = |key: &str, least_c: f64| {
                let f = format!("{:.0}", 1.8 * least_c);
                let c = format!("{least_c:.0}");
                say!(key, reading = self.what, f, c, spreads = limits.spreads)
            };
            notes.push(rule("wild.rule", limits.least_c));
            notes.extend(limits.slipped_c.map(|least| rule("wild.sign-rule", least)));
        }
        notes
    }

    /// Degrees C of a number in the file's unit.
    fn celsius(&self, value: f64) -> f64 {
        self.unit.read(value).c()
    }

    fn judge(&mut self, at: usize) {
        let reading = self.window[at];
        let Limits {
            each_side,
            within_min,
            ..
        } = self.limits;
        let near = |other: &&Reading| (other.minutes - reading.minutes).abs() <= within_min;
        let side = |from: usize, to: usize| {
            let part = self.window.range(from..to).filter(near);
            part.map(|r| r.value).collect::<Vec<f64>>()
        };
        let last = (at + 1 + each_side).min(self.window.len());
        let (before, after) = (side(at.saturating_sub(each_side), at), side(at + 1, last));
        if before.len().min(after.len()) < NEEDED {
            return;
        }
        let mut around = before;
        around.extend(after);
        let centre = median(&around);
        let middle = self.celsius(centre);
        let distances = around.iter().map(|v| (self.celsius(*v) - middle).abs());
        let spread = median(&distances.collect::<Vec<f64>>());
        let off = (self.celsius(reading.value) - middle).abs();
        let far = off >= self.limits.least_c && off >= self.limits.spreads * spread;
        let slipped = self.limits.slipped_c.is_some_and(|least| {
            let fits = (self.celsius(-reading.value) - middle).abs() <= (2.0 * spread).max(3.0);
            reading.value * centre < 0.0 && fits && off >= least && off >= 4.0 * spread
        });
        if !(far || slipped) {
            return;
        }
        self.found += 1;
        if self.named.len() < NAMED {
            let looks = ["wild.looks", "wild.looks.slipped"][usize::from(slipped)];
            let Reading { line, value, .. } = reading;
            let (reading, unit, centre) = (self.what, self.unit.words(), format!("{centre:.1}"));
            let told = say!(looks, line, reading, value, unit, centre);
            self.named.push(told);
        }
    }
}
