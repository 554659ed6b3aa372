//! Dollars and minutes: a middle value with the ends of its assumed range.

/// Dollars and minutes of a plan over the whole window: low end, middle, high end.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Effort {
    /// Dollars.
    pub dollars: [f64; 3],
    /// Minutes.
    pub minutes: [f64; 3],
}

/// Size of what is planted, and how long.
#[derive(Clone, Debug, PartialEq)]
pub struct Planted {
    /// Plants of each crop.
    pub plants: Vec<usize>,
    /// Ground of each crop with an arm's length round it, m2.
    pub ground_m2: Vec<f64>,
    /// Fruit of each crop; 0 where none is grown.
    pub fruit: Vec<f64>,
    /// Days of the window.
    pub days: u32,
}

impl Planted {
    /// Sum over crops.
    pub fn total(crops: &[usize], of: impl Fn(usize) -> f64) -> f64 {
        crops.iter().map(|c| of(*c)).sum()
    }

    /// Plants of some crops.
    pub fn plants(&self, crops: &[usize]) -> f64 {
        Self::total(crops, |c| self.plants[c] as f64)
    }
}

impl Effort {
    /// Adds another effort to this one.
    pub fn add(&mut self, other: &Effort) {
        for i in 0..3 {
            self.dollars[i] += other.dollars[i];
            self.minutes[i] += other.minutes[i];
        }
    }
}

/// A range times a number.
pub fn times(range: [f64; 3], n: f64) -> [f64; 3] {
    range.map(|v| v * n)
}

/// Sum of two ranges, end by end.
pub fn plus(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}
