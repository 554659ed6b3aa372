//! Which plants a flight segment may meet: a uniform grid over the plants' detection discs.
//!
//! The grid only narrows the search; the crossing itself is solved exactly, so no result depends on the cell size.

use crate::geometry::{Point, Rect};

/// A plant as the engine sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlantSite {
    /// Stem.
    pub at: Point,
    /// Canopy radius, metres.
    pub canopy_m: f64,
    /// Radius at which a passing insect notices it, from the stem, metres.
    pub detection_m: f64,
    /// Chance of landing, once for each approach.
    pub acceptance: f64,
}

/// The next plant whose detection disc a segment enters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Approach {
    /// Distance along the segment, metres.
    pub s: f64,
    /// Plant index.
    pub plant: u32,
}

/// The plants that a stretch enters, in the order in which it enters them: as many at a time as there is room for.
#[derive(Clone, Debug)]
pub struct Entries {
    found: [Approach; Entries::ROOM],
    n: usize,
    given: usize,
}

impl Entries {
    /// A landing mostly follows within a few approaches, so a longer list is seldom of use.
    const ROOM: usize = 8;

    /// Nothing found yet.
    #[inline]
    pub fn new() -> Entries {
        const NONE: Approach = Approach {
            s: 0.0,
            plant: u32::MAX,
        };
        Entries {
            found: [NONE; Entries::ROOM],
            n: 0,
            given: 0,
        }
    }

    #[inline]
    fn clear(&mut self) {
        (self.n, self.given) = (0, 0);
    }

    /// Keeps an entry in its order, unless it is known already or there are enough earlier ones.
    fn keep(&mut self, new: Approach) {
        let mut at = self.n;
        while at > 0 && new.comes_before(&self.found[at - 1]) {
            at -= 1;
        }
        if at > 0 && self.found[at - 1] == new {
            return;
        }
        if at == Entries::ROOM {
            return;
        }
        self.n = (self.n + 1).min(Entries::ROOM);
        self.found.copy_within(at..self.n - 1, at + 1);
        self.found[at] = new;
    }

    /// Whether there may be further entries behind those found.
    #[inline]
    fn is_full(&self) -> bool {
        self.n == Entries::ROOM
    }

    /// Entries behind this distance need not be found now.
    #[inline]
    fn limit(&self, s_end: f64) -> f64 {
        if self.is_full() {
            self.found[Entries::ROOM - 1].s
        } else {
            s_end
        }
    }
}

impl Default for Entries {
    fn default() -> Self {
        Entries::new()
    }
}

impl Approach {
    #[inline]
    fn comes_before(&self, other: &Approach) -> bool {
        self.s < other.s || (self.s == other.s && self.plant < other.plant)
    }
}

/// Uniform grid of lists of plants.
#[derive(Clone, Debug)]
pub struct PlantLookup {
    /// Smallest rectangle that holds every detection disc; empty (x0 > x1) without plants.
    pub region: Rect,
    discs: Vec<Disc>,
    /// Cells, for long segments.
    cells: Grid,
    /// Squares of four cells, by the one to the south-west, from small to large: a segment no longer than a cell lies in
    /// one square.
    squares: Vec<Grid>,
    edges: Edges,
}

/// A detection disc.
#[derive(Clone, Copy, Debug)]
struct Disc {
    x: f64,
    y: f64,
    radius_squared: f64,
}

/// For each cell the discs whose edge runs through it, or through the square that begins there.
#[derive(Clone, Debug)]
struct Grid {
    cell_m: f64,
    inverse_cell: f64,
    columns: usize,
    rows: usize,
    first: Vec<u32>,
    plants: Vec<u32>,
}

impl Grid {
    /// Shape: `wide` cells each way belong to the list of a cell.
    fn new(plants: &[PlantSite], region: Rect, cell_m: f64, wide: usize) -> Grid {
        let columns = (region.width() / cell_m).max(0.0) as usize + 1;
        let rows = (region.height() / cell_m).max(0.0) as usize + 1;
        let mut lists: Vec<Vec<u32>> = vec![Vec::new(); columns * rows];
        let size_m = wide as f64 * cell_m;
        for (i, p) in plants.iter().enumerate() {
            let r = p.detection_m;
            let (x, y) = (p.at.x - region.x0, p.at.y - region.y0);
            let c0 = cell_at((x - r - size_m) / cell_m, columns);
            let c1 = cell_at((x + r) / cell_m, columns);
            let r0 = cell_at((y - r - size_m) / cell_m, rows);
            let r1 = cell_at((y + r) / cell_m, rows);
            for row in r0..=r1 {
                for column in c0..=c1 {
                    let x0 = region.x0 + column as f64 * cell_m;
                    let y0 = region.y0 + row as f64 * cell_m;
                    // A little larger than the cell, so that rounding never loses a plant.
                    let cell = Rect::new(x0, y0, x0 + size_m, y0 + size_m).grown(1e-6);
                    // A segment enters a disc at its edge, so cells wholly within it need not know it.
                    if cell.distance_to(p.at) <= r && farthest(&cell, p.at) >= r {
                        lists[row * columns + column].push(i as u32);
                    }
                }
            }
        }
        let (mut first, mut in_one_row) = (vec![0], Vec::new());
        for list in lists {
            in_one_row.extend(list);
            first.push(in_one_row.len() as u32);
        }
        Grid {
            cell_m,
            inverse_cell: 1.0 / cell_m,
            columns,
            rows,
            first,
            plants: in_one_row,
        }
    }

    /// The list of a cell.
    #[inline]
    fn list(&self, column: usize, row: usize) -> &[u32] {
        let cell = row * self.columns + column;
        &self.plants[self.first[cell] as usize..self.first[cell + 1] as usize]
    }

    #[inline]
    fn index(&self, offset_m: f64, n: usize) -> usize {
        cell_at(offset_m * self.inverse_cell, n)
    }

    /// Direction of travel through the cells of one axis, distance to the next border and from border to border.
    #[inline]
    fn stepping(&self, p: f64, u: f64, origin: f64, index: usize) -> (isize, f64, f64) {
        if u > 0.0 {
            let border = origin + (index + 1) as f64 * self.cell_m;
            (1, (border - p) / u, self.cell_m / u)
        } else if u < 0.0 {
            let border = origin + index as f64 * self.cell_m;
            (-1, (border - p) / u, -self.cell_m / u)
        } else {
            (0, f64::INFINITY, f64::INFINITY)
        }
    }
}

impl PlantLookup {
    /// Cells of the squares, metres.
    const SQUARES_M: [f64; 4] = [1.0, 2.0, 4.0, 8.0];
    /// A wide country goes without the smaller squares.
    const MOST_SQUARES: f64 = 16_384.0;

    /// Builds the grid. `cell_m` is a matter of speed only.
    pub fn new(plants: &[PlantSite], cell_m: f64) -> PlantLookup {
        let mut region = Rect::NOWHERE;
        for p in plants {
            let (x, y, r) = (p.at.x, p.at.y, p.detection_m);
            region = region.union(&Rect::new(x - r, y - r, x + r, y + r));
        }
        let disc = |p: &PlantSite| Disc {
            x: p.at.x,
            y: p.at.y,
            radius_squared: p.detection_m * p.detection_m,
        };
        let few = |size_m: &f64| {
            region.width() * region.height() <= PlantLookup::MOST_SQUARES * size_m * size_m
        };
        let squares = PlantLookup::SQUARES_M.into_iter().filter(few);
        PlantLookup {
            region,
            discs: plants.iter().map(disc).collect(),
            cells: Grid::new(plants, region, cell_m, 1),
            squares: squares
                .map(|size_m| Grid::new(plants, region, size_m, 2))
                .collect(),
            edges: Edges::of(plants, region),
        }
    }

    /// Whether a segment between two points of a box may enter a detection disc; false only when it surely does not.
    #[inline]
    pub fn may_enter(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
        self.edges.may_cross(x0, y0, x1, y1)
    }

    /// Finds the first entries into detection discs along the segment from `p` with unit heading (`ux`, `uy`), up to
    /// `s_end` (inclusive); [`PlantLookup::next`] gives them one by one.
    pub fn find(&self, p: Point, ux: f64, uy: f64, s_end: f64, entries: &mut Entries) {
        let start = Approach {
            s: 0.0,
            plant: u32::MAX,
        };
        self.find_after(p, ux, uy, start, s_end, entries);
    }

    /// The next entry of the segment that [`PlantLookup::find`] was asked about, by distance, ties by plant index.
    #[inline]
    pub fn next(
        &self,
        p: Point,
        ux: f64,
        uy: f64,
        s_end: f64,
        entries: &mut Entries,
    ) -> Option<Approach> {
        if entries.given == entries.n {
            if !entries.is_full() {
                return None;
            }
            let last = entries.found[Entries::ROOM - 1];
            self.find_after(p, ux, uy, last, s_end, entries);
        }
        let next = entries.found[..entries.n].get(entries.given).copied();
        entries.given += 1;
        next
    }

    fn find_after(
        &self,
        p: Point,
        ux: f64,
        uy: f64,
        after: Approach,
        s_end: f64,
        entries: &mut Entries,
    ) {
        entries.clear();
        if self.discs.is_empty() {
            return;
        }
        let mut search = Search {
            discs: &self.discs,
            p,
            ux,
            uy,
            after,
            s_end,
            entries,
        };
        let (x, y) = (p.x - self.region.x0, p.y - self.region.y0);
        let (dx, dy) = (ux * s_end, uy * s_end);
        let across_m = dx.abs().max(dy.abs());
        for squares in &self.squares {
            if across_m < squares.cell_m {
                let column = squares.index(x.min(x + dx), squares.columns);
                let row = squares.index(y.min(y + dy), squares.rows);
                search.list(squares.list(column, row));
                return;
            }
        }
        self.walk_cells(&mut search, s_end);
    }

    /// Visits the cells along a segment in order until none can hold an earlier entry.
    fn walk_cells(&self, search: &mut Search, s_end: f64) {
        let (p, ux, uy) = (search.p, search.ux, search.uy);
        let (mut s0, mut s1) = (search.after.s.max(0.0), s_end);
        clip(&mut s0, &mut s1, p.x, ux, self.region.x0, self.region.x1);
        clip(&mut s0, &mut s1, p.y, uy, self.region.y0, self.region.y1);
        if s0 > s1 {
            return;
        }
        let cells = &self.cells;
        let start = Point::new(p.x + ux * s0, p.y + uy * s0);
        let mut column = cells.index(start.x - self.region.x0, cells.columns);
        let mut row = cells.index(start.y - self.region.y0, cells.rows);
        let (step_x, mut next_x, delta_x) = cells.stepping(p.x, ux, self.region.x0, column);
        let (step_y, mut next_y, delta_y) = cells.stepping(p.y, uy, self.region.y0, row);
        loop {
            search.list(cells.list(column, row));
            let leave = next_x.min(next_y);
            if leave > s1 || leave > search.entries.limit(s_end) {
                return;
            }
            if next_x <= next_y {
                column = column.wrapping_add_signed(step_x);
                next_x += delta_x;
            } else {
                row = row.wrapping_add_signed(step_y);
                next_y += delta_y;
            }
            if column >= cells.columns || row >= cells.rows {
                return;
            }
        }
    }
}

/// Where the edges of the discs run: a finer grid, to tell at once that a segment crosses none of them.
#[derive(Clone, Debug)]
struct Edges {
    region: Rect,
    inverse_cell: f64,
    columns: usize,
    rows: usize,
    /// Edges in all cells to the south-west: one row and column more than the grid.
    sums: Vec<u32>,
}

impl Edges {
    /// Width of a cell: a segment is one to two metres long, a disc one to four.
    const CELL_M: f64 = 0.5;
    /// A wide country gets wider cells, so that the table stays in the cache.
    const MOST_CELLS: f64 = 65_536.0;
    /// Far above rounding: cells know of edges that come so near.
    const HAIR_M: f64 = 1e-6;

    fn of(plants: &[PlantSite], region: Rect) -> Edges {
        if plants.is_empty() {
            return Edges {
                region,
                inverse_cell: 0.0,
                columns: 0,
                rows: 0,
                sums: Vec::new(),
            };
        }
        let mut cell_m = Edges::CELL_M;
        while region.width() * region.height() > Edges::MOST_CELLS * cell_m * cell_m {
            cell_m *= 2.0;
        }
        let columns = (region.width() / cell_m) as usize + 1;
        let rows = (region.height() / cell_m) as usize + 1;
        let wide = columns + 1;
        let mut sums = vec![0; wide * (rows + 1)];
        let index = |offset_m: f64, n: usize| cell_at(offset_m / cell_m, n);
        for p in plants {
            let (r, hair) = (p.detection_m, Edges::HAIR_M);
            let (x, y) = (p.at.x - region.x0, p.at.y - region.y0);
            for row in index(y - r - hair, rows)..=index(y + r + hair, rows) {
                let south = row as f64 * cell_m - hair - y;
                let north = (row + 1) as f64 * cell_m + hair - y;
                let (near, far) = (south.max(-north).max(0.0), north.max(-south));
                // Half the width of the disc where the row is nearest to its middle, and where it is farthest from it.
                let widest = (r * r - near * near).max(0.0).sqrt() + hair;
                let narrowest = (r * r - far * far).max(0.0).sqrt() - hair;
                let mut mark = |from: f64, to: f64| {
                    for column in index(from, columns)..=index(to, columns) {
                        sums[(row + 1) * wide + column + 1] += 1;
                    }
                };
                if narrowest > 0.0 {
                    mark(x - widest, x - narrowest);
                    mark(x + narrowest, x + widest);
                } else {
                    mark(x - widest, x + widest);
                }
            }
        }
        for row in 0..rows {
            for column in 0..columns {
                let at = row * wide + column;
                sums[at + wide + 1] += sums[at + 1] + sums[at + wide] - sums[at];
            }
        }
        Edges {
            region,
            inverse_cell: 1.0 / cell_m,
            columns,
            rows,
            sums,
        }
    }

    /// Whether an edge runs through the box of two points; false only when surely none does.
    #[inline]
    fn may_cross(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
        if !self.region.may_meet(x0, y0, x1, y1) {
            return false;
        }
        let (west, east) = if x0 < x1 { (x0, x1) } else { (x1, x0) };
        let (south, north) = if y0 < y1 { (y0, y1) } else { (y1, y0) };
        let (x0, y0, inverse) = (self.region.x0, self.region.y0, self.inverse_cell);
        let wide = self.columns + 1;
        let c0 = nearest((west - x0) * inverse - 0.5).min(self.columns - 1);
        let c1 = nearest((east - x0) * inverse + 0.5).min(self.columns);
        let r0 = nearest((south - y0) * inverse - 0.5).min(self.rows - 1) * wide;
        let r1 = nearest((north - y0) * inverse + 0.5).min(self.rows) * wide;
        let sums = &self.sums;
        sums[r1 + c1] + sums[r0 + c0] > sums[r0 + c1] + sums[r1 + c0]
    }
}

/// The cell of a place along one axis of so many, in widths of a cell; the nearest one outside of them.
#[inline]
fn cell_at(place: f64, n: usize) -> usize {
    (place.max(0.0) as usize).min(n - 1)
}

/// The whole number nearest to one below 2^31; 0 for negative ones. Quicker than a cast.
#[inline]
fn nearest(v: f64) -> usize {
    /// Its last binary place is 1.
    const ONES: f64 = 6_755_399_441_055_744.0;
    (v.clamp(0.0, 2_147_483_000.0) + ONES).to_bits() as u32 as usize
}

/// The search for the first plants entered along one segment.
struct Search<'a> {
    discs: &'a [Disc],
    p: Point,
    ux: f64,
    uy: f64,
    after: Approach,
    s_end: f64,
    entries: &'a mut Entries,
}

impl Search<'_> {
    /// Keeps the entries into the discs of a list.
    #[inline]
    fn list(&mut self, plants: &[u32]) {
        /// Discs judged before any is kept.
        const AT_ONCE: usize = 16;
        let mut found = [Approach { s: 0.0, plant: 0 }; AT_ONCE];
        for plants in plants.chunks(AT_ONCE) {
            let mut n = 0;
            // Without a branch for each disc, which would often be guessed wrong.
            for &plant in plants {
                let disc = &self.discs[plant as usize];
                let (dx, dy) = (disc.x - self.p.x, disc.y - self.p.y);
                // As in `line_through_disc`.
                let across = dx * self.uy - dy * self.ux;
                let half_squared = disc.radius_squared - across * across;
                let along = dx * self.ux + dy * self.uy;
                let s = along - half_squared.max(0.0).sqrt();
                found[n] = Approach { s, plant };
                let wanted = [half_squared > 0.0, s >= self.after.s, s <= self.s_end];
                n += wanted
                    .into_iter()
                    .map(usize::from)
                    .fold(1, |all, w| all & w);
            }
            for new in &found[..n] {
                let after = &self.after;
                if new.s > after.s || (new.s > 0.0 && new.plant > after.plant) {
                    self.entries.keep(*new);
                }
            }
        }
    }
}

/// Distance from a point to the farthest point of a rectangle.
fn farthest(rect: &Rect, p: Point) -> f64 {
    let dx = (p.x - rect.x0).abs().max((p.x - rect.x1).abs());
    let dy = (p.y - rect.y0).abs().max((p.y - rect.y1).abs());
    (dx * dx + dy * dy).sqrt()
}

/// Clips the stretch [s0, s1] of a line to low <= p + s·u <= high.
#[inline]
fn clip(s0: &mut f64, s1: &mut f64, p: f64, u: f64, low: f64, high: f64) {
    if u == 0.0 {
        if p < low || p > high {
            *s1 = f64::NEG_INFINITY;
        }
        return;
    }
    let (a, b) = ((low - p) / u, (high - p) / u);
    let (enter, leave) = if a < b { (a, b) } else { (b, a) };
    *s0 = s0.max(enter);
    *s1 = s1.min(leave);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::random::{Purpose, ShortStream};
    use crate::engine::walk::uniform_heading;
    use crate::geometry::line_through_disc;

    /// Every entry of a segment, by asking every plant.
    fn asked_one_by_one(
        plants: &[PlantSite],
        p: Point,
        (ux, uy): (f64, f64),
        s_end: f64,
    ) -> Vec<Approach> {
        let mut all: Vec<Approach> = (0_u32..)
            .zip(plants)
            .filter_map(|(plant, site)| {
                let (s, _) = line_through_disc(p, ux, uy, site.at, site.detection_m)?;
                (s > 0.0 && s <= s_end).then_some(Approach { s, plant })
            })
            .collect();
        all.sort_by(|a, b| a.s.total_cmp(&b.s).then(a.plant.cmp(&b.plant)));
        all
    }

    #[test]
    fn entries_are_those_of_asking_every_plant_in_crowded_rows_and_thin_ones() {
        let mut luck = ShortStream::new(11, 0, 0, Purpose::Weather);
        for (count, apart_m) in [(3, 6.0), (30, 0.3), (60, 0.15)] {
            let plants: Vec<PlantSite> = (0..count)
                .map(|i| PlantSite {
                    at: Point::new(apart_m * f64::from(i), 0.7 * f64::from(i % 3)),
                    canopy_m: 0.4,
                    detection_m: 0.5 + 2.5 * luck.uniform(),
                    acceptance: 0.3,
                })
                .collect();
            let lookup = PlantLookup::new(&plants, 2.0);
            let (mut entries, mut longest, mut passed_over) = (Entries::new(), 0, 0);
            for _ in 0..2_000 {
                let p = Point::new(24.0 * luck.uniform() - 3.0, 10.0 * luck.uniform() - 5.0);
                let heading = uniform_heading(luck.uniform());
                let s_end = 15.0 * luck.uniform();
                let expected = asked_one_by_one(&plants, p, heading, s_end);
                longest = longest.max(expected.len());
                let end = Point::new(p.x + heading.0 * s_end, p.y + heading.1 * s_end);
                if !lookup.may_enter(p.x, p.y, end.x, end.y) {
                    assert!(expected.is_empty());
                    passed_over += 1;
                }
                if !lookup.region.may_meet(p.x, p.y, end.x, end.y) {
                    assert!(expected.is_empty());
                    continue;
                }
                lookup.find(p, heading.0, heading.1, s_end, &mut entries);
                let found: Vec<Approach> = std::iter::from_fn(|| {
                    lookup.next(p, heading.0, heading.1, s_end, &mut entries)
                })
                .collect();
                assert_eq!(found, expected);
            }
            assert!(
                passed_over > 100,
                "{passed_over} of 2,000 were seen to enter nothing"
            );
            assert!(count < 30 || longest > 2 * Entries::ROOM);
        }
    }
}
