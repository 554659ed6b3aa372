//! The search: all sites on the same summers, the clearly worse ones dropped, the rest ranked and mapped.

use crate::engine::ensemble::{Watch, each_summer};
use crate::engine::ground::Ground;
use crate::engine::lure::LureSite;
use crate::geometry::Point;
use crate::placement::delta::{DeltaSummer, SiteTally, delta_part};
use crate::placement::kriging::Surface;
use crate::placement::objective::{Objective, Valued};
use crate::placement::outcome::{PlaceOutcome, Ranked, SiteOutcome, Verdict, Zone, ZoneMap};
use crate::placement::site::{Limits, Site, candidates, may_hang};
use crate::placement::sweep;
use crate::scenario::{Plan, Scenario, Trap};
use crate::stats::paired;
use crate::stats::spread::{mean, standard_error};
use crate::tally::prepare::{Prepared, Refusal, prepare};
use crate::tally::run::plan_summer;

/// What is asked of a search.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// What counts.
    pub objective: Objective,
    /// Where a trap may hang.
    pub limits: Limits,
    /// Least distance between the best spots that are named, metres.
    pub apart_m: f64,
    /// Sweeps asked for, by name.
    pub sweeps: Vec<&'static str>,
}

/// Why a search cannot be done.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlaceRefusal {
    /// The scenario cannot be run, or the user stopped it.
    #[error(transparent)]
    Run(#[from] Refusal),
    /// The question has no answer.
    #[error("{0}")]
    Question(String),
}

impl From<crate::engine::ensemble::Stopped> for PlaceRefusal {
    fn from(stopped: crate::engine::ensemble::Stopped) -> Self {
        PlaceRefusal::Run(stopped.into())
    }
}

/// Summers between two looks at the sites.
pub const ROUND: u32 = 20;
/// Earlier looks, so that a budget of seconds can end sooner. They change no result: nothing is dropped before
/// [`BEFORE_DROPPING`].
const FIRST_LOOKS: [u32; 2] = [4, 12];
/// Every site gets this many summers before any is dropped.
pub const BEFORE_DROPPING: usize = 40;
/// A site is dropped when it is worse than the best by this many standard errors of their paired difference, and when
/// its own change is as far from nothing, so that its zone on the map is settled too.
const CLEARLY_WORSE_SE: f64 = 4.0;
/// Sites closer than this many standard errors of their paired difference share a rank.
const TIE_SE: f64 = 2.0;
/// Summers of 20 for a zone or a verdict.
const MOST_OF_20: usize = 15;

/// The trap to place and what hangs already.
pub struct Slot {
    /// Traps that stay where they are (the neighbours').
    pub base: Plan,
    /// The trap, wherever it hangs in the scenario.
    pub trap: Trap,
}

impl Slot {
    /// The first trap of the asker in any plan.
    ///
    /// # Errors
    /// When no plan hangs one.
    pub fn of(scenario: &Scenario) -> Result<Slot, PlaceRefusal> {
        let mut own = scenario.plans.iter().flat_map(|p| &p.traps);
        let trap = own.find(|t| !t.neighbours).cloned().ok_or_else(|| {
            PlaceRefusal::Question(
                "plans: no plan hangs a trap of yours, so the kind of trap and lure is not known; add a plan with a trap"
                    .into(),
            )
        })?;
        let theirs = scenario
            .plans
            .iter()
            .find(|p| p.traps.iter().any(|t| t.neighbours));
        let base = Plan {
            name: "no trap of yours".into(),
            traps: theirs
                .map(|p| p.traps.iter().filter(|t| t.neighbours).cloned().collect())
                .unwrap_or_default(),
            ..Plan::default()
        };
        Ok(Slot { base, trap })
    }

    /// The traps that stay, as lures of a summer.
    pub fn base_lures(&self, ground: &Ground) -> Vec<LureSite> {
        let lures = ground.lures_of(&self.base);
        lures.into_iter().map(|(_, site)| site).collect()
    }

    /// The trap at places, as lures of a summer.
    pub fn lures_at(&self, ground: &Ground, places: &[Point], tag: u32) -> Vec<LureSite> {
        let template = ground.lure_site(&self.trap, tag);
        places
            .iter()
            .map(|&at| LureSite {
                at,
                near_plants: ground.plants_within(at, template.arrestment_m),
                ..template.clone()
            })
            .collect()
    }

    /// The base plan and the trap at a place.
    pub fn plan_at(&self, at: Point) -> Plan {
        let mut traps = self.base.traps.clone();
        traps.push(Trap {
            at,
            ..self.trap.clone()
        });
        Plan {
            name: "with the trap".into(),
            traps,
            ..Plan::default()
        }
    }
}

/// The scenario with the land stretched so that places outside the yard have a full margin round them.
pub fn with_land_for(scenario: &Scenario, slot: &Slot, places: &[Point]) -> Scenario {
    let mut wide = scenario.clone();
    let outside = places.iter().filter(|p| !scenario.yard.contains(**p));
    let traps: Vec<Trap> = outside
        .map(|&at| Trap {
            at,
            ..slot.trap.clone()
        })
        .collect();
    if !traps.is_empty() {
        wide.plans.push(Plan {
            name: "places outside the yard".into(),
            traps,
            ..Plan::default()
        });
    }
    wide
}

/// All summers of one site.
#[derive(Clone, Debug, Default)]
struct Series {
    values: Vec<Valued>,
    filled: bool,
}

/// Searches the yard.
///
/// `enough` is asked between rounds of summers whether to stop early (for a budget of seconds).
///
/// # Errors
/// [`PlaceRefusal`] when nothing can be placed, the scenario cannot be run, or the user stops.
pub fn place(
    scenario: &Scenario,
    question: &Question,
    watch: &dyn Watch,
    enough: &dyn Fn() -> bool,
) -> Result<PlaceOutcome, PlaceRefusal> {
    let slot = Slot::of(scenario)?;
    let sites = candidates(scenario, &question.limits).map_err(PlaceRefusal::Question)?;
    let places: Vec<Point> = sites.iter().map(|s| s.at).collect();
    let wide = with_land_for(scenario, &slot, &places);
    let prepared = prepare(&wide, watch)?;
    let mut work = Work {
        prepared: &prepared,
        slot: &slot,
        question,
        base: Vec::new(),
        series: vec![Series::default(); sites.len()],
        active: vec![true; sites.len()],
        lived_again: 0,
    };
    let asked = scenario.settings.summers;
    let mut done = 0;
    while done < asked {
        let next = asked.min(next_look(done));
        work.round(&sites, done..next, watch)?;
        done = next;
        work.drop_worse(&sites);
        if enough() {
            break;
        }
    }
    let mut outcome = work.outcome(scenario, &sites);
    outcome.summers_asked = asked as usize;
    work.full_runs(&mut outcome, watch)?;
    name_verdict(&mut outcome, question.objective);
    let watched = (watch, enough);
    outcome.sweeps = sweep::all(scenario, &prepared, &slot, question, &outcome, watched)?;
    outcome.stopped_early = done < asked || outcome.sweeps.len() < question.sweeps.len();
    if outcome.sweeps.len() < question.sweeps.len() {
        let done = |name: &&str| outcome.sweeps.iter().all(|s| s.name != *name);
        let left: Vec<&str> = question.sweeps.iter().copied().filter(done).collect();
        outcome.notes.push(format!(
            "The time given ran out before this was varied: {}. Give more --seconds, or leave them out.",
            left.join(", ")
        ));
    }
    Ok(outcome)
}

/// Number of summers at the look after `done` of them.
fn next_look(done: u32) -> u32 {
    FIRST_LOOKS
        .into_iter()
        .find(|&look| done < look)
        .unwrap_or((done / ROUND + 1) * ROUND)
}

/// Parts of a summer that threads may work on side by side.
const PARTS: u32 = 4;

/// Asks the watch whether to stop; progress is told by the summer, not by its parts.
struct Parts<'a>(&'a dyn Watch);

impl Watch for Parts<'_> {
    fn stopped(&self) -> bool {
        self.0.stopped()
    }
}

struct Work<'a> {
    prepared: &'a Prepared<'a>,
    slot: &'a Slot,
    question: &'a Question,
    base: Vec<Valued>,
    series: Vec<Series>,
    active: Vec<bool>,
    lived_again: u64,
}

impl Work<'_> {
    fn round(
        &mut self,
        sites: &[Site],
        summers: std::ops::Range<u32>,
        watch: &dyn Watch,
    ) -> Result<(), PlaceRefusal> {
        let chosen: Vec<usize> = (0..sites.len()).filter(|&i| self.active[i]).collect();
        let places: Vec<Point> = chosen.iter().map(|&i| sites[i].at).collect();
        let (prepared, slot, objective) = (self.prepared, self.slot, self.question.objective);
        let scenario = prepared.scenario;
        // A summer is cut into parts, since some hold ten times the insects of others.
        let one = |unit: u32| {
            let ground = Ground::for_summer(scenario, unit / PARTS);
            let arrivals = prepared.arrivals(&ground);
            let base = slot.base_lures(&ground);
            let tag = slot.base.traps.len() as u32;
            let lures = slot.lures_at(&ground, &places, tag);
            let watched = objective.watched(scenario, &ground);
            let part = (unit % PARTS, PARTS);
            delta_part(&ground, &arrivals, &base, &lures, &watched, part)
        };
        let (base, series, lived_again) = (&mut self.base, &mut self.series, &mut self.lived_again);
        let mut whole: Option<DeltaSummer> = None;
        let units = summers.start * PARTS..summers.end * PARTS;
        each_summer(units, &Parts(watch), one, |unit, part| {
            match &mut whole {
                None => whole = Some(part),
                Some(whole) => whole.add(&part),
            }
            if unit % PARTS + 1 < PARTS {
                return;
            }
            let Some(counts) = whole.take() else { return };
            watch.advance(1);
            let ground = Ground::for_summer(scenario, unit / PARTS);
            let (_, _, rules) = prepared.lures(&ground, &slot.plan_at(Point::default()));
            let value = |tally: &SiteTally, lure| objective.value(scenario, &ground, tally, lure);
            base.push(value(&counts.base, None));
            *lived_again += counts.lived_again;
            for (&i, tally) in chosen.iter().zip(&counts.sites) {
                let lure = tally.summer.caught.len() - 1;
                series[i].values.push(value(tally, Some(lure)));
                series[i].filled |= rules.would_fill(&tally.summer.caught_by_day);
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

    fn best_of(&self, chosen: &[usize]) -> Option<usize> {
        let means: Vec<(usize, f64)> = chosen
            .iter()
            .map(|&i| (i, mean(&self.changes(i))))
            .collect();
        means
            .into_iter()
            .min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)))
            .map(|(i, _)| i)
    }

    /// Drops grid sites that are clearly worse than the best; the asker's own spots always stay.
    fn drop_worse(&mut self, sites: &[Site]) {
        if self.base.len() < BEFORE_DROPPING {
            return;
        }
        let alive: Vec<usize> = (0..sites.len()).filter(|&i| self.active[i]).collect();
        let Some(best) = self.best_of(&alive) else {
            return;
        };
        for i in alive {
            let (worse, se) = self.paired(i, best);
            let changes = self.changes(i);
            let settled = standard_error(&changes)
                .is_some_and(|se| mean(&changes).abs() > CLEARLY_WORSE_SE * se);
            let behind = i != best && worse > CLEARLY_WORSE_SE * se;
            if sites[i].name.is_none() && behind && settled {
                self.active[i] = false;
            }
        }
    }

    fn site_outcome(&self, site: &Site, index: usize, tie_band: f64) -> SiteOutcome {
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
        let part = |f: &dyn Fn(&Valued) -> f64| values.iter().map(f).sum::<f64>() / n;
        SiteOutcome {
            name: site.name.clone(),
            x_m: site.at.x,
            y_m: site.at.y,
            change_mean: mean(&changes),
            se: standard_error(&changes).unwrap_or(0.0),
            more: count.more,
            same: count.no_change,
            less: count.less,
            more_share: share(&|c| c > tie_band),
            less_share: share(&|c| c < -tie_band),
            damage_mean: part(&|v| v.damage),
            caught_mean: part(&|v| v.caught as f64),
            catches_share: part(&|v| f64::from(u8::from(v.caught > 0))),
            neighbour_change: theirs.map(|t| mean(&t)),
            summers: values.len(),
        }
    }

    /// Ranks sites, best first; those that cannot be told from the first of their group share its rank.
    fn ranked(&self, mut chosen: Vec<usize>) -> Vec<Ranked> {
        let means: Vec<f64> = (0..self.series.len())
            .map(|i| mean(&self.changes(i)))
            .collect();
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

    fn outcome(&self, scenario: &Scenario, sites: &[Site]) -> PlaceOutcome {
        let objective = self.question.objective;
        let base: Vec<f64> = self.base.iter().map(|v| v.value).collect();
        let damage: Vec<f64> = self.base.iter().map(|v| v.damage).collect();
        let tie_band = objective.tie_band(scenario, mean(&base));
        let results: Vec<SiteOutcome> = sites
            .iter()
            .enumerate()
            .map(|(i, site)| self.site_outcome(site, i, tie_band))
            .collect();
        let in_running: Vec<usize> = (0..sites.len()).filter(|&i| self.active[i]).collect();
        let order = self.ranked(in_running).into_iter().map(|r| r.site);
        let mut best: Vec<usize> = Vec::new();
        for i in order {
            let far = |&j: &usize| sites[i].at.distance(sites[j].at) >= self.question.apart_m;
            if best.len() < 3 && best.iter().all(far) {
                best.push(i);
            }
        }
        let worst = (0..results.len())
            .max_by(|&a, &b| {
                let (x, y) = (results[a].change_mean, results[b].change_mean);
                x.total_cmp(&y).then(b.cmp(&a))
            })
            .unwrap_or(0);
        let spots: Vec<usize> = (0..sites.len())
            .filter(|&i| sites[i].name.is_some())
            .collect();
        let map = zone_map(scenario, &self.question.limits, sites, &results);
        let zone_shares = map.as_ref().map_or([0.0; 3], shares);
        PlaceOutcome {
            format: 1,
            scenario: scenario.name.clone(),
            objective: objective.name(),
            unit: objective.unit(scenario),
            seed: scenario.settings.seed,
            summers: self.base.len(),
            summers_asked: self.base.len(),
            stopped_early: false,
            against: if self.slot.base.traps.is_empty() {
                "no trap".into()
            } else {
                "the neighbor's trap alone".into()
            },
            base_mean: mean(&base),
            damage_without: mean(&damage),
            tie_band,
            verdict: Verdict::TooCloseToCall,
            best: self.ranked(best),
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
    fn full_runs(&self, outcome: &mut PlaceOutcome, watch: &dyn Watch) -> Result<(), PlaceRefusal> {
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
                outcome.notes.push(
                    "At some sites the trap would fill up between visits. The map leaves that out; no site on the \
                     list fills."
                        .into(),
                );
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
                let tally = SiteTally {
                    summer: tally,
                    passes: 0,
                };
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
                "One day acts on the next here (mating, or chewed leaves that call more). The counts leave that out."
            } else {
                "The trap would fill up between visits. The counts leave that out; empty it more often."
            };
            outcome.notes.push(note.into());
            return Ok(());
        }
        let mut full = Work {
            prepared,
            slot,
            question: self.question,
            base: Vec::new(),
            series: vec![Series::default(); finalists.len()],
            active: Vec::new(),
            lived_again: 0,
        };
        each_summer(
            0..self.base.len() as u32,
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
            let site = Site {
                at: Point::new(outcome.sites[i].x_m, outcome.sites[i].y_m),
                name: outcome.sites[i].name.clone(),
            };
            outcome.sites[i] = full.site_outcome(&site, k, outcome.tie_band);
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
        outcome.notes.push(
            "One day acts on the next here (a trap that fills, mating, or chewed leaves that call more). The map leaves that out. The spots on the \
             lists were run in full."
                .into(),
        );
        Ok(())
    }
}

fn name_verdict(outcome: &mut PlaceOutcome, objective: Objective) {
    let Some(best) = outcome.best.first().map(|r| &outcome.sites[r.site]) else {
        return;
    };
    outcome.neighbour_change = best.neighbour_change;
    outcome.verdict = if objective == Objective::Catch {
        Verdict::RankedForCatch
    } else if best.less >= MOST_OF_20 {
        Verdict::SpotBeatsNoTrap
    } else if best.change_mean + TIE_SE * best.se < 0.0 && best.less > best.more {
        Verdict::TooCloseToCall
    } else {
        Verdict::NoSpotBeatsNoTrap
    };
}

fn shares(map: &ZoneMap) -> [f64; 3] {
    let open = map
        .zone
        .iter()
        .filter(|z| **z != Zone::Closed)
        .count()
        .max(1) as f64;
    [Zone::Lowers, Zone::EitherWay, Zone::Raises]
        .map(|zone| map.zone.iter().filter(|z| **z == zone).count() as f64 / open)
}

/// Cells of the map at most, in a side.
const MOST_CELLS: f64 = 90.0;

/// The map by kriging. A zone needs 15 of 20 summers *and* a mean change beyond two standard errors of the surface.
pub fn zone_map(
    scenario: &Scenario,
    limits: &Limits,
    sites: &[Site],
    results: &[SiteOutcome],
) -> Option<ZoneMap> {
    if sites.len() < 6 {
        return None;
    }
    let places: Vec<Point> = sites.iter().map(|s| s.at).collect();
    let field = |f: &dyn Fn(&SiteOutcome) -> (f64, f64)| {
        let (values, variances): (Vec<f64>, Vec<f64>) = results.iter().map(f).unzip();
        Surface::fitted(&places, &values, &variances)
    };
    let change = field(&|r| (r.change_mean, r.se * r.se))?;
    let binomial = |p: f64, n: usize| {
        // The Agresti-Coull centre keeps the error of 0 and 1 above nothing.
        let q = (p * n as f64 + 2.0) / (n as f64 + 4.0);
        q * (1.0 - q) / (n as f64 + 4.0)
    };
    let more = field(&|r| (r.more_share, binomial(r.more_share, r.summers)))?;
    let less = field(&|r| (r.less_share, binomial(r.less_share, r.summers)))?;
    let area = scenario.yard.grown(limits.outside_m);
    let cell_m = (area.width().max(area.height()) / MOST_CELLS).max(0.1);
    let columns = (area.width() / cell_m).ceil() as usize;
    let rows = (area.height() / cell_m).ceil() as usize;
    let covariance = change.covariance();
    let mut map = ZoneMap {
        x0_m: area.x0,
        y0_m: area.y0,
        cell_m,
        columns,
        rows,
        change: Vec::with_capacity(columns * rows),
        se: Vec::with_capacity(columns * rows),
        zone: Vec::with_capacity(columns * rows),
        kernel: covariance.kernel.name(),
        sill: covariance.sill,
        length_m: covariance.length_m,
    };
    let enough = MOST_OF_20 as f64 / 20.0;
    for row in 0..rows {
        for column in 0..columns {
            let at = Point::new(
                area.x0 + (column as f64 + 0.5) * cell_m,
                area.y0 + (row as f64 + 0.5) * cell_m,
            );
            let here = change.predict(at);
            map.change.push(here.value);
            map.se.push(here.se);
            map.zone.push(if !may_hang(scenario, at, limits) {
                Zone::Closed
            } else if less.value(at) >= enough && here.value + TIE_SE * here.se < 0.0 {
                Zone::Lowers
            } else if more.value(at) >= enough && here.value - TIE_SE * here.se > 0.0 {
                Zone::Raises
            } else {
                Zone::EitherWay
            });
        }
    }
    Some(map)
}
