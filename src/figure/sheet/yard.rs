//! The yard from above with one plan, to look at and to mark on.

use crate::figure::Figure;
use crate::figure::canvas::{MARGIN, Pen, SMALL, WIDTH, picture};
use crate::figure::labels::labels;
use crate::figure::map::{self, View};
use crate::figure::palette::{INK, PAPER};
use crate::figure::sheet::{Caption, Look};
use crate::scenario::{Plan, Scenario};
use crate::units::feet_and_metres;

/// Map of the yard with the traps of a plan; the table tells where everything stands.
pub fn yard(
    caption: Caption,
    scenario: &Scenario,
    plan: &Plan,
    north: &str,
    look: &Look,
    most_height: f64,
) -> Figure {
    let mut rows = Vec::new();
    for crop in &scenario.crops {
        let plants = &scenario.plants[crop.first..crop.first + crop.count];
        if let Some(first) = plants.first() {
            rows.push((crop.name.clone(), first.at));
        }
    }
    rows.extend(plan.traps.iter().map(|t| (t.name.clone(), t.at)));
    let table = rows
        .into_iter()
        .map(|(name, at)| vec![name, feet_and_metres(at.x), feet_and_metres(at.y)])
        .collect();
    let meta = caption.words(table);
    picture(meta, |canvas, _| {
        let (top, end) = look.frame(canvas);
        let height = most_height.min(end - top - 20.0);
        let view = View::new(
            scenario,
            MARGIN + 120.0,
            top,
            WIDTH - 2.0 * MARGIN - 120.0,
            height,
        );
        map::ground(canvas, &view, scenario);
        map::structures(canvas, &view, scenario);
        map::sources(canvas, &view, scenario);
        for plant in &scenario.plants {
            canvas.disc(
                view.at(plant.at),
                view.plant_radius(plant.canopy_m),
                Some(PAPER),
                4,
                INK,
            );
        }
        map::traps(canvas, &view, scenario, plan);
        let bottom = labels(canvas, &view, scenario, Some(plan), (&[], &[]));
        map::arrow(
            canvas,
            (MARGIN + 50.0, top + 105.0),
            view.direction(0.0),
            46.0,
        );
        canvas.text(
            (MARGIN + 50.0, top + 200.0),
            north,
            Pen::new(SMALL + 6.0).middle(),
        );
        look.height(bottom)
    })
}
