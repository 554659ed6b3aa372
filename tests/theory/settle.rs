//! The rule that says when enough summers have been taken, and means adjusted by known biology.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a helper of a test that fails should panic; the figures stand in the model description"
)]

use lurefield::engine::ensemble::Unwatched;
use lurefield::scenario::Scenario;
use lurefield::tally::compare::{How, compare};
use lurefield::tally::prepare::prepare;
use std::fmt::Write as _;
use std::path::Path;

/// Every shipped yard with plans to compare.
const YARDS: [&str; 10] = [
    "allotment-beetles",
    "backyard-pears-stink-bug",
    "dozen-apples-codling-moth",
    "isolated-orchard-perimeter",
    "newark-wind-beetles",
    "patio-wasps",
    "strawberry-netting",
    "strawberry-slugs",
    "street-of-five",
    "weak-lure",
];

fn shipped(yard: &str) -> Scenario {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|e| e.to_string());
    let name = format!("{yard}.json");
    let read = lurefield::scenario::read(&text(&name).unwrap(), &name, &text);
    read.unwrap_or_else(|faults| panic!("{yard}: {faults:?}"))
}

/// Writes the damage of every plan in each of many summers, of 100 and to 0.01, one table a yard, into the folder that
/// `LUREFIELD_SERIES` names: the tables in `tests/data/settle`, made anew.
#[test]
#[ignore = "takes many minutes; makes the tables in tests/data/settle anew"]
fn write_the_series() {
    let folder = std::env::var("LUREFIELD_SERIES").expect("LUREFIELD_SERIES names a folder");
    let yards = std::env::var("LUREFIELD_YARDS").unwrap_or_default();
    for yard in YARDS {
        if !yards.is_empty() && !yards.split(',').any(|y| y == yard) {
            continue;
        }
        let mut scenario = shipped(yard);
        scenario.settings.summers = SERIES;
        let prepared = prepare(&scenario, &Unwatched).unwrap();
        let how = How {
            most_summers: SERIES,
            spread: false,
        };
        let run = compare(&prepared, how, &Unwatched).unwrap().run;
        let names: Vec<String> = run.plans.iter().map(|p| p.name.replace(',', "")).collect();
        let mut table = names.join(",") + "\n";
        for summer in 0..SERIES as usize {
            let row = run.plans.iter().map(|p| {
                let value = format!("{:.2}", p.damage_by_summer[summer]);
                value.trim_end_matches('0').trim_end_matches('.').to_owned()
            });
            let row: Vec<String> = row.collect();
            let _ = writeln!(table, "{}", row.join(","));
        }
        std::fs::write(Path::new(&folder).join(format!("{yard}.csv")), table).unwrap();
    }
}

/// Summers of each table.
const SERIES: u32 = 2000;
