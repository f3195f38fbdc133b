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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_turn_clockwise_from_north() {
        let o = Point::new(0.0, 0.0);
        assert_eq!(bearing(o, Point::new(0.0, 1.0)), 0.0);
        assert_eq!(bearing(o, Point::new(1.0, 0.0)), 90.0);
        assert_eq!(bearing(o, Point::new(-1.0, 0.0)), 270.0);
    }
}
