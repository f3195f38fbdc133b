//! Saves the open plan, never over what another wrote, and takes plans up: a file, kept work, a backup.

use std::path::{Path, PathBuf};
use std::time::Duration;

use egui::Context;
use exchange::{FileError, PlanLock};

use crate::canvas::SnapIndex;
use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};
use crate::panels::changed::ChangedAsk;
use crate::panels::dialog::{AllowAsk, Dialog};
use crate::tools::Tool;
use crate::view::View;
use crate::wish::FileWish;
use job::Progress;
use job::Session;
use job::clock;
use job::files::{self, Landing, Opened};
use job::on_file::{self, OnFile};
use job::words::file_name;

/// How long the window waits for a command that is changing the plan: no longer than a hand waits for an answer.
const PATIENCE: Duration = Duration::from_secs(2);

/// Settles what was asked about the plan's file.
pub fn settle(desk: &mut Desk, wish: FileWish, ctx: &Context) {
    let done = match wish {
        FileWish::KeepBoth(path) => keep_both(desk, &path),
        FileWish::TakeTheirs(path) => take_theirs(desk, &path, ctx),
        FileWish::WriteOver(path) => write_over(desk, &path),
        FileWish::Compare(path) => compare(desk, &path, true, ctx),
        FileWish::WorkHere => work_here(desk, ctx),
        FileWish::TakeUp { kept, plan } => take_up(desk, &kept, plan, ctx),
        FileWish::ThrowAway(kept) => throw_away(&kept),
    };
    tell(desk, done);
}

/// Tells what was done, or shows why it was not; nothing is told where another question stands.
pub fn tell(desk: &mut Desk, done: Result<String, String>) {
    match done {
        Ok(told) => desk.told = Some(told).filter(|told| !told.is_empty()).or(desk.told.take()),
        Err(error) => desk.ask(Dialog::Trouble(error)),
    }
}

/// Puts another plan on the desk.
pub fn put_on(desk: &mut Desk, session: Session) {
    desk.keep_now();
    desk.keep_anew(None);
    desk.file = OnFile::default();
    desk.session = session;
    // Whatever is still being read was meant for the plan before; what is being written of it is wanted.
    desk.jobs.stop(|task| task.kind.belongs_to_plan());
    desk.laying = None;
    desk.trying = None;
    desk.view = View { dark: desk.view.dark, signature: std::mem::take(&mut desk.view.signature), ..View::default() };
    desk.tool = Tool::default();
    desk.snaps = SnapIndex::default();
}

/// Saves the plan to its own file; `None` where it has none that it may be saved to.
pub fn save(desk: &mut Desk, ctx: &Context) -> Option<Result<String, String>> {
    let path = desk.session.path().filter(|_| desk.file.other.is_none())?.to_path_buf();
    Some(save_as(desk, &path, ctx))
}

/// Saves the plan; where another wrote the file since, asks instead.
pub fn save_as(desk: &mut Desk, path: &Path, ctx: &Context) -> Result<String, String> {
    let lock = lock(path)?;
    if is_own(desk, path)
        && let Some(seen) = desk.file.seen
    {
        match seen.still_at(path) {
            Err(FileError::Changed { .. }) => {
                return compare(desk, path, false, ctx);
            }
            unchanged => unchanged.map_err(|error| error.to_string())?,
        }
    }
    write(desk, path, lock)
}

fn lock(path: &Path) -> Result<PlanLock, String> {
    PlanLock::wait(path, &clock::who("a window that saves"), PATIENCE).map_err(|error| error.to_string())
}

/// Writes the plan, whatever is there; nobody else changes it meanwhile.
fn write(desk: &mut Desk, path: &Path, _lock: PlanLock) -> Result<String, String> {
    let is_open_here = is_own(desk, path) && desk.file.other.is_none();
    let window = if is_open_here { None } else { Some(reach(path)?) };
    // What lies there and is another's is kept under a number too.
    let save = if is_own(desk, path) { files::save } else { files::save_over };
    let seen = save(desk.session.plan(), path).map_err(|error| error.to_string())?;
    desk.session.saved_as(path.to_path_buf());
    desk.file.written(path, (seen, desk.session.plan()), window);
    desk.forget_kept();
    Ok(format!("Saved {}", path.display()))
}

/// True for the file of the open plan, by whatever name.
fn is_own(desk: &Desk, path: &Path) -> bool {
    desk.session.path().is_some_and(|own| job::sparing::is_itself(own, path))
}

fn reach(path: &Path) -> Result<PlanLock, String> {
    on_file::reach(path).map_err(|by| format!("{} is open in {by}. Save under another name.", path.display()))
}

/// Saves the plan under a free name beside its file and goes on with that; what the other wrote stays.
fn keep_both(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let mine = files::free_beside(path, "mine");
    let lock = lock(&mine)?;
    write(desk, &mine, lock)?;
    Ok(format!("Saved {}; {} stays as the other wrote it.", mine.display(), path.display()))
}

/// Reads the file anew; what is unsaved here is kept beside it first.
fn take_theirs(desk: &mut Desk, path: &Path, ctx: &Context) -> Result<String, String> {
    let mut told = String::new();
    if desk.session.history().is_unsaved() {
        let mine = files::free_beside(path, "mine");
        files::save(desk.session.plan(), &mine).map_err(|error| error.to_string())?;
        told = format!("Yours is kept as {}.", mine.display());
    }
    desk.forget_kept();
    open(desk, path, ctx);
    Ok(told)
}

/// Saves over what the other wrote, which stays as the backup.
fn write_over(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let lock = lock(path)?;
    write(desk, path, lock)
}

/// Opens a plan file beside the window.
pub fn open(desk: &mut Desk, path: &Path, ctx: &Context) {
    let file = path.to_path_buf();
    let land = move |progress: &Progress| files::land(&file, progress);
    opening(desk, Task::on(Kind::Open, format!("Opening {}", file_name(path)), path), land, ctx);
}

/// Takes up kept work or a backup of the plan at `path`.
fn take_up(desk: &mut Desk, kept: &Path, path: Option<PathBuf>, ctx: &Context) -> Result<String, String> {
    let task = Task::on(Kind::Open, "Taking up kept work", kept);
    let kept = kept.to_path_buf();
    opening(desk, task, move |progress| files::take_up(&kept, path, progress).map(Landing::from), ctx);
    Ok(String::new())
}

fn opening(
    desk: &mut Desk,
    task: Task,
    land: impl FnOnce(&Progress) -> Result<Landing, FileError> + Send + 'static,
    ctx: &Context,
) {
    desk.begin(task, ctx, move |progress| {
        let landing = land(progress).map_err(|error| error.to_string())?;
        Ok(then(move |desk, _, ctx| lay(desk, landing, ctx)))
    });
}

/// Asks what is to become of a file that another wrote; `looking` shows what differs at once.
fn compare(desk: &mut Desk, path: &Path, looking: bool, ctx: &Context) -> Result<String, String> {
    let (here, base, file) = (desk.session.plan().clone(), desk.file.base.clone(), path.to_path_buf());
    let task = Task::on(Kind::Compare, format!("Comparing {}", file_name(path)), path);
    desk.begin(task, ctx, move |_| {
        let ask = ChangedAsk::of(&here, base.as_ref(), &file, looking);
        Ok(then(move |desk, _, _| desk.ask(Dialog::Changed(Box::new(ask)))))
    });
    Ok(String::new())
}

/// Deletes kept work.
fn throw_away(kept: &Path) -> Result<String, String> {
    std::fs::remove_file(kept).map_err(|error| format!("{} could not be deleted: {error}", kept.display()))?;
    Ok(String::new())
}

/// Puts what was opened on the desk.
pub fn lay(desk: &mut Desk, landing: Landing, ctx: &Context) {
    match landing {
        Landing::Plan(opened) => lay_plan(desk, *opened, ctx),
        Landing::Damaged(damaged) => desk.ask(Dialog::Damaged(damaged)),
    }
}

fn lay_plan(desk: &mut Desk, opened: Opened, ctx: &Context) {
    let Opened { session, told, outside, seen, base, taken_up } = opened;
    // What is told stays told: where one's own was kept when another's was taken.
    let told = [desk.told.take().filter(|told| told.starts_with("Yours is kept")), told];
    let former = std::mem::take(&mut desk.file);
    put_on(desk, session);
    desk.told = told.into_iter().flatten().reduce(|a, b| format!("{a} {b}"));
    if let Some(path) = desk.session.path() {
        desk.file = OnFile::read(path, seen, base, former);
    }
    if let (Some(by), Some(path)) = (desk.file.other.clone(), desk.session.path()) {
        let path = path.to_path_buf();
        desk.ask(Dialog::Another { path, by });
        desk.session.only_look(true);
    } else if let Some(kept) = taken_up {
        desk.keep_anew(Some(kept).filter(|kept| desk.keep_path().as_ref() == Some(kept)));
    } else {
        desk.offer_recovery(ctx);
    }
    if let Some(file) = outside.filter(|_| desk.dialog.is_none()) {
        desk.ask(Dialog::Allow(AllowAsk { file }));
    }
}

/// Takes the plan over from a window that was closed; else says that it is still open there.
fn work_here(desk: &mut Desk, ctx: &Context) -> Result<String, String> {
    let Some(path) = desk.session.path().map(Path::to_path_buf) else { return Ok(String::new()) };
    match on_file::reach(&path) {
        Ok(_free) => {
            open(desk, &path, ctx);
            Ok(String::new())
        }
        Err(by) => Err(format!("It is still open in {by}.")),
    }
}
