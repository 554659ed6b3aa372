//! The engine against closed forms and limits.

mod arena;
mod attraction;
mod calibration;
mod common;
mod edge;
mod hours;
mod legs;
mod life;
mod random;
mod sensitivity;
mod settle;
mod slug;
mod spillover;
mod strata;
mod traps;
mod walk;
mod yard;
