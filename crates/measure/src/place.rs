//! Plan coordinates and the few operations on them that everyone needs.

use serde::{Deserialize, Serialize};

/// A place on the plan: easting and northing in metres in the plan's coordinate system.
///
/// A system that counts in feet is held in metres too (its coordinates times the foot).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Easting, metres.
    pub x: f64,
    /// Northing, metres.
    pub y: f64,
}

impl Point {
    /// A point from easting and northing, metres.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// True when both coordinates are finite.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

/// Distance between two points, metres.
pub fn distance(a: Point, b: Point) -> f64 {
    // A plain root: no length on a field comes near to where the squares overflow, and `hypot` takes four times as long.
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    (dx * dx + dy * dy).sqrt()
}

/// The point a share `t` of the way from `a` to `b` (0 at `a`, 1 at `b`).
pub fn along(a: Point, b: Point, t: f64) -> Point {
    Point::new(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t)
}

/// Compass bearing from `a` to `b` in degrees clockwise from grid north, 0 to 360.
pub fn bearing(a: Point, b: Point) -> f64 {
    (b.x - a.x).atan2(b.y - a.y).to_degrees().rem_euclid(360.0)
}

/// The place so far from another in a direction: degrees clockwise from grid north, metres.
pub fn toward(from: Point, bearing_deg: f64, length_m: f64) -> Point {
    let (east, north) = bearing_deg.to_radians().sin_cos();
    Point::new(from.x + east * length_m, from.y + north * length_m)
}

/// The way from one bearing to another, degrees, without a sign: 0 to 180.
pub fn apart_deg(one: f64, other: f64) -> f64 {
    let turn = (one - other).rem_euclid(360.0);
    turn.min(360.0 - turn)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_toward_another_lies_in_its_direction() {
        let (from, to) = (Point::new(3.0, -2.0), Point::new(-5.0, 7.0));
        assert!(distance(toward(from, bearing(from, to), distance(from, to)), to) < 1e-12);
    }

    #[test]
    fn bearings_are_apart_the_short_way() {
        assert_eq!([apart_deg(350.0, 10.0), apart_deg(10.0, 350.0)], [20.0, 20.0]);
        assert_eq!([apart_deg(270.0, 90.0), apart_deg(-90.0, 270.0)], [180.0, 0.0]);
    }

    #[test]
    fn bearings_turn_clockwise_from_north() {
        let o = Point::new(0.0, 0.0);
        assert_eq!(bearing(o, Point::new(0.0, 1.0)), 0.0);
        assert_eq!(bearing(o, Point::new(1.0, 0.0)), 90.0);
        assert_eq!(bearing(o, Point::new(-1.0, 0.0)), 270.0);
    }
}
