//! A trap crop: plants that draw insects away from the others, and feed them unless they are cleared.

use crate::control::care::{Care, Deed};
use crate::control::effort::{Effort, Planted, plus, times};
use crate::control::times::{Kind, add, write};
use crate::control::{Draw, Numbers, Site, Treatment, number};
use crate::say::{counted, say};

/// Plants a crop that the scenario keeps for this purpose.
#[derive(Clone, Debug, PartialEq)]
pub struct TrapCrop {
    /// Cleared every so many days; never when absent.
    pub clear_every_d: Option<u32>,
    /// Time of day of clearing, hours.
    pub hour: f64,
}

impl TrapCrop {
    fn clearings(&self, days: u32) -> Vec<u32> {
        self.clear_every_d
            .map(|every| (0..days).step_by(every.max(1) as usize).collect())
            .unwrap_or_default()
    }
}

impl Treatment for TrapCrop {
    fn act(&self, crops: &[usize], draw: &Draw, site: &Site, care: &mut Care) {
        for plant in site.plants_of(crops) {
            care.plant(plant);
            let heads = (number(draw, "prefer_crop"), number(draw, "sees_crop_m"));
            care.prefer_crop(site.crop_of.len(), plant, heads);
        }
        let what = (Kind::Clearing, Deed::Remove, number(draw, "cleared"));
        for day in self.clearings(site.days) {
            add(site, care, (day, self.hour), what, site.mask(crops));
        }
    }

    fn effort(&self, crops: &[usize], number: Numbers, planted: &Planted) -> Effort {
        let plants = planted.plants(crops);
        let clearings = self.clearings(planted.days).len() as f64;
        Effort {
            dollars: times(number("dollars_per_plant"), plants),
            minutes: plus(
                times(number("minutes_to_plant"), plants),
                times(number("minutes_per_clearing"), plants * clearings),
            ),
        }
    }

    fn describe(&self) -> String {
        match self.clear_every_d {
            None => say!("method.trap-crop.never"),
            Some(n) => {
                let key = counted("method.trap-crop", u64::from(n));
                say!(&key, n, hour = write(self.hour))
            }
        }
    }
}
