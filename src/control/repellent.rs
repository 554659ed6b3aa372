//! A repellent spray: fewer land for a few days, and some of those that sit there leave. Common practice, no source.

use crate::control::care::{Care, Deed};
use crate::control::effort::{Effort, Planted, times};
use crate::control::times::{Kind, add};
use crate::control::{Draw, Numbers, Site, Treatment, number};
use crate::say::{counted, say};

/// Sprays on some crops.
#[derive(Clone, Debug, PartialEq)]
pub struct Repellent {
    /// Time of day, hours.
    pub hour: f64,
    /// First day it is sprayed, from 0.
    pub from_day: u32,
    /// Sprayed every so many days.
    pub every_d: u32,
}

impl Repellent {
    fn sprays(&self, days: u32) -> impl Iterator<Item = u32> + '_ {
        (self.from_day..days).step_by(self.every_d.max(1) as usize)
    }
}

impl Treatment for Repellent {
    /// A landing on the day of a spray is still possible in the hours before it; the whole day counts as sprayed.
    fn act(&self, crops: &[usize], draw: &Draw, site: &Site, care: &mut Care) {
        let n = site.crop_of.len();
        let (keeps_off, lasts) = (number(draw, "keeps_off"), number(draw, "lasts"));
        let what = (
            Kind::Repellent,
            Deed::DriveOff { killed: 0.0 },
            number(draw, "driven_off"),
        );
        for spray in self.sprays(site.days) {
            add(site, care, (spray, self.hour), what, site.mask(crops));
        }
        for day in 0..site.days {
            let Some(last) = self.sprays(site.days).filter(|s| *s <= day).last() else {
                continue;
            };
            // A part of a day left counts for that part.
            let left = (lasts - f64::from(day - last)).clamp(0.0, 1.0);
            if left > 0.0 {
                for plant in site.plants_of(crops) {
                    care.scale_acceptance(n, plant, day, 1.0 - keeps_off * left);
                }
            }
        }
    }

    fn effort(&self, crops: &[usize], number: Numbers, planted: &Planted) -> Effort {
        let n = self.sprays(planted.days).count() as f64 * planted.plants(crops);
        Effort {
            dollars: times(number("dollars_per_plant"), n),
            minutes: times(number("minutes_per_plant"), n),
        }
    }

    fn describe(&self) -> String {
        let (n, hour) = (self.every_d, crate::control::times::write(self.hour));
        let key = counted("method.repellent", u64::from(n));
        say!(&key, hour, n, first = self.from_day + 1)
    }
}
