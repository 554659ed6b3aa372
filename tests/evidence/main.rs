//! Checks against numbers published outside this project.

mod catalogue;
