//! Numbers to numbers: quantiles, paired counts, shares and words for counts. Knows nothing of yards or insects.

pub mod components;
pub mod paired;
pub mod quantile;
pub mod spread;
pub mod words;
