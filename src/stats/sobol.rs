//! Shares of the variance of an answer that belong to each input, alone and with all its combinations.
//!
//! # Source
//! First order: Saltelli et al. 2010, Comput. Phys. Commun. 181: 259-270; total: Jansen 1999, Comput. Phys. Commun.
//! 117: 35-43 (both from memory; numbers checked on the Ishigami function).

use crate::stats::quantile::{quantile, sorted};
use crate::stats::spread::{mean, squares_about};

/// The points to compute: two samples, and for each input the first sample with that input taken from the second.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// First sample.
    pub a: Vec<Vec<f64>>,
    /// Second sample.
    pub b: Vec<Vec<f64>>,
}

/// A share with the range that resampling gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// Estimate; sampling can push it slightly below 0 or above 1.
    pub value: f64,
    /// Lower end of the middle 95 of 100 resamples.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Standard deviation over resamples.
    pub error: f64,
}

/// Shares of one input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares {
    /// Of the input alone.
    pub first: Share,
    /// With everything it combines with.
    pub total: Share,
}

/// Answers at the points of a design, in the order of [`Design::points`].
#[derive(Clone, Debug, PartialEq)]
pub struct Answers {
    /// At the first sample.
    pub a: Vec<f64>,
    /// At the second sample.
    pub b: Vec<f64>,
    /// For each input, at the mixed sample.
    pub mixed: Vec<Vec<f64>>,
}

impl Design {
    /// Splits points of twice as many dimensions into the two samples.
    pub fn new(points: &[Vec<f64>]) -> Design {
        let half = |p: &Vec<f64>| {
            let (a, b) = p.split_at(p.len() / 2);
            (a.to_vec(), b.to_vec())
        };
        let (a, b) = points.iter().map(half).unzip();
        Design { a, b }
    }

    /// All points: the first sample, the second, then the mixed sample of each input.
    pub fn points(&self) -> Vec<Vec<f64>> {
        let inputs = self.a.first().map_or(0, Vec::len);
        let mut all = self.a.clone();
        all.extend(self.b.iter().cloned());
        for i in 0..inputs {
            all.extend(self.a.iter().zip(&self.b).map(|(a, b)| {
                let mut p = a.clone();
                p[i] = b[i];
                p
            }));
        }
        all
    }

    /// Puts answers in the order of [`Design::points`] back in their places.
    pub fn answers(&self, flat: &[f64]) -> Answers {
        let mut parts = flat.chunks(self.a.len().max(1)).map(<[f64]>::to_vec);
        Answers {
            a: parts.next().unwrap_or_default(),
            b: parts.next().unwrap_or_default(),
            mixed: parts.collect(),
        }
    }
}

/// First-order and total share of one input over chosen rows; zero when the answer does not vary.
fn of_rows(answers: &Answers, input: usize, rows: &[usize]) -> (f64, f64) {
    let n = rows.len() as f64;
    let both = rows.iter().map(|&r| answers.a[r] + answers.b[r]);
    let mean = both.sum::<f64>() / (2.0 * n);
    let square = |v: f64| (v - mean) * (v - mean);
    let sum = |of: &dyn Fn(usize) -> f64| rows.iter().map(|&r| of(r)).sum::<f64>();
    let variance = sum(&|r| square(answers.a[r]) + square(answers.b[r])) / (2.0 * n);
    if variance <= 0.0 {
        return (0.0, 0.0);
    }
    let mixed = &answers.mixed[input];
    let first = sum(&|r| (answers.b[r] - mean) * (mixed[r] - answers.a[r]));
    let total = sum(&|r| (answers.a[r] - mixed[r]) * (answers.a[r] - mixed[r]));
    (first / n / variance, total / (2.0 * n) / variance)
}

/// Shares of every input, with ranges from `resamples` drawings of whole rows with replacement.
///
/// Shape: `uniform` gives numbers in \[0, 1).
pub fn shares(
    answers: &Answers,
    resamples: usize,
    mut uniform: impl FnMut() -> f64,
) -> Vec<Shares> {
    let n = answers.a.len();
    let all: Vec<usize> = (0..n).collect();
    let inputs = answers.mixed.len();
    let mut tried: Vec<[Vec<f64>; 2]> = vec![[Vec::new(), Vec::new()]; inputs];
    for _ in 0..resamples {
        let row = |_| ((uniform() * n as f64) as usize).min(n - 1);
        let rows: Vec<usize> = (0..n).map(row).collect();
        for (i, tried) in tried.iter_mut().enumerate() {
            let (first, total) = of_rows(answers, i, &rows);
            tried[0].push(first);
            tried[1].push(total);
        }
    }
    let shares = |(i, [firsts, totals]): (usize, &[Vec<f64>; 2])| {
        let (first, total) = of_rows(answers, i, &all);
        Shares {
            first: share(first, firsts),
            total: share(total, totals),
        }
    };
    tried.iter().enumerate().map(shares).collect()
}

fn share(value: f64, tried: &[f64]) -> Share {
    if tried.is_empty() {
        return Share {
            value,
            low: value,
            high: value,
            error: 0.0,
        };
    }
    let ladder = sorted(tried);
    let squares = squares_about(tried, mean(tried));
    Share {
        value,
        low: quantile(&ladder, 0.025),
        high: quantile(&ladder, 0.975),
        error: (squares / (tried.len() as f64 - 1.0).max(1.0)).sqrt(),
    }
}
