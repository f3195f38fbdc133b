//! Ties: a place as so far from two corners of the field, so that anybody finds it again with a tape.

use measure::{Point, distance};

/// The least angle at a place between the tapes to its two corners, as a sine: 30°, under which a tape that is off moves
/// the place twice as far (by the law of sines; the limit is a [judgement]).
const LEAST_SINE: f64 = 0.5;

/// Corners nearer to each other than this give no tie, metres ([judgement]).
const LEAST_APART_M: f64 = 10.0;

/// A corner of the field with the letter it has on the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Its letter.
    pub letter: char,
    /// Where it is.
    pub at: Point,
}

/// A place as so far from two corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tie {
    /// The two corners.
    pub corners: [Corner; 2],
    /// From each to the place, level, metres.
    pub away_m: [f64; 2],
    /// True where the place lies to the left of who looks from the first corner to the second.
    pub left: bool,
}

/// Up to four corners of a ring, well apart: the two that lie farthest from each other, and to either side of the line
/// between them the one that lies farthest off. Lettered clockwise from the most northern.
pub fn corners(ring: &[Point]) -> Vec<Corner> {
    let farthest = |far: &dyn Fn(&Point) -> f64| ring.iter().copied().max_by(|a, b| far(a).total_cmp(&far(b)));
    let Some(first) = ring.first().and_then(|any| farthest(&|p| distance(*p, *any))) else { return Vec::new() };
    let Some(second) = farthest(&|p| distance(*p, first)) else { return Vec::new() };
    let off = |p: &Point| aside_m((first, second), *p);
    let others = [farthest(&off), farthest(&|p| -off(p))];
    let mut found: Vec<Point> = Vec::new();
    for at in [Some(first), Some(second)].into_iter().chain(others).flatten() {
        if found.iter().all(|other| distance(*other, at) >= LEAST_APART_M) {
            found.push(at);
        }
    }
    lettered(found)
}

/// Corners in the order of the clock, the most northern first.
fn lettered(mut found: Vec<Point>) -> Vec<Corner> {
    let count = found.len().max(1) as f64;
    let middle =
        Point::new(found.iter().map(|p| p.x).sum::<f64>() / count, found.iter().map(|p| p.y).sum::<f64>() / count);
    let north = found.iter().copied().max_by(|a, b| a.y.total_cmp(&b.y).then(b.x.total_cmp(&a.x)));
    let from = north.map_or(0.0, |north| measure::bearing(middle, north));
    let turn = |p: &Point| (measure::bearing(middle, *p) - from).rem_euclid(360.0);
    found.sort_by(|a, b| turn(a).total_cmp(&turn(b)));
    ('A'..).zip(found).map(|(letter, at)| Corner { letter, at }).collect()
}

/// How far a place lies to the left of the line from one place to another, metres.
fn aside_m((from, to): (Point, Point), at: Point) -> f64 {
    let length_m = distance(from, to).max(f64::MIN_POSITIVE);
    ((to.x - from.x) * (at.y - from.y) - (to.y - from.y) * (at.x - from.x)) / length_m
}

/// The tie of a place: of the pairs of corners whose tapes meet at an angle that holds the place well the nearest, else the
/// pair with the best angle; `None` without two corners.
pub fn tie(corners: &[Corner], at: Point) -> Option<Tie> {
    let pairs = corners.iter().enumerate().flat_map(|(i, a)| corners[i + 1..].iter().map(move |b| [*a, *b]));
    pairs.map(|pair| Tie::of(pair, at)).min_by(|a, b| a.rank(at).total_cmp(&b.rank(at)))
}

impl Tie {
    fn of(corners: [Corner; 2], at: Point) -> Self {
        let away_m = corners.map(|corner| distance(corner.at, at));
        let left = aside_m((corners[0].at, corners[1].at), at) >= 0.0;
        Self { corners, away_m, left }
    }

    /// Sine of the angle between the two tapes at the place.
    fn sine(&self, at: Point) -> f64 {
        let [a, b] = self.corners.map(|corner| corner.at);
        let twice_m2 = (a.x - at.x) * (b.y - at.y) - (a.y - at.y) * (b.x - at.x);
        (twice_m2 / (self.away_m[0] * self.away_m[1]).max(f64::MIN_POSITIVE)).abs()
    }

    /// Tapes together where the angle is good; behind all those the worse angles.
    fn rank(&self, at: Point) -> f64 {
        let (sine, together_m) = (self.sine(at), self.away_m[0] + self.away_m[1]);
        if sine >= LEAST_SINE { together_m } else { 1e9 / sine.max(1e-6) }
    }

    /// The place that two tapes of these lengths give; where they do not reach each other, the place between their ends.
    pub fn place(&self) -> Point {
        let [a, b] = self.corners.map(|corner| corner.at);
        let (apart_m, [from_a, from_b]) = (distance(a, b).max(f64::MIN_POSITIVE), self.away_m);
        let along_m = (apart_m * apart_m + from_a * from_a - from_b * from_b) / (2.0 * apart_m);
        let off_m = (from_a * from_a - along_m * along_m).max(0.0).sqrt() * if self.left { 1.0 } else { -1.0 };
        let (east, north) = ((b.x - a.x) / apart_m, (b.y - a.y) / apart_m);
        Point::new(a.x + along_m * east - off_m * north, a.y + along_m * north + off_m * east)
    }

    /// "312.4 ft from A, 208.1 ft from B, left of A to B"; a tenth of a foot, a centimetre on a metric plan.
    pub fn words(&self, units: measure::Units) -> String {
        let places = if units.is_metric() { 2 } else { 1 };
        let [a, b] = self.corners.map(|corner| corner.letter);
        let [from_a, from_b] = self.away_m.map(|m| format!("{} {}", units.number(m, places), units.sign()));
        format!("{from_a} from {a}, {from_b} from {b}, {} of {a} to {b}", if self.left { "left" } else { "right" })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the test")]
mod tests {
    use super::*;

    fn block() -> Vec<Point> {
        [(0.0, 0.0), (200.0, 0.0), (210.0, 60.0), (200.0, 120.0), (100.0, 130.0), (0.0, 120.0)]
            .map(|(x, y)| Point::new(x, y))
            .into()
    }

    /// The lengths of a 3-4-5 triangle: 30 and 40 from the ends of a base of 50.
    #[test]
    fn two_tapes_give_the_place_of_the_triangle() {
        let corner = |letter, x| Corner { letter, at: Point::new(x, 0.0) };
        let tie = Tie { corners: [corner('A', 0.0), corner('B', 50.0)], away_m: [30.0, 40.0], left: true };
        let at = tie.place();
        assert!(distance(at, Point::new(18.0, 24.0)) < 1e-9, "{at:?}");
        let other = Tie { left: false, ..tie }.place();
        assert!(distance(other, Point::new(18.0, -24.0)) < 1e-9, "{other:?}");
    }

    /// Every place of a field comes back from the figures that are printed, to a quarter of a foot: half a tenth on each of two
    /// tapes that meet at 30° or more.
    #[test]
    fn every_place_comes_back_from_what_is_printed() {
        let corners = corners(&block());
        assert_eq!(corners.len(), 4);
        assert_eq!(corners[0].letter, 'A');
        let units = measure::Units::Feet;
        for (east, north) in (0..=20).flat_map(|i| (0..=12).map(move |k| (f64::from(i) * 10.0, f64::from(k) * 10.0)))
        {
            let at = Point::new(east, north);
            let tie = tie(&corners, at).unwrap();
            let read = tie.away_m.map(|m| units.number(m, 1).parse::<f64>().unwrap() * measure::FOOT_M);
            let back = Tie { away_m: read, ..tie }.place();
            assert!(distance(back, at) <= 0.25 * measure::FOOT_M, "{at:?} {back:?} {}", tie.words(units));
        }
    }

    #[test]
    fn a_ring_without_extent_has_no_tie() {
        assert_eq!(corners(&[]), []);
        let dot = [Point::new(5.0, 5.0); 3];
        assert_eq!(tie(&corners(&dot), Point::new(1.0, 1.0)), None);
    }
}
