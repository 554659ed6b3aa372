//! The show of one summer: true paths on a sheet, with a clock of their own. Flights run faster than life, waits and the
//! time out of sight are cut short, and the insects set off one after the other, in the order in which they came.

use crate::count::one_summer::{OneSummer, Track, What};
use crate::figure::map::View;
use crate::geometry::Point;
use serde::Serialize;

/// Flights are shown so many times faster.
const FASTER: f64 = 6.0;
/// Speed of a hop that takes no time in the model, metres per second.
const HOP_M_PER_S: f64 = 2.0;
/// Longest wait or meal on screen, seconds.
const LONGEST_WAIT_S: f64 = 2.5;
/// Time on screen for a stretch out of sight.
const OUT_OF_SIGHT_S: f64 = 0.6;
/// How long a mark for the end of a life stays.
const LAST_S: f64 = 1.5;
/// Longest time of one insect on screen; what comes later is left out.
const LONGEST_S: f64 = 40.0;
/// Time between the starts of two insects.
const STAGGER_S: f64 = 0.5;

/// The whole show.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Show {
    /// Length, seconds.
    pub length: f64,
    /// Insects.
    pub insects: Vec<Actor>,
}

/// One insect on both maps.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Actor {
    /// Path without the trap and with it.
    pub sides: [Part; 2],
}

/// Where and when it is seen, and what happens.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// Stretches: points \[seconds of the show, x, y\] in half pixels of the sheet.
    pub pieces: Vec<Vec<[f64; 3]>>,
    /// Seconds of the show, what, hours since the first day began.
    pub events: Vec<(f64, What, f64)>,
}

/// Counts at the end of the show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Landings on plants.
    pub landed: usize,
    /// Answers to the lure.
    pub smelled: usize,
    /// Caught.
    pub caught: usize,
    /// Picked by hand or killed.
    pub taken: usize,
}

impl Counts {
    /// A count by the name that pages use: "smelled", "meals", "caught" or "taken".
    pub fn of(&self, kind: &str) -> usize {
        match kind {
            "smelled" => self.smelled,
            "meals" => self.landed,
            "caught" => self.caught,
            _ => self.taken,
        }
    }
}

impl Show {
    /// The show of the first `most` insects on two maps.
    pub fn new(one: &OneSummer, views: &[View; 2], most: usize) -> Show {
        let insects: Vec<Actor> = one
            .insects
            .iter()
            .take(most)
            .enumerate()
            .map(|(i, twice)| {
                let start = i as f64 * STAGGER_S;
                Actor {
                    sides: [
                        part(&twice.without, &views[0], start),
                        part(twice.with(), &views[1], start),
                    ],
                }
            })
            .collect();
        let last = insects
            .iter()
            .flat_map(|a| &a.sides)
            .flat_map(|p| {
                let points = p.pieces.iter().flatten().map(|q| q[0]);
                points.chain(p.events.iter().map(|e| e.0 + LAST_S))
            })
            .fold(0.0, f64::max);
        Show {
            length: tenth(last + 1.0),
            insects,
        }
    }

    /// Whether any of these happens on either map.
    pub fn holds(&self, any: &[What]) -> bool {
        let parts = self.insects.iter().flat_map(|a| &a.sides);
        let mut events = parts.flat_map(|part| &part.events);
        events.any(|(_, what, _)| any.contains(what))
    }

    /// What has happened on a map by the end.
    pub fn counts(&self, side: usize) -> Counts {
        let mut counts = Counts::default();
        for (_, what, _) in self.insects.iter().flat_map(|a| &a.sides[side].events) {
            match what {
                What::Landed => counts.landed += 1,
                What::Smelled => counts.smelled += 1,
                What::Caught => counts.caught += 1,
                What::Taken => counts.taken += 1,
                _ => {}
            }
        }
        counts
    }
}

impl Part {
    /// Where it is at a moment of the show; `None` when out of sight. The flag says that it sits still.
    pub fn at(&self, t: f64) -> Option<((f64, f64), bool)> {
        for piece in &self.pieces {
            let (first, last) = (piece.first()?, piece.last()?);
            if t < first[0] || t > last[0] {
                continue;
            }
            let next = piece.iter().position(|p| p[0] >= t)?;
            if next == 0 {
                return Some(((first[1], first[2]), false));
            }
            let (a, b) = (piece[next - 1], piece[next]);
            let share = if b[0] > a[0] {
                (t - a[0]) / (b[0] - a[0])
            } else {
                1.0
            };
            let at = |k: usize| a[k] + (b[k] - a[k]) * share;
            return Some(((at(1), at(2)), a[1] == b[1] && a[2] == b[2]));
        }
        None
    }

    /// Whether it sits on a plant at a moment: after a landing and before the next flight.
    pub fn eats(&self, t: f64) -> bool {
        self.events
            .iter()
            .take_while(|e| e.0 <= t)
            .fold(false, |eats, (_, what, _)| match what {
                What::Landed => true,
                What::LeftPlant | What::Caught | What::Taken | What::Left | What::Gone => false,
                What::Smelled | What::GaveUp => eats,
            })
    }
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// Maps the time of the summer to the time of the show, piece by piece.
fn part(track: &Track, view: &View, start: f64) -> Part {
    let mut pieces: Vec<Vec<[f64; 3]>> = Vec::new();
    // Corners of the map from summer time to show time.
    let mut clock: Vec<(f64, f64)> = Vec::new();
    let mut now = start;
    'all: for (k, piece) in track.pieces.iter().enumerate() {
        if k > 0 {
            now += OUT_OF_SIGHT_S;
        }
        let mut shown: Vec<[f64; 3]> = Vec::new();
        let mut before: Option<[f64; 3]> = None;
        for point in piece {
            if let Some(before) = before {
                let still = before[1] == point[1] && before[2] == point[2];
                let real = (point[0] - before[0]).max(0.0);
                // A hop onto a leaf takes no time in the model; on screen it flies there.
                let (dx, dy) = (point[1] - before[1], point[2] - before[2]);
                let hop = (dx * dx + dy * dy).sqrt() / HOP_M_PER_S;
                now += if still {
                    (real / FASTER).min(LONGEST_WAIT_S)
                } else {
                    (real.max(hop) / FASTER).clamp(0.02, LONGEST_WAIT_S)
                };
            }
            clock.push((point[0], now));
            let (x, y) = view.at(Point::new(point[1], point[2]));
            shown.push([hundredth(now), x.round(), y.round()]);
            before = Some(*point);
            if now - start > LONGEST_S {
                pieces.push(shown);
                break 'all;
            }
        }
        pieces.push(shown);
    }
    let end = clock.last().copied().unwrap_or((0.0, start));
    let cut = now - start > LONGEST_S;
    let events = track
        .events
        .iter()
        .filter(|e| !cut || e.t_s <= end.0)
        .map(|e| {
            (
                hundredth(when(&clock, e.t_s, start)),
                e.what,
                // Rounded down, so that the last minutes of a day stay in it.
                (e.t_s / 360.0).floor() / 10.0,
            )
        })
        .collect();
    Part { pieces, events }
}

/// Show time of a moment of the summer; of several points at one moment, the last.
fn when(clock: &[(f64, f64)], t_s: f64, start: f64) -> f64 {
    let Some(i) = clock.iter().rposition(|(t, _)| *t <= t_s) else {
        return clock.first().map_or(start, |(_, now)| *now);
    };
    let (t0, s0) = clock[i];
    match clock.get(i + 1) {
        Some(&(t1, s1)) if t1 > t0 => s0 + (s1 - s0) * (t_s - t0) / (t1 - t0),
        _ => s0,
    }
}
