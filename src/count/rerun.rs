//! One summer in many ways at once: the plans of a run, or one trap at many sites.
//!
//! Every insect first lives in the yard of the base, and its life is logged with a checkpoint at every chance to answer a
//! lure that hangs in some variant. Lures thin a life as a Poisson process does: up to the first chance that it takes, a
//! variant's life is the base's. From that answer it lives again to where it leaves a plant; there lives of one insect
//! that came to the same leg coalesce, and what follows is lived once for all of them. A variant with methods lives again
//! without sharing: from its first answer, or from the beginning when the insect sits on a plant that is cared for. All
//! counts are those of running each variant by itself, to the bit (tests/placement/delta.rs and harsh.rs).

use crate::control::Action;
use crate::count::summer::SummerTally;
use crate::engine::ensemble::{first_day, live_on, next_day, until_s};
use crate::engine::event::{Event, Observer};
use crate::engine::flight::{Lures, live_from_answer, live_to_departure};
use crate::engine::ground::Ground;
use crate::engine::insect::{Insect, Mode};
use crate::engine::kept::Kept;
use crate::engine::log::{Checkpoint, EventLog, Place, Watched};
use crate::engine::lure::{Clocks, KnownTicks, LureMemory, LureSite, Sense};
use crate::geometry::Point;
use crate::scenario::Plan;
use std::collections::BTreeMap;
use std::ops::Range;

/// One way in which a summer may go.
#[derive(Clone, Debug)]
pub struct Variant {
    /// The lures of the base, then its own.
    lures: Lures,
    /// The yard as its methods change it.
    ground: Option<Ground>,
    /// Plants whose care may change a life; empty when no method does.
    cared: Vec<bool>,
    /// Whether every life is lived anew.
    anew: bool,
}

impl Variant {
    /// One more trap beside those of the base.
    pub fn beside(base: &[LureSite], trap: &LureSite) -> Variant {
        Variant {
            lures: Lures::new(base.iter().chain([trap]).cloned().collect()),
            ground: None,
            cared: Vec::new(),
            anew: false,
        }
    }

    /// A plan with its lures, and the yard as its methods change it, against a base where nothing is done.
    pub fn of(plan: &Plan, lures: Lures, ground: Option<Ground>) -> Variant {
        let plants = |g: &Ground| (0..g.plants.len()).map(|i| g.care.acts_on(i)).collect();
        let trap_crop = |m: &crate::control::Method| matches!(m.action, Action::TrapCrop(_));
        Variant {
            lures,
            cared: ground.as_ref().map_or_else(Vec::new, plants),
            // A trap crop stands where the base has none.
            anew: plan.methods.iter().any(trap_crop),
            ground,
        }
    }
}

/// Counts of the base and of every variant.
#[derive(Clone, Debug)]
pub struct Reran {
    /// The base.
    pub base: SummerTally,
    /// The variants, in their order.
    pub variants: Vec<SummerTally>,
    /// Lives that went another way, over all variants.
    pub lived_again: u64,
}

impl Reran {
    /// Adds the counts of other insects of the summer.
    pub fn add(&mut self, other: &Reran) {
        self.base.add(&other.base);
        for (own, more) in self.variants.iter_mut().zip(&other.variants) {
            own.add(more);
        }
        self.lived_again += other.lived_again;
    }
}

/// Draws of answers are kept for the variants to share when there are at least so many: keeping costs more than drawing
/// anew for the few plans of a run (measured).
const MANY: usize = 12;

/// Runs some insects of a summer in the base and in every variant.
///
/// Shape: `blank` is an empty tally with the maps and the watched area that are asked for.
pub fn rerun(
    ground: &Ground,
    insects: impl Iterator<Item = Insect>,
    base: &Lures,
    variants: Vec<Variant>,
    blank: &SummerTally,
) -> Reran {
    let own = base.sites.len();
    let of_any = variants.iter().flat_map(|v| &v.lures.sites[own..]);
    let clocks = Clocks::of(of_any);
    let ticks = KnownTicks::new();
    let mut lives: Vec<Life> = variants
        .into_iter()
        .map(|variant| Life::new(variant, own, &clocks, blank))
        .collect();
    let watched: Option<&Watched> = blank.watched.as_deref();
    let mut record = Record {
        ground,
        base,
        log: EventLog::new(ground, clocks, &ticks, watched, blank.maps.is_some()),
        pieces: Vec::new(),
        legs: Vec::new(),
        later: Vec::new(),
    };
    let mut kept = (lives.len() >= MANY).then(|| Kept::new(&ticks));
    let mut waiting = Waiting::default();
    // Variants that have not answered yet.
    let mut open = Vec::new();
    let mut counts = blank.for_lures(own);
    let mut lived_again = 0;
    for first in insects {
        counts.hear(&Event::began(&first, &ground.clock));
        let end = record.live(&first);
        record.log.replay(Place::START, end, &mut counts);
        open.clear();
        for (k, life) in lives.iter_mut().enumerate() {
            if life.is_lived_anew(&first, &record.log, end) {
                life.live_anew(ground, &first, (&record.log, end));
                lived_again += 1;
            } else {
                open.push(k);
            }
        }
        if record.log.checkpoints.is_empty() {
            continue;
        }
        kept.iter_mut().for_each(Kept::clear);
        let mut sense = Sense::new(ground, first.id, first.female);
        lived_again += waiting.first_answers(&mut lives, &mut open, (&record.log, end), &mut sense);
        // Through time, so that ticks are asked for in order.
        while let Some(((_, checkpoint), members)) = waiting.answers.pop_first() {
            for (k, answer) in members {
                let taken = lives[k].follow(
                    &mut record,
                    (&first, checkpoint, answer),
                    kept.as_mut(),
                    &mut sense,
                );
                if let Some((checkpoint, answer)) = taken {
                    waiting.add(&record.log, checkpoint, (k, answer));
                }
            }
        }
    }
    let settled = lives.into_iter().map(|life| life.settle(&counts)).collect();
    Reran {
        variants: settled,
        base: counts,
        lived_again,
    }
}

/// Lure and place along the segment.
type Answer = (u32, f64);

/// Variants that answer a lure next, by checkpoint in the order of time.
#[derive(Default)]
struct Waiting {
    answers: BTreeMap<(u64, usize), Vec<(usize, Answer)>>,
}

impl Waiting {
    fn add(&mut self, log: &EventLog, checkpoint: usize, who: (usize, Answer)) {
        // Times are not negative, so that their bits have the same order.
        let time = log.checkpoints[checkpoint].moment.t_s.to_bits();
        let members = self.answers.entry((time, checkpoint));
        members.or_default().push(who);
    }

    /// The first answers of the open variants in the life of the base; how many there are.
    fn first_answers(
        &mut self,
        lives: &mut [Life],
        open: &mut Vec<usize>,
        (log, end): (&EventLog, Place),
        sense: &mut Sense,
    ) -> u64 {
        let before = open.len();
        for &k in &*open {
            lives[k].memory.fill(LureMemory::NEW);
        }
        for (number, checkpoint) in log.checkpoints.iter().enumerate() {
            open.retain(|&k| {
                let answer = lives[k].answers(log, checkpoint, sense);
                if let Some(answer) = answer {
                    log.replay(checkpoint.place, end, &mut lives[k].gone);
                    self.add(log, number, (k, answer));
                }
                answer.is_none()
            });
        }
        (before - open.len()) as u64
    }
}

/// A variant while the insects pass: the changed parts of lives, and what they replace.
struct Life {
    variant: Variant,
    /// Number of lures of the base.
    theirs: usize,
    /// The clock of each of its own lures, and whether one takes by touch.
    clocks: Vec<Option<u32>>,
    touch: bool,
    memory: Vec<LureMemory>,
    tally: SummerTally,
    gone: SummerTally,
}

impl Life {
    fn new(variant: Variant, theirs: usize, clocks: &Clocks, blank: &SummerTally) -> Life {
        let own = &variant.lures.sites[theirs..];
        let clocks: Vec<Option<u32>> = own.iter().map(|site| clocks.clock_of(site)).collect();
        let tally = blank.for_lures(variant.lures.sites.len());
        Life {
            theirs,
            touch: clocks.contains(&None),
            clocks,
            memory: vec![LureMemory::NEW; variant.lures.sites.len()],
            gone: tally.clone(),
            tally,
            variant,
        }
    }

    /// Whether the insect lives anew from the beginning: always, or because it was on a plant that is cared for.
    fn is_lived_anew(&self, first: &Insect, log: &EventLog, end: Place) -> bool {
        let cared = |plant: u32| self.variant.cared[plant as usize];
        let from_the_start = || match first.mode {
            Mode::OnPlant { plant, .. } => cared(plant),
            _ => false,
        };
        let later = || {
            let mut events = log.events(Place::START, end).iter();
            events.any(|event| matches!(*event, Event::Landed(plant, _) if cared(plant)))
        };
        self.variant.anew || (!self.variant.cared.is_empty() && (from_the_start() || later()))
    }

    fn live_anew(&mut self, base: &Ground, first: &Insect, (log, end): (&EventLog, Place)) {
        log.replay(Place::START, end, &mut self.gone);
        self.memory.fill(LureMemory::NEW);
        let (ground, lures) = (self.variant.ground.as_ref(), &self.variant.lures);
        let (ground, mut insect) = (ground.unwrap_or(base), *first);
        let (day, memory) = (first_day(ground, first), &mut self.memory);
        live_on(ground, lures, &mut insect, memory, day, &mut self.tally);
    }

    /// The own lure answered first on the stretch of a checkpoint.
    #[inline]
    fn answers(
        &self,
        log: &EventLog,
        checkpoint: &Checkpoint,
        sense: &mut Sense,
    ) -> Option<Answer> {
        let own = &self.variant.lures.sites[self.theirs..];
        let lures = own
            .iter()
            .zip(&self.clocks)
            .zip(&self.memory[self.theirs..]);
        let chances = &log.chances[checkpoint.chances.clone()];
        let mut first = chances.iter().find_map(|chance| {
            let mut lures = lures.clone();
            let lure = lures.position(|((site, clock), memory)| {
                chance.t_s >= memory.refractory_until_s && site.takes(chance, *clock)
            });
            lure.map(|k| (k, chance.s))
        });
        if self.touch {
            for (k, site) in own.iter().enumerate() {
                if let Some(s) = site.encountered_on(&checkpoint.stretch, sense)
                    && first.is_none_or(|(_, earliest)| s < earliest)
                {
                    first = Some((k, s));
                }
            }
        }
        first.map(|(k, s)| ((self.theirs + k) as u32, s))
    }

    /// Lives from an answer to the next that the record holds a chance for, which is returned, or to the end.
    fn follow(
        &mut self,
        record: &mut Record,
        (first, checkpoint, answer): (&Insect, usize, Answer),
        kept: Option<&mut Kept>,
        sense: &mut Sense,
    ) -> Option<(usize, Answer)> {
        let at = &record.log.checkpoints[checkpoint];
        let mut insect = at.moment.resume(first);
        let mut day = at.day;
        self.memory[..self.theirs].copy_from_slice(record.log.memories(at, self.theirs));
        let ground = self.variant.ground.as_ref().unwrap_or(record.ground);
        let shares = self.variant.ground.is_none();
        let (lures, memory) = (&self.variant.lures, &mut self.memory[..]);
        let left = live_from_answer(
            ground,
            lures,
            &mut insect,
            (memory, kept.filter(|_| shares)),
            answer,
            until_s(ground, day),
            &mut self.tally,
        );
        if !left && !next_day(ground, &mut insect, &mut day, &mut self.tally) {
            return None;
        }
        if !shares {
            live_on(ground, lures, &mut insect, memory, day, &mut self.tally);
            return None;
        }
        let mut here = record.begin(&insect, day, &self.memory[..self.theirs]);
        loop {
            let log = &record.log;
            let (piece, places) = (&record.pieces[here], record.pieces[here].places.clone());
            let mut chances = piece.checkpoints.clone();
            let taken = chances.find_map(|k| {
                let answer = self.answers(log, &log.checkpoints[k], sense)?;
                Some((k, answer))
            });
            let end = taken.map_or(places.end, |(k, _)| log.checkpoints[k].place);
            log.replay(places.start, end, &mut self.tally);
            if taken.is_some() {
                return taken;
            }
            here = record.after(here)?;
        }
    }

    /// The counts of the whole summer.
    fn settle(mut self, base: &SummerTally) -> SummerTally {
        self.tally.settle(base, &self.gone);
        self.tally
    }
}

/// The lives of one insect in the base: from where it came, and from wherever a variant left it.
struct Record<'a> {
    ground: &'a Ground,
    base: &'a Lures,
    log: EventLog<'a>,
    pieces: Vec<Piece>,
    /// The leg that each piece belongs to.
    legs: Vec<[u32; 2]>,
    /// Lives that may go on: the insect, its day, its memory of the live lures.
    later: Vec<(Insect, u32, Vec<LureMemory>)>,
}

/// A piece of a life, from where it arrives, leaves a plant or comes out at night to where it does so next, or to the end.
/// One that is lived for an answer stands still after each checkpoint; what follows is a further piece, lived when some
/// variant comes so far.
struct Piece {
    begins: Begins,
    places: Range<Place>,
    checkpoints: Range<usize>,
    next: Next,
}

/// All of a life at the beginning of a leg that is not told by the leg's key.
#[derive(Clone, Debug, PartialEq)]
struct Begins {
    t_s: f64,
    at: Point,
    home: Point,
    day: u32,
    /// Answers to the live lures so far, and until when each is ignored from now on.
    memory: Vec<(u32, f64)>,
}

impl Begins {
    fn of(insect: &Insect, day: u32, memory: &[LureMemory]) -> Begins {
        let until_s = |m: &LureMemory| (m.refractory_until_s - insect.t_s).max(0.0);
        Begins {
            t_s: insect.t_s,
            at: insect.at,
            home: insect.home,
            day,
            memory: memory.iter().map(|m| (m.responses, until_s(m))).collect(),
        }
    }
}

/// What follows a piece.
#[derive(Clone, Copy)]
enum Next {
    /// Nothing: the life is over, or the window.
    End,
    /// Another piece.
    Piece(usize),
    /// What has not been lived yet, by its place in [`Record::later`].
    Later(usize),
}

impl Record<'_> {
    /// Lives a whole life that begins, without standing still; where its log ends.
    fn live(&mut self, first: &Insect) -> Place {
        self.log.start(first);
        self.pieces.clear();
        self.legs.clear();
        self.later.clear();
        self.log.stands_still = false;
        let memory = vec![LureMemory::NEW; self.base.sites.len()];
        let mut here = Some(self.add(first, first_day(self.ground, first), &memory));
        while let Some(piece) = here {
            here = self.after(piece);
        }
        self.log.stands_still = true;
        self.log.here()
    }

    /// The first piece of the leg that an insect begins.
    fn begin(&mut self, insect: &Insect, day: u32, memory: &[LureMemory]) -> usize {
        let legs = self.legs.iter().zip(&self.pieces);
        let mut same = legs.enumerate().filter(|(_, (leg, _))| **leg == insect.leg);
        let known = same.find(|(_, (_, piece))| {
            let b = &piece.begins;
            b.t_s == insect.t_s && *b == Begins::of(insect, day, memory)
        });
        match known {
            Some((k, _)) => k,
            None => self.add(insect, day, memory),
        }
    }

    /// The piece that follows another.
    fn after(&mut self, piece: usize) -> Option<usize> {
        let next = match self.pieces[piece].next {
            Next::End => return None,
            Next::Piece(next) => next,
            Next::Later(k) => {
                let memory = std::mem::take(&mut self.later[k].2);
                let (insect, day, _) = self.later[k];
                self.begin(&insect, day, &memory)
            }
        };
        self.pieces[piece].next = Next::Piece(next);
        Some(next)
    }

    /// Lives a piece.
    fn add(&mut self, insect: &Insect, day: u32, memory: &[LureMemory]) -> usize {
        let (mut insect, mut day, mut memory) = (*insect, day, memory.to_vec());
        let begins = Begins::of(&insect, day, &memory);
        self.legs.push(insect.leg);
        let (from, first) = (self.log.here(), self.log.checkpoints.len());
        self.log.go_on(day);
        let left = live_to_departure(
            self.ground,
            self.base,
            &mut insect,
            &mut memory,
            until_s(self.ground, day),
            &mut self.log,
        );
        let rests = self.log.rests() && !matches!(insect.mode, Mode::Over(_));
        let goes_on = left || rests || next_day(self.ground, &mut insect, &mut day, &mut self.log);
        self.pieces.push(Piece {
            begins,
            places: from..self.log.here(),
            checkpoints: first..self.log.checkpoints.len(),
            next: if goes_on {
                Next::Later(self.later.len())
            } else {
                Next::End
            },
        });
        if goes_on {
            self.later.push((insect, day, memory));
        }
        self.pieces.len() - 1
    }
}
