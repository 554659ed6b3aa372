//! Maps of visits and of feeding hours on the yard's grid.

use crate::count::outcome::{GridMap, PlanOutcome, RunOutcome};
use crate::figure::canvas::{Canvas, MARGIN, Words, picture};
use crate::figure::legend::{Circles, INNER, Scale, heading, heading_height};
use crate::figure::map::{self, View};
use crate::figure::palette::{INK, Ramp};
use crate::figure::plant_map::upper;
use crate::figure::{Figure, Table, average_of, legend, round_up, tick_text};
use crate::geometry::{Point, Rect};
use crate::scenario::Scenario;
use crate::stats::quantile::{quantile, sorted};
use crate::stats::words::thousands;
use crate::units::feet_and_metres;
use plotters::style::Color;

/// Colour steps; few enough that equal neighbours merge, many enough to look continuous.
const LEVELS: usize = 24;
const GAP: f64 = 50.0;

/// What a heat map shows.
struct Kind {
    name: &'static str,
    title: String,
    unit: String,
    low: &'static str,
    high: &'static str,
    grid: fn(&PlanOutcome) -> &GridMap,
}

/// Flights passing over each cell.
pub fn visits(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let short = &scenario.pest.short;
    let kind = Kind {
        name: "visits-map",
        title: format!("Where {short} pass: {}", average_of(outcome)),
        unit: "passes a summer".into(),
        low: "few pass",
        high: "many pass",
        grid: |p| &p.visits,
    };
    draw(scenario, outcome, &kind)
}

/// Insect-hours spent feeding in each cell.
pub fn feeding(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let short = &scenario.pest.short;
    let kind = Kind {
        name: "feeding-map",
        title: format!("Where {short} sit and feed: {}", average_of(outcome)),
        unit: "hours of feeding a summer, all insects added".into(),
        low: "little feeding",
        high: "much feeding",
        grid: |p| &p.feeding,
    };
    draw(scenario, outcome, &kind)
}

fn draw(scenario: &Scenario, outcome: &RunOutcome, kind: &Kind) -> Figure {
    let (end, capped) = scale_end(outcome, kind);
    let meta = words(scenario, outcome, kind);
    let title = meta.title.clone();
    let cell = outcome.plans.first().map_or(0.0, |p| (kind.grid)(p).cell_m);
    picture(meta, |canvas| {
        let top = canvas.head(
            &title,
            &format!(
                "Colors show the average; any one summer looks patchier. Each small square is {}, and only your yard is counted.",
                feet_and_metres(cell)
            ),
        );
        let (columns, width) = map::grid(scenario, outcome.plans.len(), INNER, GAP);
        let head = outcome
            .plans
            .iter()
            .map(|p| heading_height(width, &p.name, &[total(p, kind)]))
            .fold(0.0, f64::max);
        let mut y = top;
        let mut last = None;
        for (row, results) in outcome.plans.chunks(columns).enumerate() {
            let mut bottom = y;
            for (column, result) in results.iter().enumerate() {
                let x = MARGIN + column as f64 * (width + GAP);
                heading(canvas, x, y, width, &result.name, &[total(result, kind)]);
                let view = View::new(scenario, x, y + head, width, 1300.0);
                let plan = scenario.plans.get(row * columns + column);
                map::ground(canvas, &view, scenario);
                cells(canvas, &view, scenario, (kind.grid)(result), end);
                map::structures(canvas, &view, scenario);
                for plant in &scenario.plants {
                    canvas.disc(
                        view.at(plant.at),
                        view.plant_radius(plant.canopy_m),
                        None,
                        3,
                        INK,
                    );
                }
                if let Some(plan) = plan {
                    map::traps(canvas, &view, plan);
                }
                map::labels(canvas, &view, scenario, plan, &[]);
                bottom = view.frame.3;
                last = Some(view);
            }
            y = bottom + 40.0;
        }
        let legend_title = format!("{}, in each small square", upper(&kind.unit));
        let scale = Scale {
            ramp: Ramp::Visits,
            end,
            capped,
            title: &legend_title,
            low: kind.low,
            high: kind.high,
        };
        match last {
            Some(view) => {
                legend::draw(canvas, y, scenario, &view, &scale, Circles::Outlined) + 30.0
            }
            None => y,
        }
    })
}

/// End of the scale all panels share: 99 of 100 filled cells lie below it, so that one hot cell does not pale the rest.
fn scale_end(outcome: &RunOutcome, kind: &Kind) -> (f64, bool) {
    let filled: Vec<f64> = outcome
        .plans
        .iter()
        .flat_map(|p| &(kind.grid)(p).values)
        .copied()
        .filter(|v| *v > 0.0)
        .collect();
    if filled.is_empty() {
        return (1.0, false);
    }
    let filled = sorted(&filled);
    let end = round_up(quantile(&filled, 0.99));
    (end, filled[filled.len() - 1] > end)
}

fn total(plan: &PlanOutcome, kind: &Kind) -> String {
    let sum: f64 = (kind.grid)(plan).values.iter().sum();
    format!(
        "{} {}",
        thousands(sum),
        kind.unit.split(',').next().unwrap_or(&kind.unit)
    )
}

/// Cells with equal colour side by side are drawn as one rectangle, and equal runs in neighbouring rows are joined.
fn cells(canvas: &Canvas, view: &View, scenario: &Scenario, grid: &GridMap, end: f64) {
    for run in runs(grid, end) {
        let (west, south) = (scenario.yard.x0, scenario.yard.y0);
        let rect = Rect::new(
            west + run.columns.0 as f64 * grid.cell_m,
            south + run.rows.0 as f64 * grid.cell_m,
            (west + run.columns.1 as f64 * grid.cell_m).min(scenario.yard.x1),
            (south + run.rows.1 as f64 * grid.cell_m).min(scenario.yard.y1),
        );
        let colour = Ramp::Visits
            .colour((run.level as f64 - 0.5) / LEVELS as f64)
            .mix(1.0);
        view.fill(canvas, &rect, colour);
    }
}

/// Cells `columns.0 .. columns.1` of rows `rows.0 .. rows.1` share a colour step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Run {
    columns: (usize, usize),
    rows: (usize, usize),
    level: usize,
}

/// Colour step of a value: 0 for none, 1 to [`LEVELS`] else.
fn level(value: f64, end: f64) -> usize {
    if value > 0.0 {
        ((value / end * LEVELS as f64).ceil() as usize).clamp(1, LEVELS)
    } else {
        0
    }
}

fn runs(grid: &GridMap, end: f64) -> Vec<Run> {
    let mut done = Vec::new();
    let mut open: Vec<Run> = Vec::new();
    for row in 0..grid.rows {
        let values = &grid.values[row * grid.columns..(row + 1) * grid.columns];
        let mut now = Vec::new();
        let mut start = 0;
        while start < values.len() {
            let step = level(values[start], end);
            let stop = (start..values.len())
                .find(|i| level(values[*i], end) != step)
                .unwrap_or(values.len());
            if step > 0 {
                let above = open
                    .iter()
                    .position(|r| r.columns == (start, stop) && r.level == step);
                let first = above.map_or(row, |i| open.swap_remove(i).rows.0);
                now.push(Run {
                    columns: (start, stop),
                    rows: (first, row + 1),
                    level: step,
                });
            }
            start = stop;
        }
        done.append(&mut open);
        open = now;
    }
    done.append(&mut open);
    // Joining leaves them out of order; the order decides the bytes.
    done.sort_by_key(|r| (r.rows.0, r.columns.0));
    done
}

fn busiest(grid: &GridMap, yard: &Rect) -> (Point, f64) {
    let mut top = (0, 0.0);
    for (i, value) in grid.values.iter().enumerate() {
        if *value > top.1 {
            top = (i, *value);
        }
    }
    let columns = grid.columns.max(1);
    let centre = |i: usize| (i as f64 + 0.5) * grid.cell_m;
    (
        Point::new(
            yard.x0 + centre(top.0 % columns),
            yard.y0 + centre(top.0 / columns),
        ),
        top.1,
    )
}

fn words(scenario: &Scenario, outcome: &RunOutcome, kind: &Kind) -> Words {
    let mut table = Table::with_header(&["plan"]);
    table.header.push(format!("{}, whole yard", kind.unit));
    table.header.push("most in one square".into());
    table
        .header
        .push("that square, feet east of the south-west corner".into());
    table.header.push("feet north of it".into());
    let mut numbers = Vec::new();
    let mut pattern = Vec::new();
    for (i, result) in outcome.plans.iter().enumerate() {
        let grid = (kind.grid)(result);
        let sum: f64 = grid.values.iter().sum();
        let (at, most) = busiest(grid, &scenario.yard);
        let shown = tick_text((most * 100.0).round() / 100.0);
        let (east, north) = (crate::units::feet(at.x), crate::units::feet(at.y));
        table.rows.push(vec![
            result.name.clone(),
            thousands(sum),
            shown.clone(),
            format!("{east:.0}"),
            format!("{north:.0}"),
        ]);
        numbers.push(format!(
            "{}: {} in all, at most {shown} in one square.",
            result.name,
            total(result, kind)
        ));
        pattern.push(format!(
            "With {}, the busiest square is {}.",
            result.name,
            beside(scenario, i, at)
        ));
    }
    Words {
        name: kind.name.into(),
        title: kind.title.clone(),
        alt: format!("Heat map of the yard, one panel a plan, with {}, to show what draws them.", kind.unit),
        levels: [
            "Each panel is a plan. The darker a square, the more of it. Triangles are traps. Circles are plants.".into(),
            numbers.join(" "),
            pattern.join(" "),
        ],
        table,
    }
}

/// What lies nearest to a point.
fn beside(scenario: &Scenario, plan: usize, at: Point) -> String {
    let traps = scenario
        .plans
        .get(plan)
        .into_iter()
        .flat_map(|p| &p.traps)
        .map(|t| (t.at, 0.0, t.name.as_str()));
    let plants = scenario
        .plants
        .iter()
        .map(|p| (p.at, p.canopy_m, scenario.crops[p.crop].name.as_str()));
    let mut nearest: Option<(f64, &str)> = None;
    for (place, radius_m, name) in plants.chain(traps) {
        let distance_m = (at.distance(place) - radius_m).max(0.0);
        if nearest.is_none_or(|n| distance_m < n.0) {
            nearest = Some((distance_m, name));
        }
    }
    match nearest {
        Some((distance_m, name)) if distance_m < 0.3 => format!("at {name}"),
        Some((distance_m, name)) => format!("{} from {name}", feet_and_metres(distance_m)),
        None => "in the open".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn merged_rectangles_cover_each_filled_cell_once_with_its_own_step() {
        let (columns, rows) = (13, 9);
        let values: Vec<f64> = (0..columns * rows)
            .map(|i| ((i / 4 * 7) % 5) as f64)
            .collect();
        let grid = GridMap {
            cell_m: 1.0,
            columns,
            rows,
            values: values.clone(),
        };
        let mut seen = vec![0; values.len()];
        let merged = runs(&grid, 4.0);
        for run in &merged {
            for row in run.rows.0..run.rows.1 {
                for column in run.columns.0..run.columns.1 {
                    assert_eq!(seen[row * columns + column], 0);
                    seen[row * columns + column] = run.level;
                }
            }
        }
        let wanted: Vec<usize> = values.iter().map(|v| level(*v, 4.0)).collect();
        assert_eq!(seen, wanted);
        assert!(merged.len() < wanted.iter().filter(|l| **l > 0).count());
    }

    #[test]
    fn only_nothing_has_no_colour() {
        assert_eq!(level(0.0, 10.0), 0);
        assert_eq!(level(1e-12, 10.0), 1);
        assert_eq!(level(10.0, 10.0), LEVELS);
        assert_eq!(level(99.0, 10.0), LEVELS);
    }
}
