//! One summer as a short moving picture for slides.

use crate::count::one_summer::What;
use crate::figure::map::View;
use crate::figure::raster::pixels;
use crate::figure::sheet::{Look, SLIDE_HEIGHT};
use crate::report::products::show::Show;
use crate::report::products::story::Story;
use crate::report::products::summer::{Stage, empty, inside, views};

/// Insects in the GIF, frames a second, seconds.
const GIF_INSECTS: usize = 40;
const GIF_RATE: u32 = 8;
const GIF_SECONDS: f64 = 20.0;
/// Size of the GIF relative to a slide of 1200 by 675.
const GIF_SCALE: f32 = 0.7;

/// A short moving picture for slides: true paths, dots with rings for those that eat, crosses for the caught.
pub(super) fn gif(story: &Story, stage: &Stage) -> Vec<u8> {
    let look = Look::Slide {
        claim: story.about_it("summer.title"),
        foot: story.s.get("slide.foot").to_owned(),
    };
    let views = views(story, &look);
    let show = Show::new(stage.one, &views, GIF_INSECTS);
    let figure = empty(story, stage, &show, "one-summer-gif", &look);
    let ground = pixels(&figure.svg, GIF_SCALE);
    let (width, height) = (ground.width() as usize, ground.height() as usize);
    debug_assert!(height <= SLIDE_HEIGHT as usize);
    // Sixteen shades of gray and three colors for what moves.
    let shade = |r: u8, g: u8, b: u8| {
        ((u32::from(r) * 299 + u32::from(g) * 587 + u32::from(b) * 114) / 1000 / 16) as u8
    };
    let background: Vec<u8> = ground
        .data()
        .chunks_exact(4)
        .map(|p| shade(p[0], p[1], p[2]))
        .collect();
    let mut palette: Vec<u8> = (0..16_u8).flat_map(|i| [17 * i; 3]).collect();
    palette.extend([0xD5, 0x5E, 0x00, 0x00, 0x72, 0xB2]);
    palette.resize(32 * 3, 0);
    let mut out = Vec::new();
    let seconds = show.length.min(GIF_SECONDS);
    let frames = (seconds * f64::from(GIF_RATE)) as u32;
    {
        let mut encoder = gif::Encoder::new(&mut out, width as u16, height as u16, &palette)
            .expect("writing to memory cannot fail");
        encoder
            .set_repeat(gif::Repeat::Infinite)
            .expect("writing to memory cannot fail");
        let mut before = background.clone();
        for frame in 0..frames.max(1) {
            let t = f64::from(frame) / f64::from(GIF_RATE);
            let now = draw(&show, t, &background, width, &views);
            let frame = difference(&before, &now, width, frame == 0);
            encoder
                .write_frame(&frame)
                .expect("writing to memory cannot fail");
            before = now;
        }
    }
    out
}

const ORANGE: u8 = 16;
const BLUE: u8 = 17;

/// The picture at a moment of the show, one byte a pixel.
fn draw(show: &Show, t: f64, background: &[u8], width: usize, views: &[View; 2]) -> Vec<u8> {
    let mut now = background.to_vec();
    // Half pixels of the sheet to pixels of the GIF.
    let scale = f64::from(GIF_SCALE) / 2.0;
    for actor in &show.insects {
        for (side, part) in actor.sides.iter().enumerate() {
            let place = |(x, y): (f64, f64)| (x * scale, y * scale);
            if let Some((at, _)) = part.at(t).filter(|(at, _)| inside(&views[side], *at)) {
                let eats = part.eats(t);
                disc(
                    &mut now,
                    width,
                    place(at),
                    4.5,
                    0.0,
                    if eats { ORANGE } else { BLUE },
                );
                if eats {
                    disc(&mut now, width, place(at), 8.0, 6.2, ORANGE);
                }
            }
            for (at, what, _) in &part.events {
                if matches!(what, What::Caught | What::Taken)
                    && t >= *at
                    && let Some(last) = part.pieces.last().and_then(|p| p.last())
                {
                    cross(&mut now, width, place((last[1], last[2])));
                }
            }
        }
    }
    now
}

/// Colors a pixel, if it lies in the picture.
fn dot(pixels: &mut [u8], width: usize, (x, y): (f64, f64), colour: u8) {
    let (x, y) = (x.round(), y.round());
    if x >= 0.0
        && y >= 0.0
        && (x as usize) < width
        && let Some(pixel) = pixels.get_mut(y as usize * width + x as usize)
    {
        *pixel = colour;
    }
}

/// Fills a ring or disc.
fn disc(pixels: &mut [u8], width: usize, (x, y): (f64, f64), radius: f64, hole: f64, colour: u8) {
    let reach = radius.ceil() as i32;
    for dy in -reach..=reach {
        for dx in -reach..=reach {
            let away = f64::from(dx * dx + dy * dy);
            if away <= radius * radius && away >= hole * hole {
                dot(
                    pixels,
                    width,
                    (x + f64::from(dx), y + f64::from(dy)),
                    colour,
                );
            }
        }
    }
}

/// Marks a catch.
fn cross(pixels: &mut [u8], width: usize, (x, y): (f64, f64)) {
    for k in -6..=6 {
        let k = f64::from(k);
        for d in [0.0, 1.0] {
            dot(pixels, width, (x + k + d, y + k), 0);
            dot(pixels, width, (x + k + d, y - k), 0);
        }
    }
}

/// A frame that holds only the rectangle that changed.
fn difference(before: &[u8], now: &[u8], width: usize, whole: bool) -> gif::Frame<'static> {
    let height = now.len() / width;
    let (mut left, mut right, mut top, mut bottom) = (width, 0, height, 0);
    for (i, (a, b)) in before.iter().zip(now).enumerate() {
        if a != b {
            let (x, y) = (i % width, i / width);
            left = left.min(x);
            right = right.max(x + 1);
            top = top.min(y);
            bottom = bottom.max(y + 1);
        }
    }
    if whole {
        (left, right, top, bottom) = (0, width, 0, height);
    } else if left >= right {
        (left, right, top, bottom) = (0, 1, 0, 1);
    }
    let rows = (top..bottom).flat_map(|y| now[y * width + left..y * width + right].iter().copied());
    gif::Frame {
        delay: (100 / GIF_RATE) as u16,
        left: left as u16,
        top: top as u16,
        width: (right - left) as u16,
        height: (bottom - top) as u16,
        buffer: rows.collect::<Vec<u8>>().into(),
        ..gif::Frame::default()
    }
}
