//! The frame that all charts share: scales with round ticks, grid, numbers and a name; rows of dots; bars.

use crate::figure::canvas::{Canvas, MARGIN, Pen, SMALL, TEXT, WIDTH, text_width, wrap};
use crate::figure::palette::{INK, Mark, QUIET, RGBAColor, RGBColor};
use crate::figure::{round_up, tick_text, ticks};

/// Light lines that only guide the eye.
pub(crate) const GRID: RGBColor = RGBColor(0xD9, 0xD9, 0xD9);
/// Fill of a bar that stands for no plan.
pub(crate) const BAR: RGBColor = RGBColor(0x70, 0x70, 0x70);
const BAND: RGBColor = RGBColor(0xE2, 0xE2, 0xE2);

/// A scale with ticks from values to places on the sheet: straight with round ones, or doubling from tick to tick.
#[derive(Clone, Debug)]
pub(crate) struct Scale {
    ticks: Vec<f64>,
    doubling: bool,
    ends: (f64, f64),
    places: (f64, f64),
    size: f64,
}

impl Scale {
    /// From nothing to a round end that holds `most`.
    pub(crate) fn up_to(most: f64, places: (f64, f64)) -> Scale {
        let end = round_up(most);
        Scale {
            ticks: ticks(end),
            doubling: false,
            ends: (0.0, end),
            places,
            size: SMALL,
        }
    }

    /// From one value to another, with ticks on both sides of 0 in the steps of the longer side.
    pub(crate) fn about_zero(low: f64, high: f64, places: (f64, f64)) -> Scale {
        let least = if low < 0.0 { -round_up(-low) } else { 0.0 };
        // A side without values takes no room.
        let most = if high <= 0.0 && low < 0.0 {
            0.0
        } else {
            round_up(high)
        };
        let ends = (least, most);
        let step = ticks(ends.1.max(-ends.0))[1];
        let (first, last) = ((ends.0 / step).ceil(), (ends.1 / step).floor());
        Scale {
            ticks: (first as i32..=last as i32)
                .map(|k| f64::from(k) * step)
                .collect(),
            doubling: false,
            ends,
            places,
            size: SMALL,
        }
    }

    /// Ratios from one power of two to another, a tick at each.
    pub(crate) fn doubling((low, high): (i32, i32), places: (f64, f64)) -> Scale {
        Scale {
            ticks: (low..=high).map(|k| libm::exp2(f64::from(k))).collect(),
            doubling: true,
            ends: (f64::from(low), f64::from(high)),
            places,
            size: SMALL,
        }
    }

    /// The same with numbers of another size.
    pub(crate) fn sized(self, size: f64) -> Scale {
        Scale { size, ..self }
    }

    /// Place of a value; beyond the ends it stays at the end.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let value = if self.doubling {
            libm::log2(value.max(f64::MIN_POSITIVE))
        } else {
            value
        };
        let share = (value - self.ends.0) / (self.ends.1 - self.ends.0);
        self.places.0 + (self.places.1 - self.places.0) * share.clamp(0.0, 1.0)
    }

    fn numbers(&self) -> impl Iterator<Item = (f64, String)> {
        self.ticks.iter().map(|tick| {
            let number = match *tick {
                t if self.doubling && t < 1.0 => ["1/", &tick_text(1.0 / t)].concat(),
                t if !self.doubling && self.ends.0 < 0.0 && t > 0.0 => {
                    ["+", &tick_text(t)].concat()
                }
                t => tick_text(t),
            };
            (self.at(*tick), number)
        })
    }

    /// Grid from `top` to `bottom`, below it numbers and the name; returns where the next thing may start.
    pub(crate) fn along(&self, canvas: &Canvas, top: f64, bottom: f64, name: &str) -> f64 {
        for (x, number) in self.numbers() {
            canvas.line(&[(x, top), (x, bottom)], 2, GRID);
            canvas.line(&[(x, bottom), (x, bottom + 12.0)], 3, INK);
            let pen = Pen::new(self.size).middle();
            canvas.text((x, bottom + 12.0 + 0.75 * self.size), &number, pen);
        }
        canvas.line(&[(self.places.0, bottom), (self.places.1, bottom)], 4, INK);
        let middle = f64::midpoint(self.places.0, self.places.1);
        let room = 2.0 * (middle - MARGIN).min(WIDTH - MARGIN - middle);
        let mut y = bottom + 24.0 + 1.5 * self.size;
        for line in wrap(name, TEXT, false, room) {
            let pen = Pen::TEXT.middle();
            canvas.text((middle, y + 0.65 * TEXT), &line, pen);
            y += 1.3 * TEXT;
        }
        y
    }

    /// Grid from `left` to `right`, numbers at the left.
    pub(crate) fn upward(&self, canvas: &Canvas, left: f64, right: f64) {
        for (y, number) in self.numbers() {
            canvas.line(&[(left, y), (right, y)], 2, GRID);
            let pen = Pen::new(self.size).end();
            canvas.text((left - 18.0, y), &number, pen);
        }
        canvas.line(&[(left, self.places.0), (left, self.places.1)], 4, INK);
    }
}

/// A bar from nothing to a value between two heights, with its number beside it, clear of a line that it may meet.
pub(crate) fn bar(
    canvas: &Canvas,
    scale: &Scale,
    (value, number): (f64, &str),
    (top, bottom): (f64, f64),
    fill: RGBColor,
    line: Option<f64>,
) {
    let (left, right) = (scale.places.0, scale.at(value).max(scale.places.0 + 3.0));
    canvas.boxed((left, top, right, bottom), fill);
    let room = text_width(number, TEXT, true) + 24.0;
    let line = line.filter(|x| (right - 8.0..right + room).contains(x));
    let beside = line.map_or(right, |x| x.max(right)) + 18.0;
    let at = (beside, f64::midpoint(top, bottom));
    canvas.text(at, number, Pen::TEXT.bold());
}

/// Upright bars side by side in a frame (left, top, right, bottom) that `most` fills; returns the middle of the top of each.
pub(crate) fn columns(
    canvas: &Canvas,
    counts: &[usize],
    most: usize,
    (left, top, right, bottom): (f64, f64, f64, f64),
    fill: impl Fn(usize) -> RGBAColor,
) -> Vec<(f64, f64)> {
    let step = (right - left) / counts.len() as f64;
    let tops = counts.iter().enumerate().map(|(i, n)| {
        let (x, up) = (
            left + step * i as f64,
            share_up(*n as f64, most, (top, bottom)),
        );
        canvas.fill_rect(x + 0.06 * step, up, x + 0.94 * step, bottom, fill(i));
        (x + 0.5 * step, up)
    });
    let tops = tops.collect();
    canvas.line(&[(left, bottom), (right, bottom)], 3, INK);
    tops
}

/// Height of a count in a frame that `most` fills.
pub(crate) fn share_up(count: f64, most: usize, (top, bottom): (f64, f64)) -> f64 {
    bottom - (bottom - top) * count / most.max(1) as f64
}

/// A plan with its dots.
#[derive(Clone, Debug, PartialEq)]
pub struct DotRow {
    /// Plan.
    pub name: String,
    /// Lines below its name: the counts.
    pub notes: Vec<String>,
    /// Dots, ascending.
    pub dots: Vec<f64>,
}

/// The dots as a table, each in the form of `number`.
pub(crate) fn cells(rows: &[DotRow], number: impl Fn(f64) -> String) -> Vec<Vec<String>> {
    let of_row = |row: &DotRow| {
        let dots = row.dots.iter().enumerate();
        dots.map(|(i, v)| vec![row.name.clone(), (i + 1).to_string(), number(*v)])
            .collect::<Vec<_>>()
    };
    rows.iter().flat_map(of_row).collect()
}

/// Rows of dots on one scale.
pub(crate) struct Dots<'a> {
    /// Rows, from the top.
    pub(crate) rows: &'a [DotRow],
    /// Color and shape of the dots of a row.
    pub(crate) look: &'a dyn Fn(usize) -> (RGBColor, Mark),
    /// Least and largest value that the scale must hold, without the dots.
    pub(crate) least: (f64, f64),
    /// Half the width of the band of no change.
    pub(crate) band: Option<f64>,
    /// A line across all rows with its words.
    pub(crate) line: Option<(f64, &'a str)>,
    /// Sizes of names and of all else.
    pub(crate) sizes: (f64, f64),
    /// Radii of dots to choose from, and the height that the largest must fit into.
    pub(crate) radii: ([f64; 5], f64),
    /// Name of the scale.
    pub(crate) name: &'a str,
}

/// Left end of the scale of dots.
const LEFT: f64 = 860.0;
/// Width of the names of its rows.
const NAMES: f64 = LEFT - MARGIN - 130.0;

impl Dots<'_> {
    /// The scale that all rows share.
    pub(crate) fn scale(&self) -> Scale {
        let all = || self.rows.iter().flat_map(|r| r.dots.iter().copied());
        let places = (LEFT, WIDTH - MARGIN - 60.0);
        let (low, high) = (
            all().fold(self.least.0, f64::min),
            all().fold(self.least.1, f64::max),
        );
        Scale::about_zero(low, high, places).sized(self.sizes.1)
    }

    /// Height of the rows on each other, and the level of each dot, so that none overlap.
    fn rows(&self, scale: &Scale, top: f64, radius: f64) -> (Vec<(f64, Vec<usize>, f64)>, f64) {
        let (text, small) = self.sizes;
        let lines = |t: &str, size: f64, bold| wrap(t, size, bold, NAMES).len() as f64 * 1.3 * size;
        let mut y = top + 1.6 * small;
        let mut places = Vec::new();
        for row in self.rows {
            let mut levels: Vec<usize> = Vec::new();
            for (i, dot) in row.dots.iter().enumerate() {
                let off = |j: &usize| (scale.at(*dot) - scale.at(row.dots[*j])).abs();
                let near = |j: &usize| off(j) < 2.0 * radius + 2.0;
                let taken: Vec<usize> = (0..i).filter(near).map(|j| levels[j]).collect();
                levels.push((0..=i).find(|l| !taken.contains(l)).unwrap_or(0));
            }
            let stacked = levels.iter().max().map_or(0, |l| l + 1) as f64 * (2.0 * radius + 4.0);
            let notes: f64 = row.notes.iter().map(|n| lines(n, small, false)).sum();
            let height = stacked.max(lines(&row.name, text, true) + notes);
            places.push((y + 16.0, levels, height));
            y += 16.0 + height + 26.0;
        }
        (places, y)
    }

    /// Whether all of it fits with the smallest dots.
    pub(crate) fn fits(&self, top: f64) -> bool {
        let (radii, most) = self.radii;
        self.rows(&self.scale(), top, radii[4]).1 <= most
    }

    /// Draws all of it below `top`; returns where the next thing may start.
    pub(crate) fn draw(&self, canvas: &Canvas, top: f64) -> f64 {
        let (text, small) = self.sizes;
        let scale = self.scale();
        let (radii, most) = self.radii;
        let fitting = |r: &f64| self.rows(&scale, top, *r).1 <= most;
        let radius = radii.into_iter().find(fitting).unwrap_or(radii[4]);
        let (places, bottom) = self.rows(&scale, top, radius);
        let start = top + 1.6 * small;
        let below = scale.along(canvas, start, bottom, self.name);
        if let Some(band) = self.band {
            let (west, east) = (scale.at(-band), scale.at(band));
            canvas.fill_rect(west, start, east, bottom, BAND.mix(1.0));
        }
        if let Some((value, words)) = self.line {
            let x = scale.at(value);
            match self.band {
                Some(_) => canvas.line(&[(x, start), (x, bottom)], 4, INK),
                None => canvas.dashed((x, start), (x, bottom), 4, INK),
            }
            let half = 0.5 * text_width(words, small, false);
            let at = x.clamp(MARGIN + half, (WIDTH - MARGIN - half).max(MARGIN + half));
            let pen = Pen::new(small).middle();
            canvas.text((at, top + 0.7 * small), words, pen);
        }
        for (i, (row, (y, levels, height))) in self.rows.iter().zip(&places).enumerate() {
            let (colour, mark) = (self.look)(i);
            canvas.mark((MARGIN + 24.0, y + 0.65 * text), 20.0, mark, colour);
            let x = MARGIN + 70.0;
            let mut under = canvas.paragraph(x, *y, NAMES, &row.name, Pen::new(text).bold());
            for note in &row.notes {
                under = canvas.paragraph(x, under, NAMES, note, Pen::new(small));
            }
            let floor = y + height;
            for (value, level) in row.dots.iter().zip(levels) {
                let up = radius + *level as f64 * (2.0 * radius + 4.0);
                canvas.mark((scale.at(*value), floor - up), radius, mark, colour);
            }
            let ends = [(scale.places.0, floor + 8.0), (scale.places.1, floor + 8.0)];
            canvas.line(&ends, 2, QUIET);
        }
        below
    }
}
