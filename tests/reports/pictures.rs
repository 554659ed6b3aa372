//! Pictures agree with their tables, are well-formed, hold no foreign markup, and come out the same twice.

use crate::fixture;
use crate::measure::attribute;
use lurefield::count::prepare::prepare;
use lurefield::engine::ensemble::Unwatched;
use lurefield::figure::canvas::text_width;
use lurefield::figure::map::View;
use lurefield::figure::sheet::{Caption, Look, yard::yard};
use lurefield::figure::{self, Figure};
use lurefield::placement::objective::Objective;
use lurefield::placement::search::{Question, place};
use lurefield::placement::site::Limits;
use lurefield::scenario::Scenario;
use lurefield::stats::words::in_print;
use lurefield::study::compare::{How, compare};
use lurefield::study::settle::Take;
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
    assert!(texts.contains(&"Trap 10 ft from the roses: rings around \"Trap\""));
    for (ring, row) in rings.iter().zip(&figure.table.rows) {
        assert_eq!(row[5], ring.damage.map_or_else(String::new, in_print));
        assert_eq!(
            row[4],
            ring.damage_without.map_or_else(String::new, in_print)
        );
        for cell in [&row[4], &row[5]] {
            assert!(cell.is_empty() || texts.contains(&cell.as_str()));
        }
    }
}

#[test]
fn a_plan_without_a_trap_has_no_rings() {
    let mut scenario = fixture::scenario();
    let outcome = fixture::outcome(&scenario, 40);
    scenario.plans[1].traps.clear();
    let rings = |scenario: &Scenario| {
        let figures = figure::of_run(scenario, &outcome);
        let mut rings = figures.into_iter();
        rings.find(|f| f.name == "distance-from-trap")
    };
    let figure = rings(&scenario).expect("one plan still has a trap");
    let plans: Vec<&str> = figure.table.rows.iter().map(|r| r[0].as_str()).collect();
    assert!(!plans.contains(&"Trap 10 ft from the roses"));
    assert!(plans.contains(&"Trap at the far fence"));
    scenario.plans[2].traps.clear();
    assert!(rings(&scenario).is_none());
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

#[test]
fn the_top_of_a_turned_map_is_the_side_that_the_file_calls_up() {
    let mut scenario = fixture::scenario();
    scenario.up_bearing_rad = 0.5 * std::f64::consts::PI;
    let view = View::new(&scenario, 0.0, 0.0, 1000.0, 1000.0);
    let (x, y) = view.direction(0.0);
    // With east at the top, north lies to the left.
    assert!((x + 1.0).abs() < 1e-9 && y.abs() < 1e-9);
    let upright = View::new(&fixture::scenario(), 0.0, 0.0, 1000.0, 1000.0);
    let at = scenario.plants[0].at;
    assert_eq!(view.at(at), upright.at(at));
}

/// Box of an element on the sheet: left, top, right, bottom.
type Box4 = [f64; 4];

/// All texts of a picture with their boxes, and whether they are names on a map, which have a white edge.
fn texts(document: &Document) -> Vec<(String, Box4, bool)> {
    let nodes = document.descendants();
    let boxed = nodes.filter(|n| n.has_tag_name("text")).map(|n| {
        let text = n.text().unwrap_or("").to_owned();
        let size = number(&n, "font-size");
        let bold = n.attribute("font-weight") == Some("bold");
        let width = text_width(&text, size, bold);
        let (x, y) = (number(&n, "x"), number(&n, "y"));
        let left = match n.attribute("text-anchor") {
            Some("middle") => x - 0.5 * width,
            Some("end") => x - width,
            _ => x,
        };
        let edged = n.attribute("paint-order") == Some("stroke");
        let about = [left, y - 0.38 * size, left + width, y + 0.38 * size];
        (text, about, edged)
    });
    boxed.collect()
}

/// Boxes of plants (circles) and of traps and arrows (triangles).
fn marks(document: &Document) -> Vec<Box4> {
    let circles = document.descendants().filter(|n| n.has_tag_name("circle"));
    let circles = circles.filter_map(|n| {
        let (x, y, r) = (number(&n, "cx"), number(&n, "cy"), number(&n, "r"));
        // The smallest dots fill an area with a pattern.
        (r > 4.0).then_some([x - r, y - r, x + r, y + r])
    });
    let shapes = document.descendants().filter(|n| n.has_tag_name("polygon"));
    let triangles = shapes.filter_map(|n| {
        let points = n.attribute("points")?.split_whitespace();
        let points: Vec<(f64, f64)> = points
            .filter_map(|p| p.split_once(','))
            .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
            .collect();
        let whole = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        let about = points.iter().fold(whole, |b, (x, y)| {
            [b[0].min(*x), b[1].min(*y), b[2].max(*x), b[3].max(*y)]
        });
        (points.len() == 3).then_some(about)
    });
    circles.chain(triangles).collect()
}

fn meet(a: &Box4, b: &Box4) -> bool {
    let slack = 2.0;
    a[0] + slack < b[2] && b[0] + slack < a[2] && a[1] + slack < b[3] && b[1] + slack < a[3]
}

/// The yard, the damage, the change and the places of a yard, drawn from a few summers.
fn maps(name: &str) -> (Scenario, Vec<Figure>) {
    let path = format!(
        "{}/tests/data/yards/{name}.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).unwrap();
    let mut scenario = lurefield::scenario::read(&text, name, &|_| Err("no files".into())).unwrap();
    scenario.settings.summers = 8;
    let how = How {
        take: Take::exactly(8),
        spread: false,
    };
    let outcome = compare(&prepare(&scenario, &Unwatched).unwrap(), how, &Unwatched).unwrap();
    let mut figures = figure::of_run(&scenario, &outcome.run);
    figures.extend(figure::of_compare(&scenario, &outcome));
    let question = Question {
        objective: Objective::Damage,
        limits: Limits {
            sites: Some(12),
            ..Limits::default()
        },
        apart_m: 3.0,
        sweeps: Vec::new(),
        neighbors_traps: false,
        all_summers: true,
    };
    let places = place(&scenario, &question, &Unwatched, &|_| false).unwrap();
    figures.extend(figure::placement::all(&scenario, &places));
    let caption = Caption {
        name: "yard-plan".into(),
        ..Caption::default()
    };
    let plan = &scenario.plans[1];
    figures.push(yard(caption, &scenario, plan, "north", &Look::Page, 1500.0));
    (scenario, figures)
}

#[test]
fn names_on_maps_of_narrow_and_of_large_yards_hide_nothing() {
    let folder = std::env::temp_dir().join("lurefield-pictures");
    std::fs::create_dir_all(&folder).unwrap();
    for yard in ["narrow", "large"] {
        let (scenario, figures) = maps(yard);
        let mut n_names = 0;
        for figure in figures {
            let name = format!("{yard}-{}", figure.name);
            std::fs::write(folder.join(format!("{name}.png")), figure::png(&figure)).unwrap();
            let document = Document::parse(&figure.svg).unwrap();
            let height = attribute(&figure.svg, "height");
            let (texts, marks) = (texts(&document), marks(&document));
            for (i, (text, about, edged)) in texts.iter().enumerate() {
                assert!(
                    about[0] >= 0.0
                        && about[2] <= 2400.0
                        && about[1] >= 0.0
                        && about[3] <= 2.0 * height,
                    "{name}: {text} leaves the sheet"
                );
                if !edged {
                    continue;
                }
                n_names += 1;
                for (other, at, _) in texts.iter().take(i).chain(&texts[i + 1..]) {
                    assert!(!meet(about, at), "{name}: {text} lies on {other}");
                }
                let hidden = marks.iter().find(|mark| meet(about, mark));
                assert!(
                    hidden.is_none(),
                    "{name}: {text} lies on a plant or a trap at {hidden:?}"
                );
            }
            if ["yard-plan", "damage-map", "placement-map"].contains(&figure.name.as_str()) {
                for crop in scenario
                    .crops
                    .iter()
                    .filter(|c| c.owner == lurefield::scenario::Owner::Mine)
                {
                    let named = |t: &(String, Box4, bool)| t.2 && t.0.starts_with(&crop.name);
                    assert!(
                        texts.iter().any(named),
                        "{name} does not name {}",
                        crop.name
                    );
                }
            }
        }
        assert!(n_names > 40, "{yard}: only {n_names} names");
    }
}

#[test]
fn places_where_insects_come_from_are_drawn_and_in_the_legend() {
    let (scenario, figures) = maps("narrow");
    let damage = figures.iter().find(|f| f.name == "damage-map").unwrap();
    assert!(damage.svg.contains("lawn with grubs") && damage.svg.contains("60 of 100 from here"));
    assert_eq!(scenario.sources.len(), 2);
    for figure in figures {
        let maps = [
            "damage-map",
            "visits-map",
            "feeding-map",
            "placement-map",
            "compare-change-map",
        ];
        if maps.contains(&figure.name.as_str()) {
            let document = Document::parse(&figure.svg).unwrap();
            let said: Vec<String> = texts(&document).into_iter().map(|t| t.0).collect();
            for wanted in ["where beetles come from", "beetles come from this side"] {
                assert!(
                    said.iter().any(|t| t == wanted),
                    "{}: no {wanted}",
                    figure.name
                );
            }
        }
    }
}

#[test]
fn the_scale_of_single_summers_has_round_numbers() {
    for worst in [3.0, 17.0, 26.0, 64.0, 88.0, 100.0] {
        let scenario = fixture::scenario();
        let mut outcome = fixture::outcome(&scenario, 40);
        for plan in &mut outcome.plans {
            plan.plant_damage.fill(0.2);
            for single in &mut plan.single_summers {
                single.plant_damage.fill(worst);
            }
        }
        let figures = figure::of_run(&scenario, &outcome);
        let figure = figures.iter().find(|f| f.name == "single-summers").unwrap();
        let document = Document::parse(&figure.svg).unwrap();
        let texts = texts(&document);
        let none = texts.iter().find(|t| t.0 == "none").unwrap().1;
        // The numbers stand in line with the word for nothing.
        let ticks = texts.iter().filter(|t| (t.1[1] - none[1]).abs() < 1.0);
        let ticks: Vec<f64> = ticks.filter_map(|t| t.0.parse().ok()).collect();
        assert!((4..=7).contains(&ticks.len()), "{worst}: {ticks:?}");
        assert!(
            ticks[0] == 0.0 && ticks[ticks.len() - 1] >= worst,
            "{worst}: {ticks:?}"
        );
        for pair in ticks.windows(2) {
            let step = pair[1] - pair[0];
            assert!(
                [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 25.0].contains(&step),
                "{worst}: {ticks:?}"
            );
        }
    }
}
