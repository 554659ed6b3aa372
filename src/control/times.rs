//! Times of day on the clock of movement: a visit within the movement hours, or in the hours after them.

use crate::control::Site;
use crate::control::care::{Care, Deed, Visit};
use crate::say::say;
use crate::units::SECONDS_PER_HOUR;

/// Reads a time of day such as "19:00" or "8:30" into hours.
///
/// # Errors
/// Says what was expected.
pub fn read(text: &str) -> Result<f64, String> {
    let fault = || say!("method.no-time", given = crate::units::shortened(text));
    let (hour, minute) = text.trim().split_once(':').ok_or_else(fault)?;
    let digits = |t: &str| !t.is_empty() && t.len() <= 2 && t.bytes().all(|b| b.is_ascii_digit());
    if !digits(hour) || minute.len() != 2 || !digits(minute) {
        return Err(fault());
    }
    let hour: u32 = hour.parse().map_err(|_| fault())?;
    let minute: u32 = minute.parse().map_err(|_| fault())?;
    if hour > 23 || minute > 59 {
        return Err(fault());
    }
    Ok(f64::from(hour) + f64::from(minute) / 60.0)
}

/// A time of day as people write it.
pub fn write(hour: f64) -> String {
    let minutes = (hour * 60.0).round() as u32;
    format!("{}:{:02}", minutes / 60, minutes % 60)
}

/// Times of day, one after the other.
pub fn listed(hours: &[f64]) -> String {
    let hours: Vec<String> = hours.iter().map(|h| write(*h)).collect();
    hours.join(", ")
}

/// Whether something done so many days a week is done on a day: spread evenly, from the first day on.
pub fn is_on(day: u32, days_a_week: u32) -> bool {
    let week = day % 7;
    (week * days_a_week) % 7 < days_a_week
}

/// Days of visits among the days of a window.
pub fn days_on(days: u32, days_a_week: u32) -> u32 {
    (0..days).filter(|d| is_on(*d, days_a_week)).count() as u32
}

/// What kind of visit it is; keys its draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Picking by hand.
    Hands = 1,
    /// A repellent is sprayed.
    Repellent = 2,
    /// Water.
    Water = 3,
    /// A trap crop is cleared.
    Clearing = 4,
}

/// Adds a visit on one calendar day at one time of day.
///
/// A time before the movement hours belongs to the gap after the movement of the day before; on the first day nobody
/// sits anywhere yet, so that such a visit finds nothing.
pub fn add(
    site: &Site,
    care: &mut Care,
    (day, hour): (u32, f64),
    (kind, deed, share): (Kind, Deed, f64),
    to: Vec<bool>,
) {
    let since_start = libm::fmod(hour - site.start_hour + 24.0, 24.0) * SECONDS_PER_HOUR;
    // A visit at the very first hour of movement comes after all those of the evening before.
    let at_start = since_start == 0.0 && day > 0;
    let before_start = (hour < site.start_hour && since_start >= site.day_s) || at_start;
    let since_start = if at_start {
        24.0 * SECONDS_PER_HOUR
    } else {
        since_start
    };
    let (t_s, gap_s) = if since_start < site.day_s {
        (f64::from(day) * site.day_s + since_start, None)
    } else {
        let ended = if before_start { day } else { day + 1 };
        if ended == 0 {
            return;
        }
        (
            f64::from(ended) * site.day_s,
            Some(since_start - site.day_s),
        )
    };
    let quarter = (hour * 4.0) as u32;
    care.add_visit(Visit {
        t_s,
        gap_s,
        deed,
        share,
        tag: ((kind as u32) << 16) | (day << 7) | quarter,
        to,
    });
}

/// Adds visits at the same times of day on so many days of every week.
pub fn add_weekly(
    site: &Site,
    care: &mut Care,
    (days_a_week, hours): (u32, &[f64]),
    what: (Kind, Deed, f64),
    to: &[bool],
) {
    for day in (0..site.days).filter(|d| is_on(*d, days_a_week)) {
        for hour in hours {
            add(site, care, (day, *hour), what, to.to_vec());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_are_read_and_wrong_ones_refused() {
        assert_eq!(read("19:00"), Ok(19.0));
        assert_eq!(read("8:30"), Ok(8.5));
        for wrong in ["25:00", "7", "7:5", "12:60", "-1:00", "a:bc", "", "1:00 pm"] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
        assert_eq!(write(8.5), "8:30");
    }

    #[test]
    fn days_a_week_are_spread_over_the_week() {
        for n in 0..=7 {
            assert_eq!(days_on(14, n), 2 * n, "{n} days a week");
        }
    }

    #[test]
    fn a_visit_at_the_first_hour_comes_after_the_evening_before() {
        let site = Site {
            days: 2,
            day_s: 6.0 * 3600.0,
            start_hour: 9.0,
            body_width_mm: 6.0,
            crop_of: &[0],
        };
        let mut care = Care::none(2);
        let what = (Kind::Hands, Deed::Remove, 0.5);
        for (day, hour) in [(0, 9.0), (1, 9.0), (0, 19.0)] {
            add(&site, &mut care, (day, hour), what, vec![true]);
        }
        let gaps: Vec<_> = care.visits(-1.0, 1e9).iter().map(|v| v.gap_s).collect();
        assert_eq!(gaps, [None, Some(4.0 * 3600.0), Some(18.0 * 3600.0)]);
    }

    #[test]
    fn visits_outside_the_movement_hours_find_those_who_stayed() {
        let site = Site {
            days: 3,
            day_s: 6.0 * 3600.0,
            start_hour: 9.0,
            body_width_mm: 6.0,
            crop_of: &[0],
        };
        let mut care = Care::none(3);
        let what = (Kind::Hands, Deed::Remove, 0.5);
        for hour in [8.0, 14.0, 19.0] {
            for day in 0..3 {
                add(&site, &mut care, (day, hour), what, vec![true]);
            }
        }
        let day_s = site.day_s;
        let seen: Vec<(f64, Option<f64>)> = care
            .visits(-1.0, 1e9)
            .iter()
            .map(|v| (v.t_s / day_s, v.gap_s.map(|g| g / 3600.0)))
            .collect();
        // 8:00 on day 1 finds nobody; 19:00 is 4 h after 15:00, and 8:00 on the next day 17 h after it.
        let first_day = [(5.0 / 6.0, None), (1.0, Some(4.0)), (1.0, Some(17.0))];
        assert_eq!(&seen[..3], &first_day);
        assert_eq!(seen.len(), 8);
    }
}
