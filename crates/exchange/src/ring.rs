//! Closed rings: area, crossings, mending.

use measure::{Point, distance};

use crate::FileError;

/// Points nearer than this are one point, metres (own choice: a tenth of a millimetre).
const SAME_M: f64 = 1e-4;

/// Twice the signed area of a triangle: positive where `c` lies to the left of `a`–`b`.
fn turn(a: Point, b: Point, c: Point) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Signed area of a ring, square metres: positive counter-clockwise.
pub(crate) fn area(ring: &[Point]) -> f64 {
    let Some(first) = ring.first() else { return 0.0 };
    ring.windows(2).map(|pair| turn(*first, pair[0], pair[1])).sum::<f64>() / 2.0
}

/// Whether a ring holds a place (even-odd rule; on the edge counts as inside within a millimetre).
pub(crate) fn contains(ring: &[Point], p: Point) -> bool {
    let closed = ring.iter().copied().chain(ring.first().copied()).collect::<Vec<_>>();
    if measure::nearest_on(&closed, p).is_some_and(|(_, _, away_m)| away_m < 1e-3) {
        return true;
    }
    let crossed = closed.windows(2).filter(|pair| {
        let (a, b) = (pair[0], pair[1]);
        (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossed.count() % 2 == 1
}

/// Where a ring crosses itself: the middle of one crossing side. Sides that only touch do not cross.
pub(crate) fn crossing(ring: &[Point]) -> Option<Point> {
    let count = ring.len();
    let side = |i: usize| (ring[i], ring[(i + 1) % count]);
    let mut order: Vec<usize> = (0..count).collect();
    let low = |i: usize| side(i).0.x.min(side(i).1.x);
    let high = |i: usize| side(i).0.x.max(side(i).1.x);
    order.sort_by(|i, j| low(*i).total_cmp(&low(*j)));
    for (rank, i) in order.iter().enumerate() {
        let (a, b) = side(*i);
        for j in order[rank + 1..].iter().take_while(|j| low(**j) <= high(*i)) {
            let (c, d) = side(*j);
            let apart = |p: f64, q: f64| (p > 0.0 && q < 0.0) || (p < 0.0 && q > 0.0);
            if apart(turn(a, b, c), turn(a, b, d)) && apart(turn(c, d, a), turn(c, d, b)) {
                return Some(measure::along(c, d, 0.5));
            }
        }
    }
    None
}

/// A ring without its closing point and without repeated points, turned the right way.
pub(crate) fn mend(
    mut ring: Vec<Point>,
    place: &str,
    outer: bool,
    notes: &mut Vec<String>,
) -> Result<Vec<Point>, FileError> {
    let closed = ring.len() > 1 && ring.first().zip(ring.last()).is_some_and(|(a, b)| distance(*a, *b) < SAME_M);
    if closed {
        ring.pop();
    } else if ring.len() > 2 {
        notes.push(format!("{place}: the last point does not repeat the first; the ring was closed"));
    }
    let before = ring.len();
    ring.dedup_by(|a, b| distance(*a, *b) < SAME_M);
    if ring.len() < before {
        notes.push(format!("{place}: {} repeated points were left out", before - ring.len()));
    }
    if ring.len() < 3 {
        let found = format!("a ring of {} different points", ring.len());
        return Err(FileError::malformed(place, found, "at least three different points, enclosing at least 10 m²"));
    }
    if (area(&ring) > 0.0) != outer {
        ring.reverse();
    }
    Ok(ring)
}
