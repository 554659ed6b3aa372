//! Names on a map, each where it hides nothing: beside its thing, or further off with a line to it, or below the map.

use crate::figure::canvas::{Canvas, Pen, SMALL, shorten, text_width};
use crate::figure::map::{Frame, Origin, SOURCE, TRAP, View, origins, overlap, square};
use crate::figure::palette::{INK, QUIET, RGBColor};
use crate::scenario::{Plan, Scenario, Shape};

/// A label that looks for its place.
struct Label {
    text: String,
    /// Said instead where the text finds no place.
    short: Option<String>,
    /// What it names; the nearest one gets the line.
    things: Vec<Frame>,
    inside_first: bool,
    colour: RGBColor,
    bold: bool,
    must: bool,
}

impl Label {
    fn new(text: &str, things: Vec<Frame>) -> Label {
        Label {
            text: text.to_owned(),
            short: None,
            things,
            inside_first: false,
            colour: INK,
            bold: false,
            must: true,
        }
    }
}

/// Names crops (with their number, if any), traps, sources, structures and plots; returns where the map ends.
///
/// Shape: `numbers` holds a text for each crop, or is empty; `drawn` are things on the sheet to keep clear of.
pub(crate) fn labels(
    canvas: &Canvas,
    view: &View,
    scenario: &Scenario,
    plan: Option<&Plan>,
    (numbers, drawn): (&[String], &[Frame]),
) -> f64 {
    let plants = view.plants(scenario);
    let mut wanted = Vec::new();
    let mut clear = plants.clone();
    clear.extend(drawn);
    let crops = scenario.crops.iter().enumerate();
    for (i, crop) in crops.filter(|(_, c)| c.count > 0) {
        let number = numbers.get(i).filter(|n| !n.is_empty());
        let text = number.map_or_else(|| crop.name.clone(), |n| format!("{} {n}", crop.name));
        wanted.push(Label {
            short: number.cloned(),
            bold: number.is_some(),
            ..Label::new(&text, plants[crop.first..crop.first + crop.count].to_vec())
        });
    }
    for trap in plan.iter().flat_map(|p| &p.traps) {
        let about = square(view.at(trap.at), TRAP);
        wanted.push(Label::new(&trap.name, vec![about]));
        clear.push(about);
    }
    for Origin { at, way, name } in origins(view, scenario) {
        let about = square(at, if way.is_some() { 1.7 * SOURCE } else { SOURCE });
        wanted.push(Label {
            must: false,
            ..Label::new(&name, vec![about])
        });
        clear.push(about);
    }
    let things = scenario.structures.iter().map(|s| (&s.name, s.shape));
    let zones = scenario.no_hang.iter().map(|z| (&z.name, z.shape));
    let plots = scenario.plots.iter();
    let plots = plots.map(|p| (&p.name, Shape::Rect(p.area)));
    for (name, shape) in things.chain(plots).chain(zones) {
        wanted.push(Label {
            inside_first: true,
            colour: QUIET,
            must: false,
            ..Label::new(name, vec![view.around(shape)])
        });
    }
    let edges = edges(view, scenario);
    let mut left_out = Vec::new();
    for label in wanted {
        let texts = [(0.0, Some(&label.text)), (SHORT, label.short.as_ref())];
        let places = texts.into_iter().filter_map(|(cost, text)| {
            let text = text?;
            let place = place(&label, text, view.frame, (&clear, &edges))?;
            Some((cost + place.0, place, text))
        });
        let best = places.min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, (_, box_, line), text)) = best else {
            if label.must {
                left_out.push(label.text);
            }
            continue;
        };
        if let Some(ends) = line {
            canvas.line(&ends, 2, INK);
        }
        let mut pen = Pen::SMALL.middle().coloured(label.colour).edged();
        pen.bold = label.bold;
        let middle = (f64::midpoint(box_.0, box_.2), f64::midpoint(box_.1, box_.3));
        let text = shorten(text, SMALL, label.bold, view.frame.2 - view.frame.0 - 16.0);
        canvas.text(middle, &text, pen);
        clear.push(box_);
    }
    let (left, bottom) = (view.frame.0, view.frame.3);
    let width = view.frame.2 - left;
    canvas.paragraph(left, bottom, width, &left_out.join("; "), Pen::SMALL)
}

/// Cost of the number alone, without its name.
const SHORT: f64 = 6.0;
/// Height of a label.
const HEIGHT: f64 = 1.15 * SMALL;

/// Cost of a place, its box, and the line to what it names where that is not next to it.
type Place = (f64, Frame, Option<[(f64, f64); 2]>);

/// The cheapest free place of a text.
fn place(
    label: &Label,
    text: &str,
    frame: Frame,
    (clear, edges): (&[Frame], &[Frame]),
) -> Option<Place> {
    let most = frame.2 - frame.0 - 4.0;
    let (w, h) = (text_width(text, SMALL, label.bold) + 12.0, HEIGHT);
    let w = w.min(most);
    let about = |c: (f64, f64)| (c.0 - 0.5 * w, c.1 - 0.5 * h, c.0 + 0.5 * w, c.1 + 0.5 * h);
    let free = |box_: Frame| {
        let inside =
            box_.0 >= frame.0 && box_.1 >= frame.1 && box_.2 <= frame.2 && box_.3 <= frame.3;
        inside && clear.iter().all(|o| overlap(box_, *o) <= 0.0)
    };
    let crossed = |box_: Frame| edges.iter().map(|e| overlap(box_, *e)).sum::<f64>() / (w * h);
    let near = candidates(label, w, h).into_iter().enumerate();
    let near = near.filter(|(_, c)| free(about(*c))).map(|(rank, c)| {
        let cost = 3.0 * crossed(about(c)) + 0.02 * rank as f64;
        (cost, about(c), None)
    });
    let near = near.min_by(|a, b| a.0.total_cmp(&b.0));
    if near.is_some() || label.inside_first {
        return near;
    }
    // Anywhere on the panel, the nearer the better, with a line that crosses as little as may be.
    let rows = ((frame.3 - frame.1) / (0.5 * h)) as usize;
    let columns = ((frame.2 - frame.0) / 20.0) as usize;
    let all = (0..rows * columns).map(|i| {
        let (x, y) = ((i % columns) as f64 * 20.0, (i / columns) as f64 * 0.5 * h);
        about((frame.0 + 0.5 * w + x, frame.1 + 0.5 * h + y))
    });
    let far = all.filter(|b| free(*b)).filter_map(|box_| {
        let ends = label.things.iter().map(|thing| line(box_, *thing));
        let ends = ends.min_by(|a, b| length(*a).total_cmp(&length(*b)))?;
        let through = clear
            .iter()
            .filter(|o| !label.things.contains(o) && meets(ends, **o));
        let through = through.count();
        let cost = 1.0 + length(ends) / 100.0 + 20.0 * through as f64;
        // What may go without a name gets none across other things, or from afar.
        let fine = label.must || (through == 0 && length(ends) < 300.0);
        fine.then_some((cost + 3.0 * crossed(box_), box_, Some(ends)))
    });
    far.min_by(|a, b| a.0.total_cmp(&b.0))
}

fn length([a, b]: [(f64, f64); 2]) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}

/// From the edge of a label to the edge of a thing.
fn line(label: Frame, thing: Frame) -> [(f64, f64); 2] {
    let (x, y) = (
        f64::midpoint(thing.0, thing.2),
        f64::midpoint(thing.1, thing.3),
    );
    let from = (x.clamp(label.0, label.2), y.clamp(label.1, label.3));
    // A thing is drawn round, or at least not beyond the circle in its box.
    let away = length([from, (x, y)]).max(1e-9);
    let share = (0.5 * (thing.2 - thing.0) / away).min(1.0);
    [from, (x + share * (from.0 - x), y + share * (from.1 - y))]
}

/// Whether a line passes through a box.
fn meets([a, b]: [(f64, f64); 2], o: Frame) -> bool {
    (1..40).any(|k| {
        let t = f64::from(k) / 40.0;
        let (x, y) = (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1));
        x > o.0 && x < o.2 && y > o.1 && y < o.3
    })
}

/// Outlines that a label should not cross, as thin frames.
fn edges(view: &View, scenario: &Scenario) -> Vec<Frame> {
    let shapes = scenario.structures.iter().map(|s| s.shape);
    let shapes = shapes.chain(scenario.no_hang.iter().map(|z| z.shape));
    let rects = shapes.filter(|s| matches!(s, Shape::Rect(_)));
    let plots = scenario.plots.iter().map(|p| Shape::Rect(p.area));
    let all = rects.chain(plots).chain([Shape::Rect(scenario.yard)]);
    let half = 4.0;
    all.flat_map(|shape| {
        let (x0, y0, x1, y1) = view.around(shape);
        [
            (x0 - half, y0, x0 + half, y1),
            (x1 - half, y0, x1 + half, y1),
            (x0, y0 - half, x1, y0 + half),
            (x0, y1 - half, x1, y1 + half),
        ]
    })
    .collect()
}

/// Centres tried for a label next to what it names, best first.
fn candidates(label: &Label, w: f64, h: f64) -> Vec<(f64, f64)> {
    let whole = (f64::MAX, f64::MAX, f64::MIN, f64::MIN);
    let (x0, y0, x1, y1) = label.things.iter().fold(whole, |b, t| {
        (b.0.min(t.0), b.1.min(t.1), b.2.max(t.2), b.3.max(t.3))
    });
    let (cx, cy) = (f64::midpoint(x0, x1), f64::midpoint(y0, y1));
    let gap = 6.0;
    let (above, below) = (y0 - 0.5 * h - gap, y1 + 0.5 * h + gap);
    let (left, right) = (x0 - 0.5 * w - gap, x1 + 0.5 * w + gap);
    let (flush_left, flush_right) = (x0 + 0.5 * w, x1 - 0.5 * w);
    let mut all = Vec::new();
    if label.inside_first && w - 12.0 < x1 - x0 && h < y1 - y0 {
        let (high, low) = (y0 + 0.5 * h + gap, y1 - 0.5 * h - gap);
        all.push((cx, cy));
        for x in [cx, flush_left + gap, flush_right - gap] {
            all.extend([(x, high), (x, low)]);
        }
    }
    all.extend([(cx, below), (cx, above), (right, cy), (left, cy)]);
    for x in [flush_left, flush_right, cx - 0.3 * w, cx + 0.3 * w] {
        all.extend([(x, below), (x, above)]);
    }
    for y in [y0 + 0.5 * h, y1 - 0.5 * h, below, above] {
        all.extend([(right, y), (left, y)]);
    }
    all
}
