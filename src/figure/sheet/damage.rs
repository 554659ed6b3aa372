//! Damage as bars with the catch beside it as a number, so that a big catch cannot pass for a good result.

use crate::figure::canvas::{Canvas, MARGIN, Pen, WIDTH, picture, shorten};
use crate::figure::chart::BAR;
use crate::figure::palette::{INK, PAPER};
use crate::figure::sheet::{Caption, Look};
use crate::figure::{Figure, round_up};

/// A plan with its damage and catch, and how both are printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Plan.
    pub name: String,
    /// Mean damage, of 100.
    pub damage: f64,
    /// The same as text.
    pub damage_text: String,
    /// Catch as text.
    pub caught_text: String,
}

const LEFT: f64 = 60.0;
/// Height of a row with its name above the bar, in lines of text, and with its name beside it.
const TALL: f64 = 2.9;
const FLAT: f64 = 1.5;
/// Where bars begin with their names beside them.
const BESIDE: f64 = 860.0;

/// Most rows that can be read.
pub fn most_rows(look: &Look) -> usize {
    let (top, end) = look.room();
    ((end - top - 1.8 * look.text()) / (FLAT * look.text())) as usize
}

/// Bars of damage; the column at the right holds the catch. A line below tells what is not drawn.
pub fn damage(
    caption: Caption,
    rows: &[Row],
    columns: (&str, &str),
    left_out: Option<&str>,
    look: &Look,
) -> Figure {
    let table = rows
        .iter()
        .map(|r| vec![r.name.clone(), r.damage_text.clone(), r.caught_text.clone()])
        .collect();
    let meta = caption.words(table);
    picture(meta, |canvas, _| {
        let room = look.frame(canvas);
        look.height(draw(canvas, room, rows, columns, left_out, look))
    })
}

fn draw(
    canvas: &Canvas,
    (top, end): (f64, f64),
    rows: &[Row],
    columns: (&str, &str),
    left_out: Option<&str>,
    look: &Look,
) -> f64 {
    let (text, small) = (look.text(), look.small());
    let right = WIDTH - MARGIN - 560.0;
    let longest = round_up(rows.iter().map(|r| r.damage).fold(1.0, f64::max)).min(100.0);
    let tallest = if *look == Look::Page { 130.0 } else { 200.0 };
    canvas.text((LEFT, top + 0.7 * text), columns.0, Pen::new(small));
    let at = (WIDTH - MARGIN, top + 0.7 * text);
    canvas.text(at, columns.1, Pen::new(small).end());
    let mut y = top + 1.8 * text;
    let lines = rows.len() + usize::from(left_out.is_some());
    let each = (1.4 * text + tallest).min((end - y) / lines.max(1) as f64);
    let above = each >= TALL * text;
    // Where the bars begin, how far below the top of a row, and the room between rows.
    let (from, down, gap) = if above {
        (LEFT, 1.3 * text, 34.0)
    } else {
        (BESIDE, 0.0, 20.0)
    };
    for row in rows {
        let (bar, height) = (y + down, each - down - gap);
        let middle = bar + 0.5 * height;
        let (width, at) = if above {
            (right - LEFT, y + 0.6 * text)
        } else {
            (BESIDE - LEFT - 24.0, middle)
        };
        let name = shorten(&row.name, text, true, width);
        canvas.text((LEFT, at), &name, Pen::new(text).bold());
        let length = (right - from - 200.0) * (row.damage / longest).clamp(0.0, 1.0);
        canvas.boxed((from, bar, from + length.max(3.0), bar + height), BAR);
        let pen = Pen::new(text);
        let beside = (from + length + 24.0, middle);
        canvas.text(beside, &row.damage_text, pen.bold());
        let (west, east, low) = (WIDTH - MARGIN - 420.0, WIDTH - MARGIN, bar + height);
        canvas.fill_rect(west, bar, east, low, PAPER.mix(1.0));
        canvas.outline(
            &[(west, bar), (east, bar), (east, low), (west, low)],
            2,
            INK,
        );
        canvas.text((east - 24.0, middle), &row.caught_text, pen.end());
        y += each;
    }
    if let Some(said) = left_out {
        let said = shorten(said, small, false, WIDTH - 2.0 * MARGIN);
        canvas.text((LEFT, y + 0.6 * text), &said, Pen::new(small));
        y += 1.3 * text;
    }
    y
}
