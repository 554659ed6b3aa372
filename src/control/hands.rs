//! Picking by hand: at set times a share of the insects then on the plants is taken away.

use crate::control::care::{Care, Deed};
use crate::control::effort::{Effort, Planted, plus, times};
use crate::control::times::{Kind, add_weekly, days_on, listed};
use crate::control::{Draw, Numbers, Site, Treatment, number};
use crate::say::{counted, say};

/// Visits to some crops.
#[derive(Clone, Debug, PartialEq)]
pub struct Hands {
    /// Times of day, hours.
    pub hours: Vec<f64>,
    /// Days a week, 1 to 7.
    pub days_a_week: u32,
}

impl Treatment for Hands {
    fn act(&self, crops: &[usize], draw: &Draw, site: &Site, care: &mut Care) {
        let what = (Kind::Hands, Deed::Remove, number(draw, "found"));
        let when = (self.days_a_week, self.hours.as_slice());
        add_weekly(site, care, when, what, &site.mask(crops));
    }

    fn effort(&self, crops: &[usize], number: Numbers, planted: &Planted) -> Effort {
        let visits = f64::from(days_on(planted.days, self.days_a_week)) * self.hours.len() as f64;
        let each = plus(
            number("minutes_a_visit"),
            times(number("minutes_per_plant"), planted.plants(crops)),
        );
        Effort {
            dollars: number("dollars_a_season"),
            minutes: times(each, visits),
        }
    }

    fn describe(&self) -> String {
        let hours = listed(&self.hours);
        match self.days_a_week {
            7 => say!("method.hands.daily", hours),
            n => say!(&counted("method.hands", u64::from(n)), hours, n),
        }
    }
}
