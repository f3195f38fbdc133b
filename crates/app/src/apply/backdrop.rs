//! The air photo or map image under the plan: brought in as an edit, read beside the window whenever the plan names another.

use std::path::Path;
use std::sync::Arc;

use egui::Context;
use job::backdrop::{self, Brought};
use job::chosen;
use job::words::file_name;
use measure::Point;
use plan::Backdrop;

use super::make_edit;
use crate::backdrop::{Of, Shown};
use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};

/// Lays a picture under the plan. One that does not say where it lies is laid over what the map shows, to be placed by hand.
pub fn bring(desk: &mut Desk, path: &Path, ctx: &Context) {
    let (file, plan) = (path.to_path_buf(), desk.session.plan().clone());
    let task = Task::on(Kind::Read, format!("Looking at {}", file_name(path)), path);
    desk.begin(task, ctx, move |_| {
        let brought = backdrop::bring(&file, &plan).map_err(|error| error.to_string())?;
        Ok(then(move |desk, _, _| lay(desk, brought)))
    });
}

fn lay(desk: &mut Desk, brought: Brought) {
    let placing = brought.unplaced.map(|size| backdrop::within(size, in_sight(desk)));
    // The same picture brought in again is read again.
    desk.view.backdrop = Shown::default();
    let backdrop = Backdrop { placing, ..brought.backdrop };
    make_edit(desk, &plan::set_backdrop("Lay a picture under the plan", Some(backdrop)));
    if placing.is_some() {
        desk.view.stage = crate::view::Stage::Ground;
        desk.view.selection = crate::view::Selection::Nothing;
        desk.told =
            Some("The picture does not say where it lies: give its corner and width on the card Ground.".into());
    }
}

/// The middle of what the map shows: as far to each side as 300 points of the screen.
fn in_sight(desk: &Desk) -> (Point, Point) {
    let (at, half_m) = (desk.view.camera.centre, 300.0 / desk.view.camera.scale);
    (Point::new(at.x - half_m, at.y - half_m), Point::new(at.x + half_m, at.y + half_m))
}

/// Reads the picture that the plan names, beside the window; once for each file, place and plane.
pub fn follow(desk: &mut Desk, ctx: &Context) {
    let wanted = Of::plan(desk.session.plan());
    if desk.view.backdrop.of == wanted {
        return;
    }
    desk.jobs.stop(|task| task.kind == Kind::Backdrop);
    desk.view.backdrop = Shown { of: wanted.clone(), ..Shown::default() };
    let Some((backdrop, of)) = desk.session.plan().backdrop.clone().zip(wanted.clone()) else { return };
    let home = desk.session.path().map(chosen::home);
    let name = format!("Reading {}", file_name(Path::new(&backdrop.file)));
    desk.begin(Task::new(Kind::Backdrop, name), ctx, move |progress| {
        let read = backdrop::read(&backdrop, &of.plane, home.as_deref(), progress);
        Ok(then(move |desk, _, _| {
            let shown = &mut desk.view.backdrop;
            if shown.of == wanted {
                match read {
                    Ok(laid) => shown.laid = Some(Arc::new(laid)),
                    Err(error) => {
                        desk.told = Some(format!("The picture under the plan is not shown: {error}"));
                        shown.why = Some(error.to_string());
                    }
                }
            }
        }))
    });
}
