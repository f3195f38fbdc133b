//! The triangles that a straight way crosses.

use std::collections::BTreeSet;

use measure::Point;
use robust::Coord;

use crate::Tin;
use crate::mesh::{next, prev};

/// A place on a way: share of its length, and the level of the surface there, metres.
type OnWay = (f64, f64);

/// Share of the way by which a triangle may be missed and still count as touched, so that no rounding parts neighbours
/// that share a corner on the way.
const TOUCH: f64 = 1e-9;

/// The part of a way that lies in a triangle: shares of its length, and the triangle.
type Part = (f64, f64, u32);

impl Tin {
    /// The surface over the straight way from one place to another: the part in each triangle that is ground, in order,
    /// none twice. The signs that tell on which side of an edge the ends lie are exact.
    pub(crate) fn along(&self, a: Point, b: Point) -> Vec<(OnWay, OnWay)> {
        let Some((a, b)) = self.local(a).zip(self.local(b)) else { return Vec::new() };
        let mut parts: Vec<Part> = self.crossed(a, b).into_iter().filter(|part| self.is_ground(3 * part.2)).collect();
        parts.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.total_cmp(&y.1)));
        let at = |share: f64| Coord { x: a.x + (b.x - a.x) * share, y: a.y + (b.y - a.y) * share };
        let mut done = 0.0;
        let mut along = Vec::with_capacity(parts.len());
        for (low, high, face) in parts {
            // A way along an edge lies in the triangles on both of its sides.
            let low = f64::max(low, done);
            if high > low {
                along.push(((low, self.level_in(3 * face, at(low))), (high, self.level_in(3 * face, at(high)))));
                done = high;
            }
        }
        along
    }

    /// Every triangle that the way touches, found from neighbour to neighbour.
    fn crossed(&self, a: Coord<f64>, b: Coord<f64>) -> Vec<Part> {
        let mesh = self.mesh();
        let mut found = Vec::new();
        let mut waiting = self.entries(a, b);
        let mut seen: BTreeSet<u32> = waiting.iter().copied().collect();
        while let Some(face) = waiting.pop() {
            let Some((low, high)) = self.part_in(face, a, b) else { continue };
            found.push((low, high, face));
            let beside = [0, 1, 2].into_iter().filter_map(|k| mesh.twin(3 * face + k)).map(|twin| twin / 3);
            waiting.extend(beside.filter(|beside| seen.insert(*beside)));
        }
        found
    }

    /// Triangles to start from: those that hold the ends; where an end lies outside, also those on the rim that the way
    /// enters by.
    fn entries(&self, a: Coord<f64>, b: Coord<f64>) -> Vec<u32> {
        let ends = [a, b].map(|end| self.find(end));
        let mut entries: Vec<u32> = ends.iter().flatten().map(|edge| edge / 3).collect();
        if ends.contains(&None) {
            let mesh = self.mesh();
            let is_entered = |edge: &&u32| mesh.side_of(**edge, a) * mesh.side_of(**edge, b) <= 0.0;
            entries.extend(self.rim().iter().filter(is_entered).map(|edge| edge / 3));
        }
        entries.sort_unstable();
        entries.dedup();
        entries
    }

    /// The shares of the way between which it lies in a triangle, its edges included.
    fn part_in(&self, face: u32, a: Coord<f64>, b: Coord<f64>) -> Option<(f64, f64)> {
        let edge = 3 * face;
        let (mut low, mut high) = (0.0, 1.0);
        for side in [edge, next(edge), prev(edge)] {
            let (at_a, at_b) = (self.mesh().side_of(side, a), self.mesh().side_of(side, b));
            if at_a < 0.0 && at_b < 0.0 {
                return None;
            }
            if at_a < 0.0 {
                low = f64::max(low, at_a / (at_a - at_b));
            }
            if at_b < 0.0 {
                high = f64::min(high, at_a / (at_a - at_b));
            }
        }
        (high >= low - TOUCH).then_some((low, high))
    }
}
