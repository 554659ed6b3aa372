//! What a search and its sweeps found, as data; each finding can be said as a sentence of the catalogue.

use crate::placement::objective::Objective;
use crate::placement::outcome::{PlaceOutcome, SiteOutcome, SweepPoint, Verdict, Zone};
use crate::say::{counted, say, voice};
use crate::stats::paired::{Class, MeanChange, Told};
use crate::stats::words::{listed, of_summers};
use serde::{Serialize, Serializer};
use std::fmt;

/// The last decimal that is printed.
const PRINTED: f64 = 0.1;

/// What a search sets its changes against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// The yard without any trap.
    NoTrap,
    /// The yard with the neighbors' traps only.
    NeighborsTrap,
}

impl fmt::Display for Against {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(voice().get(match self {
            Against::NoTrap => "place.against.no-trap",
            Against::NeighborsTrap => "place.against.neighbor",
        }))
    }
}

/// A doubt, or something that the search left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Note {
    /// The trap would fill at some sites, none of them on a list.
    FillsElsewhere,
    /// One day acts on the next, which the counts leave out.
    DaysLeftOut,
    /// The trap would fill, which the counts leave out.
    FillingLeftOut,
    /// One day acts on the next, which only the lists count.
    ListsInFull,
    /// A trap of the neighbor in the file does not hang.
    NeighborLeftOut,
    /// Sweeps for which the time did not last.
    NotVaried(Vec<&'static str>),
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&match self {
            Note::FillsElsewhere => say!("place.note.fills-elsewhere"),
            Note::DaysLeftOut => say!("place.note.days-left-out"),
            Note::FillingLeftOut => say!("place.note.filling-left-out"),
            Note::ListsInFull => say!("place.note.lists-in-full"),
            Note::NeighborLeftOut => say!("place.note.neighbor-left-out"),
            Note::NotVaried(sweeps) => say!("place.note.not-varied", sweeps = sweeps.join(", ")),
        })
    }
}

/// What lies beyond a distance at which a trap helps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// The distance itself is outside the yard.
    Outside,
    /// It helps at some distances beyond, not at all of them.
    NotAll,
    /// It helps nowhere farther out.
    None,
}

/// What an arrangement does against no trap, when a change of `band` is none: nor is one that the printed numbers do not
/// show, nor is it less where luck explains it.
pub fn standing(point: &SweepPoint, band: f64) -> Class {
    match point.mean.class(band.max(PRINTED)) {
        Class::Less if !point.mean.clear_of(0.0) => Class::NoChange,
        class => class,
    }
}

/// What a sweep found. Arrangements are named by their labels.
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// From a distance on, a trap lowers how many are damaged.
    LowersFrom {
        /// The distance.
        distance: String,
        /// What is damaged.
        noun: &'static str,
    },
    /// At one distance it does, the nearest of those where it does.
    LowersAt {
        /// The distance.
        distance: String,
        /// What is damaged.
        noun: &'static str,
        /// What lies beyond.
        beyond: Beyond,
    },
    /// At none it does; the distance from which on it changes too little to count, if there is one.
    NoDistance(Option<String>),
    /// The sides cannot be told apart.
    AnySide,
    /// Sides that can.
    Sides {
        /// The best, with those too near it to tell apart.
        best: Vec<String>,
        /// What the best does.
        standing: Class,
        /// The worst, with those too near it.
        worst: Vec<String>,
    },
    /// No number of traps beats none.
    NoNumber,
    /// The number of traps that leaves least damage, judged against no trap.
    Number {
        /// The number in words.
        label: String,
        /// Damage without a trap and with that number, of 100.
        damage: [f64; 2],
        /// Summers with less.
        counts: Told,
        /// Fewer traps that do nearly as well: how many, and the same in words.
        fewer: Option<(usize, String)>,
        /// No step from a trap to the next counts as a change.
        by_little: bool,
    },
    /// No arrangement tried fits where traps are allowed.
    NoArrangement,
    /// The arrangement with least damage.
    Arrangement {
        /// Its name.
        best: String,
        /// Those hardly worse.
        near: Vec<String>,
        /// What it does.
        standing: Class,
    },
}

impl Finding {
    /// What a sweep of distances found, when a change of `band` is none.
    pub fn of_distances(points: &[SweepPoint], band: f64, noun: &'static str) -> Finding {
        // The first distance of those that are all so, up to the farthest.
        let from = |points: &[&SweepPoint], so: &dyn Fn(&SweepPoint) -> bool| {
            let n = points.iter().rev().take_while(|p| so(p)).count();
            points.get(points.len() - n).map(|p| p.label.clone())
        };
        let better = |p: &SweepPoint| standing(p, band) == Class::Less;
        let outside = |p: &SweepPoint| p.outside == p.places_m.len();
        let all: Vec<&SweepPoint> = points.iter().collect();
        let inside: Vec<&SweepPoint> = points.iter().filter(|p| !outside(p)).collect();
        if let Some(distance) = from(&inside, &better) {
            return Finding::LowersFrom { distance, noun };
        }
        let mut helping = points.iter().filter(|p| better(p));
        if let Some(p) = helping.next() {
            let beyond = if outside(p) {
                Beyond::Outside
            } else if helping.next().is_some() {
                Beyond::NotAll
            } else {
                Beyond::None
            };
            let distance = p.label.clone();
            return Finding::LowersAt {
                distance,
                noun,
                beyond,
            };
        }
        Finding::NoDistance(from(&all, &|p| p.mean.change.abs() < band))
    }

    /// What rows, rings and heaps did: those that are allowed.
    pub fn of_rows(open: &[&SweepPoint], band: f64) -> Finding {
        let order = |a: &&&SweepPoint, b: &&&SweepPoint| a.mean.change.total_cmp(&b.mean.change);
        let Some(best) = open.iter().min_by(order) else {
            return Finding::NoArrangement;
        };
        let near = |p: &&&SweepPoint| p.at != best.at && p.mean.change - best.mean.change < band;
        Finding::Arrangement {
            best: best.label.clone(),
            near: open.iter().filter(near).map(|p| p.label.clone()).collect(),
            standing: standing(best, band),
        }
    }

    /// Judges the whole: the number of traps that leaves least damage against no trap.
    ///
    /// Shape: `points` by the number of traps, the first without any.
    pub fn of_numbers(points: &[SweepPoint], band: f64) -> Finding {
        let order = |a: &&SweepPoint, b: &&SweepPoint| a.damage_mean.total_cmp(&b.damage_mean);
        let least = points.iter().min_by(order);
        let least = least.filter(|p| standing(p, band) == Class::Less);
        let (Some(least), Some(none)) = (least, points.first()) else {
            return Finding::NoNumber;
        };
        let near = |p: &&SweepPoint| p.damage_mean - least.damage_mean < band;
        let fewer = points.iter().find(near);
        let fewer = fewer.filter(|p| p.traps > 0 && p.traps < least.traps);
        let small = |w: &[SweepPoint]| w[0].damage_mean - w[1].damage_mean < band;
        Finding::Number {
            label: least.label.clone(),
            damage: [none.damage_mean, least.damage_mean],
            counts: Told::new(least.counts),
            fewer: fewer.map(|p| (p.traps, p.label.clone())),
            by_little: least.traps > 1 && points.windows(2).take(least.traps).all(small),
        }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&match self {
            Finding::LowersFrom { distance, noun } => {
                say!("place.distance.lowers-from", from_ft = distance, noun)
            }
            Finding::LowersAt {
                distance,
                noun,
                beyond,
            } => {
                let key = match beyond {
                    Beyond::Outside => "place.distance.lowers-at.outside",
                    Beyond::NotAll => "place.distance.lowers-at.not-all",
                    Beyond::None => "place.distance.lowers-at.not-farther",
                };
                say!(key, from_ft = distance, noun)
            }
            Finding::NoDistance(None) => say!("place.distance.none"),
            Finding::NoDistance(Some(distance)) => {
                say!("place.distance.none.too-little", from_ft = distance)
            }
            Finding::AnySide => say!("place.side.any"),
            Finding::Sides {
                best,
                standing,
                worst,
            } => {
                let key = match standing {
                    Class::Less => "place.side.best",
                    _ => "place.side.least-bad",
                };
                [(key, best), ("place.side.worst", worst)]
                    .map(|(key, sides)| {
                        let key = counted(key, sides.len() as u64);
                        say!(&key, sides = listed(sides))
                    })
                    .join(" ")
            }
            Finding::NoNumber => say!("place.number.none"),
            Finding::Number {
                label,
                damage: [without, with],
                counts,
                fewer,
                by_little,
            } => {
                let without = format!("{without:.1}");
                let with = format!("{with:.1}");
                let mut all = vec![say!(
                    "place.number.least",
                    hung = label,
                    without,
                    with,
                    less = of_summers(counts.less, counts.of)
                )];
                match fewer {
                    Some((n, traps)) => {
                        all.push(say!(&counted("place.number.fewer", *n as u64), traps));
                    }
                    None if *by_little => all.push(say!("place.number.by-little")),
                    None => {}
                }
                all.join(" ")
            }
            Finding::NoArrangement => say!("place.spacing.none"),
            Finding::Arrangement {
                best,
                near,
                standing,
            } => {
                let mut all = vec![say!("place.spacing.least", row = best)];
                if !near.is_empty() {
                    all.push(say!("place.spacing.near", rows = listed(near)));
                }
                match standing {
                    // A mean does not go either way.
                    Class::Less | Class::EitherWay => {}
                    Class::NoChange => all.push(say!("place.spacing.too-little")),
                    Class::More => all.push(say!("place.spacing.more")),
                }
                all.join(" ")
            }
        })
    }
}

macro_rules! written_as_said {
    ($($of:ty)+) => {
        $(impl Serialize for $of {
            fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.collect_str(self)
            }
        })+
    };
}
written_as_said!(Against Note Finding);

/// What the first of the best places is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Best {
    /// It is good, or none is better or worse.
    Good,
    /// It does no harm, where others do.
    DoesNoHarm,
    /// It does less harm than others.
    LeastHarmful,
}

impl From<Class> for Zone {
    fn from(class: Class) -> Zone {
        match class {
            Class::Less => Zone::Lowers,
            Class::NoChange => Zone::NoDifference,
            Class::More => Zone::Raises,
            Class::EitherWay => Zone::EitherWay,
        }
    }
}

impl Verdict {
    /// The verdict of the best site.
    fn of(best: &SiteOutcome) -> Verdict {
        let mean = MeanChange {
            change: best.change_mean,
            error: best.se,
        };
        let surely = mean.change < 0.0 && mean.clear_of(0.0);
        match best.zone {
            Zone::Lowers => Verdict::SpotBeatsNoTrap,
            Zone::NoDifference => Verdict::MakesNoDifference,
            _ if surely && best.counts.less > best.counts.more => Verdict::TooCloseToCall,
            _ => Verdict::NoSpotBeatsNoTrap,
        }
    }
}

impl PlaceOutcome {
    /// Names the verdict, and takes places that raise what counts off the list of good ones.
    pub fn judge(&mut self) {
        let Some(best) = self.best.first().map(|r| &self.sites[r.site]) else {
            return;
        };
        self.neighbour_change = best.neighbour_change;
        self.verdict = if self.objective == Objective::Catch.name() {
            Verdict::RankedForCatch
        } else {
            Verdict::of(best)
        };
        if self.best_is() != Best::Good || self.verdict == Verdict::RankedForCatch {
            return;
        }
        let sites = &self.sites;
        self.best.retain(|r| sites[r.site].zone != Zone::Raises);
        let ranks: Vec<usize> = self.best.iter().map(|r| r.rank).collect();
        for ranked in &mut self.best {
            ranked.tied = ranks.iter().filter(|r| **r == ranked.rank).count() > 1;
        }
    }

    /// Whether the trap makes no difference at any place tried.
    pub fn nothing_matters(&self) -> bool {
        self.sites.iter().all(|s| s.zone == Zone::NoDifference)
    }

    /// What the first of the best places is.
    pub fn best_is(&self) -> Best {
        let harms = self
            .best
            .first()
            .is_some_and(|b| self.sites[b.site].counts.more > 0);
        match self.verdict {
            Verdict::NoSpotBeatsNoTrap => Best::LeastHarmful,
            Verdict::MakesNoDifference if harms => Best::LeastHarmful,
            Verdict::MakesNoDifference if !self.nothing_matters() => Best::DoesNoHarm,
            _ => Best::Good,
        }
    }
}
