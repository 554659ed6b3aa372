//! Fruit bagging: a share of the fruit is bagged, and few injuries pass a bag.

use crate::control::care::Care;
use crate::control::effort::{Effort, Planted, times};
use crate::control::{Draw, Numbers, Site, Treatment, number};
use crate::say::say;

/// Bags over the fruit of some crops, on before the window starts.
#[derive(Clone, Debug, PartialEq)]
pub struct Bags {
    /// Share of the fruit that is bagged.
    pub share: f64,
}

impl Treatment for Bags {
    fn act(&self, crops: &[usize], draw: &Draw, site: &Site, care: &mut Care) {
        let passes = number(draw, "passes");
        for plant in site.plants_of(crops) {
            care.bag(site.crop_of.len(), plant, self.share, passes);
        }
    }

    fn effort(&self, crops: &[usize], number: Numbers, planted: &Planted) -> Effort {
        let fruit = self.share * Planted::total(crops, |c| planted.fruit[c]);
        let [least, middle, most] = number("fruit_per_cluster");
        let [quick, usual, slow] = number("seconds_per_cluster");
        let [cheap, price, dear] = number("dollars_per_bag");
        let clusters = |per: f64| fruit / per.max(1.0);
        Effort {
            dollars: times([cheap, price, dear], fruit),
            minutes: [
                clusters(most) * quick / 60.0,
                clusters(middle) * usual / 60.0,
                clusters(least) * slow / 60.0,
            ],
        }
    }

    fn describe(&self) -> String {
        say!("method.bags", n = format!("{:.0}", 100.0 * self.share))
    }
}

/// Damage of a plant when a share of its fruit is bagged: `dose` is the mean number of injuries of a bare fruit.
///
/// Shape: 1 − (1−share)·exp(−dose) − share·exp(−passes·dose).
pub fn damage(dose: f64, (share, passes): (f64, f64)) -> f64 {
    let bare = -libm::expm1(-dose);
    if share == 0.0 {
        return bare;
    }
    (1.0 - share) * bare - share * libm::expm1(-passes * dose)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Leisso et al. 2021: 34 of 100 apples infested without bags, 10 of 100 in plastic bags.
    #[test]
    fn bags_that_pass_a_quarter_of_the_injuries_turn_34_into_10_of_100() {
        let dose = -libm::log(1.0 - 0.34);
        assert!((damage(dose, (1.0, 0.25)) - 0.10).abs() < 0.005);
        assert!((damage(dose, (0.0, 0.25)) - 0.34).abs() < 1e-12);
        let half = damage(dose, (0.5, 0.25));
        assert!((half - 0.22).abs() < 0.005, "{half}");
    }
}
