//! Averages over the same summers at points of the unknowns.

use crate::count::plans;
use crate::count::prepare::{Prepared, Refusal};
use crate::count::summer::weighted_damage;
use crate::engine::ensemble::Watch;
use crate::engine::ground::{Ground, Held};
use crate::engine::shares::{Size, each_shared};
use crate::scenario::Owner;
use crate::stats::paired::{MeanChange, differences};
use crate::stats::settle::next_look;
use crate::stats::spread::mean;
use crate::study::finding::Finding;
use crate::study::keep::{Keep, Stage, in_pieces};
use crate::study::settle::{Judge, Take};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::ops::Range;

/// Simulated summers between two savings, about.
pub(super) const PIECE: usize = 512;

/// Averages over the summers at one point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Point {
    /// Damage without a trap, of 100.
    pub without: f64,
    /// Damage under the plan, of 100.
    pub with: f64,
    /// Their difference.
    #[serde(flatten)]
    pub mean: MeanChange,
}

impl Point {
    /// Of damage by summer, without and with.
    pub(super) fn of([without, with]: [&[f64]; 2]) -> Point {
        Point {
            without: mean(without),
            with: mean(with),
            mean: MeanChange::of(&differences(without, with)),
        }
    }
}

/// Damage of the asker's plants of 100, without a trap and under the plan, in one summer.
fn pair(prepared: &Prepared, plan: usize, summer: u32, held: &[Held]) -> Result<[f64; 2], Refusal> {
    let scenario = prepared.scenario;
    let ground = Ground::for_summer_with(scenario, summer, held);
    prepared.check_size(&ground)?;
    let mine = |i: usize| scenario.crops[scenario.plants[i].crop].owner == Owner::Mine;
    let plans = [0, plan].map(|k| &scenario.plans[k]);
    let found = plans::summer(prepared, &ground, &plans, None);
    let damage = |k: usize| weighted_damage(scenario, &found[k].plant_damage, mine).unwrap_or(0.0);
    Ok([damage(0), damage(1)])
}

/// Damage in every summer, without and with the plan, and what they say; at least so many summers.
pub(super) fn series(
    prepared: &Prepared,
    plan: usize,
    (take, least): (Take, u32),
    watch: &dyn Watch,
    keep: &mut dyn Keep,
) -> Result<([Vec<f64>; 2], Finding), Refusal> {
    const STAGE: &str = "settling";
    let end = take.exactly.unwrap_or(take.most).max(least);
    let one = |summer: u32| pair(prepared, plan, summer, &[]).map(Vec::from);
    let mut all = keep.done(STAGE, end as usize, 2);
    watch.advance(all.len() as u32);
    let mut judge = Judge::new(prepared.scenario);
    let mut looked = 0;
    loop {
        looked = next_look(looked, end);
        if all.len() < looked as usize {
            all.extend(each_of(all.len() as u32..looked, watch, one)?);
            if !keep.save(STAGE, &all) {
                return Err(Refusal::Stopped);
            }
        }
        let both = [0, 1].map(|k| {
            all[..looked as usize]
                .iter()
                .map(|d| d[k])
                .collect::<Vec<_>>()
        });
        let lists = [both[0].as_slice(), &both[1]];
        let enough = take.exactly.is_none() && looked >= least && judge.settled(&lists);
        if enough || looked == end {
            let found = judge.findings(&lists).remove(1);
            return Ok((both, found));
        }
    }
}

/// Results in order, or the first refusal.
pub(super) fn each_of<T: Send + Serialize + DeserializeOwned>(
    jobs: Range<u32>,
    watch: &dyn Watch,
    one: impl Fn(u32) -> Result<T, Refusal> + Sync,
) -> Result<Vec<T>, Refusal> {
    let mut found = Vec::with_capacity(jobs.len());
    let mut fault = None;
    each_shared((jobs, Size::Plans), watch, one, |_, result| match result {
        Ok(values) => found.push(values),
        Err(refusal) => fault = fault.take().or(Some(refusal)),
    })?;
    fault.map_or(Ok(found), Err)
}

/// Averages at each point over the same summers.
///
/// Shape: `stage` names the points among others that are kept.
///
/// # Errors
/// [`Refusal`] when stopped or when a point holds too many insects.
pub fn evaluate(
    prepared: &Prepared,
    plan: usize,
    (stage, points): (&str, &[Vec<Held>]),
    summers: u32,
    watch: &dyn Watch,
    keep: &mut dyn Keep,
) -> Result<Vec<Point>, Refusal> {
    let stage = Stage {
        name: stage,
        points: points.len(),
        width: 4,
        chunk: (PIECE / summers as usize).max(8),
    };
    let one = |job: u32| {
        pair(
            prepared,
            plan,
            job % summers,
            &points[(job / summers) as usize],
        )
    };
    let sums = in_pieces(
        stage,
        keep,
        |done| watch.advance(done as u32 * summers),
        |points| {
            let jobs = points.start as u32 * summers..points.end as u32 * summers;
            let pairs = each_of(jobs, watch, one)?;
            Ok(pairs.chunks(summers as usize).map(sums_of).collect())
        },
    )?;
    let n = f64::from(summers);
    Ok(sums
        .iter()
        .map(|sums| {
            let m = sums[2] / n;
            let variance = (sums[3] / n - m * m).max(0.0) * n / (n - 1.0).max(1.0);
            Point {
                without: sums[0] / n,
                with: sums[1] / n,
                mean: MeanChange {
                    change: m,
                    error: (variance / n).sqrt(),
                },
            }
        })
        .collect())
}

/// Sums of both damages, of their difference and of its square.
fn sums_of(pairs: &[[f64; 2]]) -> Vec<f64> {
    let mut sum = vec![0.0; 4];
    for [without, with] in pairs {
        let change = with - without;
        for (s, v) in sum
            .iter_mut()
            .zip([without, with, &change, &(change * change)])
        {
            *s += v;
        }
    }
    sum
}
