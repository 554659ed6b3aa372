//! The wind of one summer, hour by hour: which way a lure's plume lies.

use crate::engine::random::{Purpose, ShortStream};
use crate::scenario::{Wind, WindHour};

/// The shape of a lure's active space in one hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HourSpace {
    /// Still or unknown wind: a disc of the lure's reach.
    Disc,
    /// Wind: a near disc and a downwind sector. A point q (from the lure) lies in the wedge when
    /// `left·q >= 0` and `right·q >= 0`.
    Sector {
        /// Inward normal of the wedge's left edge.
        left: (f64, f64),
        /// Inward normal of the wedge's right edge.
        right: (f64, f64),
    },
}

impl HourSpace {
    /// The space of a wind that blows toward the unit vector (`toward_x`, `toward_y`) with a half-angle below π/2.
    pub fn sector(toward_x: f64, toward_y: f64, half_angle_rad: f64) -> HourSpace {
        let (s, c) = (libm::sin(half_angle_rad), libm::cos(half_angle_rad));
        HourSpace::Sector {
            left: (toward_x * s + toward_y * c, toward_y * s - toward_x * c),
            right: (toward_x * s - toward_y * c, toward_y * s + toward_x * c),
        }
    }
}

/// Half-angle of the plume of an hour with this wind speed, radians.
///
/// Twice the standard deviation of wind direction of the stability class that a moderate sun gives at that speed.
/// # Source
/// Standard deviations 25, 20, 15, 10 degrees for classes A to D: NOAA Air Resources Laboratory stability page;
/// classes by speed: Pasquill 1961. The factor two (about 95 of 100 directions of a normal spread) is assumed.
pub fn half_angle_rad(speed_m_per_s: f64) -> f64 {
    let sd_deg = if speed_m_per_s < 2.0 {
        25.0
    } else if speed_m_per_s < 3.0 {
        20.0
    } else if speed_m_per_s < 5.0 {
        15.0
    } else {
        10.0
    };
    2.0 * sd_deg * crate::units::RADIANS_PER_DEGREE
}

/// Active-space shapes of a summer, one for each active hour of each day.
#[derive(Clone, Debug, PartialEq)]
pub struct WindTable {
    /// Hours in a day's movement time (the last may be part of an hour).
    pub hours_per_day: usize,
    /// `days * hours_per_day` entries.
    pub hours: Vec<HourSpace>,
}

impl WindTable {
    /// Still air throughout.
    pub fn still(days: u32, hours_per_day: usize) -> WindTable {
        WindTable {
            hours_per_day,
            hours: vec![HourSpace::Disc; days as usize * hours_per_day],
        }
    }

    /// One summer's draw. `up_bearing_rad` is the compass bearing of the map's y axis.
    pub fn draw(
        wind: &Wind,
        days: u32,
        hours_per_day: usize,
        up_bearing_rad: f64,
        seed: u64,
        summer: u32,
    ) -> WindTable {
        let mut stream = ShortStream::new(seed, summer, 0, Purpose::Weather);
        let mut hours = Vec::with_capacity(days as usize * hours_per_day);
        match wind {
            Wind::Unknown => return WindTable::still(days, hours_per_day),
            Wind::Rose {
                sectors,
                calm_share,
                persistence,
                ..
            } => {
                let stay = persistence[0] + (persistence[1] - persistence[0]) * stream.uniform();
                let mut current: Option<usize> = None;
                for hour in 0..days as usize * hours_per_day {
                    let keep = stream.uniform() < stay;
                    let pick = stream.uniform();
                    let within = stream.uniform() - 0.5;
                    if hour == 0 || !keep {
                        current = pick_sector(sectors.iter().map(|s| s.share), *calm_share, pick);
                    }
                    hours.push(current.map_or(HourSpace::Disc, |k| {
                        let sector = &sectors[k];
                        steady(
                            sector.from_rad + within * sector.width_rad,
                            sector.speed_m_per_s,
                            up_bearing_rad,
                        )
                    }));
                }
            }
            Wind::Record { days: recorded, .. } => {
                for _ in 0..days {
                    let pick = (stream.uniform() * recorded.len() as f64) as usize;
                    let day = &recorded[pick.min(recorded.len() - 1)];
                    for hour in 0..hours_per_day {
                        hours.push(match day.get(hour) {
                            Some(&WindHour::Steady {
                                from_rad,
                                speed_m_per_s,
                            }) => steady(from_rad, speed_m_per_s, up_bearing_rad),
                            _ => HourSpace::Disc,
                        });
                    }
                }
            }
        }
        WindTable {
            hours_per_day,
            hours,
        }
    }
}

/// Index of the sector that quantile `u` falls in; `None` for a calm hour. Shares need not add to 1.
fn pick_sector(shares: impl Iterator<Item = f64> + Clone, calm: f64, u: f64) -> Option<usize> {
    let total: f64 = shares.clone().sum::<f64>() + calm;
    let mut left = u * total;
    for (k, share) in shares.enumerate() {
        if left < share {
            return Some(k);
        }
        left -= share;
    }
    None
}

fn steady(from_rad: f64, speed_m_per_s: f64, up_bearing_rad: f64) -> HourSpace {
    let bearing = from_rad - up_bearing_rad;
    HourSpace::sector(
        -libm::sin(bearing),
        -libm::cos(bearing),
        half_angle_rad(speed_m_per_s),
    )
}
