//! Polylines: lengths, stations, places along them, and where they cross and come near.

use crate::{Point, Segment, along, distance};

/// Length of a polyline, metres.
pub fn path_length(path: &[Point]) -> f64 {
    path.windows(2).map(|pair| distance(pair[0], pair[1])).sum()
}

/// The point at `station_m` along a polyline, held to its ends. `None` for an empty path.
pub fn point_at(path: &[Point], station_m: f64) -> Option<Point> {
    let mut left = station_m.max(0.0);
    for pair in path.windows(2) {
        let length = distance(pair[0], pair[1]);
        if left <= length && length > 0.0 {
            return Some(along(pair[0], pair[1], left / length));
        }
        left -= length;
    }
    path.last().copied()
}

/// The part of a polyline between two stations, held to its ends; one point where both are the same.
pub fn part_of(path: &[Point], from_m: f64, to_m: f64) -> Vec<Point> {
    let mut part: Vec<Point> = point_at(path, from_m).into_iter().collect();
    if to_m <= from_m {
        return part;
    }
    let mut station_m = 0.0;
    for pair in path.windows(2) {
        station_m += distance(pair[0], pair[1]);
        if station_m > from_m && station_m < to_m {
            part.push(pair[1]);
        }
    }
    part.extend(point_at(path, to_m));
    part.dedup();
    part
}

/// Where the piece from `a` to `b` crosses that from `c` to `d`: the share of the way from `a`, and the place. Pieces that
/// only touch cross too; parallel ones do not.
pub fn crossing((a, b): (Point, Point), (c, d): (Point, Point)) -> Option<(f64, Point)> {
    let (rx, ry, sx, sy) = (b.x - a.x, b.y - a.y, d.x - c.x, d.y - c.y);
    let (qx, qy) = (c.x - a.x, c.y - a.y);
    let turn = rx * sy - ry * sx;
    let (t, u) = ((qx * sy - qy * sx) / turn, (qx * ry - qy * rx) / turn);
    let inside = turn.abs() > 1e-12 && (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u);
    inside.then(|| (t, along(a, b, t)))
}

/// Where a path crosses another: stations along it and places, by rising station.
pub fn crossings(path: &[Point], other: &[Point]) -> Vec<(f64, Point)> {
    let mut found: Vec<(f64, Point)> = Vec::new();
    let mut start_m = 0.0;
    for own in path.windows(2) {
        let length_m = distance(own[0], own[1]);
        let met = other.windows(2).filter_map(|piece| crossing((own[0], own[1]), (piece[0], piece[1])));
        found.extend(met.map(|(t, at)| (start_m + t * length_m, at)));
        start_m += length_m;
    }
    found.sort_by(|x, y| x.0.total_cmp(&y.0));
    // A crossing at a bend is met by two pieces.
    found.dedup_by(|x, y| (x.0 - y.0).abs() < 1e-6);
    found
}

/// The nearest place on a polyline: `(station_m, point, distance_m)`. `None` for fewer than two points.
pub fn nearest_on(path: &[Point], to: Point) -> Option<(f64, Point, f64)> {
    let mut best: Option<(f64, Point, f64)> = None;
    let mut start_m = 0.0;
    for pair in path.windows(2) {
        let piece = Segment::new(pair[0], pair[1]);
        let (along_m, foot) = piece.nearest(to);
        let away = distance(foot, to);
        if best.is_none_or(|(_, _, least)| away < least) {
            best = Some((start_m + along_m, foot, away));
        }
        start_m += piece.length_m();
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    const BENT: [Point; 3] = [Point::new(0.0, 0.0), Point::new(30.0, 40.0), Point::new(30.0, 100.0)];

    #[test]
    fn length_and_place_along_a_bent_line() {
        assert_eq!(path_length(&BENT), 110.0);
        assert_eq!(point_at(&BENT, 80.0), Some(Point::new(30.0, 70.0)));
        assert_eq!(point_at(&BENT, 500.0), Some(BENT[2]));
        assert_eq!(point_at(&[], 1.0), None);
    }

    #[test]
    fn nearest_place_says_station_and_distance() {
        let (station_m, at, away_m) = nearest_on(&BENT, Point::new(33.0, 70.0)).unwrap();
        assert_eq!((station_m, at, away_m), (80.0, Point::new(30.0, 70.0), 3.0));
    }
}
