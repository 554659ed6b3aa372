//! Male-only removal: what is left of mating.

/// Share of male visits that go to traps: a·T/(a·T + F), `attractiveness` of a trap relative to a female.
///
/// # Source
/// Premise of Knipling & McGuire 1966, USDA Agric Inf Bull 308 (formula from memory; published-checks PH-1).
pub fn share_of_visits_to_traps(attractiveness: f64, traps: f64, females: f64) -> f64 {
    attractiveness * traps / (attractiveness * traps + females)
}

/// Chance that a female mates on a day when a trap takes so many males a day: 1 − exp(−0.15·M).
///
/// # Source
/// Sharov et al. 1995, Environ Entomol 24: 1239-1244 (published-checks PH-8).
pub fn mated_a_day(males_per_trap_and_day: f64) -> f64 {
    -libm::expm1(-0.15 * males_per_trap_and_day)
}

/// Share of females that mate when a share of the males is caught: 1 − exp(−E(1−c)), E matings without trapping.
///
/// # Source
/// Follows from PH-8 (published-checks PH-10).
pub fn share_mated(matings: f64, share_caught: f64) -> f64 {
    1.0 - libm::exp(-matings * (1.0 - share_caught))
}

/// The same when each male mates up to so many females, sexes even: min(1, m(1−c)).
///
/// # Source
/// Derived (published-checks PH-11).
pub fn share_mated_by_busy_males(matings_per_male: f64, share_caught: f64) -> f64 {
    (matings_per_male * (1.0 - share_caught)).min(1.0)
}
