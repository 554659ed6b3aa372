//! The root of a rising or falling function on an interval, by halving.

/// The point of `[low, high]` where `rising` changes from below `target` to at or above it.
///
/// Shape: `rising` does not decrease on the interval; 200 halvings, so the answer is exact to the last bits of `f64`.
pub fn rising_root(mut low: f64, mut high: f64, target: f64, rising: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..200 {
        let middle = low + 0.5 * (high - low);
        if middle <= low || middle >= high {
            break;
        }
        if rising(middle) < target {
            low = middle;
        } else {
            high = middle;
        }
    }
    low + 0.5 * (high - low)
}
