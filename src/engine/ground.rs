//! The yard of one summer: arena, plants, clock, wind and the drawn biology. The same for every plan.

use crate::catalogue::{HostDraw, LureDraw, PestDraw, TrapDraw};
use crate::control::Site;
use crate::control::care::Care;
use crate::engine::clock::{Clock, FitHours};
use crate::engine::lookup::{PlantLookup, PlantSite};
use crate::engine::lure::{Attraction, LureSite, SPILLS, reach_factor};
use crate::engine::random::{LongStream, Purpose, ShortStream, Tables};
use crate::engine::walk::{StepLaw, TurnLaw, Walk, uniform_heading};
use crate::engine::wind::{Hours, WindTable};
use crate::geometry::{Point, Rect};
use crate::scenario::{Owner, Plan, Scenario, Trap};
use std::sync::Arc;

/// What the outer edge does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wall {
    /// Insects that cross it have left.
    Open,
    /// Insects bounce back: an isolated population.
    Reflecting,
}

/// Outline of the arena.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outline {
    /// Yard and margin.
    Rect(Rect),
    /// A disc round the origin, for checks against exact results.
    Disc {
        /// Radius, metres.
        radius_m: f64,
    },
}

/// Yard and margin together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arena {
    /// Shape.
    pub outline: Outline,
    /// Edge.
    pub wall: Wall,
    /// The part that holds every plant and every active space, where the rest is open land round it. Insects that never
    /// come into it touch nothing, so they are not made; without it, all insects of the arena are.
    pub core: Option<Rect>,
}

/// Open land round the core, in mean segments of flight. A choice (assumed): the farther the land goes on, the less a trap
/// changes, since it thins the insects ever farther out; the model description has the figures.
pub const MARGIN_SEGMENTS: f64 = 12.0;

impl Arena {
    /// Whether a point lies inside or on the edge.
    #[inline]
    pub fn contains(&self, x: f64, y: f64) -> bool {
        match self.outline {
            Outline::Rect(r) => x >= r.x0 && x <= r.x1 && y >= r.y0 && y <= r.y1,
            Outline::Disc { radius_m } => x * x + y * y <= radius_m * radius_m,
        }
    }

    /// Whether all points of a box lie inside or on the edge.
    #[inline]
    pub fn holds(&self, b: &Rect) -> bool {
        self.contains(b.x0, b.y0)
            && self.contains(b.x1, b.y1)
            && self.contains(b.x0, b.y1)
            && self.contains(b.x1, b.y0)
    }

    /// Distance along a heading from an inside point to the edge, and the outward normal there.
    pub fn exit(&self, x: f64, y: f64, ux: f64, uy: f64) -> (f64, f64, f64) {
        match self.outline {
            Outline::Rect(r) => {
                let sx = if ux > 0.0 {
                    (r.x1 - x) / ux
                } else if ux < 0.0 {
                    (r.x0 - x) / ux
                } else {
                    f64::INFINITY
                };
                let sy = if uy > 0.0 {
                    (r.y1 - y) / uy
                } else if uy < 0.0 {
                    (r.y0 - y) / uy
                } else {
                    f64::INFINITY
                };
                if sx <= sy {
                    (sx.max(0.0), ux.signum(), 0.0)
                } else {
                    (sy.max(0.0), 0.0, uy.signum())
                }
            }
            Outline::Disc { radius_m } => {
                let b = x * ux + y * uy;
                let s = (-b
                    + (b * b + radius_m * radius_m - x * x - y * y)
                        .max(0.0)
                        .sqrt())
                .max(0.0);
                (s, (x + s * ux) / radius_m, (y + s * uy) / radius_m)
            }
        }
    }

    /// The part whose visitors are made: the core, or all of it.
    pub fn visited(&self) -> Outline {
        self.core.map_or(self.outline, Outline::Rect)
    }
}

impl Outline {
    /// Area, m2.
    pub fn area(&self) -> f64 {
        match self {
            Outline::Rect(r) => r.area(),
            Outline::Disc { radius_m } => std::f64::consts::PI * radius_m * radius_m,
        }
    }

    /// Length of the edge, metres.
    pub fn perimeter(&self) -> f64 {
        match self {
            Outline::Rect(r) => r.perimeter(),
            Outline::Disc { radius_m } => 2.0 * std::f64::consts::PI * radius_m,
        }
    }
}

/// Most by which fully chewed leaves multiply the chance of landing: no measurement found; damaged leaves drew more
/// beetles than whole ones (Loughrin et al. 1995, from memory).
pub const MOST_CALL: [f64; 2] = [1.2, 3.0];

/// Most by which an isolated population grows from one season to the next, where nothing is done; the least is none. An
/// invading population grows; assumed.
pub const MOST_GROWTH: f64 = 3.0;

/// When the day's unstable air begins, as hours of the clock from the least to the most, and when it ends. Night is the
/// time from an hour before sunset to an hour after sunrise (Turner 1970, Workbook of Atmospheric Dispersion Estimates, from
/// memory); what the sun of the season makes of that between 30 and 50 degrees of latitude is drawn, assumed.
pub const DAY_AIR: [[f64; 2]; 2] = [[6.0, 8.0], [17.5, 19.5]];

/// Ticks in a second of feeding time: feeding is summed in whole ticks, so that sums do not depend on their order.
pub const TICKS_PER_S: f64 = 1024.0;

/// The yard of one summer.
#[derive(Clone, Debug)]
pub struct Ground {
    /// Master seed.
    pub seed: u64,
    /// Summer number.
    pub summer: u32,
    /// Yard and margin.
    pub arena: Arena,
    /// Ordinary flight or crawling.
    pub walk: Walk,
    /// Area-restricted search.
    pub search: Walk,
    /// Drawn biology.
    pub pest: PestDraw,
    /// Plants.
    pub plants: Vec<PlantSite>,
    /// Leaf area (m2) or fruit of each plant.
    pub units: Vec<f64>,
    /// Crop of each plant.
    pub crop_of: Vec<usize>,
    /// The asker's plants, trap crops left out.
    pub crop: Vec<u32>,
    /// Grid over the plants.
    pub lookup: PlantLookup,
    /// Movement time.
    pub clock: Clock,
    /// Wind.
    pub wind: WindTable,
    /// Drawn lures, in the order of the scenario.
    pub lures: Vec<LureDraw>,
    /// Drawn traps, in the order of the scenario.
    pub traps: Vec<TrapDraw>,
    /// Drawn number of insects seen on the asker's plants at one look.
    pub seen_on_plants: f64,
    /// Hours of the day's unstable air, drawn.
    pub day_air: std::ops::Range<f64>,
    /// Numbers of methods that are held at a quantile.
    pub held: Vec<Held>,
    /// Drawn growth of an isolated population from one season to the next, where nothing is done.
    pub growth: f64,
    /// Drawn insects a day of each source.
    pub source_per_day: Vec<f64>,
    /// Crawlers go home at the end of the day.
    pub crawls: bool,
    /// Chance that a virgin female has mated by a day, for each day (day-lagged male removal).
    pub mated_by_day: Vec<f64>,
    /// Hazard of natural death, 1/s of movement time.
    pub death_per_s: f64,
    /// What the plan does to the plants; idle without methods. Trap crops are absent until a plan plants them.
    pub care: Care,
    /// Most by which chewed leaves multiply the chance of landing, drawn.
    pub chewed_call: f64,
    /// Number of the draw of the unknown biology; the summer's own unless luck and biology are drawn apart.
    pub biology: u32,
    /// Random-number tables.
    pub tables: &'static Tables,
}

/// The quantile of one unknown in one summer: keyed by its name, so that no other choice moves it.
pub(super) fn quantile(seed: u64, summer: u32, name: &str, number: usize) -> f64 {
    // FNV-1a, 32 bits: a name becomes a stream.
    let hash = name.bytes().fold(0x811c_9dc5_u32, |h, b| {
        (h ^ u32::from(b)).wrapping_mul(0x0100_0193)
    });
    ShortStream::with_tag(seed, summer, hash, Purpose::Biology, number as u32).uniform()
}

/// Whether no number above 1 divides both.
fn coprime(a: u64, b: u64) -> bool {
    if b == 0 { a == 1 } else { coprime(b, a % b) }
}

/// The fitted set of a summer, where the pest has such sets: each is used once, in an order drawn anew, before any is used
/// again, so that many summers use all of them equally often.
pub fn fitted_set(scenario: &Scenario, summer: u32) -> Option<usize> {
    let sets = scenario.kept_sets.as_ref()?;
    let n = sets.len() as u32;
    let seed = scenario.settings.seed;
    let order = sets.order(|i| quantile(seed, summer / n, "order of the fitted sets", i));
    Some(order[(summer % n) as usize])
}

/// An unknown held at one quantile of its range instead of the summer's own draw.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// Whose unknown, as the draws are keyed: for example `pest:japanese-beetle`, `crop:grape`, `pressure`.
    pub id: String,
    /// Place in the parameter table of its kind.
    pub number: usize,
    /// Quantile of the range, in \[0, 1\].
    pub quantile: f64,
}

/// Uniform number `i` (below 2^24) of a study: numbers that choose points to try, apart from every summer's draws.
pub fn study_uniform(seed: u64, study: &str, i: usize) -> f64 {
    quantile(seed, u32::MAX, study, i)
}

impl Ground {
    /// Draws the unknown biology and the wind of one summer and lays out the arena.
    ///
    /// The core is the land with the longest drawn reach round it, and [`MARGIN_SEGMENTS`] of open land lie round that (an
    /// isolated yard keeps its own margin).
    pub fn for_summer(scenario: &Scenario, summer: u32) -> Ground {
        Ground::for_draws(scenario, summer, summer)
    }

    /// As [`Ground::for_summer`], with some unknowns held; no other draw moves.
    pub fn for_summer_with(scenario: &Scenario, summer: u32, held: &[Held]) -> Ground {
        Ground::with_biology(scenario, summer, held).under_luck(scenario, summer)
    }

    /// As [`Ground::for_summer`] with the unknown biology of one draw and the luck of another: the biology of a summer
    /// stays the same over several seasons, or under several draws of luck.
    pub fn for_draws(scenario: &Scenario, biology: u32, luck: u32) -> Ground {
        Ground::with_biology(scenario, biology, &[]).under_luck(scenario, luck)
    }

    /// As [`Ground::for_summer`] for one of `of` draws that fill the unknown biology evenly: number `draw` has its turn in
    /// the fitted sets, and each number that no set gives takes each of the `of` slices of its range once, in an order of
    /// its own. `luck` numbers all other draws.
    ///
    /// # Source
    /// Latin hypercube: McKay, Beckman & Conover 1979, Technometrics 21: 239-245 (from memory); here the orders are random
    /// multiples modulo `of`.
    pub fn for_even_draw(scenario: &Scenario, (draw, of): (u32, u32), luck: u32) -> Ground {
        let (seed, n) = (scenario.settings.seed, u64::from(of));
        let turn = luck - draw;
        let of_set = scenario.kept_sets.as_ref();
        let slice = |id: &str, number: usize| {
            let pick =
                |k: usize| (quantile(seed, turn, id, number + (k << 16)) * f64::from(of)) as u64;
            let step = (0..64)
                .map(|k| pick(k).max(1))
                .find(|step| coprime(*step, n))
                .unwrap_or(1);
            let slice = (step * u64::from(draw) + pick(255)) % n;
            (slice as f64 + quantile(seed, luck, id, number)) / f64::from(of)
        };
        let quantile = |id: &str, number: usize| {
            of_set
                .and_then(|sets| sets.quantile(draw as usize % sets.len(), id, number))
                .unwrap_or_else(|| slice(id, number))
        };
        Ground::of_biology(scenario, luck, &quantile).under_luck(scenario, luck)
    }

    fn under_luck(mut self, scenario: &Scenario, luck: u32) -> Ground {
        self.summer = luck;
        if let Some(weather) = &scenario.weather {
            let uniform = quantile(self.seed, luck, "days of the weather", 0);
            let fit = FitHours::new(
                &weather.days_from(uniform, self.clock.days),
                self.clock.day_s,
            );
            self.clock.fit = Some(Arc::new(fit));
            // Deaths go by the days, however many hours of them are fit.
            let all_s = f64::from(self.clock.days) * self.clock.day_s;
            self.death_per_s *= all_s / self.clock.end_s();
        }
        let hours = Hours {
            days: self.clock.days,
            per_day: self.clock.hours_per_day(),
            start_hour: self.clock.start_hour,
            day_air: self.day_air.clone(),
        };
        let up = scenario.up_bearing_rad;
        self.wind = WindTable::draw(&scenario.wind, &hours, up, self.seed, luck);
        self
    }

    fn with_biology(scenario: &Scenario, summer: u32, held: &[Held]) -> Ground {
        let seed = scenario.settings.seed;
        let kept = scenario
            .kept_sets
            .as_ref()
            .zip(fitted_set(scenario, summer));
        // What is held wins over a fitted set, and a set over the number's own draw.
        let quantile = |id: &str, number: usize| {
            held.iter()
                .find(|h| h.number == number && h.id == id)
                .map(|h| h.quantile)
                .or_else(|| kept.and_then(|(sets, set)| sets.quantile(set, id, number)))
                .unwrap_or_else(|| quantile(seed, summer, id, number))
        };
        let mut ground = Ground::of_biology(scenario, summer, &quantile);
        let of_method = |h: &&Held| h.id.starts_with("method:");
        ground.held = held.iter().filter(of_method).cloned().collect();
        ground
    }

    fn of_biology(
        scenario: &Scenario,
        summer: u32,
        quantile: &dyn Fn(&str, usize) -> f64,
    ) -> Ground {
        let seed = scenario.settings.seed;
        let pest_id = format!("pest:{}", scenario.pest.id);
        let pest = scenario.pest.values.draw(|i| quantile(&pest_id, i));
        let lures: Vec<LureDraw> = scenario
            .lures
            .iter()
            .map(|l| {
                let id = format!("lure:{}", l.id);
                l.values.draw(|i| quantile(&id, i))
            })
            .collect();
        let traps: Vec<TrapDraw> = scenario
            .trap_kinds
            .iter()
            .map(|t| {
                let id = format!("trap:{}", t.id);
                t.values.draw(|i| quantile(&id, i))
            })
            .collect();
        let hosts: Vec<HostDraw> = scenario
            .crops
            .iter()
            .map(|c| {
                let id = format!("crop:{}", c.kind.id);
                c.host.draw(|i| quantile(&id, i))
            })
            .collect();
        let plants: Vec<PlantSite> = scenario
            .plants
            .iter()
            .map(|p| PlantSite {
                at: p.at,
                canopy_m: p.canopy_m,
                detection_m: p.canopy_m + hosts[p.crop].detection,
                acceptance: hosts[p.crop].acceptance,
            })
            .collect();
        let units = scenario
            .plants
            .iter()
            .map(|p| hosts[p.crop].units)
            .collect();
        let active = &scenario.pest.activity;
        let clock = Clock::new(scenario.window.days, active.hours, active.start_hour);
        let reach = scenario
            .plans
            .iter()
            .flat_map(|plan| &plan.traps)
            .map(|t| {
                t.catch_radius_m
                    .unwrap_or_else(|| reach_of(&lures[t.lure], t.n_lures))
            })
            .chain(lures.iter().map(|l| l.reach))
            .fold(0.0, f64::max);
        let crawls = scenario.pest.mover == crate::catalogue::Mover::Crawler;
        let wall = if scenario.isolated || crawls {
            Wall::Reflecting
        } else {
            Wall::Open
        };
        let mut land = scenario.yard;
        for plot in &scenario.plots {
            land = land.union(&plot.area);
        }
        for source in scenario.sources.iter().filter(|s| s.bed.is_none()) {
            let r = source.radius_m;
            land =
                land.union(&Rect::new(source.at.x, source.at.y, source.at.x, source.at.y).grown(r));
        }
        for trap in scenario.plans.iter().flat_map(|p| &p.traps) {
            land = land.union(&Rect::new(trap.at.x, trap.at.y, trap.at.x, trap.at.y));
        }
        let lookup = PlantLookup::new(&plants, LOOKUP_CELL_M);
        let arena = if wall == Wall::Open {
            let core = land.grown(reach).union(&lookup.region);
            Arena {
                outline: Outline::Rect(core.grown(MARGIN_SEGMENTS * pest.segment_mean)),
                wall,
                core: Some(core),
            }
        } else {
            let margin = if scenario.isolated {
                scenario.isolated_margin_m
            } else {
                reach + 3.0 * pest.segment_mean
            };
            Arena {
                outline: Outline::Rect(land.grown(margin)),
                wall,
                core: None,
            }
        };
        let low_log = libm::log(scenario.pressure.low);
        let high_log = libm::log(scenario.pressure.high);
        let seen = libm::exp(low_log + (high_log - low_log) * quantile("pressure", 0));
        let source_per_day = scenario
            .sources
            .iter()
            .enumerate()
            .map(|(i, s)| s.per_day_low + (s.per_day_high - s.per_day_low) * quantile("source", i))
            .collect();
        let mut care = Care::none(clock.days);
        for (i, plant) in scenario.plants.iter().enumerate() {
            if scenario.crops[plant.crop].trap_crop {
                for day in 0..clock.days {
                    care.scale_acceptance(scenario.plants.len(), i, day, 0.0);
                }
            }
        }
        Ground {
            seed,
            summer,
            arena,
            walk: Walk {
                step: StepLaw::Exponential(pest.segment_mean),
                turn: TurnLaw::WrappedNormal(pest.turn_sd),
            },
            search: Walk {
                step: StepLaw::Exponential(pest.search_segment),
                turn: TurnLaw::WrappedNormal(pest.search_turn_sd),
            },
            lookup,
            units,
            plants,
            crop_of: scenario.plants.iter().map(|p| p.crop).collect(),
            crop: (0..scenario.plants.len() as u32)
                .filter(|i| {
                    let crop = &scenario.crops[scenario.plants[*i as usize].crop];
                    crop.owner == Owner::Mine && !crop.trap_crop
                })
                .collect(),
            wind: WindTable {
                hours: Vec::new(),
                hours_per_day: 0,
            },
            care,
            chewed_call: MOST_CALL[0]
                + (MOST_CALL[1] - MOST_CALL[0]) * quantile("chewed leaves call", 0),
            biology: summer,
            lures,
            traps,
            seen_on_plants: seen,
            day_air: {
                let [begins, ends] = [0, 1].map(|i| {
                    let [low, high] = DAY_AIR[i];
                    low + (high - low) * quantile("day air", i)
                });
                begins..ends
            },
            held: Vec::new(),
            growth: libm::exp(libm::log(MOST_GROWTH) * quantile("growth", 0)),
            source_per_day,
            crawls,
            mated_by_day: vec![1.0 - libm::exp(-pest.matings); clock.days as usize],
            death_per_s: -libm::log(pest.daily_survival) / clock.day_s,
            clock,
            pest,
            tables: Tables::get(),
        }
    }

    /// The same summer with what a plan's methods do to the plants; `None` when the plan has none.
    pub fn under(&self, plan: &Plan) -> Option<Ground> {
        if plan.methods.is_empty() {
            return None;
        }
        let site = Site {
            days: self.clock.days,
            day_s: self.clock.day_s,
            start_hour: self.clock.start_hour,
            body_width_mm: self.pest.body_width,
            crop_of: &self.crop_of,
        };
        let mut ground = self.clone();
        // A trap crop must stand before anything is done to it.
        let plants =
            |m: &&crate::control::Method| matches!(m.action, crate::control::Action::TrapCrop(_));
        let others = plan.methods.iter().filter(|m| !plants(m));
        for method in plan.methods.iter().filter(plants).chain(others) {
            let id = format!("method:{}", method.kind.id);
            let draw = method.draw(|i| {
                let held = self.held.iter().find(|h| h.number == i && h.id == id);
                held.map_or_else(|| quantile(self.seed, self.biology, &id, i), |h| h.quantile)
            });
            method.act(&draw, &site, &mut ground.care);
        }
        if self.clock.fit.is_some() {
            ground.care.move_visits(|t_s| self.clock.of_whole_days(t_s));
        }
        Some(ground)
    }

    /// How long a bout of ordinary movement goes on, seconds: a usual one or, rarely, a long flight.
    #[inline]
    pub fn bout_s(&self, stream: &mut LongStream) -> f64 {
        let long = self.pest.long_share > 0.0 && stream.uniform() < self.pest.long_share;
        self.bout_left_s(long, stream)
    }

    /// How long a bout of a kind goes on from any moment of it, seconds.
    #[inline]
    pub fn bout_left_s(&self, long: bool, stream: &mut LongStream) -> f64 {
        let mean = if long {
            self.pest.long_mean
        } else {
            self.pest.bout_mean
        };
        mean * stream.exponential(self.tables)
    }

    /// Whether an insect seen in flight is on a long one, from a number in \[0, 1): long bouts are met by their length.
    #[inline]
    pub fn is_on_long_flight(&self, luck: f64) -> bool {
        luck * self.mean_bout_s() < self.pest.long_share * self.pest.long_mean
    }

    /// Mean length of all bouts, seconds.
    pub fn mean_bout_s(&self) -> f64 {
        let long = self.pest.long_share;
        (1.0 - long) * self.pest.bout_mean + long * self.pest.long_mean
    }

    /// A fresh heading, and how long the bout with it goes on: free flight as it is lived, kept or looked back on.
    #[inline]
    pub fn bout(&self, stream: &mut LongStream) -> ((f64, f64), f64) {
        let heading = uniform_heading(stream.uniform());
        (heading, self.bout_s(stream))
    }

    /// How long the rest after a bout is, seconds.
    #[inline]
    pub fn rest_s(&self, stream: &mut LongStream) -> f64 {
        self.pest.rest_mean * stream.exponential(self.tables)
    }

    /// First heading of a search round a trap, and how long it goes on.
    #[inline]
    pub fn search_around(&self, fate: &mut ShortStream) -> ((f64, f64), f64) {
        let heading = uniform_heading(fate.uniform());
        (
            heading,
            self.pest.search_mean * fate.exponential(self.tables),
        )
    }

    /// The traps of a plan as lures of this summer, inert ones left out, with their index in the plan.
    pub fn lures_of(&self, plan: &Plan) -> Vec<(usize, LureSite)> {
        plan.traps
            .iter()
            .enumerate()
            .map(|(i, trap)| (i, self.lure_site(trap, i as u32)))
            .filter(|(_, site)| !site.is_inert())
            .collect()
    }

    /// One trap as a lure of this summer. `tag` keys its draws.
    pub fn lure_site(&self, trap: &Trap, tag: u32) -> LureSite {
        let lure = &self.lures[trap.lure];
        let kind = &self.traps[trap.kind];
        let reach_m = reach_of(lure, trap.n_lures);
        let strength_by_day: Vec<f64> = (0..self.clock.days)
            .map(|day| {
                if day < trap.from_day || day >= trap.to_day {
                    return 0.0;
                }
                let age = trap.lure_age_d + f64::from(day - trap.from_day);
                trap.strength * libm::exp2(-age / lure.life)
            })
            .collect();
        let attraction = match trap.catch_radius_m {
            Some(radius_m) => Attraction::Encounter {
                radius_m,
                calls: [lure.male_response > 0.0, lure.female_response > 0.0],
            },
            None => Attraction::Plume {
                reach_m,
                near_m: reach_m * lure.near_share,
                fall: lure.fall,
                female_per_s: lure.response * lure.female_response,
                male_per_s: lure.response * lure.male_response,
            },
        };
        LureSite {
            at: trap.at,
            tag,
            attraction,
            strength_most: trap.strength.max(1.0),
            strength_by_day,
            capture: kind.capture,
            land: kind.land.min(1.0 - kind.capture),
            late_capture: kind.late_capture,
            touch_m: kind.touch,
            spill_m: self.pest.spillover,
            near_plants: self.plants_near(trap.at),
            full: false,
        }
    }

    /// The asker's plants, trap crops left out, within some metres of a place.
    pub fn crop_near(&self, at: Point, metres: f64) -> Vec<u32> {
        let near = |i: &u32| self.plants[*i as usize].at.distance(at) <= metres;
        self.crop.iter().copied().filter(near).collect()
    }

    /// Plants that insects drawn to a lure at a place may spill over to: their detection disc comes within
    /// [`SPILLS`] spillover lengths.
    pub fn plants_near(&self, at: Point) -> Vec<u32> {
        let radius_m = SPILLS * self.pest.spillover;
        (0..self.plants.len())
            .filter(|&i| self.plants[i].at.distance(at) - self.plants[i].detection_m < radius_m)
            .map(|i| i as u32)
            .collect()
    }

    /// Flying insects per m2 for one insect seen on the asker's plants at one look: the exact approach rate
    /// 2·r·v·n of isotropic flight at each detection disc, times acceptance and stay, without mutual shading.
    pub fn flying_density_per_seen(&self, scenario: &Scenario) -> f64 {
        let mut seen_per_density = 0.0;
        for (plant, site) in scenario.plants.iter().zip(&self.plants) {
            let crop = &scenario.crops[plant.crop];
            if crop.owner == Owner::Mine && !crop.trap_crop {
                seen_per_density += 2.0
                    * site.detection_m
                    * self.pest.speed
                    * site.acceptance
                    * self.pest.residence_mean;
            }
        }
        1.0 / seen_per_density
    }
}

/// Cell of the plant grid, metres; a matter of speed only (tested).
pub const LOOKUP_CELL_M: f64 = 2.0;

/// Reach of a trap with so many lures, metres.
fn reach_of(lure: &LureDraw, n_lures: u32) -> f64 {
    lure.reach * reach_factor(n_lures, lure.strength_exponent)
}
