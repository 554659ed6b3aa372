//! Pictures and reports of a run, made from a fixed invented outcome: they agree with each other and with the numbers.

mod fixture;
mod palette;
mod pictures;
mod texts;
