//! Wind of a scenario in words, and the direction for its arrow.

use crate::say::{say, voice};
use crate::scenario::{Wind, WindHour};

/// The words for the sides, clockwise from north.
const SIDES: [&str; 8] = [
    "figure.wind.north",
    "figure.wind.north-east",
    "figure.wind.east",
    "figure.wind.south-east",
    "figure.wind.south",
    "figure.wind.south-west",
    "figure.wind.west",
    "figure.wind.north-west",
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
    let none = |words: String| Prevailing {
        from_rad: None,
        words,
    };
    let mut shares = [0.0; 8];
    match wind {
        Wind::Still => return none(say!("figure.wind.still")),
        Wind::Unknown => return none(say!("figure.wind.unknown")),
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
    // Of equal sides the first counts.
    let top = (1..shares.len()).fold(0, |top, i| if shares[i] > shares[top] { i } else { top });
    if all <= 0.0 {
        none(say!("figure.wind.calm"))
    } else if shares[top] < 0.25 * all {
        none(say!("figure.wind.all-sides"))
    } else {
        Prevailing {
            from_rad: Some(top as f64 * OCTANT),
            words: voice().get(SIDES[top]).to_owned(),
        }
    }
}

/// The nearest of eight sides of a bearing, clockwise from north.
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
