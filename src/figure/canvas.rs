//! A sheet to draw on: plotters writes the SVG, and resvg turns the same SVG into PNG with the bundled open font.
//!
//! Lengths are half pixels of the picture: a sheet is 2400 wide, shown as 1200 pixels, and the PNG has 2400.

use crate::figure::palette::{INK, Mark, PAPER};
use crate::figure::{Figure, Table};
use crate::say::voice;
use crate::scenario::Scenario;
use plotters::coord::Shift;
use plotters::element::{Drawable, PointCollection};
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use std::cell::Cell;
use std::io::Write as _;
use std::sync::{Arc, OnceLock};

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

/// A sheet that is being drawn.
pub struct Canvas<'a> {
    area: DrawingArea<SVGBackend<'a>, Shift>,
    /// Whether the drawing has a foot of its own.
    footed: Cell<bool>,
}

fn whole(p: (f64, f64)) -> (i32, i32) {
    (p.0.round() as i32, p.1.round() as i32)
}

impl<'a> Canvas<'a> {
    fn put<'e, E>(&self, element: &'e E)
    where
        &'e E: PointCollection<'e, (i32, i32)>,
        E: Drawable<SVGBackend<'a>>,
    {
        self.area.draw(element).expect(FITS);
    }

    fn finish(&self) {
        self.area.present().expect(FITS);
    }

    /// Filled rectangle between two corners.
    pub fn fill_rect(&self, x0: f64, y0: f64, x1: f64, y1: f64, colour: RGBAColor) {
        let element = Rectangle::new([whole((x0, y0)), whole((x1, y1))], colour.filled());
        self.put(&element);
    }

    /// Filled polygon.
    pub fn fill(&self, points: &[(f64, f64)], colour: RGBAColor) {
        let points: Vec<_> = points.iter().copied().map(whole).collect();
        self.put(&Polygon::new(points, colour.filled()));
    }

    /// Line through points.
    pub fn line(&self, points: &[(f64, f64)], width: u32, colour: RGBColor) {
        let points: Vec<_> = points.iter().copied().map(whole).collect();
        self.put(&PathElement::new(points, colour.stroke_width(width)));
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
        let radius = radius.round() as i32;
        if let Some(fill) = fill {
            self.put(&Circle::new(whole(at), radius, fill.filled()));
        }
        if outline > 0 {
            let edge = colour.stroke_width(outline);
            self.put(&Circle::new(whole(at), radius, edge));
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
        let horizontal = match pen.anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        let style = [FontStyle::Normal, FontStyle::Bold][usize::from(pen.bold)];
        // The backend divides sizes by 1.24.
        let font = FontDesc::new(FontFamily::Name(FONT), pen.size * 1.24, style);
        let colour = pen.colour.mix(if pen.edged { EDGED } else { 1.0 });
        let style = TextStyle::from(font)
            .color(&colour)
            .pos(Pos::new(horizontal, VPos::Center));
        // XML forbids control characters even when escaped.
        let text = text.replace(char::is_control, " ");
        self.put(&Text::new(text, whole(at), style));
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
        let area = SVGBackend::with_string(&mut drawn, (WIDTH as u32, ROOM)).into_drawing_area();
        let footed = Cell::new(false);
        let canvas = Canvas { area, footed };
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
        canvas.finish();
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

fn options() -> &'static resvg::usvg::Options<'static> {
    static OPTIONS: OnceLock<resvg::usvg::Options<'static>> = OnceLock::new();
    OPTIONS.get_or_init(|| {
        let mut fonts = resvg::usvg::fontdb::Database::new();
        fonts.load_font_data(dejavu::sans::regular().to_vec());
        fonts.load_font_data(dejavu::sans::bold().to_vec());
        fonts.set_sans_serif_family("DejaVu Sans");
        resvg::usvg::Options {
            font_family: "DejaVu Sans".into(),
            fontdb: Arc::new(fonts),
            ..resvg::usvg::Options::default()
        }
    })
}

/// The pictures of several figures, in their order; on all cores with the `parallel` feature.
#[cfg(feature = "parallel")]
pub fn pngs(figures: &[Figure]) -> Vec<Vec<u8>> {
    use rayon::prelude::*;
    figures.par_iter().map(png).collect()
}

/// The pictures of several figures, in their order.
#[cfg(not(feature = "parallel"))]
pub fn pngs(figures: &[Figure]) -> Vec<Vec<u8>> {
    figures.iter().map(png).collect()
}

/// The picture as PNG, twice as many pixels as the SVG asks for.
///
/// Level 1 with differences between rows takes a quarter of the time of the usual level 6 and half as many bytes again. The
/// picture is drawn and written in strips, so that a tall sheet does not stand in memory as a whole.
///
/// # Panics
/// Never: a figure holds a drawing of ours, and memory takes all that is written.
pub fn png(figure: &Figure) -> Vec<u8> {
    const MEMORY: &str = "encoding to memory cannot fail";
    const SCALE: f32 = 2.0;
    const STRIP: u32 = 512;
    let tree = tree(&figure.svg);
    let (width, height) = size(&tree, SCALE);
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_deflate_compression(png::DeflateCompression::Level(1));
    encoder.set_filter(png::Filter::Up);
    let mut writer = encoder.write_header().expect(MEMORY);
    let mut rows = writer.stream_writer().expect(MEMORY);
    let mut row = Vec::new();
    for top in (0..height).step_by(STRIP as usize) {
        let strip = strip(&tree, SCALE, top, STRIP.min(height - top));
        for pixels in strip.data().chunks_exact(4 * width as usize) {
            // On white paper nothing is see-through.
            row.clear();
            row.extend(pixels.chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]));
            rows.write_all(&row).expect(MEMORY);
        }
    }
    rows.finish().expect(MEMORY);
    writer.finish().expect(MEMORY);
    out
}

fn tree(svg: &str) -> resvg::usvg::Tree {
    resvg::usvg::Tree::from_str(svg, options()).expect("our own SVG reads")
}

fn size(tree: &resvg::usvg::Tree, scale: f32) -> (u32, u32) {
    let whole = |length: f32| (scale * length).round() as u32;
    (whole(tree.size().width()), whole(tree.size().height()))
}

/// Some rows of a drawing as pixels on white.
fn strip(tree: &resvg::usvg::Tree, scale: f32, top: u32, height: u32) -> resvg::tiny_skia::Pixmap {
    let (width, _) = size(tree, scale);
    let mut pixels = resvg::tiny_skia::Pixmap::new(width, height).expect("a sheet is never empty");
    pixels.fill(resvg::tiny_skia::Color::WHITE);
    let moved =
        resvg::tiny_skia::Transform::from_scale(scale, scale).post_translate(0.0, -(top as f32));
    resvg::render(tree, moved, &mut pixels.as_mut());
    pixels
}

/// The drawing as pixels on white, `scale` times as many as the SVG asks for.
///
/// # Panics
/// For a drawing that is no SVG; our own always is.
pub fn pixels(svg: &str, scale: f32) -> resvg::tiny_skia::Pixmap {
    let tree = tree(svg);
    let (_, height) = size(&tree, scale);
    strip(&tree, scale, 0, height)
}

/// White, see-through where a label stands on a map.
pub fn veil() -> RGBAColor {
    PAPER.mix(0.82)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Width of the texts in a group, in the units of the sheet.
    fn text_extent(group: &resvg::usvg::Group) -> f64 {
        let width = |node: &resvg::usvg::Node| match node {
            resvg::usvg::Node::Group(inner) => text_extent(inner),
            resvg::usvg::Node::Text(text) => f64::from(text.bounding_box().width()),
            _ => 0.0,
        };
        group.children().iter().map(width).sum()
    }

    #[test]
    fn measured_width_is_the_drawn_width() {
        for (text, bold) in [
            ("Roses by the fence 18", false),
            ("Roses by the fence 18", true),
        ] {
            let words = Words {
                name: "t".into(),
                ..Words::default()
            };
            let pen = Pen {
                bold,
                ..Pen::new(100.0)
            };
            let figure = picture(words, |c, _| {
                c.text((100.0, 100.0), text, pen);
                // A foot of its own without words, so that nothing else is measured.
                c.foot(150.0, "", SMALL);
                200.0
            });
            let tree = resvg::usvg::Tree::from_str(&figure.svg, options()).expect("reads");
            let drawn = text_extent(tree.root());
            let measured = text_width(text, 100.0, bold);
            assert!(
                (drawn - measured).abs() < 0.03 * measured,
                "{drawn} against {measured}"
            );
        }
    }

    #[test]
    fn wrapped_lines_fit_and_lose_no_word() {
        let text = "one two three four five six seven eight nine ten";
        let lines = wrap(text, 40.0, false, 400.0);
        assert!(lines.len() > 2);
        assert!(lines.iter().all(|l| text_width(l, 40.0, false) <= 400.0));
        assert_eq!(lines.join(" "), text);
    }
}
