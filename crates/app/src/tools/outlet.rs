//! Places an outlet.

use plan::Outlet;

use super::{Hand, Sketch, Touch};
use crate::canvas::Snap;
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
            Touch::Move(at) => self.next = Some(hand.snap(at, |_| true)),
            Touch::Click(at) => return place(hand.snap(at, |_| true), hand),
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

/// An outlet at the job's target depth, until its level is measured and entered.
fn place(snap: Snap, hand: &Hand) -> Vec<Wish> {
    let plan = hand.session.plan();
    let ground_m = hand.session.ground().and_then(|ground| ground.elevation(snap.at));
    let invert_m = ground_m.map_or(0.0, |ground_m| ground_m - plan.criteria.target_depth_m);
    let (id, edit) = plan::place_outlet(plan, Outlet::new(&plan.free_name("O"), snap.at, invert_m));
    vec![
        Wish::Edit(edit),
        Wish::Take(ToolKind::Select),
        Wish::Select(Selection::of(id)),
        Wish::Say("Enter the invert, the channel bottom and low water as measured.".into()),
    ]
}
