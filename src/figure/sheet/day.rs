//! Two maps of one yard side by side, without and with the trap: the stage on which insects move, and a still of it.

use crate::figure::Figure;
use crate::figure::canvas::{Canvas, MARGIN, Pen, WIDTH, picture, shorten};
use crate::figure::map::{self, View};
use crate::figure::palette::{INK, Mark, PAPER, QUIET};
use crate::figure::sheet::{Caption, Look};
use crate::scenario::{Plan, Scenario};

/// Room between the two maps.
const GAP: f64 = 60.0;

/// What a still shows on one map.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Still {
    /// Where insects landed on plants, on the sheet.
    pub landings: Vec<(f64, f64)>,
    /// Lines below the map: the counts.
    pub notes: Vec<String>,
}

/// Places of the two maps on a sheet.
#[derive(Clone, Copy, Debug)]
pub struct Stage {
    /// The maps, without and with the trap.
    pub views: [View; 2],
    /// Height where the maps end.
    pub bottom: f64,
}

/// The two views, the larger the better, below a height.
pub fn stage(scenario: &Scenario, top: f64, most_height: f64) -> Stage {
    let width = 0.5 * (WIDTH - 2.0 * MARGIN - GAP);
    let view = |x: f64| View::new(scenario, x, top, width, most_height);
    let views = [view(MARGIN), view(MARGIN + width + GAP)];
    Stage {
        views,
        bottom: views[0].frame.3,
    }
}

/// A picture of both maps, with landings and counts for a still, its words, and a table of counts.
pub fn day(
    caption: Caption,
    scenario: &Scenario,
    plans: [&Plan; 2],
    rows: Vec<Vec<String>>,
    stills: Option<&[Still; 2]>,
    look: &Look,
) -> Figure {
    let meta = caption.words(rows);
    picture(meta, |canvas, _| {
        look.frame(canvas);
        let (top, most_height) = room(look);
        let stage = stage(scenario, top, most_height);
        draw(canvas, scenario, plans, &stage, look);
        let mut bottom = stage.bottom;
        for (view, still) in stage.views.iter().zip(stills.into_iter().flatten()) {
            for at in &still.landings {
                canvas.mark(*at, 12.0, Mark::Circle, INK);
            }
            let middle = f64::midpoint(view.frame.0, view.frame.2);
            let mut y = stage.bottom + look.text();
            for note in &still.notes {
                let pen = Pen::new(look.text()).middle();
                canvas.text((middle, y), note, pen);
                y += 1.35 * look.text();
            }
            bottom = bottom.max(y);
        }
        look.height(bottom)
    })
}

/// Where the maps start below claim and headings, and how high they may be.
pub fn room(look: &Look) -> (f64, f64) {
    let (top, end) = look.room();
    let maps = top + 1.5 * look.text() + 10.0;
    // Three lines of counts stand below the maps of a slide.
    (maps, (end - maps - 4.6 * look.text()).min(1100.0))
}

/// The stage of a page or slide whose claim ended at `top`.
fn draw(canvas: &Canvas, scenario: &Scenario, plans: [&Plan; 2], stage: &Stage, look: &Look) {
    for (view, plan) in stage.views.iter().zip(plans) {
        let (west, top, east, _) = view.frame;
        let name = shorten(&plan.name, look.text(), true, east - west);
        let at = (f64::midpoint(west, east), top - 0.7 * look.text());
        canvas.text(at, &name, Pen::new(look.text()).bold().middle());
        map::ground(canvas, view, scenario);
        map::structures(canvas, view, scenario);
        for plant in &scenario.plants {
            let radius = view.plant_radius(plant.canopy_m).max(14.0);
            canvas.disc(view.at(plant.at), radius, Some(PAPER), 4, QUIET);
        }
        map::traps(canvas, view, scenario, plan);
    }
}
