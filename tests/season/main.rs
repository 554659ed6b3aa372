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
mod flight;
mod forecast;
mod ical;
mod statistics;
mod units_of_files;
mod upkeep;
mod voice;
mod weather_checks;

/// Path of a file under `tests/data/season`.
pub fn data(name: &str) -> String {
    format!("{}/tests/data/season/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// A JSON file under `tests/data/season`.
pub fn json(name: &str) -> serde_json::Value {
    serde_json::from_str(&std::fs::read_to_string(data(name)).unwrap()).unwrap()
}
