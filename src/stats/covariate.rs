//! Means adjusted for what is known of each value: part of the spread is explained by covariates whose law is known, and
//! that part is taken out.
//!
//! Each value is predicted from its covariates by ridge regression on all linear, square and product terms, fitted to all
//! *other* values; the prediction is replaced by its expectation under the known law. Since a value has no hand in its own
//! prediction, the adjusted values have the mean of the plain ones whatever the true relation is, and the worse the
//! prediction the larger the error that is told.
//!
//! # Source
//! Regression estimators with known covariate means: Cochran 1977, Sampling Techniques, chapter 7 (from memory). Fitting
//! the regression in a space of functions whose expectation is known: Oates, Girolami & Chopin 2017, Control functionals
//! for Monte Carlo integration (abstract read). Leave-one-out residuals of a ridge regression as coefficient over
//! diagonal of the inverse: standard algebra; checked against fits without each value, below.

use crate::stats::spread::{mean, standard_error, standard_error_in_turn};
use nalgebra::{Cholesky, DMatrix, DVector};

/// Fewest values for an adjusted mean; below, the plain one is given.
pub const FEWEST: usize = 100;
/// Values adjusted by one regression, at most twice as many less one; a matter of time only.
const BLOCK: usize = 400;
/// Weight of the constant term: so large that it is not shrunk.
const CONSTANT: f64 = 100.0;
/// Weight of squares and products against linear terms. Assumed; measured on the shipped yards among 0.25, 0.5 and 1.
const SECOND: f64 = 0.5;
/// Ridges that are tried, as the variance left over against that explained.
const RIDGES: [f64; 3] = [0.1, 0.4, 1.6];
/// An adjusted error is used only when it is at least so much smaller than the plain one: the best of several is chosen by
/// the same values that it is then used on.
const WORTH_IT: f64 = 0.95;

/// Values whose strata were used in turn: the stratum of each, and how many strata there are.
pub type InTurn<'a> = Option<(&'a [usize], usize)>;

/// A mean with its standard error, plain and adjusted.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Adjusted {
    /// Adjusted mean; the plain one where adjusting does not help.
    pub mean: f64,
    /// Its standard error.
    pub error: f64,
    /// Plain mean.
    pub plain_mean: f64,
    /// Its standard error.
    pub plain_error: f64,
}

impl Adjusted {
    /// The plain mean with its ordinary error, twice.
    pub fn plain(values: &[f64]) -> Adjusted {
        let (mean, error) = (mean(values), standard_error(values).unwrap_or(0.0));
        Adjusted {
            mean,
            error,
            plain_mean: mean,
            plain_error: error,
        }
    }
}

/// The regression of one set of covariates, ready for any number of responses.
#[derive(Clone, Debug)]
pub struct Covariates<'a> {
    turn: InTurn<'a>,
    blocks: Vec<Vec<Ridge>>,
}

/// One block of values under one ridge.
#[derive(Clone, Debug)]
struct Ridge {
    solver: Cholesky<f64, nalgebra::Dyn>,
    /// Expectation of each value's kernel over the law.
    expected: DVector<f64>,
    /// One over the diagonal of the inverse, and (1 − the inverse times what is expected) over the same.
    leave_out: Vec<[f64; 2]>,
}

impl<'a> Covariates<'a> {
    /// Shape: `rows[value][covariate]`, each less its known expectation and of about unit range; `moments` their expected
    /// products, square, row after row; `turn` of the same length as `rows`.
    pub fn new(rows: &[Vec<f64>], moments: &[f64], turn: InTurn<'a>) -> Covariates<'a> {
        let n = rows.len();
        let width = rows.first().map_or(0, Vec::len);
        if n < FEWEST || width == 0 {
            return Covariates {
                turn,
                blocks: Vec::new(),
            };
        }
        let whole = (n / BLOCK).max(1);
        let block = |i: usize| {
            let end = if i + 1 == whole { n } else { (i + 1) * BLOCK };
            ridges(&rows[i * BLOCK..end], moments)
        };
        Covariates {
            turn,
            blocks: (0..whole).map(block).collect(),
        }
    }

    fn error(&self, values: &[f64]) -> f64 {
        let error = match self.turn {
            Some((strata, n)) => standard_error_in_turn(values, strata, n),
            None => standard_error(values),
        };
        error.unwrap_or(0.0)
    }

    /// The mean of a response, one value a row.
    pub fn adjust(&self, values: &[f64]) -> Adjusted {
        let plain = (mean(values), self.error(values));
        let mut best = plain;
        for ridge in 0..RIDGES.len() {
            if self.blocks.is_empty() {
                break;
            }
            let mut adjusted = Vec::with_capacity(values.len());
            for block in &self.blocks {
                let from = adjusted.len();
                block[ridge].adjusted(
                    &values[from..from + block[ridge].leave_out.len()],
                    &mut adjusted,
                );
            }
            let error = self.error(&adjusted);
            if error < WORTH_IT * plain.1 && error < best.1 {
                best = (mean(&adjusted), error);
            }
        }
        Adjusted {
            mean: best.0,
            error: best.1,
            plain_mean: plain.0,
            plain_error: plain.1,
        }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn ridges(rows: &[Vec<f64>], moments: &[f64]) -> Vec<Ridge> {
    let (n, width) = (rows.len(), rows[0].len());
    // Quantiles have variance 1/12, so that a row times itself is about 1.
    let scale = 12.0 / width as f64;
    let kernel = DMatrix::from_fn(n, n, |i, j| {
        let u = scale * dot(&rows[i], &rows[j]);
        CONSTANT + u + SECOND * u * u
    });
    let square = |row: &[f64]| -> f64 {
        let lines = moments.chunks(width).zip(row);
        lines.map(|(line, x)| x * dot(line, row)).sum()
    };
    let expected = rows
        .iter()
        .map(|row| CONSTANT + SECOND * scale * scale * square(row));
    let expected = DVector::from_iterator(n, expected);
    let ridge = |ridge: &f64| {
        let mut matrix = kernel.clone();
        for i in 0..n {
            matrix[(i, i)] += ridge;
        }
        let solver = Cholesky::new(matrix).expect("a kernel with a ridge is positive definite");
        let mut lower = DMatrix::identity(n, n);
        solver.l_dirty().solve_lower_triangular_mut(&mut lower);
        let of_expected = solver.solve(&expected);
        let leave_out = (0..n).map(|i| {
            let diagonal: f64 = lower.column(i).iter().skip(i).map(|v| v * v).sum();
            [1.0 / diagonal, (1.0 - of_expected[i]) / diagonal]
        });
        Ridge {
            leave_out: leave_out.collect(),
            expected: expected.clone(),
            solver,
        }
    };
    RIDGES.iter().map(ridge).collect()
}

impl Ridge {
    /// Each value less its prediction by all others, plus the expectation of that prediction.
    fn adjusted(&self, values: &[f64], out: &mut Vec<f64>) {
        let weights = self.solver.solve(&DVector::from_column_slice(values));
        let expected = self.expected.dot(&weights);
        let each = weights.iter().zip(&self.leave_out);
        out.extend(each.map(|(weight, [_, off])| expected + weight * off));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers in (0, 1) from a linear congruential generator (constants of Knuth's MMIX, from memory).
    fn luck(state: &mut u64) -> f64 {
        *state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((*state >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn rows(n: usize, width: usize, state: &mut u64) -> Vec<Vec<f64>> {
        (0..n)
            .map(|_| (0..width).map(|_| luck(state) - 0.5).collect())
            .collect()
    }

    fn uniform_moments(width: usize) -> Vec<f64> {
        let entry = |i: usize| {
            if i.is_multiple_of(width + 1) {
                1.0 / 12.0
            } else {
                0.0
            }
        };
        (0..width * width).map(entry).collect()
    }

    #[test]
    fn leaving_out_by_algebra_is_leaving_out_in_fact() {
        let mut state = 7;
        let rows = rows(FEWEST, 3, &mut state);
        let values: Vec<f64> = rows
            .iter()
            .map(|r| 4.0 + 9.0 * r[0] + luck(&mut state))
            .collect();
        let moments = uniform_moments(3);
        let mut quick = Vec::new();
        ridges(&rows, &moments)[1].adjusted(&values, &mut quick);
        for out in [0, 41, FEWEST - 1] {
            let mut others = (rows.clone(), values.clone());
            let (row, value) = (others.0.remove(out), others.1.remove(out));
            let fit = &ridges(&others.0, &moments)[1];
            let weights = fit.solver.solve(&DVector::from_column_slice(&others.1));
            let predicted: f64 = others
                .0
                .iter()
                .zip(&weights)
                .map(|(other, w)| {
                    let u = 4.0 * dot(other, &row);
                    w * (CONSTANT + u + SECOND * u * u)
                })
                .sum();
            let slow = value - predicted + fit.expected.dot(&weights);
            assert!((quick[out] - slow).abs() < 1e-6, "{} {slow}", quick[out]);
        }
    }

    #[test]
    fn without_covariates_or_with_few_values_the_mean_is_plain() {
        let values: Vec<f64> = (0..150).map(f64::from).collect();
        let plain = Covariates::new(&vec![Vec::new(); 150], &[], None).adjust(&values);
        assert_eq!((plain.mean, plain.error), (74.5, plain.plain_error));
        let mut state = 1;
        let few = Covariates::new(&rows(FEWEST - 1, 2, &mut state), &uniform_moments(2), None);
        assert_eq!(few.adjust(&values[..FEWEST - 1]).mean, 49.0);
    }
}
