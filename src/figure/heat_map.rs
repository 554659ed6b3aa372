//! Maps of visits and of feeding hours on the yard's grid.

use crate::count::outcome::{GridMap, PlanOutcome, RunOutcome};
use crate::figure::canvas::{Canvas, Words, picture};
use crate::figure::labels::labels;
use crate::figure::legend::{Circles, Scale};
use crate::figure::map::{self, View};
use crate::figure::palette::{INK, Ramp};
use crate::figure::{Figure, legend, round_up, targets, tick_text};
use crate::geometry::{Point, Rect};
use crate::say::{say, voice};
use crate::scenario::Scenario;
use crate::stats::quantile::{quantile, sorted};
use crate::stats::words::thousands;
use crate::units::{feet, feet_and_metres};
use plotters::style::Color;

/// Colour steps; few enough that equal neighbours merge, many enough to look continuous.
const LEVELS: usize = 24;

/// What a heat map shows.
struct Kind {
    name: &'static str,
    /// A total with its unit.
    total: &'static str,
    /// Title of the scale of colors, and the words at its ends.
    scale: [&'static str; 3],
    grid: fn(&PlanOutcome) -> &GridMap,
}

/// Flights passing over each cell.
pub fn visits(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let kind = Kind {
        name: "visits-map",
        total: "figure.visits-map.total",
        scale: [
            "figure.visits-map.scale",
            "figure.visits-map.few",
            "figure.visits-map.many",
        ],
        grid: |p| &p.visits,
    };
    draw(scenario, outcome, &kind)
}

/// Insect-hours spent feeding in each cell.
pub fn feeding(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let kind = Kind {
        name: "feeding-map",
        total: "figure.feeding-map.total",
        scale: [
            "figure.feeding-map.scale",
            "figure.feeding-map.few",
            "figure.feeding-map.many",
        ],
        grid: |p| &p.feeding,
    };
    draw(scenario, outcome, &kind)
}

fn draw(scenario: &Scenario, outcome: &RunOutcome, kind: &Kind) -> Figure {
    let (end, capped) = scale_end(outcome, kind);
    picture(words(scenario, outcome, kind), |canvas, top| {
        let plans = outcome.plans.iter();
        let plans: Vec<_> = plans
            .map(|p| (p.name.as_str(), vec![total(p, kind)]))
            .collect();
        let (y, last) = map::panels(canvas, top, scenario, &plans, |view, index| {
            let plan = scenario.plans.get(index);
            map::ground(canvas, view, scenario);
            cells(
                canvas,
                view,
                scenario,
                (kind.grid)(&outcome.plans[index]),
                end,
            );
            map::structures(canvas, view, scenario);
            map::sources(canvas, view, scenario);
            for plant in &scenario.plants {
                let radius = view.plant_radius(plant.canopy_m);
                canvas.disc(view.at(plant.at), radius, None, 3, INK);
            }
            if let Some(plan) = plan {
                map::traps(canvas, view, scenario, plan);
            }
            labels(canvas, view, scenario, plan, (&[], &[]))
        });
        let [title, low, high] = kind.scale.map(|key| voice().get(key));
        let scale = Scale {
            ramp: Ramp::Visits,
            end,
            capped,
            title,
            low,
            high,
        };
        last.map_or(y, |view| {
            legend::draw(canvas, y, scenario, &view, &scale, Circles::Outlined) + 30.0
        })
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
    let n = thousands((kind.grid)(plan).values.iter().sum());
    voice().fill(kind.total, &[("n", &n)])
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
    let (mut rows, mut numbers, mut pattern) = (Vec::new(), Vec::new(), Vec::new());
    for (i, result) in outcome.plans.iter().enumerate() {
        let grid = (kind.grid)(result);
        let (at, most) = busiest(grid, &scenario.yard);
        let (plan, most) = (&result.name, tick_text((most * 100.0).round() / 100.0));
        rows.push(vec![
            plan.clone(),
            thousands(grid.values.iter().sum()),
            most.clone(),
            format!("{:.0}", feet(at.x)),
            format!("{:.0}", feet(at.y)),
        ]);
        let total = total(result, kind);
        numbers.push(say!("figure.heat.plan", plan, total, n = most));
        pattern.push(match beside(scenario, i, at) {
            Some((away, thing)) if away < 0.3 => say!("figure.heat.at", plan, thing),
            Some((away, thing)) => {
                let distance = feet_and_metres(away);
                say!("figure.heat.from", plan, distance, thing)
            }
            None => say!("figure.heat.open", plan),
        });
    }
    let cell = outcome.plans.first().map_or(0.0, |p| (kind.grid)(p).cell_m);
    let gaps = [
        ("insects", scenario.pest.short.as_str()),
        ("targets", targets(scenario)),
        ("summers", &thousands(f64::from(outcome.summers))),
        ("width", &feet_and_metres(cell)),
    ];
    Words::of(
        kind.name,
        &gaps,
        [numbers.join(" "), pattern.join(" ")],
        rows,
    )
}

/// What lies nearest to a point, and how far away.
fn beside(scenario: &Scenario, plan: usize, at: Point) -> Option<(f64, &str)> {
    let traps = scenario.plans.get(plan).into_iter().flat_map(|p| &p.traps);
    let traps = traps.map(|t| (t.at, 0.0, t.name.as_str()));
    let plants = scenario.plants.iter();
    let plants = plants.map(|p| (p.at, p.canopy_m, scenario.crops[p.crop].name.as_str()));
    let things = plants.chain(traps);
    let things =
        things.map(|(at_m, radius_m, name)| ((at.distance(at_m) - radius_m).max(0.0), name));
    things.reduce(|a, b| if b.0 < a.0 { b } else { a })
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
