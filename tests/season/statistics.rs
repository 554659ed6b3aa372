//! Limits and chances of counts, against library-statistics.json (scipy) and published values named beside each check.

use crate::json;
use lurefield::stats::{binomial, poisson, recapture};
use serde_json::Value;

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap()
}

#[test]
fn poisson_limits_agree_with_the_library() {
    let file = json("library-statistics.json");
    let rows = file["statistics"]["poisson_exact"].as_array().unwrap();
    assert!(rows.len() >= 16);
    for row in rows {
        let [low, high] =
            poisson::limits(row["count"].as_u64().unwrap(), number(row, "confidence"));
        near(low, number(row, "lower"), 1e-6, "lower");
        near(high, number(row, "upper"), 1e-6, "upper");
    }
}

#[test]
fn garwood_limits_hold() {
    // Garwood 1936, Biometrika 28:437-442.
    for (count, low, high) in [
        (0, 0.0, 3.689),
        (1, 0.025, 5.572),
        (3, 0.619, 8.767),
        (10, 4.795, 18.390),
    ] {
        let limits = poisson::limits(count, 0.95);
        near(limits[0], low, 1e-3, "lower");
        near(limits[1], high, 1e-3, "upper");
    }
}

#[test]
fn binomial_limits_agree_with_the_library() {
    let file = json("library-statistics.json");
    let rows = file["statistics"]["binomial"].as_array().unwrap();
    assert!(rows.len() >= 18);
    for row in rows {
        let (s, n) = (
            row["successes"].as_u64().unwrap(),
            row["trials"].as_u64().unwrap(),
        );
        let confidence = number(row, "confidence");
        let exact = binomial::exact_limits(s, n, confidence);
        near(exact[0], number(row, "exact_lower"), 1e-6, "exact lower");
        near(exact[1], number(row, "exact_upper"), 1e-6, "exact upper");
    }
}

#[test]
fn two_counts_compare_as_in_the_library() {
    let file = json("library-statistics.json");
    for row in file["statistics"]["two_poisson_counts"].as_array().unwrap() {
        let got = poisson::compare(
            row["count_1"].as_u64().unwrap(),
            number(row, "exposure_1"),
            row["count_2"].as_u64().unwrap(),
            number(row, "exposure_2"),
        );
        near(got.ratio, number(row, "rate_ratio_1_over_2"), 1e-6, "ratio");
        near(
            got.ratio_limits[0],
            number(row, "ratio_95_lower"),
            1e-6,
            "lower",
        );
        near(
            got.ratio_limits[1],
            number(row, "ratio_95_upper"),
            1e-5,
            "upper",
        );
        near(got.chance_if_equal, number(row, "p_two_sided"), 1e-6, "p");
    }
}

#[test]
fn twelve_or_more_at_a_mean_of_three_is_rare() {
    // Adams et al. 2017b, doi 10.1093/jee/tox147: counts of 0 to 12 at a mode of 3; P(>= 12 | mean 3) = 7.1e-5.
    near(poisson::chance_at_least(12, 3.0), 7.1e-5, 1e-6, "tail");
    let (mut term, mut sum) = (libm::exp(-3.0), 0.0);
    for k in 1..=12 {
        sum += term;
        term *= 3.0 / f64::from(k);
    }
    near(1.0 - sum, poisson::chance_at_least(12, 3.0), 1e-12, "sum");
    // A mean of 3.5 gives 12 or more in 3 of 10,000.
    near(poisson::chance_at_least(12, 3.5), 3e-4, 5e-5, "mean 3.5");
}

#[test]
fn numbers_to_be_sure_hold() {
    // ISPM 31 (2008), binomial basis, 95 in 100.
    for (p, n) in [
        (0.05, 59),
        (0.02, 149),
        (0.01, 299),
        (0.005, 598),
        (0.001, 2995),
    ] {
        assert_eq!(binomial::n_to_be_sure(p, 0.95), n, "{p}");
        assert!(binomial::zero_chance(n as f64, p) <= 0.05);
        assert!(binomial::zero_chance(n as f64 - 1.0, p) > 0.05);
    }
}

#[test]
fn clumped_catches_leave_more_empty_traps() {
    // Negative binomial P(0) = (1 + m/k)^-k, by its definition; a large k is Poisson.
    near(
        poisson::zero_chance_clumped(2.0, 1.0),
        1.0 / 3.0,
        1e-12,
        "k 1",
    );
    near(
        poisson::zero_chance_clumped(3.0, 0.5),
        (1.0_f64 / 7.0).sqrt(),
        1e-12,
        "k 0.5",
    );
    near(
        poisson::zero_chance_clumped(3.0, 1e9),
        libm::exp(-3.0),
        1e-8,
        "large k",
    );
    assert!(poisson::zero_chance_clumped(3.0, 1.5) > libm::exp(-3.0));
}

#[test]
fn recapture_estimates_hold() {
    // Worked example; Chapman 1951: 50 marked, 60 caught, 10 of them marked.
    let got = recapture::estimate(50, 60, 10).unwrap();
    near(
        got.lincoln_petersen.unwrap(),
        300.0,
        1e-9,
        "Lincoln-Petersen",
    );
    near(got.chapman, 281.8, 0.05, "Chapman");
    near(got.chapman_se, 65.46, 0.05, "standard error");
    // Marbles: 100, 80, 20.
    near(
        recapture::estimate(100, 80, 20)
            .unwrap()
            .lincoln_petersen
            .unwrap(),
        400.0,
        1e-9,
        "marbles",
    );
    assert_eq!(recapture::estimate(5, 60, 6), None);
    assert_eq!(
        recapture::estimate(50, 60, 0).unwrap().lincoln_petersen,
        None
    );
}
