//! Twenty changes a plan: the marks that a reader can count.

use crate::figure::Figure;
use crate::figure::canvas::{MARGIN, Pen, WIDTH, picture};
use crate::figure::chart::{Dots, cells};
use crate::figure::palette::{Mark, RGBColor};
use crate::figure::sheet::{Caption, Look};
use crate::stats::words::tenths;

pub use crate::figure::chart::DotRow as Row;

/// Words at the axis.
#[derive(Clone, Debug)]
pub struct AxisWords {
    /// At the zero line.
    pub zero: String,
    /// Left of it.
    pub left: String,
    /// Right of it.
    pub right: String,
    /// Below all of it: what is not drawn.
    pub left_out: Option<String>,
}

/// Highest picture while marks can shrink, half pixels: it must leave the handout at two pages.
const MOST_HEIGHT: f64 = 1300.0;

/// How many of the rows fit, from the first; at least one.
pub fn fitting(rows: &[Row], band: f64, look: &Look) -> usize {
    let (top, end) = look.room();
    let mark = |i: usize| look.mark(i);
    let fits = |n: &usize| dots(&rows[..*n], band, "", (&mark, look), end).fits(top);
    (1..=rows.len()).rev().find(fits).unwrap_or(1)
}

fn dots<'a>(
    rows: &'a [Row],
    band: f64,
    zero: &'a str,
    (mark, look): (&'a dyn Fn(usize) -> (RGBColor, Mark), &Look),
    end: f64,
) -> Dots<'a> {
    // Smaller marks where a slide or half a page would run over.
    let radii = if *look == Look::Page {
        [20.0, 17.0, 14.0, 11.0, 8.0]
    } else {
        [30.0, 26.0, 20.0, 14.0, 8.0]
    };
    let reach = 2.0 * band.max(0.5);
    Dots {
        rows,
        look: mark,
        least: (-reach, reach),
        band: Some(band),
        line: Some((0.0, zero)),
        sizes: (look.text(), look.small()),
        radii: (radii, end.min(MOST_HEIGHT) - 3.6 * look.small()),
        name: "",
    }
}

/// Marks of every row, with the band of no change shaded.
pub fn change(caption: Caption, rows: &[Row], band: f64, words: &AxisWords, look: &Look) -> Figure {
    // Adding 0 turns a negative zero into a plain one.
    let meta = caption.words(cells(rows, |v| format!("{:.1}", tenths(v) + 0.0)));
    picture(meta, |canvas, _| {
        let (top, end) = look.frame(canvas);
        let small = look.small();
        let mark = |i: usize| look.mark(i);
        let dots = dots(rows, band, &words.zero, (&mark, look), end);
        let y = dots.draw(canvas, top) + 0.3 * small;
        let (left, right) = (dots.scale().at(f64::MIN), dots.scale().at(f64::MAX));
        let pen = Pen::new(small);
        canvas.text((left, y), &format!("\u{2190} {}", words.left), pen);
        let right_words = format!("{} \u{2192}", words.right);
        canvas.text((right, y), &right_words, pen.end());
        let below = y + 0.8 * small;
        let below = words.left_out.iter().fold(below, |y, said| {
            canvas.paragraph(MARGIN, y, WIDTH - 2.0 * MARGIN, said, Pen::new(small))
        });
        look.height(below)
    })
}
