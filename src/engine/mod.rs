//! One yard, one summer: the walk, attraction, encounters, feeding. No files, no clock, no printing; threads only in
//! `ensemble`.
//!
//! Start with [`flight::live`]: it lives one insect's life. [`ground::Ground`] is the yard of one summer,
//! [`lure::LureSite`] a trap of one plan, [`event::Observer`] all that leaves the engine.

pub mod arrival;
pub mod clock;
pub mod ear;
pub mod ensemble;
pub mod event;
pub mod flight;
pub mod ground;
pub mod insect;
pub mod kept;
pub mod known;
pub mod log;
pub mod lookup;
pub mod lure;
pub mod random;
pub mod shares;
pub mod walk;
pub mod wind;
