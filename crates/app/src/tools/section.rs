//! Draws a section: a line across the ground whose profile is shown. It is a look, no part of the plan.

use measure::Point;

use super::{Hand, Sketch, Touch, Trace, Traced};
use crate::command::ToolKind;
use crate::wish::Wish;

/// The line so far.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Section {
    line: Trace,
}

impl Section {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match self.line.touch(touch, hand, |_| true) {
            Traced::Going => Vec::new(),
            Traced::Ended(points) if points.len() > 1 => vec![Wish::Section(points)],
            Traced::Ended(_) => vec![Wish::Say("A section needs two ends.".into())],
            Traced::Left => vec![Wish::Section(Vec::new()), Wish::Take(ToolKind::Select)],
        }
    }

    /// The points so far.
    pub fn points(&self) -> &[Point] {
        self.line.points()
    }

    /// The preview.
    pub fn sketch(&self) -> Sketch {
        self.line.sketch(false)
    }
}
