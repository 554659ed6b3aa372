//! Pictures for pages and slides: plain data and ready words in, one claim a picture out. A page picture is as high as it
//! needs; a slide is 16:9 with its claim on top and large type.

pub mod board;
pub mod change;
pub mod damage;
pub mod day;
pub mod fate;
pub mod yard;

use crate::figure::Table;
use crate::figure::canvas::{Canvas, MARGIN, Pen, WIDTH, Words, wrap};
use crate::figure::palette::{self, INK, Mark, RGBColor};

/// Height of a slide: 16:9.
pub const SLIDE_HEIGHT: f64 = 1350.0;

/// Where a picture will be shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Look {
    /// In a page, under a caption: black marks that a grey copier keeps, no title of its own.
    Page,
    /// A slide.
    Slide {
        /// The one claim, at the top.
        claim: String,
        /// A line at the foot.
        foot: String,
    },
}

impl Look {
    /// Usual text, half pixels.
    pub fn text(&self) -> f64 {
        match self {
            Look::Page => 52.0,
            Look::Slide { .. } => 60.0,
        }
    }

    /// Smallest text.
    pub fn small(&self) -> f64 {
        match self {
            Look::Page => 46.0,
            Look::Slide { .. } => 52.0,
        }
    }

    /// Colour and shape of a row. On a page the shape alone tells rows apart.
    pub fn mark(&self, row: usize) -> (RGBColor, Mark) {
        let (colour, mark) = palette::plan(row + 1);
        match self {
            Look::Page => (INK, mark),
            Look::Slide { .. } => (colour, mark),
        }
    }

    /// Size of the claim: smaller when it is long.
    fn claim_size(claim: &str) -> f64 {
        let lines = wrap(claim, 84.0, true, WIDTH - 2.0 * MARGIN).len();
        if lines > 2 { 68.0 } else { 84.0 }
    }

    /// Where the picture may start and where it must end.
    pub fn room(&self) -> (f64, f64) {
        let Look::Slide { claim, .. } = self else {
            return (16.0, f64::INFINITY);
        };
        let size = Look::claim_size(claim);
        let lines = wrap(claim, size, true, WIDTH - 2.0 * MARGIN).len() as f64;
        (50.0 + lines * 1.3 * size + 24.0, SLIDE_HEIGHT - 100.0)
    }

    /// Draws claim and foot of a slide; returns where the picture may start and where it must end.
    pub fn frame(&self, canvas: &Canvas) -> (f64, f64) {
        if let Look::Slide { claim, foot } = self {
            let pen = Pen::new(Look::claim_size(claim)).bold();
            canvas.paragraph(MARGIN, 50.0, WIDTH - 2.0 * MARGIN, claim, pen);
            canvas.foot(SLIDE_HEIGHT - 50.0, foot, 52.0);
        }
        self.room()
    }

    /// Height of the whole picture, when its drawing ended at `y`.
    pub fn height(&self, y: f64) -> f64 {
        match self {
            Look::Page => y + 16.0,
            Look::Slide { .. } => SLIDE_HEIGHT,
        }
    }
}

/// Words that go with a picture; see [`crate::figure::Figure`].
#[derive(Clone, Debug, Default)]
pub struct Caption {
    /// File name without ending.
    pub name: String,
    /// Title.
    pub title: String,
    /// Short text alternative.
    pub alt: String,
    /// What is drawn; the numbers; the pattern.
    pub levels: [String; 3],
    /// Names of the table's columns.
    pub header: Vec<String>,
}

impl Caption {
    /// The words of a picture with the rows of its table.
    fn words(self, rows: Vec<Vec<String>>) -> Words {
        Words {
            name: self.name,
            title: self.title,
            alt: self.alt,
            levels: self.levels,
            table: Table {
                header: self.header,
                rows,
            },
            ..Words::default()
        }
    }
}
