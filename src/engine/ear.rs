//! Effective attraction radius (EAR): conversions between catches, radii and densities.
//!
//! The EAR is the radius of a sphere without attraction that would intercept as many insects as the baited trap.
//!
//! # Source
//! Definition, ratio of catches and layer rule: Byers, Anderbrant & Löfqvist 1989, J Chem Ecol 15: 749-765, and Byers
//! 2009, J Theor Biol 256: 81-89 (published). The formulas are from memory and follow from the definition.

use std::f64::consts::PI;

/// Thickness of the flight layer for one standard deviation of flight height: √(2π).
pub const LAYER_PER_SD: f64 = 2.506_628_274_631_000_5;

/// Effective attraction radius, metres: √(Ca·S/(π·Cp)).
///
/// Shape: catches above 0. Units: `silhouette_m2` is height × diameter of the passive trap, m2.
pub fn radius_m(baited_catch: f64, passive_catch: f64, silhouette_m2: f64) -> f64 {
    (baited_catch * silhouette_m2 / (PI * passive_catch)).sqrt()
}

/// Effective attraction radius in the plane (EARc), metres: π·EAR²/(2·FL), FL = √(2π)·SD of flight height.
pub fn plane_radius_m(radius_m: f64, height_sd_m: f64) -> f64 {
    PI * radius_m * radius_m / (2.0 * LAYER_PER_SD * height_sd_m)
}

/// Flying insects per m3 from the catch of a passive trap: Cp/(S·v·t).
pub fn flying_density_per_m3(
    passive_catch: f64,
    silhouette_m2: f64,
    speed_m_per_s: f64,
    time_s: f64,
) -> f64 {
    passive_catch / (silhouette_m2 * speed_m_per_s * time_s)
}

/// Share of the insects of an area that `n` catch discs take in a time: 1 − exp(−2·r·v·n·t/A).
///
/// # Source
/// Form of Byers 1993, J Chem Ecol 19: 1939-1956 (formula from memory).
pub fn share_caught(
    plane_radius_m: f64,
    speed_m_per_s: f64,
    n_traps: f64,
    time_s: f64,
    area_m2: f64,
) -> f64 {
    -libm::expm1(-2.0 * plane_radius_m * speed_m_per_s * n_traps * time_s / area_m2)
}

/// Radius that a recapture share at a distance implies for straight flight: p·π·R, metres.
pub fn radius_from_recapture_m(share: f64, distance_m: f64) -> f64 {
    share * PI * distance_m
}
