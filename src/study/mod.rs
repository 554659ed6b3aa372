//! Many summers to findings: plans on the same summers, what moves the answer, calibration and the check against the field.

pub mod calibrate;
pub mod compare;
mod field_runs;
pub mod finding;
pub mod keep;
mod layout;
mod pattern_runs;
pub mod patterns;
pub mod run;
pub mod settle;
pub mod spread;
pub mod upkeep;
pub mod vary;
