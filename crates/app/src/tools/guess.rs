//! Draws where water is thought to gather, before it is shown. Strokes are looked at, no part of the plan.

use measure::{Point, distance};

use super::{Hand, Sketch, Touch};
use crate::command::ToolKind;
use crate::wish::Wish;

/// The stroke in hand.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DrawGuess {
    stroke: Vec<Point>,
}

impl DrawGuess {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Press(at) => self.stroke = vec![at],
            Touch::Drag(at) => self.go_to(at, hand.reach_m / 3.0),
            Touch::Release(at) => {
                self.go_to(at, 0.0);
                return vec![Wish::Guess(with(&hand.view.guess.strokes, std::mem::take(&mut self.stroke)))];
            }
            Touch::Backspace => {
                let strokes = &hand.view.guess.strokes;
                return vec![Wish::Guess(strokes[..strokes.len().saturating_sub(1)].to_vec())];
            }
            // First the stroke in hand goes, then the tool.
            Touch::Escape if self.stroke.is_empty() => return vec![Wish::Take(ToolKind::Select)],
            Touch::Escape => self.stroke.clear(),
            Touch::Move(_) | Touch::Click(_) | Touch::At(_) | Touch::DoubleClick | Touch::Enter => {}
        }
        Vec::new()
    }

    /// Takes a place that lies far enough from the last; a stroke that was left is not taken up again.
    fn go_to(&mut self, at: Point, apart_m: f64) {
        if self.stroke.last().is_some_and(|last| distance(*last, at) > apart_m) {
            self.stroke.push(at);
        }
    }

    /// The stroke so far.
    pub fn stroke(&self) -> &[Point] {
        &self.stroke
    }

    /// There is no preview but the stroke.
    pub fn sketch(&self) -> Sketch {
        Sketch { path: self.stroke.clone(), ..Sketch::default() }
    }
}

/// Strokes with one more; a dot is none.
fn with(strokes: &[Vec<Point>], stroke: Vec<Point>) -> Vec<Vec<Point>> {
    strokes.iter().cloned().chain(Some(stroke).filter(|stroke| stroke.len() > 1)).collect()
}
