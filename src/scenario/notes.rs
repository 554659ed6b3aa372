//! What is noted while a file is read, and the readers of single values that note their faults.

use super::error::{Fault, fault, known_names, nearest};
use super::file::{Direction, Length, Position};
use super::place::member;
use super::{DefaultUsed, wind};
use crate::catalogue::unmodelled;
use crate::catalogue::words::{self, Kind};
use crate::geometry::{Point, Rect};
use crate::say::{counted, say, voice};
use crate::units::{RADIANS_PER_DEGREE, feet, feet_and_metres};
use std::collections::BTreeSet;
use std::fmt::Display;
use std::ops::RangeInclusive;

/// Everything noted while a file is read.
#[derive(Default)]
pub(crate) struct Notes {
    /// Faults; their lines are filled in at the end.
    pub(crate) faults: Vec<Fault>,
    pub(crate) defaults: Vec<DefaultUsed>,
    pub(crate) warnings: Vec<String>,
    /// Lengths without a unit: where, and the number.
    bare: Vec<(String, f64)>,
}

impl Notes {
    /// Notes a fault at a JSON path.
    pub(crate) fn add(
        &mut self,
        path: impl Into<String>,
        what: impl Into<String>,
        fix: impl Into<String>,
    ) {
        self.add_near(path, what, fix, None);
    }

    /// Notes a fault with the nearest known name.
    pub(crate) fn add_near(
        &mut self,
        path: impl Into<String>,
        what: impl Into<String>,
        fix: impl Into<String>,
        suggestion: Option<String>,
    ) {
        self.faults.push(Fault {
            file: String::new(),
            path: path.into(),
            line: 0,
            what: what.into(),
            fix: fix.into(),
            suggestion,
        });
    }

    /// Notes a fault at a line of the text.
    pub(crate) fn add_at_line(&mut self, line: usize, path: &str, what: String, fix: String) {
        self.add(path, what, fix);
        if let Some(last) = self.faults.last_mut() {
            last.line = line;
        }
    }

    /// Notes a name that the catalogue does not know, with the nearest that it does. `what` it names ends the key
    /// `fault.unknown.`.
    pub(crate) fn no_such(&mut self, path: impl Into<String>, what: &str, kind: Kind, said: &str) {
        let key = format!("fault.unknown.{what}");
        let name = crate::units::shortened(said);
        if kind == Kind::Pest && unmodelled::find(said).is_some() {
            return fault!(self, path, "fault.pest.unmodelled", name);
        }
        self.add_near(
            path,
            say!(&key, name),
            known_names(kind),
            words::near(kind, said),
        );
    }

    /// Notes a name that is not in a list, with the nearest that is. `what` it names ends the key `fault.unknown.`.
    pub(crate) fn unknown(
        &mut self,
        path: impl Into<String>,
        what: &str,
        name: &str,
        known: &[&str],
    ) {
        let (key, list) = (format!("fault.unknown.{what}"), known.join(", "));
        self.add_near(
            path,
            say!(&key, name = crate::units::shortened(name)),
            say!("fault.known", list),
            nearest(name, known),
        );
    }

    /// Whether a number lies between two limits. If not, it is a fault: the text of the key, and how to mend it that of
    /// the key with `.fix`, or the limits alone.
    pub(crate) fn within<T: PartialOrd + Display + Copy>(
        &mut self,
        path: impl Into<String>,
        n: T,
        limits: RangeInclusive<T>,
        key: &str,
    ) -> bool {
        let inside = limits.contains(&n);
        if !inside {
            let fix = format!("{key}.fix");
            let fix = if voice().has(&fix) {
                &fix
            } else {
                "fault.between"
            };
            let (low, high) = (limits.start(), limits.end());
            self.add(path, say!(key, n, low, high), say!(fix, n, low, high));
        }
        inside
    }

    /// All faults with file and line, in the order of the file.
    pub(crate) fn finish(self, file: &str, line_of: impl Fn(&str) -> usize) -> Vec<Fault> {
        let mut list = self.faults;
        for fault in &mut list {
            fault.file = file.to_string();
            if fault.line == 0 {
                fault.line = line_of(&fault.path);
            }
        }
        list.sort_by(|a, b| a.line.cmp(&b.line).then_with(|| a.path.cmp(&b.path)));
        list.dedup();
        list
    }

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

    /// Notes a default in the words of a key, and why in those of the key with `.why`.
    pub(crate) fn default_said(&mut self, path: impl Into<String>, key: &str) {
        self.default_used(path, say!(key), say!(&format!("{key}.why")));
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
            Err(what) => self.add(path, what, say!("fault.not-such.fix")),
            Ok(m) if !m.is_finite() => fault!(self, path, "fault.no-number"),
            Ok(m) if m < least_m || m > most_m => {
                let distance = feet_and_metres(m);
                let nothing = m <= 0.0 && least_m >= 0.0;
                let key = ["fault.length.out", "fault.length.above-0"][usize::from(nothing)];
                let what = say!(key, distance);
                let [low, high] = [least_m, most_m].map(feet_and_metres);
                self.add(path, what, say!("fault.length.out.fix", low, high));
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
            fault!(self, path, "fault.no-area");
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
                fault!(self, path, "fault.no-direction", n = d);
                None
            }
            Direction::Word(word) => {
                let side = wind::compass(word);
                if side.is_none() {
                    self.unknown(path, "side", word, wind::SIDES);
                }
                side.map(|sixteenths| f64::from(sixteenths) * 22.5 * RADIANS_PER_DEGREE)
            }
        }
    }

    /// Reads each thing of a list that has names, which must differ from each other and from those `taken`.
    pub(crate) fn each<T, U>(
        &mut self,
        list: &[T],
        root: &str,
        taken: &[&str],
        name: fn(&T) -> &str,
        mut read: impl FnMut(&T, String, &str, &mut Notes) -> U,
    ) -> Vec<U> {
        let mut seen: BTreeSet<String> = taken.iter().map(|name| (*name).into()).collect();
        let mut out = Vec::new();
        for (i, one) in list.iter().enumerate() {
            let path = format!("{root}[{i}]");
            self.name(name(one), &member(&path, "name"), &mut seen);
            out.push(read(one, name(one).to_owned(), &path, self));
        }
        out
    }

    /// A name that must not be empty, too long or used before.
    pub(crate) fn name(&mut self, name: &str, path: &str, seen: &mut BTreeSet<String>) {
        if name.trim().is_empty() {
            fault!(self, path, "fault.name.empty");
        } else if name.chars().count() > 80 || name.chars().any(char::is_control) {
            fault!(self, path, "fault.name.long");
        } else if !seen.insert(name.trim().to_lowercase()) {
            fault!(self, path, "fault.name.twice", name);
        }
    }
}
