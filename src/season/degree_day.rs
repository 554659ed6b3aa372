//! Degree-days of a day from its lowest and highest temperature: every common method, in closed form.
//!
//! Notation of the formulas: mean T̄ = (Tmax+Tmin)/2, half range W = (Tmax−Tmin)/2, lower threshold TL, upper TU.

use crate::say::{say, voice};
use crate::weather::InputError;
use crate::weather::temperature::{DegreeDays, Scale, Temperature};
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, PI};

/// How the temperature between the two extremes of a day is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Mean of the extremes less the lower threshold, never below 0.
    Average,
    /// Both extremes are first clamped to the thresholds, then averaged.
    Substitution,
    /// The four-case rule of the Irish weather service; it has no upper threshold.
    FourCase,
    /// Straight lines up and down, the same minimum on both sides.
    Triangle,
    /// One sine wave, the same minimum on both sides.
    Sine,
    /// Straight lines, with the next day's minimum for the second half.
    DoubleTriangle,
    /// Sine waves, with the next day's minimum for the second half.
    DoubleSine,
}

impl Method {
    /// All methods with the names used in files and commands.
    pub const ALL: [(&'static str, Method); 7] = [
        ("average", Method::Average),
        ("substitution", Method::Substitution),
        ("four-case", Method::FourCase),
        ("triangle", Method::Triangle),
        ("sine", Method::Sine),
        ("double-triangle", Method::DoubleTriangle),
        ("double-sine", Method::DoubleSine),
    ];

    /// Its name in files and commands.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, m)| *m == self)
            .map_or("", |(name, _)| name)
    }

    /// Its name in a sentence.
    pub fn words(self) -> &'static str {
        voice().get(match self {
            Method::Average => "degree-day.average",
            Method::Substitution => "degree-day.substitution",
            Method::FourCase => "degree-day.four-case",
            Method::Triangle => "degree-day.triangle",
            Method::Sine => "degree-day.sine",
            Method::DoubleTriangle => "degree-day.double-triangle",
            Method::DoubleSine => "degree-day.double-sine",
        })
    }

    /// The publication that the method comes from.
    pub fn source(self) -> &'static str {
        voice().get(match self {
            Method::Average | Method::Substitution => "detail.degree-day.source.average",
            Method::FourCase => "detail.degree-day.source.four-case",
            Method::Triangle => "detail.degree-day.source.triangle",
            Method::Sine => "detail.degree-day.source.sine",
            Method::DoubleTriangle => "detail.degree-day.source.double-triangle",
            Method::DoubleSine => "detail.degree-day.source.double-sine",
        })
    }
}

/// What happens above the upper threshold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cutoff {
    /// No upper threshold.
    None,
    /// Development goes on at the rate of the upper threshold.
    Horizontal,
    /// The rate falls one for one above the upper threshold.
    Intermediate,
    /// Development stops above the upper threshold.
    Vertical,
}

impl Cutoff {
    /// All cutoffs with the names used in files and commands.
    pub const ALL: [(&'static str, Cutoff); 4] = [
        ("none", Cutoff::None),
        ("horizontal", Cutoff::Horizontal),
        ("intermediate", Cutoff::Intermediate),
        ("vertical", Cutoff::Vertical),
    ];

    /// Its name in files and commands.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, c)| *c == self)
            .map_or("", |(name, _)| name)
    }
}

/// A checked rule for turning a day's extremes into degree-days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    method: Method,
    lower: Temperature,
    upper: Option<Temperature>,
    cutoff: Cutoff,
}

impl Rule {
    /// A rule, or what is wrong with it.
    ///
    /// # Errors
    /// When the upper threshold is not above the lower, when a cutoff has no upper threshold or the reverse, or when the
    /// method cannot be joined with the cutoff: the four-case rule has no upper threshold, and substitution knows only
    /// the horizontal cutoff.
    pub fn new(
        method: Method,
        lower: Temperature,
        upper: Option<Temperature>,
        cutoff: Cutoff,
    ) -> Result<Self, InputError> {
        let refuse = |key: &str| Err(InputError::question(say!(key)));
        match (upper, cutoff) {
            (None, Cutoff::None) => {}
            (None, _) => {
                return refuse("degree-day.needs-upper");
            }
            (Some(_), Cutoff::None) => {
                return refuse("degree-day.needs-cutoff");
            }
            (Some(upper), _) if upper <= lower => {
                return refuse("degree-day.upper-below");
            }
            _ => {}
        }
        if method == Method::FourCase && cutoff != Cutoff::None {
            return refuse("degree-day.four-case-upper");
        }
        if method == Method::Substitution && !matches!(cutoff, Cutoff::None | Cutoff::Horizontal) {
            return refuse("degree-day.substitution-cutoff");
        }
        Ok(Self {
            method,
            lower,
            upper,
            cutoff,
        })
    }

    /// The method.
    pub fn method(&self) -> Method {
        self.method
    }

    /// The lower threshold.
    pub fn lower(&self) -> Temperature {
        self.lower
    }

    /// The upper threshold.
    pub fn upper(&self) -> Option<Temperature> {
        self.upper
    }

    /// The cutoff.
    pub fn cutoff(&self) -> Cutoff {
        self.cutoff
    }

    /// One line that names method, thresholds and cutoff, for example `single sine, 50-88 F (10.0-31.1 C), horizontal
    /// cutoff`.
    pub fn words(&self) -> String {
        let both = |t: Temperature| {
            (
                format!("{:.1}", t.f()).replace(".0", ""),
                format!("{:.1}", t.c()),
            )
        };
        let (low_f, low_c) = both(self.lower);
        let method = self.method.words();
        let (high_f, high_c) = self.upper.map(both).unwrap_or_default();
        let key = match self.cutoff {
            Cutoff::None => {
                return say!("detail.degree-day.base", method, low_f, low_c);
            }
            Cutoff::Horizontal => "detail.degree-day.horizontal",
            Cutoff::Intermediate => "detail.degree-day.intermediate",
            Cutoff::Vertical => "detail.degree-day.vertical",
        };
        say!(key, method, low_f, low_c, high_f, high_c)
    }

    /// A short tag for tables, for example `sine 50/88 F horizontal`.
    pub fn tag(&self, scale: Scale) -> String {
        let short = |t: Temperature| {
            let text = format!("{:.1}", t.on(scale));
            text.strip_suffix(".0").map_or(text.clone(), str::to_string)
        };
        let upper = self.upper.map_or("none".to_string(), short);
        format!(
            "{} {}/{upper} {} {}",
            self.method.name(),
            short(self.lower),
            scale.letter(),
            self.cutoff.name()
        )
    }

    /// Degree-days of one day.
    ///
    /// Shape: `tmin` at most `tmax`; `next_tmin` is used by the double methods only and falls back to `tmin` on the last
    /// day of a record. Never below 0: under the intermediate cutoff a very hot day would count below 0, and counts as 0.
    pub fn of_day(
        &self,
        tmin: Temperature,
        tmax: Temperature,
        next_tmin: Option<Temperature>,
    ) -> DegreeDays {
        let (low, high) = (tmin.c(), tmax.c());
        let degrees = match self.method {
            Method::DoubleTriangle | Method::DoubleSine => {
                let second = next_tmin.map_or(low, Temperature::c);
                0.5 * (self.cut(low, high) + self.cut(second.min(high), second.max(high)))
            }
            Method::Substitution => {
                let base = self.lower.c();
                let top = self.upper.map_or(f64::INFINITY, Temperature::c);
                0.5 * (low.max(base).min(top) + high.max(base).min(top)) - base
            }
            _ => self.cut(low, high),
        };
        DegreeDays::from_c(degrees.max(0.0))
    }

    /// Degrees of a day with the cutoff: D(TL), less what the cutoff takes away.
    fn cut(&self, low: f64, high: f64) -> f64 {
        let base = self.lower.c();
        let Some(top) = self.upper.map(Temperature::c) else {
            return self.above(base, low, high);
        };
        let (all, hot) = (self.above(base, low, high), self.above(top, low, high));
        match self.cutoff {
            Cutoff::None => all,
            Cutoff::Horizontal => all - hot,
            Cutoff::Intermediate => all - 2.0 * hot,
            Cutoff::Vertical if low >= top => 0.0,
            Cutoff::Vertical => all - hot - self.share_above(top, low, high) * (top - base),
        }
    }

    /// Mean excess of the day's curve over `base`.
    fn above(&self, base: f64, low: f64, high: f64) -> f64 {
        let mean = 0.5 * (low + high);
        if self.method == Method::Average {
            return (mean - base).max(0.0);
        }
        if low >= base {
            return mean - base;
        }
        if high <= base {
            return 0.0;
        }
        let half_range = 0.5 * (high - low);
        match self.method {
            Method::FourCase if mean > base => 0.5 * (high - base) - 0.25 * (base - low),
            Method::FourCase => 0.25 * (high - base),
            Method::Sine | Method::DoubleSine => {
                let angle = libm::asin((base - mean) / half_range);
                ((mean - base) * (FRAC_PI_2 - angle) + half_range * libm::cos(angle)) / PI
            }
            _ => (high - base) * (high - base) / (2.0 * (high - low)),
        }
    }

    /// Share of the day for which the curve lies above `top`.
    fn share_above(&self, top: f64, low: f64, high: f64) -> f64 {
        if low >= top {
            return 1.0;
        }
        if high <= top {
            return 0.0;
        }
        let mean = 0.5 * (low + high);
        match self.method {
            Method::Average => f64::from(u8::from(mean > top)),
            Method::Sine | Method::DoubleSine => {
                (FRAC_PI_2 - libm::asin((top - mean) / (0.5 * (high - low)))) / PI
            }
            _ => (high - top) / (high - low),
        }
    }
}
