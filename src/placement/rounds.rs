//! Rounds of summers: which sites still need some, what each has shown so far, and when the answer is settled.

use crate::count::plans::plan_summer;
use crate::count::prepare::Prepared;
use crate::count::rerun::Reran;
use crate::count::summer::SummerTally;
use crate::engine::ensemble::{StopOnly, Watch, each_summer};
use crate::engine::ground::Ground;
use crate::engine::known::Known;
use crate::engine::shares::{Size, each_shared, once};
use crate::geometry::Point;
use crate::placement::delta;
use crate::placement::finding::{Against, Note};
use crate::placement::kriging::Near;
use crate::placement::objective::{Objective, Valued};
use crate::placement::outcome::{PlaceOutcome, Ranked, SiteOutcome, Verdict, ZoneMap};
use crate::placement::search::{Look, PlaceRefusal, Question, Slot};
use crate::placement::site::{Site, Spread, later};
use crate::placement::zones::{needs, shares, zone_map};
use crate::scenario::{Plan, Scenario};
use crate::stats::covariate::{self, Adjusted, Covariates};
use crate::stats::double_sample::{Control, regressed_mean};
use crate::stats::paired::{self, HARDLY_ANY, MOST};
use crate::stats::settle::{FEWEST, NEAR, ZONE, half_width, next_look};
use crate::stats::spread::{mean, standard_error};

/// Looks before those of [`next_look`], so that something is known soon.
const FIRST_LOOKS: [u32; 4] = [4, MORE_SITES_AT, BEFORE_DROPPING, 40];
/// No site is dropped before: fewer sites with so many summers hold the map better than twice as many with twenty, since
/// what a site has in common with the ends is told badly by twenty.
const BEFORE_DROPPING: u32 = 30;
/// A look of its own: from so many summers on a share is known to within [`ZONE`], wherever it lies.
const ALL_KNOWN: u32 = 125;
/// After so many summers further sites are chosen where they are needed.
const MORE_SITES_AT: u32 = 8;
/// Sites closer than this many standard errors of their paired difference share a rank.
const TIE_SE: f64 = NEAR;
/// A site is out of the running when it is worse than the best by this many standard errors of their paired difference:
/// there are some forty of them.
const CLEARLY_WORSE_SE: f64 = 3.0;
/// Half-width of a share at which a site on the map keeps the class it shows; the best spot waits for [`ZONE`].
const ZONE_ON_MAP: f64 = 0.12;
/// Sites that go on for being near the best, when all others have had enough for the answer.
const FINALISTS: usize = 4;
/// Sites that still need summers after so many get no more, unless they are on the lists.
const MOST_FOR_MAP: usize = 200;

/// Parts of a summer that threads may work on side by side.
const PARTS: u32 = 4;

/// All summers of one site.
#[derive(Clone, Debug, Default)]
struct Series {
    values: Vec<Valued>,
    filled: bool,
}

/// One summer at all sites of a round; with each value whether the trap would have filled.
#[derive(serde::Serialize, serde::Deserialize)]
struct SitesSummer {
    base: Valued,
    sites: Vec<(Valued, bool)>,
    lived_again: u64,
}

/// The sites and what they have shown.
#[derive(Clone)]
pub(super) struct Rounds<'a> {
    prepared: &'a Prepared<'a>,
    slot: &'a Slot,
    question: &'a Question,
    near: Near,
    spread: Spread,
    sites: Vec<Site>,
    base: Vec<Valued>,
    series: Vec<Series>,
    active: Vec<bool>,
    /// Best and worst so far; they have all summers.
    ends: [usize; 2],
    /// Known biology of the summers, when the search has ended.
    known: Option<Covariates<'static>>,
    lived_again: u64,
}

impl<'a> Rounds<'a> {
    pub(super) fn new(
        prepared: &'a Prepared<'a>,
        slot: &'a Slot,
        question: &'a Question,
        near: Near,
        (sites, spread): (Vec<Site>, Spread),
    ) -> Rounds<'a> {
        Rounds {
            prepared,
            slot,
            question,
            near,
            spread,
            base: Vec::new(),
            series: vec![Series::default(); sites.len()],
            active: vec![true; sites.len()],
            sites,
            ends: [0, 0],
            known: None,
            lived_again: 0,
        }
    }

    /// Summers done.
    pub(super) fn done(&self) -> u32 {
        self.base.len() as u32
    }

    /// What is known so far.
    pub(super) fn look(&self) -> Look<'_> {
        let best = self.ends[0];
        Look {
            summers: self.base.len(),
            best: self.sites[best].at,
            name: self.sites[best].name.as_deref(),
            change: self.change(best).0,
            rounds: self,
        }
    }

    /// All sites so far, and the map between them.
    pub(super) fn map(&self, scenario: &Scenario) -> (Vec<SiteOutcome>, Option<ZoneMap>) {
        let results = self.results();
        let map = zone_map(scenario, &self.question.limits, &self.near, &results);
        (results, map)
    }

    /// The next round, up to so many summers in all; whether the answer is settled after it.
    pub(super) fn next(&mut self, most: u32, watch: &dyn Watch) -> Result<bool, PlaceRefusal> {
        let done = self.done();
        let next = FIRST_LOOKS
            .into_iter()
            .find(|&look| done < look)
            .unwrap_or_else(|| next_look(done, most))
            .min(most);
        let next = if (done + 1..next).contains(&ALL_KNOWN) {
            ALL_KNOWN
        } else {
            next
        };
        let chosen: Vec<usize> = (0..self.sites.len()).filter(|&i| self.active[i]).collect();
        self.summers(&chosen, done..next, watch)?;
        self.ends = [self.extreme(1.0), self.extreme(-1.0)];
        if next == MORE_SITES_AT {
            self.add_sites(watch)?;
        }
        Ok(next >= BEFORE_DROPPING && self.settle() && next >= FEWEST)
    }

    /// Chooses the sites that were kept back, and gives them the summers of the others.
    fn add_sites(&mut self, watch: &dyn Watch) -> Result<(), PlaceRefusal> {
        let limits = &self.question.limits;
        let n = later(limits.sites.unwrap_or(crate::placement::site::USUAL_SITES));
        let first = self.sites.len();
        // Kept, since workers ask again and again.
        let further: Vec<Point> = once(watch, || {
            let times = needs(&self.near, &self.sites, &self.results());
            let next = (0..n).map_while(|_| self.spread.next(&times));
            Ok::<_, PlaceRefusal>(next.collect())
        })?;
        for at in further {
            self.sites.push(Site { at, name: None });
            self.series.push(Series::default());
            self.active.push(true);
        }
        let added: Vec<usize> = (first..self.sites.len()).collect();
        self.summers(&added, 0..self.done(), watch)
    }

    /// Summers of some sites; those without a trap are kept where they are new.
    fn summers(
        &mut self,
        chosen: &[usize],
        summers: std::ops::Range<u32>,
        watch: &dyn Watch,
    ) -> Result<(), PlaceRefusal> {
        let places: Vec<Point> = chosen.iter().map(|&i| self.sites[i].at).collect();
        let (prepared, slot, objective) = (self.prepared, self.slot, self.question.objective);
        let scenario = prepared.scenario;
        let part = |summer: u32, part: (u32, u32)| {
            let ground = Ground::for_summer(scenario, summer);
            let arrivals = prepared.arrivals(&ground);
            let base = slot.base_lures(&ground);
            let tag = slot.base.traps.len() as u32;
            let lures = slot.lures_at(&ground, &places, tag);
            let watched = objective.watched(scenario, &ground);
            delta::sites(&ground, &arrivals, &base, &lures, watched, part)
        };
        let told = |summer: u32, counts: &Reran| {
            let ground = Ground::for_summer(scenario, summer);
            let (_, _, rules) = prepared.lures(&ground, &slot.plan_at(Point::default()));
            let value = |tally: &SummerTally, lure| objective.value(scenario, &ground, tally, lure);
            let site = |tally: &SummerTally| {
                let lure = tally.caught.len() - 1;
                let filled = rules.would_fill(&tally.caught_by_day);
                (value(tally, Some(lure)), filled)
            };
            SitesSummer {
                base: value(&counts.base, None),
                sites: counts.variants.iter().map(site).collect(),
                lived_again: counts.lived_again,
            }
        };
        let (base, series, lived_again) = (&mut self.base, &mut self.series, &mut self.lived_again);
        let mut keep = |summer: u32, found: SitesSummer| {
            if base.len() == summer as usize {
                watch.advance(1);
                base.push(found.base);
            }
            *lived_again += found.lived_again;
            for (&i, (value, filled)) in chosen.iter().zip(found.sites) {
                series[i].values.push(value);
                series[i].filled |= filled;
            }
        };
        let stop = StopOnly(watch);
        if watch.shares().is_some() {
            // What the sites are worth travels, not the counts behind it.
            let one = |summer: u32| told(summer, &part(summer, (0, 1)));
            each_shared((summers, Size::Sites), &stop, one, keep)?;
            return Ok(());
        }
        // A summer is cut into parts, since some hold ten times the insects of others.
        let one = |unit: u32| part(unit / PARTS, (unit % PARTS, PARTS));
        let mut whole: Option<Reran> = None;
        let units = summers.start * PARTS..summers.end * PARTS;
        each_summer(units, &stop, one, |unit, part| {
            match &mut whole {
                None => whole = Some(part),
                Some(whole) => whole.add(&part),
            }
            if unit % PARTS + 1 == PARTS
                && let Some(counts) = whole.take()
            {
                keep(unit / PARTS, told(unit / PARTS, &counts));
            }
        })?;
        Ok(())
    }

    fn changes(&self, site: usize) -> Vec<f64> {
        let values = &self.series[site].values;
        values
            .iter()
            .zip(&self.base)
            .map(|(with, without)| with.value - without.value)
            .collect()
    }

    /// Mean and standard error of a number of one site. A site that was dropped is carried on by what it had in common
    /// with the yard without a trap and with the sites at both ends, which have all summers.
    fn told(&self, site: usize, of: impl Fn(&Valued, &Valued) -> f64) -> (f64, f64) {
        let values = self.series[site].values.iter().zip(&self.base);
        let own: Vec<f64> = values.map(|(with, without)| of(with, without)).collect();
        let counted = matches!(
            self.question.objective,
            Objective::Catch | Objective::Tolerance(_)
        );
        if counted {
            return (mean(&own), standard_error(&own).unwrap_or(f64::INFINITY));
        }
        if own.len() == self.base.len() {
            let got = self.adjusted(&own);
            return (got.mean, got.error);
        }
        let without: Vec<f64> = self.base.iter().map(|v| v.value).collect();
        let ends = self.ends.iter().filter(|&&i| i != site);
        let leaders: Vec<Vec<f64>> = ends.map(|&i| self.changes(i)).collect();
        let controls: Vec<Control> = leaders
            .iter()
            .chain([&without])
            .map(|values| {
                let got = self.adjusted(values);
                let ratio = got.error / got.plain_error.max(1e-12);
                Control {
                    values,
                    mean: got.mean,
                    better: ratio * ratio,
                }
            })
            .collect();
        regressed_mean(&own, &controls)
    }

    /// Mean of a number that all summers have, adjusted for their known biology once the search has ended.
    fn adjusted(&self, values: &[f64]) -> Adjusted {
        let known = self.known.as_ref();
        let plain = || Adjusted {
            mean: mean(values),
            error: standard_error(values).unwrap_or(f64::INFINITY),
            plain_mean: mean(values),
            plain_error: standard_error(values).unwrap_or(f64::INFINITY),
        };
        known.map_or_else(plain, |known| known.adjust(values))
    }

    /// Mean and standard error of one site's change against no trap.
    fn change(&self, site: usize) -> (f64, f64) {
        self.told(site, |with, without| with.value - without.value)
    }

    /// Mean and standard error of one site's values less another's, on the summers both have.
    fn paired(&self, site: usize, other: usize) -> (f64, f64) {
        let differences: Vec<f64> = self.series[site]
            .values
            .iter()
            .zip(&self.series[other].values)
            .map(|(a, b)| a.value - b.value)
            .collect();
        (
            mean(&differences),
            standard_error(&differences).unwrap_or(f64::INFINITY),
        )
    }

    /// The best of the sites with all summers (sign 1), or the worst (sign -1); the first of equals.
    fn extreme(&self, sign: f64) -> usize {
        let all = 0..self.sites.len();
        let full = all.filter(|&i| self.series[i].values.len() == self.base.len());
        let means = full.map(|i| (i, sign * mean(&self.changes(i))));
        let best = means.min_by(|a, b| a.1.total_cmp(&b.1));
        best.map_or(0, |(i, _)| i)
    }

    fn tie_band(&self) -> f64 {
        let base: Vec<f64> = self.base.iter().map(|v| v.value).collect();
        let (objective, scenario) = (self.question.objective, self.prepared.scenario);
        objective.tie_band(scenario, mean(&base))
    }

    /// Whether no share that decides the class of a site lies near an end of it, or is known to within `zone`.
    fn class_settled(&self, site: usize, zone: f64) -> bool {
        let (changes, band) = (self.changes(site), self.tie_band());
        let n = changes.len() as f64;
        let clear = |share: f64, end: f64| {
            let near = half_width(end, n);
            near <= zone || (share - end).abs() > near
        };
        let more = changes.iter().filter(|c| **c > band).count() as f64 / n;
        let less = changes.iter().filter(|c| **c < -band).count() as f64 / n;
        let (few, many) = (more.min(less), more.max(less));
        clear(1.0 - more - less, MOST)
            && clear(few, HARDLY_ANY)
            && (few < HARDLY_ANY || clear(many, MOST))
    }

    /// Drops the sites that need no more summers. Settled is the answer when the classes of the best spot and of all sites
    /// are; which of several good places is the best may stay a tie.
    fn settle(&mut self) -> bool {
        let ([best, worst], band) = (self.ends, self.tie_band());
        let mut settled = self.class_settled(best, ZONE);
        let mut order: Vec<(f64, usize)> = (0..self.sites.len())
            .filter(|&i| self.active[i])
            .map(|i| (mean(&self.changes(i)), i))
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let late = self.done() >= FEWEST;
        let in_running = |i: usize| !late || order.iter().take(FINALISTS).any(|o| o.1 == i);
        for i in 0..self.sites.len() {
            if !self.active[i] || i == best || i == worst {
                continue;
            }
            // Differences that cannot matter are as good as none.
            let apart = |(gap, se): (f64, f64), many: f64| {
                gap > many * se || gap.abs() + TIE_SE * se <= band.max(1e-9)
            };
            let class = self.class_settled(i, ZONE_ON_MAP);
            let alone = apart(self.paired(i, best), CLEARLY_WORSE_SE)
                && apart(self.paired(worst, i), TIE_SE);
            let done = class && (alone || !in_running(i));
            let done = done || self.series[i].values.len() >= MOST_FOR_MAP;
            // What is said of the asker's own spots is settled as that of the best.
            let said = late && self.class_settled(i, ZONE);
            self.active[i] = !(done && (said || self.sites[i].name.is_none()));
            settled &= class || done;
        }
        settled
    }

    fn results(&self) -> Vec<SiteOutcome> {
        let band = self.tie_band();
        (0..self.sites.len())
            .map(|i| self.site_outcome(i, band))
            .collect()
    }

    fn site_outcome(&self, index: usize, tie_band: f64) -> SiteOutcome {
        let site = &self.sites[index];
        let changes = self.changes(index);
        let values = &self.series[index].values;
        let n = values.len().max(1) as f64;
        let count = paired::count(&changes, tie_band);
        let share =
            |hit: &dyn Fn(f64) -> bool| changes.iter().filter(|c| hit(**c)).count() as f64 / n;
        let theirs: Option<Vec<f64>> = values
            .iter()
            .zip(&self.base)
            .map(|(with, without)| Some(with.theirs? - without.theirs?))
            .collect();
        let damage: Vec<f64> = self.base.iter().map(|v| v.damage).collect();
        let (change_mean, se) = self.change(index);
        SiteOutcome {
            name: site.name.clone(),
            x_m: site.at.x,
            y_m: site.at.y,
            change_mean,
            se: if se.is_finite() { se } else { 0.0 },
            counts: count.told(),
            zone: count.class().into(),
            more_share: share(&|c| c > tie_band),
            less_share: share(&|c| c < -tie_band),
            damage_mean: self.adjusted(&damage).mean
                + self
                    .told(index, |with, without| with.damage - without.damage)
                    .0,
            caught_mean: self.told(index, |with, _| with.caught as f64).0,
            catches_share: values.iter().filter(|v| v.caught > 0).count() as f64 / n,
            neighbour_change: theirs.map(|t| mean(&t)),
            summers: values.len(),
        }
    }

    /// Ranks sites, best first; those that cannot be told from the first of their group share its rank.
    fn ranked(&self, mut chosen: Vec<usize>) -> Vec<Ranked> {
        let means: Vec<f64> = (0..self.series.len()).map(|i| self.change(i).0).collect();
        chosen.sort_by(|&a, &b| means[a].total_cmp(&means[b]).then(a.cmp(&b)));
        let mut out: Vec<Ranked> = Vec::new();
        let mut leader = None;
        for (place, site) in chosen.into_iter().enumerate() {
            let tied = leader.is_some_and(|(first, _)| {
                let (worse, se) = self.paired(site, first);
                worse <= TIE_SE * se || worse.abs() < 1e-9
            });
            let rank = match leader {
                Some((_, rank)) if tied => rank,
                _ => {
                    leader = Some((site, place + 1));
                    place + 1
                }
            };
            out.push(Ranked {
                rank,
                site,
                tied: false,
                full_run: false,
            });
        }
        let ranks: Vec<usize> = out.iter().map(|r| r.rank).collect();
        for ranked in &mut out {
            ranked.tied = ranks.iter().filter(|r| **r == ranked.rank).count() > 1;
        }
        out
    }

    /// Up to three of the best places, some distance apart; none that is nearer to the worst than to the best.
    fn best(&self, results: &[SiteOutcome], worst: usize) -> Vec<Ranked> {
        let all = self.ranked((0..results.len()).collect());
        let change = |i: usize| results[i].change_mean;
        let mut best: Vec<usize> = Vec::new();
        for i in all.into_iter().map(|r| r.site) {
            let far =
                |&j: &usize| self.sites[i].at.distance(self.sites[j].at) >= self.question.apart_m;
            let good = |&first: &usize| {
                let worse = change(i) - change(first);
                worse <= self.tie_band() || worse <= 0.25 * (change(worst) - change(first))
            };
            if best.len() < 3 && best.iter().all(far) && best.first().is_none_or(good) {
                best.push(i);
            }
        }
        self.ranked(best)
    }

    fn worst(&self) -> usize {
        let means = (0..self.sites.len()).map(|i| self.change(i).0);
        let order = means
            .enumerate()
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        order.map_or(0, |(i, _)| i)
    }

    /// The result of the search; the verdict is still to be named.
    pub(super) fn outcome(&mut self, scenario: &Scenario) -> PlaceOutcome {
        if self.base.len() >= covariate::FEWEST {
            let known = Known::new(self.prepared.scenario);
            let rows: Vec<Vec<f64>> = (0..self.done()).map(|summer| known.of(summer)).collect();
            self.known = Some(Covariates::new(&rows, &known.moments(), None));
        }
        let objective = self.question.objective;
        let base: Vec<f64> = self.base.iter().map(|v| v.value).collect();
        let damage: Vec<f64> = self.base.iter().map(|v| v.damage).collect();
        let results = self.results();
        let worst = self.worst();
        let named = |i: &usize| self.sites[*i].name.is_some();
        let spots: Vec<usize> = (0..self.sites.len()).filter(named).collect();
        let map = zone_map(scenario, &self.question.limits, &self.near, &results);
        let zone_shares = map.as_ref().map_or([0.0; 4], shares);
        PlaceOutcome {
            format: 2,
            scenario: scenario.name.clone(),
            objective: objective.name(),
            unit: objective.unit(scenario),
            seed: scenario.settings.seed,
            summers: self.base.len(),
            summers_asked: self.base.len(),
            settled: false,
            stopped_early: false,
            against: if self.slot.base.traps.is_empty() {
                Against::NoTrap
            } else {
                Against::NeighborsTrap
            },
            base_mean: self.adjusted(&base).mean,
            damage_without: self.adjusted(&damage).mean,
            tie_band: self.tie_band(),
            verdict: Verdict::TooCloseToCall,
            best: self.best(&results, worst),
            worst,
            neighbour_change: None,
            spots: self.ranked(spots),
            sites: results,
            map,
            zone_shares,
            sweeps: Vec::new(),
            lived_again: self.lived_again,
            notes: Vec::new(),
        }
    }

    /// Where one day acts on the next, the finalists are run in full and their counts replaced.
    pub(super) fn full_runs(
        &self,
        outcome: &mut PlaceOutcome,
        watch: &dyn Watch,
    ) -> Result<(), PlaceRefusal> {
        let finalists: Vec<usize> = {
            let mut all: Vec<usize> = outcome
                .best
                .iter()
                .chain(&outcome.spots)
                .map(|r| r.site)
                .collect();
            all.sort_unstable();
            all.dedup();
            all
        };
        let prepared = self.prepared;
        let every_day = prepared.mating || prepared.scenario.chewed_leaves_call;
        let needed = |i: usize| every_day || self.series[i].filled;
        if !finalists.iter().any(|&i| needed(i)) {
            if self.series.iter().any(|s| s.filled) {
                outcome.notes.push(Note::FillsElsewhere);
            }
            return Ok(());
        }
        let (slot, objective) = (self.slot, self.question.objective);
        let scenario = prepared.scenario;
        let tag = slot.base.traps.len();
        let with: Vec<Plan> = finalists
            .iter()
            .map(|&i| slot.plan_at(Point::new(outcome.sites[i].x_m, outcome.sites[i].y_m)))
            .collect();
        let one = |summer: u32| {
            let ground = Ground::for_summer(scenario, summer);
            let value = |plan: &Plan, own: bool| {
                let (tally, which) = plan_summer(prepared, &ground, plan, None);
                let lure = which.iter().position(|&w| own && w == tag);
                objective.value(scenario, &ground, &tally, lure)
            };
            let without = value(&slot.base, false);
            (
                without,
                with.iter().map(|p| value(p, true)).collect::<Vec<_>>(),
            )
        };
        if matches!(objective, Objective::People(_)) {
            let note = if every_day {
                Note::DaysLeftOut
            } else {
                Note::FillingLeftOut
            };
            outcome.notes.push(note);
            return Ok(());
        }
        let mut full = Rounds {
            sites: finalists.iter().map(|&i| self.sites[i].clone()).collect(),
            base: Vec::new(),
            series: vec![Series::default(); finalists.len()],
            active: Vec::new(),
            known: None,
            ..self.clone()
        };
        each_shared(
            (0..self.base.len() as u32, Size::Plans),
            watch,
            one,
            |_, (without, values)| {
                full.base.push(without);
                for (series, value) in full.series.iter_mut().zip(values) {
                    series.values.push(value);
                }
            },
        )?;
        for (k, &i) in finalists.iter().enumerate() {
            outcome.sites[i] = full.site_outcome(k, outcome.tie_band);
        }
        // The lists stand beside the yard without the trap, so that is told from the same full runs.
        let mean_of =
            |f: &dyn Fn(&Valued) -> f64| mean(&full.base.iter().map(f).collect::<Vec<_>>());
        outcome.base_mean = mean_of(&|v| v.value);
        outcome.damage_without = mean_of(&|v| v.damage);
        let index = |r: &Ranked| finalists.iter().position(|&i| i == r.site).unwrap_or(0);
        for list in [&mut outcome.best, &mut outcome.spots] {
            let mut again = full.ranked(list.iter().map(index).collect());
            for ranked in &mut again {
                ranked.site = finalists[ranked.site];
                ranked.full_run = true;
            }
            *list = again;
        }
        outcome.notes.push(Note::ListsInFull);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_all_known_at_the_look_made_for_that_and_not_before() {
        let known = |n: u32| half_width(MOST, f64::from(n)) <= ZONE;
        assert!(known(ALL_KNOWN) && !known(ALL_KNOWN - 1));
    }
}
