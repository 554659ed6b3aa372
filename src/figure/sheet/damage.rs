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

/// Bars of damage; the column at the right holds the catch.
pub fn damage(caption: Caption, rows: &[Row], columns: (&str, &str), look: &Look) -> Figure {
    let table = rows
        .iter()
        .map(|r| vec![r.name.clone(), r.damage_text.clone(), r.caught_text.clone()])
        .collect();
    let meta = caption.words(table);
    picture(meta, |canvas, _| {
        let (top, end) = look.frame(canvas);
        look.height(draw(canvas, top, end, rows, columns, look))
    })
}

fn draw(
    canvas: &Canvas,
    top: f64,
    end: f64,
    rows: &[Row],
    columns: (&str, &str),
    look: &Look,
) -> f64 {
    let (text, small) = (look.text(), look.small());
    let right = WIDTH - MARGIN - 560.0;
    let longest = round_up(rows.iter().map(|r| r.damage).fold(1.0, f64::max)).min(100.0);
    let tallest = if *look == Look::Page { 130.0 } else { 200.0 };
    let each =
        (1.4 * text + tallest).min(((end - top - 90.0) / rows.len().max(1) as f64).max(120.0));
    canvas.text((LEFT, top + 0.7 * text), columns.0, Pen::new(small));
    let at = (WIDTH - MARGIN, top + 0.7 * text);
    canvas.text(at, columns.1, Pen::new(small).end());
    let mut y = top + 1.8 * text;
    for row in rows {
        let name = shorten(&row.name, text, true, right - LEFT);
        canvas.text((LEFT, y + 0.6 * text), &name, Pen::new(text).bold());
        let (bar, height) = (y + 1.3 * text, (each - 1.3 * text - 34.0).max(40.0));
        let length = (right - LEFT - 200.0) * (row.damage / longest).clamp(0.0, 1.0);
        canvas.boxed((LEFT, bar, LEFT + length.max(3.0), bar + height), BAR);
        let (pen, middle) = (Pen::new(text), bar + 0.5 * height);
        let beside = (LEFT + length + 24.0, middle);
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
    y
}
