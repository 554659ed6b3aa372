//! The wind of one summer, hour by hour: which way a lure's plume lies.

use crate::engine::random::{Purpose, ShortStream};
use crate::scenario::{Wind, WindHour};

/// The air of one hour, as a plume has it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Air {
    /// Still: the scent spreads to all sides.
    Calm,
    /// Wind.
    Blowing {
        /// Unit vector that the wind blows toward.
        toward: (f64, f64),
        /// Standard deviation of the directions within the hour, radians.
        spread_rad: f64,
    },
}

impl Air {
    /// How often the plume lies over a place (dx, dy from the lure), as a share of straight downwind.
    ///
    /// The plume's momentary direction is normal round the hour's mean, so that a place off the middle has it less often.
    #[inline]
    pub fn across(&self, dx: f64, dy: f64) -> f64 {
        match *self {
            Air::Calm => 1.0,
            Air::Blowing { toward, spread_rad } => {
                let along = dx * toward.0 + dy * toward.1;
                let aside = dx * toward.1 - dy * toward.0;
                let off = libm::atan2(aside, along) / spread_rad;
                libm::exp(-0.5 * off * off)
            }
        }
    }
}

/// Standard deviation of the wind's direction within an hour (by day or not, speed), radians: by day the stability class
/// that a moderate sun gives at that speed, at dusk and by night the stable one.
/// # Source
/// Standard deviations 25, 20, 15, 10, 5, 2.5 degrees for classes A to F: NOAA Air Resources Laboratory stability page;
/// classes by speed: Pasquill 1961. When the day's classes begin and end is drawn
/// ([`DAY_AIR`](crate::engine::ground::DAY_AIR)).
pub fn spread_rad(by_day: bool, speed_m_per_s: f64) -> f64 {
    let degrees = match speed_m_per_s {
        v if v < 2.0 => [2.5, 25.0],
        v if v < 3.0 => [5.0, 20.0],
        v if v < 5.0 => [7.5, 15.0],
        _ => [10.0, 10.0],
    };
    degrees[usize::from(by_day)] * crate::units::RADIANS_PER_DEGREE
}

/// The air of a summer, one entry for each active hour of each day.
#[derive(Clone, Debug, PartialEq)]
pub struct WindTable {
    /// Hours in a day's movement time (the last may be part of an hour).
    pub hours_per_day: usize,
    /// `days * hours_per_day` entries.
    pub hours: Vec<Air>,
}

/// When the air of a table is wanted.
#[derive(Clone, Debug)]
pub struct Hours {
    /// Days.
    pub days: u32,
    /// Hours in a day's movement time.
    pub per_day: usize,
    /// Local hour at which it starts.
    pub start_hour: f64,
    /// Hours of the day's unstable air.
    pub day_air: std::ops::Range<f64>,
}

impl WindTable {
    /// Still air throughout.
    pub fn still(days: u32, hours_per_day: usize) -> WindTable {
        WindTable {
            hours_per_day,
            hours: vec![Air::Calm; days as usize * hours_per_day],
        }
    }

    /// One summer's draw. `up_bearing_rad` is the compass bearing of the map's y axis.
    pub fn draw(
        wind: &Wind,
        hours: &Hours,
        up_bearing_rad: f64,
        seed: u64,
        summer: u32,
    ) -> WindTable {
        let mut stream = ShortStream::new(seed, summer, 0, Purpose::Weather);
        let per_day = hours.per_day;
        let steady = |of_day: usize, from_rad: f64, speed_m_per_s: f64| {
            let bearing = from_rad - up_bearing_rad;
            let hour = libm::fmod(hours.start_hour + of_day as f64 + 0.5, 24.0);
            Air::Blowing {
                toward: (-libm::sin(bearing), -libm::cos(bearing)),
                spread_rad: spread_rad(hours.day_air.contains(&hour), speed_m_per_s),
            }
        };
        let mut table = Vec::with_capacity(hours.days as usize * per_day);
        let turning = Wind::turning();
        let wind = if *wind == Wind::Unknown {
            &turning
        } else {
            wind
        };
        match wind {
            Wind::Still | Wind::Unknown => return WindTable::still(hours.days, per_day),
            Wind::Rose {
                sectors,
                calm_share,
                persistence: [low, high],
                ..
            } => {
                let stay = low + (high - low) * stream.uniform();
                let mut current: Option<usize> = None;
                for hour in 0..hours.days as usize * per_day {
                    let keep = stream.uniform() < stay;
                    let pick = stream.uniform();
                    let within = stream.uniform() - 0.5;
                    if hour == 0 || !keep {
                        current = pick_sector(sectors.iter().map(|s| s.share), *calm_share, pick);
                    }
                    table.push(current.map_or(Air::Calm, |k| {
                        let sector = &sectors[k];
                        let from_rad = sector.from_rad + within * sector.width_rad;
                        steady(hour % per_day, from_rad, sector.speed_m_per_s)
                    }));
                }
            }
            Wind::Record { days: recorded, .. } => {
                for _ in 0..hours.days {
                    let pick = (stream.uniform() * recorded.len() as f64) as usize;
                    let day = &recorded[pick.min(recorded.len() - 1)];
                    for of_day in 0..per_day {
                        table.push(match day.get(of_day) {
                            Some(&WindHour::Steady {
                                from_rad,
                                speed_m_per_s,
                            }) => steady(of_day, from_rad, speed_m_per_s),
                            _ => Air::Calm,
                        });
                    }
                }
            }
        }
        WindTable {
            hours_per_day: per_day,
            hours: table,
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
