//! The search: sites on the same summers in rounds, until the answer is settled; then the map and the lists.

use crate::count::prepare::{Refusal, prepare};
use crate::engine::ensemble::Watch;
use crate::engine::ground::Ground;
use crate::engine::lure::LureSite;
use crate::geometry::Point;
use crate::placement::finding::Note;
use crate::placement::objective::Objective;
use crate::placement::outcome::{PlaceOutcome, SiteOutcome, ZoneMap};
use crate::placement::rounds::Rounds;
use crate::placement::site::{Limits, candidates};
use crate::placement::sweep;
use crate::say::say;
use crate::scenario::{Plan, Scenario, Trap};
use crate::stats::settle::{FEWEST, MOST};

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
    /// Neighbours' traps of the file's plans hang all the time.
    pub neighbors_traps: bool,
    /// Take the scenario's number of summers, neither fewer nor more.
    pub all_summers: bool,
}

/// What is known after a round of summers.
pub struct Look<'a> {
    /// Summers done.
    pub summers: usize,
    /// Best place so far.
    pub best: Point,
    /// Its name, where it is the asker's.
    pub name: Option<&'a str>,
    /// Its change against no trap.
    pub change: f64,
    pub(super) rounds: &'a Rounds<'a>,
}

impl Look<'_> {
    /// All sites so far, and the map between them.
    pub fn map(&self, scenario: &Scenario) -> (Vec<SiteOutcome>, Option<ZoneMap>) {
        self.rounds.map(scenario)
    }
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

/// The trap to place and what hangs already.
pub struct Slot {
    /// Traps that stay where they are (the neighbours').
    pub base: Plan,
    /// The trap, wherever it hangs in the scenario.
    pub trap: Trap,
}

impl Slot {
    /// The first trap of the asker in any plan, in a yard without any other.
    ///
    /// # Errors
    /// When no plan hangs one.
    pub fn of(scenario: &Scenario) -> Result<Slot, PlaceRefusal> {
        let mut slot = Slot::beside_neighbors(scenario)?;
        slot.base.traps.clear();
        Ok(slot)
    }

    /// As [`Slot::of`], beside the neighbours' traps of the first plan that hangs some.
    ///
    /// # Errors
    /// As there.
    pub fn beside_neighbors(scenario: &Scenario) -> Result<Slot, PlaceRefusal> {
        let mut own = scenario.plans.iter().flat_map(Plan::own_traps);
        let trap = own
            .next()
            .cloned()
            .ok_or_else(|| PlaceRefusal::Question(say!("place.fault.no-trap")))?;
        let theirs = scenario
            .plans
            .iter()
            .find(|p| p.traps.iter().any(|t| t.neighbours));
        let base = Plan {
            name: "theirs".into(),
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
                near_plants: ground.plants_near(at),
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
            name: "with".into(),
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
            name: "outside".into(),
            traps,
            ..Plan::default()
        });
    }
    wide
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
    enough: &dyn Fn(&Look) -> bool,
) -> Result<PlaceOutcome, PlaceRefusal> {
    let slot = if question.neighbors_traps {
        Slot::beside_neighbors(scenario)?
    } else {
        Slot::of(scenario)?
    };
    let near = question.objective.near(scenario);
    let (sites, spread) =
        candidates(scenario, &question.limits, &near).map_err(PlaceRefusal::Question)?;
    let area = scenario.yard.grown(question.limits.outside_m);
    let corners = [Point::new(area.x0, area.y0), Point::new(area.x1, area.y1)];
    let wide = with_land_for(scenario, &slot, &corners);
    let prepared = prepare(&wide, watch)?;
    let mut rounds = Rounds::new(&prepared, &slot, question, near, (sites, spread));
    let most = scenario.settings.summers;
    let asked = if question.all_summers {
        most
    } else {
        most.clamp(FEWEST, MOST)
    };
    let (mut out_of_time, mut settled) = (false, false);
    while rounds.done() < asked && !out_of_time && (question.all_summers || !settled) {
        settled = rounds.next(asked, watch)?;
        out_of_time = enough(&rounds.look());
    }
    let mut outcome = rounds.outcome(scenario);
    outcome.settled = settled;
    outcome.stopped_early = rounds.done() < asked && !settled;
    if outcome.stopped_early {
        outcome.summers_asked = asked as usize;
    }
    rounds.full_runs(&mut outcome, watch)?;
    outcome.judge();
    let hung = scenario
        .plans
        .iter()
        .any(|p| p.traps.iter().any(|t| t.neighbours));
    if hung && !question.neighbors_traps {
        outcome.notes.push(Note::NeighborLeftOut);
    }
    let look = rounds.look();
    let enough = || out_of_time || enough(&look);
    let watched: (&dyn Watch, &dyn Fn() -> bool) = (watch, &enough);
    outcome.sweeps = sweep::all(scenario, &prepared, &slot, question, &outcome, watched)?;
    if outcome.sweeps.len() < question.sweeps.len() {
        outcome.stopped_early = true;
        let done = |name: &&str| outcome.sweeps.iter().all(|s| s.name != *name);
        let left = question.sweeps.iter().copied().filter(done).collect();
        outcome.notes.push(Note::NotVaried(left));
    }
    Ok(outcome)
}
