//! Events to counts, and the plain results that figures and reports read.

pub mod outcome;
