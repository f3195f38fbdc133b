//! Pieces of path in a tree, so that neighbours are found without asking everyone.

use measure::{Point, along, distance};
use rstar::{AABB, PointDistance, RTree, RTreeObject};

/// Ends this near each other are one place, metres: 0.01 ft, the trade's tolerance at joints.
pub(crate) const TOUCH_M: f64 = 0.01 * measure::FOOT_M;

/// A straight piece of a path.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Segment {
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

    fn envelope_with(&self, reach_m: f64) -> AABB<[f64; 2]> {
        let low = [self.a.x.min(self.b.x) - reach_m, self.a.y.min(self.b.y) - reach_m];
        let high = [self.a.x.max(self.b.x) + reach_m, self.a.y.max(self.b.y) + reach_m];
        AABB::from_corners(low, high)
    }
}

impl RTreeObject for Segment {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        self.envelope_with(0.0)
    }
}

impl PointDistance for Segment {
    fn distance_2(&self, point: &[f64; 2]) -> f64 {
        let to = Point::new(point[0], point[1]);
        distance(self.nearest(to).1, to).powi(2)
    }
}

/// The pieces of a path.
pub(crate) fn segments(path: u32, points: &[Point]) -> Vec<Segment> {
    let mut start_m = 0.0;
    let piece = |pair: &[Point]| {
        let segment = Segment { path, start_m, a: pair[0], b: pair[1] };
        start_m += segment.length_m();
        segment
    };
    points.windows(2).map(piece).collect()
}

/// A tree over the pieces of many paths.
pub(crate) struct Index(RTree<Segment>);

impl Index {
    /// Builds the tree.
    pub fn new(segments: Vec<Segment>) -> Self {
        Self(RTree::bulk_load(segments))
    }

    /// Pieces whose box comes within reach of a piece's box, by path and distance along it.
    pub fn around(&self, segment: &Segment, reach_m: f64) -> Vec<&Segment> {
        let mut near: Vec<&Segment> =
            self.0.locate_in_envelope_intersecting(&segment.envelope_with(reach_m)).collect();
        near.sort_by(|x, y| x.path.cmp(&y.path).then(x.start_m.total_cmp(&y.start_m)));
        near
    }

    /// Every path within reach of a point, once, with its nearest place: station, point and distance; by path.
    pub fn paths_near(&self, to: Point, reach_m: f64) -> Vec<(u32, f64, Point, f64)> {
        let spot = Segment { path: 0, start_m: 0.0, a: to, b: to };
        let mut near: Vec<(u32, f64, Point, f64)> = Vec::new();
        for segment in self.around(&spot, reach_m) {
            let (along_m, at) = segment.nearest(to);
            let found = (segment.path, segment.start_m + along_m, at, distance(at, to));
            match near.last_mut().filter(|last| last.0 == segment.path) {
                Some(last) if found.3 < last.3 => *last = found,
                Some(_) => {}
                None => near.push(found),
            }
        }
        near.retain(|found| found.3 <= reach_m);
        near
    }

    /// The piece nearest to a point.
    pub fn nearest(&self, to: Point) -> Option<&Segment> {
        self.0.nearest_neighbor(&[to.x, to.y])
    }
}
