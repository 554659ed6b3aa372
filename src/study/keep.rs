//! Long work in pieces: what is done is told after every few points, so that a later call can go on from there.

use crate::count::prepare::Refusal;
use std::ops::Range;

/// Keeps the values of a long work's points, stage by stage.
pub trait Keep: Send {
    /// The values of the first points of a stage that an earlier call has done, in order; none for a new stage.
    ///
    /// Shape: each of `width` numbers, at most `points` of them.
    fn done(&mut self, stage: &str, points: usize, width: usize) -> Vec<Vec<f64>>;

    /// Told after every few points with all that are done. Returns false when they cannot be kept, which stops the work.
    fn save(&mut self, stage: &str, all: &[Vec<f64>]) -> bool;
}

/// Keeps nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct KeepNothing;

impl Keep for KeepNothing {
    fn done(&mut self, _: &str, _: usize, _: usize) -> Vec<Vec<f64>> {
        Vec::new()
    }

    fn save(&mut self, _: &str, _: &[Vec<f64>]) -> bool {
        true
    }
}

/// One stage of a long work.
#[derive(Clone, Copy, Debug)]
pub struct Stage<'a> {
    /// Name, one of a kind within the work.
    pub name: &'a str,
    /// Points in all.
    pub points: usize,
    /// Numbers of each point.
    pub width: usize,
    /// Points between two savings.
    pub chunk: usize,
}

/// The values of all points of a stage. `already` is told how many an earlier call has done; `run` makes a row of further
/// ones. The values do not depend on where the work was cut.
///
/// # Errors
/// What `run` gives; [`Refusal::Stopped`] when the values cannot be kept.
pub fn in_pieces(
    stage: Stage,
    keep: &mut dyn Keep,
    already: impl FnOnce(usize),
    mut run: impl FnMut(Range<usize>) -> Result<Vec<Vec<f64>>, Refusal>,
) -> Result<Vec<Vec<f64>>, Refusal> {
    let mut all = keep.done(stage.name, stage.points, stage.width);
    already(all.len());
    while all.len() < stage.points {
        let to = (all.len() + stage.chunk.max(1)).min(stage.points);
        all.extend(run(all.len()..to)?);
        if !keep.save(stage.name, &all) {
            return Err(Refusal::Stopped);
        }
    }
    Ok(all)
}
