//! Which day, and what a trap's count means: weather in, dates, weights and readings out.
//!
//! Temperatures and degree-days are newtypes, so degrees Fahrenheit and Celsius cannot be mixed. No file is opened
//! here: readers take text streams. Nothing here draws or prints.

pub mod biofix;
pub mod calendar;
pub mod counts;
pub mod degree_day;
pub mod events;
pub mod finding;
pub mod flight;
pub mod forecast;
pub mod hourly;
#[cfg(feature = "cli")]
pub mod ical;
pub mod question;
pub mod reading;
pub mod series;
pub mod upkeep;
pub mod wind_rose;
