//! What a panel or a tool asks for. Only [`crate::apply`] carries it out.

use measure::Point;
use plan::Edit;

use crate::command::Command;
use crate::tools::Tool;
use crate::view::{Selection, Stage};

/// One thing asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum Wish {
    /// Make an edit; one undo step.
    Edit(Edit),
    /// Show a gesture that is not yet an edit, or drop it.
    Gesture(Option<Edit>),
    /// Choose something.
    Select(Selection),
    /// Go to a finding: its check and its place.
    Look(u16, Point),
    /// Take a tool in hand.
    Take(Tool),
    /// Go to a stage of the job.
    Go(Stage),
    /// Run a command.
    Run(Command),
    /// Draw contours at another interval, metres.
    Interval(Option<f64>),
    /// Show the ground along a line; none for an empty one.
    Section(Vec<Point>),
    /// Follow a drop from a place, or none any more.
    Follow(Option<Point>),
    /// Tell something.
    Say(String),
}
