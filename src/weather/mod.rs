//! Tables of weather as text, read in one way wherever they are used: by the season, as the wind of a yard, and as the
//! hours fit for a pest.
//!
//! Columns and units are known by their names. A value that cannot be is refused with its line; a reading that is only odd
//! is named with its line and used as it stands.

pub mod columns;
pub mod daily;
pub mod day;
pub mod error;
pub mod hourly;
pub mod table;
pub mod temperature;
pub mod wild;

pub use error::InputError;
pub use table::ReadOptions;
pub use temperature::{DegreeDays, Scale, Temperature};
