//! The way to a trap, flown for many places of the trap side by side.
//!
//! An insect that answers at one moment, wherever the trap hangs, draws the same turns and lengths for all places. As long
//! as nothing happens on the way, the places differ in plain arithmetic only, and that is done for all of them at once.

use crate::engine::ground::Ground;
use crate::engine::insect::Insect;
use crate::engine::kept::Kept;
use crate::engine::lure::LureSite;
use crate::geometry::Point;

/// How far an insect has come on its way to one place without anything happening.
#[derive(Clone, Copy, Debug)]
pub struct OnTheWay {
    /// Where it is.
    pub at: Point,
    /// When.
    pub t_s: f64,
    /// Segments flown.
    pub flown: usize,
}

/// Room to work in: one entry for each place that is still flown to.
#[derive(Debug, Default)]
pub struct Together {
    which: Vec<usize>,
    x: Vec<f64>,
    y: Vec<f64>,
    t_s: Vec<f64>,
    trap_x: Vec<f64>,
    trap_y: Vec<f64>,
    next_x: Vec<f64>,
    next_y: Vec<f64>,
    next_t_s: Vec<f64>,
    clear: Vec<bool>,
}

impl Together {
    /// Flies to every place as far as surely nothing happens: no plant on the way, no arrival, no edge, no loss of the
    /// odour, no death, no end of the window.
    ///
    /// Shape: `insect` stands where it answers `trap`, `responses` answers behind it; one result for each of `places` where
    /// that trap could hang. What comes next is for [`crate::engine::flight`] to do, bit for bit as if it
    /// had flown all the way.
    pub fn fly(
        &mut self,
        ground: &Ground,
        insect: &Insect,
        kept: &mut Kept,
        (trap, responses): (&LureSite, u32),
        places: &[Point],
    ) -> Vec<OnTheWay> {
        let start = OnTheWay {
            at: insect.at,
            t_s: insect.t_s,
            flown: 0,
        };
        let mut states = vec![start; places.len()];
        let answer = kept.answer(ground, insect, responses, |n| trap.answer_tag(n));
        let stop_s = answer
            .loses_at(ground, insect.t_s)
            .min(insect.dies_s)
            .min(ground.clock.end_s());
        self.start(insect, places);
        let (pest, speed) = (&ground.pest, ground.pest.speed);
        // A hair more than rounding: nearer than this the arrival is worked out exactly.
        let arrives_m = trap.arrestment_m + 1e-6;
        for number in 0.. {
            if self.which.is_empty() {
                break;
            }
            let (s, c, length) = answer.turn(ground, number);
            let segment_m = pest.approach_segment * length;
            let n = self.which.len();
            let (x, y, t_s) = (&self.x[..n], &self.y[..n], &self.t_s[..n]);
            let (trap_x, trap_y) = (&self.trap_x[..n], &self.trap_y[..n]);
            let (next_x, next_y) = (&mut self.next_x[..n], &mut self.next_y[..n]);
            let (next_t_s, clear) = (&mut self.next_t_s[..n], &mut self.clear[..n]);
            for i in 0..n {
                let (dx, dy) = (trap_x[i] - x[i], trap_y[i] - y[i]);
                let distance = (dx * dx + dy * dy).sqrt();
                let (bx, by) = (dx / distance, dy / distance);
                let (ux, uy) = (bx * c - by * s, bx * s + by * c);
                let room = ((stop_s - t_s[i]) * speed).max(0.0);
                let s_end = segment_m.min(distance).min(room);
                next_x[i] = x[i] + ux * s_end;
                next_y[i] = y[i] + uy * s_end;
                next_t_s[i] = t_s[i] + s_end / speed;
                clear[i] = distance - s_end >= arrives_m && s_end < room;
            }
            let mut k = 0;
            while k < self.which.len() {
                let (from, to) = (
                    Point::new(self.x[k], self.y[k]),
                    Point::new(self.next_x[k], self.next_y[k]),
                );
                let on = self.clear[k]
                    && ground.arena.contains(to.x, to.y)
                    && !ground.lookup.may_enter(from.x, from.y, to.x, to.y);
                let state = &mut states[self.which[k]];
                if on {
                    (self.x[k], self.y[k]) = (to.x, to.y);
                    self.t_s[k] = self.next_t_s[k];
                    *state = OnTheWay {
                        at: to,
                        t_s: self.next_t_s[k],
                        flown: number + 1,
                    };
                    k += 1;
                } else {
                    self.drop(k);
                }
            }
        }
        states
    }

    fn start(&mut self, insect: &Insect, places: &[Point]) {
        let n = places.len();
        let fill = |list: &mut Vec<f64>, value: f64| {
            list.clear();
            list.resize(n, value);
        };
        fill(&mut self.x, insect.at.x);
        fill(&mut self.y, insect.at.y);
        fill(&mut self.t_s, insect.t_s);
        for list in [&mut self.next_x, &mut self.next_y, &mut self.next_t_s] {
            fill(list, 0.0);
        }
        self.clear.clear();
        self.clear.resize(n, false);
        self.which.clear();
        self.which.extend(0..n);
        self.trap_x.clear();
        self.trap_y.clear();
        self.trap_x.extend(places.iter().map(|p| p.x));
        self.trap_y.extend(places.iter().map(|p| p.y));
    }

    /// Flies no further to one place.
    fn drop(&mut self, k: usize) {
        self.which.swap_remove(k);
        for list in [
            &mut self.x,
            &mut self.y,
            &mut self.t_s,
            &mut self.trap_x,
            &mut self.trap_y,
            &mut self.next_x,
            &mut self.next_y,
            &mut self.next_t_s,
        ] {
            list.swap_remove(k);
        }
        self.clear.swap_remove(k);
    }
}
