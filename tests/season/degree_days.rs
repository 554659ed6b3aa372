//! Published single-day examples and exact cells.
//!
//! Sources stand beside each table. Cells marked exact follow from the stated formulas and agree with numerical integration.

use lurefield::season::degree_day::{Cutoff, Method, Rule};
use lurefield::weather::{DegreeDays, Temperature};

fn rule_f(method: Method, lower: f64, upper: Option<f64>, cutoff: Cutoff) -> Rule {
    Rule::new(
        method,
        Temperature::from_f(lower),
        upper.map(Temperature::from_f),
        cutoff,
    )
    .unwrap()
}

fn day_f(rule: &Rule, low: f64, high: f64) -> f64 {
    rule.of_day(Temperature::from_f(low), Temperature::from_f(high), None)
        .f()
}

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

/// Cells with lower 50 F and upper 88 F: Tmin, Tmax, sine H I V, triangle H I V, simple average, substitution.
const CELLS: [[f64; 10]; 9] = [
    [30.0, 48.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
    [35.0, 60.0, 2.809, 2.809, 2.809, 2.0, 2.0, 2.0, 0.0, 5.0],
    [40.0, 60.0, 3.183, 3.183, 3.183, 2.5, 2.5, 2.5, 0.0, 5.0],
    [
        38.0, 76.0, 9.963, 9.963, 9.963, 8.895, 8.895, 8.895, 7.0, 13.0,
    ],
    [50.0, 80.0, 15.0, 15.0, 15.0, 15.0, 15.0, 15.0, 15.0, 15.0],
    [
        48.0, 90.0, 19.0, 18.814, 13.678, 19.0, 18.952, 17.190, 19.0, 19.0,
    ],
    [
        55.0, 91.0, 22.629, 22.259, 15.545, 22.875, 22.750, 19.708, 23.0, 21.5,
    ],
    [
        60.0, 95.0, 26.143, 24.786, 14.927, 26.8, 26.1, 19.2, 27.5, 24.0,
    ],
    [90.0, 105.0, 38.0, 28.5, 0.0, 38.0, 28.5, 0.0, 47.5, 38.0],
];

#[test]
fn cells_of_all_methods_and_cutoffs_hold() {
    let cuts = [Cutoff::Horizontal, Cutoff::Intermediate, Cutoff::Vertical];
    for cell in CELLS {
        let [low, high, ..] = cell;
        for (i, cutoff) in cuts.into_iter().enumerate() {
            let sine = rule_f(Method::Sine, 50.0, Some(88.0), cutoff);
            let triangle = rule_f(Method::Triangle, 50.0, Some(88.0), cutoff);
            near(
                day_f(&sine, low, high),
                cell[2 + i],
                1e-3,
                &format!("sine {cutoff:?} {low}/{high}"),
            );
            near(
                day_f(&triangle, low, high),
                cell[5 + i],
                1e-3,
                &format!("triangle {cutoff:?} {low}/{high}"),
            );
        }
        let average = rule_f(Method::Average, 50.0, None, Cutoff::None);
        near(day_f(&average, low, high), cell[8], 1e-9, "simple average");
        let clamp = rule_f(Method::Substitution, 50.0, Some(88.0), Cutoff::Horizontal);
        near(day_f(&clamp, low, high), cell[9], 1e-9, "substitution");
    }
}

#[test]
fn forty_to_sixty_by_sine_is_ten_over_pi() {
    let sine = rule_f(Method::Sine, 50.0, None, Cutoff::None);
    near(
        day_f(&sine, 40.0, 60.0),
        10.0 / std::f64::consts::PI,
        1e-9,
        "10/pi",
    );
}

#[test]
fn double_methods_use_the_next_minimum() {
    // Tmin, Tmax, next Tmin, then sine H I V and triangle H I V (lower 50 F, upper 88 F).
    let cells = [
        [44.0, 70.0, 52.0, 9.627, 9.627, 9.627, 9.346, 9.346, 9.346],
        [
            60.0, 95.0, 50.0, 23.726, 22.452, 13.214, 24.378, 23.756, 17.622,
        ],
    ];
    for cell in cells {
        for (i, cutoff) in [Cutoff::Horizontal, Cutoff::Intermediate, Cutoff::Vertical]
            .into_iter()
            .enumerate()
        {
            for (method, at) in [(Method::DoubleSine, 3), (Method::DoubleTriangle, 6)] {
                let rule = rule_f(method, 50.0, Some(88.0), cutoff);
                let [low, high, next] = [cell[0], cell[1], cell[2]].map(Temperature::from_f);
                near(
                    rule.of_day(low, high, Some(next)).f(),
                    cell[at + i],
                    1e-3,
                    &format!("{method:?} {cutoff:?}"),
                );
            }
        }
    }
}

#[test]
fn celsius_cells_hold() {
    // Tmin, Tmax, sine H I V, triangle H I V (lower 10 C, upper 31.1 C).
    let cells = [
        [5.0, 18.0, 2.874, 2.874, 2.874, 2.462, 2.462, 2.462],
        [10.0, 28.0, 9.0, 9.0, 9.0, 9.0, 9.0, 9.0],
        [20.0, 40.0, 17.348, 14.695, 7.538, 18.020, 16.040, 8.630],
    ];
    for cell in cells {
        for (i, cutoff) in [Cutoff::Horizontal, Cutoff::Intermediate, Cutoff::Vertical]
            .into_iter()
            .enumerate()
        {
            for (method, at) in [(Method::Sine, 2), (Method::Triangle, 5)] {
                let rule = Rule::new(
                    method,
                    Temperature::from_c(10.0),
                    Some(Temperature::from_c(31.1)),
                    cutoff,
                )
                .unwrap();
                let got = rule
                    .of_day(
                        Temperature::from_c(cell[0]),
                        Temperature::from_c(cell[1]),
                        None,
                    )
                    .c();
                near(
                    got,
                    cell[at + i],
                    1e-3,
                    &format!("{method:?} {cutoff:?} {}/{}", cell[0], cell[1]),
                );
            }
        }
    }
}

#[test]
fn published_single_days_hold() {
    let average = rule_f(Method::Average, 50.0, None, Cutoff::None);
    // Nugent, Michigan State Univ., Calculating Growing Degree Days.
    near(day_f(&average, 40.0, 65.0), 2.5, 5e-3, "40/65");
    near(day_f(&average, 35.0, 60.0), 0.0, 5e-3, "35/60 by average");
    let sine = rule_f(Method::Sine, 50.0, None, Cutoff::None);
    near(day_f(&sine, 35.0, 60.0), 2.81, 5e-3, "35/60 by sine");
    // Farm-supply newsletter; Iowa State Agron 541.
    near(day_f(&average, 61.0, 83.0), 22.0, 5e-3, "61/83");
    near(day_f(&average, 50.0, 70.0), 10.0, 5e-3, "50/70");
    // UC IPM, California red scale: mean 64, base 53.
    let base_53 = rule_f(Method::Average, 53.0, None, Cutoff::None);
    near(day_f(&base_53, 58.0, 70.0), 11.0, 5e-3, "mean 64");
    // Growers' list, 23 Apr 2007, corn: 52/85, base 50, cap 86.
    let corn = rule_f(Method::Substitution, 50.0, Some(86.0), Cutoff::Horizontal);
    near(day_f(&corn, 52.0, 85.0), 18.5, 5e-3, "52/85");
    // Iowa State Agron 541, lesson 2b: a day can give at most 36.
    near(
        day_f(&corn, 90.0, 105.0),
        36.0,
        1e-9,
        "the most a corn day can give",
    );
    // News page quoting USU Extension: mid-50s to mid-80s gives 15-20 (54/84 -> 19).
    let moth = rule_f(Method::Sine, 50.0, Some(88.0), Cutoff::Horizontal);
    let got = day_f(&moth, 54.0, 84.0);
    assert!((15.0..=20.0).contains(&got));
    near(got, 19.0, 1e-9, "54/84");
}

#[test]
fn four_case_rule_holds() {
    // Met Éireann, met.ie/climate/data03: base 50.
    let rule = rule_f(Method::FourCase, 50.0, None, Cutoff::None);
    for (low, high, want) in [
        (35.0, 60.0, 2.5),
        (40.0, 60.0, 2.5),
        (38.0, 76.0, 10.0),
        (50.0, 80.0, 15.0),
        (30.0, 48.0, 0.0),
    ] {
        near(
            day_f(&rule, low, high),
            want,
            1e-9,
            &format!("{low}/{high}"),
        );
    }
}

#[test]
fn whole_day_above_the_upper_threshold_follows_the_definitions() {
    // Tmin 35, Tmax 40, lower 12, upper 33 C.
    for method in [Method::Sine, Method::Triangle] {
        for (cutoff, want) in [
            (Cutoff::Horizontal, 21.0),
            (Cutoff::Intermediate, 16.5),
            (Cutoff::Vertical, 0.0),
        ] {
            let rule = Rule::new(
                method,
                Temperature::from_c(12.0),
                Some(Temperature::from_c(33.0)),
                cutoff,
            )
            .unwrap();
            let got = rule
                .of_day(Temperature::from_c(35.0), Temperature::from_c(40.0), None)
                .c();
            near(got, want, 1e-9, &format!("{method:?} {cutoff:?}"));
        }
    }
}

#[test]
fn intermediate_cutoff_never_counts_below_zero() {
    let rule = rule_f(Method::Sine, 50.0, Some(60.0), Cutoff::Intermediate);
    near(day_f(&rule, 90.0, 110.0), 0.0, 0.0, "a very hot day");
}

#[test]
fn closed_forms_agree_with_a_sum_over_the_curve() {
    // 200,000 midpoints of the day's own curve, clipped at both thresholds: an independent route to the horizontal cutoff.
    let sum = |low: f64, high: f64, sine: bool| {
        let n = 200_000;
        let total: f64 = (0..n)
            .map(|i| {
                let u = (f64::from(i) + 0.5) / f64::from(n);
                let t = if sine {
                    0.5 * (low + high) + 0.5 * (high - low) * libm::sin(std::f64::consts::TAU * u)
                } else {
                    low + (high - low) * (1.0 - (2.0 * u - 1.0).abs())
                };
                t.clamp(50.0, 88.0) - 50.0
            })
            .sum();
        total / f64::from(n)
    };
    for (low, high) in [
        (31.3, 52.7),
        (44.0, 91.0),
        (49.9, 50.1),
        (70.0, 99.0),
        (12.0, 104.0),
    ] {
        for (method, sine) in [(Method::Sine, true), (Method::Triangle, false)] {
            let rule = rule_f(method, 50.0, Some(88.0), Cutoff::Horizontal);
            near(
                day_f(&rule, low, high),
                sum(low, high, sine),
                2e-5,
                &format!("{method:?} {low}/{high}"),
            );
        }
    }
}

#[test]
fn a_degree_day_has_no_offset_of_32() {
    near(
        DegreeDays::from_c(100.0).f(),
        180.0,
        1e-12,
        "100 C degree-days",
    );
    near(
        DegreeDays::from_f(250.0).c(),
        138.888_888_888_889,
        1e-9,
        "250 F degree-days",
    );
    near(
        Temperature::from_f(88.0).c(),
        31.111_111_111_111,
        1e-9,
        "88 F",
    );
    near(
        Temperature::from_f(Temperature::from_c(17.3).f()).c(),
        17.3,
        1e-12,
        "there and back",
    );
}

#[test]
fn one_day_gives_the_same_in_both_scales() {
    for (_, method) in Method::ALL {
        let f = rule_f(method, 50.0, None, Cutoff::None);
        let c = Rule::new(method, Temperature::from_c(10.0), None, Cutoff::None).unwrap();
        let (low, high) = (Temperature::from_f(45.5), Temperature::from_f(77.0));
        near(
            f.of_day(low, high, Some(low)).f(),
            1.8 * c.of_day(low, high, Some(low)).c(),
            1e-9,
            method.name(),
        );
    }
}

#[test]
fn rules_that_make_no_sense_are_refused() {
    let t = Temperature::from_f;
    assert!(Rule::new(Method::Sine, t(50.0), Some(t(50.0)), Cutoff::Horizontal).is_err());
    assert!(Rule::new(Method::Sine, t(50.0), None, Cutoff::Vertical).is_err());
    assert!(Rule::new(Method::Sine, t(50.0), Some(t(88.0)), Cutoff::None).is_err());
    assert!(Rule::new(Method::FourCase, t(50.0), Some(t(88.0)), Cutoff::Horizontal).is_err());
    assert!(
        Rule::new(
            Method::Substitution,
            t(50.0),
            Some(t(88.0)),
            Cutoff::Vertical
        )
        .is_err()
    );
}

#[test]
fn corn_earworm_stages_add_up_within_the_printed_rounding() {
    // Hartstack et al. 1976, via UC IPM: stages 72.9, 147.1 + 217.1, 323.1; printed total 760.1; pre-egg 112.7; adult to adult 872.8.
    let stages: f64 = 72.9 + 147.1 + 217.1 + 323.1;
    near(stages, 760.1, 0.1 + 1e-9, "egg to adult");
    near(760.1 + 112.7, 872.8, 1e-9, "adult to adult");
    let pest = lurefield::catalogue::season::season("corn-earworm").unwrap();
    let events = &pest.tables[0].events;
    near(
        events
            .iter()
            .find(|e| e.name.starts_with("second brood"))
            .unwrap()
            .at,
        872.8,
        1e-9,
        "catalogue",
    );
    near(
        events
            .iter()
            .find(|e| e.name == "first eggs hatch")
            .unwrap()
            .at,
        112.7 + 72.9,
        1e-9,
        "catalogue",
    );
}
