//! Summers shared by workers that have no memory in common, such as those of a browser.
//!
//! Every worker asks the same question. Where it comes to a stretch of work (units that nobody has done yet; summers, as a
//! rule) it does those that it was told to do, keeps their bytes and stops. When all shares of the stretch have come, the
//! question is asked again from its beginning: what is done is read, not done again, in the order of the units. So the answer
//! holds the same bits as that of one process, whatever the number of workers and whoever did what.

use crate::engine::ensemble::{Stopped, Watch, each_summer};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::ops::Range;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Kinds of units: one lasts much longer than another.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Size {
    /// Draws of the pilot.
    #[default]
    Draws,
    /// Summers of all plans.
    Plans,
    /// Summers of all sites.
    Sites,
}

/// What one worker knows of a question.
#[derive(Debug, Default)]
pub struct Shares {
    known: Mutex<Known>,
}

#[derive(Debug, Default)]
struct Known {
    log: Vec<Entry>,
    /// The entry that the question comes to next.
    at: usize,
    /// Stretches of work so far; each is known by its number.
    stretches: u32,
    /// Units to do, and the stretch they are of.
    told: (u32, Vec<u32>),
    own: Share,
    /// Shares of stretches that others have come to before this worker.
    early: Vec<Share>,
    stands: Progress,
    broken: bool,
}

#[derive(Debug)]
enum Entry {
    /// A number worth keeping that is being made; what follows belongs to it.
    Open,
    /// That number.
    Found(Vec<u8>),
    /// The units of a stretch of work, done or not.
    Units(u32, Vec<Option<Vec<u8>>>),
}

/// What one worker did of a stretch.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Share {
    stretch: u32,
    units: Vec<(u32, Vec<u8>)>,
}

/// The stretch of work that a question stands at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Progress {
    /// Its number.
    pub stretch: u32,
    /// What is done.
    pub stage: Size,
    /// Units that are done, as far as is known here.
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
    /// Nothing done; `first` is what [`once`] found first when the same was asked before.
    pub fn new(first: Option<Vec<u8>>) -> Shares {
        Shares {
            known: Mutex::new(Known {
                log: first.map(Entry::Found).into_iter().collect(),
                ..Known::default()
            }),
        }
    }

    fn known(&self) -> MutexGuard<'_, Known> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Before the question is asked once more: units to do, where it comes to that stretch.
    pub fn from_the_start(&self, stretch: u32, units: Vec<u32>) {
        let mut known = self.known();
        known.at = 0;
        known.told = (stretch, units);
    }

    /// What [`once`] has found first.
    pub fn first(&self) -> Option<Vec<u8>> {
        match self.known().log.first() {
            Some(Entry::Found(bytes)) => Some(bytes.clone()),
            _ => None,
        }
    }

    /// Whether a share that came did not fit the question.
    pub fn broken(&self) -> bool {
        self.known().broken
    }

    /// The stretch of work that the question stands at.
    pub fn progress(&self) -> Progress {
        self.known().stands
    }

    /// What this worker has just done, for all workers and itself; empty when it did nothing.
    pub fn share(&self) -> Vec<u8> {
        let share = std::mem::take(&mut self.known().own);
        let bytes = (!share.units.is_empty()).then(|| postcard::to_allocvec(&share).ok());
        bytes.flatten().map_or_else(Vec::new, |mut bytes| {
            bytes.extend(checksum(&bytes));
            bytes
        })
    }

    /// Takes in what a worker has done.
    ///
    /// # Errors
    /// [`Broken`] when it is no share of a stretch that is worked on.
    pub fn take(&self, bytes: &[u8]) -> Result<(), Broken> {
        let (bytes, sum) = bytes.split_last_chunk::<8>().ok_or(Broken)?;
        if checksum(bytes) != *sum {
            return Err(Broken);
        }
        let share: Share = postcard::from_bytes(bytes).map_err(|_| Broken)?;
        let mut known = self.known();
        if share.stretch > known.stretches {
            known.early.push(share);
            return Ok(());
        }
        known.take(share)
    }

    fn units<T: Serialize + DeserializeOwned>(
        &self,
        (range, size): (Range<u32>, Size),
        watch: &dyn Watch,
        one: impl Fn(u32) -> T,
        mut fold: impl FnMut(u32, T),
    ) -> Result<(), Stopped> {
        let (first, n) = (range.start, range.len());
        let (entry, stretch, done, told) = {
            let mut known = self.known();
            let entry = known.at;
            known.at += 1;
            if known.log.len() == entry {
                known.stretches += 1;
                let number = known.stretches;
                known.log.push(Entry::Units(number, vec![None; n]));
                for share in std::mem::take(&mut known.early) {
                    if share.stretch > number {
                        known.early.push(share);
                    } else {
                        known.broken |= known.take(share).is_err();
                    }
                }
            }
            let told = std::mem::take(&mut known.told);
            match &mut known.log[entry] {
                Entry::Units(number, units) if units.len() == n => {
                    (entry, *number, std::mem::take(units), told)
                }
                _ => {
                    known.broken = true;
                    return Err(Stopped);
                }
            }
        };
        let mut read = true;
        let mut own = Vec::new();
        let whole = done.iter().all(Option::is_some);
        if whole {
            for (unit, bytes) in (first..).zip(done.iter().flatten()) {
                match postcard::from_bytes(bytes) {
                    Ok(value) => fold(unit, value),
                    Err(_) => read = false,
                }
            }
        } else if told.0 == stretch {
            for &unit in told.1.iter().filter(|unit| (**unit as usize) < n) {
                if watch.stopped() {
                    break;
                }
                match postcard::to_allocvec(&one(first + unit)) {
                    Ok(bytes) => own.push((unit, bytes)),
                    Err(_) => read = false,
                }
            }
        }
        let mut known = self.known();
        if whole {
            known.told = told;
        } else {
            known.stands = Progress {
                stretch,
                stage: size,
                done: done.iter().flatten().count(),
                of: n,
            };
            known.own = Share {
                stretch,
                units: own,
            };
        }
        known.log[entry] = Entry::Units(stretch, done);
        known.broken |= !read;
        if whole && read { Ok(()) } else { Err(Stopped) }
    }
}

impl Known {
    fn take(&mut self, share: Share) -> Result<(), Broken> {
        let mut entries = self.log.iter_mut();
        let units = entries.find_map(|entry| match entry {
            Entry::Units(number, units) if *number == share.stretch => Some(units),
            _ => None,
        });
        let units = units.ok_or(Broken)?;
        for (unit, bytes) in share.units {
            *units.get_mut(unit as usize).ok_or(Broken)? = Some(bytes);
        }
        Ok(())
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
            let workers: Vec<Shared> = (0..n).map(|_| Shared(Shares::default())).collect();
            let mut steps = 0;
            let found = loop {
                let answers: Vec<_> = workers.iter().map(|w| question(w)).collect();
                if answers[0].is_ok() {
                    break answers;
                }
                let shares: Vec<Vec<u8>> = workers.iter().map(|w| w.0.share()).collect();
                for (k, worker) in (0..).zip(&workers) {
                    let Progress { stretch, of, .. } = worker.0.progress();
                    // Each takes every n-th unit, from the end.
                    let units = (0..of as u32).rev().filter(|unit| unit % n == k);
                    worker.0.from_the_start(stretch, units.collect());
                    for share in shares.iter().filter(|share| !share.is_empty()) {
                        assert_eq!(worker.0.take(share), Ok(()));
                    }
                }
                steps += 1;
                assert!(steps < 50);
            };
            assert!(found.iter().all(|f| *f == alone), "{n}");
            let again = Shared(Shares::new(workers[0].0.first()));
            assert_eq!(question(&again), Err(Stopped));
            assert_eq!(again.0.progress().stage, Size::Draws);
        }
    }

    #[test]
    fn a_share_that_was_changed_on_the_way_is_refused() {
        let worker = Shared(Shares::default());
        assert_eq!(question(&worker), Err(Stopped));
        assert!(worker.0.share().is_empty());
        worker.0.from_the_start(1, vec![0, 4, 99]);
        assert_eq!(question(&worker), Err(Stopped));
        let share = worker.0.share();
        for at in 0..share.len() {
            let mut other = share.clone();
            other[at] ^= 16;
            assert_eq!(worker.0.take(&other), Err(Broken), "{at}");
            assert_eq!(worker.0.take(&share[..at]), Err(Broken), "{at}");
        }
        assert_eq!(worker.0.take(&share), Ok(()));
        // A worker that has not come so far keeps it.
        let late = Shared(Shares::default());
        assert_eq!(late.0.take(&share), Ok(()));
        assert_eq!(question(&late), Err(Stopped));
        assert_eq!((late.0.progress().done, late.0.broken()), (2, false));
        late.0.from_the_start(1, (1..10).collect());
        assert_eq!(question(&late), Err(Stopped));
        let own = late.0.share();
        assert_eq!(late.0.take(&own), Ok(()));
        late.0.from_the_start(1, Vec::new());
        assert_eq!(question(&late), Err(Stopped));
        assert_eq!(late.0.progress().stage, Size::Draws);
    }

    #[test]
    fn a_share_of_more_units_than_there_are_breaks_the_question() {
        let share = Share {
            stretch: 1,
            units: vec![(10, Vec::new())],
        };
        let mut bytes = postcard::to_allocvec(&share).unwrap();
        bytes.extend(checksum(&bytes));
        let worker = Shared(Shares::default());
        assert_eq!(worker.0.take(&bytes), Ok(()));
        assert_eq!(question(&worker), Err(Stopped));
        assert!(worker.0.broken());
    }
}
