//! Who is there at the start, who comes over the edge, who emerges, and when.

use crate::engine::ground::{Ground, Outline, Wall};
use crate::engine::insect::{Insect, Mode};
use crate::engine::random::{LongStream, Purpose};
use crate::engine::walk::uniform_heading;
use crate::geometry::{Point, Rect};
use crate::scenario::{FromSide, Source};
use std::f64::consts::PI;

/// The insects of one summer: how many of each kind. Insect numbers run through the groups in this order.
#[derive(Clone, Debug, PartialEq)]
pub struct Arrivals {
    /// In the arena when the window opens.
    pub initial: u32,
    /// Over the edge of the visited part: all who come in, of whom those who had been there before are not made again.
    pub over_edge: u32,
    /// Emerging anywhere, to balance the natural deaths.
    pub emerging: u32,
    /// From each extra source.
    pub from_sources: Vec<u32>,
    /// Centre and radius of each source.
    sources: Vec<(Point, f64)>,
    /// Plants of the bed each source comes out of; empty for a source of its own.
    beds: Vec<Vec<u32>>,
    /// Day weights, their running sums and the largest.
    weights: Vec<f64>,
    day_sums: Vec<f64>,
    most: f64,
    sides: Sides,
}

/// How many insects come over each edge, relative to the mean of all: an even share, and one that comes from a side.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sides {
    from: Option<((f64, f64), f64, f64)>,
}

impl Sides {
    /// `outline` is that of the arena; a side says where the insects come from.
    fn of(side: Option<FromSide>, outline: &Outline) -> Sides {
        let from = side.map(|side| {
            let toward = (libm::sin(side.bearing_rad), libm::cos(side.bearing_rad));
            let (width, height) = match *outline {
                Outline::Rect(r) => (r.width(), r.height()),
                Outline::Disc { radius_m } => (2.0 * radius_m, 2.0 * radius_m),
            };
            // Only edges that face the side have a part in what comes from there; it is even along each.
            let facing = toward.0.abs() * height + toward.1.abs() * width;
            (
                toward,
                side.share,
                side.share * outline.perimeter() / facing,
            )
        });
        Sides { from }
    }

    /// Factor on the flux over an edge with this outward normal; its mean along the whole edge is 1.
    fn factor(&self, (nx, ny): (f64, f64)) -> f64 {
        self.from.map_or(1.0, |(toward, share, extra)| {
            1.0 - share + extra * (nx * toward.0 + ny * toward.1).max(0.0)
        })
    }

    /// The largest factor, at least 1.
    fn most(&self) -> f64 {
        let normals = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
        normals
            .map(|n| self.factor(n))
            .into_iter()
            .fold(1.0, f64::max)
    }
}

/// Draws how many come.
///
/// `flying_density` is the number of flying insects per m2. The visited part starts with the stationary mix of flying and
/// resting insects (resting / flying = mean rest / mean bout). Over its open edge comes the exact one-way flux
/// n·v/π per metre and second of isotropic flight. Where it is the core of a wider arena, those who come in are flown
/// backwards to where they came from ([`Arrivals::insect`]).
pub fn draw(
    ground: &Ground,
    sources: &[Source],
    flying_density: f64,
    day_weights: &[f64],
    side: Option<FromSide>,
) -> Arrivals {
    let mut stream = LongStream::new(ground.seed, ground.summer, u32::MAX, Purpose::Arrival);
    let tables = ground.tables;
    let visited = ground.arena.visited();
    let area = visited.area();
    let density = flying_density * (1.0 + ground.pest.rest_mean / ground.mean_bout_s());
    let mut day_sums = Vec::with_capacity(day_weights.len());
    let mut sum = 0.0;
    for (day, w) in day_weights.iter().enumerate() {
        sum += w * ground.clock.day_share(day as u32);
        day_sums.push(sum);
    }
    let weighted_s = sum * ground.clock.day_s;
    let first = day_weights.first().copied().unwrap_or(1.0);
    let open = ground.arena.wall == Wall::Open;
    let closed_stock = !open && !ground.crawls;
    let mean_initial = area * density * first;
    // An isolated population is a fixed number; elsewhere the number is Poisson.
    let drawn = stream.poisson(mean_initial, tables);
    let initial = if closed_stock {
        mean_initial.round() as u64
    } else {
        drawn
    };
    let edge_rate = flying_density * ground.pest.speed / PI * visited.perimeter();
    let sides = Sides::of(side, &ground.arena.outline);
    let most = day_weights.iter().copied().fold(0.0, f64::max) * sides.most();
    let edge_s = match ground.arena.core {
        Some(_) => most * ground.clock.end_s(),
        None => weighted_s,
    };
    let drawn = stream.poisson(edge_rate * edge_s, tables);
    let over_edge = if open { drawn } else { 0 };
    let drawn = stream.poisson(ground.death_per_s * density * area * weighted_s, tables);
    let emerging = if closed_stock { 0 } else { drawn };
    let from_sources = ground
        .source_per_day
        .iter()
        .map(|per_day| stream.poisson(per_day * sum, tables) as u32)
        .collect();
    Arrivals {
        initial: initial as u32,
        over_edge: over_edge as u32,
        emerging: emerging as u32,
        from_sources,
        sources: sources.iter().map(|s| (s.at, s.radius_m)).collect(),
        beds: sources
            .iter()
            .map(|s| {
                let of_bed = |i: &u32| s.bed == Some(ground.crop_of[*i as usize]);
                (0..ground.plants.len() as u32).filter(of_bed).collect()
            })
            .collect(),
        weights: day_weights.to_vec(),
        day_sums,
        most,
        sides,
    }
}

impl Arrivals {
    /// All numbers of the summer; where the arena has a core, some belong to nobody.
    pub fn total(&self) -> u32 {
        self.initial + self.over_edge + self.emerging + self.from_sources.iter().sum::<u32>()
    }

    /// The insects of the summer, as they come in.
    pub fn insects<'a>(&'a self, ground: &'a Ground) -> impl Iterator<Item = Insect> + 'a {
        (0..self.total()).filter_map(|id| self.insect(ground, id))
    }

    /// The insect of one number, as it comes in; `None` for one that had been in the core before, and so is there already,
    /// or that does not come so early in the season.
    ///
    /// Free flight is the same process forwards and backwards (exponential segments, bouts and rests, turns alike to both
    /// sides, uniform headings). All who come over the edge of the core are an equilibrium flux; the past of each, given
    /// where, when and which way it comes, is free flight backwards; and whether it comes for the first time depends on its
    /// past alone. So those whose past never was in the core are exactly the newcomers of the wide arena
    /// (tests/theory/edge.rs).
    pub fn insect(&self, ground: &Ground, id: u32) -> Option<Insect> {
        let mut stream = LongStream::new(ground.seed, ground.summer, id, Purpose::Arrival);
        let mut number = id;
        if number < self.initial {
            let mut insect = somewhere(ground, id, 0.0, &mut stream);
            insect.from_start = true;
            return Some(insect);
        }
        number -= self.initial;
        if number < self.over_edge {
            let u = stream.uniform();
            let t_s = match ground.arena.core {
                Some(_) => u * ground.clock.end_s(),
                None => self.time(ground, u),
            };
            let (at, heading) = over_the_edge(&ground.arena.visited(), &mut stream);
            // Past and future of the bout under way are of one kind, and apart from that independent.
            let long = ground.is_on_long_flight(stream.uniform());
            if let Some(core) = &ground.arena.core {
                let wanted = stream.uniform() * self.most;
                let came = came_at(ground, core, (t_s, at, heading), long, &mut stream)?;
                let by_side = came.over.map_or(1.0, |out| self.sides.factor(out));
                if wanted >= self.weights[ground.clock.day_at(came.t_s) as usize] * by_side {
                    return None;
                }
            }
            let mut insect = Insect::new(ground, id, t_s, at, heading, true);
            let bout_s = ground.bout_left_s(long, &mut insect.flight);
            insect.fly(bout_s);
            return Some(insect);
        }
        number -= self.over_edge;
        if number < self.emerging {
            let t_s = self.time(ground, stream.uniform());
            return Some(somewhere(ground, id, t_s, &mut stream));
        }
        number -= self.emerging;
        let mut which = 0;
        while number >= self.from_sources[which] {
            number -= self.from_sources[which];
            which += 1;
        }
        let t_s = self.time(ground, stream.uniform());
        if !self.beds[which].is_empty() {
            return Some(out_of_bed(ground, id, t_s, &self.beds[which], &mut stream));
        }
        let (centre, radius_m) = self.sources[which];
        let direction = uniform_heading(stream.uniform());
        let r = radius_m * stream.uniform().sqrt();
        let at = Point::new(centre.x + r * direction.0, centre.y + r * direction.1);
        let heading = uniform_heading(stream.uniform());
        let mut insect = Insect::new(ground, id, t_s, at, heading, false);
        let bout_s = ground.bout_s(&mut insect.flight);
        insect.fly(bout_s);
        Some(insect)
    }

    /// A time of coming at quantile `u`, by the day weights.
    fn time(&self, ground: &Ground, u: f64) -> f64 {
        let total = self.day_sums.last().copied().unwrap_or(1.0);
        let target = u * total;
        let day = self
            .day_sums
            .partition_point(|&sum| sum <= target)
            .min(self.day_sums.len() - 1);
        let before = if day == 0 {
            0.0
        } else {
            self.day_sums[day - 1]
        };
        let width = self.day_sums[day] - before;
        let within = if width > 0.0 {
            ((target - before) / width).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let (begins_s, ends_s) = (
            ground.clock.day_begins_s(day as u32),
            ground.clock.day_begins_s(day as u32 + 1),
        );
        begins_s + within * (ends_s - begins_s)
    }
}

/// How an insect came to be in the arena.
struct Came {
    /// When, seconds.
    t_s: f64,
    /// Outward normal of the edge that it came over; `None` for one that came out of the ground, or was there when the
    /// window opened.
    over: Option<(f64, f64)>,
}

/// How an insect that comes into the core (when, where, which way, on a long flight or not) came to be in the arena. `None`
/// when it had been in the core before.
fn came_at(
    ground: &Ground,
    core: &Rect,
    (t_s, at, heading): (f64, Point, (f64, f64)),
    long: bool,
    stream: &mut LongStream,
) -> Option<Came> {
    let (pest, tables) = (&ground.pest, ground.tables);
    let mut earliest_s = 0.0;
    if ground.death_per_s > 0.0 {
        earliest_s = (t_s - stream.exponential(tables) / ground.death_per_s).max(0.0);
    }
    let (mut t_s, mut at) = (t_s, at);
    let (mut ux, mut uy) = (-heading.0, -heading.1);
    // The first segment leads away from the core.
    let mut clear = true;
    let mut bout_s = ground.bout_left_s(long, stream);
    loop {
        loop {
            let room_s = bout_s.min(t_s - earliest_s);
            let length = ground.walk.length(stream, tables);
            let room = room_s * pest.speed;
            let s = length.min(room);
            let to = Point::new(at.x + ux * s, at.y + uy * s);
            if !clear && core.clip(at, to).is_some() {
                return None;
            }
            clear = false;
            if !ground.arena.contains(to.x, to.y) {
                let (s, nx, ny) = ground.arena.exit(at.x, at.y, ux, uy);
                return Some(Came {
                    t_s: t_s - s / pest.speed,
                    over: Some((nx, ny)),
                });
            }
            at = to;
            if length >= room {
                t_s -= room_s;
                break;
            }
            let passed_s = s / pest.speed;
            (t_s, bout_s) = (t_s - passed_s, bout_s - passed_s);
            (ux, uy) = ground.walk.turned(ux, uy, stream, tables);
        }
        t_s -= ground.rest_s(stream);
        if t_s <= earliest_s {
            return Some(Came {
                t_s: earliest_s,
                over: None,
            });
        }
        ((ux, uy), bout_s) = ground.bout(stream);
    }
}

/// An insect that comes out of the soil of a bed and climbs one of its plants.
fn out_of_bed(ground: &Ground, id: u32, t_s: f64, bed: &[u32], stream: &mut LongStream) -> Insect {
    let n = bed.len();
    let plant = bed[((stream.uniform() * n as f64) as usize).min(n - 1)];
    let heading = uniform_heading(stream.uniform());
    let at = ground.plants[plant as usize].at;
    let mut insect = Insect::new(ground, id, t_s, at, heading, false);
    insect.locked_in = true;
    insect.sit_down(ground, plant);
    insect
}

/// An insect anywhere in the arena, flying or resting in the stationary mix.
fn somewhere(ground: &Ground, id: u32, t_s: f64, stream: &mut LongStream) -> Insect {
    let at = match ground.arena.visited() {
        Outline::Rect(r) => Point::new(
            r.x0 + r.width() * stream.uniform(),
            r.y0 + r.height() * stream.uniform(),
        ),
        Outline::Disc { radius_m } => {
            let direction = uniform_heading(stream.uniform());
            let r = radius_m * stream.uniform().sqrt();
            Point::new(r * direction.0, r * direction.1)
        }
    };
    let heading = uniform_heading(stream.uniform());
    // In an open landscape the insects already there came from outside too.
    let from_outside = ground.arena.wall == Wall::Open;
    let mut insect = Insect::new(ground, id, t_s, at, heading, from_outside);
    let (bout, rest) = (ground.mean_bout_s(), ground.pest.rest_mean);
    if stream.uniform() * (bout + rest) < bout {
        let long = ground.is_on_long_flight(stream.uniform());
        let lasts_s = ground.bout_left_s(long, &mut insect.flight);
        insect.fly(lasts_s);
    } else {
        insect.mode = Mode::Rest {
            until_s: t_s + ground.rest_s(&mut insect.flight),
        };
    }
    insect
}

/// A point on the edge, uniform along it, and an inward heading by the cosine law.
fn over_the_edge(outline: &Outline, stream: &mut LongStream) -> (Point, (f64, f64)) {
    let place = stream.uniform();
    let sine = 2.0 * stream.uniform() - 1.0;
    let cosine = (1.0 - sine * sine).max(0.0).sqrt();
    let (at, (nx, ny)) = match *outline {
        Outline::Rect(r) => edge_point(&r, place * r.perimeter()),
        Outline::Disc { radius_m } => {
            let (ux, uy) = uniform_heading(place);
            // A hair inside, so that the first segment does not start beyond the edge.
            let r = radius_m * (1.0 - 1e-12);
            (Point::new(r * ux, r * uy), (-ux, -uy))
        }
    };
    (at, (nx * cosine - ny * sine, ny * cosine + nx * sine))
}

fn edge_point(r: &Rect, along: f64) -> (Point, (f64, f64)) {
    let (w, h) = (r.width(), r.height());
    if along < w {
        (Point::new(r.x0 + along, r.y0), (0.0, 1.0))
    } else if along < w + h {
        (Point::new(r.x1, r.y0 + (along - w)), (-1.0, 0.0))
    } else if along < 2.0 * w + h {
        (Point::new(r.x1 - (along - w - h), r.y1), (0.0, -1.0))
    } else {
        (
            Point::new(r.x0, (r.y1 - (along - 2.0 * w - h)).max(r.y0)),
            (1.0, 0.0),
        )
    }
}
