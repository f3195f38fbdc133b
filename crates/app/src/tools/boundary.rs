//! Draws the field's boundary.

use measure::Point;

use super::{Hand, Sketch, Tool, Touch};
use crate::canvas::{Snap, SnapKind};
use crate::view::Selection;
use crate::wish::Wish;

/// Corners so far.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Boundary {
    corners: Vec<Point>,
    next: Option<Snap>,
}

impl Boundary {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Move(at) => self.next = Some(hand.snap(at, |kind| !matches!(kind, SnapKind::Swale(_)))),
            Touch::Click(at) => {
                let snap = hand.snap(at, |kind| !matches!(kind, SnapKind::Swale(_)));
                if self.corners.last() != Some(&snap.at) {
                    self.corners.push(snap.at);
                }
            }
            Touch::Backspace => drop(self.corners.pop()),
            Touch::Enter | Touch::DoubleClick => return self.close(),
            Touch::Escape if self.corners.is_empty() => return vec![Wish::Take(Tool::default())],
            Touch::Escape => self.corners.clear(),
            _ => {}
        }
        Vec::new()
    }

    fn close(&mut self) -> Vec<Wish> {
        if self.corners.len() < 3 {
            return vec![Wish::Say("A boundary needs at least three corners.".into())];
        }
        let ring = std::mem::take(&mut self.corners);
        vec![Wish::Edit(plan::set_field(Some(ring))), Wish::Take(Tool::default()), Wish::Select(Selection::Field)]
    }

    /// The preview.
    pub fn sketch(&self) -> Sketch {
        let path = self.corners.iter().copied().chain(self.next.map(|snap| snap.at)).collect();
        Sketch { path, closed: true, snap: self.next }
    }
}
