//! Where a trap should hang, and where it must not: every site of a yard on the same summers.
//!
//! Start with [`search::place`]. [`delta`] reruns only the insects that would answer a trap, [`site`] lists where one may
//! hang, [`objective`] says what counts, [`kriging`] draws the map between the sites, [`sweep`] varies distance, side,
//! number and spacing, and [`outcome`] is the plain result that figures and reports read.

mod counts;
pub mod delta;
pub mod kriging;
pub mod objective;
pub mod outcome;
pub mod search;
pub mod site;
pub mod sweep;
