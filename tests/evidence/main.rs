//! Published sources, one file each.

mod field;
