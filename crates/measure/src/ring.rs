//! Closed rings, given by their corners, the first not repeated: area, turning, what lies inside.

use crate::Point;

/// The corners with the first again at the end: the path round a ring.
pub fn closed(ring: &[Point]) -> Vec<Point> {
    ring.iter().chain(ring.first()).copied().collect()
}

/// The area of a ring by its corners, square metres: positive counter-clockwise. Counted from its first corner to keep the
/// digits.
pub fn ring_m2(ring: &[Point]) -> f64 {
    let Some(o) = ring.first() else { return 0.0 };
    let turn = |p: &Point, q: &Point| (p.x - o.x) * (q.y - o.y) - (q.x - o.x) * (p.y - o.y);
    ring.windows(2).map(|pair| turn(&pair[0], &pair[1])).sum::<f64>() / 2.0
}

/// True where a ray from a place to the east meets a side. A ring holds the place where that is so for an odd number of its
/// sides.
pub fn ray_meets((a, b): (Point, Point), at: Point) -> bool {
    (a.y > at.y) != (b.y > at.y) && at.x < (b.x - a.x) * (at.y - a.y) / (b.y - a.y) + a.x
}

/// True for a place inside a ring (even-odd rule).
pub fn ring_holds(ring: &[Point], at: Point) -> bool {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).filter(|(a, b)| ray_meets((**a, **b), at)).count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An L of 2 by 2 with a corner of 1 by 1 missing.
    const ELL: [Point; 6] = [
        Point::new(0.0, 0.0),
        Point::new(2.0, 0.0),
        Point::new(2.0, 1.0),
        Point::new(1.0, 1.0),
        Point::new(1.0, 2.0),
        Point::new(0.0, 2.0),
    ];

    #[test]
    fn area_says_which_way_a_ring_turns() {
        let mut ring = ELL.to_vec();
        assert_eq!(ring_m2(&ring), 3.0);
        ring.reverse();
        assert_eq!(ring_m2(&ring), -3.0);
        assert_eq!((ring_m2(&ELL[..2]), ring_m2(&[])), (0.0, 0.0));
    }

    #[test]
    fn the_missing_corner_is_outside() {
        let inside = [(0.5, 0.5), (1.5, 0.5), (0.5, 1.5), (1.5, 1.5), (-0.5, 0.5), (0.5, 2.5)];
        let held = inside.map(|(x, y)| ring_holds(&ELL, Point::new(x, y)));
        assert_eq!(held, [true, true, true, false, false, false]);
        assert!(!ring_holds(&[], ELL[0]));
    }

    #[test]
    fn the_path_round_a_ring_ends_where_it_began() {
        assert_eq!(closed(&ELL).len(), 7);
        assert_eq!(closed(&ELL)[6], ELL[0]);
        assert!(closed(&[]).is_empty());
    }
}
