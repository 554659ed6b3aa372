//! The yard from above: places of things on the sheet, outlines, traps and labels.

use crate::figure::canvas::{Canvas, MARGIN};
use crate::figure::legend::{INNER, heading, heading_height};
use crate::figure::palette::{INK, PAPER, RGBAColor, RGBColor};
use crate::geometry::{Point, Rect};
use crate::say::say;
use crate::scenario::{Plan, Scenario, Shape, StructureKind};

const LIGHT: RGBColor = RGBColor(0xEC, 0xEC, 0xEC);
const PLOT: RGBColor = RGBColor(0xF6, 0xF6, 0xF6);
const SOFT: RGBColor = RGBColor(0x77, 0x77, 0x77);

/// A rectangle on the sheet: left, top, right, bottom.
pub type Frame = (f64, f64, f64, f64);

/// From metres in the yard to half pixels on the sheet; the top of the sheet is the side that the file calls up.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// Half pixels in a metre.
    pub scale: f64,
    /// What the panel covers.
    pub frame: Frame,
    up_bearing_rad: f64,
    left_m: f64,
    top_m: f64,
    least_radius: f64,
}

/// Everything a map must show: yard, neighbours' plots, plants, traps, and the places nearby where insects come from.
fn extent(scenario: &Scenario) -> Rect {
    let mut all = scenario.yard;
    for plot in &scenario.plots {
        all = all.union(&plot.area);
    }
    let plants = scenario.plants.iter().map(|p| (p.at, p.canopy_m));
    let traps = scenario.plans.iter().flat_map(|p| &p.traps);
    let at = |p: Point| Rect::new(p.x, p.y, p.x, p.y);
    for (p, radius_m) in plants.chain(traps.map(|t| (t.at, 0.0))) {
        all = all.union(&at(p).grown(radius_m));
    }
    let near = all.grown(NEARBY * all.width().max(all.height()));
    for source in scenario.sources.iter().filter(|s| s.bed.is_none()) {
        if near.contains(source.at) {
            all = all.union(&at(source.at));
        }
    }
    all.grown(0.02 * (all.width() + all.height()))
}

/// Sources within this share of the map's longer side are drawn where they are; those further off as an arrow at the edge.
const NEARBY: f64 = 0.35;

impl View {
    /// Fits the whole map into a width and, at most, a height; the frame shrinks to what is needed.
    pub fn new(scenario: &Scenario, x: f64, y: f64, width: f64, most_height: f64) -> Self {
        let all = extent(scenario);
        let scale = (width / all.width()).min(most_height / all.height());
        let spare = width - scale * all.width();
        let plants = &scenario.plants;
        let gaps = plants.iter().enumerate().flat_map(|(i, p)| {
            let others = plants[..i].iter();
            others.map(|q| p.at.distance(q.at)).filter(|gap| *gap > 0.0)
        });
        let half_gap = 0.5 * scale * gaps.fold(f64::MAX, f64::min);
        View {
            scale,
            frame: (x, y, x + width, y + scale * all.height()),
            up_bearing_rad: scenario.up_bearing_rad,
            left_m: all.x0 - 0.5 * spare / scale,
            top_m: all.y1,
            least_radius: half_gap.clamp(6.0, 9.0),
        }
    }

    /// Place of a point on the sheet.
    pub fn at(&self, p: Point) -> (f64, f64) {
        (
            self.frame.0 + (p.x - self.left_m) * self.scale,
            self.frame.1 + (self.top_m - p.y) * self.scale,
        )
    }

    /// A rectangle of the yard on the sheet.
    pub fn on_sheet(&self, rect: &Rect) -> Frame {
        let (x0, y1) = self.at(Point::new(rect.x0, rect.y0));
        let (x1, y0) = self.at(Point::new(rect.x1, rect.y1));
        (x0, y0, x1, y1)
    }

    /// What a shape of the yard covers on the sheet.
    pub fn around(&self, shape: Shape) -> Frame {
        match shape {
            Shape::Rect(rect) => self.on_sheet(&rect),
            Shape::Disc { at, radius_m } => square(self.at(at), radius_m * self.scale),
        }
    }

    /// Fills a rectangle of the yard.
    pub fn fill(&self, canvas: &Canvas, rect: &Rect, colour: RGBAColor) {
        let (x0, y0, x1, y1) = self.on_sheet(rect);
        canvas.fill_rect(x0, y0, x1, y1, colour);
    }

    /// Direction on the sheet (x right, y down) of a bearing, clockwise from north.
    pub fn direction(&self, bearing_rad: f64) -> (f64, f64) {
        let angle = bearing_rad - self.up_bearing_rad;
        (libm::sin(angle), -libm::cos(angle))
    }

    /// Half size of a trap's triangle.
    pub fn trap_size(&self) -> f64 {
        let narrow = self.frame.2 - self.frame.0 < 600.0;
        if narrow { 0.65 * TRAP } else { TRAP }
    }

    /// Radius of a plant on the sheet; small plants are drawn large enough to be seen, but not over their neighbours.
    pub fn plant_radius(&self, canopy_m: f64) -> f64 {
        (canopy_m * self.scale).max(self.least_radius)
    }

    /// What each plant covers on the sheet.
    pub fn plants(&self, scenario: &Scenario) -> Vec<Frame> {
        let plants = scenario.plants.iter();
        let frames = plants.map(|p| square(self.at(p.at), self.plant_radius(p.canopy_m)));
        frames.collect()
    }
}

/// A square round a point.
pub(crate) fn square((x, y): (f64, f64), half: f64) -> Frame {
    (x - half, y - half, x + half, y + half)
}

/// Corners of a rectangle on the sheet.
pub(crate) fn corners((x0, y0, x1, y1): Frame) -> [(f64, f64); 4] {
    [(x0, y1), (x1, y1), (x1, y0), (x0, y0)]
}

/// Area that two rectangles share.
pub(crate) fn overlap(a: Frame, b: Frame) -> f64 {
    let width = a.2.min(b.2) - a.0.max(b.0);
    let height = a.3.min(b.3) - a.1.max(b.1);
    width.max(0.0) * height.max(0.0)
}

/// Ground: neighbours' plots and the yard's own floor. Drawn below everything.
pub fn ground(canvas: &Canvas, view: &View, scenario: &Scenario) {
    for plot in &scenario.plots {
        let shape = corners(view.on_sheet(&plot.area));
        canvas.fill(&shape, PLOT.mix(1.0));
        canvas.outline(&shape, 2, SOFT);
    }
    view.fill(canvas, &scenario.yard, PAPER.mix(1.0));
}

/// Ground, what stands on it, and where insects come from.
pub(crate) fn base(canvas: &Canvas, view: &View, scenario: &Scenario) {
    ground(canvas, view, scenario);
    structures(canvas, view, scenario);
    sources(canvas, view, scenario);
}

/// Yard outline and what stands in it.
pub fn structures(canvas: &Canvas, view: &View, scenario: &Scenario) {
    for zone in &scenario.no_hang {
        match zone.shape {
            Shape::Rect(rect) => {
                let c = corners(view.on_sheet(&rect));
                for i in 0..4 {
                    canvas.dashed(c[i], c[(i + 1) % 4], 2, SOFT);
                }
            }
            Shape::Disc { at, radius_m } => {
                dashed_circle(canvas, view.at(at), radius_m * view.scale, SOFT);
            }
        }
    }
    for structure in &scenario.structures {
        match structure.shape {
            Shape::Rect(rect) => {
                let shape = corners(view.on_sheet(&rect));
                canvas.fill(&shape, LIGHT.mix(1.0));
                canvas.outline(&shape, 3, INK);
                if structure.kind == StructureKind::House {
                    roof(canvas, view, &rect);
                }
            }
            Shape::Disc { at, radius_m } => {
                canvas.disc(view.at(at), radius_m * view.scale, Some(LIGHT), 3, SOFT);
            }
        }
    }
    canvas.outline(&corners(view.on_sheet(&scenario.yard)), 5, INK);
}

fn dashed_circle(canvas: &Canvas, (x, y): (f64, f64), r: f64, colour: RGBColor) {
    let on_circle = |i: usize| {
        let angle = i as f64 * std::f64::consts::PI / 24.0;
        (x + r * libm::cos(angle), y + r * libm::sin(angle))
    };
    for i in (0..48).step_by(2) {
        canvas.dashed(on_circle(i), on_circle(i + 1), 2, colour);
    }
}

/// Half size of the mark of a place where insects come from.
pub(crate) const SOURCE: f64 = 20.0;

/// Where insects come from, as drawn.
pub(crate) struct Origin {
    /// Place of the mark on the sheet.
    pub(crate) at: (f64, f64),
    /// The way they go, where they come over the edge.
    pub(crate) way: Option<(f64, f64)>,
    /// Its name.
    pub(crate) name: String,
}

/// The sources of a scenario, and the side that many come from.
pub(crate) fn origins(view: &View, scenario: &Scenario) -> Vec<Origin> {
    let (x0, y0, x1, y1) = view.on_sheet(&extent(scenario));
    let edge = (x0 + ARROW, y0 + ARROW, x1 - ARROW, y1 - ARROW);
    let (cx, cy) = (f64::midpoint(x0, x1), f64::midpoint(y0, y1));
    // From the middle of the map to its edge.
    let at_edge = |(dx, dy): (f64, f64)| {
        let reach = |d: f64, half: f64| match d.abs() {
            d if d < 1e-9 => f64::MAX,
            d => half / d,
        };
        let far = reach(dx, edge.2 - cx).min(reach(dy, edge.3 - cy)).max(0.0);
        ((cx + far * dx, cy + far * dy), Some((-dx, -dy)))
    };
    let plants = view.plants(scenario);
    let sources = scenario.sources.iter().map(|source| {
        let (at, way) = if let Some(bed) = source.bed {
            // Beside the first plant of the bed that they come out of.
            let plant = plants.get(scenario.crops[bed].first).unwrap_or(&edge);
            ((plant.0 - SOURCE - 4.0, plant.1 - SOURCE + 4.0), None)
        } else {
            let (x, y) = view.at(source.at);
            let inside = (x0..=x1).contains(&x) && (y0..=y1).contains(&y);
            let (dx, dy) = (x - cx, y - cy);
            let length = (dx * dx + dy * dy).sqrt().max(1e-9);
            if inside {
                ((x, y), None)
            } else {
                at_edge((dx / length, dy / length))
            }
        };
        let name = source.name.clone();
        Origin { at, way, name }
    });
    let side = scenario.from_side.iter().map(|side| {
        let (at, way) = at_edge((libm::sin(side.bearing_rad), -libm::cos(side.bearing_rad)));
        let share = format!("{:.0}", 100.0 * side.share);
        let name = say!("figure.map.from-side", n = share);
        Origin { at, way, name }
    });
    sources.chain(side).collect()
}

/// Half length of an arrow at the edge.
const ARROW: f64 = 34.0;

/// Places where insects come from: a diamond with a dot, in the ring where they appear; an arrow for what lies beyond.
pub(crate) fn sources(canvas: &Canvas, view: &View, scenario: &Scenario) {
    for source in scenario.sources.iter().filter(|s| s.bed.is_none()) {
        let (x, y) = view.at(source.at);
        let (x0, y0, x1, y1) = view.on_sheet(&extent(scenario));
        let r = source.radius_m * view.scale;
        if x - r >= x0 && x + r <= x1 && y - r >= y0 && y + r <= y1 {
            dashed_circle(canvas, (x, y), r, INK);
        }
    }
    for Origin { at, way, .. } in origins(view, scenario) {
        match way {
            Some(way) => arrow(canvas, at, way, ARROW),
            None => source_mark(canvas, at),
        }
    }
}

/// The mark of a place where insects come from.
pub(crate) fn source_mark(canvas: &Canvas, (x, y): (f64, f64)) {
    let r = SOURCE;
    let shape = [(x - r, y), (x, y - r), (x + r, y), (x, y + r)];
    canvas.fill(&shape, PAPER.mix(1.0));
    canvas.outline(&shape, 5, INK);
    canvas.disc((x, y), 5.0, Some(INK), 0, INK);
}

/// An arrow through a point; `towards` is a unit direction on the sheet.
pub(crate) fn arrow(canvas: &Canvas, middle: (f64, f64), towards: (f64, f64), half: f64) {
    let (dx, dy) = towards;
    let tip = (middle.0 + dx * half, middle.1 + dy * half);
    let tail = (middle.0 - dx * half, middle.1 - dy * half);
    let neck = (tip.0 - dx * 34.0, tip.1 - dy * 34.0);
    canvas.line(&[tail, neck], 7, INK);
    let head = [
        tip,
        (neck.0 - dy * 19.0, neck.1 + dx * 19.0),
        (neck.0 + dy * 19.0, neck.1 - dx * 19.0),
    ];
    canvas.fill(&head, INK.mix(1.0));
}

/// Ridge and hips of a roof, so that a house is not taken for a bed.
fn roof(canvas: &Canvas, view: &View, r: &Rect) {
    let (x0, y0, x1, y1) = view.on_sheet(r);
    let half = 0.5 * (x1 - x0).min(y1 - y0);
    let wide = x1 - x0 >= y1 - y0;
    let (a, b) = if wide {
        ((x0 + half, y0 + half), (x1 - half, y0 + half))
    } else {
        ((x0 + half, y1 - half), (x0 + half, y0 + half))
    };
    let ends = if wide { [a, b, b, a] } else { [a, a, b, b] };
    canvas.line(&[a, b], 2, SOFT);
    for (corner, end) in corners((x0, y0, x1, y1)).into_iter().zip(ends) {
        canvas.line(&[corner, end], 2, SOFT);
    }
}

/// Half size of a trap's triangle on a large panel.
pub const TRAP: f64 = 27.0;

/// A trap's triangle with a dark outline, white unless it would hide something; a neighbour's points down.
pub fn trap_mark(canvas: &Canvas, at: (f64, f64), half: f64, neighbours: bool, white: bool) {
    let turn = if neighbours { -1.0 } else { 1.0 };
    let (x, y) = at;
    let shape = [
        (x - half, y + turn * 0.75 * half),
        (x, y - turn * half),
        (x + half, y + turn * 0.75 * half),
    ];
    if white {
        canvas.fill(&shape, PAPER.mix(1.0));
    } else {
        canvas.outline(&shape, 12, PAPER);
    }
    canvas.outline(&shape, if half < TRAP { 4 } else { 6 }, INK);
}

/// Traps of a plan; a plant below a trap shines through.
pub fn traps(canvas: &Canvas, view: &View, scenario: &Scenario, plan: &Plan) {
    let plants = view.plants(scenario);
    for trap in &plan.traps {
        let (at, half) = (view.at(trap.at), view.trap_size());
        let white = plants.iter().all(|p| overlap(*p, square(at, half)) <= 0.0);
        trap_mark(canvas, at, half, trap.neighbours, white);
    }
}

/// Panels side by side: how many in a row, and the width of each. A wide yard gets fewer, so that its labels fit.
fn grid(scenario: &Scenario, n: usize, width: f64, gap: f64) -> (usize, f64) {
    let each = |columns: usize| (width - gap * (columns - 1) as f64) / columns as f64;
    let height = |panel: f64| {
        let frame = View::new(scenario, 0.0, 0.0, panel, f64::MAX).frame;
        frame.3 - frame.1
    };
    let columns = match n {
        0 | 1 => 1,
        2 | 4 => 2,
        _ if height(each(3)) < 560.0 => 2,
        _ => 3,
    };
    (columns, each(columns))
}

/// Room between panels.
const GAP: f64 = 50.0;

/// A panel for each plan, with its name and its numbers above it; `draw` draws one and returns where it ended. Returns where
/// the next thing may start, and the last view.
pub(crate) fn panels(
    canvas: &Canvas,
    top: f64,
    scenario: &Scenario,
    plans: &[(&str, Vec<String>)],
    draw: impl Fn(&View, usize) -> f64,
) -> (f64, Option<View>) {
    let (columns, width) = grid(scenario, plans.len(), INNER, GAP);
    let heads = plans.iter();
    let heads = heads.map(|(name, numbers)| heading_height(width, name, numbers));
    let head = heads.fold(0.0, f64::max);
    let (mut y, mut last) = (top, None);
    for (row, part) in plans.chunks(columns).enumerate() {
        let mut bottom = y;
        for (column, (name, numbers)) in part.iter().enumerate() {
            let x = MARGIN + column as f64 * (width + GAP);
            heading(canvas, x, y, width, name, numbers);
            let view = View::new(scenario, x, y + head, width, 1300.0);
            bottom = bottom.max(draw(&view, row * columns + column));
            last = Some(view);
        }
        y = bottom + 40.0;
    }
    (y, last)
}
