//! Checks against numbers published outside this project.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that fails should panic"
)]

mod catalogue;
mod compare;
mod field;
mod methods;
#[path = "../sourced.rs"]
mod sourced;
#[path = "../theory/yard.rs"]
mod yard;
