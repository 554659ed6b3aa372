//! The same rules written as one would on a first day: a loop over insects, a loop over every object for every straight
//! flight, angles through the standard library, and a general-purpose generator. It is the yardstick of the bench.

use lurefield::engine::arrival::Arrivals;
use lurefield::engine::ground::{Ground, Outline, Wall};
use lurefield::engine::lure::{Attraction, LureSite, SPILLS};
use lurefield::engine::wind::Air;
use lurefield::geometry::Rect;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Exp1, StandardNormal};
use std::f64::consts::PI;

/// What a summer came to.
#[derive(Default)]
pub(crate) struct Totals {
    /// Feeding on all plants, seconds.
    pub(crate) fed_s: f64,
    /// Insects caught.
    pub(crate) caught: u64,
    /// Straight flights.
    pub(crate) segments: u64,
}

enum Mode {
    Bout(f64),
    Rest(f64),
    OnPlant(usize, f64),
    Approach(usize, f64),
    /// Until when, and whether the trap keeps it then.
    Pause(f64, bool),
    Search(f64),
    Over,
}

struct Beetle {
    x: f64,
    y: f64,
    heading: f64,
    t: f64,
    dies: f64,
    female: bool,
    mode: Mode,
    /// Ignores each lure until then.
    ignores: Vec<f64>,
    /// The lure answered last, and the plants it is ready to land on near it.
    lure: usize,
    ready: Vec<bool>,
}

/// One summer, with the same numbers of insects in each group as the engine has.
pub(crate) fn summer(
    ground: &Ground,
    lures: &[LureSite],
    arrivals: &Arrivals,
    seed: u64,
) -> Totals {
    let mut rng = StdRng::seed_from_u64(seed);
    let mut totals = Totals::default();
    for number in 0..arrivals.total() {
        let mut beetle = newcomer(ground, lures.len(), arrivals, number, &mut rng);
        live(ground, lures, &mut beetle, &mut rng, &mut totals);
    }
    totals
}

fn exponential(rng: &mut StdRng) -> f64 {
    Exp1.sample(rng)
}

fn normal(rng: &mut StdRng) -> f64 {
    StandardNormal.sample(rng)
}

fn newcomer(
    ground: &Ground,
    n_lures: usize,
    arrivals: &Arrivals,
    number: u32,
    rng: &mut StdRng,
) -> Beetle {
    let Outline::Rect(r) = ground.arena.outline else {
        panic!("the textbook knows rectangles only");
    };
    let end = ground.clock.end_s();
    let initial = number < arrivals.initial;
    let over_edge = !initial && number < arrivals.initial + arrivals.over_edge;
    let t = if initial {
        0.0
    } else {
        end * rng.random::<f64>()
    };
    let pest = &ground.pest;
    let (x, y, heading, flies) = if over_edge {
        let (x, y, inward) = edge_point(&r, r.perimeter() * rng.random::<f64>());
        let off = (2.0 * rng.random::<f64>() - 1.0).asin();
        (x, y, inward + off, true)
    } else {
        let x = r.x0 + r.width() * rng.random::<f64>();
        let y = r.y0 + r.height() * rng.random::<f64>();
        let bout = ground.mean_bout_s();
        let flies = rng.random::<f64>() < bout / (bout + pest.rest_mean);
        (x, y, 2.0 * PI * rng.random::<f64>(), flies)
    };
    let long = pest.long_share * pest.long_mean;
    let mean = if rng.random::<f64>() < long / ground.mean_bout_s() {
        pest.long_mean
    } else {
        pest.bout_mean
    };
    let mode = if flies {
        Mode::Bout(t + mean * exponential(rng))
    } else {
        Mode::Rest(t + pest.rest_mean * exponential(rng))
    };
    Beetle {
        x,
        y,
        heading,
        t,
        dies: t + exponential(rng) / ground.death_per_s,
        female: rng.random::<f64>() < pest.female_share,
        mode,
        ignores: vec![0.0; n_lures],
        lure: 0,
        ready: Vec::new(),
    }
}

fn edge_point(r: &Rect, along: f64) -> (f64, f64, f64) {
    let (w, h) = (r.width(), r.height());
    if along < w {
        (r.x0 + along, r.y0, PI / 2.0)
    } else if along < w + h {
        (r.x1, r.y0 + along - w, PI)
    } else if along < 2.0 * w + h {
        (r.x1 - (along - w - h), r.y1, -PI / 2.0)
    } else {
        (r.x0, r.y1 - (along - 2.0 * w - h), 0.0)
    }
}

fn live(
    ground: &Ground,
    lures: &[LureSite],
    b: &mut Beetle,
    rng: &mut StdRng,
    totals: &mut Totals,
) {
    let end = ground.clock.end_s();
    let pest = &ground.pest;
    while b.t < end {
        match b.mode {
            Mode::Over => return,
            Mode::Rest(until) | Mode::Pause(until, _) => {
                if b.dies < until || until > end {
                    return;
                }
                b.t = until;
                if let Mode::Pause(_, late) = b.mode {
                    if late {
                        totals.caught += 1;
                        b.mode = Mode::Over;
                        return;
                    }
                    b.heading = 2.0 * PI * rng.random::<f64>();
                    b.mode = Mode::Search(b.t + pest.search_mean * exponential(rng));
                } else {
                    set_off(ground, b, rng);
                }
            }
            Mode::OnPlant(_, until) => {
                let stop = until.min(b.dies).min(end).max(b.t);
                let day = ground.clock.day_s;
                let evenings = (stop / day).floor() - (b.t / day).floor();
                totals.fed_s += stop - b.t + evenings * pest.late_feeding;
                b.t = stop;
                if stop < until {
                    return;
                }
                set_off(ground, b, rng);
            }
            Mode::Bout(until) => fly(ground, lures, b, until, false, rng, totals),
            Mode::Search(until) => fly(ground, lures, b, until, true, rng, totals),
            Mode::Approach(lure, lost) => approach(ground, lures, b, lure, lost, rng, totals),
        }
    }
}

fn set_off(ground: &Ground, b: &mut Beetle, rng: &mut StdRng) {
    b.heading = 2.0 * PI * rng.random::<f64>();
    let long = rng.random::<f64>() < ground.pest.long_share;
    let mean = if long {
        ground.pest.long_mean
    } else {
        ground.pest.bout_mean
    };
    b.mode = Mode::Bout(b.t + mean * exponential(rng));
}

/// One straight flight of a bout or a search.
fn fly(
    ground: &Ground,
    lures: &[LureSite],
    b: &mut Beetle,
    until: f64,
    searching: bool,
    rng: &mut StdRng,
    totals: &mut Totals,
) {
    let pest = &ground.pest;
    let end = ground.clock.end_s();
    let (mean, turn_sd) = if searching {
        (pest.search_segment, pest.search_turn_sd)
    } else {
        (pest.segment_mean, pest.turn_sd)
    };
    let (ux, uy) = (b.heading.cos(), b.heading.sin());
    let stop = until.min(b.dies).min(end);
    let wanted = mean * exponential(rng);
    let room = (stop - b.t).max(0.0) * pest.speed;
    let mut length = wanted.min(room);
    let (wall, normal_x) = to_wall(ground, b.x, b.y, ux, uy);
    let hits_wall = wall < length;
    length = length.min(wall);
    let mut event: Option<(f64, Mode)> = None;
    let met = if searching {
        first_plant_by_lure(ground, &lures[b.lure], b, ux, uy, length, rng)
    } else {
        first_plant(ground, b, ux, uy, length, |_, _| 1.0, rng)
    };
    if let Some((s, plant)) = met {
        event = Some((s, Mode::OnPlant(plant, 0.0)));
    }
    if !searching {
        for (k, lure) in lures.iter().enumerate() {
            let limit = event.as_ref().map_or(length, |e| e.0);
            if let Some(s) = response(ground, lure, b, b.ignores[k], ux, uy, limit, rng) {
                event = Some((s, Mode::Approach(k, 0.0)));
            }
        }
    }
    totals.segments += 1;
    let s = event.as_ref().map_or(length, |e| e.0);
    b.x += s * ux;
    b.y += s * uy;
    b.t += s / pest.speed;
    match event {
        Some((_, Mode::OnPlant(plant, _))) => land(ground, b, plant, rng),
        Some((_, Mode::Approach(lure, _))) => {
            b.lure = lure;
            let plants = ground.plants.iter();
            b.ready = plants
                .map(|p| rng.random::<f64>() < p.acceptance * pest.arousal)
                .collect();
            b.mode = Mode::Approach(lure, b.t + exponential(rng) / pest.approach_loss);
        }
        _ if hits_wall && ground.arena.wall == Wall::Open => b.mode = Mode::Over,
        _ if hits_wall => b.heading = if normal_x { PI - b.heading } else { -b.heading },
        _ if room <= wanted => {
            b.t = b.t.max(stop);
            if b.dies <= b.t {
                b.mode = Mode::Over;
            } else if searching {
                set_off(ground, b, rng);
            } else {
                b.mode = Mode::Rest(b.t + pest.rest_mean * exponential(rng));
            }
        }
        _ => b.heading += turn_sd * normal(rng),
    }
}

/// Distance to the wall along a heading, and whether it is an east or west one.
fn to_wall(ground: &Ground, x: f64, y: f64, ux: f64, uy: f64) -> (f64, bool) {
    let Outline::Rect(r) = ground.arena.outline else {
        panic!("the textbook knows rectangles only");
    };
    let sx = if ux > 0.0 {
        (r.x1 - x) / ux
    } else {
        (r.x0 - x) / ux
    };
    let sy = if uy > 0.0 {
        (r.y1 - y) / uy
    } else {
        (r.y0 - y) / uy
    };
    (sx.min(sy).max(0.0), sx <= sy)
}

/// Where a line enters and leaves a disc.
fn crossing(b: &Beetle, ux: f64, uy: f64, cx: f64, cy: f64, radius: f64) -> Option<(f64, f64)> {
    let (dx, dy) = (b.x - cx, b.y - cy);
    let half_b = dx * ux + dy * uy;
    let c = dx * dx + dy * dy - radius * radius;
    let discriminant = half_b * half_b - c;
    (discriminant > 0.0).then(|| (-half_b - discriminant.sqrt(), -half_b + discriminant.sqrt()))
}

/// Spillover at a distance: exp(−r/λ), less what is left at its end.
fn spilled(r: f64, length: f64) -> f64 {
    let rest = (-SPILLS).exp();
    (((-r / length).exp() - rest) / (1.0 - rest)).max(0.0)
}

/// The first plant landed on by an insect that answers a lure: usual noticing gives way to landing by arousal near it.
fn first_plant_by_lure(
    ground: &Ground,
    lure: &LureSite,
    b: &Beetle,
    ux: f64,
    uy: f64,
    length: f64,
    rng: &mut StdRng,
) -> Option<(f64, usize)> {
    let near = |s: f64| {
        let (dx, dy) = (b.x + s * ux - lure.at.x, b.y + s * uy - lure.at.y);
        spilled(dx.hypot(dy), lure.spill_m)
    };
    let mut first: Option<(f64, usize)> = None;
    for (i, plant) in ground.plants.iter().enumerate() {
        let across = crossing(b, ux, uy, plant.at.x, plant.at.y, plant.detection_m);
        let Some((enter, leave)) = across else {
            continue;
        };
        if !b.ready[i] {
            continue;
        }
        let mut s = enter.max(0.0);
        loop {
            s += plant.detection_m * exponential(rng);
            if s >= leave.min(first.map_or(length, |f| f.0)) {
                break;
            }
            if rng.random::<f64>() < near(s) {
                first = Some((s, i));
            }
        }
    }
    let length = first.map_or(length, |f| f.0);
    first_plant(ground, b, ux, uy, length, |_, s| 1.0 - near(s), rng).or(first)
}

/// The first plant accepted along a straight flight: every plant is looked at.
fn first_plant(
    ground: &Ground,
    b: &Beetle,
    ux: f64,
    uy: f64,
    length: f64,
    share: impl Fn(usize, f64) -> f64,
    rng: &mut StdRng,
) -> Option<(f64, usize)> {
    let mut first: Option<(f64, usize)> = None;
    for (i, plant) in ground.plants.iter().enumerate() {
        if let Some((s, _)) = crossing(b, ux, uy, plant.at.x, plant.at.y, plant.detection_m)
            && s > 0.0
            && s <= length
            && first.is_none_or(|f| s < f.0)
            && rng.random::<f64>() < plant.acceptance * share(i, s)
        {
            first = Some((s, i));
        }
    }
    first
}

/// Where along a straight flight an insect answers a lure, hour by hour.
#[expect(clippy::too_many_arguments, reason = "a first-day program")]
fn response(
    ground: &Ground,
    lure: &LureSite,
    b: &Beetle,
    ignores_until: f64,
    ux: f64,
    uy: f64,
    length: f64,
    rng: &mut StdRng,
) -> Option<f64> {
    let Attraction::Plume {
        reach_m,
        near_m,
        fall,
        female_per_s,
        male_per_s,
    } = lure.attraction
    else {
        return None;
    };
    let speed = ground.pest.speed;
    let (enter, leave) = crossing(b, ux, uy, lure.at.x, lure.at.y, reach_m)?;
    let mut begin = enter.max(0.0).max((ignores_until - b.t) * speed);
    let last = leave.min(length);
    while begin < last {
        let hour = ground.clock.hour_at(b.t + begin / speed);
        let mut end = ((hour.ends_s - b.t) * speed).min(last);
        if end <= begin {
            end = last;
        }
        let most = if b.female { female_per_s } else { male_per_s };
        let hours = ground.wind.hours_per_day;
        let air = ground.wind.hours[hour.day * hours + hour.of_day];
        let mut s = begin;
        loop {
            if most <= 0.0 {
                break;
            }
            s += exponential(rng) / most * speed;
            if s >= end {
                break;
            }
            let (dx, dy) = (b.x + s * ux - lure.at.x, b.y + s * uy - lure.at.y);
            let r = dx.hypot(dy);
            let left = |within: f64| (1.0 - (r / within).powf(fall)).max(0.0);
            let share = match air {
                Air::Calm => left(reach_m),
                Air::Blowing { toward, spread_rad } => {
                    let mut off = (dy.atan2(dx) - toward.1.atan2(toward.0)).abs();
                    if off > PI {
                        off = 2.0 * PI - off;
                    }
                    let across = (-0.5 * (off / spread_rad).powi(2)).exp();
                    (left(reach_m) * across).max(left(near_m))
                }
            };
            if rng.random::<f64>() < lure.strength_by_day[hour.day] * share {
                return Some(s);
            }
        }
        begin = end;
    }
    None
}

fn land(ground: &Ground, b: &mut Beetle, plant: usize, rng: &mut StdRng) {
    let site = &ground.plants[plant];
    let angle = 2.0 * PI * rng.random::<f64>();
    let r = site.canopy_m * rng.random::<f64>().sqrt();
    b.x = site.at.x + r * angle.cos();
    b.y = site.at.y + r * angle.sin();
    b.mode = Mode::OnPlant(plant, b.t + ground.pest.residence_mean * exponential(rng));
}

/// One straight flight on the way to a lure.
fn approach(
    ground: &Ground,
    lures: &[LureSite],
    b: &mut Beetle,
    lure: usize,
    lost: f64,
    rng: &mut StdRng,
    totals: &mut Totals,
) {
    let pest = &ground.pest;
    let site = &lures[lure];
    let (dx, dy) = (site.at.x - b.x, site.at.y - b.y);
    let distance = dx.hypot(dy);
    if distance <= site.touch_m * (1.0 + 1e-9) {
        return arrive(ground, site, b, lure, rng, totals);
    }
    let heading = dy.atan2(dx) + pest.approach_turn_sd * normal(rng);
    let (ux, uy) = (heading.cos(), heading.sin());
    let stop = lost.min(b.dies).min(ground.clock.end_s());
    let room = (stop - b.t).max(0.0) * pest.speed;
    let wanted = (pest.approach_segment * exponential(rng)).min(distance);
    let mut length = wanted.min(room);
    let (wall, _) = to_wall(ground, b.x, b.y, ux, uy);
    let hits_wall = wall < length;
    length = length.min(wall);
    let enters = crossing(b, ux, uy, site.at.x, site.at.y, site.touch_m)
        .map(|c| c.0)
        .filter(|&s| s > 0.0 && s <= length);
    length = enters.unwrap_or(length);
    totals.segments += 1;
    let plant = first_plant_by_lure(ground, site, b, ux, uy, length, rng);
    let s = plant.map_or(length, |p| p.0);
    b.x += s * ux;
    b.y += s * uy;
    b.t += s / pest.speed;
    if let Some((_, plant)) = plant {
        return land(ground, b, plant, rng);
    }
    if enters.is_some() {
        return arrive(ground, site, b, lure, rng, totals);
    }
    if hits_wall {
        if ground.arena.wall == Wall::Open {
            b.mode = Mode::Over;
        }
        return;
    }
    if room <= wanted {
        b.t = b.t.max(stop);
        if b.dies <= b.t {
            b.mode = Mode::Over;
        } else if lost <= b.t {
            b.ignores[lure] = b.t + pest.refractory;
            set_off(ground, b, rng);
        }
    }
}

fn arrive(
    ground: &Ground,
    site: &LureSite,
    b: &mut Beetle,
    lure: usize,
    rng: &mut StdRng,
    totals: &mut Totals,
) {
    let pest = &ground.pest;
    b.t += (site.at.x - b.x).hypot(site.at.y - b.y) / pest.speed;
    totals.segments += 1;
    (b.x, b.y) = (site.at.x, site.at.y);
    let fate = rng.random::<f64>();
    if fate < site.capture {
        totals.caught += 1;
        b.mode = Mode::Over;
        return;
    }
    b.ignores[lure] = b.t + pest.refractory;
    if fate < site.capture + site.land {
        let late = rng.random::<f64>() < site.late_capture;
        b.mode = Mode::Pause(b.t + pest.nearby_rest * exponential(rng), late);
    } else {
        b.heading = 2.0 * PI * rng.random::<f64>();
        b.mode = Mode::Search(b.t + pest.search_mean * exponential(rng));
    }
}
