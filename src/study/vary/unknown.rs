//! The numbers that nobody knows, in the words of people.

use crate::catalogue::{
    Grade, HostValues, LureValues, METHOD_NUMBERS, ParameterInfo, PestValues, Sourced, TrapValues,
    only_costs,
};
use crate::engine::ground::{DAY_AIR, Held, MOST_CALL};
use crate::say::{say, voice};
use crate::scenario::{Scenario, Wind};
use serde::Serialize;

/// A number that nobody knows, drawn anew for each summer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unknown {
    /// Whose it is, as the draws are keyed.
    pub id: String,
    /// Place in the parameter table of its kind.
    pub number: usize,
    /// Name in the catalogue files.
    pub key: String,
    /// Plain words.
    pub name: String,
    /// Unit of [`Self::low`] and [`Self::high`], for people.
    pub unit: String,
    /// Low end of the range.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Whether every factor, instead of every value, is equally likely.
    pub log: bool,
    /// How far the range can be trusted.
    pub grade: Grade,
    /// Where it comes from.
    pub source: String,
}

impl Unknown {
    fn new(id: &str, number: usize, key: &str, name: String, sourced: &Sourced) -> Option<Unknown> {
        let [low, high] = sourced.range.filter(|[low, high]| low < high)?;
        // Lengths are told in feet; everything else in the unit of its file.
        let (unit, factor) = match sourced.unit.as_str() {
            "m" => ("ft", 1.0 / crate::units::METRES_PER_FOOT),
            "m/s" => ("mph", 1.0 / crate::units::M_PER_S_PER_MPH),
            other => (other, 1.0),
        };
        Some(Unknown {
            id: id.to_owned(),
            number,
            key: key.to_owned(),
            name,
            unit: unit.to_owned(),
            low: low * factor,
            high: high * factor,
            log: sourced.spread == crate::catalogue::Spread::Log,
            grade: sourced.grade,
            source: sourced.source.clone(),
        })
    }

    /// The value at a quantile of the range, in [`Self::unit`].
    pub fn at(&self, quantile: f64) -> f64 {
        if self.log {
            let (a, b) = (libm::log(self.low), libm::log(self.high));
            libm::exp(a + (b - a) * quantile)
        } else {
            self.low + (self.high - self.low) * quantile
        }
    }

    pub(super) fn held(&self, quantile: f64) -> Held {
        Held {
            id: self.id.clone(),
            number: self.number,
            quantile,
        }
    }
}

/// Plain words for a name of the parameter table; the name itself for one that is new.
pub fn plain_name(key: &str) -> &str {
    let said = ["number", &key.replace('_', "-")].join(".");
    if voice().has(&said) {
        return voice().get(&said);
    }
    let of_method = METHOD_NUMBERS.iter().find(|known| known.key == key);
    of_method.map_or(key, |known| known.meaning())
}

/// A number of an unknown with its unit, about three digits, in plain words.
pub fn with_unit(value: f64, unit: &str) -> String {
    let key = match unit {
        "share" => return say!("number.unit.share", n = digits(100.0 * value)),
        "insects" | "count" | "1" => return digits(value),
        "deg" => "number.unit.degrees",
        "1/s" => "number.unit.a-second",
        "cm2/h" => "number.unit.sq-cm-an-hour",
        "m2" => "number.unit.sq-m",
        "d" => "number.unit.days",
        other => return say!("number.unit.other", n = digits(value), unit = other),
    };
    say!(key, n = digits(value))
}

fn digits(value: f64) -> String {
    let places = match value.abs() {
        v if v >= 10.0 => 0,
        v if v >= 1.0 => 1,
        v if v >= 0.1 => 2,
        _ => 4,
    };
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Every unknown that the summers of a scenario draw, in a fixed order. Numbers without a range are left out.
pub fn unknowns(scenario: &Scenario) -> Vec<Unknown> {
    let mut all: Vec<Unknown> = Vec::new();
    let mut table = |id: String,
                     of: &str,
                     infos: &[ParameterInfo],
                     get: &dyn Fn(&str) -> Option<Sourced>| {
        // Two crops of one kind share their draws, so they are one unknown.
        if all.iter().any(|u| u.id == id) {
            return;
        }
        for (number, info) in infos.iter().enumerate() {
            let plain = plain_name(info.key);
            let name = if of.is_empty() {
                plain.to_owned()
            } else {
                say!("number.of", unknown_name = plain, of)
            };
            all.extend(get(info.key).and_then(|s| Unknown::new(&id, number, info.key, name, &s)));
        }
    };
    let pest = &scenario.pest;
    table(format!("pest:{}", pest.id), "", PestValues::TABLE, &|k| {
        pest.values.get(k).cloned()
    });
    let several = scenario.lures.len() > 1;
    for l in &scenario.lures {
        let of = if several { l.name.as_str() } else { "" };
        table(format!("lure:{}", l.id), of, LureValues::TABLE, &|k| {
            l.values.get(k).cloned()
        });
    }
    let several = scenario.trap_kinds.len() > 1;
    for t in &scenario.trap_kinds {
        let of = if several { t.name.as_str() } else { "" };
        table(format!("trap:{}", t.id), of, TrapValues::TABLE, &|k| {
            t.values.get(k).cloned()
        });
    }
    for c in &scenario.crops {
        let id = format!("crop:{}", c.kind.id);
        table(id, &c.kind.name, HostValues::TABLE, &|k| {
            c.host.get(k).cloned()
        });
    }
    if scenario.pressure.low < scenario.pressure.high {
        all.push(Unknown {
            id: "pressure".into(),
            number: 0,
            key: "pressure".into(),
            name: say!("number.pressure", insects = pest.short),
            unit: "insects".into(),
            low: scenario.pressure.low,
            high: scenario.pressure.high,
            log: true,
            grade: Grade::Assumed,
            source: scenario.pressure.said.clone(),
        });
    }
    all
}

/// What an answer about one plan hangs on: [`unknowns`], and what the plan's methods, the sources, the leaves that call
/// and the air draw. Numbers that only say what a method costs move no insect and are left out.
pub fn moved(scenario: &Scenario, plan: usize) -> Vec<Unknown> {
    let mut all = unknowns(scenario);
    let plan = &scenario.plans[plan];
    for method in &plan.methods {
        let id = format!("method:{}", method.kind.id);
        for (number, (key, value)) in method.kind.values.iter().enumerate() {
            if only_costs(key) || all.iter().any(|u| u.id == id && u.number == number) {
                continue;
            }
            let meaning = plain_name(key);
            let name = say!("number.of-method", method_name = method.kind.name, meaning);
            all.extend(Unknown::new(&id, number, key, name, value));
        }
    }
    let assumed =
        |id: &str, number: usize, name: &str, (unit, low, high): (&str, f64, f64), source: &str| {
            Unknown {
                id: id.into(),
                number,
                key: id.into(),
                name: name.into(),
                unit: unit.into(),
                low,
                high,
                log: false,
                grade: Grade::Assumed,
                source: source.into(),
            }
        };
    for (i, source) in scenario.sources.iter().enumerate() {
        let (low, high) = (source.per_day_low, source.per_day_high);
        if low < high {
            let name = say!("number.source", insects = scenario.pest.short, i = i + 1);
            all.push(assumed(
                "source",
                i,
                &name,
                ("insects", low, high),
                voice().get("number.from.file"),
            ));
        }
    }
    if scenario.chewed_leaves_call {
        let [low, high] = MOST_CALL;
        let name = voice().get("number.chewed-leaves");
        all.push(assumed(
            "chewed leaves call",
            0,
            name,
            ("count", low, high),
            voice().get("number.from.nowhere"),
        ));
    }
    if scenario.wind != Wind::Still && !plan.traps.is_empty() {
        let active = &scenario.pest.activity;
        let names = ["number.air.unsteady", "number.air.steady"];
        for (i, ([low, high], name)) in DAY_AIR.into_iter().zip(names).enumerate() {
            // Only hours at which insects move can matter.
            let begins = active.start_hour;
            let meets = |day: f64| begins < high + day && begins + active.hours > low + day;
            if meets(0.0) || meets(24.0) {
                let source = voice().get("number.from.sun");
                let name = voice().get(name);
                all.push(assumed("day air", i, name, ("h", low, high), source));
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_parameter_of_the_table_has_plain_words() {
        for table in [
            PestValues::TABLE,
            LureValues::TABLE,
            TrapValues::TABLE,
            HostValues::TABLE,
        ] {
            for info in table {
                assert_ne!(plain_name(info.key), info.key);
            }
        }
    }
}
