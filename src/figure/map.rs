//! The yard from above: places of things on the sheet, outlines, traps and labels.

use crate::figure::canvas::{Anchor, Canvas, Pen, SMALL, shorten, text_width, veil};
use crate::figure::palette::{INK, PAPER, QUIET};
use crate::geometry::{Point, Rect};
use crate::scenario::{Plan, Scenario, Shape, StructureKind};
use plotters::style::{Color, RGBAColor, RGBColor};

const LIGHT: RGBColor = RGBColor(0xEC, 0xEC, 0xEC);
const PLOT: RGBColor = RGBColor(0xF6, 0xF6, 0xF6);
const SOFT: RGBColor = RGBColor(0x77, 0x77, 0x77);

/// A rectangle on the sheet: left, top, right, bottom.
pub type Frame = (f64, f64, f64, f64);

/// From metres in the yard to half pixels on the sheet.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// Half pixels in a metre.
    pub scale: f64,
    /// What the panel covers.
    pub frame: Frame,
    sine: f64,
    cosine: f64,
    left_m: f64,
    top_m: f64,
}

/// Everything a map must show: yard, neighbours' plots, plants and traps.
fn extent(scenario: &Scenario) -> Rect {
    let mut all = scenario.yard;
    for plot in &scenario.plots {
        all = all.union(&plot.area);
    }
    let plants = scenario.plants.iter().map(|p| (p.at, p.canopy_m));
    let traps = scenario
        .plans
        .iter()
        .flat_map(|p| &p.traps)
        .map(|t| (t.at, 0.0));
    for (at, radius_m) in plants.chain(traps) {
        all = all.union(&Rect::new(at.x, at.y, at.x, at.y).grown(radius_m));
    }
    all.grown(0.02 * (all.width() + all.height()))
}

impl View {
    /// Fits the whole map into a width and, at most, a height; the frame shrinks to what is needed.
    pub fn new(scenario: &Scenario, x: f64, y: f64, width: f64, most_height: f64) -> Self {
        let (sine, cosine) = (
            libm::sin(scenario.up_bearing_rad),
            libm::cos(scenario.up_bearing_rad),
        );
        let all = extent(scenario);
        let turned = corners(&all).map(|p| (p.x * cosine - p.y * sine, p.x * sine + p.y * cosine));
        let least = turned
            .iter()
            .fold((f64::MAX, f64::MAX), |a, p| (a.0.min(p.0), a.1.min(p.1)));
        let most = turned
            .iter()
            .fold((f64::MIN, f64::MIN), |a, p| (a.0.max(p.0), a.1.max(p.1)));
        let scale = (width / (most.0 - least.0)).min(most_height / (most.1 - least.1));
        let height = scale * (most.1 - least.1);
        let spare = width - scale * (most.0 - least.0);
        View {
            scale,
            frame: (x, y, x + width, y + height),
            sine,
            cosine,
            left_m: least.0 - 0.5 * spare / scale,
            top_m: most.1,
        }
    }

    /// Place of a point on the sheet.
    pub fn at(&self, p: Point) -> (f64, f64) {
        let right = p.x * self.cosine - p.y * self.sine;
        let up = p.x * self.sine + p.y * self.cosine;
        (
            self.frame.0 + (right - self.left_m) * self.scale,
            self.frame.1 + (self.top_m - up) * self.scale,
        )
    }

    /// Corners of a rectangle on the sheet.
    pub fn corners(&self, rect: &Rect) -> [(f64, f64); 4] {
        corners(rect).map(|p| self.at(p))
    }

    /// Whether rectangles stay upright on the sheet.
    pub fn is_upright(&self) -> bool {
        self.sine.abs() < 1e-9 || self.cosine.abs() < 1e-9
    }

    /// Fills a rectangle of the yard so that no paper shines through between neighbours, not even on a turned map.
    pub fn fill(&self, canvas: &Canvas, rect: &Rect, colour: RGBAColor) {
        if self.is_upright() {
            let c = self.corners(rect);
            canvas.fill_rect(
                c[0].0.min(c[2].0),
                c[0].1.min(c[2].1),
                c[0].0.max(c[2].0),
                c[0].1.max(c[2].1),
                colour,
            );
        } else {
            canvas.fill(&self.corners(&rect.grown(1.2 / self.scale)), colour);
        }
    }

    /// Direction on the sheet (x right, y down) of a bearing, clockwise from north.
    pub fn direction(&self, bearing_rad: f64) -> (f64, f64) {
        let (x, y) = (libm::sin(bearing_rad), libm::cos(bearing_rad));
        (
            x * self.cosine - y * self.sine,
            -(x * self.sine + y * self.cosine),
        )
    }

    /// Half size of a trap's triangle.
    pub fn trap_size(&self) -> f64 {
        if self.frame.2 - self.frame.0 < 600.0 {
            0.65 * TRAP
        } else {
            TRAP
        }
    }

    /// Radius of a plant on the sheet; small plants are drawn large enough to be seen.
    pub fn plant_radius(&self, canopy_m: f64) -> f64 {
        (canopy_m * self.scale).max(9.0)
    }
}

fn corners(r: &Rect) -> [Point; 4] {
    [
        Point::new(r.x0, r.y0),
        Point::new(r.x1, r.y0),
        Point::new(r.x1, r.y1),
        Point::new(r.x0, r.y1),
    ]
}

fn bounds(points: &[(f64, f64)]) -> Frame {
    points
        .iter()
        .fold((f64::MAX, f64::MAX, f64::MIN, f64::MIN), |b, p| {
            (b.0.min(p.0), b.1.min(p.1), b.2.max(p.0), b.3.max(p.1))
        })
}

/// Ground: neighbours' plots and the yard's own floor. Drawn below everything.
pub fn ground(canvas: &Canvas, view: &View, scenario: &Scenario) {
    for plot in &scenario.plots {
        let shape = view.corners(&plot.area);
        canvas.fill(&shape, PLOT.mix(1.0));
        canvas.outline(&shape, 2, SOFT);
    }
    canvas.fill(&view.corners(&scenario.yard), PAPER.mix(1.0));
}

/// Yard outline and what stands in it.
pub fn structures(canvas: &Canvas, view: &View, scenario: &Scenario) {
    for zone in &scenario.no_hang {
        match zone.shape {
            Shape::Rect(rect) => {
                let c = view.corners(&rect);
                for i in 0..4 {
                    canvas.dashed(c[i], c[(i + 1) % 4], 2, SOFT);
                }
            }
            Shape::Disc { at, radius_m } => {
                let (x, y) = view.at(at);
                let r = radius_m * view.scale;
                let on_circle = |i: usize| {
                    let angle = i as f64 * std::f64::consts::PI / 24.0;
                    (x + r * libm::cos(angle), y + r * libm::sin(angle))
                };
                for i in (0..48).step_by(2) {
                    canvas.dashed(on_circle(i), on_circle(i + 1), 2, SOFT);
                }
            }
        }
    }
    for structure in &scenario.structures {
        match structure.shape {
            Shape::Rect(rect) => {
                let shape = view.corners(&rect);
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
    canvas.outline(&view.corners(&scenario.yard), 5, INK);
}

/// Ridge and hips of a roof, so that a house is not taken for a bed.
fn roof(canvas: &Canvas, view: &View, r: &Rect) {
    let half = 0.5 * r.width().min(r.height());
    let (a, b) = if r.width() >= r.height() {
        (
            Point::new(r.x0 + half, r.y0 + half),
            Point::new(r.x1 - half, r.y1 - half),
        )
    } else {
        (
            Point::new(r.x0 + half, r.y0 + half),
            Point::new(r.x0 + half, r.y1 - half),
        )
    };
    let c = corners(r);
    let ends = if r.width() >= r.height() {
        [a, b, b, a]
    } else {
        [a, a, b, b]
    };
    canvas.line(&[view.at(a), view.at(b)], 2, SOFT);
    for (corner, end) in c.iter().zip(ends) {
        canvas.line(&[view.at(*corner), view.at(end)], 2, SOFT);
    }
}

/// Half size of a trap's triangle on a large panel.
pub const TRAP: f64 = 27.0;

/// A trap's triangle: white with a dark outline; a neighbour's points down.
pub fn trap_mark(canvas: &Canvas, at: (f64, f64), half: f64, neighbours: bool) {
    let turn = if neighbours { -1.0 } else { 1.0 };
    let (x, y) = at;
    let shape = [
        (x - half, y + turn * 0.75 * half),
        (x, y - turn * half),
        (x + half, y + turn * 0.75 * half),
    ];
    canvas.fill(&shape, PAPER.mix(1.0));
    canvas.outline(&shape, if half < TRAP { 4 } else { 6 }, INK);
}

/// Traps of a plan.
pub fn traps(canvas: &Canvas, view: &View, plan: &Plan) {
    for trap in &plan.traps {
        trap_mark(canvas, view.at(trap.at), view.trap_size(), trap.neighbours);
    }
}

/// A label that looks for its place.
struct Label {
    text: String,
    /// Said instead where the text would cross something.
    short: Option<String>,
    about: Frame,
    inside_first: bool,
    colour: RGBColor,
    bold: bool,
    must: bool,
}

/// Names crops (with their number, if any), traps, structures and plots where they disturb least.
///
/// Shape: `numbers` holds a text for each crop, or is empty.
pub fn labels(
    canvas: &Canvas,
    view: &View,
    scenario: &Scenario,
    plan: Option<&Plan>,
    numbers: &[String],
) {
    let mut wanted = Vec::new();
    for (i, crop) in scenario.crops.iter().enumerate() {
        let plants = &scenario.plants[crop.first..crop.first + crop.count];
        if plants.is_empty() {
            continue;
        }
        let mut points = Vec::new();
        for plant in plants {
            let (x, y) = view.at(plant.at);
            let r = view.plant_radius(plant.canopy_m);
            points.extend([(x - r, y - r), (x + r, y + r)]);
        }
        let number = numbers.get(i);
        let text = number.map_or_else(|| crop.name.clone(), |n| format!("{} {n}", crop.name));
        let bold = !numbers.is_empty();
        wanted.push(Label {
            text,
            short: number.cloned(),
            about: bounds(&points),
            inside_first: false,
            colour: INK,
            bold,
            must: true,
        });
    }
    for trap in plan.iter().flat_map(|p| &p.traps) {
        let (x, y) = view.at(trap.at);
        let about = (x - TRAP, y - TRAP, x + TRAP, y + TRAP);
        wanted.push(Label {
            text: trap.name.clone(),
            short: None,
            about,
            inside_first: false,
            colour: INK,
            bold: false,
            must: true,
        });
    }
    let things = scenario.structures.iter().map(|s| (&s.name, s.shape));
    let zones = scenario.no_hang.iter().map(|z| (&z.name, z.shape));
    let plots = scenario
        .plots
        .iter()
        .map(|p| (&p.name, Shape::Rect(p.area)));
    for (name, shape) in things.chain(plots).chain(zones) {
        let about = match shape {
            Shape::Rect(rect) => bounds(&view.corners(&rect)),
            Shape::Disc { at, radius_m } => {
                let ((x, y), r) = (view.at(at), radius_m * view.scale);
                (x - r, y - r, x + r, y + r)
            }
        };
        let text = name.clone();
        wanted.push(Label {
            text,
            short: None,
            about,
            inside_first: true,
            colour: QUIET,
            bold: false,
            must: false,
        });
    }
    place(canvas, view, scenario, plan, wanted);
}

fn overlap(a: Frame, b: Frame) -> f64 {
    let width = a.2.min(b.2) - a.0.max(b.0);
    let height = a.3.min(b.3) - a.1.max(b.1);
    if width <= 0.0 || height <= 0.0 {
        0.0
    } else {
        width * height
    }
}

/// Cost of a long text from which on a short one is better.
const CROWDED: f64 = 0.12;

fn place(
    canvas: &Canvas,
    view: &View,
    scenario: &Scenario,
    plan: Option<&Plan>,
    wanted: Vec<Label>,
) {
    let dots: Vec<Frame> = scenario
        .plants
        .iter()
        .map(|p| {
            let ((x, y), r) = (view.at(p.at), view.plant_radius(p.canopy_m));
            (x - r, y - r, x + r, y + r)
        })
        .collect();
    let triangles: Vec<Frame> = plan
        .iter()
        .flat_map(|p| &p.traps)
        .map(|t| view.at(t.at))
        .map(|(x, y)| (x - TRAP, y - TRAP, x + TRAP, y + TRAP))
        .collect();
    let edges = edges(view, scenario);
    let mut taken: Vec<Frame> = Vec::new();
    let (f0, f1, f2, f3) = view.frame;
    for label in wanted {
        let mut best: Option<(f64, (f64, f64), Frame, String)> = None;
        // The short text only where the long one would cross something.
        let texts = [(0.0, Some(&label.text)), (CROWDED, label.short.as_ref())];
        for (handicap, text) in texts {
            let Some(text) = text else { continue };
            let text = shorten(text, SMALL, label.bold, f2 - f0 - 16.0);
            let (w, h) = (text_width(&text, SMALL, label.bold) + 12.0, 1.15 * SMALL);
            let area = w * h;
            let cost = |c: (f64, f64)| {
                let box_ = (c.0 - 0.5 * w, c.1 - 0.5 * h, c.0 + 0.5 * w, c.1 + 0.5 * h);
                let sum =
                    |others: &[Frame]| others.iter().map(|o| overlap(box_, *o)).sum::<f64>() / area;
                let crossed = 3.0 * sum(&edges);
                (
                    20.0 * sum(&taken) + 10.0 * sum(&triangles) + 6.0 * sum(&dots) + crossed,
                    box_,
                )
            };
            for (rank, c) in candidates(&label, w, h).into_iter().enumerate() {
                let c = (
                    c.0.clamp(f0 + 0.5 * w, (f2 - 0.5 * w).max(f0 + 0.5 * w)),
                    c.1.clamp(f1 + 0.5 * h, (f3 - 0.5 * h).max(f1 + 0.5 * h)),
                );
                let (overlap_cost, box_) = cost(c);
                let all = overlap_cost + 0.02 * rank as f64 + handicap;
                if best.as_ref().is_none_or(|b| all < b.0) {
                    best = Some((all, c, box_, text.clone()));
                }
            }
        }
        let Some((all, c, box_, text)) = best else {
            continue;
        };
        if all > 1.0 && !label.must {
            continue;
        }
        canvas.fill_rect(box_.0, box_.1, box_.2, box_.3, veil());
        let pen = Pen {
            bold: label.bold,
            ..Pen::new(SMALL)
        }
        .anchored(Anchor::Middle)
        .coloured(label.colour);
        canvas.text(c, &text, pen);
        taken.push(box_);
    }
}

/// Outlines that a label should not cross, as thin frames; a turned map goes without.
fn edges(view: &View, scenario: &Scenario) -> Vec<Frame> {
    if !view.is_upright() {
        return Vec::new();
    }
    let structures = scenario
        .structures
        .iter()
        .map(|s| s.shape)
        .chain(scenario.no_hang.iter().map(|z| z.shape));
    let rects = structures.filter_map(|s| match s {
        Shape::Rect(rect) => Some(rect),
        Shape::Disc { .. } => None,
    });
    let mut out = Vec::new();
    for rect in rects
        .chain(scenario.plots.iter().map(|p| p.area))
        .chain([scenario.yard])
    {
        let (x0, y0, x1, y1) = bounds(&view.corners(&rect));
        let half = 4.0;
        out.extend([
            (x0 - half, y0, x0 + half, y1),
            (x1 - half, y0, x1 + half, y1),
            (x0, y0 - half, x1, y0 + half),
            (x0, y1 - half, x1, y1 + half),
        ]);
    }
    out
}

/// Centres tried for a label, best first.
fn candidates(label: &Label, w: f64, h: f64) -> Vec<(f64, f64)> {
    let (x0, y0, x1, y1) = label.about;
    let (cx, cy) = (f64::midpoint(x0, x1), f64::midpoint(y0, y1));
    let gap = 6.0;
    let (above, below) = (y0 - 0.5 * h - gap, y1 + 0.5 * h + gap);
    let (left, right) = (x0 - 0.5 * w - gap, x1 + 0.5 * w + gap);
    let around = [(cx, below), (cx, above), (right, cy), (left, cy)];
    let flush_left = x0 + 0.5 * w;
    let flush_right = x1 - 0.5 * w;
    let corners = [
        (flush_left, below),
        (flush_right, below),
        (flush_left, above),
        (flush_right, above),
    ];
    let further = [
        (right, below),
        (left, below),
        (right, above),
        (left, above),
        (cx, below + h),
        (cx, above - h),
    ];
    let shifted = [
        (cx - 0.3 * w, below),
        (cx + 0.3 * w, below),
        (cx - 0.3 * w, above),
        (cx + 0.3 * w, above),
    ];
    let beside = [
        (right, y0 + 0.5 * h),
        (left, y0 + 0.5 * h),
        (right, y1 - 0.5 * h),
        (left, y1 - 0.5 * h),
    ];
    let fits = w - 12.0 < x1 - x0 && h < y1 - y0;
    let inside = [
        (cx, cy),
        (cx, y0 + 0.5 * h + gap),
        (cx, y1 - 0.5 * h - gap),
        (flush_left + gap, y0 + 0.5 * h + gap),
        (flush_right - gap, y0 + 0.5 * h + gap),
        (flush_left + gap, y1 - 0.5 * h - gap),
        (flush_right - gap, y1 - 0.5 * h - gap),
    ];
    let mut all = Vec::new();
    if label.inside_first && fits {
        all.extend(inside);
    }
    all.extend(around);
    all.extend(corners);
    all.extend(shifted);
    all.extend(beside);
    all.extend(further);
    if !label.inside_first {
        all.push((cx, cy));
    }
    all
}

/// Panels side by side: how many in a row, and the width of each. A wide yard gets fewer, so that its labels fit.
pub fn grid(scenario: &Scenario, n: usize, width: f64, gap: f64) -> (usize, f64) {
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
