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

/// What every method does: its effect on the plants of some crops, what it costs, and how it is told.
trait Treatment {
    fn act(&self, crops: &[usize], draw: &Draw, site: &Site, care: &mut Care);
    fn effort(&self, crops: &[usize], number: Numbers, planted: &Planted) -> Effort;
    fn describe(&self) -> String;
}

/// Low end, middle and high end of a number by its name.
type Numbers<'a> = &'a dyn Fn(&str) -> [f64; 3];

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
        let theirs = |i: &usize| crops.contains(&self.crop_of[*i]);
        (0..self.crop_of.len()).filter(theirs).collect()
    }

    fn mask(&self, crops: &[usize]) -> Vec<bool> {
        self.crop_of.iter().map(|c| crops.contains(c)).collect()
    }
}

impl Method {
    /// One summer's numbers: `u(i)` is the quantile of number `i`, in the order of the names.
    pub fn draw(&self, mut u: impl FnMut(usize) -> f64) -> Draw {
        let numbers = self.kind.values.iter().enumerate();
        numbers
            .map(|(i, (key, number))| (key.clone(), number.at(u(i))))
            .collect()
    }

    fn treatment(&self) -> &dyn Treatment {
        match &self.action {
            Action::Cover(cover) => cover,
            Action::Bags(bags) => bags,
            Action::Hands(hands) => hands,
            Action::Repellent(spray) => spray,
            Action::Water(water) => water,
            Action::TrapCrop(crop) => crop,
        }
    }

    /// Puts the effect of this method in place.
    pub fn act(&self, draw: &Draw, site: &Site, care: &mut Care) {
        self.treatment().act(&self.crops, draw, site, care);
    }

    /// Dollars and minutes of the whole window.
    pub fn effort(&self, planted: &Planted) -> Effort {
        let number = |key: &str| range_of(self.kind.values.get(key));
        self.treatment().effort(&self.crops, &number, planted)
    }

    /// What is done, in words.
    pub fn describe(&self) -> String {
        self.treatment().describe()
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
