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

/// Colour steps; few enough that equal neighbours merge, many enough to look continuous.
const LEVELS: usize = 24;

/// What a heat map shows: the name of its texts, and its grid.
struct Kind {
    name: &'static str,
    grid: fn(&PlanOutcome) -> &GridMap,
}

impl Kind {
    /// A text of this map, its gaps filled.
    fn text(&self, part: &str, gaps: &[(&str, &str)]) -> String {
        voice().fill(&format!("figure.{}.{part}", self.name), gaps)
    }
}

/// Flights passing over each cell.
pub fn visits(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let (name, grid): (_, fn(&PlanOutcome) -> &GridMap) = ("visits-map", |p| &p.visits);
    draw(scenario, outcome, &Kind { name, grid })
}

/// Insect-hours spent feeding in each cell.
pub fn feeding(scenario: &Scenario, outcome: &RunOutcome) -> Figure {
    let (name, grid): (_, fn(&PlanOutcome) -> &GridMap) = ("feeding-map", |p| &p.feeding);
    draw(scenario, outcome, &Kind { name, grid })
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
            let grid = (kind.grid)(&outcome.plans[index]);
            cells(canvas, view, scenario, grid, end);
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
        let [title, low, high] = ["scale", "few", "many"].map(|part| kind.text(part, &[]));
        let scale = Scale {
            ramp: Ramp::Visits,
            end,
            capped,
            title: &title,
            low: &low,
            high: &high,
        };
        last.map_or(y, |view| {
            legend::draw(canvas, y, scenario, &view, &scale, Circles::Outlined) + 30.0
        })
    })
}

/// End of the scale all panels share: 99 of 100 filled cells lie below it, so that one hot cell does not pale the rest.
fn scale_end(outcome: &RunOutcome, kind: &Kind) -> (f64, bool) {
    let cells = outcome.plans.iter().flat_map(|p| &(kind.grid)(p).values);
    let filled: Vec<f64> = cells.copied().filter(|v| *v > 0.0).collect();
    if filled.is_empty() {
        return (1.0, false);
    }
    let filled = sorted(&filled);
    let end = round_up(quantile(&filled, 0.99));
    (end, filled[filled.len() - 1] > end)
}

fn total(plan: &PlanOutcome, kind: &Kind) -> String {
    let n = thousands((kind.grid)(plan).values.iter().sum());
    kind.text("total", &[("n", &n)])
}

/// Cells with equal colour side by side are drawn as one rectangle, and equal runs in neighbouring rows are joined.
fn cells(canvas: &Canvas, view: &View, scenario: &Scenario, grid: &GridMap, end: f64) {
    for run in runs(grid, end) {
        let yard = &scenario.yard;
        let x = |column: usize| yard.x0 + column as f64 * grid.cell_m;
        let y = |row: usize| yard.y0 + row as f64 * grid.cell_m;
        let ((west, east), (south, north)) = (run.columns, run.rows);
        let rect = Rect::new(
            x(west),
            y(south),
            x(east).min(yard.x1),
            y(north).min(yard.y1),
        );
        let colour = Ramp::Visits.colour((run.level as f64 - 0.5) / LEVELS as f64);
        view.fill(canvas, &rect, colour.mix(1.0));
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
    let step = ((value / end * LEVELS as f64).ceil() as usize).clamp(1, LEVELS);
    if value > 0.0 { step } else { 0 }
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
            let other = |i: &usize| level(values[*i], end) != step;
            let stop = (start..values.len()).find(other).unwrap_or(values.len());
            if step > 0 {
                let (columns, level) = ((start, stop), step);
                let same = |r: &Run| r.columns == columns && r.level == level;
                let above = open.iter().position(same);
                let rows = (above.map_or(row, |i| open.swap_remove(i).rows.0), row + 1);
                now.push(Run {
                    columns,
                    rows,
                    level,
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
    let cells = grid.values.iter().copied().enumerate();
    let (top, most) = cells.fold(
        (0, 0.0),
        |top, cell| if cell.1 > top.1 { cell } else { top },
    );
    let columns = grid.columns.max(1);
    let centre = |i: usize| (i as f64 + 0.5) * grid.cell_m;
    let (x, y) = (
        yard.x0 + centre(top % columns),
        yard.y0 + centre(top / columns),
    );
    (Point::new(x, y), most)
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
    let told = [numbers.join(" "), pattern.join(" ")];
    Words::of(kind.name, &gaps, told, rows).sided(scenario, &gaps)
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
