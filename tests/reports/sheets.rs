//! The pictures of pages and slides hold exactly the numbers of their tables.

use crate::measure::attribute;
use lurefield::figure::sheet::change::{AxisWords, Row, change};
use lurefield::figure::sheet::{Caption, Look, SLIDE_HEIGHT, damage, fate};
use lurefield::figure::{Figure, png};

fn caption(name: &str, columns: usize) -> Caption {
    Caption {
        name: name.into(),
        title: "A title".into(),
        alt: "An alternative".into(),
        levels: ["one".into(), "two".into(), "three".into()],
        header: vec!["x".into(); columns],
    }
}

fn slide() -> Look {
    Look::Slide {
        claim: "One claim".into(),
        foot: "A simulation, not a forecast for your yard.".into(),
    }
}

fn drawn(look: &Look, dots: &[f64], band: f64) -> Figure {
    let rows = [Row {
        name: "a plan".into(),
        notes: Vec::new(),
        dots: dots.to_vec(),
    }];
    let words = AxisWords {
        zero: "no change".into(),
        left: "less".into(),
        right: "more".into(),
        left_out: None,
    };
    change(caption("change", 3), &rows, band, &words, look)
}

/// Middles of all drawn squares (polygons of four points), x in half pixels.
fn squares(svg: &str) -> Vec<f64> {
    svg.split("<polygon")
        .skip(1)
        .filter_map(|p| {
            let points = p.split("points=\"").nth(1)?.split('"').next()?;
            let x: Vec<f64> = points
                .split_whitespace()
                .filter_map(|q| q.split(',').next()?.parse().ok())
                .collect();
            (x.len() == 4).then(|| x.iter().sum::<f64>() / 4.0)
        })
        .collect()
}

/// The band of no change: left and right edge.
fn band_edges(svg: &str) -> (f64, f64) {
    let rect = svg
        .split("<rect")
        .find(|r| r.contains("#E2E2E2"))
        .expect("the band is drawn");
    let left = attribute(rect, "x");
    (left, left + attribute(rect, "width"))
}

#[test]
fn marks_beyond_the_band_are_the_printed_counts() {
    // 18 above, 2 within, 0 below; none at the very edge.
    let dots: Vec<f64> = (0..20).map(|i| 0.2 + 0.45 * f64::from(i)).collect();
    for (band, more) in [(1.0, 18), (4.0, 11), (0.1, 20)] {
        for look in [Look::Page, slide()] {
            let figure = drawn(&look, &dots, band);
            let (_, right) = band_edges(&figure.svg);
            // The legend mark stands left of the axis.
            let n = squares(&figure.svg).iter().filter(|x| **x > right).count();
            assert_eq!(n, more, "band {band}");
            assert_eq!(dots.iter().filter(|d| **d > band).count(), more);
        }
    }
}

#[test]
fn every_mark_has_its_row_in_the_table() {
    let dots: Vec<f64> = (0..20).map(|i| f64::from(i) - 9.5).collect();
    let figure = drawn(&Look::Page, &dots, 1.0);
    assert_eq!(
        squares(&figure.svg).len(),
        20 + 1,
        "twenty marks and the legend"
    );
    let table: Vec<f64> = figure
        .table
        .rows
        .iter()
        .map(|r| r[2].parse().unwrap())
        .collect();
    for (a, b) in table.iter().zip(&dots) {
        assert!((a - b).abs() <= 0.05 + 1e-9);
    }
    assert_eq!(table.len(), dots.len());
}

#[test]
fn squares_of_a_hundred_are_the_numbers_beside_them() {
    let names = ["kept", "plant", "away"].map(String::from);
    let figure = fate::fate(caption("fate", 2), [14, 72, 14], &names, &slide());
    let discs = figure.svg.matches("<circle").count();
    assert_eq!(discs, 72 + 1, "one in the legend");
    let dark = figure.svg.matches("fill=\"#333333\"").count();
    assert_eq!(dark, 14 + 1);
    let numbers: Vec<&str> = figure.table.rows.iter().map(|r| r[1].as_str()).collect();
    assert_eq!(numbers, ["14", "72", "14"]);
}

#[test]
fn bars_are_as_long_as_their_numbers() {
    let row = |name: &str, damage: f64| damage::Row {
        name: name.into(),
        damage,
        damage_text: format!("{damage:.0}"),
        caught_text: "0".into(),
    };
    let rows = [row("a", 4.0), row("b", 11.0), row("c", 20.0)];
    let figure = damage::damage(
        caption("damage", 3),
        &rows,
        ("damage", "catch"),
        None,
        &Look::Page,
    );
    let lengths: Vec<f64> = figure
        .svg
        .split("<polygon")
        .skip(1)
        .filter(|p| p.split("/>").next().unwrap().contains("#707070"))
        .map(|p| {
            let points = p
                .split("points=\"")
                .nth(1)
                .unwrap()
                .split('"')
                .next()
                .unwrap();
            let x: Vec<f64> = points
                .split_whitespace()
                .map(|q| q.split(',').next().unwrap().parse().unwrap())
                .collect();
            x.iter().copied().fold(f64::MIN, f64::max) - x.iter().copied().fold(f64::MAX, f64::min)
        })
        .collect();
    assert_eq!(lengths.len(), 3);
    assert!((lengths[0] / lengths[2] - 0.2).abs() < 0.01, "{lengths:?}");
    assert!((lengths[1] / lengths[2] - 0.55).abs() < 0.01, "{lengths:?}");
}

/// Whatever number of plans a slide shows, its bars keep clear of each other and of the foot, and their numbers can be read.
#[test]
fn bars_of_a_slide_keep_clear_of_its_foot() {
    let long = "A claim that goes on and on until it takes a second line of the slide for itself";
    for claim in ["One claim", long] {
        let look = Look::Slide {
            claim: claim.into(),
            foot: "A simulation, not a forecast for your yard.".into(),
        };
        let most = damage::most_rows(&look);
        assert!(most >= 8, "{most} rows");
        for n in 2..=most {
            let row = |i: usize| damage::Row {
                name: format!("plan {i}"),
                damage: 10.0,
                damage_text: "10".into(),
                caught_text: "0".into(),
            };
            let rows: Vec<damage::Row> = (0..n).map(row).collect();
            let left_out = (n < most).then_some("Not shown");
            let columns = ("damage", "catch");
            let svg = damage::damage(caption("damage", 3), &rows, columns, left_out, &look).svg;
            let mut bars: Vec<(f64, f64)> = svg
                .split("<polygon")
                .skip(1)
                .filter(|p| p.split("/>").next().unwrap().contains("#707070"))
                .map(|p| {
                    let points = p.split("points=\"").nth(1).unwrap();
                    let points = points.split('"').next().unwrap().split_whitespace();
                    let y = points.map(|q| q.split(',').nth(1).unwrap().parse::<f64>().unwrap());
                    y.fold((f64::MAX, f64::MIN), |(a, b), y| (a.min(y), b.max(y)))
                })
                .collect();
            bars.sort_by(|a, b| a.0.total_cmp(&b.0));
            assert_eq!(bars.len(), n);
            assert!(bars.iter().all(|(top, low)| low - top >= 60.0), "{bars:?}");
            assert!(bars.windows(2).all(|b| b[1].0 - b[0].1 >= 15.0), "{bars:?}");
            // The foot is 52 high, with its middle 50 above the end.
            let foot = f64::from(SLIDE_HEIGHT as u32) - 76.0;
            assert!(
                bars[n - 1].1 <= foot - 40.0,
                "{n} rows end at {:?}",
                bars[n - 1]
            );
        }
    }
}

#[test]
fn slides_are_sixteen_to_nine_with_text_for_a_projector() {
    let dots: Vec<f64> = (0..20).map(f64::from).collect();
    let figure = drawn(&slide(), &dots, 1.0);
    let png = png(&figure);
    let number = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().unwrap());
    assert_eq!((number(16), number(20)), (2400, SLIDE_HEIGHT as u32));
    assert_eq!(2400 * 9, SLIDE_HEIGHT as u32 * 16);
    for part in figure.svg.split("font-size=\"").skip(1) {
        let size: f64 = part.split('"').next().unwrap().parse().unwrap();
        // Half pixels of a slide shown 1200 wide: 48 are 24 px.
        assert!(size >= 48.0, "text of {} px", size / 2.0);
    }
}

/// Text is at least 24 pixels high where a slide fills a screen of 1920 by 1080 pixels.
#[test]
fn every_slide_can_be_read_from_the_back() {
    let built = crate::products::slides();
    let mut n_texts = 0;
    for (name, svg) in &built {
        let tag = svg.split('>').next().unwrap();
        assert!(tag.contains("viewBox=\"0 0 2400 1350\""), "{name}: {tag}");
        for part in svg.split("font-size=\"").skip(1) {
            let size: f64 = part.split('"').next().unwrap().parse().unwrap();
            assert!(size * 1920.0 / 2400.0 >= 24.0, "{name}: {size}");
            n_texts += 1;
        }
    }
    assert!(built.len() >= 4 && n_texts > 40, "{} slides", built.len());
}

#[test]
fn every_picture_has_role_title_and_description() {
    let dots: Vec<f64> = (0..20).map(f64::from).collect();
    let svg = drawn(&Look::Page, &dots, 1.0).svg;
    for needed in [
        "role=\"img\"",
        "<title id=",
        "<desc id=",
        "aria-labelledby=",
    ] {
        assert!(svg.contains(needed), "{needed}");
    }
}
