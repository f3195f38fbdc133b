//! Draws the field's boundary.

use measure::Point;

use super::{Hand, Sketch, Touch, Trace, Traced};
use crate::canvas::SnapKind;
use crate::command::ToolKind;
use crate::view::Selection;
use crate::wish::Wish;

/// Corners so far.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Boundary {
    corners: Trace,
}

impl Boundary {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match self.corners.touch(touch, hand, |kind| !matches!(kind, SnapKind::Swale(_))) {
            Traced::Going => Vec::new(),
            Traced::Ended(ring) => close(ring),
            Traced::Left => vec![Wish::Take(ToolKind::Select)],
        }
    }

    /// The points so far.
    pub fn points(&self) -> &[Point] {
        self.corners.points()
    }

    /// The preview.
    pub fn sketch(&self) -> Sketch {
        self.corners.sketch(true)
    }
}

fn close(ring: Vec<Point>) -> Vec<Wish> {
    if ring.len() < 3 {
        return vec![Wish::Say("A boundary needs at least three corners.".into())];
    }
    vec![Wish::Edit(plan::set_field(Some(ring))), Wish::Take(ToolKind::Select), Wish::Select(Selection::Field)]
}
