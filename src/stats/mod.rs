//! Numbers to numbers: limits of counts, quantiles, paired counts, shares and words for counts. Knows nothing of yards or insects.

pub mod abc;
pub mod binomial;
pub mod components;
pub mod covariate;
pub mod double_sample;
pub mod hypercube;
pub mod morris;
pub mod normal;
pub mod paired;
pub mod poisson;
pub mod quantile;
pub mod recapture;
pub mod sequence;
pub mod settle;
pub mod sobol;
pub mod solve;
pub mod spread;
pub mod words;
