//! The board of the game on paper.

use crate::figure::Figure;
use crate::figure::canvas::{Pen, WIDTH, picture};
use crate::figure::palette::{PAPER, RGBColor};
use crate::figure::sheet::Caption;

const GREY: RGBColor = RGBColor(0xD0, 0xD0, 0xD0);

/// What lies on a square.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Square {
    /// Nothing.
    Empty,
    /// A plant.
    Plant,
    /// The trap.
    Trap,
}

/// Squares row by row from the top, whether each is within the scent, and the numbers along every side.
pub fn board(caption: Caption, side: usize, squares: &[(Square, bool)]) -> Figure {
    let label = |s: Square| match s {
        Square::Empty => "",
        Square::Plant => "P",
        Square::Trap => "T",
    };
    let cell = |(s, scent): &(Square, bool)| {
        let scent = if *scent { " gray" } else { "" };
        format!("{}{scent}", label(*s)).trim().to_owned()
    };
    let row = |(r, row): (usize, &[(Square, bool)])| {
        let number = std::iter::once((r + 1).to_string());
        number.chain(row.iter().map(cell)).collect()
    };
    let meta = caption.words(squares.chunks(side).enumerate().map(row).collect());
    picture(meta, |canvas, _| {
        let cell = 150.0;
        let left = 0.5 * (WIDTH - cell * side as f64);
        let top = 110.0;
        for (i, (square, scent)) in squares.iter().enumerate() {
            let x = left + (i % side) as f64 * cell;
            let y = top + (i / side) as f64 * cell;
            let fill = if *scent { GREY } else { PAPER };
            canvas.boxed((x, y, x + cell, y + cell), fill);
            let middle = (x + 0.5 * cell, y + 0.5 * cell);
            canvas.text(middle, label(*square), Pen::new(84.0).bold().middle());
        }
        let end = cell * side as f64;
        for n in 1..=6 {
            let along = (f64::from(n) + 0.5) * cell;
            for at in [
                (left + along, top - 50.0),
                (left + along, top + end + 50.0),
                (left - 50.0, top + along),
                (left + end + 50.0, top + along),
            ] {
                let pen = Pen::new(56.0).middle();
                canvas.text(at, &n.to_string(), pen);
            }
        }
        top + end + 110.0
    })
}
