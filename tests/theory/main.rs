//! The engine against closed forms and limits.

mod arena;
mod attraction;
mod common;
mod life;
mod random;
mod slug;
mod traps;
mod walk;
mod yard;
