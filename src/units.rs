//! Units: metres, seconds, radians and degrees Celsius inside; feet, inches, miles per hour and
//! degrees Fahrenheit for people. Conversions happen at the doors (reading a file, printing), never between.

/// Metres in one foot (international foot, exact).
pub const METRES_PER_FOOT: f64 = 0.3048;
/// Metres in one inch (exact).
pub const METRES_PER_INCH: f64 = 0.0254;
/// Metres per second in one mile per hour (exact).
pub const M_PER_S_PER_MPH: f64 = 0.447_04;
/// Seconds in one hour.
pub const SECONDS_PER_HOUR: f64 = 3600.0;
/// Radians in one degree.
pub const RADIANS_PER_DEGREE: f64 = std::f64::consts::PI / 180.0;

/// Metres to feet.
pub fn feet(metres: f64) -> f64 {
    metres / METRES_PER_FOOT
}

/// A length as people read it: feet first, metres in brackets, for example `30 ft (9.1 m)`.
///
/// Shape: any finite length. Below 3 ft the feet carry one decimal.
pub fn feet_and_metres(metres: f64) -> String {
    let ft = feet(metres);
    if ft.abs() < 3.0 {
        format!("{ft:.1} ft ({metres:.2} m)")
    } else {
        format!("{ft:.0} ft ({metres:.1} m)")
    }
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
        "1" | "share" | "m" | "s" | "m/s" | "rad" | "m2" | "count" | "d" | "mm" | "1/s" | "h of day" | "insects"
        | "1/h" | "degC" | "m2/h" | "ha" | "F-days" | "C-days" => 1.0,
        "deg" => RADIANS_PER_DEGREE,
        "min" => 60.0,
        "h" => SECONDS_PER_HOUR,
        "cm" => 0.01,
        "cm2" | "cm2/h" => 1e-4,
        "%" => 0.01,
        "1/min" => 1.0 / 60.0,
        "mm/s" => 1e-3,
        _ => return None,
    })
}
