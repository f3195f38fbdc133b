//! Old tile found in the trench: a click on the planned line opens its form there.

use super::{Hand, Sketch, Touch};
use crate::command::ToolKind;
use crate::wish::Wish;

/// Nothing is kept: each click opens the form.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FoundHere;

impl FoundHere {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Click(at) => {
                let spot = plan::Spot::Place(hand.snap(at, |_| true).at);
                match record::trench_of(hand.session.plan(), &spot) {
                    Some(on) => vec![Wish::Found(Some(on))],
                    None => {
                        vec![Wish::Say("No planned line is there: click on the one in whose trench it lies.".into())]
                    }
                }
            }
            Touch::Escape => vec![Wish::Take(ToolKind::Select)],
            _ => Vec::new(),
        }
    }

    /// There is no preview.
    pub fn sketch(&self) -> Sketch {
        Sketch::default()
    }
}
