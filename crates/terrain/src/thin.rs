//! Lines with fewer points.

use measure::Point;

/// A line with only the points it needs to stay within a tolerance of itself (Douglas and Peucker 1973), metres.
pub fn simplify(points: &[Point], tolerance_m: f64) -> Vec<Point> {
    kept(points, tolerance_m).into_iter().map(|k| points[k]).collect()
}

/// Numbers of the points that [`simplify`] keeps, ascending.
pub(crate) fn kept(points: &[Point], tolerance_m: f64) -> Vec<usize> {
    let mut keep = vec![false; points.len()];
    let Some(last) = points.len().checked_sub(1) else { return Vec::new() };
    (keep[0], keep[last]) = (true, true);
    let mut parts = vec![(0, last)];
    while let Some((from, to)) = parts.pop() {
        if let Some(k) = farthest(points, from, to, tolerance_m) {
            keep[k] = true;
            parts.extend([(from, k), (k, to)]);
        }
    }
    (0..points.len()).filter(|&k| keep[k]).collect()
}

/// The point between two that lies farthest from the straight line joining them, if beyond the tolerance.
fn farthest(points: &[Point], from: usize, to: usize, tolerance_m: f64) -> Option<usize> {
    let (start, end) = (points[from], points[to]);
    let (east, north) = (end.x - start.x, end.y - start.y);
    let square = east * east + north * north;
    let scale = if square > 0.0 { square.recip() } else { 0.0 };
    // Squares tell which is farther as well as lengths, without a root for each point.
    let mut far = (None, tolerance_m * tolerance_m);
    for (k, point) in points.iter().enumerate().take(to).skip(from + 1) {
        let (x, y) = (point.x - start.x, point.y - start.y);
        let along = ((x * east + y * north) * scale).clamp(0.0, 1.0);
        let (off_x, off_y) = (x - along * east, y - along * north);
        let away = off_x * off_x + off_y * off_y;
        if away > far.1 {
            far = (Some(k), away);
        }
    }
    far.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn points(raw: &[(f64, f64)]) -> Vec<Point> {
        raw.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    #[test]
    fn straight_points_go_and_corners_stay() {
        let line = points(&[(0.0, 0.0), (1.0, 0.05), (2.0, 0.0), (3.0, -0.05), (4.0, 0.0), (4.0, 5.0)]);
        assert_eq!(simplify(&line, 0.1), points(&[(0.0, 0.0), (4.0, 0.0), (4.0, 5.0)]));
        assert_eq!(simplify(&[], 1.0), []);
        assert_eq!(simplify(&line[..1], 1.0), line[..1]);
        assert_eq!(simplify(&line, f64::NAN).len(), 2);
    }

    proptest! {
        #[test]
        fn no_point_is_farther_than_the_tolerance(raw in prop::collection::vec((-9.0..9.0f64, -9.0..9.0f64), 2..60)) {
            let line = points(&raw);
            let thin = simplify(&line, 1.5);
            for point in line {
                prop_assert!(measure::nearest_on(&thin, point).unwrap().2 <= 1.5 + 1e-9);
            }
        }
    }
}
