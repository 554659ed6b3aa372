//! Points, rectangles and exact crossings of a straight segment with discs and sectors.

/// A point, meters.
#[derive(Clone, Copy, Debug, PartialEq, Default, serde::Serialize, serde::Deserialize)]
pub struct Point {
    /// East.
    pub x: f64,
    /// North.
    pub y: f64,
}

impl Point {
    /// A point from its coordinates, meters.
    pub const fn new(x: f64, y: f64) -> Self {
        Point { x, y }
    }

    /// Square of the distance to another point, m2.
    #[inline]
    pub fn distance_squared(self, other: Point) -> f64 {
        let (dx, dy) = (self.x - other.x, self.y - other.y);
        dx * dx + dy * dy
    }

    /// Distance to another point, meters.
    #[inline]
    pub fn distance(self, other: Point) -> f64 {
        self.distance_squared(other).sqrt()
    }
}

/// An axis-parallel rectangle, meters; `x0 <= x1`, `y0 <= y1`.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Rect {
    /// West edge.
    pub x0: f64,
    /// South edge.
    pub y0: f64,
    /// East edge.
    pub x1: f64,
    /// North edge.
    pub y1: f64,
}

impl Rect {
    /// Meets nothing; joined to a rectangle it gives that rectangle.
    pub const NOWHERE: Rect = Rect {
        x0: f64::INFINITY,
        y0: f64::INFINITY,
        x1: f64::NEG_INFINITY,
        y1: f64::NEG_INFINITY,
    };

    /// Rectangle from two opposite corners in the order west, south, east, north.
    pub const fn new(x0: f64, y0: f64, x1: f64, y1: f64) -> Self {
        Rect { x0, y0, x1, y1 }
    }

    /// East-west extent, meters.
    pub fn width(&self) -> f64 {
        self.x1 - self.x0
    }

    /// South-north extent, meters.
    pub fn height(&self) -> f64 {
        self.y1 - self.y0
    }

    /// Area, m2.
    pub fn area(&self) -> f64 {
        self.width() * self.height()
    }

    /// Length of the boundary, meters.
    pub fn perimeter(&self) -> f64 {
        2.0 * (self.width() + self.height())
    }

    /// Whether a point lies inside or on the edge.
    #[inline]
    pub fn contains(&self, p: Point) -> bool {
        p.x >= self.x0 && p.x <= self.x1 && p.y >= self.y0 && p.y <= self.y1
    }

    /// Whether the bounding box of a segment touches the rectangle.
    #[inline]
    pub fn may_meet(&self, x0: f64, y0: f64, x1: f64, y1: f64) -> bool {
        (x0 >= self.x0 || x1 >= self.x0)
            && (x0 <= self.x1 || x1 <= self.x1)
            && (y0 >= self.y0 || y1 >= self.y0)
            && (y0 <= self.y1 || y1 <= self.y1)
    }

    /// The part of a straight way from one point to another that lies in the rectangle, as shares of the way; `None` when
    /// it misses it.
    pub fn clip(&self, from: Point, to: Point) -> Option<(f64, f64)> {
        if !self.may_meet(from.x, from.y, to.x, to.y) {
            return None;
        }
        let (mut a, mut b) = (0.0_f64, 1.0_f64);
        for (p, d, low, high) in [
            (from.x, to.x - from.x, self.x0, self.x1),
            (from.y, to.y - from.y, self.y0, self.y1),
        ] {
            if d == 0.0 {
                if p < low || p > high {
                    return None;
                }
            } else {
                let (s, t) = ((low - p) / d, (high - p) / d);
                a = a.max(s.min(t));
                b = b.min(s.max(t));
            }
        }
        (a <= b).then_some((a, b))
    }

    /// The rectangle grown by `margin` meters on all sides.
    #[must_use]
    pub fn grown(&self, margin: f64) -> Rect {
        Rect::new(
            self.x0 - margin,
            self.y0 - margin,
            self.x1 + margin,
            self.y1 + margin,
        )
    }

    /// The smallest rectangle that holds both.
    #[must_use]
    pub fn union(&self, other: &Rect) -> Rect {
        Rect::new(
            self.x0.min(other.x0),
            self.y0.min(other.y0),
            self.x1.max(other.x1),
            self.y1.max(other.y1),
        )
    }

    /// Whether two rectangles share more than an edge.
    pub fn overlaps(&self, other: &Rect) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    /// Center.
    pub fn centre(&self) -> Point {
        Point::new(0.5 * (self.x0 + self.x1), 0.5 * (self.y0 + self.y1))
    }

    /// Least distance from a point to the rectangle, meters; 0 inside.
    pub fn distance_to(&self, p: Point) -> f64 {
        let dx = (self.x0 - p.x).max(p.x - self.x1).max(0.0);
        let dy = (self.y0 - p.y).max(p.y - self.y1).max(0.0);
        (dx * dx + dy * dy).sqrt()
    }
}

/// Distances along the line `p + s·u` (`u` a unit vector) at which it enters and leaves a disc.
///
/// Units: meters along the line; `None` when the line misses the disc.
#[inline]
pub fn line_through_disc(
    p: Point,
    ux: f64,
    uy: f64,
    centre: Point,
    radius_m: f64,
) -> Option<(f64, f64)> {
    let (dx, dy) = (centre.x - p.x, centre.y - p.y);
    let along = dx * ux + dy * uy;
    let across = dx * uy - dy * ux;
    let half_squared = radius_m * radius_m - across * across;
    if half_squared <= 0.0 {
        return None;
    }
    let half = half_squared.sqrt();
    Some((along - half, along + half))
}
