//! Lines with round corners, for the eye.

use measure::{Point, along};

/// Straight pieces that a rounded corner is drawn with.
const PIECES: usize = 4;

/// A line whose corners are rounded by parabolas from the middle of one side to the middle of the next, the curve that
/// cutting corners leads to (Chaikin, An algorithm for high-speed curve generation, Computer Graphics and Image
/// Processing 3, 1974), sharper where it would leave the line by more than `within_m`.
///
/// The ends of an open line stay; a line that ends where it starts is rounded there too. For drawing only: measure and
/// file the line itself.
pub fn smoothed(points: &[Point], within_m: f64) -> Vec<Point> {
    let [first, .., last] = *points else { return points.to_vec() };
    let closed = points.len() > 3 && first == last;
    let mut smooth = if closed { Vec::new() } else { vec![first] };
    points.windows(3).for_each(|w| round([w[0], w[1], w[2]], within_m, &mut smooth));
    if closed {
        round([points[points.len() - 2], first, points[1]], within_m, &mut smooth);
        smooth.extend(smooth.first().copied());
    } else {
        smooth.push(last);
    }
    smooth.dedup();
    smooth
}

/// Adds the parabola that rounds the middle one of three corners.
fn round([before, at, after]: [Point; 3], within_m: f64, smooth: &mut Vec<Point>) {
    let bend_m = (before.x + after.x - 2.0 * at.x).hypot(before.y + after.y - 2.0 * at.y);
    // The parabola passes the corner at a quarter of its reach times the bend.
    let reach = (4.0 * within_m.max(0.0) / bend_m).min(0.5);
    let (from, to) = (along(at, before, reach), along(at, after, reach));
    for piece in 0..=PIECES {
        let share = piece as f64 / PIECES as f64;
        smooth.push(along(along(from, at, share), along(at, to, share), share));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::nearest_on;
    use proptest::prelude::*;

    #[test]
    fn short_and_straight_lines_stay() {
        let line = [Point::new(0.0, 0.0), Point::new(4.0, 0.0)];
        assert_eq!(smoothed(&line, 1.0), line);
        assert!(smoothed(&[], 1.0).is_empty());
        let corner = [line[0], line[1], Point::new(4.0, 4.0)];
        assert_eq!(smoothed(&corner, f64::NAN), corner);
        assert!(smoothed(&corner, 1.0).contains(&Point::new(3.5, 0.5)));
    }

    proptest! {
        #[test]
        fn neither_line_leaves_the_other(
            raw in prop::collection::vec((-9.0..9.0f64, -9.0..9.0f64), 3..40), closed in any::<bool>(), within_m in 0.0..2.0f64
        ) {
            let mut line: Vec<Point> = raw.iter().map(|&(x, y)| Point::new(x, y)).collect();
            line.extend(closed.then_some(line[0]));
            let smooth = smoothed(&line, within_m);
            prop_assert_eq!(smooth.first() == smooth.last(), closed);
            for (points, other) in [(&line, &smooth), (&smooth, &line)] {
                for &point in points {
                    prop_assert!(nearest_on(other, point).unwrap().2 <= within_m + 1e-9);
                }
            }
        }
    }
}
