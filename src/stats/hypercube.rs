//! Points that fill the unit cube evenly in any number of dimensions: a Latin hypercube.

/// `n` points in \[0, 1) such that each of the `n` equal slices of every axis holds exactly one.
///
/// `uniform(axis, i)` gives uniform number `i` (0 to `2n - 1`) of an axis: the first `n` order the slices, the others
/// place the points inside them. A point depends on its axis only, so another axis moves nothing.
///
/// # Source
/// McKay, Beckman & Conover 1979, Technometrics 21: 239-245 (from memory; the test checks the property itself).
pub fn latin_hypercube(
    n: usize,
    axes: usize,
    uniform: impl Fn(usize, usize) -> f64,
) -> Vec<Vec<f64>> {
    let mut points = vec![Vec::with_capacity(axes); n];
    for axis in 0..axes {
        let keys: Vec<f64> = (0..n).map(|i| uniform(axis, i)).collect();
        let mut order: Vec<usize> = (0..n).collect();
        order.sort_by(|&a, &b| keys[a].total_cmp(&keys[b]).then(a.cmp(&b)));
        for (slice, &point) in order.iter().enumerate() {
            points[point].push((slice as f64 + uniform(axis, n + slice)) / n as f64);
        }
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_slice_of_each_axis_holds_one_point_and_axes_do_not_follow_each_other() {
        let n = 500;
        // A low-discrepancy filler is enough to order and to place.
        let uniform = |axis: usize, i: usize| {
            ((i as f64 + 1.0) * (0.618_034 + 0.137_035 * axis as f64)).fract()
        };
        let points = latin_hypercube(n, 3, uniform);
        for axis in 0..3 {
            let mut seen = vec![false; n];
            for p in &points {
                seen[(p[axis] * n as f64) as usize] = true;
            }
            assert!(seen.iter().all(|s| *s), "axis {axis}");
        }
        let cross: f64 = points.iter().map(|p| (p[0] - 0.5) * (p[1] - 0.5)).sum();
        let correlation = 12.0 * cross / n as f64;
        assert!(correlation.abs() < 4.0 / (n as f64).sqrt(), "{correlation}");
    }
}
