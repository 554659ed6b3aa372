//! Where a trap should hang, and where it must not: every site of a yard on the same summers.
//!
//! Start with [`search::place`]. [`delta`] tries one trap at many sites by [`crate::count::rerun`], [`site`] chooses where to try
//! one, `rounds` gives each site as many summers as it needs, [`objective`] says what counts, [`kriging`] draws surfaces
//! between the sites and [`zones`] the map, [`sweep`] varies distance, side,
//! number and spacing, and [`outcome`] with [`finding`] is the plain result that figures and reports read.

pub mod delta;
pub mod finding;
pub mod kriging;
pub mod objective;
pub mod outcome;
mod rounds;
pub mod search;
pub mod site;
pub mod sweep;
pub mod words;
pub mod zones;
