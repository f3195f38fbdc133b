//! How sure the plan is, worked out beside the window.

use egui::Context;
use job::certainty;
use measure::Point;
use plan::LineId;
use propose::certainty::Sampling;

use crate::certainty::SureAnswer;
use crate::command::Command;
use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};
use crate::view::{Selection, Stage};

/// Begins, and shows the card that tells it.
pub fn begin(desk: &mut Desk, ctx: &Context) {
    super::go(desk, Stage::Grade);
    if !Command::HowSure.is_enabled(&desk.session, &desk.view) {
        return;
    }
    let (worked, stated) = (desk.session.resting(), desk.view.sure.stated);
    desk.begin(Task::new(Kind::Sure, "How sure is this plan"), ctx, move |progress| {
        let sure =
            certainty::sure(&worked, stated, Sampling::SAMPLES, progress).map_err(|error| error.to_string())?;
        Ok(then(move |desk, revision, _| {
            // What was worked out for a plan that was changed since is dropped.
            if desk.session.history().revision() == revision {
                desk.view.sure.take(SureAnswer::new(revision, stated, worked, sure));
            }
        }))
    });
}

/// Shows a place in the middle of the map, and the profile of the line on which it lies.
pub fn center(desk: &mut Desk, at: Point, on: (LineId, f64)) {
    desk.view.camera.centre = at;
    let wanted = desk.view.sure.wanted(desk.session.history().revision()).0;
    desk.view.sure.looked_at = wanted.iter().position(|place| *place == at);
    (desk.view.sure.gone_to, desk.view.station_m) = (Some(on), Some(on.1));
    desk.view.selection = Selection::Nothing;
}
