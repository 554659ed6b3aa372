//! Hosing with water: a share of the insects on the plants is washed off, and a few of those die.

use crate::control::care::{Care, Deed};
use crate::control::effort::{Effort, Planted, times};
use crate::control::times::{Kind, add_weekly, days_on, listed};
use crate::control::{Draw, Numbers, Site, Treatment, number};
use crate::say::{counted, say};

/// Hosing of some crops.
#[derive(Clone, Debug, PartialEq)]
pub struct Water {
    /// Times of day, hours.
    pub hours: Vec<f64>,
    /// Days a week, 1 to 7.
    pub days_a_week: u32,
}

impl Treatment for Water {
    fn act(&self, crops: &[usize], draw: &Draw, site: &Site, care: &mut Care) {
        let killed = number(draw, "killed");
        let what = (
            Kind::Water,
            Deed::DriveOff { killed },
            number(draw, "dislodged"),
        );
        let when = (self.days_a_week, self.hours.as_slice());
        add_weekly(site, care, when, what, &site.mask(crops));
    }

    fn effort(&self, crops: &[usize], number: Numbers, planted: &Planted) -> Effort {
        let visits = f64::from(days_on(planted.days, self.days_a_week)) * self.hours.len() as f64;
        Effort {
            dollars: number("dollars_a_season"),
            minutes: times(number("minutes_per_plant"), visits * planted.plants(crops)),
        }
    }

    fn describe(&self) -> String {
        let (hours, n) = (listed(&self.hours), self.days_a_week);
        say!(&counted("method.water", u64::from(n)), hours, n)
    }
}
