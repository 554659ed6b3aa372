//! The paths of the first days of one typical summer, with and without a plan: the same arriving insects twice, for
//! pictures that move.
//!
//! The days are lived insect by insect exactly as a run lives them. Where one day may act on the next (full traps, mating,
//! crawlers that go home), only one day is kept, within which no such rule can act.

use crate::count::prepare::Prepared;
use crate::engine::arrival::Arrivals;
use crate::engine::event::{AnswerEnd, Event, Fate, Observer};
use crate::engine::flight::{Lures, live};
use crate::engine::ground::Ground;
use crate::engine::insect::{Insect, Mode};
use crate::engine::lure::LureMemory;
use crate::geometry::{Point, Rect};
use crate::scenario::Plan;
use serde::{Deserialize, Serialize};

/// Most insects that are kept: the first to come near.
pub const MOST_INSECTS: usize = 120;
/// Most points of paths that are kept in all, so that the file stays small; a point takes about 20 bytes.
const MOST_POINTS: usize = 40_000;
/// How far around yard and neighbours a path is kept, metres.
const AROUND_M: f64 = 4.0;
/// Longer than any run needs; a guard against an insect that does not get on.
const MOST_STEPS: usize = 200_000;

/// Some days of one summer under two plans.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OneSummer {
    /// Format of the file, 1.
    pub format: u32,
    /// Name of the scenario.
    pub scenario: String,
    /// Seed of the run.
    pub seed: u64,
    /// Number of the summer, from 0: the one whose change in damage is the middle one.
    pub summer: u32,
    /// First day, from 0.
    pub day: u32,
    /// Number of days.
    pub days: u32,
    /// Length of the day in movement time, seconds.
    pub day_s: f64,
    /// Name of the plan that the other is set against.
    pub without: String,
    /// Name of the plan shown beside it.
    pub with: String,
    /// Insects that came near on these days under either plan; the first [`MOST_INSECTS`] of them are kept.
    pub came: usize,
    /// Rectangle in which paths are kept, metres: west, south, east, north.
    pub view_m: [f64; 4],
    /// The insects in the order in which they came.
    pub insects: Vec<Twice>,
}

/// One insect under both plans.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Twice {
    /// Number within the summer.
    pub id: u32,
    /// Its days under the first plan.
    pub without: Track,
    /// Its days under the second; `None` when they are the same.
    pub with: Option<Track>,
}

/// What an insect did near the yard.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Track {
    /// Stretches without a gap; points are \[seconds since the first day began, east m, north m\], rounded to 0.1.
    pub pieces: Vec<Vec<[f64; 3]>>,
    /// What happened.
    pub events: Vec<Happening>,
}

/// Something that happened to an insect.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Happening {
    /// Seconds since the first day began.
    pub t_s: f64,
    /// What.
    pub what: What,
}

/// Kinds of happening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Answered the lure.
    Smelled,
    /// Landed on a plant, where it eats.
    Landed,
    /// Left a plant.
    LeftPlant,
    /// Lost the scent or gave up the search by the trap.
    GaveUp,
    /// Kept by a trap.
    Caught,
    /// Flew away over the outer edge.
    Left,
    /// Picked by hand, or killed by a method.
    Taken,
    /// Died by itself.
    Gone,
}

/// The summer whose value is the middle one; the lower of two middles.
///
/// Shape: one value a summer, at least one.
pub fn middle_summer(values: &[f64]) -> u32 {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]).then(a.cmp(&b)));
    order
        .get(values.len().saturating_sub(1) / 2)
        .map_or(0, |&i| i as u32)
}

/// Records some days of a summer under two plans, from the first day on which an insect may meet a difference.
///
/// `None` when no insect meets one (bags change the fruit, not the insects), or when the first such day is a later one
/// of a scenario in which one day acts on the next.
pub fn record(prepared: &Prepared, summer: u32, without: &Plan, with: &Plan) -> Option<OneSummer> {
    let scenario = prepared.scenario;
    let bare = Ground::for_summer(scenario, summer);
    let grounds = [without, with].map(|plan| bare.under(plan).unwrap_or_else(|| bare.clone()));
    let day_s = bare.clock.day_s;
    let by_day = prepared.day_by_day || bare.crawls || bare.clock.fit.is_some();
    let traps = with.traps.iter().filter(|t| !without.traps.contains(t));
    let hung = traps.map(|t| t.from_day).min();
    let clock = &bare.clock;
    let cared = grounds[1]
        .care
        .first_difference(&grounds[0].care, |t_s| clock.day_ending_at(t_s));
    let day = hung.into_iter().chain(cared).min()?;
    if day >= scenario.window.days || (day > 0 && by_day) {
        return None;
    }
    let mut view = scenario.yard;
    for plot in &scenario.plots {
        view = view.union(&plot.area);
    }
    for trap in with.traps.iter().chain(&without.traps) {
        view = view.union(&Rect::new(trap.at.x, trap.at.y, trap.at.x, trap.at.y));
    }
    let view = view.grown(AROUND_M);
    let stage = Stage {
        arrivals: prepared.arrivals(&bare),
        sides: [
            prepared.lures(&grounds[0], without).0,
            prepared.lures(&grounds[1], with).0,
        ],
        from_s: bare.clock.day_begins_s(day),
        day,
        view,
        grounds,
    };
    let most_days = if by_day {
        1
    } else {
        scenario.window.days - day
    };
    // As many days as it takes for the picture to fill; in a crowded yard they are few.
    let mut days = 1;
    let mut both = stage.play(days);
    while days < most_days && both.len() < MOST_INSECTS {
        days = most_days.min(2 * days);
        both = stage.play(days);
    }
    let played = days;
    if let Some((first, _, _)) = both.get(MOST_INSECTS - 1) {
        days = ((first / day_s).ceil() as u32).clamp(1, played);
    }
    if days > 1 && stage.may_fill(with, &both) {
        days = 1;
    }
    if days < played {
        both = stage.play(days);
    }
    let came = both.len();
    let mut points = 0;
    let insects = both
        .into_iter()
        .take(MOST_INSECTS)
        .map(|(_, id, [without, with])| Twice {
            id,
            with: (with != without).then_some(with),
            without,
        })
        .take_while(|twice| {
            points += twice.points();
            points <= MOST_POINTS
        })
        .collect();
    Some(OneSummer {
        format: 1,
        scenario: scenario.name.clone(),
        seed: scenario.settings.seed,
        summer,
        day,
        days,
        day_s: tenth(day_s),
        without: without.name.clone(),
        with: with.name.clone(),
        came,
        view_m: [view.x0, view.y0, view.x1, view.y1].map(tenth),
        insects,
    })
}

/// The summer that is played.
struct Stage {
    grounds: [Ground; 2],
    arrivals: Arrivals,
    sides: [Lures; 2],
    from_s: f64,
    day: u32,
    view: Rect,
}

type Came = (f64, u32, [Track; 2]);

impl Stage {
    /// All insects that come near within so many days, in the order in which they come.
    fn play(&self, days: u32) -> Vec<Came> {
        let to_s = self.grounds[0].clock.day_begins_s(self.day + days);
        let mut both: Vec<Came> = Vec::new();
        for first in self.arrivals.insects(&self.grounds[0]) {
            let id = first.id;
            let tracks = [0, 1].map(|side| {
                let ground = &self.grounds[side];
                let mut insect = first;
                follow(
                    ground,
                    &self.sides[side],
                    &mut insect,
                    (self.from_s, to_s),
                    self.view,
                )
            });
            let first = tracks
                .iter()
                .filter_map(|t| t.pieces.first().and_then(|p| p.first()))
                .map(|p| p[0])
                .fold(f64::INFINITY, f64::min);
            if first.is_finite() {
                both.push((first, id, tracks));
            }
        }
        both.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        both
    }

    /// Whether a trap of the plan might have filled up: then days are not independent.
    fn may_fill(&self, plan: &Plan, both: &[Came]) -> bool {
        let caught = both
            .iter()
            .flat_map(|(_, _, tracks)| &tracks[1].events)
            .filter(|e| e.what == What::Caught)
            .count();
        plan.traps
            .iter()
            .filter(|t| t.empty_every_d.is_some())
            .any(|t| caught as f64 >= self.grounds[0].traps[t.kind].capacity)
    }
}

impl Twice {
    /// Its days under the second plan.
    pub fn with(&self) -> &Track {
        self.with.as_ref().unwrap_or(&self.without)
    }

    fn points(&self) -> usize {
        let count = |t: &Track| t.pieces.iter().map(Vec::len).sum::<usize>();
        count(&self.without) + self.with.as_ref().map_or(0, count)
    }
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// Events of the step under way.
#[derive(Default)]
struct Step {
    flights: Vec<(Point, Point)>,
    what: Vec<What>,
}

impl Observer for Step {
    fn hear(&mut self, event: &Event) {
        match *event {
            Event::Flew(from, to) => self.flights.push((from, to)),
            Event::Landed(..) => self.what.push(What::Landed),
            Event::Answered(..) => self.what.push(What::Smelled),
            Event::AnswerEnded(_, AnswerEnd::WentAway) => self.what.push(What::GaveUp),
            Event::Over { fate, .. } => self.what.push(match fate {
                Fate::Caught(_) => What::Caught,
                Fate::Left => What::Left,
                Fate::Removed | Fate::Killed => What::Taken,
                Fate::Died => What::Gone,
            }),
            _ => {}
        }
    }
}

/// Lives an insect's life step by step, and keeps what lies in the view in the time asked for.
fn follow(
    ground: &Ground,
    lures: &Lures,
    insect: &mut Insect,
    (from_s, to_s): (f64, f64),
    view: Rect,
) -> Track {
    let mut memory = vec![LureMemory::NEW; lures.sites.len()];
    let mut path = Path {
        track: Track::default(),
        view,
        from_s,
        to_s,
        open: false,
    };
    for _ in 0..MOST_STEPS {
        if insect.t_s >= to_s || matches!(insect.mode, Mode::Over(_)) {
            break;
        }
        let (began_s, was, was_at) = (insect.t_s, insect.mode, insect.at);
        // As far as the present thing goes: a stay or a rest to its end, a flight for one segment.
        let until_s = match insect.mode {
            Mode::OnPlant { until_s, .. }
            | Mode::Rest { until_s }
            | Mode::Pause { until_s, .. } => until_s.min(insect.dies_s).min(to_s),
            _ => began_s + 1e-6,
        };
        let mut step = Step::default();
        live(ground, lures, insect, &mut memory, until_s, &mut step);
        path.add(&step, began_s, insect.t_s.min(to_s), was_at, insect.at);
        let left_plant = matches!(was, Mode::OnPlant { .. })
            && !matches!(insect.mode, Mode::OnPlant { .. } | Mode::Over(_));
        if left_plant {
            path.happened(insect.t_s, What::LeftPlant, was_at);
        }
        for what in step.what {
            path.happened(insect.t_s, what, insect.at);
        }
        if insect.t_s <= began_s && insect.mode == was {
            // Waits beyond the last day.
            path.add(&Step::default(), began_s, to_s, insect.at, insect.at);
            break;
        }
    }
    path.track
}

struct Path {
    track: Track,
    view: Rect,
    from_s: f64,
    to_s: f64,
    open: bool,
}

impl Path {
    fn add(&mut self, step: &Step, began_s: f64, ended_s: f64, at: Point, now_at: Point) {
        if ended_s < self.from_s {
            return;
        }
        if step.flights.is_empty() {
            self.stretch(began_s, ended_s, at, now_at);
            return;
        }
        let length = |(a, b): &(Point, Point)| a.distance_squared(*b).sqrt();
        let whole: f64 = step.flights.iter().map(length).sum();
        let mut gone = 0.0;
        for flight in &step.flights {
            let time =
                |s: f64| began_s + (ended_s - began_s) * if whole > 0.0 { s / whole } else { 1.0 };
            let (a, b) = (time(gone), time(gone + length(flight)));
            gone += length(flight);
            self.stretch(a, b, flight.0, flight.1);
        }
        // A short hop onto a leaf or round the trap is no flight of its own.
        if let Some((_, end)) = step.flights.last()
            && *end != now_at
            && self.open
        {
            self.point(ended_s, now_at);
        }
    }

    fn stretch(&mut self, began_s: f64, ended_s: f64, from: Point, to: Point) {
        if ended_s < self.from_s || began_s > self.to_s {
            return;
        }
        if !self.view.contains(from) && !self.view.contains(to) {
            self.open = false;
            return;
        }
        if !self.open {
            self.track.pieces.push(Vec::new());
            self.open = true;
            self.point(began_s.max(self.from_s), from);
        }
        self.point(ended_s.min(self.to_s), to);
        if !self.view.contains(to) {
            self.open = false;
        }
    }

    fn point(&mut self, t_s: f64, at: Point) {
        let point = [tenth(t_s - self.from_s), tenth(at.x), tenth(at.y)];
        if let Some(piece) = self.track.pieces.last_mut()
            && piece.last() != Some(&point)
        {
            piece.push(point);
        }
    }

    fn happened(&mut self, t_s: f64, what: What, at: Point) {
        let near = self.view.contains(at)
            || what == What::Smelled
            || (what == What::Left && !self.track.pieces.is_empty());
        if t_s >= self.from_s && t_s <= self.to_s && near {
            self.track.events.push(Happening {
                t_s: tenth(t_s - self.from_s),
                what,
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_summer_is_the_lower_middle() {
        assert_eq!(middle_summer(&[5.0, 1.0, 3.0]), 2);
        assert_eq!(middle_summer(&[4.0, 1.0, 3.0, 2.0]), 3);
        assert_eq!(middle_summer(&[7.0]), 0);
    }
}
