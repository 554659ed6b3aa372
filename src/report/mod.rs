//! The files and the terminal text of a run, as bytes and strings; the command line writes them.

pub mod calibrate;
pub mod cautions;
pub mod compare;
pub mod compare_data;
mod compare_why;
pub mod csv;
pub mod evidence;
mod habits;
pub mod json;
mod lines;
pub mod lookup;
pub mod model;
pub mod place;
pub mod products;
pub mod provenance;
pub mod text;
pub mod upkeep;
pub mod vary;
pub mod words;

pub use provenance::Facts;

use crate::count::one_summer::OneSummer;
use crate::count::outcome::RunOutcome;
use crate::figure::Figure;
use crate::scenario::Scenario;

/// All files of a run with their names inside the output folder, in a fixed order; the manifest comes last and holds
/// the hashes of the others.
pub fn run_files(
    scenario: &Scenario,
    outcome: &RunOutcome,
    facts: &Facts,
) -> Vec<(String, Vec<u8>)> {
    let mut files = figure_files(|| crate::figure::of_run(scenario, outcome));
    let names = picture_names(&files);
    files.insert(
        0,
        (
            "summary.txt".into(),
            text::run(scenario, outcome, &names).into_bytes(),
        ),
    );
    files.push((
        "summary.json".into(),
        json::summary(scenario, outcome).into_bytes(),
    ));
    files.push((
        "summary.csv".into(),
        csv::summary(scenario, outcome).into_bytes(),
    ));
    for (i, plan) in outcome.plans.iter().enumerate() {
        let end = format!("{}-{}.csv", i + 1, words::slug(&plan.name));
        files.push((
            format!("visits-{end}"),
            csv::grid(scenario, &plan.visits).into_bytes(),
        ));
        files.push((
            format!("feeding-{end}"),
            csv::grid(scenario, &plan.feeding).into_bytes(),
        ));
    }
    files.extend(one_summer_files(&outcome.one_summers));
    files.push(provenance::of_run(scenario, outcome, facts, &files).file());
    files
}

/// A file for each recorded summer.
pub fn one_summer_files(recorded: &[OneSummer]) -> Vec<(String, Vec<u8>)> {
    let named = recorded.iter().enumerate().map(|(i, one)| {
        let name = if i == 0 {
            "one-summer.json".to_owned()
        } else {
            format!("one-summer-{}-{}.json", i + 1, words::slug(&one.with))
        };
        (name, json::compact(one).into_bytes())
    });
    named.collect()
}

/// Names of the PNG files among the files of a run: what the terminal text lists as pictures.
pub fn picture_names(files: &[(String, Vec<u8>)]) -> Vec<String> {
    files
        .iter()
        .map(|(name, _)| name)
        .filter(|name| {
            std::path::Path::new(name)
                .extension()
                .is_some_and(|e| e == "png")
        })
        .cloned()
        .collect()
}

/// Three files a figure: PNG, text alternative, SVG.
#[cfg(feature = "pictures")]
pub fn figure_files(draw: impl FnOnce() -> Vec<Figure>) -> Vec<(String, Vec<u8>)> {
    let figures = draw();
    let drawn = crate::figure::pngs(&figures);
    figures
        .iter()
        .zip(drawn)
        .flat_map(|(figure, png)| {
            let file = |ending: &str| format!("{}.{ending}", figure.name);
            [
                (file("png"), png),
                (file("txt"), figure.alternative().into_bytes()),
                (file("svg"), figure.svg.clone().into_bytes()),
            ]
        })
        .collect()
}

/// No files where nothing draws pixels, as in a page: then nothing is drawn at all.
#[cfg(not(feature = "pictures"))]
pub fn figure_files(_: impl FnOnce() -> Vec<Figure>) -> Vec<(String, Vec<u8>)> {
    Vec::new()
}
