//! lurefield simulates a yard, the insects that pass through it and the plans a gardener may try, and compares the
//! plans on the same simulated summers.
//!
//! Data flow one way: scenario → engine → tally → stats → season and placement → figure and report → cli.
//! The code map, with what each layer may and may not do, stands in DEVELOPERS.md.

pub mod units;
pub mod geometry;
pub mod catalogue;
pub mod scenario;
pub mod engine;
pub mod tally;
pub mod season;
pub mod stats;
#[cfg(feature = "cli")]
pub mod cli;
