//! Colours stay apart in normal, grey and colour-deficient vision; limits from the design: ends at least 40 apart in CIE Lab,
//! neighbouring classes at least 8, one-way lightness.
//!
//! Simulation: Machado, Oliveira & Fernandes 2009, IEEE TVCG 15: 1291-1298, matrices of full severity (1.0), from memory;
//! applied to linear RGB. CIE Lab with the white point D65 (sRGB standard IEC 61966-2-1, values from memory).

use lurefield::figure::palette::{self, RGBColor, Ramp};

type Matrix = [[f64; 3]; 3];

const NORMAL: Matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
const PROTAN: Matrix = [
    [0.152_286, 1.052_583, -0.204_868],
    [0.114_503, 0.786_281, 0.099_216],
    [-0.003_882, -0.048_116, 1.051_998],
];
const DEUTAN: Matrix = [
    [0.367_322, 0.860_646, -0.227_968],
    [0.280_085, 0.672_501, 0.047_413],
    [-0.011_820, 0.042_940, 0.968_881],
];
const TRITAN: Matrix = [
    [1.255_528, -0.076_749, -0.178_779],
    [-0.078_411, 0.930_809, 0.147_602],
    [0.004_733, 0.691_367, 0.303_900],
];
/// Luminance in all three channels.
const GREY: Matrix = [[0.2126, 0.7152, 0.0722]; 3];

fn linear(v: u8) -> f64 {
    let v = f64::from(v) / 255.0;
    if v <= 0.04045 {
        v / 12.92
    } else {
        libm::pow((v + 0.055) / 1.055, 2.4)
    }
}

fn lab(colour: RGBColor, vision: &Matrix) -> [f64; 3] {
    let rgb = [linear(colour.0), linear(colour.1), linear(colour.2)];
    let seen =
        vision.map(|row| (row[0] * rgb[0] + row[1] * rgb[1] + row[2] * rgb[2]).clamp(0.0, 1.0));
    let to_xyz = [
        [0.412_456, 0.357_576, 0.180_438],
        [0.212_673, 0.715_152, 0.072_175],
        [0.019_334, 0.119_192, 0.950_304],
    ];
    let white = [0.950_47, 1.0, 1.088_83];
    let f: Vec<f64> = (0..3)
        .map(|i| {
            let t = (0..3).map(|j| to_xyz[i][j] * seen[j]).sum::<f64>() / white[i];
            if t > 216.0 / 24389.0 {
                libm::cbrt(t)
            } else {
                (24389.0 / 27.0 * t + 16.0) / 116.0
            }
        })
        .collect();
    [
        116.0 * f[1] - 16.0,
        500.0 * (f[0] - f[1]),
        200.0 * (f[1] - f[2]),
    ]
}

fn distance(a: RGBColor, b: RGBColor, vision: &Matrix) -> f64 {
    let (a, b) = (lab(a, vision), lab(b, vision));
    a.iter()
        .zip(b)
        .map(|(a, b)| (a - b) * (a - b))
        .sum::<f64>()
        .sqrt()
}

#[test]
fn conversion_meets_known_colours() {
    // White, black and pure red; red is L 53.24, a 80.09, b 67.20 (from memory).
    let close = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 0.1);
    assert!(close(
        lab(RGBColor(255, 255, 255), &NORMAL),
        [100.0, 0.0, 0.0]
    ));
    assert!(close(lab(RGBColor(0, 0, 0), &NORMAL), [0.0, 0.0, 0.0]));
    assert!(close(
        lab(RGBColor(255, 0, 0), &NORMAL),
        [53.24, 80.09, 67.20]
    ));
}

#[test]
fn every_simulation_leaves_white_white() {
    for vision in [PROTAN, DEUTAN, TRITAN, GREY] {
        assert!(distance(RGBColor(255, 255, 255), RGBColor(255, 255, 255), &vision) < 1e-9);
        assert!((lab(RGBColor(255, 255, 255), &vision)[0] - 100.0).abs() < 0.05);
    }
}

#[test]
fn ends_of_maps_stay_40_apart_in_every_vision() {
    for vision in [NORMAL, GREY, DEUTAN, PROTAN, TRITAN] {
        for ramp in [Ramp::Damage, Ramp::Visits] {
            assert!(
                distance(ramp.colour(0.0), ramp.colour(1.0), &vision) >= 40.0,
                "{ramp:?}"
            );
        }
    }
    for vision in [NORMAL, DEUTAN, PROTAN, TRITAN] {
        assert!(distance(palette::difference(-1.0), palette::difference(1.0), &vision) >= 40.0);
    }
}

#[test]
fn neighbouring_classes_stay_8_apart_in_every_vision() {
    for vision in [NORMAL, GREY, DEUTAN, PROTAN, TRITAN] {
        for ramp in [Ramp::Damage, Ramp::Visits] {
            for class in 1..6 {
                let at = |c: i32| ramp.colour(f64::from(c) / 5.0);
                let step = distance(at(class - 1), at(class), &vision);
                assert!(step >= 8.0, "{ramp:?} class {class}: {step}");
            }
        }
    }
}

#[test]
fn more_is_always_darker() {
    for ramp in [Ramp::Damage, Ramp::Visits] {
        for i in 1..=100 {
            let lightness = |i: i32| lab(ramp.colour(f64::from(i) / 100.0), &GREY)[0];
            // Half a step of rounding to 8 bits.
            assert!(lightness(i) < lightness(i - 1) + 0.2, "{ramp:?} at {i}");
        }
    }
}

#[test]
fn orange_means_more_and_the_middle_is_near_white() {
    let (more, less, none) = (
        palette::difference(1.0),
        palette::difference(-1.0),
        palette::difference(0.0),
    );
    assert!(more.0 > more.2, "orange has more red than blue");
    assert!(less.2 > less.0, "purple has more blue than red");
    assert!(lab(none, &NORMAL)[0] > 95.0);
}

#[test]
fn plan_colours_reach_3_to_1_on_white_and_differ_in_shape() {
    for i in 0..5 {
        let light = palette::relative_luminance(palette::plan(i).0);
        assert!(1.05 / (light + 0.05) >= 3.0, "plan {i}");
        for j in 0..i {
            assert_ne!(palette::plan(i).0, palette::plan(j).0);
            assert!(i == 4 || palette::plan(i).1 != palette::plan(j).1);
        }
    }
    for i in 0..20 {
        for j in 0..i {
            assert_ne!(palette::plan(i), palette::plan(j), "{i} and {j}");
        }
    }
}

#[test]
fn numbers_in_circles_reach_4_5_to_1() {
    for i in 0..=100 {
        let fill = Ramp::Damage.colour(f64::from(i) / 100.0);
        let (a, b) = (
            palette::relative_luminance(fill),
            palette::relative_luminance(palette::text_on(fill)),
        );
        assert!((a.max(b) + 0.05) / (a.min(b) + 0.05) >= 4.5, "at {i}");
    }
}

/// Every colour that the pages' style names as text or line, against the ground it stands on.
#[test]
fn page_text_reaches_4_5_to_1() {
    let css = include_str!("../../src/report/products/page.css");
    let hex = |c: &str| {
        let full: String = if c.len() == 3 {
            c.chars().flat_map(|d| [d, d]).collect()
        } else {
            c.to_owned()
        };
        let v = u32::from_str_radix(&full, 16).unwrap();
        RGBColor((v >> 16) as u8, (v >> 8) as u8, v as u8)
    };
    let mut n = 0;
    for part in css.split('#').skip(1) {
        let digits: String = part.chars().take_while(char::is_ascii_hexdigit).collect();
        if ![3, 6].contains(&digits.len()) {
            continue;
        }
        let light = palette::relative_luminance(hex(&digits));
        // Light colours are grounds (text on them is black), dark ones are text and lines on white.
        let contrast = if light > 0.5 {
            (light + 0.05) / 0.05
        } else {
            1.05 / (light + 0.05)
        };
        assert!(contrast >= 4.5, "#{digits}: {contrast:.2}");
        n += 1;
    }
    assert!(n > 10);
}

/// Dots of the moving picture: eating orange, flying blue. They also differ by a ring.
#[test]
fn colours_of_the_moving_picture_stay_apart() {
    let (orange, blue) = (RGBColor(0xD5, 0x5E, 0x00), RGBColor(0x00, 0x72, 0xB2));
    for vision in [NORMAL, DEUTAN, PROTAN, TRITAN] {
        assert!(distance(orange, blue, &vision) >= 40.0);
    }
    for colour in [
        orange,
        blue,
        RGBColor(0x76, 0x76, 0x76),
        RGBColor(0, 0x42, 0x7a),
    ] {
        for vision in [NORMAL, GREY, DEUTAN, PROTAN, TRITAN] {
            assert!(distance(colour, RGBColor(255, 255, 255), &vision) >= 40.0);
        }
    }
}
