//! Male-only removal: what is left of mating.

/// Share of females that mate when a share of the males is caught: 1 − exp(−E(1−c)), E matings without trapping.
///
/// # Source
/// Follows from PH-8 (published-checks PH-10).
pub fn share_mated(matings: f64, share_caught: f64) -> f64 {
    1.0 - libm::exp(-matings * (1.0 - share_caught))
}
