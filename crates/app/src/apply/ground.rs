//! Brings the ground in, and lays it anew once the plan's corrections or files of levels have changed.

use std::path::{Path, PathBuf};

use egui::Context;
use exchange::{FileError, ReadOptions};
use land::Land;
use measure::Units;
use plan::{Change, Edit};

use super::make_edit;
use crate::desk::{Desk, Laying, then};
use crate::jobs::{Kind, Task};
use crate::panels::dialog::{Dialog, GroundAsk};
use crate::panels::part::PartAsk;
use crate::panels::system::SystemAsk;
use crate::panels::unit::UnitAsk;
use job::Progress;
use job::chosen;
use job::ground::{self, Opened};
use job::words::file_name;

/// What came of a ground file: the land, or a question about it.
type Read = Result<Opened, Box<Dialog>>;

/// Reads ground with what the person answered; `None` while nothing was asked yet.
pub fn read(desk: &mut Desk, path: &Path, options: Option<ReadOptions>, ctx: &Context) {
    let file = path.to_path_buf();
    desk.begin(Task::on(Kind::Ground, format!("Opening {}", file_name(path)), path), ctx, move |progress| {
        let read = read_or_ask(&file, options.clone(), progress).map_err(|error| error.to_string())?;
        Ok(then(move |desk, _, _| match read {
            Ok(opened) => lay_or_ask(desk, opened, (file, options)),
            Err(dialog) => {
                let dialog = dialog.for_plan(&desk.session);
                desk.ask(dialog);
            }
        }))
    });
}

fn read_or_ask(file: &Path, options: Option<ReadOptions>, progress: &Progress) -> Result<Read, FileError> {
    progress.step("looking")?;
    if options.is_none()
        && let Some(ask) = GroundAsk::of(file)?
    {
        return Ok(Err(Dialog::Ground(ask.into()).into()));
    }
    let options = options.unwrap_or_else(ground::read_options);
    let asked = |dialog: Dialog| Ok(Err(dialog.into()));
    match ground::read(file, &options, progress) {
        Err(FileError::TooManyCells { limit, .. }) => asked(PartAsk::of(file.to_path_buf(), options, limit)?.asked()),
        Ok(opened) if opened.lacks_unit() => asked(Dialog::Unit(UnitAsk::new(file.to_path_buf(), options).into())),
        read => read.map(Ok),
    }
}

/// Lays the plan on a ground; one in another coordinate system is first asked about.
fn lay_or_ask(desk: &mut Desk, opened: Opened, (path, options): (PathBuf, Option<ReadOptions>)) {
    match opened.other_system(desk.session.plan()) {
        None => lay_on(desk, opened),
        Some(other) => {
            let options = options.unwrap_or_else(ground::read_options);
            desk.ask(Dialog::System(SystemAsk { path, options, other }.into()));
        }
    }
}

/// Lays the plan, as it stands by now, on a ground, as one undo step; a plan without lines takes the ground's units along.
fn lay_on(desk: &mut Desk, opened: Opened) {
    let units = Units::of(opened.reference.vertical_unit);
    let mut changes = vec![Change::Ground(Some(opened.reference.clone()))];
    if desk.session.ground().is_none() && desk.session.plan().lines.is_empty() {
        changes.extend(plan::in_units(desk.session.plan(), units));
    }
    let note = opened.land.notes().first().cloned().unwrap_or_else(|| "The ground is in.".into());
    let is_named = desk.session.plan().ground.as_ref() == Some(&opened.reference);
    desk.session.bring_in(opened.land, opened.reference);
    if !is_named {
        make_edit(desk, &Edit { label: "Bring in the ground".into(), changes });
    }
    desk.told = Some(note);
    desk.view.fit = true;
}

/// Reads the ground of the plan from where it lies, since the person says so.
pub fn allow(desk: &mut Desk, file: &Path, ctx: &Context) {
    chosen::remember(file);
    let plan = desk.session.plan().clone();
    let home = desk.session.path().map(chosen::home);
    let task = Task::on(Kind::Ground, format!("Opening {}", file_name(file)), file);
    desk.begin(task, ctx, move |progress| {
        let land = ground::open_plan(&plan, home.as_deref(), progress).map_err(|error| error.to_string())?;
        Ok(then(move |desk, _, _| bring_back(desk, plan.ground, land)))
    });
}

/// Brings in the land of a ground that the plan names already.
fn bring_back(desk: &mut Desk, reference: Option<plan::GroundRef>, land: Land) {
    let Some(reference) = reference else { return };
    if let Some(left_out) = land.left_out.first() {
        desk.told = Some(format!("{}. {}", left_out.why, ground::WITHOUT_LEVELS));
    }
    desk.session.bring_in(land, reference);
    desk.view.fit = true;
}

/// Lays the ground anew beside the window while its corrections or files are not those of the plan. What was given up is
/// not begun again before somebody asks, or the plan asks for something else.
pub fn relay(desk: &mut Desk, ctx: &Context) {
    let Some((land, reference, book)) = desk.session.land_to_relay() else {
        desk.jobs.stop(|task| task.kind == Kind::Relay);
        desk.laying = None;
        return;
    };
    let wanted = |laying: &Laying| laying.reference == reference && laying.book == book;
    if desk.laying.as_ref().is_some_and(wanted) || desk.session.in_gesture() {
        return;
    }
    desk.laying = Some(Laying { reference: reference.clone(), book: book.clone(), given_up: None });
    // One that lays it with other corrections is no longer wanted.
    desk.jobs.stop(|task| task.kind == Kind::Relay);
    desk.begin(Task::new(Kind::Relay, "Laying the corrected ground"), ctx, move |progress| {
        let relaid = ground::relay(&land, &reference, &book, progress).map_err(|error| error.to_string())?;
        Ok(then(move |desk, _, _| desk.session.bring_in(relaid, reference)))
    });
}

/// Notes that the ground is not laid with the corrections it was to be laid with, and stays the former one.
pub fn give_up(desk: &mut Desk, why: String) {
    if let Some(laying) = &mut desk.laying {
        laying.given_up = Some(why);
    }
}
