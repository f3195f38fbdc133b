//! A path drawn click by click: what the tools that draw one have in common.

use measure::Point;

use super::{Hand, Sketch, Touch};
use crate::canvas::{Snap, SnapKind};

/// Points so far and the one under the pointer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trace {
    points: Vec<Point>,
    next: Option<Snap>,
}

/// What a touch did to a path.
#[derive(Debug, Clone, PartialEq)]
pub enum Traced {
    /// It goes on.
    Going,
    /// The person ended it; the path starts anew.
    Ended(Vec<Point>),
    /// The person left with nothing drawn.
    Left,
}

impl Trace {
    /// Does what a touch asks; points are drawn to what `wanted` lets through.
    pub fn touch(&mut self, touch: Touch, hand: &Hand, wanted: impl Fn(SnapKind) -> bool) -> Traced {
        match touch {
            Touch::Move(at) => self.next = Some(hand.snap(at, wanted)),
            Touch::Click(at) => self.add(hand.snap(at, wanted).at),
            Touch::At(at) => self.add(at),
            Touch::Backspace => drop(self.points.pop()),
            Touch::Enter | Touch::DoubleClick => return Traced::Ended(std::mem::take(&mut self.points)),
            Touch::Escape if self.points.is_empty() => return Traced::Left,
            Touch::Escape => self.points.clear(),
            _ => {}
        }
        Traced::Going
    }

    /// The points so far.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    fn add(&mut self, at: Point) {
        if self.points.last() != Some(&at) {
            self.points.push(at);
        }
    }

    /// The preview.
    pub fn sketch(&self, closed: bool) -> Sketch {
        let path = self.points.iter().copied().chain(self.next.map(|snap| snap.at)).collect();
        Sketch { path, closed, snap: self.next }
    }
}
