//! One other seed for every statistical test.

/// The fixed seed of a test; with `LUREFIELD_TEST_SEED=N` in the environment another one, the same for the same N.
///
/// A bound of four standard errors holds whatever the seed, so that a test that passes only with its own seed shows.
pub(crate) fn seed(fixed: u64) -> u64 {
    let Ok(said) = std::env::var("LUREFIELD_TEST_SEED") else {
        return fixed;
    };
    let n: u64 = said
        .trim()
        .parse()
        .unwrap_or_else(|_| panic!("LUREFIELD_TEST_SEED: \"{said}\" is no whole number"));
    // Spread by the golden ratio, and short enough for a number in a scenario file.
    fixed.wrapping_add(n.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 16)
}
