//! Crops: from rows, blocks, rings and single plants to stems, with the checks that need all plants.

use super::error::fault;
use super::file::{self, File};
use super::notes::Notes;
use super::place::member;
use super::{Crop, Owner, Plant, Plot, change};
use crate::catalogue::words::{self, Kind};
use crate::catalogue::{self, CropKind, Guild, HostValues, Pest};
use crate::geometry::{Point, Rect};
use crate::say::say;
use crate::units::{feet_and_metres, shortened};
use std::collections::BTreeSet;

/// Most plants in a scenario.
const MOST_PLANTS: usize = 5000;
/// Stems nearer than this stand on one spot, meters.
const SAME_SPOT_M: f64 = 0.03;

/// The ground plants and traps stand on.
pub(crate) struct Ground<'a> {
    /// The yard, when its size is known.
    pub(crate) yard: Option<Rect>,
    /// Neighbors' plots, `None` where faulty.
    pub(crate) plots: &'a [Option<Plot>],
}

impl Ground<'_> {
    /// The owner of a name: `me` or a neighbor.
    pub(crate) fn owner(&self, name: Option<&str>, path: &str, notes: &mut Notes) -> Option<Owner> {
        let Some(name) = name.filter(|n| !n.eq_ignore_ascii_case("me")) else {
            return Some(Owner::Mine);
        };
        let same = |p: &Option<Plot>| p.as_ref().is_some_and(|p| p.name == name);
        if let Some(i) = self.plots.iter().position(same) {
            return Some(Owner::Neighbour(i));
        }
        let mut known = vec!["me"];
        known.extend(self.plots.iter().flatten().map(|p| p.name.as_str()));
        notes.unknown(path, "owner", name, &known);
        None
    }

    /// The rectangle in which an owner's things must stand.
    pub(crate) fn area(&self, owner: Owner) -> Option<Rect> {
        match owner {
            Owner::Mine => self.yard,
            Owner::Neighbour(i) => self.plots.get(i)?.as_ref().map(|p| p.area),
        }
    }

    /// What to enlarge when something stands outside.
    pub(crate) fn enlarge(&self, owner: Owner, p: Point) -> String {
        match owner {
            Owner::Neighbour(_) => say!("fault.move.theirs"),
            Owner::Mine => {
                let yard = self.yard.unwrap_or(Rect::new(0.0, 0.0, 0.0, 0.0));
                say!(if p.x > yard.x1 {
                    "fault.move.width"
                } else if p.y > yard.y1 {
                    "fault.move.depth"
                } else {
                    "fault.move"
                })
            }
        }
    }
}

/// All plants.
pub(crate) struct Planted {
    /// Crops, the asker's own first.
    pub(crate) crops: Vec<Crop>,
    /// Plants grouped by crop.
    pub(crate) plants: Vec<Plant>,
}

struct Planting {
    crop: Crop,
    stems: Vec<Point>,
    canopy_m: f64,
    block: Option<Rect>,
    path: String,
}

/// Reads every crop of the yard and of the neighbors.
pub(crate) fn read(
    file: &File,
    ground: &Ground,
    pest: Option<&Pest>,
    notes: &mut Notes,
) -> Option<Planted> {
    if file.crops.is_empty() {
        fault!(notes, "crops", "fault.crops.none");
    }
    let mut seen = BTreeSet::new();
    let mut plantings = Vec::new();
    let mut add = |crops: &[file::Crop], root: &str, whose: Option<&str>, notes: &mut Notes| {
        for (i, crop) in crops.iter().enumerate() {
            let path = format!("{root}[{i}]");
            notes.name(&crop.name, &member(&path, "name"), &mut seen);
            plantings.push(planting(crop, path, whose, (ground, pest), notes));
        }
    };
    add(&file.crops, "crops", None, notes);
    for (n, neighbour) in file.neighbours.iter().enumerate() {
        let root = format!("neighbours[{n}].crops");
        add(&neighbour.crops, &root, Some(&neighbour.name), notes);
    }
    let plantings: Option<Vec<Planting>> = plantings.into_iter().collect();
    let mut plantings = plantings?;
    if !plantings.is_empty() && plantings.iter().all(|p| p.crop.owner != Owner::Mine) {
        fault!(notes, "crops", "fault.crops.none-yours");
    }
    plantings.sort_by_key(|p| p.crop.owner != Owner::Mine);
    let (n, limit): (usize, _) = (plantings.iter().map(|p| p.stems.len()).sum(), MOST_PLANTS);
    if n > limit {
        fault!(notes, "crops", "fault.crops.plants", n, limit);
        return None;
    }
    check_overlaps(&plantings, notes);
    Some(assemble(plantings))
}

fn assemble(plantings: Vec<Planting>) -> Planted {
    let mut out = Planted {
        crops: Vec::new(),
        plants: Vec::new(),
    };
    for (index, mut planting) in plantings.into_iter().enumerate() {
        planting.crop.first = out.plants.len();
        planting.crop.count = planting.stems.len();
        out.plants.extend(planting.stems.iter().map(|at| Plant {
            crop: index,
            at: *at,
            canopy_m: planting.canopy_m,
        }));
        out.crops.push(planting.crop);
    }
    out
}

fn planting(
    written: &file::Crop,
    path: String,
    whose: Option<&str>,
    (ground, pest): (&Ground, Option<&Pest>),
    notes: &mut Notes,
) -> Option<Planting> {
    let owner = written.owner.as_deref().or(whose);
    let owner = ground.owner(owner, &member(&path, "owner"), notes);
    let worth = written.worth.unwrap_or(1.0);
    if !(worth > 0.0 && worth <= 1e6) {
        fault!(notes, member(&path, "worth"), "fault.worth", n = worth);
    }
    let Some(kind) = words::find(Kind::Crop, &written.kind).and_then(catalogue::crop) else {
        notes.no_such(member(&path, "kind"), "plant", Kind::Crop, &written.kind);
        return None;
    };
    let canopy_m = canopy(written, (&kind, pest), &path, notes);
    let laid = lay_out(written, &kind, &path, notes);
    let host = pest.and_then(|pest| host(written, &kind, pest, &path, notes));
    let (owner, canopy_m, (stems, block), host) = (owner?, canopy_m?, laid?, host?);
    check_inside(&stems, owner, ground, &path, notes);
    let crop = Crop {
        name: written.name.clone(),
        kind,
        owner,
        host,
        worth: if written.trap_crop { 0.0 } else { worth },
        first: 0,
        count: stems.len(),
        trap_crop: written.trap_crop,
    };
    Some(Planting {
        crop,
        stems,
        canopy_m,
        block,
        path,
    })
}

/// Canopy radius as written or as usual for the kind, meters.
fn canopy(
    written: &file::Crop,
    (kind, pest): (&CropKind, Option<&Pest>),
    path: &str,
    notes: &mut Notes,
) -> Option<f64> {
    let path = member(path, "canopy");
    if let Some(canopy) = &written.canopy {
        return notes.length(canopy, &path, 0.01, 20.0);
    }
    let taken = kind.canopy.central();
    let key = "yard.default.canopy";
    let key = pest.map_or_else(|| key.to_owned(), |pest| pest.guild.about(key));
    let words = say!(&key, distance = feet_and_metres(taken));
    notes.default_used(path, words, kind.canopy.source.clone());
    Some(taken)
}

/// How the pest finds and takes the crop, with the user's changes.
fn host(
    written: &file::Crop,
    kind: &CropKind,
    pest: &Pest,
    path: &str,
    notes: &mut Notes,
) -> Option<HostValues> {
    let entry = kind.hosts.get(&pest.id).or_else(|| kind.hosts.get("other"));
    let entry = entry.expect("every crop file has an entry for other pests; tested");
    let units = if pest.guild == Guild::Chewer {
        Some(&kind.leaf_area)
    } else {
        kind.fruit.as_ref()
    };
    let Some(units) = units else {
        let (at, plant, name) = (member(path, "kind"), &kind.name, &pest.name);
        fault!(notes, at, "fault.no-fruit", plant, name);
        return None;
    };
    let mut values = HostValues {
        detection: entry.detection.clone(),
        acceptance: entry.acceptance.clone(),
        units: units.clone(),
    };
    let (table, path) = (HostValues::TABLE, member(path, "values"));
    for (key, one) in &written.values {
        change::apply((key, one), table, &path, notes, values.get_mut(key));
    }
    Some(values)
}

/// Stems and, for a block, its outline.
fn lay_out(
    written: &file::Crop,
    kind: &CropKind,
    path: &str,
    notes: &mut Notes,
) -> Option<(Vec<Point>, Option<Rect>)> {
    let usual_m = kind.spacing.central();
    let at = |key: &str| member(path, key);
    let stems = match (&written.row, &written.block, &written.ring, &written.single) {
        (Some(row), None, None, None) => lay_row(row, usual_m, &at("row"), notes)?,
        (None, Some(block), None, None) => return lay_block(block, usual_m, &at("block"), notes),
        (None, None, Some(ring), None) => lay_ring(ring, usual_m, &at("ring"), notes)?,
        (None, None, None, Some(place)) => vec![notes.position(place, &at("single"))?],
        (None, None, None, None) => {
            let name = shortened(&written.name);
            fault!(notes, path, "fault.crop.no-place", name);
            return None;
        }
        _ => {
            fault!(notes, path, "fault.crop.layouts");
            return None;
        }
    };
    Some((stems, None))
}

/// Distance between plants as written or as usual for the kind, meters.
fn spacing(
    written: Option<&file::Length>,
    usual_m: f64,
    path: &str,
    notes: &mut Notes,
) -> Option<f64> {
    let at = member(path, "spacing");
    if let Some(spacing) = written {
        return notes.length(spacing, &at, 0.05, 100.0);
    }
    let why = say!("yard.default.spacing.why");
    notes.default_used(at, feet_and_metres(usual_m), why);
    Some(usual_m)
}

/// A number of plants, checked.
fn number(n: u32, path: &str, notes: &mut Notes) -> Option<usize> {
    let (n, path) = (n as usize, member(path, "count"));
    let inside = notes.within(path, n, 1..=MOST_PLANTS, "fault.count");
    inside.then_some(n)
}

/// Plants on a line: as many as are written, or as go into its length, and `more`.
fn along(
    (count, written): (Option<u32>, Option<&file::Length>),
    (length_m, usual_m, more): (f64, f64, usize),
    path: &str,
    notes: &mut Notes,
) -> Option<usize> {
    if let Some(n) = count {
        return number(n, path, notes);
    }
    let n = length_m / spacing(written, usual_m, path, notes)?;
    Some(n.round().min(1e6) as usize + more)
}

fn only_one(count: bool, spacing: bool, path: &str, notes: &mut Notes) {
    if count && spacing {
        fault!(notes, path, "fault.count-and-spacing");
    }
}

fn lay_row(row: &file::Row, usual_m: f64, path: &str, notes: &mut Notes) -> Option<Vec<Point>> {
    only_one(row.count.is_some(), row.spacing.is_some(), path, notes);
    let from = notes.position(&row.from, &member(path, "from"));
    let to = notes.position(&row.to, &member(path, "to"));
    let (from, to) = (from?, to?);
    let length = from.distance(to);
    let written = (row.count, row.spacing.as_ref());
    let n = along(written, (length, usual_m, 1), path, notes)?;
    if n > MOST_PLANTS {
        fault!(notes, path, "fault.row.many", n);
        return None;
    }
    if n > 1 && length / ((n - 1) as f64) < SAME_SPOT_M {
        let distance = feet_and_metres(length);
        fault!(notes, path, "fault.row.short", n, distance);
        return None;
    }
    let stem = |i: usize| {
        let share = if n == 1 {
            0.5
        } else {
            i as f64 / (n - 1) as f64
        };
        let (x, y) = (
            from.x + (to.x - from.x) * share,
            from.y + (to.y - from.y) * share,
        );
        Point::new(x, y)
    };
    Some((0..n).map(stem).collect())
}

fn lay_block(
    block: &file::Block,
    usual_m: f64,
    path: &str,
    notes: &mut Notes,
) -> Option<(Vec<Point>, Option<Rect>)> {
    only_one(block.count.is_some(), block.spacing.is_some(), path, notes);
    let rect = notes.rect(&block.from, &block.to, path)?;
    let [nx, ny] = if let Some([nx, ny]) = block.count {
        [number(nx, path, notes)?, number(ny, path, notes)?]
    } else {
        let step = spacing(block.spacing.as_ref(), usual_m, path, notes)?;
        let fit = |side: f64| (side / step).round().clamp(1.0, 1e5) as usize;
        [fit(rect.width()), fit(rect.height())]
    };
    if nx * ny > MOST_PLANTS {
        fault!(notes, path, "fault.block.many", n = nx * ny);
        return None;
    }
    let (dx, dy) = (rect.width() / nx as f64, rect.height() / ny as f64);
    if dx < SAME_SPOT_M || dy < SAME_SPOT_M {
        fault!(notes, path, "fault.block.close");
        return None;
    }
    let stem = |i: usize| {
        Point::new(
            rect.x0 + ((i % nx) as f64 + 0.5) * dx,
            rect.y0 + ((i / nx) as f64 + 0.5) * dy,
        )
    };
    Some(((0..nx * ny).map(stem).collect(), Some(rect)))
}

fn lay_ring(ring: &file::Ring, usual_m: f64, path: &str, notes: &mut Notes) -> Option<Vec<Point>> {
    only_one(ring.count.is_some(), ring.spacing.is_some(), path, notes);
    let centre = notes.position(&ring.centre, &member(path, "centre"));
    let radius = notes.length(&ring.radius, &member(path, "radius"), 0.05, 250.0);
    let (centre, radius) = (centre?, radius?);
    let round = 2.0 * std::f64::consts::PI * radius;
    let written = (ring.count, ring.spacing.as_ref());
    let n = along(written, (round, usual_m, 0), path, notes)?.max(1);
    if n > MOST_PLANTS || round / (n as f64) < SAME_SPOT_M {
        let distance = feet_and_metres(round);
        fault!(notes, path, "fault.ring.close", n, distance);
        return None;
    }
    let stem = |i: usize| {
        let angle = 2.0 * std::f64::consts::PI * i as f64 / n as f64;
        Point::new(
            centre.x + radius * libm::sin(angle),
            centre.y + radius * libm::cos(angle),
        )
    };
    Some((0..n).map(stem).collect())
}

fn check_inside(stems: &[Point], owner: Owner, ground: &Ground, path: &str, notes: &mut Notes) {
    let Some(area) = ground.area(owner) else {
        return;
    };
    let off = |p: &&Point| area.distance_to(**p);
    let outside = stems.iter().filter(|p| off(p) > 1e-9);
    let n = outside.clone().count();
    if let Some(worst) = outside.max_by(|a, b| off(a).total_cmp(&off(b))) {
        let key = match (owner, stems.len()) {
            (Owner::Mine, 1) => "fault.plants-outside.one",
            (Owner::Mine, _) => "fault.plants-outside",
            (_, 1) => "fault.plants-outside.theirs.one",
            (_, _) => "fault.plants-outside.theirs",
        };
        let (all, distance) = (stems.len(), feet_and_metres(area.distance_to(*worst)));
        let what = say!(key, n, all, distance);
        notes.add(path, what, ground.enlarge(owner, *worst));
    }
}

/// Two crops on one spot are a slip of the pen; touching canopies are usual.
fn check_overlaps(plantings: &[Planting], notes: &mut Notes) {
    for (j, b) in plantings.iter().enumerate() {
        for a in &plantings[..j] {
            let (name, other) = (&a.crop.name, &b.crop.name);
            if let (Some(one), Some(two)) = (a.block, b.block)
                && shared_area(&one, &two) > 0.5 * one.area().min(two.area())
            {
                fault!(notes, &b.path, "fault.blocks-overlap", name, other);
                continue;
            }
            let same = |p: &Point, q: &Point| p.distance_squared(*q) < SAME_SPOT_M * SAME_SPOT_M;
            let near = |p: &&Point| a.stems.iter().any(|q| same(p, q));
            if let Some(p) = b.stems.iter().find(near) {
                let (name, other) = (other, name);
                let spot = format!("[{:.2}, {:.2}]", p.x, p.y);
                fault!(notes, &b.path, "fault.one-spot", name, other, spot);
            }
        }
    }
}

fn shared_area(a: &Rect, b: &Rect) -> f64 {
    let width = a.x1.min(b.x1) - a.x0.max(b.x0);
    let height = a.y1.min(b.y1) - a.y0.max(b.y0);
    width.max(0.0) * height.max(0.0)
}
