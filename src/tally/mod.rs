//! Events to counts, counts to damage, and the plain results that figures and reports read.

pub mod calibrate;
pub mod compare;
mod field_runs;
pub mod keep;
mod layout;
pub mod one_summer;
pub mod outcome;
mod pattern_runs;
pub mod patterns;
pub mod plans;
pub mod prepare;
pub mod rerun;
pub mod run;
pub mod seasons;
pub mod settle;
pub mod spread;
pub mod summer;
pub mod upkeep;
pub mod vary;
