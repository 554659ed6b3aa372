//! Events to counts, counts to damage, and the plain results that figures and reports read.

pub mod outcome;
pub mod patterns;
pub mod prepare;
pub mod run;
pub mod summer;
pub mod vary;
