//! Pieces of paths in a tree, so that neighbours are found without asking everyone.

use std::ops::Range;

use rstar::{AABB, Envelope, PointDistance, RTree, RTreeObject};

use crate::{Point, Segment, distance};

/// Neighbouring pieces of a path in one box of the tree: a tree of pieces takes longer to build than it saves.
struct Run {
    pieces: Range<usize>,
    envelope: AABB<[f64; 2]>,
}

/// Most pieces of a run.
const RUN: usize = 8;

impl RTreeObject for Run {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        self.envelope
    }
}

impl PointDistance for Run {
    /// Square of the distance to the box: no piece of it is nearer.
    fn distance_2(&self, point: &[f64; 2]) -> f64 {
        self.envelope.distance_2(point)
    }
}

/// A tree over the pieces of many paths.
#[derive(Default)]
pub struct Paths {
    pieces: Vec<Segment>,
    runs: RTree<Run>,
}

impl Paths {
    /// Builds the tree; pieces without a place are left out.
    pub fn new(pieces: Vec<Segment>) -> Self {
        let pieces: Vec<Segment> = pieces.into_iter().filter(|p| p.a.is_finite() && p.b.is_finite()).collect();
        let mut next = 0;
        let paths = pieces.chunk_by(|x, y| x.path == y.path);
        let runs = paths.flat_map(|path| path.chunks(RUN)).map(|run| {
            let pieces = next..next + run.len();
            next = pieces.end;
            let boxes = run.iter().map(|piece| piece.envelope_with(0.0));
            Run { pieces, envelope: boxes.fold(AABB::new_empty(), |all, one| all.merged(&one)) }
        });
        let runs = RTree::bulk_load(runs.collect());
        Self { pieces, runs }
    }

    /// Pieces whose box meets a box.
    fn meeting(&self, envelope: AABB<[f64; 2]>) -> impl Iterator<Item = &Segment> {
        let runs = self.runs.locate_in_envelope_intersecting(&envelope);
        let pieces = runs.flat_map(|run| &self.pieces[run.pieces.clone()]);
        pieces.filter(move |piece| piece.envelope_with(0.0).intersects(&envelope))
    }

    /// Pieces whose box comes within reach of a piece's box, in any order.
    pub fn reached(&self, segment: &Segment, reach_m: f64) -> Vec<&Segment> {
        self.meeting(segment.envelope_with(reach_m)).collect()
    }

    /// The same by path and distance along it.
    pub fn around(&self, segment: &Segment, reach_m: f64) -> Vec<&Segment> {
        let mut near = self.reached(segment, reach_m);
        near.sort_by(|x, y| x.path.cmp(&y.path).then(x.start_m.total_cmp(&y.start_m)));
        near
    }

    /// Every path within reach of a point, once, with its nearest place: station, point and distance; by path.
    pub fn paths_near(&self, to: Point, reach_m: f64) -> Vec<(u32, f64, Point, f64)> {
        let spot = Segment::new(to, to);
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

    /// True where there is nothing.
    pub fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }

    /// Pieces that a ray from a place to the east may meet.
    pub fn east_of(&self, from: Point) -> impl Iterator<Item = &Segment> {
        self.meeting(AABB::from_corners([from.x, from.y], [f64::MAX, from.y]))
    }

    /// The piece nearest to a point.
    pub fn nearest(&self, to: Point) -> Option<&Segment> {
        let mut best: Option<(f64, &Segment)> = None;
        for (run, box_square) in self.runs.nearest_neighbor_iter_with_distance_2(&[to.x, to.y]) {
            if best.is_some_and(|(square, _)| square < box_square) {
                break;
            }
            let pieces = self.pieces[run.pieces.clone()].iter().map(|piece| (piece.square_to(to), piece));
            best = best.into_iter().chain(pieces).min_by(|x, y| x.0.total_cmp(&y.0));
        }
        best.map(|(_, piece)| piece)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::segments;

    #[test]
    fn each_path_near_a_point_comes_once_with_its_nearest_place() {
        let mut pieces = segments(3, &[Point::new(0.0, 0.0), Point::new(10.0, 0.0), Point::new(10.0, 10.0)]);
        pieces.extend(segments(5, &[Point::new(0.0, 50.0), Point::new(10.0, 50.0)]));
        let index = Paths::new(pieces);
        assert_eq!(index.paths_near(Point::new(11.0, 4.0), 2.0), [(3, 14.0, Point::new(10.0, 4.0), 1.0)]);
        assert_eq!(index.nearest(Point::new(5.0, 40.0)).map(|s| s.path), Some(5));
    }

    proptest::proptest! {
        /// Whatever the tree answers is what asking every piece answers, over many runs of many paths.
        #[test]
        fn the_tree_finds_what_asking_everyone_finds(
            paths in proptest::collection::vec(proptest::collection::vec((-50.0..50.0, -50.0..50.0), 2..40), 1..6),
            at in (-60.0..60.0, -60.0..60.0),
            reach_m in 0.0..30.0,
        ) {
            let points = |path: &Vec<(f64, f64)>| path.iter().map(|(x, y)| Point::new(*x, *y)).collect::<Vec<_>>();
            let all: Vec<Segment> = (0u32..).zip(&paths).flat_map(|(i, path)| segments(i, &points(path))).collect();
            let (index, to) = (Paths::new(all.clone()), Point::new(at.0, at.1));
            let least = all.iter().map(|piece| piece.square_to(to)).fold(f64::INFINITY, f64::min);
            let found = index.nearest(to).map(|piece| piece.square_to(to));
            proptest::prop_assert_eq!(found, Some(least));
            let spot = Segment::new(to, to);
            let box_of = spot.envelope_with(reach_m);
            let near = all.iter().filter(|piece| piece.envelope_with(0.0).intersects(&box_of));
            let near: Vec<(u32, f64)> = near.map(|piece| (piece.path, piece.start_m)).collect();
            let found: Vec<(u32, f64)> = index.around(&spot, reach_m).iter().map(|p| (p.path, p.start_m)).collect();
            proptest::prop_assert_eq!(found, near);
            let east = all.iter().filter(|p| (p.a.y > to.y) != (p.b.y > to.y) && p.a.x.max(p.b.x) >= to.x).count();
            let found = index.east_of(to).filter(|p| (p.a.y > to.y) != (p.b.y > to.y)).count();
            proptest::prop_assert_eq!(found, east);
        }
    }
}
