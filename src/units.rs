//! Units: meters, seconds, radians and degrees Celsius inside; feet, inches, miles per hour and
//! degrees Fahrenheit for people. Conversions happen at the doors (reading a file, printing), never between.

use crate::say::{say, voice};

/// Meters in one foot (international foot, exact).
pub const METRES_PER_FOOT: f64 = 0.3048;
/// Meters in one inch (exact).
pub const METRES_PER_INCH: f64 = 0.0254;
/// Meters in one pace, one long step of a grown-up: 2.5 ft (common practice, no source).
pub const METRES_PER_PACE: f64 = 2.5 * METRES_PER_FOOT;
/// Meters per second in one mile per hour (exact).
pub const M_PER_S_PER_MPH: f64 = 0.447_04;
/// Seconds in one hour.
pub const SECONDS_PER_HOUR: f64 = 3600.0;
/// Radians in one degree.
pub const RADIANS_PER_DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Meters to feet.
pub fn feet(metres: f64) -> f64 {
    metres / METRES_PER_FOOT
}

/// A length as people read it: feet first, meters in brackets, for example `30 ft (9.1 m)`.
///
/// Shape: any finite length. Below 3 ft the feet carry one decimal; below 30 ft they come in halves, so that they and the
/// meters are the same length.
pub fn feet_and_metres(metres: f64) -> String {
    let ft = feet(metres);
    let halves = (2.0 * ft).round();
    let (ft, m) = if ft.abs() < 3.0 {
        (format!("{ft:.1}"), format!("{metres:.2}"))
    } else if ft.abs() < 30.0 && halves % 2.0 != 0.0 {
        (format!("{:.1}", 0.5 * halves), format!("{metres:.1}"))
    } else {
        (format!("{ft:.0}"), format!("{metres:.1}"))
    };
    say!("unit.length", ft, m)
}

/// A number to print as it was written or worked out, without the last bits that arithmetic leaves.
pub fn as_written(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

/// Fahrenheit from Celsius, without rounding.
pub fn fahrenheit(celsius: f64) -> f64 {
    celsius * 9.0 / 5.0 + 32.0
}

/// Celsius from Fahrenheit, without rounding.
pub fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) * 5.0 / 9.0
}

/// Factor that turns a catalogue value in `unit` into the unit used inside.
///
/// Returns `None` for a unit the catalogue does not know.
pub fn to_inside(unit: &str) -> Option<f64> {
    Some(match unit {
        "1" | "share" | "m" | "s" | "m/s" | "rad" | "m2" | "count" | "d" | "mm" | "1/s"
        | "h of day" | "insects" | "1/h" | "degC" | "m2/h" | "ha" | "F-days" | "C-days" => 1.0,
        "deg" => RADIANS_PER_DEGREE,
        "min" => 60.0,
        "h" => SECONDS_PER_HOUR,
        "cm" | "%" => 0.01,
        "cm2" | "cm2/h" => 1e-4,
        "1/min" => 1.0 / 60.0,
        "mm/s" => 1e-3,
        _ => return None,
    })
}

/// What a written quantity measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// Lengths; meters inside.
    Length,
    /// Speeds; meters per second inside.
    Speed,
    /// Times; seconds inside.
    Time,
    /// Angles; radians inside.
    Angle,
    /// Temperatures; degrees Celsius inside.
    Temperature,
}

impl Dimension {
    /// What to write, with examples, for messages.
    pub fn examples(self) -> &'static str {
        voice().get(match self {
            Dimension::Length => "fault.write.length",
            Dimension::Speed => "fault.write.speed",
            Dimension::Time => "fault.write.time",
            Dimension::Angle => "fault.write.angle",
            Dimension::Temperature => "fault.write.temperature",
        })
    }

    fn factor(self, unit: &str) -> Option<f64> {
        Some(match self {
            Dimension::Length => match unit {
                "m" | "metre" | "metres" | "meter" | "meters" => 1.0,
                "ft" | "foot" | "feet" | "'" => METRES_PER_FOOT,
                "in" | "inch" | "inches" | "\"" => METRES_PER_INCH,
                "yd" | "yard" | "yards" => 3.0 * METRES_PER_FOOT,
                "pace" | "paces" => METRES_PER_PACE,
                "cm" => 0.01,
                "mm" => 0.001,
                _ => return None,
            },
            Dimension::Speed => match unit {
                "m/s" => 1.0,
                "mph" => M_PER_S_PER_MPH,
                "kn" | "kt" | "knot" | "knots" => 1852.0 / SECONDS_PER_HOUR,
                "km/h" => 1000.0 / SECONDS_PER_HOUR,
                "ft/s" => METRES_PER_FOOT,
                "mm/s" => 0.001,
                "cm/s" => 0.01,
                _ => return None,
            },
            Dimension::Time => match unit {
                "s" | "second" | "seconds" => 1.0,
                "min" | "minute" | "minutes" => 60.0,
                "h" | "hour" | "hours" => SECONDS_PER_HOUR,
                "d" | "day" | "days" => 24.0 * SECONDS_PER_HOUR,
                _ => return None,
            },
            Dimension::Angle => match unit {
                "deg" | "degrees" => RADIANS_PER_DEGREE,
                "rad" => 1.0,
                _ => return None,
            },
            Dimension::Temperature => return None,
        })
    }
}

/// Reads a quantity as people write it, for example `30 ft 6 in`, into the unit used inside.
///
/// # Errors
/// A sentence that says what was expected, when the text is no such quantity.
pub fn read_quantity(text: &str, dimension: Dimension) -> Result<f64, String> {
    let fault = || {
        let (text, what) = (shortened(text), dimension.examples());
        say!("fault.not-such", text, what)
    };
    let parts = number_unit_pairs(text).ok_or_else(fault)?;
    let value = match (dimension, parts.as_slice()) {
        (Dimension::Temperature, [(number, unit)]) => match unit.as_str() {
            "F" | "degF" | "f" => celsius(*number),
            "C" | "degC" | "c" => *number,
            _ => return Err(fault()),
        },
        (_, [(number, unit)]) => number * dimension.factor(unit).ok_or_else(fault)?,
        (Dimension::Length, [(big, big_unit), (small, small_unit)]) => {
            let (a, b) = (dimension.factor(big_unit), dimension.factor(small_unit));
            match (a, b) {
                // Only a falling pair such as feet and inches is a compound length.
                (Some(a), Some(b)) if b < a && *small >= 0.0 => {
                    if *big < 0.0 {
                        big * a - small * b
                    } else {
                        big * a + small * b
                    }
                }
                _ => return Err(fault()),
            }
        }
        _ => return Err(fault()),
    };
    if value.is_finite() {
        Ok(value)
    } else {
        Err(fault())
    }
}

/// A user's text, short enough for a message.
pub fn shortened(text: &str) -> String {
    if text.chars().count() <= 40 {
        return text.to_string();
    }
    let start: String = text.chars().take(37).collect();
    format!("{start}...")
}

fn number_unit_pairs(text: &str) -> Option<Vec<(f64, String)>> {
    let mut pairs = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let digits = rest
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+')))
            .unwrap_or(rest.len());
        let number: f64 = rest[..digits].parse().ok()?;
        rest = rest[digits..].trim_start();
        let unit_end = rest
            .find(|c: char| c.is_whitespace() || c.is_ascii_digit())
            .unwrap_or(rest.len());
        if unit_end == 0 {
            return None;
        }
        pairs.push((number, rest[..unit_end].to_string()));
        rest = rest[unit_end..].trim_start();
    }
    if pairs.is_empty() { None } else { Some(pairs) }
}
