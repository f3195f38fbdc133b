//! A backdrop: an air photo or map image that lies under the plan. It is looked at, and nothing is worked out from it.

use measure::Point;
use serde::{Deserialize, Serialize};

use crate::check::{refuse, within};
use crate::{Change, Edit, PlanError, bounds};

/// An air photo or map image under the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Backdrop {
    /// The picture, relative to the plan file where it lies beside or below it.
    pub file: String,
    /// Where it lies, where neither it nor a file beside it says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub placing: Option<Placing>,
    /// How strongly it is drawn, from 0 (not seen) to 1 (as it is).
    pub strength: f64,
    /// False while it is put out of sight.
    pub shown: bool,
}

impl Backdrop {
    /// How strongly a picture is drawn at first: what is drawn on it stays the plainer (own choice).
    pub const STRENGTH: f64 = 0.7;

    /// A picture that says itself where it lies.
    pub const fn of_file(file: String) -> Self {
        Self { file, placing: None, strength: Self::STRENGTH, shown: true }
    }
}

/// Where the pixels of a picture lie on the plan, as a world file says it: three places and ways, metres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Placing {
    /// The middle of the first pixel, at the upper left.
    pub first: Point,
    /// The way from one pixel to the next of its row.
    pub along_row: Point,
    /// The way from one row to the next below.
    pub to_next_row: Point,
}

impl Placing {
    /// The place of pixel (`col`, `row`); whole numbers are middles of pixels.
    pub fn at(&self, col: f64, row: f64) -> Point {
        let along = |first: f64, a: f64, d: f64| first + col * a + row * d;
        Point::new(
            along(self.first.x, self.along_row.x, self.to_next_row.x),
            along(self.first.y, self.along_row.y, self.to_next_row.y),
        )
    }

    /// Square metres of one pixel.
    pub fn pixel_m2(&self) -> f64 {
        (self.along_row.x * self.to_next_row.y - self.along_row.y * self.to_next_row.x).abs()
    }

    pub(crate) fn hold(&self, place: &str) -> Result<(), PlanError> {
        for number in [self.first.x, self.first.y] {
            within(place, bounds::COORDINATE.what, number, bounds::COORDINATE)?;
        }
        for number in [self.along_row.x, self.along_row.y, self.to_next_row.x, self.to_next_row.y] {
            within(place, bounds::PIXEL.what, number, bounds::PIXEL)?;
        }
        if self.pixel_m2() > 0.0 {
            return Ok(());
        }
        refuse(place, "pixels without an area", "two ways that do not lie on one line")
    }
}

/// What must hold of a backdrop.
pub(crate) fn hold(backdrop: &Backdrop) -> Result<(), PlanError> {
    const PLACE: &str = "the picture under the plan";
    within(PLACE, "strength", backdrop.strength, bounds::SHARE)?;
    backdrop.placing.iter().try_for_each(|placing| placing.hold(PLACE))
}

/// Lays a picture under the plan, changes how it lies there, or takes it away.
pub fn set_backdrop(label: &str, backdrop: Option<Backdrop>) -> Edit {
    Edit::one(label, Change::Backdrop(backdrop))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Plan;
    use measure::Units;

    #[test]
    fn a_placing_is_a_world_file_s_sum() {
        // The six figures as the public description of the world file has them: x = A col + B row + C, y = D col + E row + F.
        let placing = Placing {
            first: Point::new(100.0, 900.0),
            along_row: Point::new(0.5, 0.0),
            to_next_row: Point::new(0.0, -0.5),
        };
        assert_eq!(placing.at(10.0, 4.0), Point::new(105.0, 898.0));
        assert_eq!(placing.pixel_m2(), 0.25);
    }

    #[test]
    fn what_cannot_lie_anywhere_is_refused() {
        let told = |backdrop: Backdrop| {
            let mut plan = Plan::new("Sketch", Units::Feet);
            plan.apply(&set_backdrop("Lay a picture under the plan", Some(backdrop))).unwrap_err().to_string()
        };
        let strong = Backdrop { strength: 1.5, ..Backdrop::of_file("a.jpg".into()) };
        assert_eq!(told(strong), "the picture under the plan: found strength 1.5, expected 0 to 1");
        let way = Point::new(1.0, 1.0);
        let flat = Placing { first: Point::new(0.0, 0.0), along_row: way, to_next_row: way };
        let flat = Backdrop { placing: Some(flat), ..Backdrop::of_file("a.jpg".into()) };
        assert!(told(flat).contains("pixels without an area"));
    }
}
