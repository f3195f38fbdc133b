//! Draws a flow path: the way water takes from a place, and the land that sheds water to that place.

use measure::Point;

use super::{Hand, Sketch, Touch};
use crate::canvas::SnapKind;
use crate::command::ToolKind;
use crate::wish::Wish;

/// Nothing is kept: each click asks for another path.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FlowPath;

impl FlowPath {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Click(at) => vec![Wish::FlowPath(Some(aim(at, hand)))],
            Touch::Escape => vec![Wish::FlowPath(None), Wish::Take(ToolKind::Select)],
            _ => Vec::new(),
        }
    }

    /// There is no preview.
    pub fn sketch(&self) -> Sketch {
        Sketch::default()
    }
}

/// Beside a swale its wettest cell is meant, which no hand hits by itself.
fn aim(at: Point, hand: &Hand) -> Point {
    let snap = hand.snap(at, |kind| matches!(kind, SnapKind::Swale(_)));
    let land = hand.session.land();
    let ground = land.grid().zip(land.water.as_deref()).filter(|_| snap.kind.is_some());
    ground.and_then(|(grid, water)| water.wettest_near(grid, snap.at, 3)).unwrap_or(at)
}
