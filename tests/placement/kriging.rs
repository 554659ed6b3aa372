//! Kriging against a general-purpose library (tests/data/kriging.json, made outside the project).

use lurefield::geometry::Point;
use lurefield::placement::kriging::{Covariance, Kernel, Surface};
use serde_json::Value;

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|v| v.as_f64().unwrap())
        .collect()
}

fn points(value: &Value) -> Vec<Point> {
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|p| Point::new(p[0].as_f64().unwrap(), p[1].as_f64().unwrap()))
        .collect()
}

#[test]
fn ordinary_kriging_agrees_with_the_reference_library() {
    let data: Value = serde_json::from_str(include_str!("../data/kriging.json")).unwrap();
    let toy = &data["kriging"]["toy_yard_30x20_m"];
    let (places, values) = (points(&toy["points_xy"]), numbers(&toy["values"]));
    let targets = points(&toy["targets_xy"]);
    let mut compared = 0;
    for case in toy["cases"].as_array().unwrap() {
        if !case["kind"].as_str().unwrap().starts_with("ordinary") {
            continue;
        }
        let nugget = case["nugget"].as_f64().unwrap();
        let covariance = Covariance {
            kernel: Kernel::Exponential,
            sill: 4.0,
            length_m: 6.0,
        };
        let surface = Surface::new(&places, &values, &[nugget; 12], covariance).unwrap();
        let wanted = numbers(&case["prediction"]);
        let sd = numbers(&case["sd_of_the_noise_free_field"]);
        for ((at, value), sd) in targets.iter().zip(wanted).zip(sd) {
            let got = surface.predict(*at);
            assert!((got.value - value).abs() < 1e-6, "{got:?} {value}");
            assert!((got.se - sd).abs() < 1e-6, "{got:?} {sd}");
            compared += 1;
        }
    }
    assert_eq!(compared, 10);
}

#[test]
fn surface_passes_through_exact_sites_and_knows_it() {
    let places: Vec<Point> = (0..9)
        .map(|i| Point::new(f64::from(i % 3), f64::from(i / 3)))
        .collect();
    let values: Vec<f64> = places.iter().map(|p| p.x + 2.0 * p.y).collect();
    for kernel in Kernel::ALL {
        let covariance = Covariance {
            kernel,
            sill: 2.0,
            length_m: 1.5,
        };
        let surface = Surface::new(&places, &values, &[0.0; 9], covariance).unwrap();
        for (at, value) in places.iter().zip(&values) {
            let got = surface.predict(*at);
            assert!(
                (got.value - value).abs() < 1e-6 && got.se < 1e-3,
                "{kernel:?} {got:?}"
            );
        }
    }
}
