//! Straight pieces of the lines that collect water, and vectors on the plan as seen from one of them.

use measure::{Point, distance, nearest_on};
use plan::{Line, LineId};
use rstar::{AABB, RTreeObject};
use terrain::simplify;

/// Places nearer than this coincide, metres: far below the width of a pipe.
pub(super) const SAME_M: f64 = 1e-7;
/// A tiny distance, metres: if a line lies on the boundary of the field, one side of it is inside.
pub(super) const HAIR_M: f64 = 1e-6;
/// Bends are omitted if the line deviates no more than this without them, as a share of the drained distance.
const BENT: f64 = 0.003;
/// Of a line with more bends only some are used.
const MOST_BENDS: usize = 1_000;

/// A point or vector on the plan, or in the frame of a piece (along it, away from it); metres.
pub(super) type Pair = (f64, f64);

pub(super) fn dot(a: Pair, b: Pair) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

pub(super) fn cross(a: Pair, b: Pair) -> f64 {
    a.0 * b.1 - a.1 * b.0
}

pub(super) fn less(a: Pair, b: Pair) -> Pair {
    (a.0 - b.0, a.1 - b.1)
}

/// Vector from one place of the plan to another.
pub(super) fn way(from: Point, to: Point) -> Pair {
    (to.x - from.x, to.y - from.y)
}

/// A straight piece of a line that collects.
pub(super) struct Piece {
    pub line: LineId,
    /// Its number on the line, from the downstream end up.
    pub index: usize,
    pub a: Point,
    pub b: Point,
    pub length_m: f64,
    /// Its direction.
    pub along: Pair,
    /// Its two stations on the line.
    pub stations_m: Pair,
}

impl Piece {
    fn new(line: LineId, index: usize, (a, from_m): (Point, f64), (b, to_m): (Point, f64)) -> Self {
        let length_m = distance(a, b);
        let along = ((b.x - a.x) / length_m, (b.y - a.y) / length_m);
        Self { line, index, a, b, length_m, along, stations_m: (from_m, to_m) }
    }

    /// Corners of its bounding box enlarged by a distance, metres.
    pub fn around(&self, by_m: f64) -> (Point, Point) {
        let corner = |pick: fn(f64, f64) -> f64, by_m: f64| {
            Point::new(pick(self.a.x, self.b.x) + by_m, pick(self.a.y, self.b.y) + by_m)
        };
        (corner(f64::min, -by_m), corner(f64::max, by_m))
    }

    /// True for one and the same piece.
    pub fn is(&self, other: &Self) -> bool {
        (self.line, self.index) == (other.line, other.index)
    }

    /// The pieces of a line, and how far its course may deviate from them: small bends are omitted, and of very many bends
    /// all but some.
    pub fn all_of(id: LineId, line: &Line, reach_m: f64) -> (Vec<Self>, f64) {
        let (places, off_m) = some_of(&places_of(line));
        let points: Vec<Point> = places.iter().map(|(point, _)| *point).collect();
        let mut places = places.iter();
        let kept = simplify(&points, BENT * reach_m).into_iter();
        let kept: Vec<(Point, f64)> = kept.filter_map(|point| places.find(|(at, _)| *at == point).copied()).collect();
        let pairs = kept.windows(2).filter(|pair| distance(pair[0].0, pair[1].0) > SAME_M);
        (pairs.enumerate().map(|(index, pair)| Self::new(id, index, pair[0], pair[1])).collect(), off_m)
    }
}

/// Bends and ends of a line with their stations.
fn places_of(line: &Line) -> Vec<(Point, f64)> {
    let (mut station_m, mut last) = (0.0, None);
    let place = |point: &Point| {
        station_m += last.replace(*point).map_or(0.0, |last| distance(last, *point));
        (*point, station_m)
    };
    line.points.iter().map(place).collect()
}

/// Evenly chosen places if there are very many, with the last; and how far those omitted deviate.
fn some_of(places: &[(Point, f64)]) -> (Vec<(Point, f64)>, f64) {
    let every = places.len().div_ceil(MOST_BENDS).max(1);
    let mut some: Vec<(Point, f64)> = places.iter().step_by(every).copied().collect();
    some.extend(places.last().filter(|last| some.last() != Some(last)));
    let off_m = |(i, (point, _)): (usize, &(Point, f64))| {
        let ends = [some[i / every].0, some[(i / every + 1).min(some.len() - 1)].0];
        nearest_on(&ends, *point).map_or(0.0, |(_, _, away_m)| away_m)
    };
    let off_m = if every > 1 { places.iter().enumerate().map(off_m).fold(0.0, f64::max) } else { 0.0 };
    (some, off_m)
}

impl RTreeObject for Piece {
    type Envelope = AABB<[f64; 2]>;
    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners([self.a.x, self.a.y], [self.b.x, self.b.y])
    }
}

/// A piece and everything that may bound its land.
pub(super) struct View<'a> {
    pub own: &'a Piece,
    /// Other pieces that may lie nearer.
    pub rivals: Vec<&'a Piece>,
    /// Sides of the field and of holes that may lie within reach.
    pub walls: Vec<&'a super::fence::Side>,
    pub fence: &'a super::fence::Fence,
    /// Drained distance on either side of a line, metres.
    pub reach_m: f64,
}
