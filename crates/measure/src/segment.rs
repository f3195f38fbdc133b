//! Straight pieces of paths: what lies on them, beside them and within their reach.

use rstar::{AABB, Envelope};

use crate::{Point, along, crossing, distance};

/// A straight piece of a path.
#[derive(Debug, Clone, Copy)]
pub struct Segment {
    /// Which path it belongs to: the number of a line's id, or an index.
    pub path: u32,
    /// Distance of its first end along the path, metres.
    pub start_m: f64,
    /// First end.
    pub a: Point,
    /// Second end.
    pub b: Point,
}

impl Segment {
    /// A piece by itself: the first of path 0.
    pub const fn new(a: Point, b: Point) -> Self {
        Self { path: 0, start_m: 0.0, a, b }
    }

    /// Length, metres.
    pub fn length_m(&self) -> f64 {
        distance(self.a, self.b)
    }

    /// The nearest place on it: distance from its first end and the point.
    pub fn nearest(&self, to: Point) -> (f64, Point) {
        let (dx, dy, length_m) = (self.b.x - self.a.x, self.b.y - self.a.y, self.length_m());
        if length_m == 0.0 {
            return (0.0, self.a);
        }
        let t = (((to.x - self.a.x) * dx + (to.y - self.a.y) * dy) / (length_m * length_m)).clamp(0.0, 1.0);
        (t * length_m, along(self.a, self.b, t))
    }

    /// Square of the distance to a place, without a root: the trees ask for it often.
    pub fn square_to(&self, to: Point) -> f64 {
        let (dx, dy) = (self.b.x - self.a.x, self.b.y - self.a.y);
        let (px, py) = (to.x - self.a.x, to.y - self.a.y);
        let square = dx * dx + dy * dy;
        let t = if square > 0.0 { ((px * dx + py * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
        let (ox, oy) = (px - t * dx, py - t * dy);
        ox * ox + oy * oy
    }

    /// The part of it between two stations of its path.
    pub fn part(&self, from_m: f64, to_m: f64) -> Self {
        let at = |station_m: f64| along(self.a, self.b, (station_m - self.start_m) / self.length_m());
        Self { start_m: from_m, a: at(from_m), b: at(to_m), ..*self }
    }

    /// It in equal parts no longer than that.
    pub fn parts(&self, longest_m: f64) -> impl Iterator<Item = Self> {
        let (whole, length_m) = (*self, self.length_m());
        let count = (length_m / longest_m).ceil().clamp(1.0, 100_000.0);
        let at = move |i: usize| along(whole.a, whole.b, i as f64 / count);
        let part = move |i: usize| Self {
            start_m: whole.start_m + length_m * i as f64 / count,
            a: at(i),
            b: at(i + 1),
            ..whole
        };
        (0..count as usize).map(part)
    }

    /// True where it runs along another piece rather than across it: their directions differ by no more than 45°
    /// (judgement).
    pub fn runs_along(&self, other: &Segment) -> bool {
        let (own, way) = ((self.b.x - self.a.x, self.b.y - self.a.y), (other.b.x - other.a.x, other.b.y - other.a.y));
        let (dot, cross) = (own.0 * way.0 + own.1 * way.1, own.0 * way.1 - own.1 * way.0);
        cross.abs() <= dot.abs() + 1e-9
    }

    /// The part of it that runs beside another piece, no farther than `offset_m` to either side: from and to along it.
    pub fn beside(&self, other: &Segment, offset_m: f64) -> Option<(f64, f64)> {
        let (length_m, other_m) = (self.length_m(), other.length_m());
        if length_m == 0.0 || other_m == 0.0 {
            return None;
        }
        let own = ((self.b.x - self.a.x) / length_m, (self.b.y - self.a.y) / length_m);
        let way = ((other.b.x - other.a.x) / other_m, (other.b.y - other.a.y) / other_m);
        let from = (self.a.x - other.a.x, self.a.y - other.a.y);
        let along = (from.0 * way.0 + from.1 * way.1, own.0 * way.0 + own.1 * way.1);
        let aside = (from.0 * way.1 - from.1 * way.0, own.0 * way.1 - own.1 * way.0);
        let part = clip((0.0, length_m), along, (0.0, other_m))?;
        clip(part, aside, (-offset_m, offset_m))
    }

    /// False where their boxes lie farther apart than that.
    pub fn may_reach(&self, other: &Segment, reach_m: f64) -> bool {
        self.envelope_with(reach_m).intersects(&other.envelope_with(0.0))
    }

    /// The parts of it within reach of another piece, some over others: from and to along it.
    pub fn reaches(&self, other: &Segment, reach_m: f64) -> impl Iterator<Item = (f64, f64)> + use<> {
        let parts = [self.beside(other, reach_m), self.within(other.a, reach_m), self.within(other.b, reach_m)];
        parts.into_iter().flatten()
    }

    /// The part of it within reach of a point: from and to along it.
    pub fn within(&self, centre: Point, reach_m: f64) -> Option<(f64, f64)> {
        let length_m = self.length_m();
        if length_m == 0.0 {
            return None;
        }
        let (ux, uy) = ((self.b.x - self.a.x) / length_m, (self.b.y - self.a.y) / length_m);
        let foot_m = (centre.x - self.a.x) * ux + (centre.y - self.a.y) * uy;
        let off_m = (centre.x - self.a.x) * uy - (centre.y - self.a.y) * ux;
        let half_m = (reach_m * reach_m - off_m * off_m).max(0.0).sqrt();
        let part = ((foot_m - half_m).max(0.0), (foot_m + half_m).min(length_m));
        (part.0 < part.1).then_some(part)
    }

    /// Where it crosses another piece: distance from its first end and the point. Pieces that only touch cross too.
    pub fn crossing(&self, other: &Segment) -> Option<(f64, Point)> {
        let (t, at) = crossing((self.a, self.b), (other.a, other.b))?;
        Some((t * self.length_m(), at))
    }

    /// The place on it that is nearest to another piece: distance from its first end, and how far apart they are there.
    pub fn nearest_to(&self, other: &Segment) -> (f64, f64) {
        if let Some((along_m, _)) = self.crossing(other) {
            return (along_m, 0.0);
        }
        let own = [(0.0, self.a), (self.length_m(), self.b)];
        let ends = own.map(|(along_m, end)| (along_m, distance(other.nearest(end).1, end)));
        let feet = [other.a, other.b].map(|end| {
            let (along_m, foot) = self.nearest(end);
            (along_m, distance(foot, end))
        });
        ends.into_iter().chain(feet).min_by(|x, y| x.1.total_cmp(&y.1)).unwrap_or((0.0, f64::INFINITY))
    }

    pub(crate) fn envelope_with(&self, reach_m: f64) -> AABB<[f64; 2]> {
        let low = [self.a.x.min(self.b.x) - reach_m, self.a.y.min(self.b.y) - reach_m];
        let high = [self.a.x.max(self.b.x) + reach_m, self.a.y.max(self.b.y) + reach_m];
        AABB::from_corners(low, high)
    }
}

/// The part of `range` in which `start + slope × place` stays between two bounds.
fn clip(range: (f64, f64), (start, slope): (f64, f64), (low, high): (f64, f64)) -> Option<(f64, f64)> {
    if slope.abs() < 1e-12 {
        return (low..=high).contains(&start).then_some(range);
    }
    let (one, other) = ((low - start) / slope, (high - start) / slope);
    let part = (range.0.max(one.min(other)), range.1.min(one.max(other)));
    (part.0 < part.1).then_some(part)
}

/// The pieces of a path; a single place is one piece without length.
pub fn segments(path: u32, points: &[Point]) -> Vec<Segment> {
    let mut start_m = 0.0;
    if let [only] = points {
        return vec![Segment { path, start_m, a: *only, b: *only }];
    }
    let piece = |pair: &[Point]| {
        let segment = Segment { path, start_m, a: pair[0], b: pair[1] };
        start_m += segment.length_m();
        segment
    };
    points.windows(2).map(piece).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(a: (f64, f64), b: (f64, f64)) -> Segment {
        Segment::new(Point::new(a.0, a.1), Point::new(b.0, b.1))
    }

    /// A piece of 100 m; a neighbour 2 m aside from 30 to 60, one that crosses at a right angle at 50.
    #[test]
    fn parts_beside_and_parts_within() {
        let own = piece((0.0, 0.0), (100.0, 0.0));
        assert_eq!(own.beside(&piece((60.0, 2.0), (30.0, 2.0)), 3.0), Some((30.0, 60.0)));
        assert_eq!(own.beside(&piece((60.0, 2.0), (30.0, 2.0)), 1.0), None);
        assert_eq!(own.beside(&piece((50.0, -9.0), (50.0, 9.0)), 3.0), Some((47.0, 53.0)));
        assert_eq!(own.within(Point::new(50.0, 3.0), 5.0), Some((46.0, 54.0)));
        assert_eq!(own.within(Point::new(50.0, 6.0), 5.0), None);
    }
}
