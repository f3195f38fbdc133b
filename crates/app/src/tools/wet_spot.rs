//! Asks what a wet spot tells: which line is likely to blame, and where to dig first.

use super::{Hand, Sketch, Touch};
use crate::command::ToolKind;
use crate::wish::Wish;

/// Nothing is kept: each click asks of another spot.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AskWetSpot;

impl AskWetSpot {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, _: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Click(at) => vec![Wish::WetSpot(Some(at))],
            Touch::Escape => vec![Wish::WetSpot(None), Wish::Take(ToolKind::Select)],
            _ => Vec::new(),
        }
    }

    /// There is no preview.
    pub fn sketch(&self) -> Sketch {
        Sketch::default()
    }
}
