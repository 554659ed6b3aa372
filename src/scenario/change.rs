//! Changes to catalogue numbers: checks them and puts them in place.

use super::file::{Bound, Override};
use super::notes::Notes;
use super::place::member;
use crate::catalogue::{Grade, ParameterInfo, Sourced, Spread};
use crate::say::{say, voice};
use crate::units::{Dimension, read_quantity, shortened, to_inside};

/// Numbers that the model divides by, so that 0 has no meaning.
const ABOVE_ZERO: &[&str] = &[
    "speed",
    "segment_mean",
    "bout_mean",
    "rest_mean",
    "daily_survival",
    "residence_mean",
    "approach_segment",
    "search_segment",
    "search_mean",
    "body_width",
    "reach",
    "near_share",
    "life",
    "touch",
    "long_mean",
    "spillover",
    "visible",
    "fall",
    "capacity",
    "width",
    "units",
];

/// Puts one change in place; `entry` is the number it changes, `None` when the name is unknown.
pub(crate) fn apply(
    (key, change): (&str, &Override),
    table: &[ParameterInfo],
    path: &str,
    notes: &mut Notes,
    entry: Option<&mut Sourced>,
) {
    let known: Vec<&str> = table.iter().map(|info| info.key).collect();
    let at = member(path, key);
    let (Some(info), Some(sourced)) = (table.iter().find(|info| info.key == key), entry) else {
        notes.unknown(at, "number", key, &known);
        return;
    };
    match bounds(change, &sourced.unit).and_then(|range| within(range, info)) {
        Ok(range) => *sourced = changed(sourced, range),
        Err(what) => {
            let (meaning, unit) = (info.meaning(), &sourced.unit);
            notes.add(at, what, say!("fault.number.fix", key, meaning, unit));
        }
    }
}

/// The source of a number that the file gives.
pub(crate) fn said_here() -> &'static str {
    voice().get("yard.set-here")
}

fn changed(old: &Sourced, [low, high]: [f64; 2]) -> Sourced {
    let (spread, middle) = match old.spread {
        Spread::Log if low > 0.0 && high > low => (Spread::Log, (low * high).sqrt()),
        _ => (Spread::Uniform, 0.5 * (low + high)),
    };
    Sourced {
        value: middle.clamp(low, high),
        unit: old.unit.clone(),
        range: Some([low, high]),
        spread,
        source: said_here().into(),
        grade: Grade::Assumed,
    }
}

fn bounds(change: &Override, unit: &str) -> Result<[f64; 2], String> {
    let bound = |b: &Bound| match b {
        Bound::Number(value) => Ok(*value),
        Bound::Text(text) => written(text, unit),
    };
    match change {
        Override::Number(value) => Ok([*value; 2]),
        Override::Text(text) => written(text, unit).map(|value| [value; 2]),
        Override::Range([low, high]) => {
            let (low, high) = (bound(low)?, bound(high)?);
            if low > high {
                Err(say!("fault.number.upside-down", low, high))
            } else {
                Ok([low, high])
            }
        }
    }
}

/// A text with its unit, in the unit of the catalogue.
fn written(text: &str, unit: &str) -> Result<f64, String> {
    if unit == "share" {
        let number = text.trim().strip_suffix('%');
        let number = number.and_then(|n| n.trim().parse::<f64>().ok());
        let fault = || say!("fault.number.share", text = shortened(text));
        return number.map(|n| n / 100.0).ok_or_else(fault);
    }
    let dimension = match unit {
        "m" | "cm" | "mm" => Dimension::Length,
        "m/s" | "mm/s" => Dimension::Speed,
        "s" | "min" | "h" | "d" => Dimension::Time,
        "deg" | "rad" => Dimension::Angle,
        _ => return Err(say!("fault.number.text", text = shortened(text))),
    };
    let inside = read_quantity(text, dimension)?;
    Ok(match unit {
        // The catalogue keeps body width in mm and the life of a lure in days.
        "mm" => inside * 1000.0,
        "d" => inside / 86_400.0,
        _ => inside / to_inside(unit).unwrap_or(1.0),
    })
}

fn within([low, high]: [f64; 2], info: &ParameterInfo) -> Result<[f64; 2], String> {
    let most = if info.unit == "share" { 1.0 } else { 1e7 };
    if !low.is_finite() || !high.is_finite() {
        return Err(say!("fault.no-number"));
    }
    if low < 0.0 || (low == 0.0 && ABOVE_ZERO.contains(&info.key)) {
        return Err(say!("fault.number.above-0", n = low));
    }
    if high > most {
        return Err(say!("fault.number.above", n = high, limit = most));
    }
    Ok([low, high])
}
