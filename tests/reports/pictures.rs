//! Pictures.

use crate::fixture;
use lurefield::figure::{self, Figure};

fn figures() -> Vec<Figure> {
    let scenario = fixture::scenario();
    figure::of_run(&scenario, &fixture::outcome(&scenario, 1000))
}

/// Leaves the pictures where a person can look at them.
#[test]
fn pictures_are_written_for_looking_at() {
    let folder = std::env::temp_dir().join("lurefield-pictures");
    std::fs::create_dir_all(&folder).unwrap();
    let clock = std::time::Instant::now();
    for figure in figures() {
        let png = figure::png(&figure);
        println!("{} svg {} png {} at {:?}", figure.name, figure.svg.len(), png.len(), clock.elapsed());
        std::fs::write(folder.join(format!("{}.png", figure.name)), png).unwrap();
        std::fs::write(folder.join(format!("{}.svg", figure.name)), &figure.svg).unwrap();
        std::fs::write(folder.join(format!("{}.txt", figure.name)), figure.alternative()).unwrap();
    }
}
