//! How many there are, from animals marked, released and caught again.

/// An estimate of a population with its standard error.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Recapture {
    /// Lincoln–Petersen estimate: marked × caught / recaptured; absent when no marked one came back.
    pub lincoln_petersen: Option<f64>,
    /// Chapman's estimate, which is nearly unbiased and exists for zero recaptures.
    pub chapman: f64,
    /// Standard error of Chapman's estimate.
    pub chapman_se: f64,
}

/// Population from `marked` released, `caught` later, of which `recaptured` bore a mark.
///
/// Returns `None` when more are recaptured than were marked or caught.
/// # Source
/// Chapman 1951: N = (M+1)(C+1)/(R+1) − 1, variance (M+1)(C+1)(M−R)(C−R)/\[(R+1)²(R+2)\].
pub fn estimate(marked: u64, caught: u64, recaptured: u64) -> Option<Recapture> {
    if recaptured > marked || recaptured > caught {
        return None;
    }
    let (m, c, r) = (marked as f64, caught as f64, recaptured as f64);
    let variance = (m + 1.0) * (c + 1.0) * (m - r) * (c - r) / ((r + 1.0) * (r + 1.0) * (r + 2.0));
    Some(Recapture {
        lincoln_petersen: (recaptured > 0).then(|| m * c / r),
        chapman: (m + 1.0) * (c + 1.0) / (r + 1.0) - 1.0,
        chapman_se: variance.sqrt(),
    })
}
