//! Exclusion net and row cover: arrivals pass with a leak share, and what is inside stays inside.

use crate::control::care::Care;
use crate::control::effort::{Effort, Planted, plus, times};
use crate::control::{Draw, Numbers, Site, Treatment, number};
use crate::say::say;

/// A cover over some crops.
#[derive(Clone, Debug, PartialEq)]
pub struct Cover {
    /// Hole of the mesh, mm; 0 for cloth without holes.
    pub mesh_mm: f64,
    /// First day under cover, from 0.
    pub from_day: u32,
    /// First day no longer under cover.
    pub to_day: u32,
    /// Days on which it is open for bees: first, and first no longer.
    pub open: Option<(u32, u32)>,
}

impl Cover {
    /// Whether the cover is on.
    pub fn is_on(&self, day: u32) -> bool {
        let open = self.open.is_some_and(|(from, to)| day >= from && day < to);
        day >= self.from_day && day < self.to_day && !open
    }

    /// Whether it is opened for bees.
    pub fn open_at_bloom(&self) -> bool {
        self.open.is_some()
    }

    /// Share of arrivals that gets in: all when the hole is wider than the body, the leak otherwise.
    pub fn passes(&self, leak: f64, body_width_mm: f64) -> f64 {
        if self.mesh_mm > body_width_mm {
            1.0
        } else {
            leak
        }
    }
}

impl Treatment for Cover {
    /// An insect about to land gets in with the share that passes; one that was inside before the cover gets out with
    /// the same share, and one that crept in by a gap leaves by it.
    fn act(&self, crops: &[usize], draw: &Draw, site: &Site, care: &mut Care) {
        let passes = self.passes(number(draw, "leak"), site.body_width_mm);
        if passes >= 1.0 {
            return;
        }
        let n = site.crop_of.len();
        for plant in site.plants_of(crops) {
            for day in (0..site.days).filter(|d| self.is_on(*d)) {
                care.scale_acceptance(n, plant, day, passes);
                care.hold_back(n, plant, day, 1.0 - passes);
            }
        }
    }

    fn effort(&self, crops: &[usize], number: Numbers, planted: &Planted) -> Effort {
        let ground = Planted::total(crops, |c| planted.ground_m2[c]);
        let weeks = f64::from(self.to_day - self.from_day) / 7.0;
        // Opening for bees and closing again costs the spreading twice.
        let spreads = if self.open.is_some() { 2.0 } else { 1.0 };
        Effort {
            dollars: times(number("dollars_per_m2"), ground),
            minutes: plus(
                times(number("setup_min_per_m2"), ground * spreads),
                times(number("check_min_a_week"), weeks),
            ),
        }
    }

    fn describe(&self) -> String {
        let mesh = if self.mesh_mm == 0.0 {
            say!("method.cloth")
        } else {
            say!("method.mesh", width = self.mesh_mm)
        };
        let (start, end) = (self.from_day + 1, self.to_day);
        match self.open {
            None => say!("method.cover", mesh, start, end),
            Some((from, to)) => {
                say!("method.cover.open", mesh, start, end, from = from + 1, to)
            }
        }
    }
}
