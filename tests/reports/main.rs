//! Pictures and reports of a run, made from a fixed invented outcome: they agree with each other and with the numbers.
#![allow(
    clippy::unwrap_used,
    reason = "a fixture that cannot be made must stop the test"
)]

mod cautions;
mod findings;
mod fixture;
mod game;
mod help_desk;
#[path = "../markup.rs"]
mod markup;
mod measure;
mod palette;
mod pictures;
mod place_findings;
mod play_findings;
mod product_findings;
mod products;
mod readability;
mod sheets;
mod summer;
mod texts;
mod yards;
