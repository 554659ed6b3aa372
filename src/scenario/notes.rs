//! What is noted while a file is read, and the readers of single values that note their faults.

use super::error::{Faults, fault};
use super::file::{Direction, Length, Position};
use super::place::member;
use super::{DefaultUsed, wind};
use crate::geometry::{Point, Rect};
use crate::say::{counted, say};
use crate::units::{RADIANS_PER_DEGREE, feet, feet_and_metres};
use std::collections::BTreeSet;

/// Everything noted while a file is read.
#[derive(Default)]
pub(crate) struct Notes {
    pub(crate) faults: Faults,
    pub(crate) defaults: Vec<DefaultUsed>,
    pub(crate) warnings: Vec<String>,
    /// Lengths without a unit: where, and the number.
    bare: Vec<(String, f64)>,
}

impl Notes {
    /// Notes a default that stands in for something the file does not say.
    pub(crate) fn default_used(
        &mut self,
        path: impl Into<String>,
        taken: impl Into<String>,
        source: impl Into<String>,
    ) {
        self.defaults.push(DefaultUsed {
            path: path.into(),
            taken: taken.into(),
            source: source.into(),
        });
    }

    /// Notes a default that nobody has measured.
    pub(crate) fn assumed(&mut self, path: impl Into<String>, taken: impl Into<String>) {
        self.default_used(path, taken, say!("yard.assumed"));
    }

    /// Says which numbers were taken as meters for want of a unit. At 0 all units are one.
    pub(crate) fn warn_of_bare_lengths(&mut self) {
        let Some((path, n)) = self.bare.first() else {
            return;
        };
        let ft = format!("{:.1}", feet(*n));
        let mut text = say!("yard.warn.bare", path, n, ft);
        let more = self.bare.len() - 1;
        if more > 0 {
            let key = counted("yard.warn.bare.more", more as u64);
            text = format!("{text} {}", say!(&key, n = more));
        }
        self.warnings.push(text);
    }

    /// A length between two limits, meters.
    pub(crate) fn length(
        &mut self,
        written: &Length,
        path: &str,
        least_m: f64,
        most_m: f64,
    ) -> Option<f64> {
        match written.inside() {
            Err(what) => self.faults.add(path, what, say!("fault.not-such.fix")),
            Ok(m) if !m.is_finite() => fault!(self.faults, path, "fault.no-number"),
            Ok(m) if m < least_m || m > most_m => {
                let distance = feet_and_metres(m);
                let what = if m <= 0.0 && least_m >= 0.0 {
                    say!("fault.length.above-0", distance)
                } else {
                    say!("fault.length.out", distance)
                };
                let (low, high) = (feet_and_metres(least_m), feet_and_metres(most_m));
                self.faults
                    .add(path, what, say!("fault.length.out.fix", low, high));
            }
            Ok(m) => {
                if matches!(written, Length::Number(n) if *n != 0.0) {
                    self.bare.push((path.to_owned(), m));
                }
                return Some(m);
            }
        }
        None
    }

    /// A point, meters from the south-west corner.
    pub(crate) fn position(&mut self, written: &Position, path: &str) -> Option<Point> {
        let x = self.length(&written.0[0], &format!("{path}[0]"), -5000.0, 5000.0);
        let y = self.length(&written.0[1], &format!("{path}[1]"), -5000.0, 5000.0);
        Some(Point::new(x?, y?))
    }

    /// A rectangle from two opposite corners in any order; it must have an area.
    pub(crate) fn rect(&mut self, from: &Position, to: &Position, path: &str) -> Option<Rect> {
        let a = self.position(from, &member(path, "from"));
        let b = self.position(to, &member(path, "to"));
        let (a, b) = (a?, b?);
        let rect = Rect::new(a.x.min(b.x), a.y.min(b.y), a.x.max(b.x), a.y.max(b.y));
        if rect.width() < 0.01 || rect.height() < 0.01 {
            fault!(self.faults, path, "fault.no-area");
            return None;
        }
        Some(rect)
    }

    /// A direction, radians clockwise from north in \[0, 2π).
    pub(crate) fn direction(&mut self, written: &Direction, path: &str) -> Option<f64> {
        match written {
            Direction::Degrees(d) if (0.0..=360.0).contains(d) => {
                Some((d % 360.0) * RADIANS_PER_DEGREE)
            }
            Direction::Degrees(d) => {
                fault!(self.faults, path, "fault.no-direction", n = d);
                None
            }
            Direction::Word(word) => {
                let side = wind::compass(word);
                if side.is_none() {
                    self.faults.unknown(path, "side", word, wind::SIDES);
                }
                side.map(|sixteenths| f64::from(sixteenths) * 22.5 * RADIANS_PER_DEGREE)
            }
        }
    }

    /// A name that must not be empty, too long or used before.
    pub(crate) fn name(&mut self, name: &str, path: &str, seen: &mut BTreeSet<String>) {
        if name.trim().is_empty() {
            fault!(self.faults, path, "fault.name.empty");
        } else if name.chars().count() > 80 || name.chars().any(char::is_control) {
            fault!(self.faults, path, "fault.name.long");
        } else if !seen.insert(name.trim().to_lowercase()) {
            fault!(self.faults, path, "fault.name.twice", name);
        }
    }
}
