//! The yard from above with one plan, to look at and to mark on.

use crate::figure::Figure;
use crate::figure::canvas::{MARGIN, Pen, SMALL, WIDTH, picture};
use crate::figure::labels::labels;
use crate::figure::map::{self, View};
use crate::figure::palette::{INK, PAPER};
use crate::figure::sheet::{Caption, Look};
use crate::geometry::Point;
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
    let crops = scenario.crops.iter().filter(|c| c.count > 0);
    let crops = crops.map(|c| (&c.name, scenario.plants[c.first].at));
    let things = crops.chain(plan.traps.iter().map(|t| (&t.name, t.at)));
    let row = |(name, at): (&String, Point)| {
        vec![name.clone(), feet_and_metres(at.x), feet_and_metres(at.y)]
    };
    let meta = caption.words(things.map(row).collect());
    picture(meta, |canvas, _| {
        let (top, end) = look.frame(canvas);
        let height = most_height.min(end - top - 20.0);
        let (x, width) = (MARGIN + 120.0, WIDTH - 2.0 * MARGIN - 120.0);
        let view = View::new(scenario, x, top, width, height);
        map::base(canvas, &view, scenario);
        for plant in &scenario.plants {
            let radius = view.plant_radius(plant.canopy_m);
            canvas.disc(view.at(plant.at), radius, Some(PAPER), 4, INK);
        }
        map::traps(canvas, &view, scenario, plan);
        let bottom = labels(canvas, &view, scenario, Some(plan), (&[], &[]));
        let x = MARGIN + 50.0;
        map::arrow(canvas, (x, top + 105.0), view.direction(0.0), 46.0);
        let pen = Pen::new(SMALL + 6.0).middle();
        canvas.text((x, top + 200.0), north, pen);
        look.height(bottom)
    })
}
