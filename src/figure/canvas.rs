//! A sheet to draw on: the SVG backend of plotters writes it. The backend alone, since the whole of plotters asks a browser
//! for letters that the page's engine, which has nothing to ask, measures by itself.
//!
//! Lengths are half pixels of the picture: a sheet is 2400 wide, shown as 1200 pixels, and the PNG has 2400.

use crate::figure::palette::{INK, Mark, PAPER, RGBAColor, RGBColor};
use crate::figure::{Figure, Table};
use crate::say::voice;
use crate::scenario::Scenario;
use plotters_backend::text_anchor::{HPos, Pos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
    FontFamily, FontStyle,
};
use plotters_svg::SVGBackend;
use std::cell::{Cell, RefCell};
use std::convert::Infallible;

/// Width of every sheet, half pixels.
pub const WIDTH: f64 = 2400.0;
/// Margin on all sides.
pub const MARGIN: f64 = 60.0;
/// Smallest text: 18 pixels in a picture 1200 pixels wide, 9 when it is shown at half size.
pub const SMALL: f64 = 36.0;
/// Usual text.
pub const TEXT: f64 = 42.0;
/// Headings of panels.
pub const HEADING: f64 = 46.0;
/// Title.
pub const TITLE: f64 = 60.0;

const FONT: &str = "DejaVu Sans, sans-serif";
const ROOM: u32 = 20_000;
/// Opacity that marks a text with a white edge, which the backend cannot draw; [`picture`] puts the edge in its place.
const EDGED: f64 = 0.99;
const FITS: &str = "drawing into a string cannot fail";

/// Advance widths of the printable ASCII characters of the bundled font, 1/2048 em, read from its metrics table.
const REGULAR: [u16; 95] = [
    651, 821, 942, 1716, 1303, 1946, 1597, 563, 799, 799, 1024, 1716, 651, 739, 651, 690, 1303,
    1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 690, 690, 1716, 1716, 1716, 1087, 2048,
    1401, 1405, 1430, 1577, 1294, 1178, 1587, 1540, 604, 604, 1343, 1141, 1767, 1532, 1612, 1235,
    1612, 1423, 1300, 1251, 1499, 1401, 2025, 1403, 1251, 1403, 799, 690, 799, 1716, 1024, 1024,
    1255, 1300, 1126, 1300, 1260, 721, 1300, 1298, 569, 569, 1186, 569, 1995, 1298, 1253, 1300,
    1300, 842, 1067, 803, 1298, 1212, 1675, 1212, 1212, 1075, 1303, 690, 1303, 1716,
];
const BOLD: [u16; 95] = [
    713, 934, 1067, 1716, 1425, 2052, 1786, 627, 936, 936, 1071, 1716, 778, 850, 778, 748, 1425,
    1425, 1425, 1425, 1425, 1425, 1425, 1425, 1425, 1425, 819, 819, 1716, 1716, 1716, 1188, 2048,
    1585, 1561, 1503, 1700, 1399, 1399, 1681, 1714, 762, 762, 1587, 1305, 2038, 1714, 1741, 1501,
    1741, 1577, 1475, 1397, 1663, 1585, 2259, 1579, 1483, 1485, 936, 748, 936, 1716, 1024, 1024,
    1382, 1466, 1214, 1466, 1389, 891, 1466, 1458, 702, 702, 1362, 702, 2134, 1458, 1407, 1466,
    1466, 1010, 1219, 979, 1458, 1335, 1892, 1321, 1335, 1192, 1458, 748, 1458, 1716,
];

/// Width of a line of text, half pixels; characters outside ASCII count as a capital letter.
pub fn text_width(text: &str, size: f64, bold: bool) -> f64 {
    let table = if bold { &BOLD } else { &REGULAR };
    let width = |c: char| table.get((c as usize).wrapping_sub(0x20));
    let units: f64 = text
        .chars()
        .map(|c| width(c).map_or(1700.0, |w| f64::from(*w)))
        .sum();
    units / 2048.0 * size
}

/// Breaks text into lines no wider than `width`; a word that is wider by itself is cut with an ellipsis.
pub fn wrap(text: &str, size: f64, bold: bool, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let word = shorten(word, size, bold, width);
        let longer = if line.is_empty() {
            word.clone()
        } else {
            format!("{line} {word}")
        };
        if !line.is_empty() && text_width(&longer, size, bold) > width {
            lines.push(std::mem::replace(&mut line, word));
        } else {
            line = longer;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The text, cut with an ellipsis where it is wider than `width`.
pub fn shorten(text: &str, size: f64, bold: bool, width: f64) -> String {
    if text_width(text, size, bold) <= width {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        kept.push(c);
        if text_width(&kept, size, bold) + 0.9 * size > width {
            kept.pop();
            break;
        }
    }
    format!("{}\u{2026}", kept.trim_end())
}

/// Where a text stands relative to its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Starts at the point.
    Start,
    /// Centred on the point.
    Middle,
    /// Ends at the point.
    End,
}

/// How a text looks; it is always centred on its line's height.
#[derive(Clone, Copy, Debug)]
pub struct Pen {
    /// Size.
    pub size: f64,
    /// Colour.
    pub colour: RGBColor,
    /// Bold face.
    pub bold: bool,
    /// Anchor.
    pub anchor: Anchor,
    /// A thin white edge round the letters, for words on a map: it hides less than a box.
    pub edged: bool,
}

impl Pen {
    /// Black text of a size, starting at its point.
    pub const fn new(size: f64) -> Self {
        Pen {
            size,
            colour: INK,
            bold: false,
            anchor: Anchor::Start,
            edged: false,
        }
    }

    /// Usual text.
    pub const TEXT: Pen = Pen::new(TEXT);
    /// The smallest text.
    pub const SMALL: Pen = Pen::new(SMALL);

    /// The same, centred on its point.
    #[must_use]
    pub const fn middle(self) -> Self {
        self.anchored(Anchor::Middle)
    }

    /// The same, ending at its point.
    #[must_use]
    pub const fn end(self) -> Self {
        self.anchored(Anchor::End)
    }

    /// The same in bold.
    #[must_use]
    pub const fn bold(self) -> Self {
        Pen { bold: true, ..self }
    }

    /// The same with another anchor.
    #[must_use]
    pub const fn anchored(self, anchor: Anchor) -> Self {
        Pen { anchor, ..self }
    }

    /// The same with a white edge.
    #[must_use]
    pub const fn edged(self) -> Self {
        Pen {
            edged: true,
            ..self
        }
    }

    /// The same in another colour.
    #[must_use]
    pub const fn coloured(self, colour: RGBColor) -> Self {
        Pen { colour, ..self }
    }
}

/// A line of a color and width.
struct Stroke(RGBColor, u32);

impl BackendStyle for Stroke {
    fn color(&self) -> BackendColor {
        self.0.mix(1.0).color()
    }

    fn stroke_width(&self) -> u32 {
        self.1
    }
}

impl BackendTextStyle for Pen {
    type FontError = Infallible;

    fn color(&self) -> BackendColor {
        let colour = self.colour.mix(if self.edged { EDGED } else { 1.0 });
        colour.color()
    }

    fn size(&self) -> f64 {
        // The backend divides sizes by 1.24.
        self.size * 1.24
    }

    fn style(&self) -> FontStyle {
        [FontStyle::Normal, FontStyle::Bold][usize::from(self.bold)]
    }

    fn anchor(&self) -> Pos {
        let horizontal = match self.anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        Pos::new(horizontal, VPos::Center)
    }

    fn family(&self) -> FontFamily<'_> {
        FontFamily::Name(FONT)
    }

    // The backend leaves measuring and drawing of letters to whoever shows the picture.
    fn layout_box(&self, _: &str) -> Result<((i32, i32), (i32, i32)), Infallible> {
        Ok(((0, 0), (0, 0)))
    }

    fn draw<E, F: FnMut(i32, i32, BackendColor) -> Result<(), E>>(
        &self,
        _: &str,
        _: BackendCoord,
        _: F,
    ) -> Result<Result<(), E>, Infallible> {
        Ok(Ok(()))
    }
}

/// What the backend says of a drawing.
type Drawn = Result<(), DrawingErrorKind<<SVGBackend<'static> as DrawingBackend>::ErrorType>>;

/// A sheet that is being drawn.
pub struct Canvas<'a> {
    backend: RefCell<SVGBackend<'a>>,
    /// Whether the drawing has a foot of its own.
    footed: Cell<bool>,
}

fn whole(p: (f64, f64)) -> (i32, i32) {
    (p.0.round() as i32, p.1.round() as i32)
}

fn all_whole(points: &[(f64, f64)]) -> Vec<(i32, i32)> {
    points.iter().copied().map(whole).collect()
}

impl<'a> Canvas<'a> {
    /// Draws into the string behind the sheet, which cannot fail.
    fn put(&self, draw: impl FnOnce(&mut SVGBackend<'a>) -> Drawn) {
        draw(&mut self.backend.borrow_mut()).expect(FITS);
    }

    /// Filled rectangle between two corners.
    pub fn fill_rect(&self, x0: f64, y0: f64, x1: f64, y1: f64, colour: RGBAColor) {
        let (from, to) = (whole((x0, y0)), whole((x1, y1)));
        self.put(|backend| backend.draw_rect(from, to, &colour, true));
    }

    /// Filled polygon.
    pub fn fill(&self, points: &[(f64, f64)], colour: RGBAColor) {
        self.put(|backend| backend.fill_polygon(all_whole(points), &colour));
    }

    /// Line through points.
    pub fn line(&self, points: &[(f64, f64)], width: u32, colour: RGBColor) {
        self.put(|backend| backend.draw_path(all_whole(points), &Stroke(colour, width)));
    }

    /// Closed outline.
    pub fn outline(&self, points: &[(f64, f64)], width: u32, colour: RGBColor) {
        let mut closed = points.to_vec();
        // Two more points, so that the corner where the line ends is joined like the others.
        closed.extend(points.iter().take(2));
        self.line(&closed, width, colour);
    }

    /// Filled box with a dark edge: west, top, east, bottom.
    pub fn boxed(&self, (x0, y0, x1, y1): (f64, f64, f64, f64), fill: RGBColor) {
        let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)];
        self.fill(&corners, fill.mix(1.0));
        self.outline(&corners, 3, INK);
    }

    /// Dashed line between two points.
    pub fn dashed(&self, from: (f64, f64), to: (f64, f64), width: u32, colour: RGBColor) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = (dx * dx + dy * dy).sqrt();
        let n = ((length / 32.0).ceil() as usize).max(1);
        for i in 0..n {
            let (a, b) = (i as f64 / n as f64, (i as f64 + 0.6) / n as f64);
            let ends = [a, b].map(|t| (from.0 + dx * t, from.1 + dy * t));
            self.line(&ends, width, colour);
        }
    }

    /// Filled disc with an outline.
    pub fn disc(
        &self,
        at: (f64, f64),
        radius: f64,
        fill: Option<RGBColor>,
        outline: u32,
        colour: RGBColor,
    ) {
        let (at, radius) = (whole(at), radius.round() as u32);
        if let Some(fill) = fill {
            self.put(|backend| backend.draw_circle(at, radius, &fill.mix(1.0), true));
        }
        if outline > 0 {
            self.put(|backend| backend.draw_circle(at, radius, &Stroke(colour, outline), false));
        }
    }

    /// A dot of a plan.
    pub fn mark(&self, at: (f64, f64), radius: f64, mark: Mark, colour: RGBColor) {
        let ((x, y), r) = (at, radius);
        let s = 0.88 * r;
        let shape = match mark {
            Mark::Circle => return self.disc(at, r, Some(colour), 0, colour),
            Mark::Square => vec![
                (x - s, y - s),
                (x + s, y - s),
                (x + s, y + s),
                (x - s, y + s),
            ],
            Mark::Triangle => vec![(x - r, y + 0.8 * r), (x, y - r), (x + r, y + 0.8 * r)],
            Mark::Diamond => vec![(x - r, y), (x, y - r), (x + r, y), (x, y + r)],
        };
        self.fill(&shape, colour.mix(1.0));
    }

    /// One line of text, centred on its height.
    pub fn text(&self, at: (f64, f64), text: &str, pen: Pen) {
        if text.is_empty() {
            return;
        }
        // XML forbids control characters even when escaped.
        let text = text.replace(char::is_control, " ");
        self.put(|backend| backend.draw_text(&text, &pen, whole(at)));
    }

    /// Text in lines below `y`; returns the height where the next thing may start.
    pub fn paragraph(&self, x: f64, y: f64, width: f64, text: &str, pen: Pen) -> f64 {
        let mut y = y;
        for line in wrap(text, pen.size, pen.bold, width) {
            self.text((x, y + 0.65 * pen.size), &line, pen);
            y += 1.3 * pen.size;
        }
        y
    }

    /// A foot of the picture's own, centred at a height, in place of the usual one; a translation has its mark below it.
    pub fn foot(&self, y: f64, text: &str, size: f64) {
        let line = |y: f64, text: &str, size: f64| {
            self.text((WIDTH / 2.0, y), text, Pen::new(size).middle());
        };
        line(y - 0.5 * mark_height(), text, size);
        if let Some(mark) = voice().mark() {
            line(y + 0.5 * size, mark, SMALL);
        }
        self.footed.set(true);
    }

    /// Title and explanation at the head of the sheet; returns where the picture may start.
    fn head(&self, title: &str, explanation: &str) -> f64 {
        let width = WIDTH - 2.0 * MARGIN;
        let y = self.paragraph(MARGIN, 40.0, width, title, Pen::new(TITLE).bold());
        self.paragraph(MARGIN, y + 6.0, width, explanation, Pen::TEXT) + 24.0
    }
}

/// Words that go with a picture.
#[derive(Default)]
pub struct Words {
    /// File name without ending.
    pub name: String,
    /// Title.
    pub title: String,
    /// Explanation, drawn at the head below the title; without one the picture has no head.
    pub about: String,
    /// Short text alternative: kind of chart, data, why it is shown.
    pub alt: String,
    /// What is drawn; the numbers; the pattern.
    pub levels: [String; 3],
    /// The numbers drawn.
    pub table: Table,
}

impl Words {
    /// The words of the picture of this name: `figure.NAME.title`, `.about`, `.alt`, `.drawn` (what is drawn) and `.columns`
    /// (of the table, between bars), which share their gaps; with the numbers and the pattern in words, and the rows of the
    /// table.
    pub(crate) fn of(
        name: &str,
        gaps: &[(&str, &str)],
        [numbers, pattern]: [String; 2],
        rows: Vec<Vec<String>>,
    ) -> Words {
        let part = |part: &str| voice().fill(&format!("figure.{name}.{part}"), gaps);
        Words {
            name: name.to_owned(),
            title: part("title"),
            about: part("about"),
            alt: part("alt"),
            levels: [part("drawn"), numbers, pattern],
            table: Table {
                header: columns(&format!("figure.{name}.columns"), gaps),
                rows,
            },
        }
    }

    /// With the columns of a map of places: they name the sides of the map where another side than north is at its top.
    pub(crate) fn sided(mut self, scenario: &Scenario, gaps: &[(&str, &str)]) -> Words {
        let key = scenario.sided(&format!("figure.{}.columns", self.name));
        self.table.header = columns(&key, gaps);
        self
    }
}

/// Heads of a table's columns, which stand between bars in one text.
fn columns(key: &str, gaps: &[(&str, &str)]) -> Vec<String> {
    let all = voice().fill(key, gaps);
    all.split(" | ").map(str::to_owned).collect()
}

/// Stands at the foot of every picture, so that it travels with the picture alone.
pub fn foot() -> &'static str {
    voice().get("figure.foot")
}

/// Room for the mark of a translation below a foot.
fn mark_height() -> f64 {
    voice().mark().map_or(0.0, |_| 1.3 * SMALL)
}

/// Draws a sheet: `draw` starts below the head and returns the height where it ended. [`foot`] stands below, unless the
/// drawing has a foot of its own.
pub fn picture(words: Words, draw: impl FnOnce(&Canvas, f64) -> f64) -> Figure {
    let mut drawn = String::new();
    let height = {
        let backend = SVGBackend::with_string(&mut drawn, (WIDTH as u32, ROOM));
        let canvas = Canvas {
            backend: RefCell::new(backend),
            footed: Cell::new(false),
        };
        let top = if words.about.is_empty() {
            0.0
        } else {
            canvas.head(&words.title, &words.about)
        };
        let mut height = draw(&canvas, top).ceil();
        if !canvas.footed.get() {
            let more = mark_height();
            canvas.foot(height + 0.5 * (SMALL + more), foot(), SMALL);
            height += 1.7 * SMALL + more;
        }
        let height = height.ceil();
        canvas.put(SVGBackend::present);
        height
    };
    let body = drawn.split_once(">\n").map_or("", |(_, body)| body);
    let (half_width, half_height) = (WIDTH / 2.0, height / 2.0);
    let id = escape(&words.name);
    let levels = words.levels.iter().map(String::as_str);
    let told = std::iter::once(words.alt.as_str()).chain(levels);
    let told: Vec<&str> = told.chain([foot()]).filter(|t| !t.is_empty()).collect();
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{half_width}\" height=\"{half_height}\" viewBox=\"0 0 {WIDTH} \
         {height}\" role=\"img\" aria-labelledby=\"{id}-title {id}-desc\">\n<title id=\"{id}-title\">{}</title>\n\
         <desc id=\"{id}-desc\">{}</desc>\n<rect width=\"{WIDTH}\" height=\"{height}\" fill=\"#FFFFFF\"/>\n{}",
        escape(&words.title),
        escape(&told.join(" ")),
        body.replace(" opacity=\"1\"", "")
            .replace(
                &format!(" opacity=\"{EDGED}\""),
                " stroke=\"#FFFFFF\" stroke-width=\"9\" stroke-linejoin=\"round\" paint-order=\"stroke\"",
            )
            .replace(" stroke=\"none\" stroke-width=\"1\"", "")
            .replace("\n</text>", "</text>")
            .replace("\">\n", "\">")
    );
    Figure {
        name: words.name,
        svg,
        alt: words.alt,
        levels: words.levels,
        table: words.table,
    }
}

/// Text that may stand in XML; control characters, which XML forbids, are left out.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// White, see-through where a label stands on a map.
pub fn veil() -> RGBAColor {
    PAPER.mix(0.82)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrapped_lines_fit_and_lose_no_word() {
        let text = "one two three four five six seven eight nine ten";
        let lines = wrap(text, 40.0, false, 400.0);
        assert!(lines.len() > 2);
        assert!(lines.iter().all(|l| text_width(l, 40.0, false) <= 400.0));
        assert_eq!(lines.join(" "), text);
    }
}
