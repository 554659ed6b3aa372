//! Wind of a scenario in words, and the direction for its arrow.

use crate::scenario::{Wind, WindHour};

/// Compass points, clockwise from north.
const COMPASS: [&str; 8] = [
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
];
const OCTANT: f64 = std::f64::consts::FRAC_PI_4;

/// What is drawn of the wind.
#[derive(Clone, Debug, PartialEq)]
pub struct Prevailing {
    /// Where it usually comes from, clockwise from north, radians; `None` when there is no usual side.
    pub from_rad: Option<f64>,
    /// In words.
    pub words: String,
}

/// The usual side of the wind: the largest of eight sectors, if it holds a quarter of the windy hours or more.
pub fn prevailing(wind: &Wind) -> Prevailing {
    let mut shares = [0.0; 8];
    match wind {
        Wind::Still | Wind::Unknown => {
            let words = if *wind == Wind::Still {
                "Still air"
            } else {
                "Wind: not known"
            };
            return Prevailing {
                from_rad: None,
                words: words.into(),
            };
        }
        Wind::Rose { sectors, .. } => {
            for sector in sectors {
                shares[octant(sector.from_rad)] += sector.share;
            }
        }
        Wind::Record { days, .. } => {
            for hour in days.iter().flatten() {
                if let WindHour::Steady { from_rad, .. } = hour {
                    shares[octant(*from_rad)] += 1.0;
                }
            }
        }
    }
    let all: f64 = shares.iter().sum();
    let mut top = 0;
    for i in 1..shares.len() {
        if shares[i] > shares[top] {
            top = i;
        }
    }
    if all <= 0.0 {
        return Prevailing {
            from_rad: None,
            words: "Wind: mostly calm".into(),
        };
    }
    if shares[top] < 0.25 * all {
        return Prevailing {
            from_rad: None,
            words: "Wind: from all sides".into(),
        };
    }
    Prevailing {
        from_rad: Some(top as f64 * OCTANT),
        words: format!("Wind: usually from the {}", COMPASS[top]),
    }
}

fn octant(from_rad: f64) -> usize {
    (libm::round(from_rad / OCTANT) as i64).rem_euclid(8) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::WindSector;

    fn rose(shares: [f64; 4]) -> Wind {
        let sectors = shares
            .iter()
            .enumerate()
            .map(|(i, share)| WindSector {
                from_rad: i as f64 * 2.0 * OCTANT,
                width_rad: 2.0 * OCTANT,
                share: *share,
                speed_m_per_s: 2.0,
            })
            .collect();
        Wind::Rose {
            said: "test".into(),
            sectors,
            calm_share: 0.1,
            persistence: [0.5, 0.9],
        }
    }

    #[test]
    fn west_wind_is_named() {
        let wind = prevailing(&rose([0.1, 0.1, 0.1, 0.6]));
        assert_eq!(wind.words, "Wind: usually from the west");
        assert!((wind.from_rad.expect("a side") - 6.0 * OCTANT).abs() < 1e-12);
    }

    #[test]
    fn calm_and_unknown_winds_have_no_arrow() {
        assert_eq!(prevailing(&rose([0.0; 4])).words, "Wind: mostly calm");
        assert_eq!(prevailing(&Wind::Unknown).from_rad, None);
    }

    #[test]
    fn bearings_below_zero_and_above_a_turn_find_their_octant() {
        assert_eq!(octant(-OCTANT), 7);
        assert_eq!(octant(9.0 * OCTANT), 1);
    }
}
