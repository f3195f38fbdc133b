//! How the land dries, worked out beside the window: roughly first, so that there is something to look at, then finely.

use std::sync::Arc;

use egui::Context;
use job::dry::{Ask, dry};
use job::ground::threads;

use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};

/// Cells of the first look (own choice: a moment's work).
const FIRST_CELLS: usize = 1_000;

/// Begins with a rough look.
pub fn begin(desk: &mut Desk, ask: Ask, ctx: &Context) {
    let rough = Ask { cells: FIRST_CELLS.min(ask.cells), ..ask.clone() };
    work(desk, rough, Some(ask), ctx);
}

fn work(desk: &mut Desk, ask: Ask, finer: Option<Ask>, ctx: &Context) {
    let worked = desk.session.resting();
    desk.begin(Task::new(Kind::Dry, "How it dries"), ctx, move |progress| {
        progress.step("water table").map_err(|error| error.to_string())?;
        let answer = dry(&worked, &ask, threads(), progress).map_err(|error| error.to_string())?;
        Ok(then(move |desk, revision, ctx| {
            // What was worked out for a plan that was changed since is dropped.
            if desk.session.history().revision() != revision {
                return;
            }
            desk.view.drying.shown = desk.view.drying.shown.min(answer.cases.len() - 1);
            desk.view.drying.answer = Some((revision, Arc::new(answer)));
            finer.into_iter().for_each(|ask| work(desk, ask, None, ctx));
        }))
    });
}
