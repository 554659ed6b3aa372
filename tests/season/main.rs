//! Season: degree-days, dates, flights, counts and files against sources outside the project.
#![allow(missing_docs, reason = "tests are named by behaviour")]
#![allow(
    clippy::unwrap_used,
    clippy::missing_panics_doc,
    reason = "a helper that fails fails its test"
)]
#![allow(
    clippy::format_push_string,
    clippy::format_collect,
    reason = "tables of a few rows, built to be read"
)]

mod bad_input;
mod catalogue;
mod command;
mod counting;
mod degree_days;
mod findings;
mod flight;
mod forecast;
mod ical;
#[path = "../markup.rs"]
mod markup;
#[path = "../sourced.rs"]
mod sourced;
mod statistics;
mod units_of_files;
mod upkeep;
mod voice;
mod weather_checks;

/// Path of a file under `tests/data/season`.
pub fn data(name: &str) -> String {
    format!("{}/tests/data/season/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// A question about a pest in Seattle, with all else left open.
pub fn question(pest: &str) -> lurefield::season::question::Question {
    use lurefield::catalogue::season::{SEATTLE, season};
    use lurefield::weather::daily::{ReadOptions, read_daily};
    lurefield::season::question::Question {
        pest: season(pest).unwrap(),
        record: read_daily("seattle", SEATTLE.as_bytes(), &ReadOptions::default()).unwrap(),
        wind: None,
        others: Vec::new(),
        counts: None,
        biofix: lurefield::season::biofix::BiofixRule::None,
        table: None,
        rule: lurefield::season::question::RuleChange::default(),
        start: None,
        until: None,
        year: None,
        bloom: None,
        window: (None, None),
        own_events: Vec::new(),
        reading: lurefield::season::reading::ReadingOptions::default(),
        inputs: Vec::new(),
    }
}

/// A JSON file under `tests/data/season`.
pub fn json(name: &str) -> serde_json::Value {
    serde_json::from_str(&std::fs::read_to_string(data(name)).unwrap()).unwrap()
}
