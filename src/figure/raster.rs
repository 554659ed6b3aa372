//! The same drawings as pixels: resvg reads the SVG with the bundled open font.

use crate::figure::Figure;
use std::io::Write as _;
use std::sync::{Arc, OnceLock};

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::canvas::{Pen, SMALL, Words, picture, text_width};

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
}
