//! Pictures of results: pure functions from results to SVG, with text alternative and table made from the same numbers.
//!
//! To add a picture: write its file here and its line in [`of_run`].

pub mod calibrate;
pub mod canvas;
pub mod catch_bars;
pub mod change_map;
mod chart;
pub mod cost;
pub mod dots;
pub mod evidence;
pub mod habits;
pub mod heat_map;
mod labels;
pub mod legend;
pub mod map;
pub mod palette;
pub mod placement;
pub mod plant_map;
#[cfg(feature = "pictures")]
pub mod raster;
pub mod rings;
pub mod season;
pub mod sheet;
pub mod sweeps;
pub mod upkeep;
pub mod vary;
pub mod wind;

#[cfg(feature = "pictures")]
pub use raster::{png, pngs};

use crate::count::outcome::{PlanOutcome, RunOutcome};
use crate::scenario::Scenario;
use crate::stats::words::thousands;

/// A picture with everything that must go with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// File name without ending: letters, digits, hyphens.
    pub name: String,
    /// The drawing.
    pub svg: String,
    /// Short text alternative: kind of chart, data, why it is shown.
    pub alt: String,
    /// Sentences at three levels: what is drawn, the numbers, the pattern.
    pub levels: [String; 3],
    /// The numbers drawn.
    pub table: Table,
}

/// A table of cells as text; every row is as long as the header.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// Column names with units.
    pub header: Vec<String>,
    /// Cells.
    pub rows: Vec<Vec<String>>,
}

impl Figure {
    /// The text alternative as a file: short text, the three levels, the foot with the mark of a translation, the table
    /// with tabs.
    pub fn alternative(&self) -> String {
        let levels = self.levels.join("\n\n");
        let foot = std::iter::once(canvas::foot()).chain(crate::say::voice().mark());
        let foot = foot.collect::<Vec<_>>().join("\n");
        let rows = std::iter::once(&self.table.header).chain(&self.table.rows);
        let rows: String = rows.map(|row| row.join("\t") + "\n").collect();
        format!("{}\n\n{levels}\n\n{foot}\n\n{rows}", self.alt)
    }
}

/// All pictures of a run, in a fixed order.
///
/// Differences need two plans and rings need a trap; without them those pictures are left out.
pub fn of_run(scenario: &Scenario, outcome: &RunOutcome) -> Vec<Figure> {
    let mut figures = vec![
        plant_map::damage(scenario, outcome),
        dots::damage(scenario, outcome),
    ];
    figures.extend(dots::difference(scenario, outcome));
    figures.push(heat_map::visits(scenario, outcome));
    figures.push(heat_map::feeding(scenario, outcome));
    figures.extend(rings::spillover(scenario, outcome));
    figures.extend(plant_map::single_summers(scenario, outcome));
    figures
}

/// All pictures of a comparison, in a fixed order; the first plan is the one all others are set against.
pub fn of_compare(
    scenario: &Scenario,
    outcome: &crate::study::compare::CompareOutcome,
) -> Vec<Figure> {
    let run = &outcome.run;
    let mut figures = vec![dots::damage(scenario, run)];
    figures.extend(dots::difference(scenario, run));
    figures.push(change_map::change(scenario, outcome));
    figures.extend(plant_map::single_summers(scenario, run));
    figures.push(catch_bars::catch_beside_damage(scenario, outcome));
    figures.push(cost::cost_against_damage(scenario, outcome));
    for figure in &mut figures {
        // The files of a run may stand in the same folder.
        figure.name.insert_str(0, "compare-");
    }
    figures
}

/// "leaves chewed" or its kin for this pest.
pub(crate) fn damage_words(scenario: &Scenario) -> String {
    let guild = scenario.pest.guild;
    format!("{} {}", guild.damage_noun(), guild.damage_verb())
}

/// "plants", or "tables" where people eat.
pub(crate) fn targets(scenario: &Scenario) -> &'static str {
    crate::say::voice().get(match scenario.pest.guild {
        crate::catalogue::Guild::Visitor => "figure.tables",
        _ => "figure.plants",
    })
}

/// Sentences one after the other.
pub(crate) fn joined(said: impl Iterator<Item = String>) -> String {
    said.collect::<Vec<_>>().join(" ")
}

/// A change with its sign, one decimal; never "-0.0".
pub(crate) fn tenth(change: f64) -> String {
    if change.abs() < 0.05 {
        "0.0".into()
    } else {
        format!("{change:+.1}")
    }
}

/// Mean catch of a plan and summer.
pub(crate) fn mean_catch(plan: &PlanOutcome) -> f64 {
    let catches: Vec<f64> = plan.caught_by_summer.iter().map(|c| *c as f64).collect();
    crate::stats::spread::mean(&catches)
}

/// A damage number as it is printed.
pub(crate) fn whole(value: f64) -> String {
    if value > 0.0 && value < 0.5 {
        crate::say::say!("figure.under-one")
    } else {
        format!("{value:.0}")
    }
}

/// The smallest round number (such as 15, 20, 25, 30 or 40) that is not below `value`; 1 for nothing.
pub(crate) fn round_up(value: f64) -> f64 {
    if value.is_nan() || value <= 0.0 {
        return 1.0;
    }
    let power = libm::pow(10.0, libm::floor(libm::log10(value)));
    let steps = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0];
    // The part in a million lets 0.1 + 0.2 stay 0.3.
    let holds = |step: &f64| value <= step * power * 1.000_001;
    steps.into_iter().find(holds).unwrap_or(10.0) * power
}

/// Ticks from 0 to a rounded end, 3 to 6 of them.
pub(crate) fn ticks(end: f64) -> Vec<f64> {
    let power = libm::pow(10.0, libm::floor(libm::log10(end)));
    let round = |step: f64| {
        [0.1, 0.2, 0.25, 0.5, 1.0, 2.0]
            .into_iter()
            .any(|r: f64| (r * power - step).abs() < 1e-6 * end)
    };
    let step = [5.0, 4.0, 3.0, 6.0]
        .into_iter()
        .map(|parts| end / parts)
        .find(|step| round(*step))
        .unwrap_or(end / 2.0);
    let n = (end / step).round() as usize;
    (0..=n).map(|i| i as f64 * step).collect()
}

/// A tick without needless decimals.
pub(crate) fn tick_text(value: f64) -> String {
    if value.abs() >= 1000.0 {
        return thousands(value);
    }
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_end_on_round_numbers() {
        for (value, end) in [
            (0.0, 1.0),
            (3.1, 4.0),
            (18.0, 20.0),
            (21.0, 25.0),
            (25.2, 30.0),
            (100.0, 100.0),
            (0.0045, 0.005),
        ] {
            assert!((round_up(value) - end).abs() < 1e-12, "{value}");
        }
        let shown: Vec<String> = ticks(20.0).into_iter().map(tick_text).collect();
        assert_eq!(shown, ["0", "5", "10", "15", "20"]);
        for tens in [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0] {
            for power in [0.01, 1.0, 100.0] {
                assert!(
                    (4..=7).contains(&ticks(tens * power).len()),
                    "{tens} {power}"
                );
            }
        }
        let shown: Vec<String> = ticks(2.5).into_iter().map(tick_text).collect();
        assert_eq!(shown, ["0", "0.5", "1", "1.5", "2", "2.5"]);
    }
}
