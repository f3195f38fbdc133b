//! Marks something on the land: a place, a course or an area.

use measure::Point;
use plan::{Landmark, LandmarkKind, Outline};

use super::{Hand, Sketch, Touch, Trace, Traced};
use crate::command::ToolKind;
use crate::view::{DrawnAs, Selection};
use crate::wish::Wish;

/// The mark so far.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawMark {
    /// What it stands for.
    pub kind: LandmarkKind,
    /// What it is drawn as.
    pub drawn_as: DrawnAs,
    course: Trace,
}

impl DrawMark {
    /// Nothing drawn yet.
    pub fn new(kind: LandmarkKind, drawn_as: DrawnAs) -> Self {
        Self { kind, drawn_as, course: Trace::default() }
    }

    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        if let (DrawnAs::Place, Touch::Click(at) | Touch::At(at)) = (self.drawn_as, touch) {
            return self.end(Outline::At(at), hand);
        }
        match self.course.touch(touch, hand, |_| true) {
            Traced::Going => Vec::new(),
            Traced::Ended(points) => self.ended(points, hand),
            Traced::Left => vec![Wish::Take(ToolKind::Select)],
        }
    }

    fn ended(&self, points: Vec<Point>, hand: &Hand) -> Vec<Wish> {
        match self.drawn_as {
            DrawnAs::Course if points.len() >= 2 => self.end(Outline::Along(points), hand),
            DrawnAs::Area if points.len() >= 3 => self.end(Outline::Around(points), hand),
            DrawnAs::Area => vec![Wish::Say("An area needs three corners.".into())],
            _ => vec![Wish::Say("A course needs two ends.".into())],
        }
    }

    fn end(&self, outline: Outline, hand: &Hand) -> Vec<Wish> {
        let plan = hand.session.plan();
        let landmark = Landmark {
            name: plan.free_name("K"),
            kind: plan.starts().mark(self.kind.clone()),
            outline,
            note: String::new(),
        };
        let (id, edit) = plan::add_landmark(plan, landmark);
        vec![Wish::Edit(edit), Wish::Select(Selection::of(id)), Wish::Take(ToolKind::Select)]
    }

    /// The points so far.
    pub fn points(&self) -> &[Point] {
        self.course.points()
    }

    /// The preview.
    pub fn sketch(&self) -> Sketch {
        self.course.sketch(self.drawn_as == DrawnAs::Area)
    }
}
