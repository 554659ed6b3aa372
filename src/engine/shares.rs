//! Summers shared by workers that have no memory in common, such as those of a browser.
//!
//! Every worker asks the same question. Where it comes to units of work (summers, as a rule) that nobody has done yet, it does
//! its own share of them, keeps the bytes and stops. When the shares of all workers have come, the question is asked
//! again from its beginning: what is done is read, not done again, in the order of the units. So the answer holds the same
//! bits as that of one process, whatever the number of workers.

use crate::engine::ensemble::{Stopped, Watch, each_summer};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::ops::Range;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A stretch of work: how many units a worker takes at first, until it is known how long one lasts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Size {
    /// Draws of the pilot.
    Draws,
    /// Summers of all plans.
    Plans,
    /// Summers of all sites.
    Sites,
}

/// Units that a worker takes at once, by [`Size`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace([f64; 3]);

impl Default for Pace {
    fn default() -> Pace {
        Pace([50.0, 2.0, 1.0])
    }
}

/// What is known of a question, and who asks it.
#[derive(Debug)]
pub struct Shares {
    worker: usize,
    workers: usize,
    known: Mutex<Known>,
}

#[derive(Debug)]
struct Known {
    log: Vec<Entry>,
    /// The entry that the question comes to next.
    at: usize,
    own: Option<Share>,
    pace: Pace,
    last: Option<(Size, usize)>,
    broken: bool,
}

#[derive(Debug)]
enum Entry {
    /// A number worth keeping that is being made; what follows belongs to it.
    Open,
    /// That number.
    Found(Vec<u8>),
    /// Units of work, done or not.
    Units(Vec<Option<Vec<u8>>>),
}

/// What one worker did of a step.
#[derive(Debug, Serialize, Deserialize)]
struct Share {
    entry: u32,
    size: Size,
    units: Vec<(u32, Vec<u8>)>,
}

/// How far a stretch of work has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is done.
    pub stage: Size,
    /// Units that are done.
    pub done: usize,
    /// Units of the stretch.
    pub of: usize,
}

/// A share that does not belong to the question, or lost bytes on its way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Broken;

/// A sum over all bytes, so that a byte that changed on the way is seen (FNV-1a).
fn checksum(bytes: &[u8]) -> [u8; 8] {
    let start = 0xcbf2_9ce4_8422_2325_u64;
    let mix = |sum: u64, byte: &u8| (sum ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
    bytes.iter().fold(start, mix).to_le_bytes()
}

impl Shares {
    /// One of so many workers, counted from 0; `first` is what [`once`] found first when the same was asked before.
    pub fn new(worker: u32, workers: u32, first: Option<Vec<u8>>) -> Shares {
        Shares {
            worker: worker as usize,
            workers: workers.max(1) as usize,
            known: Mutex::new(Known {
                log: first.map(Entry::Found).into_iter().collect(),
                at: 0,
                own: None,
                pace: Pace::default(),
                last: None,
                broken: false,
            }),
        }
    }

    fn known(&self) -> MutexGuard<'_, Known> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Before the question is asked once more.
    pub fn from_the_start(&self) {
        let mut known = self.known();
        known.at = 0;
        known.own = None;
    }

    /// What [`once`] has found first.
    pub fn first(&self) -> Option<Vec<u8>> {
        match self.known().log.first() {
            Some(Entry::Found(bytes)) => Some(bytes.clone()),
            _ => None,
        }
    }

    /// How many units this worker takes at once.
    pub fn pace(&self) -> Pace {
        self.known().pace
    }

    /// Sets what another question has shown.
    pub fn set_pace(&self, pace: Pace) {
        self.known().pace = pace;
    }

    /// How long the last step took, and how long one should take: the next is as much larger.
    pub fn took(&self, took: f64, wanted: f64) {
        let mut known = self.known();
        if let Some((size, units)) = known.last
            && took.is_finite()
        {
            let times = (wanted / took.max(1.0)).clamp(0.25, 2.0);
            known.pace.0[size as usize] = (units as f64 * times).clamp(1.0, 1000.0);
        }
    }

    /// Whether a share that came did not fit the question.
    pub fn broken(&self) -> bool {
        self.known().broken
    }

    /// How far the stretch of work has come that the question stands at.
    pub fn progress(&self) -> Progress {
        let known = self.known();
        let (entry, size) = known
            .own
            .as_ref()
            .map_or((0, Size::Draws), |own| (own.entry, own.size));
        let units = match known.log.get(entry as usize) {
            Some(Entry::Units(units)) => units.as_slice(),
            _ => &[],
        };
        Progress {
            stage: size,
            done: units.iter().flatten().count(),
            of: units.len(),
        }
    }

    /// What this worker has done of the step, for all workers; empty when the question needs no more.
    pub fn share(&self) -> Vec<u8> {
        let share = self.known().own.take();
        let bytes = share.and_then(|share| postcard::to_allocvec(&share).ok());
        bytes.map_or_else(Vec::new, |mut bytes| {
            bytes.extend(checksum(&bytes));
            bytes
        })
    }

    /// Takes in what a worker has done.
    ///
    /// # Errors
    /// [`Broken`] when it is no share of the step.
    pub fn take(&self, bytes: &[u8]) -> Result<(), Broken> {
        let (bytes, sum) = bytes.split_last_chunk::<8>().ok_or(Broken)?;
        if checksum(bytes) != *sum {
            return Err(Broken);
        }
        let share: Share = postcard::from_bytes(bytes).map_err(|_| Broken)?;
        let mut known = self.known();
        let Some(Entry::Units(units)) = known.log.get_mut(share.entry as usize) else {
            return Err(Broken);
        };
        for (unit, bytes) in share.units {
            *units.get_mut(unit as usize).ok_or(Broken)? = Some(bytes);
        }
        Ok(())
    }

    fn units<T: Serialize + DeserializeOwned>(
        &self,
        (range, size): (Range<u32>, Size),
        watch: &dyn Watch,
        one: impl Fn(u32) -> T,
        mut fold: impl FnMut(u32, T),
    ) -> Result<(), Stopped> {
        let (first, n) = (range.start, range.len());
        let (entry, done) = {
            let mut known = self.known();
            let entry = known.at;
            known.at += 1;
            if known.log.len() == entry {
                known.log.push(Entry::Units(vec![None; n]));
            }
            match &mut known.log[entry] {
                Entry::Units(units) if units.len() == n => (entry, std::mem::take(units)),
                _ => {
                    known.broken = true;
                    return Err(Stopped);
                }
            }
        };
        let left: Vec<u32> = (0..n as u32)
            .filter(|&i| done[i as usize].is_none())
            .collect();
        let mut read = true;
        if left.is_empty() {
            for (unit, bytes) in (first..).zip(done.iter().flatten()) {
                match postcard::from_bytes(bytes) {
                    Ok(value) => fold(unit, value),
                    Err(_) => read = false,
                }
            }
        } else {
            // Which units are left is the same for all workers; how many each takes is its own affair.
            let own = left.into_iter().skip(self.worker).step_by(self.workers);
            let many = self.known().pace.0[size as usize] as usize;
            let mut units = Vec::new();
            for i in own.take(many.max(1)) {
                if watch.stopped() {
                    break;
                }
                match postcard::to_allocvec(&one(first + i)) {
                    Ok(bytes) => units.push((i, bytes)),
                    Err(_) => read = false,
                }
            }
            let mut known = self.known();
            known.last = Some((size, units.len())).filter(|(_, n)| *n > 0);
            known.own = Some(Share {
                entry: entry as u32,
                size,
                units,
            });
        }
        let mut known = self.known();
        let over = known.own.is_some();
        known.log[entry] = Entry::Units(done);
        known.broken |= !read;
        if over || !read { Err(Stopped) } else { Ok(()) }
    }
}

/// As [`each_summer`], where workers may share the summers.
///
/// # Errors
/// [`Stopped`] when the watch says so, or when the shares of all workers must come first.
pub fn each_shared<T: Send + Serialize + DeserializeOwned>(
    (summers, size): (Range<u32>, Size),
    watch: &dyn Watch,
    one: impl Fn(u32) -> T + Sync,
    fold: impl FnMut(u32, T),
) -> Result<(), Stopped> {
    match watch.shares() {
        Some(shares) => shares.units((summers, size), watch, one, fold),
        None => each_summer(summers, watch, one, fold),
    }
}

/// Something worth keeping: made once, and with it all shared work that it took.
///
/// # Errors
/// Those of `make`.
pub fn once<T: Serialize + DeserializeOwned, E: From<Stopped>>(
    watch: &dyn Watch,
    make: impl FnOnce() -> Result<T, E>,
) -> Result<T, E> {
    let Some(shares) = watch.shares() else {
        return make();
    };
    let entry = {
        let mut known = shares.known();
        let entry = known.at;
        known.at += 1;
        match known.log.get(entry) {
            Some(Entry::Found(bytes)) => {
                let found = postcard::from_bytes(bytes);
                known.broken |= found.is_err();
                return found.map_err(|_| Stopped.into());
            }
            Some(_) => {}
            None => known.log.push(Entry::Open),
        }
        entry
    };
    let made = make()?;
    let mut known = shares.known();
    let bytes = postcard::to_allocvec(&made);
    known.broken |= bytes.is_err();
    known.log.truncate(entry);
    known.log.push(Entry::Found(bytes.unwrap_or_default()));
    known.at = entry + 1;
    Ok(made)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::ensemble::Unwatched;

    struct Shared(Shares);

    impl Watch for Shared {
        fn shares(&self) -> Option<&Shares> {
            Some(&self.0)
        }
    }

    /// Two stretches of work, the second as long as the first has found.
    fn question(watch: &dyn Watch) -> Result<Vec<f64>, Stopped> {
        let n: u32 = once(watch, || {
            let mut n = once(watch, || Ok::<u32, Stopped>(0))?;
            each_shared((3..13, Size::Plans), watch, |k| k % 3, |_, k| n += k)?;
            Ok::<u32, Stopped>(n)
        })?;
        let mut all = Vec::new();
        let one = |k: u32| libm::sin(f64::from(k));
        each_shared((0..n, Size::Draws), watch, one, |k, x| {
            assert_eq!(all.len() as u32, k);
            all.push(x);
        })?;
        Ok(all)
    }

    #[test]
    fn any_number_of_workers_finds_what_one_process_finds() {
        let alone = question(&Unwatched);
        for n in [1, 2, 7, 20] {
            let workers: Vec<Shared> = (0..n).map(|k| Shared(Shares::new(k, n, None))).collect();
            let mut steps = 0;
            let found = loop {
                let answers: Vec<_> = workers.iter().map(|w| question(w)).collect();
                if answers[0].is_ok() {
                    break answers;
                }
                let shares: Vec<Vec<u8>> = workers.iter().map(|w| w.0.share()).collect();
                for worker in &workers {
                    worker.0.from_the_start();
                    for share in &shares {
                        assert_eq!(worker.0.take(share), Ok(()));
                    }
                }
                steps += 1;
                assert!(steps < 50);
            };
            assert!(found.iter().all(|f| *f == alone), "{n}");
            let again = Shared(Shares::new(0, 1, workers[0].0.first()));
            assert_eq!(question(&again), Err(Stopped));
            assert_eq!(again.0.progress().stage, Size::Draws);
        }
    }

    #[test]
    fn a_share_that_was_changed_on_the_way_is_refused() {
        let worker = Shared(Shares::new(0, 1, None));
        assert_eq!(question(&worker), Err(Stopped));
        let share = worker.0.share();
        for at in 0..share.len() {
            let mut other = share.clone();
            other[at] ^= 16;
            assert_eq!(worker.0.take(&other), Err(Broken), "{at}");
            assert_eq!(worker.0.take(&share[..at]), Err(Broken), "{at}");
        }
        let other = Shares::new(0, 1, None);
        assert_eq!(other.take(&share), Err(Broken));
    }
}
