//! Draws a ditch or a culvert.

use measure::Point;
use plan::{Watercourse, WatercourseKind};

use super::{Hand, Sketch, Touch, Trace, Traced};
use crate::command::ToolKind;
use crate::view::Selection;
use crate::wish::Wish;

/// The course so far.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawWatercourse {
    /// What is drawn.
    pub kind: WatercourseKind,
    course: Trace,
}

impl DrawWatercourse {
    /// Nothing drawn yet.
    pub fn new(kind: WatercourseKind) -> Self {
        Self { kind, course: Trace::default() }
    }

    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match self.course.touch(touch, hand, |_| true) {
            Traced::Going => Vec::new(),
            Traced::Ended(points) => self.end(points, hand),
            Traced::Left => vec![Wish::Take(ToolKind::Select)],
        }
    }

    fn end(&self, points: Vec<Point>, hand: &Hand) -> Vec<Wish> {
        if points.len() < 2 {
            return vec![Wish::Say(format!("A {} needs two ends.", self.kind.word()))];
        }
        let plan = hand.session.plan();
        let drawn = Watercourse { name: plan.free_name(self.kind.stem()), kind: self.kind, points };
        let (id, edit) = plan::add_watercourse(plan, drawn);
        vec![Wish::Edit(edit), Wish::Select(Selection::of(id))]
    }

    /// The points so far.
    pub fn points(&self) -> &[Point] {
        self.course.points()
    }

    /// The preview.
    pub fn sketch(&self) -> Sketch {
        self.course.sketch(false)
    }
}
