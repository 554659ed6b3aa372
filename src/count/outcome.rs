//! Results of a run, as plain data: what figures, reports and comparisons read. Nothing here computes.

use crate::count::one_summer::OneSummer;
pub use crate::engine::event::MatingAccount;
use crate::stats::covariate::Adjusted;
use crate::stats::settle::{FEWEST, mean_settled};
use crate::stats::words::Settled;
use serde::{Deserialize, Serialize};

/// Integer account of all insects of a plan, summed over summers.
///
/// Always `initial + entered = caught + killed + removed + died + left + alive`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct InsectAccount {
    /// In the arena when the window opened.
    pub initial: u64,
    /// Came in over the boundary, emerged, or came from a source.
    pub entered: u64,
    /// Kept by a trap.
    pub caught: u64,
    /// Killed by another method.
    pub killed: u64,
    /// Removed by hand.
    pub removed: u64,
    /// Died a natural death.
    pub died: u64,
    /// Left across the outer edge.
    pub left: u64,
    /// Still alive at the end of the window.
    pub alive: u64,
}

impl InsectAccount {
    /// Whether the account balances.
    pub fn balances(&self) -> bool {
        self.initial + self.entered
            == self.caught + self.killed + self.removed + self.died + self.left + self.alive
    }

    /// Adds another account to this one.
    pub fn add(&mut self, other: &InsectAccount) {
        self.merge(other, &|own, more| *own += more);
    }

    /// Merges every number with that of another account.
    pub fn merge(&mut self, other: &InsectAccount, with: &impl Fn(&mut u64, u64)) {
        with(&mut self.initial, other.initial);
        with(&mut self.entered, other.entered);
        with(&mut self.caught, other.caught);
        with(&mut self.killed, other.killed);
        with(&mut self.removed, other.removed);
        with(&mut self.died, other.died);
        with(&mut self.left, other.left);
        with(&mut self.alive, other.alive);
    }
}

/// What became of the insects that answered a lure, summed over summers and traps.
///
/// Each answer ends in exactly one way, so `answered` is the sum of the others.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct AnswerAccount {
    /// Answers to a lure (an insect may answer more than once).
    pub answered: u64,
    /// Kept by the trap.
    pub caught: u64,
    /// Landed on a plant on the way or in the search that followed.
    pub landed_on_plant: u64,
    /// Lost the odour, or gave up the search, without touching a plant.
    pub went_away: u64,
    /// Died, left the arena or ran into the end of the window before any of these.
    pub unfinished: u64,
}

impl AnswerAccount {
    /// Adds another account to this one.
    pub fn add(&mut self, other: &AnswerAccount) {
        self.merge(other, &|own, more| *own += more);
    }

    /// Merges every number with that of another account.
    pub fn merge(&mut self, other: &AnswerAccount, with: &impl Fn(&mut u64, u64)) {
        with(&mut self.answered, other.answered);
        with(&mut self.caught, other.caught);
        with(&mut self.landed_on_plant, other.landed_on_plant);
        with(&mut self.went_away, other.went_away);
        with(&mut self.unfinished, other.unfinished);
    }
}

/// A map on the yard's grid: row-major from the south-west corner, mean per summer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GridMap {
    /// Cell size, metres.
    pub cell_m: f64,
    /// Columns (west to east).
    pub columns: usize,
    /// Rows (south to north).
    pub rows: usize,
    /// One value a cell, `rows * columns`.
    pub values: Vec<f64>,
}

/// Damage and feeding in a ring around the trap.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ring {
    /// Inner radius, metres.
    pub from_m: f64,
    /// Outer radius, metres.
    pub to_m: f64,
    /// Plants whose stem lies in the ring (all owners).
    pub n_plants: usize,
    /// Mean damage of those plants under this plan, of 100; `None` when there are none.
    pub damage: Option<f64>,
    /// The same plants under the first plan (no trap).
    pub damage_without: Option<f64>,
}

/// Result of one plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlanOutcome {
    /// Plan name.
    pub name: String,
    /// Worth-weighted damage of the asker's plants for each summer, of 100.
    pub damage_by_summer: Vec<f64>,
    /// Its mean with its error.
    pub damage: Adjusted,
    /// Mean change against the first plan with its error; 0 for the first plan itself.
    pub change: Adjusted,
    /// The word for the change, and whether more summers could still move it.
    pub word: Settled,
    /// Mean leaf area eaten from the asker's plants, of 100; `None` where fruit is counted.
    pub eaten: Option<f64>,
    /// Mean damage of each plant, of 100, in the order of the scenario's plants.
    pub plant_damage: Vec<f64>,
    /// Mean insect-hours on each plant and summer.
    pub plant_feeding_h: Vec<f64>,
    /// Mean damage of each crop, of 100.
    pub crop_damage: Vec<f64>,
    /// Mean damage of each neighbour's plot, of 100; `None` where nothing grows.
    pub plot_damage: Vec<Option<f64>>,
    /// Insects caught in each summer (all traps of the asker).
    pub caught_by_summer: Vec<u64>,
    /// Mean catch of each trap and summer.
    pub trap_catch: Vec<f64>,
    /// Mean share of females in the catch; `None` when nothing was caught.
    pub female_share_of_catch: Option<f64>,
    /// Account of all insects.
    pub insects: InsectAccount,
    /// Account of all answers to lures.
    pub answers: AnswerAccount,
    /// Flights passing over each cell, per summer.
    pub visits: GridMap,
    /// Insect-hours spent feeding in each cell, per summer.
    pub feeding: GridMap,
    /// Rings around the first trap of the plan (around the first trap of any plan when it has none); empty without traps.
    pub rings: Vec<Ring>,
    /// Damage of each plant, of 100, in the four single summers that are shown beside a mean map:
    /// those nearest the 1/8, 3/8, 5/8 and 7/8 quantile of the first plan's damage.
    pub single_summers: Vec<SingleSummer>,
}

/// One summer shown beside the mean.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SingleSummer {
    /// Number of the summer, from 0.
    pub summer: u32,
    /// Damage of each plant, of 100.
    pub plant_damage: Vec<f64>,
}

/// Result of a run over all plans, on the same summers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunOutcome {
    /// Seed.
    pub seed: u64,
    /// Summers simulated.
    pub summers: u32,
    /// Most summers that were allowed.
    pub most: u32,
    /// Whether the words and the means that are printed would hold if summers were added.
    pub settled: bool,
    /// One entry a plan.
    pub plans: Vec<PlanOutcome>,
    /// Some days of a middling summer with and without each plan that an insect can meet, in the order of the plans.
    pub one_summers: Vec<OneSummer>,
    /// Mean number of flight segments simulated for a summer and plan (work, not time).
    pub segments_per_summer: f64,
    /// Doubts, each naming its remedy.
    pub warnings: Vec<String>,
}

/// How far a run can be relied on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// More summers would leave words and means as they are.
    Settled,
    /// Fewer summers than the answer needs, since no more were asked for.
    Preview,
    /// As many summers as were allowed, and still not enough.
    Open,
}

impl PlanOutcome {
    /// Whether its word and means would hold if summers were added.
    pub fn settled(&self) -> bool {
        self.word.settled && mean_settled(&self.change) && mean_settled(&self.damage)
    }
}

impl RunOutcome {
    /// How far the run can be relied on; the same for the same summers, however their number came about.
    pub fn standing(&self) -> Standing {
        match self.settled {
            true if self.summers >= FEWEST => Standing::Settled,
            false if self.summers >= self.most.max(FEWEST) => Standing::Open,
            _ => Standing::Preview,
        }
    }
}
