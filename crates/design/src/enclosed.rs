//! What the rings of a field enclose: a boundary, less the parts left out of it.

use std::collections::BTreeMap;

use geo::bool_ops::{FillRule, OpType};
use geo::{Area, BooleanOps, LineString, MultiPolygon, Polygon};
use measure::{Point, distance, extent, ring_m2};

/// Crossings of sides that are looked for; rings with more are no field (own choice).
const MOST_CROSSINGS: usize = 100;
/// Times a ring may cross itself: one that does so more often is a tangle, of which nothing is made (own choice; the cutting of
/// shapes by the library is not to be trusted with worse).
const MOST_OWN_CROSSINGS: usize = 12;
/// Times a ring may touch itself: one that comes back to a corner of its own does four times, a side with each side there. With
/// more it is a tangle (own choice, as above).
const MOST_OWN_TOUCHES: usize = 8;
/// Touches of sides that are looked for.
const MOST_TOUCHES: usize = 100;
/// Nearer than this a corner lies on a side, metres: what the library rounds to on a field of some kilometres.
const TOUCH_M: f64 = 1e-5;
/// Pairs of parts left out that are held against each other to find which overlap (own choice).
const MOST_PAIRS: usize = 100_000;
/// A loop smaller than this comes from rounding, square metres (own choice: ten square centimetres).
const LOOP_M2: f64 = 1e-3;
/// Flaws told.
const MOST_FLAWS: usize = 100;

/// What is wrong with the rings of a field, so that the area they seem to enclose is not the one they do. Ring 0 is the
/// boundary, the parts left out count from 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Flaw {
    /// Rings that cross so often that nothing is made of them.
    Tangle {
        /// One of the crossings.
        at: Point,
    },
    /// A ring that crosses itself or runs over itself.
    Itself {
        /// The ring.
        ring: usize,
        /// Where.
        at: Point,
        /// Area that is inside or outside as one takes it, square metres.
        doubtful_m2: f64,
    },
    /// A part left out that reaches outside the boundary.
    Outside {
        /// Which.
        hole: usize,
        /// A corner of what lies outside.
        at: Point,
        /// How much of it lies outside, square metres.
        area_m2: f64,
    },
    /// Two parts left out that overlap.
    Overlap {
        /// Which.
        holes: (usize, usize),
        /// A corner of what they share.
        at: Point,
        /// How much they share, square metres.
        area_m2: f64,
    },
}

/// Where sides of rings cross: the place, and the two rings. Sides that only touch do not cross. At most so many.
pub fn side_crossings(rings: &[Vec<Point>], most: usize) -> Vec<Meeting> {
    meetings(rings, most, Side::crosses)
}

/// Where two sides meet, and the rings they are of.
type Meeting = (Point, (usize, usize));

/// Where sides of rings meet in some way. At most so many.
fn meetings(rings: &[Vec<Point>], most: usize, meets: fn(&Side, &Side) -> bool) -> Vec<Meeting> {
    let mut sides = sides(rings);
    let lengths = |along: fn(&Side) -> (f64, f64)| sides.iter().map(|s| along(s).1 - along(s).0).sum::<f64>();
    // Looked through along the axis on which sides are short, so that few lie side by side.
    let along: fn(&Side) -> (f64, f64) =
        if lengths(Side::east) <= lengths(Side::north) { Side::east } else { Side::north };
    sides.sort_by(|a, b| along(a).0.total_cmp(&along(b).0));
    let mut found = Vec::new();
    for (rank, side) in sides.iter().enumerate() {
        let beside = sides[rank + 1..].iter().take_while(|other| along(other).0 <= along(side).1);
        for other in beside.filter(|other| meets(side, other)) {
            let at = measure::crossing((side.a, side.b), (other.a, other.b)).map_or(other.a, |(_, at)| at);
            found.push((at, (side.ring.min(other.ring), side.ring.max(other.ring))));
            if found.len() >= most {
                return found;
            }
        }
    }
    found
}

/// A side of a ring.
struct Side {
    ring: usize,
    /// Its place in the ring, and how many sides that has.
    place: (usize, usize),
    a: Point,
    b: Point,
}

fn sides(rings: &[Vec<Point>]) -> Vec<Side> {
    let of_ring = |(ring, points): (usize, &Vec<Point>)| {
        // A corner that is there twice makes no side.
        let mut points = points.clone();
        points.dedup();
        let count = points.len();
        let ends = (0..count).map(|i| (i, points[i], points[(i + 1) % count]));
        ends.map(|(i, a, b)| Side { ring, place: (i, count), a, b }).collect::<Vec<_>>()
    };
    rings.iter().enumerate().flat_map(of_ring).collect()
}

impl Side {
    fn east(&self) -> (f64, f64) {
        (self.a.x.min(self.b.x), self.a.x.max(self.b.x))
    }

    fn north(&self) -> (f64, f64) {
        (self.a.y.min(self.b.y), self.a.y.max(self.b.y))
    }

    /// True where a corner of one lies on the other; neighbours of one ring, which share a corner, do not count.
    fn touches(&self, other: &Self) -> bool {
        let (i, count) = self.place;
        let apart = i.abs_diff(other.place.0);
        let are_neighbours = self.ring == other.ring && (apart == 1 || apart + 1 == count);
        let lies_on = |at: Point, side: &Self| {
            measure::nearest_on(&[side.a, side.b], at).is_some_and(|(.., off_m)| off_m <= TOUCH_M)
        };
        !are_neighbours
            && (lies_on(self.a, other) || lies_on(self.b, other) || lies_on(other.a, self) || lies_on(other.b, self))
    }

    fn crosses(&self, other: &Self) -> bool {
        let turn = |a: Point, b: Point, c: Point| (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
        let apart = |p: f64, q: f64| (p > 0.0 && q < 0.0) || (p < 0.0 && q > 0.0);
        apart(turn(self.a, self.b, other.a), turn(self.a, self.b, other.b))
            && apart(turn(other.a, other.b, self.a), turn(other.a, other.b, self.b))
    }
}

/// What is wrong with rings of at least three corners; nothing where the boundary, less the parts left out, is the field.
pub fn flaws(rings: &[Vec<Point>]) -> Vec<Flaw> {
    let at = rings.iter().flatten().next().copied();
    let tangle = |_| at.map(|at| Flaw::Tangle { at }).into_iter().collect();
    std::panic::catch_unwind(|| flaws_of(rings)).unwrap_or_else(tangle)
}

/// True for a panic of the library that cuts shapes, which is caught here: on rings that lie on themselves in many ways it loses a
/// part left out, and then nothing is made of them. Whoever reports panics leaves these out.
pub fn is_caught(panic: &std::panic::PanicHookInfo) -> bool {
    panic.location().is_some_and(|at| at.file().contains("i_overlay"))
}

fn flaws_of(rings: &[Vec<Point>]) -> Vec<Flaw> {
    let crossings = side_crossings(rings, MOST_CROSSINGS);
    if let Some((at, _)) = crossings.first().filter(|_| crossings.len() >= MOST_CROSSINGS) {
        return vec![Flaw::Tangle { at: *at }];
    }
    let touches = meetings(rings, MOST_TOUCHES, Side::touches);
    let tangled = nth_of_one(&crossings, MOST_OWN_CROSSINGS).or(nth_of_one(&touches, MOST_OWN_TOUCHES));
    if let Some(at) = tangled.or(touches.first().map(|(at, _)| *at).filter(|_| touches.len() >= MOST_TOUCHES)) {
        return vec![Flaw::Tangle { at }];
    }
    let small_m2 = rounding_m2(rings);
    let own = |ring: usize| crossings.iter().find(|(_, pair)| *pair == (ring, ring)).map(|(at, _)| *at);
    let itself = |(ring, points): (usize, &Vec<Point>)| {
        let doubtful_m2 = doubtful_m2(points);
        let crossed = own(ring).filter(|_| doubtful_m2 > LOOP_M2);
        let crossed = crossed.or_else(|| points.first().copied().filter(|_| doubtful_m2 > small_m2));
        crossed.map(|at| Flaw::Itself { ring, at, doubtful_m2 })
    };
    let mut found: Vec<Flaw> = rings.iter().enumerate().filter_map(itself).collect();
    let (Some(outer), true) = (rings.first(), rings.len() > 1) else { return found };
    let (outer, holes) = (once(outer), rings[1..].iter().map(|hole| once(hole)).collect::<Vec<_>>());
    found.extend((1..).zip(&holes).filter_map(|(hole, shape)| {
        let beyond = shape.difference(&outer);
        let (at, area_m2) = (corner(&beyond)?, beyond.unsigned_area());
        (area_m2 > small_m2).then_some(Flaw::Outside { hole, at, area_m2 })
    }));
    let apart_m2: f64 = holes.iter().map(Area::unsigned_area).sum();
    if apart_m2 - all_of(&holes).unsigned_area() > small_m2 {
        found.extend(overlaps(&holes, small_m2));
    }
    found.truncate(MOST_FLAWS);
    found
}

/// Where a ring meets itself once more than so many times.
fn nth_of_one(met: &[Meeting], most: usize) -> Option<Point> {
    let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
    let mut own = met.iter().filter(|(_, (a, b))| a == b);
    let is_over = |(_, (ring, _)): &&Meeting| {
        let count = counts.entry(*ring).or_default();
        *count += 1;
        *count > most
    };
    own.find(is_over).map(|(at, _)| *at)
}

/// Parts left out that overlap.
fn overlaps(holes: &[MultiPolygon<f64>], small_m2: f64) -> Vec<Flaw> {
    let pairs = (0..holes.len()).flat_map(|a| (a + 1..holes.len()).map(move |b| (a, b)));
    let shared = |(a, b): (usize, usize)| {
        let both = holes[a].intersection(&holes[b]);
        let (at, area_m2) = (corner(&both)?, both.unsigned_area());
        (area_m2 > small_m2).then_some(Flaw::Overlap { holes: (a + 1, b + 1), at, area_m2 })
    };
    pairs.take(MOST_PAIRS).filter_map(shared).take(MOST_FLAWS).collect()
}

/// The pieces that rings enclose, the largest first: each an outer ring, counter-clockwise, then the parts left out of it,
/// clockwise. What a ring encloses twice counts as outside; a part left out twice is left out. No piece where the library that
/// cuts shapes gives up.
pub fn pieces(rings: &[Vec<Point>]) -> Vec<Vec<Vec<Point>>> {
    std::panic::catch_unwind(|| pieces_of(rings)).unwrap_or_default()
}

fn pieces_of(rings: &[Vec<Point>]) -> Vec<Vec<Vec<Point>>> {
    let Some(outer) = rings.first() else { return Vec::new() };
    let holes: Vec<_> = rings[1..].iter().map(|hole| once(hole)).collect();
    let left = once(outer).difference(&all_of(&holes));
    let mut pieces: Vec<Vec<Vec<Point>>> = left.0.iter().map(rings_of).collect();
    let area_m2 = |piece: &Vec<Vec<Point>>| piece.iter().map(|ring| ring_m2(ring)).sum::<f64>();
    pieces.sort_by(|a, b| area_m2(b).total_cmp(&area_m2(a)));
    pieces
}

/// The area that rings seem to enclose, square metres: the boundary's less that of each part left out.
pub fn counted_m2(rings: &[Vec<Point>]) -> f64 {
    let mut areas = rings.iter().map(|ring| ring_m2(ring).abs());
    areas.next().map_or(0.0, |outer| outer - areas.sum::<f64>())
}

/// What a ring encloses once.
fn once(ring: &[Point]) -> MultiPolygon<f64> {
    polygon(ring).union(&MultiPolygon(Vec::new()))
}

/// Area by which the ways of taking a ring differ, square metres: its largest piece, all that it goes round, its corners.
fn doubtful_m2(ring: &[Point]) -> f64 {
    let none = MultiPolygon(Vec::new());
    let all = polygon(ring).boolean_op_with_fill_rule(&none, OpType::Union, FillRule::NonZero);
    let largest = once(ring).0.iter().map(Area::unsigned_area).fold(0.0, f64::max);
    (all.unsigned_area() - largest).max((ring_m2(ring).abs() - largest).abs())
}

fn polygon(ring: &[Point]) -> Polygon<f64> {
    Polygon::new(ring.iter().map(|p| (p.x, p.y)).collect::<LineString<f64>>(), Vec::new())
}

/// All shapes as one.
fn all_of(shapes: &[MultiPolygon<f64>]) -> MultiPolygon<f64> {
    let every = MultiPolygon(shapes.iter().flat_map(|shape| shape.0.iter().cloned()).collect());
    every.boolean_op_with_fill_rule(&MultiPolygon(Vec::new()), OpType::Union, FillRule::NonZero)
}

fn corner(shape: &MultiPolygon<f64>) -> Option<Point> {
    shape.0.first()?.exterior().0.first().map(|c| Point::new(c.x, c.y))
}

fn rings_of(polygon: &Polygon<f64>) -> Vec<Vec<Point>> {
    let open = |ring: &LineString<f64>, outer: bool| {
        let mut points: Vec<Point> = ring.0.iter().map(|c| Point::new(c.x, c.y)).collect();
        points.pop();
        if (ring_m2(&points) > 0.0) != outer {
            points.reverse();
        }
        points
    };
    let holes = polygon.interiors().iter().map(|ring| open(ring, false));
    std::iter::once(open(polygon.exterior(), true)).chain(holes).collect()
}

/// Areas as small as this come from rounding, square metres: shapes are cut on a grid of a billion steps across all rings.
fn rounding_m2(rings: &[Vec<Point>]) -> f64 {
    let Some((low, high)) = extent(rings.iter().flatten().copied()) else { return 0.0 };
    let round_m: f64 = sides(rings).iter().map(|side| distance(side.a, side.b)).sum();
    0.01 + 4e-9 * (high.x - low.x).max(high.y - low.y) * round_m
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(corners: &[(f64, f64)]) -> Vec<Point> {
        corners.iter().map(|(x, y)| Point::new(5e5 + x, 4.6e6 + y)).collect()
    }

    fn square(west: f64, south: f64, side: f64) -> Vec<Point> {
        ring(&[(west, south), (west + side, south), (west + side, south + side), (west, south + side)])
    }

    fn enclosed_m2(rings: &[Vec<Point>]) -> Vec<f64> {
        pieces(rings).iter().map(|piece| piece.iter().map(|ring| ring_m2(ring)).sum::<f64>().round()).collect()
    }

    #[test]
    fn sound_rings_have_no_flaw() {
        let field = [square(0.0, 0.0, 100.0), square(10.0, 10.0, 20.0), square(40.0, 40.0, 20.0)];
        assert!(flaws(&field).is_empty());
        assert_eq!(enclosed_m2(&field), [9_200.0]);
        // Two that touch along a side, and one that lies along the boundary.
        assert!(flaws(&[square(0.0, 0.0, 100.0), square(10.0, 10.0, 20.0), square(30.0, 10.0, 20.0)]).is_empty());
        assert!(flaws(&[square(0.0, 0.0, 100.0), square(0.0, 0.0, 20.0)]).is_empty());
    }

    #[test]
    fn holes_that_overlap_lie_outside_or_in_each_other() {
        let outer = square(0.0, 0.0, 100.0);
        let [Flaw::Overlap { holes: (1, 2), area_m2, .. }] =
            flaws(&[outer.clone(), square(10.0, 10.0, 20.0), square(20.0, 10.0, 20.0)])[..]
        else {
            panic!("sides on one line hide an overlap");
        };
        assert!((area_m2 - 200.0).abs() < 1e-3, "{area_m2}");
        assert!(matches!(
            flaws(&[outer.clone(), square(10.0, 10.0, 40.0), square(20.0, 20.0, 10.0)])[..],
            [Flaw::Overlap { holes: (1, 2), .. }]
        ));
        assert!(matches!(
            flaws(&[outer.clone(), square(90.0, 40.0, 20.0)])[..],
            [Flaw::Outside { hole: 1, area_m2, .. }] if (area_m2 - 200.0).abs() < 1e-3
        ));
        assert_eq!(enclosed_m2(&[outer.clone(), square(90.0, 40.0, 20.0)]), [9_800.0]);
        assert!(matches!(flaws(&[outer, square(200.0, 40.0, 20.0)])[..], [Flaw::Outside { hole: 1, .. }]));
    }

    #[test]
    fn a_ring_across_itself_and_one_that_goes_round_twice() {
        let bow_tie = ring(&[(0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0)]);
        let [Flaw::Itself { ring: 0, at, doubtful_m2 }] = flaws(&[bow_tie])[..] else { panic!("a bow tie") };
        assert_eq!((at.x, at.y), (500_050.0, 4_600_050.0));
        assert!((doubtful_m2 - 2_500.0).abs() < 1e-2, "{doubtful_m2}");
        let twice = [square(0.0, 0.0, 100.0), square(0.0, 0.0, 100.0)].concat();
        assert!(matches!(flaws(&[twice])[..], [Flaw::Tangle { .. }]));
    }

    /// Every side of a star with many corners crosses nearly every other.
    #[test]
    fn a_tangle_is_told_without_being_taken_apart() {
        let star: Vec<(f64, f64)> =
            (0..20_001).map(|i| f64::from(i) * 3.13).map(|a| (90.0 * a.cos(), 90.0 * a.sin())).collect();
        assert!(matches!(flaws(&[ring(&star)])[..], [Flaw::Tangle { .. }]));
        assert!(flaws(&[]).is_empty());
    }
}
