//! Temperatures and degree-days that know their unit: the unit stands at the door, never inside.

use crate::say::{say, voice};
use crate::units::{celsius, fahrenheit};
use serde::{Deserialize, Serialize};

/// The scale people read and write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Scale {
    /// Degrees Fahrenheit.
    F,
    /// Degrees Celsius.
    C,
}

impl Scale {
    /// One letter.
    pub fn letter(self) -> &'static str {
        match self {
            Scale::F => "F",
            Scale::C => "C",
        }
    }

    /// The unit of a sum on this scale, never to be mistaken for a temperature.
    pub fn degree_days(self) -> &'static str {
        match self {
            Scale::F => voice().get("unit.degree-days-f"),
            Scale::C => voice().get("unit.degree-days-c"),
        }
    }
}

/// A temperature. Built from either scale, read in either scale.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Temperature {
    celsius: f64,
}

impl Temperature {
    /// From degrees Celsius.
    pub fn from_c(c: f64) -> Self {
        Self { celsius: c }
    }

    /// From degrees Fahrenheit.
    pub fn from_f(f: f64) -> Self {
        Self {
            celsius: celsius(f),
        }
    }

    /// From a number on a scale known only when the program runs.
    pub fn from_scale(value: f64, scale: Scale) -> Self {
        match scale {
            Scale::F => Self::from_f(value),
            Scale::C => Self::from_c(value),
        }
    }

    /// In degrees Celsius.
    pub fn c(self) -> f64 {
        self.celsius
    }

    /// In degrees Fahrenheit.
    pub fn f(self) -> f64 {
        fahrenheit(self.celsius)
    }

    /// On a scale known only when the program runs.
    pub fn on(self, scale: Scale) -> f64 {
        match scale {
            Scale::F => self.f(),
            Scale::C => self.c(),
        }
    }

    /// The smaller of two.
    #[must_use]
    pub fn min(self, other: Self) -> Self {
        if other < self { other } else { self }
    }

    /// The larger of two.
    #[must_use]
    pub fn max(self, other: Self) -> Self {
        if other > self { other } else { self }
    }

    /// The point a share of the way from `self` to `other`.
    #[must_use]
    pub fn towards(self, other: Self, share: f64) -> Self {
        Self {
            celsius: self.celsius + (other.celsius - self.celsius) * share,
        }
    }
}

/// A sum of degrees over days. One Celsius degree-day is 1.8 Fahrenheit degree-days; there is no offset of 32.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct DegreeDays {
    celsius: f64,
}

impl DegreeDays {
    /// None.
    pub const ZERO: Self = Self { celsius: 0.0 };

    /// From Celsius degree-days.
    pub fn from_c(c: f64) -> Self {
        Self { celsius: c }
    }

    /// From Fahrenheit degree-days.
    pub fn from_f(f: f64) -> Self {
        Self {
            celsius: f * 5.0 / 9.0,
        }
    }

    /// From a number on a scale known only when the program runs.
    pub fn from_scale(value: f64, scale: Scale) -> Self {
        match scale {
            Scale::F => Self::from_f(value),
            Scale::C => Self::from_c(value),
        }
    }

    /// In Celsius degree-days.
    pub fn c(self) -> f64 {
        self.celsius
    }

    /// In Fahrenheit degree-days.
    pub fn f(self) -> f64 {
        self.celsius * 9.0 / 5.0
    }

    /// On a scale known only when the program runs.
    pub fn on(self, scale: Scale) -> f64 {
        match scale {
            Scale::F => self.f(),
            Scale::C => self.c(),
        }
    }

    /// In words that no one can take for a temperature, the asked scale first: `491 degree-days F (273 degree-days C)`.
    pub fn words(self, scale: Scale) -> String {
        let other = match scale {
            Scale::F => Scale::C,
            Scale::C => Scale::F,
        };
        let one = |scale: Scale| {
            let n = format!("{:.0}", self.on(scale));
            say!("unit.sum", n, unit = scale.degree_days())
        };
        say!("unit.both", asked = one(scale), other = one(other))
    }
}

impl std::ops::Add for DegreeDays {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            celsius: self.celsius + other.celsius,
        }
    }
}

impl std::ops::Sub for DegreeDays {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            celsius: self.celsius - other.celsius,
        }
    }
}
