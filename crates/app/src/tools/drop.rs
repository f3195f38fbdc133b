//! Follows a drop of rain: the way it takes from a place, and the land that sheds water to that place.

use super::{Hand, Sketch, Tool, Touch};
use crate::wish::Wish;

/// Nothing is kept: each click follows another drop.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FollowDrop;

impl FollowDrop {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, _: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Click(at) => vec![Wish::Follow(Some(at))],
            Touch::Escape => vec![Wish::Follow(None), Wish::Take(Tool::default())],
            _ => Vec::new(),
        }
    }

    /// There is no preview.
    pub fn sketch(&self) -> Sketch {
        Sketch::default()
    }
}
