//! Colours of maps and plans. Colour is never the only cue: shapes, numbers or labels stand beside it.

use plotters_backend::{BackendColor, BackendStyle};

/// A color: red, green, blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RGBColor(pub u8, pub u8, pub u8);

/// A color that lets a share of what lies below through: its last number is 1 for none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RGBAColor(pub u8, pub u8, pub u8, pub f64);

impl RGBColor {
    /// The same, covering a share of what lies below.
    pub const fn mix(self, alpha: f64) -> RGBAColor {
        RGBAColor(self.0, self.1, self.2, alpha)
    }
}

impl BackendStyle for RGBAColor {
    fn color(&self) -> BackendColor {
        BackendColor {
            alpha: self.3,
            rgb: (self.0, self.1, self.2),
        }
    }
}

/// Black text and outlines.
pub const INK: RGBColor = RGBColor(0, 0, 0);
/// Quiet text; 5.7:1 on white.
pub const QUIET: RGBColor = RGBColor(0x5F, 0x5F, 0x5F);
/// Paper.
pub const PAPER: RGBColor = RGBColor(255, 255, 255);

/// Anchors of cividis, dark to light, evenly spaced.
///
/// # Source
/// Nunez, Anderton & Renslow 2018, doi 10.1371/journal.pone.0199239; ten values from memory.
const CIVIDIS: [u32; 10] = [
    0x00_204D, 0x00_336F, 0x39_486B, 0x57_5C6D, 0x70_7173, 0x8A_8779, 0xA6_9D75, 0xC4_B56C,
    0xE4_CF5B, 0xFF_EA46,
];

/// Anchors of viridis, dark to light, evenly spaced; van der Walt and Smith 2015, ten values from memory.
const VIRIDIS: [u32; 10] = [
    0x44_0154, 0x48_2878, 0x3E_4A89, 0x31_688E, 0x26_828E, 0x1F_9E89, 0x35_B779, 0x6D_CD59,
    0xB4_DE2C, 0xFD_E725,
];

/// Purple-orange, less to more, middle near white; Harrower & Brewer 2003 (from memory).
const DIFFERENCE: [u32; 9] = [
    0x54_2788, 0x80_73AC, 0xB2_ABD2, 0xD8_DAEB, 0xF7_F7F7, 0xFE_E0B6, 0xFD_B863, 0xE0_8214,
    0xB3_5806,
];

/// Plan colours, in the order of the plans.
const PLANS: [u32; 5] = [0x00_0000, 0x00_72B2, 0xD5_5E00, 0x00_9E73, 0xCC_79A7];

/// A continuous one-way colour scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ramp {
    /// Damage: cividis reversed, darker is more.
    Damage,
    /// Visits and feeding: viridis reversed, darker is more.
    Visits,
}

impl Ramp {
    /// Colour at a share of the scale; values outside \[0, 1\] take the end.
    pub fn colour(self, share: f64) -> RGBColor {
        let anchors: &[u32] = match self {
            Ramp::Damage => &CIVIDIS,
            Ramp::Visits => &VIRIDIS,
        };
        along(anchors, 1.0 - share.clamp(0.0, 1.0))
    }
}

/// Colour of a difference: -1 most purple (less damage), 0 near white, 1 most orange (more damage).
pub fn difference(share: f64) -> RGBColor {
    along(&DIFFERENCE, f64::midpoint(share.clamp(-1.0, 1.0), 1.0))
}

/// Dot shape of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Filled circle.
    Circle,
    /// Filled square.
    Square,
    /// Filled triangle.
    Triangle,
    /// Filled diamond.
    Diamond,
}

/// Colour and dot shape of the plan of this index; after 20 plans they repeat.
pub fn plan(index: usize) -> (RGBColor, Mark) {
    let marks = [Mark::Circle, Mark::Square, Mark::Triangle, Mark::Diamond];
    // Five colours and four marks: the pair repeats only after 20.
    (rgb(PLANS[index % PLANS.len()]), marks[index % marks.len()])
}

/// Black or white, whichever reads better on this colour.
pub fn text_on(colour: RGBColor) -> RGBColor {
    let light = relative_luminance(colour);
    if (light + 0.05) / 0.05 >= 1.05 / (light + 0.05) {
        INK
    } else {
        PAPER
    }
}

/// Relative luminance, 0 to 1 (WCAG 2.1).
pub fn relative_luminance(colour: RGBColor) -> f64 {
    let part = |v: u8| {
        let v = f64::from(v) / 255.0;
        if v <= 0.04045 {
            v / 12.92
        } else {
            libm::pow((v + 0.055) / 1.055, 2.4)
        }
    };
    0.2126 * part(colour.0) + 0.7152 * part(colour.1) + 0.0722 * part(colour.2)
}

fn rgb(value: u32) -> RGBColor {
    RGBColor((value >> 16) as u8, (value >> 8) as u8, value as u8)
}

fn along(anchors: &[u32], share: f64) -> RGBColor {
    let place = share * (anchors.len() - 1) as f64;
    let below = (place.floor() as usize).min(anchors.len() - 2);
    let part = place - below as f64;
    let (a, b) = (rgb(anchors[below]), rgb(anchors[below + 1]));
    let mix = |a: u8, b: u8| (f64::from(a) + (f64::from(b) - f64::from(a)) * part).round() as u8;
    RGBColor(mix(a.0, b.0), mix(a.1, b.1), mix(a.2, b.2))
}
