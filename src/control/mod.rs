//! What a gardener does besides traps: one file a method with its parameters, its checks and its effect.
//!
//! A method turns its drawn numbers into [`care::Care`], plain data that the engine reads. It draws nothing itself and
//! knows no loop. To add one: its file, its variant in [`Action`], and its numbers in `catalogue/method/`.

pub mod bags;
pub mod care;
pub mod cover;
pub mod effort;
pub mod hands;
pub mod males;
pub mod repellent;
pub mod times;
pub mod trap_crop;
pub mod water;

use crate::catalogue::{MethodKind, Sourced};
use care::Care;
pub use effort::{Effort, Planted};
use std::collections::BTreeMap;

/// A method of a plan, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Method {
    /// Catalogue entry with the user's changes.
    pub kind: MethodKind,
    /// Crops it acts on, by index in the scenario.
    pub crops: Vec<usize>,
    /// What is done.
    pub action: Action,
}

/// The methods, one line each.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Exclusion net or row cover.
    Cover(cover::Cover),
    /// Bags on the fruit.
    Bags(bags::Bags),
    /// Picking by hand.
    Hands(hands::Hands),
    /// A spray that keeps insects off.
    Repellent(repellent::Repellent),
    /// Hosing with water.
    Water(water::Water),
    /// A crop that draws insects away from others.
    TrapCrop(trap_crop::TrapCrop),
}

/// One summer's numbers of a method, by name, in inside units.
pub type Draw = BTreeMap<String, f64>;

/// What a method must know about the summer.
#[derive(Clone, Copy, Debug)]
pub struct Site<'a> {
    /// Days of the window.
    pub days: u32,
    /// Movement time in a day, seconds.
    pub day_s: f64,
    /// Local hour at which movement starts.
    pub start_hour: f64,
    /// Drawn least width of the pest's body, mm.
    pub body_width_mm: f64,
    /// Crop of each plant.
    pub crop_of: &'a [usize],
}

impl Site<'_> {
    fn plants_of(&self, crops: &[usize]) -> Vec<usize> {
        (0..self.crop_of.len())
            .filter(|i| crops.contains(&self.crop_of[*i]))
            .collect()
    }

    fn mask(&self, crops: &[usize]) -> Vec<bool> {
        self.crop_of.iter().map(|c| crops.contains(c)).collect()
    }
}

impl Method {
    /// One summer's numbers: `u(i)` is the quantile of number `i`, in the order of the names.
    pub fn draw(&self, mut u: impl FnMut(usize) -> f64) -> Draw {
        self.kind
            .values
            .iter()
            .enumerate()
            .map(|(i, (key, number))| (key.clone(), number.at(u(i))))
            .collect()
    }

    /// Puts the effect of this method in place.
    pub fn act(&self, draw: &Draw, site: &Site, care: &mut Care) {
        match &self.action {
            Action::Cover(cover) => cover.act(&self.crops, draw, site, care),
            Action::Bags(bags) => bags.act(&self.crops, draw, site, care),
            Action::Hands(hands) => hands.act(&self.crops, draw, site, care),
            Action::Repellent(spray) => spray.act(&self.crops, draw, site, care),
            Action::Water(water) => water.act(&self.crops, draw, site, care),
            Action::TrapCrop(crop) => crop.act(&self.crops, draw, site, care),
        }
    }

    /// Dollars and minutes of the whole window.
    pub fn effort(&self, planted: &Planted) -> Effort {
        let number = |key: &str| range_of(self.kind.values.get(key));
        match &self.action {
            Action::Cover(cover) => cover.effort(&self.crops, &number, planted),
            Action::Bags(bags) => bags.effort(&self.crops, &number, planted),
            Action::Hands(hands) => hands.effort(&self.crops, &number, planted),
            Action::Repellent(spray) => spray.effort(&self.crops, &number, planted),
            Action::Water(water) => water.effort(&self.crops, &number, planted),
            Action::TrapCrop(crop) => crop.effort(&self.crops, &number, planted),
        }
    }

    /// What is done, in words.
    pub fn describe(&self) -> String {
        match &self.action {
            Action::Cover(cover) => cover.describe(),
            Action::Bags(bags) => bags.describe(),
            Action::Hands(hands) => hands.describe(),
            Action::Repellent(spray) => spray.describe(),
            Action::Water(water) => water.describe(),
            Action::TrapCrop(crop) => crop.describe(),
        }
    }

    /// The flag about by-catch or pollination that goes with this use of the method.
    pub fn flag(&self) -> &str {
        match &self.action {
            Action::Cover(cover) if cover.open_at_bloom() => {
                crate::say::voice().get("method.open-at-bloom")
            }
            _ => &self.kind.flag,
        }
    }
}

/// Low end, middle and high end of a number, in inside units.
pub fn range_of(number: Option<&Sourced>) -> [f64; 3] {
    number.map_or([0.0; 3], |n| {
        let factor = crate::units::to_inside(&n.unit).unwrap_or(1.0);
        let [low, high] = n.range.unwrap_or([n.value; 2]);
        [low * factor, n.value * factor, high * factor]
    })
}

fn number(draw: &Draw, key: &str) -> f64 {
    draw.get(key).copied().unwrap_or(0.0)
}
