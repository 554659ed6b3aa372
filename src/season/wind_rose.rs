//! A wind rose from hourly wind: shares by the direction the wind comes *from*, calm hours apart.

use crate::scenario::{Wind, WindSector};
use jiff::civil::Date;
use serde::Serialize;

/// Which hours enter the rose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct WindFilter {
    /// First and last month, both included; may run over the new year.
    pub months: [u8; 2],
    /// First and last hour of the local clock, both included.
    pub hours: [u8; 2],
    /// Year, or all.
    pub year: Option<i16>,
}

impl Default for WindFilter {
    /// June to August, 9:00 to 18:00: the hours of a summer day.
    fn default() -> Self {
        Self {
            months: [6, 8],
            hours: [9, 18],
            year: None,
        }
    }
}

impl WindFilter {
    /// Whether an hour is wanted.
    pub fn holds(&self, date: Date, hour: u8) -> bool {
        within(self.months, date.month().unsigned_abs())
            && within(self.hours, hour)
            && self.year.is_none_or(|y| y == date.year())
    }
}

fn within([first, last]: [u8; 2], value: u8) -> bool {
    if first <= last {
        (first..=last).contains(&value)
    } else {
        value >= first || value <= last
    }
}

/// Number of sectors of the rose.
pub const SECTORS: usize = 16;

/// Names of the sectors, clockwise from north.
pub const SECTOR_NAMES: [&str; SECTORS] = [
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW",
    "NNW",
];

/// One sector.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sector {
    /// Compass name.
    pub name: &'static str,
    /// Centre, degrees clockwise from north, where the wind comes from.
    pub centre_deg: f64,
    /// Hours.
    pub hours: u64,
    /// Share of all hours with a speed.
    pub share: f64,
    /// Mean speed of its hours, metres per second; `None` without hours.
    pub mean_speed_m_per_s: Option<f64>,
}

/// The rose.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WindRose {
    /// Which hours were taken.
    pub filter: WindFilter,
    /// Rows in those hours.
    pub rows: u64,
    /// Rows without a speed.
    pub without_speed: u64,
    /// Hours with a speed: calm, variable and directional.
    pub valid: u64,
    /// Hours with speed 0.
    pub calm: u64,
    /// Hours with wind but no direction.
    pub variable: u64,
    /// Hours with a direction.
    pub directional: u64,
    /// Share of calm hours among the valid.
    pub calm_share: f64,
    /// Share of variable hours among the valid.
    pub variable_share: f64,
    /// Mean speed of the variable hours, metres per second.
    pub variable_mean_speed_m_per_s: Option<f64>,
    /// Mean speed of all valid hours, metres per second.
    pub mean_speed_m_per_s: f64,
    /// Mean speed of the hours with a direction, metres per second.
    pub directional_mean_speed_m_per_s: f64,
    /// The sectors, clockwise from north.
    pub sectors: Vec<Sector>,
    /// Direction of the mean of unit vectors, degrees from north, where the wind comes from; `None` without hours.
    pub mean_direction_deg: Option<f64>,
    /// Length of that mean vector, 0 to 1.
    pub mean_vector_length: f64,
    /// Direction of the speed-weighted mean, degrees.
    pub weighted_direction_deg: Option<f64>,
    /// Length of the speed-weighted mean over the directional hours, metres per second.
    pub resultant_m_per_s: f64,
    /// The same with calm hours counted as zero vectors.
    pub resultant_with_calm_m_per_s: f64,
    /// Length of the vector sum over the sum of the speeds, 0 to 1.
    pub steadiness: f64,
}

/// Sums while the rows pass by.
#[derive(Clone, Debug)]
pub struct WindTally {
    filter: WindFilter,
    rows: u64,
    without_speed: u64,
    calm: u64,
    variable: u64,
    variable_speed: f64,
    hours: [u64; SECTORS],
    speed: [f64; SECTORS],
    unit: [f64; 2],
    weighted: [f64; 2],
}

impl WindTally {
    /// An empty tally.
    pub fn new(filter: WindFilter) -> Self {
        Self {
            filter,
            rows: 0,
            without_speed: 0,
            calm: 0,
            variable: 0,
            variable_speed: 0.0,
            hours: [0; SECTORS],
            speed: [0.0; SECTORS],
            unit: [0.0; 2],
            weighted: [0.0; 2],
        }
    }

    /// Takes one hour: each falls in one class, calm (speed 0), variable (wind, no direction) or directional.
    ///
    /// Units: metres per second; degrees clockwise from north, where the wind comes from.
    pub fn take(&mut self, date: Date, hour: u8, speed: Option<f64>, direction_deg: Option<f64>) {
        if !self.filter.holds(date, hour) {
            return;
        }
        self.rows += 1;
        let Some(speed) = speed else {
            self.without_speed += 1;
            return;
        };
        if speed == 0.0 {
            self.calm += 1;
            return;
        }
        let Some(degrees) = direction_deg else {
            self.variable += 1;
            self.variable_speed += speed;
            return;
        };
        let sector = sector_of(degrees);
        self.hours[sector] += 1;
        self.speed[sector] += speed;
        let angle = degrees * crate::units::RADIANS_PER_DEGREE;
        let (east, north) = (libm::sin(angle), libm::cos(angle));
        self.unit = [self.unit[0] + east, self.unit[1] + north];
        self.weighted = [
            self.weighted[0] + east * speed,
            self.weighted[1] + north * speed,
        ];
    }

    /// The rose.
    pub fn finish(self) -> WindRose {
        let directional: u64 = self.hours.iter().sum();
        let valid = directional + self.calm + self.variable;
        let share = |n: u64| {
            if valid == 0 {
                0.0
            } else {
                n as f64 / valid as f64
            }
        };
        let mean = |sum: f64, n: u64| if n == 0 { 0.0 } else { sum / n as f64 };
        let directional_speed: f64 = self.speed.iter().sum();
        let sectors = (0..SECTORS)
            .map(|i| Sector {
                name: SECTOR_NAMES[i],
                centre_deg: i as f64 * 22.5,
                hours: self.hours[i],
                share: share(self.hours[i]),
                mean_speed_m_per_s: (self.hours[i] > 0)
                    .then(|| self.speed[i] / self.hours[i] as f64),
            })
            .collect();
        let length = |v: [f64; 2]| (v[0] * v[0] + v[1] * v[1]).sqrt();
        let bearing = |v: [f64; 2]| {
            (length(v) > 1e-9).then(|| {
                (libm::atan2(v[0], v[1]) / crate::units::RADIANS_PER_DEGREE).rem_euclid(360.0)
            })
        };
        WindRose {
            filter: self.filter,
            rows: self.rows,
            without_speed: self.without_speed,
            valid,
            calm: self.calm,
            variable: self.variable,
            directional,
            calm_share: share(self.calm),
            variable_share: share(self.variable),
            variable_mean_speed_m_per_s: (self.variable > 0)
                .then(|| self.variable_speed / self.variable as f64),
            mean_speed_m_per_s: mean(directional_speed + self.variable_speed, valid),
            directional_mean_speed_m_per_s: mean(directional_speed, directional),
            sectors,
            mean_direction_deg: bearing(self.unit),
            mean_vector_length: mean(length(self.unit), directional),
            weighted_direction_deg: bearing(self.weighted),
            resultant_m_per_s: mean(length(self.weighted), directional),
            resultant_with_calm_m_per_s: mean(length(self.weighted), directional + self.calm),
            steadiness: if directional_speed > 0.0 {
                length(self.weighted) / directional_speed
            } else {
                0.0
            },
        }
    }
}

/// Index of the sector of a direction: a sector includes its lower edge and excludes its upper.
pub fn sector_of(degrees: f64) -> usize {
    let turned = (degrees + 11.25).rem_euclid(360.0);
    ((turned / 22.5) as usize).min(SECTORS - 1)
}

impl WindRose {
    /// The rose as the wind of a scenario: variable hours are spread over the sectors in proportion.
    ///
    /// Shape: shares of all hours, so that the sectors and the calm share add to 1.
    pub fn as_scenario_wind(&self, said: &str) -> Wind {
        if self.directional == 0 {
            return Wind::Still;
        }
        let spread = 1.0 + self.variable as f64 / self.directional as f64;
        let width_rad = std::f64::consts::TAU / SECTORS as f64;
        Wind::Rose {
            said: said.into(),
            sectors: self
                .sectors
                .iter()
                .filter(|s| s.hours > 0)
                .map(|s| WindSector {
                    from_rad: s.centre_deg * crate::units::RADIANS_PER_DEGREE,
                    width_rad,
                    share: s.share * spread,
                    speed_m_per_s: s.mean_speed_m_per_s.unwrap_or(0.0),
                })
                .collect(),
            calm_share: self.calm_share,
            persistence: [0.3, 0.8],
        }
    }
}
