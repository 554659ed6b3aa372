//! Numbers in, numbers out: limits of counts, chances, estimates. No names of pests, traps or files.

pub mod binomial;
pub mod normal;
pub mod poisson;
pub mod recapture;
pub mod sample;
pub mod solve;
