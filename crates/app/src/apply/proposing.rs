//! First layouts: looked for beside the window, each shown as soon as it is there; the one that is taken is drawn.

use egui::Context;
use job::proposing;

use super::{go, make_edit};
use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};
use crate::panels::dialog::{Dialog, SureAsk};
use crate::proposals::Search;
use crate::view::Stage;

/// Looks for layouts of the plan as it stands.
pub fn begin(desk: &mut Desk, ctx: &Context) {
    go(desk, Stage::Lines);
    let (worked, revision) = (desk.session.resting(), desk.session.history().revision());
    if !desk.jobs.runs(Kind::Propose) {
        desk.view.proposals.begin(worked.clone(), revision);
    }
    let (tray, waker) = (desk.view.proposals.tray(), ctx.clone());
    desk.begin(Task::new(Kind::Propose, "First layouts"), ctx, move |progress| {
        progress.step("what is drawn").map_err(|error| error.to_string())?;
        tray.put_drawn(proposing::as_drawn(&worked));
        let found = proposing::search(&worked.plan, &worked.land, progress, |told| {
            tray.put(told);
            waker.request_repaint();
        });
        let found = found.map_err(|why| why.to_string());
        Ok(then(move |desk, _, _| desk.view.proposals.end(found)))
    });
}

/// Once a frame: takes up what was found. A search for a plan that was changed since is given up.
pub fn follow(desk: &mut Desk) {
    desk.view.proposals.follow(&desk.session);
    if desk.view.proposals.is_stale() && *desk.view.proposals.search() == Search::Going {
        desk.jobs.stop(|task| task.kind == Kind::Propose);
        desk.view.proposals.give_up("The plan changed while layouts were looked for.");
    }
}

/// Draws a layout that is proposed, after a question where lines would give way to it.
pub fn take(desk: &mut Desk, name: &str) {
    let proposals = &desk.view.proposals;
    let Some(proposal) = proposals.named(name).filter(|_| !proposals.is_stale()) else { return };
    let edit = proposal.edit.clone();
    let drawn = desk.session.plan().lines.values().filter(|line| !line.kind.is_old()).count();
    if drawn == 0 {
        return make_edit(desk, &edit);
    }
    let lines = if drawn == 1 { "The new line that is drawn gives" } else { "The new lines that are drawn give" };
    let says = format!(
        "{lines} way to it, with what was locked or entered on them. Old tile, outlets and marks stay. To keep both, put the \
         present layout aside first (stage Dig)."
    );
    desk.ask(Dialog::Sure(SureAsk { edit, says, button: "Replace what is drawn".into() }));
}
