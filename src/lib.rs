//! lurefield simulates a yard, the insects that pass through it and the plans a gardener may try, and compares the
//! plans on the same simulated summers.
//!
//! Data flow one way: scenario → engine → count → study → season and placement → figure and report → cli;
//! a page that holds the program asks the desk instead.
//! The code map, with what each layer may and may not do, stands in DEVELOPERS.md.

pub mod catalogue;
#[cfg(feature = "cli")]
pub mod cli;
pub mod control;
pub mod count;
pub mod desk;
pub mod engine;
pub mod figure;
pub mod geometry;
// What the page calls; a program must not export such names.
#[cfg(target_arch = "wasm32")]
#[path = "page/engine.rs"]
mod page;
pub mod placement;
pub mod report;
pub mod say;
pub mod scenario;
pub mod season;
pub mod stats;
pub mod study;
pub mod units;
pub mod weather;
