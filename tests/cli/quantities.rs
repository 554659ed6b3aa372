//! Lengths, speeds and temperatures as people write them.

use lurefield::units::{Dimension, read_quantity};

#[test]
fn written_quantities_are_read_exactly() {
    // The international foot, inch, yard, mile and nautical mile are exact by definition.
    for (text, dimension, inside) in [
        ("30 ft", Dimension::Length, 9.144),
        ("30ft", Dimension::Length, 9.144),
        ("30 ft 6 in", Dimension::Length, 9.2964),
        ("30' 6\"", Dimension::Length, 9.2964),
        ("6 in", Dimension::Length, 0.1524),
        ("10 yd", Dimension::Length, 9.144),
        ("9.1 m", Dimension::Length, 9.1),
        ("91 cm", Dimension::Length, 0.91),
        ("-3 ft", Dimension::Length, -0.9144),
        ("5 mph", Dimension::Speed, 2.2352),
        ("2 m/s", Dimension::Speed, 2.0),
        ("4 kn", Dimension::Speed, 4.0 * 1852.0 / 3600.0),
        ("18 km/h", Dimension::Speed, 5.0),
        ("2 h", Dimension::Time, 7200.0),
        ("180 deg", Dimension::Angle, std::f64::consts::PI),
        ("212 F", Dimension::Temperature, 100.0),
        ("21 C", Dimension::Temperature, 21.0),
    ] {
        let read = read_quantity(text, dimension).unwrap();
        assert!((read - inside).abs() < 1e-12, "{text}: {read}");
    }
}

#[test]
fn other_texts_are_refused_with_examples() {
    for text in [
        "",
        "ft",
        "30",
        "30 furlongs",
        "30 ft 6",
        "6 in 30 ft",
        "1 m 2 m",
        "NaN m",
        "inf m",
        "1e9 m",
        "30 ft 6 in 2 in",
        "--3 ft",
        "３ ft",
    ] {
        let error = read_quantity(text, Dimension::Length).unwrap_err();
        assert!(
            error.contains("is not a length such as \"30 ft\""),
            "{text}: {error}"
        );
    }
}
