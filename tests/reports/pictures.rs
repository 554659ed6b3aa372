//! Pictures agree with their tables, are well-formed, hold no foreign markup, and come out the same twice.

use crate::fixture;
use lurefield::figure::{self, Figure};
use resvg::usvg::roxmltree::{Document, Node};

fn figures() -> Vec<Figure> {
    let scenario = fixture::scenario();
    figure::of_run(&scenario, &fixture::outcome(&scenario, 1000))
}

fn named(name: &str) -> Figure {
    figures()
        .into_iter()
        .find(|f| f.name == name)
        .expect("the picture exists")
}

fn number(node: &Node, name: &str) -> f64 {
    node.attribute(name)
        .and_then(|v| v.parse().ok())
        .expect("a number")
}

/// Leaves the pictures where a person can look at them.
#[test]
fn pictures_are_written_for_looking_at() {
    let folder = std::env::temp_dir().join("lurefield-pictures");
    std::fs::create_dir_all(&folder).unwrap();
    for figure in figures() {
        let png = figure::png(&figure);
        assert_eq!(&png[1..4], b"PNG");
        let width = u32::from_be_bytes([png[16], png[17], png[18], png[19]]);
        assert_eq!(width, 2400, "{}", figure.name);
        std::fs::write(folder.join(format!("{}.png", figure.name)), png).unwrap();
        std::fs::write(folder.join(format!("{}.svg", figure.name)), &figure.svg).unwrap();
        std::fs::write(
            folder.join(format!("{}.txt", figure.name)),
            figure.alternative(),
        )
        .unwrap();
    }
}

#[test]
fn a_run_of_three_plans_has_seven_pictures() {
    let names: Vec<String> = figures().into_iter().map(|f| f.name).collect();
    assert_eq!(
        names,
        [
            "damage-map",
            "twenty-summers",
            "change-in-twenty-summers",
            "visits-map",
            "feeding-map",
            "distance-from-trap",
            "single-summers"
        ]
    );
}

#[test]
fn a_single_plan_without_trap_still_has_its_maps() {
    let mut scenario = fixture::scenario();
    let mut outcome = fixture::outcome(&scenario, 40);
    scenario.plans.truncate(1);
    outcome.plans.truncate(1);
    outcome.plans[0].rings.clear();
    outcome.plans[0].single_summers.clear();
    let names: Vec<String> = figure::of_run(&scenario, &outcome)
        .into_iter()
        .map(|f| f.name)
        .collect();
    assert_eq!(
        names,
        ["damage-map", "twenty-summers", "visits-map", "feeding-map"]
    );
}

#[test]
fn svg_is_well_formed_and_names_itself() {
    for figure in figures() {
        let document =
            Document::parse(&figure.svg).unwrap_or_else(|e| panic!("{}: {e}", figure.name));
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        let children: Vec<&str> = root
            .children()
            .filter(Node::is_element)
            .map(|n| n.tag_name().name())
            .collect();
        assert_eq!(children[..2], ["title", "desc"]);
        let of = |tag: &str| {
            root.children()
                .find(|n| n.has_tag_name(tag))
                .map(|n| (n.attribute("id").unwrap(), n.text().unwrap()))
        };
        let (title, desc) = (of("title").unwrap(), of("desc").unwrap());
        assert_eq!(
            root.attribute("aria-labelledby"),
            Some(format!("{} {}", title.0, desc.0).as_str())
        );
        assert!(!title.1.is_empty() && desc.1.contains(&figure.levels[1][..20]));
    }
}

#[test]
fn no_text_is_smaller_than_9_pixels_at_half_size() {
    for figure in figures() {
        let document = Document::parse(&figure.svg).unwrap();
        let texts: Vec<f64> = document
            .descendants()
            .filter(|n| n.has_tag_name("text"))
            .map(|n| number(&n, "font-size"))
            .collect();
        assert!(!texts.is_empty());
        // The sheet is 2400 wide and 600 pixels wide at half size.
        assert!(
            texts.iter().all(|size| size / 4.0 >= 8.99),
            "{}",
            figure.name
        );
    }
}

#[test]
fn titles_say_that_the_picture_is_uncertain() {
    for figure in figures() {
        let document = Document::parse(&figure.svg).unwrap();
        let title = document
            .descendants()
            .find(|n| n.has_tag_name("title"))
            .unwrap()
            .text()
            .unwrap()
            .to_owned();
        assert!(
            title.contains("possible summers") || title.contains("simulated summers"),
            "{title}"
        );
    }
}

/// Centres of the dots of the first plan, which are circles, without the one that marks the row.
fn dot_centres(svg: &str) -> Vec<f64> {
    let document = Document::parse(svg).unwrap();
    document
        .descendants()
        .filter(|n| n.has_tag_name("circle"))
        .map(|n| number(&n, "cx"))
        .skip(1)
        .collect()
}

#[test]
fn drawn_dots_are_the_dots_of_the_table() {
    let figure = named("twenty-summers");
    let mut drawn = dot_centres(&figure.svg);
    assert_eq!(drawn.len(), 20);
    drawn.sort_by(f64::total_cmp);
    let table: Vec<f64> = figure
        .table
        .rows
        .iter()
        .filter(|r| r[0] == "No trap")
        .map(|r| r[2].parse().unwrap())
        .collect();
    assert_eq!(table.len(), 20);
    // Ends fix the axis; every dot between must lie where its number says, but for rounding to half pixels.
    let scale = (drawn[19] - drawn[0]) / (table[19] - table[0]);
    for (x, value) in drawn.iter().zip(&table) {
        let expected = drawn[0] + (value - table[0]) * scale;
        assert!((x - expected).abs() <= 2.0, "{x} against {expected}");
    }
}

#[test]
fn drawn_bars_are_the_numbers_of_the_table() {
    let figure = named("distance-from-trap");
    let document = Document::parse(&figure.svg).unwrap();
    let texts: Vec<&str> = document
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .filter_map(|n| n.text())
        .collect();
    let outcome = fixture::outcome(&fixture::scenario(), 1000);
    let rings: Vec<_> = outcome
        .plans
        .iter()
        .skip(1)
        .flat_map(|p| &p.rings)
        .collect();
    assert_eq!(rings.len(), figure.table.rows.len());
    let blue: Vec<f64> = document
        .descendants()
        .filter(|n| n.has_tag_name("rect") && n.attribute("fill") == Some("#0072B2"))
        .map(|n| number(&n, "width"))
        .skip(1)
        .collect();
    let first: Vec<f64> = outcome.plans[1]
        .rings
        .iter()
        .filter_map(|r| r.damage)
        .collect();
    assert_eq!(blue.len(), first.len());
    for i in 1..first.len() {
        assert!((blue[i] / blue[0] - first[i] / first[0]).abs() < 0.01);
    }
    for (ring, row) in rings.iter().zip(&figure.table.rows) {
        assert_eq!(
            row[4],
            ring.damage.map_or_else(String::new, |d| format!("{d:.0}"))
        );
        assert_eq!(
            row[3],
            ring.damage_without
                .map_or_else(String::new, |d| format!("{d:.0}"))
        );
        for cell in [&row[3], &row[4]] {
            assert!(cell.is_empty() || texts.contains(&cell.as_str()));
        }
    }
}

#[test]
fn numbers_on_the_damage_map_are_the_numbers_of_its_table() {
    let figure = named("damage-map");
    let document = Document::parse(&figure.svg).unwrap();
    let texts: Vec<&str> = document
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .filter_map(|n| n.text())
        .collect();
    let outcome = fixture::outcome(&fixture::scenario(), 1000);
    let damages: Vec<f64> = outcome
        .plans
        .iter()
        .flat_map(|p| p.crop_damage.clone())
        .collect();
    assert_eq!(damages.len(), figure.table.rows.len());
    for (row, damage) in figure.table.rows.iter().zip(damages) {
        assert_eq!(row[3], format!("{damage:.0}"));
        assert!(
            texts.contains(&format!("{} {}", row[1], row[3]).as_str()),
            "{row:?}"
        );
    }
}

#[test]
fn panels_share_one_scale() {
    // The two plans hold the same damage for every plant, so their circles must have the same colours.
    let scenario = fixture::scenario();
    let mut outcome = fixture::outcome(&scenario, 40);
    outcome.plans[2].plant_damage = outcome.plans[0].plant_damage.clone();
    let figure = &figure::of_run(&scenario, &outcome)[0];
    let document = Document::parse(&figure.svg).unwrap();
    let fills: Vec<&str> = document
        .descendants()
        .filter(|n| n.has_tag_name("circle"))
        .filter_map(|n| n.attribute("fill"))
        .filter(|f| *f != "none" && *f != "#ECECEC")
        .collect();
    let n = scenario.plants.len();
    assert_eq!(fills[..n], fills[2 * n..3 * n]);
    assert_ne!(fills[..n], fills[n..2 * n]);
}

#[test]
fn a_plant_without_damage_stays_unfilled() {
    let scenario = fixture::scenario();
    let mut outcome = fixture::outcome(&scenario, 40);
    outcome.plans[0].plant_damage[0] = 0.0;
    let figure = &figure::of_run(&scenario, &outcome)[0];
    let document = Document::parse(&figure.svg).unwrap();
    let white = document
        .descendants()
        .filter(|n| n.has_tag_name("circle") && n.attribute("fill") == Some("#FFFFFF"))
        .count();
    assert_eq!(white, 1);
}

#[test]
fn names_from_a_scenario_cannot_become_markup() {
    let mut scenario = fixture::scenario();
    let bad = "<script>alert(1)</script> & \"'\u{1}";
    scenario.plans[1].name = bad.into();
    scenario.plans[1].traps[0].name = bad.into();
    scenario.crops[0].name = bad.into();
    scenario.structures[0].name = bad.into();
    scenario.plots[0].name = bad.into();
    scenario.pest.short = bad.into();
    let outcome = fixture::outcome(&scenario, 40);
    for figure in figure::of_run(&scenario, &outcome) {
        assert!(!figure.svg.contains("<script"), "{}", figure.name);
        let document =
            Document::parse(&figure.svg).unwrap_or_else(|e| panic!("{}: {e}", figure.name));
        assert!(document.descendants().all(|n| !n.has_tag_name("script")));
    }
}

#[test]
fn pictures_are_equal_bytes_when_made_twice() {
    let (once, twice) = (figures(), figures());
    assert_eq!(once, twice);
    assert_eq!(figure::png(&once[0]), figure::png(&twice[0]));
}

#[test]
fn tables_are_rectangular_and_texts_are_there() {
    for figure in figures() {
        assert!(!figure.table.rows.is_empty());
        assert!(
            figure
                .table
                .rows
                .iter()
                .all(|r| r.len() == figure.table.header.len()),
            "{}",
            figure.name
        );
        assert!(!figure.alt.is_empty() && figure.levels.iter().all(|l| !l.is_empty()));
        assert!(!figure.levels.concat().contains("NaN"), "{}", figure.name);
    }
}

#[test]
fn a_turned_map_keeps_everything_inside_its_sheet() {
    let mut scenario = fixture::scenario();
    scenario.up_bearing_rad = 0.6;
    let outcome = fixture::outcome(&scenario, 40);
    let figures = figure::of_run(&scenario, &outcome);
    let folder = std::env::temp_dir().join("lurefield-pictures");
    std::fs::create_dir_all(&folder).unwrap();
    for figure in figures
        .iter()
        .filter(|f| f.name == "damage-map" || f.name == "visits-map")
    {
        std::fs::write(
            folder.join(format!("turned-{}.png", figure.name)),
            figure::png(figure),
        )
        .unwrap();
        let document = Document::parse(&figure.svg).unwrap();
        for node in document.descendants().filter(|n| n.has_tag_name("circle")) {
            let (x, y, r) = (number(&node, "cx"), number(&node, "cy"), number(&node, "r"));
            assert!(x - r >= 0.0 && x + r <= 2400.0 && y - r >= 0.0);
        }
    }
}
