//! Single wild readings: one that lies far from the median of its neighbors is named with its line and left to the user.
//!
//! Every number of the rule is assumed. A lasting jump is another matter (`weather.rs`): its readings agree with each other.

use crate::season::columns::TemperatureUnit;
use crate::season::temperature::Temperature;
use crate::stats::quantile::median;
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
    /// A watch over one column; `what` names a reading, for example `minimum`.
    pub fn new(limits: Limits, unit: TemperatureUnit, what: &'static str) -> Self {
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
            notes.push(format!("there are {more} more like these"));
        }
        if !notes.is_empty() {
            notes.push(format!(
                "a single {} is named when it is over {:.0} F ({:.0} C) and {:.0} spreads off its neighbors (assumed)",
                self.what,
                1.8 * self.limits.least_c,
                self.limits.least_c,
                self.limits.spreads
            ));
            if let Some(least) = self.limits.slipped_c {
                notes.push(format!(
                    "a value that would fit with the other sign is named from {:.0} F ({least:.0} C) off (assumed)",
                    1.8 * least
                ));
            }
        }
        notes
    }

    /// Degrees C of a number in the file's unit.
    fn celsius(&self, value: f64) -> f64 {
        let (scale, divisor) = self.unit.scale();
        Temperature::from_scale(value / divisor, scale).c()
    }

    fn judge(&mut self, at: usize) {
        let reading = self.window[at];
        let near =
            |other: &&Reading| (other.minutes - reading.minutes).abs() <= self.limits.within_min;
        let side = |from: usize, to: usize| {
            let part = self.window.range(from..to).filter(near);
            part.map(|r| r.value).collect::<Vec<f64>>()
        };
        let before = side(at.saturating_sub(self.limits.each_side), at);
        let after = side(
            at + 1,
            (at + 1 + self.limits.each_side).min(self.window.len()),
        );
        if before.len().min(after.len()) < NEEDED {
            return;
        }
        let mut around = before;
        around.extend(after);
        let centre = median(&around);
        let middle = self.celsius(centre);
        let distances: Vec<f64> = around
            .iter()
            .map(|v| (self.celsius(*v) - middle).abs())
            .collect();
        let spread = median(&distances);
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
            let sign = if slipped {
                " The sign may have slipped."
            } else {
                ""
            };
            self.named.push(format!(
                "line {}: the {} {} ({}) looks wild; its neighbors are near {:.1}.{sign} \
                 It was used as it stands. If it is wrong, correct it or empty the cell",
                reading.line,
                self.what,
                reading.value,
                self.unit.words(),
                centre
            ));
        }
    }
}
