//! Places an outlet.

use measure::Point;
use plan::{Joins, LineId, ObjectId};

use super::{Hand, Sketch, Touch};
use crate::canvas::{Snap, SnapKind};
use crate::command::ToolKind;
use crate::view::Selection;
use crate::wish::Wish;

/// The place that a click would take.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlaceOutlet {
    next: Option<Snap>,
}

impl PlaceOutlet {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Move(at) => self.next = Some(outlet_snap(at, hand)),
            Touch::Click(at) => return place(outlet_snap(at, hand), hand),
            Touch::At(at) => return place(Snap::free(at), hand),
            Touch::Escape => return vec![Wish::Take(ToolKind::Select)],
            _ => {}
        }
        Vec::new()
    }

    /// The preview.
    pub fn sketch(&self) -> Sketch {
        Sketch { snap: self.next, ..Sketch::default() }
    }
}

/// Where an outlet is meant by a pointer: at an end of pipe that still joins nothing, else in the channel, else at whatever is
/// near.
fn outlet_snap(at: Point, hand: &Hand) -> Snap {
    let lines = &hand.session.plan().lines;
    let is_open = |id: &LineId| lines.get(id).is_some_and(|line| line.joins == Joins::Nothing);
    let end = hand.snap(at, |kind| matches!(kind, SnapKind::Bend(id, 0) if is_open(&id)));
    let found = [end, channel_snap(at, hand)].into_iter().find(|snap| snap.kind.is_some());
    found.unwrap_or_else(|| hand.snap(at, |_| true))
}

/// The nearest place of a ditch, a culvert or a swale within reach.
pub(super) fn channel_snap(at: Point, hand: &Hand) -> Snap {
    let is_channel =
        |kind| matches!(kind, SnapKind::Swale(_) | SnapKind::Turn(..) | SnapKind::Object(ObjectId::Watercourse(_)));
    hand.snap(at, is_channel)
}

/// An outlet at the job's target depth, until its level is measured and entered.
fn place(snap: Snap, hand: &Hand) -> Vec<Wish> {
    let plan = hand.session.plan();
    let ground_m = hand.session.ground().and_then(|ground| ground.elevation(snap.at));
    let invert_m = ground_m.map_or(0.0, |ground_m| ground_m - plan.criteria.target_depth_m);
    let (id, edit) = plan::place_outlet(plan, plan.new_outlet(&plan.free_name("O"), snap.at, invert_m));
    vec![
        Wish::Edit(edit),
        Wish::Take(ToolKind::Select),
        Wish::Select(Selection::of(id)),
        Wish::Say("Enter the invert, the channel bottom and low water as measured.".into()),
    ]
}
