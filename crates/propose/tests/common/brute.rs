//! Distances and places by brute force, not by the geometry of the program.

use measure::Point;
use plan::{Joins, Plan};

/// Distance of a place to a path, by its pieces.
pub fn away_m(place: Point, path: &[Point]) -> f64 {
    let piece = |a: Point, b: Point| {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let t = (((place.x - a.x) * dx + (place.y - a.y) * dy) / (dx * dx + dy * dy).max(1e-12)).clamp(0.0, 1.0);
        (place.x - a.x - t * dx).hypot(place.y - a.y - t * dy)
    };
    path.windows(2).map(|pair| piece(pair[0], pair[1])).fold(f64::INFINITY, f64::min)
}

/// Whether a ring goes round a place, by the angles under which its sides are seen.
pub fn goes_round(ring: &[Point], place: Point) -> bool {
    let angle = |a: Point, b: Point| {
        let turn = (b.y - place.y).atan2(b.x - place.x) - (a.y - place.y).atan2(a.x - place.x);
        (turn + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI
    };
    let around: f64 = (0..ring.len()).map(|i| angle(ring[i], ring[(i + 1) % ring.len()])).sum();
    around.abs() > std::f64::consts::PI
}

/// Length of a path by its pieces, metres.
pub fn length_m(path: &[Point]) -> f64 {
    path.windows(2).map(|pair| (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y)).sum()
}

/// Places every metre along the new lines; what leads to an outlet from the last corner left out.
pub fn places(plan: &Plan) -> Vec<(String, Point)> {
    let of_line = |line: &plan::Line| {
        let from = usize::from(matches!(line.joins, Joins::Outlet(_)));
        let pieces: Vec<(Point, Point)> = line.points.windows(2).skip(from).map(|pair| (pair[0], pair[1])).collect();
        let places = pieces.into_iter().flat_map(|(a, b)| {
            let count = (b.x - a.x).hypot(b.y - a.y).ceil().max(1.0);
            (0..=count as usize)
                .map(move |i| Point::new(a.x + (b.x - a.x) * i as f64 / count, a.y + (b.y - a.y) * i as f64 / count))
        });
        places.map(|place| (line.name.clone(), place)).collect::<Vec<_>>()
    };
    plan.lines.values().filter(|line| !line.kind.is_old()).flat_map(of_line).collect()
}
