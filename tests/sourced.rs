//! What is wrong with a number of the catalogue.

use lurefield::catalogue::{Grade, Sourced, Spread};

/// What is wrong with an entry, if anything: unknown unit, empty source, range upside down, value outside its range.
pub(crate) fn fault(number: &Sourced) -> Option<String> {
    if lurefield::units::to_inside(&number.unit).is_none() {
        return Some(format!("unknown unit `{}`", number.unit));
    }
    if number.source.trim().is_empty() {
        return Some("no source".into());
    }
    if !number.value.is_finite() {
        return Some("value is not a number".into());
    }
    if let Some([low, high]) = number.range {
        if !(low.is_finite() && high.is_finite() && low <= high) {
            return Some(format!(
                "range [{low}, {high}] is upside down or not finite"
            ));
        }
        if number.value < low || number.value > high {
            return Some(format!(
                "value {} lies outside its range [{low}, {high}]",
                number.value
            ));
        }
        if number.spread == Spread::Log && low <= 0.0 {
            return Some("a logarithmic range must start above 0".into());
        }
    }
    if number.grade == Grade::Assumed && number.range.is_none() {
        return Some("an assumed value needs a range".into());
    }
    None
}
