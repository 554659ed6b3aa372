//! A hundred squares: where those that came for the scent ended.

use crate::figure::Figure;
use crate::figure::canvas::{Canvas, MARGIN, Pen, WIDTH, picture};
use crate::figure::palette::{INK, Mark, PAPER, RGBColor};
use crate::figure::sheet::{Caption, Look};

const DARK: RGBColor = RGBColor(0x33, 0x33, 0x33);

/// Three groups that add up to 100, with their names.
pub fn fate(caption: Caption, parts: [u64; 3], names: &[String; 3], look: &Look) -> Figure {
    let table = names.iter().zip(parts);
    let table = table.map(|(n, p)| vec![n.clone(), p.to_string()]);
    let meta = caption.words(table.collect());
    picture(meta, |canvas, _| {
        let (top, end) = look.frame(canvas);
        let side = ((end.min(top + 1000.0) - top - 20.0) / 10.0).min(102.0);
        let y = draw(canvas, top + 10.0, side, parts, names, look);
        look.height(y)
    })
}

/// Which group a square belongs to.
fn group(i: u64, parts: [u64; 3]) -> usize {
    usize::from(i >= parts[0]) + usize::from(i >= parts[0] + parts[1])
}

fn draw(
    canvas: &Canvas,
    top: f64,
    side: f64,
    parts: [u64; 3],
    names: &[String; 3],
    look: &Look,
) -> f64 {
    let left = MARGIN + 40.0;
    for i in 0..100_u64 {
        let (x, y) = (left + (i % 10) as f64 * side, top + (i / 10) as f64 * side);
        square(canvas, (x, y), side - 10.0, group(i, parts));
    }
    let x = left + 10.0 * side + 110.0;
    let text = look.text();
    let mut y = top + 40.0;
    for (k, name) in names.iter().enumerate() {
        square(canvas, (x, y), 92.0, k);
        let pen = Pen::new(1.6 * text).bold();
        canvas.text((x + 130.0, y + 46.0), &parts[k].to_string(), pen);
        let width = WIDTH - MARGIN - x - 320.0;
        canvas.paragraph(x + 320.0, y + 14.0, width, name, Pen::new(text));
        y += 250.0;
    }
    top + 10.0 * side
}

/// A square with the shape of its group: a filled triangle for the trap, a disc for a plant, nothing for gone.
fn square(canvas: &Canvas, (x, y): (f64, f64), side: f64, group: usize) {
    let corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)];
    let middle = (x + 0.5 * side, y + 0.5 * side);
    match group {
        0 => {
            canvas.fill(&corners, DARK.mix(1.0));
            canvas.mark(middle, 0.3 * side, Mark::Triangle, PAPER);
        }
        1 => canvas.mark(middle, 0.32 * side, Mark::Circle, INK),
        _ => {}
    }
    canvas.outline(&corners, 3, INK);
}
