//! Points that fill the unit cube evenly: the Sobol sequence in up to 16 dimensions.

/// Most dimensions.
pub const DIMENSIONS: usize = 16;
const BITS: usize = 32;

/// Degree, inner coefficients and first direction numbers of dimensions 2 to 16.
///
/// # Source
/// Joe & Kuo 2008, SIAM J. Sci. Comput. 30: 2635-2654, table "new-joe-kuo-6" (from memory; tests check that every
/// polynomial is primitive and that every dimension fills its strata).
const TABLE: [(usize, u32, &[u32]); DIMENSIONS - 1] = [
    (1, 0, &[1]),
    (2, 1, &[1, 3]),
    (3, 1, &[1, 3, 1]),
    (3, 2, &[1, 1, 1]),
    (4, 1, &[1, 1, 3, 3]),
    (4, 4, &[1, 3, 5, 13]),
    (5, 2, &[1, 1, 5, 5, 17]),
    (5, 4, &[1, 1, 5, 5, 5]),
    (5, 7, &[1, 1, 7, 11, 19]),
    (5, 11, &[1, 1, 5, 1, 1]),
    (5, 13, &[1, 1, 1, 3, 11]),
    (5, 14, &[1, 3, 5, 5, 31]),
    (6, 1, &[1, 3, 3, 9, 7, 49]),
    (6, 13, &[1, 1, 1, 15, 21, 21]),
    (6, 16, &[1, 3, 1, 13, 27, 49]),
];

/// Direction numbers of one dimension (from 0), scaled to 32 bits.
fn directions(dimension: usize) -> [u32; BITS] {
    let mut v = [0_u32; BITS];
    if dimension == 0 {
        for (i, v) in v.iter_mut().enumerate() {
            *v = 1 << (BITS - 1 - i);
        }
        return v;
    }
    let (degree, inner, first) = TABLE[dimension - 1];
    for (i, m) in first.iter().enumerate() {
        v[i] = m << (BITS - 1 - i);
    }
    for i in degree..BITS {
        v[i] = v[i - degree] ^ (v[i - degree] >> degree);
        for k in 1..degree {
            if (inner >> (degree - 1 - k)) & 1 == 1 {
                v[i] ^= v[i - k];
            }
        }
    }
    v
}

/// The first `n` points in \[0, 1), moved by a random digital shift, one uniform number a dimension.
///
/// A shift keeps the even filling and makes every single point uniform. Order: Gray code.
/// Shape: `shift.len()` is the number of dimensions, 1 to [`DIMENSIONS`].
///
/// # Panics
/// With no dimension or more than the table holds: a fault of the caller.
pub fn sobol_points(n: usize, shift: &[f64]) -> Vec<Vec<f64>> {
    let known = (1..=DIMENSIONS).contains(&shift.len());
    assert!(known, "the table holds 1 to {DIMENSIONS} dimensions");
    let scale = 4_294_967_296.0;
    let v: Vec<[u32; BITS]> = (0..shift.len()).map(directions).collect();
    let mut state: Vec<u32> = shift.iter().map(|s| (s * scale) as u32).collect();
    let mut points = Vec::with_capacity(n);
    for i in 0..n {
        // The half keeps points off 0 and inside their stratum.
        let place = |x: &u32| (f64::from(*x) + 0.5) / scale;
        points.push(state.iter().map(place).collect());
        let bit = (i.trailing_ones() as usize).min(BITS - 1);
        for (x, v) in state.iter_mut().zip(&v) {
            *x ^= v[bit];
        }
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_dimension_puts_one_point_in_each_stratum() {
        let shift: Vec<f64> = (0..DIMENSIONS)
            .map(|d| 0.137 * (d as f64 + 1.0) % 1.0)
            .collect();
        for n in [16_usize, 64, 1024] {
            let points = sobol_points(n, &shift);
            for d in 0..DIMENSIONS {
                let mut seen = vec![false; n];
                for p in &points {
                    seen[(p[d] * n as f64) as usize] = true;
                }
                assert!(seen.iter().all(|s| *s), "dimension {d}, {n} points");
            }
        }
    }

    #[test]
    fn the_first_points_without_shift_are_the_published_ones() {
        // Joe & Kuo's worked start: 0, 1/2, then (3/4, 1/4), (1/4, 3/4) in the first two dimensions.
        let points = sobol_points(4, &[0.0, 0.0]);
        let expected = [[0.0, 0.0], [0.5, 0.5], [0.75, 0.25], [0.25, 0.75]];
        for (p, e) in points.iter().zip(expected) {
            for (a, b) in p.iter().zip(e) {
                assert!((a - b).abs() < 1e-9, "{p:?}");
            }
        }
    }

    #[test]
    fn every_polynomial_of_the_table_is_primitive() {
        for (degree, inner, first) in TABLE {
            assert_eq!(first.len(), degree);
            for (i, m) in first.iter().enumerate() {
                assert!(m % 2 == 1 && *m < 2 << i, "{m} at {i}");
            }
            // x generates the field exactly if its order modulo the polynomial is 2^degree - 1.
            let polynomial = (1_u32 << degree) | (inner << 1) | 1;
            let mut state = 1_u32;
            let mut order = 0;
            loop {
                state <<= 1;
                if state >> degree & 1 == 1 {
                    state ^= polynomial;
                }
                order += 1;
                if state == 1 {
                    break;
                }
                assert!(order < 1 << degree, "degree {degree}, inner {inner}");
            }
            assert_eq!(order, (1 << degree) - 1, "degree {degree}, inner {inner}");
        }
    }
}
