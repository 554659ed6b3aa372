//! Events to counts: one summer with all its plans, lived once and rerun.

pub mod one_summer;
pub mod outcome;
pub mod plans;
pub mod prepare;
pub mod rerun;
pub mod seasons;
pub mod summer;
