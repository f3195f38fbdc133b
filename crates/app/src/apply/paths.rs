//! Asks for paths, asks before something is replaced, and does what a path was asked for.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use egui::Context;
use plan::Plan;

use super::{backdrop, bringing, ground, writing};
use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};
use crate::panels::dialog::{Dialog, PathAsk, ReplaceAsk};
use crate::purpose::Purpose;
use crate::saving;
use job::browse;
use job::files;
use job::handed_back;
use job::parcel;
use job::sparing;
use job::words::file_name;

/// A dialog that answers faster than any hand was not shown: there is no portal. That takes a while to learn where other work
/// goes on beside the window.
const FASTER_THAN_A_HAND: Duration = Duration::from_millis(300);

/// Asks for a path: from the system where it can, typed otherwise.
pub fn ask(desk: &mut Desk, purpose: Purpose, ctx: &Context) {
    let (folder, name) = start(desk, purpose);
    if !desk.habits.native_dialogs {
        desk.ask(Dialog::Path(PathAsk::new(purpose, folder, name)));
        return;
    }
    desk.begin(Task::new(Kind::AskPath, purpose.title()), ctx, move |_| {
        let asked = Instant::now();
        let path = from_system(purpose, &folder, &name);
        let took = asked.elapsed();
        Ok(then(move |desk, _, ctx| match path {
            Some(path) => use_path(desk, purpose, &path, ctx),
            None if took > FASTER_THAN_A_HAND => {}
            None => desk.ask(Dialog::Path(PathAsk::new(purpose, folder, name))),
        }))
    });
}

/// The folder and the name that a path begins with. An unnamed plan takes the name of its ground.
fn start(desk: &Desk, purpose: Purpose) -> (PathBuf, String) {
    let plan = desk.session.plan();
    let ground = plan.ground.as_ref().and_then(|ground| Path::new(&ground.file).file_stem()?.to_str());
    let name = if plan.title.name == files::UNNAMED { ground.unwrap_or_default() } else { &plan.title.name };
    (browse::start(desk.session.path()), purpose.usual_name(name))
}

/// Lists a folder for who looks for a file.
pub fn list(desk: &mut Desk, purpose: Purpose, folder: PathBuf, ctx: &Context) {
    let task = Task::on(Kind::Look, format!("Looking into {}", file_name(&folder)), &folder);
    desk.begin(task, ctx, move |_| {
        let listed = browse::list(&folder, purpose.endings()).map_err(|error| error.to_string());
        Ok(then(move |desk, _, _| {
            if let Some(Dialog::Path(ask)) = &mut desk.dialog {
                ask.listed(&folder, listed);
            }
        }))
    });
}

fn from_system(purpose: Purpose, folder: &Path, name: &str) -> Option<PathBuf> {
    let dialog = rfd::FileDialog::new().set_title(purpose.title()).add_filter(purpose.title(), purpose.endings());
    let dialog = dialog.set_directory(folder);
    if matches!(purpose, Purpose::HandOver | Purpose::Dossier) {
        dialog.pick_folder()
    } else if purpose.writes() {
        dialog.set_file_name(name).save_file()
    } else {
        dialog.pick_file()
    }
}

/// Does what a path was asked for, after a question where a file would be replaced.
pub fn use_path(desk: &mut Desk, purpose: Purpose, path: &Path, ctx: &Context) {
    if !purpose.writes() {
        use_free(desk, purpose, path, ctx);
        return;
    }
    let path = match purpose.ending() {
        Some(ending) => with_ending(path, ending),
        None => path.to_path_buf(),
    };
    let (plan, file) = (desk.session.plan().clone(), desk.session.path().map(Path::to_path_buf));
    let task = Task::on(Kind::Look, format!("Looking at {}", file_name(&path)), &path);
    desk.begin(task, ctx, move |_| {
        let question = in_the_way(&plan, file.as_deref(), purpose, &path)?;
        Ok(then(move |desk, _, ctx| match question {
            Some(question) => desk.ask(Dialog::Replace(ReplaceAsk { purpose, path, question })),
            None => use_free(desk, purpose, &path, ctx),
        }))
    });
}

/// What is asked before something is written there; refused where that must not be written over.
fn in_the_way(plan: &Plan, file: Option<&Path>, purpose: Purpose, path: &Path) -> Result<Option<String>, String> {
    if matches!(purpose, Purpose::HandOver | Purpose::Dossier) {
        let place = parcel::place(path, plan, file).map_err(|error| format!("{}: {error}", path.display()))?;
        let question =
            "There is a former hand-over or dossier in that folder, just as it was written. It is replaced whole.";
        return Ok(place.is_former.then(|| question.into()));
    }
    let saves = purpose == Purpose::SavePlan;
    if saves && file.is_some_and(|file| sparing::is_itself(file, path)) {
        return Ok(None);
    }
    let mut own = sparing::own_files(plan, file);
    if saves && file.is_some() {
        own.pop();
    }
    let met = sparing::look(path, &own, saves)?;
    Ok(met.map(|met| {
        let kept = if saves { " It is kept as a backup." } else { "" };
        format!("There is a file {} of that name already, {}.{kept}", file_name(path), met.words())
    }))
}

/// Does what a path was asked for; nothing is in its way.
pub fn use_free(desk: &mut Desk, purpose: Purpose, path: &Path, ctx: &Context) {
    match purpose {
        Purpose::OpenPlan => saving::open(desk, path, ctx),
        Purpose::OpenGround => ground::read(desk, path, None, ctx),
        Purpose::OpenBackdrop => backdrop::bring(desk, path, ctx),
        Purpose::SavePlan => saving::save_as(desk, path, ctx),
        Purpose::AddLevels => bringing::bring(desk, purpose, path, bringing::levels, ctx),
        Purpose::ReadBoundary => bringing::bring(desk, purpose, path, bringing::boundary, ctx),
        Purpose::ReadLines => bringing::bring(desk, purpose, path, bringing::lines, ctx),
        Purpose::ReadMarks => bringing::bring(desk, purpose, path, bringing::marks, ctx),
        Purpose::BringField => bringing::handed_back(desk, path, ctx),
        Purpose::ReadPrices => bringing::bring(desk, purpose, path, bringing::prices, ctx),
        Purpose::ReadHubs => bringing::bring(desk, purpose, path, bringing::hubs, ctx),
        Purpose::ReadShots => bringing::bring(desk, purpose, path, bringing::shots, ctx),
        Purpose::AddPhoto => bringing::bring(desk, purpose, path, bringing::photo, ctx),
        Purpose::ReadRules => bringing::bring(desk, purpose, path, bringing::rules, ctx),
        Purpose::WriteGeojson => writing::write(desk, purpose, path, writing::geojson, ctx),
        Purpose::WritePicture => writing::write(desk, purpose, path, writing::picture, ctx),
        Purpose::WritePrices => writing::write(desk, purpose, path, writing::prices, ctx),
        Purpose::WriteSheets => writing::write(desk, purpose, path, writing::sheets, ctx),
        Purpose::HandOver => writing::write(desk, purpose, path, writing::folder, ctx),
        Purpose::Dossier => writing::write(desk, purpose, path, writing::dossier, ctx),
        Purpose::WriteLesson => writing::write(desk, purpose, path, writing::lessons, ctx),
        Purpose::WriteCrew => writing::write(desk, purpose, path, writing::crew, ctx),
    }
}

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    if path.extension().is_some() { path.to_path_buf() } else { path.with_extension(ending) }
}

/// Opens whatever was dropped on the window: a plan, what a field page handed back, a picture, lines, or ground. Of a file whose name
/// leaves it open what it is, that is looked at first.
pub fn open_any(desk: &mut Desk, path: &Path, ctx: &Context) {
    let ending = ending_of(path);
    let is_open = |purpose: Purpose| purpose.endings().contains(&ending.as_str());
    if !is_open(Purpose::BringField) && !is_open(Purpose::OpenBackdrop) {
        open_by_name(desk, path, ctx);
        return;
    }
    let path = path.to_path_buf();
    let task = Task::on(Kind::Look, format!("Looking at {}", file_name(&path)), &path);
    desk.begin(task, ctx, move |_| {
        let (from_field, is_picture) = (handed_back::is_one(&path), exchange::is_picture(&path));
        Ok(then(move |desk, _, ctx| match () {
            () if from_field => use_path(desk, Purpose::BringField, &path, ctx),
            () if is_picture => use_path(desk, Purpose::OpenBackdrop, &path, ctx),
            () => open_by_name(desk, &path, ctx),
        }))
    });
}

fn ending_of(path: &Path) -> String {
    path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default()
}

fn open_by_name(desk: &mut Desk, path: &Path, ctx: &Context) {
    let purpose = match ending_of(path).as_str() {
        exchange::PLAN_EXTENSION => Purpose::OpenPlan,
        "geojson" | "json" | "kml" | "shp" if desk.session.ground().is_none() => Purpose::OpenGround,
        "geojson" | "json" | "kml" | "shp" if desk.session.plan().field.is_none() => Purpose::ReadBoundary,
        "geojson" | "json" | "kml" | "shp" => Purpose::ReadLines,
        _ => Purpose::OpenGround,
    };
    use_path(desk, purpose, path, ctx);
}
