//! What comes next on a plan that is being begun: one step, with the button that does it, until the first line is checked.

use egui::{Frame, Margin, RichText, Ui};
use job::Session;
use plan::{Joins, LineKind};

use super::Sight;
use crate::command::{Command, ToolKind};
use crate::theme::bold;
use crate::wish::Wish;

/// A step of beginning a plan.
struct Step {
    /// Its number of [`STEPS`].
    number: usize,
    says: &'static str,
    button: &'static str,
    wish: Wish,
    /// A second way to do it.
    or: Option<(&'static str, Wish)>,
}

/// How many there are.
const STEPS: usize = 5;

/// Shows the next step, nothing once a line runs into an outlet.
pub fn show(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    let Some(step) = next(sight.session) else { return };
    let frame =
        Frame::new().fill(sight.view.palette().paper).inner_margin(Margin::symmetric(10, 8)).corner_radius(4.0);
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(RichText::new(format!("Next, step {} of {STEPS}", step.number)).font(bold(14.0)));
        ui.label(step.says);
        ui.horizontal_wrapped(|ui| {
            for (words, wish) in std::iter::once((step.button, step.wish)).chain(step.or) {
                if ui.button(words).clicked() {
                    wishes.push(wish);
                }
            }
        });
    });
    ui.add_space(6.0);
}

/// A step that may be left to a layout that is proposed.
fn or_propose(step: Step) -> Step {
    Step { or: Some(("Propose a layout", Wish::Run(Command::Propose))), ..step }
}

/// True where the next step may be to have layouts proposed.
pub fn proposes(session: &Session) -> bool {
    next(session).is_some_and(|step| step.or.is_some())
}

fn next(session: &Session) -> Option<Step> {
    let plan = session.plan();
    let step = |number, says, button, wish| Some(Step { number, says, button, wish, or: None });
    let drains =
        |kind: fn(LineKind) -> bool| plan.lines.values().any(|line| kind(line.kind) && line.joins != Joins::Nothing);
    if session.ground().is_none() {
        let says = "Bring the land in: a GeoTIFF or grid of levels, lidar points, or a table of survey shots.";
        return step(1, says, "Open ground…", Wish::Run(Command::OpenGround));
    }
    if plan.field.is_none() {
        let says = "Draw the edge of the field: click its corners, Enter closes it. Or read it from a file (Plan, Read boundary).";
        return step(2, says, "Draw the boundary", Wish::Take(ToolKind::Boundary));
    }
    if plan.outlets.is_empty() {
        let says = "Put the outlet where water may leave: at the ditch or creek bank, lower than all the pipe. Layouts that are proposed bring one along.";
        let place = step(3, says, "Place the outlet", Wish::Take(ToolKind::Outlet));
        return place.map(or_propose);
    }
    if !drains(|kind| kind == LineKind::Main) {
        let says = "Draw the main from the outlet along the low side; it snaps to swales. Or have first layouts proposed, and change the one you take.";
        let draw = step(4, says, "Draw the main", Wish::Take(ToolKind::Line(LineKind::Main)));
        return draw.map(or_propose);
    }
    if !drains(|kind| kind == LineKind::Lateral) {
        let says = "Draw laterals off the main up the swales, or lay a grid of them. Each is checked as it is drawn: see the punch list.";
        return step(5, says, "Draw a lateral", Wish::Take(ToolKind::Line(LineKind::Lateral)));
    }
    None
}
