//! Saves the open plan, never over what another wrote, and takes plans up: a file, kept work, a backup.

use std::path::{Path, PathBuf};
use std::time::Duration;

use egui::Context;
use exchange::{FileError, PlanLock};

use crate::apply;
use crate::desk::{Desk, Work};
use crate::jobs::Job;
use crate::panels::dialog::{AllowAsk, Dialog};
use job::Progress;
use job::clock;
use job::differing::{self, Sides};
use job::files::{self, Landing, Opened};
use job::on_file::{self, Change, OnFile};

/// How long the window waits for a command that is changing the plan: no longer than a hand waits for an answer.
const PATIENCE: Duration = Duration::from_secs(2);

/// A plan that another program wrote since it was read here.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangedAsk {
    /// The file.
    pub path: PathBuf,
    /// When it was written, in words.
    pub written: String,
    /// What is in it now, or why it cannot be read.
    pub theirs: Result<(), String>,
    /// What differs, by name.
    pub rows: Vec<String>,
    /// True once the difference is looked at.
    pub looking: bool,
}

impl ChangedAsk {
    /// The question about the file under the open plan.
    pub fn of(desk: &Desk, path: &Path, looking: bool) -> Self {
        let there = files::read_whole(path);
        let base = desk.file.base.as_ref();
        let (here, called) = (desk.session.plan(), ["here", "in the file"]);
        let rows = there.as_ref().map(|there| differing::rows(&Sides { base, here, there, called }));
        let rows = rows.unwrap_or_default();
        let theirs = there.map(drop).map_err(|error| error.to_string());
        Self { path: path.to_path_buf(), written: clock::written_words(path), theirs, rows, looking }
    }
}

/// Saves the plan to its own file; `None` where it has none that it may be saved to.
pub fn save(desk: &mut Desk) -> Option<Result<String, String>> {
    let path = desk.session.path().filter(|_| desk.file.other.is_none())?.to_path_buf();
    Some(save_as(desk, &path))
}

/// Saves the plan; where another wrote the file since, asks instead.
pub fn save_as(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let lock = lock(path)?;
    if is_own(desk, path)
        && let Some(seen) = desk.file.seen
    {
        match seen.still_at(path) {
            Err(FileError::Changed { .. }) => {
                desk.dialog = Some(Dialog::Changed(Box::new(ChangedAsk::of(desk, path, false))));
                return Ok(String::new());
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
pub fn keep_both(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let mine = files::free_beside(path, "mine");
    let lock = lock(&mine)?;
    write(desk, &mine, lock)?;
    Ok(format!("Saved {}; {} stays as the other wrote it.", mine.display(), path.display()))
}

/// Reads the file anew; what is unsaved here is kept beside it first.
pub fn take_theirs(desk: &mut Desk, path: &Path, ctx: &Context) -> Result<String, String> {
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
pub fn write_over(desk: &mut Desk, path: &Path) -> Result<String, String> {
    let lock = lock(path)?;
    write(desk, path, lock)
}

/// Opens a plan file beside the window.
pub fn open(desk: &mut Desk, path: &Path, ctx: &Context) {
    let file = path.to_path_buf();
    let name = format!("Opening {}", apply::file_name(path));
    desk.work = Some(Work::Plan(Job::start(name, ctx, move |progress| files::land(&file, progress))));
}

/// Takes up kept work or a backup of the plan at `path`.
pub fn take_up(desk: &mut Desk, kept: &Path, path: Option<PathBuf>, ctx: &Context) {
    let kept = kept.to_path_buf();
    let take_up = move |progress: &Progress| files::take_up(&kept, path, progress).map(Landing::from);
    desk.work = Some(Work::Plan(Job::start("Taking up kept work", ctx, take_up)));
}

/// Puts what was opened on the desk.
pub fn lay(desk: &mut Desk, landing: Landing) {
    match landing {
        Landing::Plan(opened) => lay_plan(desk, *opened),
        Landing::Damaged(damaged) => desk.dialog = Some(Dialog::Damaged(damaged)),
    }
}

fn lay_plan(desk: &mut Desk, opened: Opened) {
    let Opened { session, told, outside, seen, base, taken_up } = opened;
    // What is told stays told: where one's own was kept when another's was taken.
    let told = [desk.told.take().filter(|told| told.starts_with("Yours is kept")), told];
    let former = std::mem::take(&mut desk.file);
    desk.lay(session);
    desk.told = told.into_iter().flatten().reduce(|a, b| format!("{a} {b}"));
    if let Some(path) = desk.session.path() {
        desk.file = OnFile::read(path, seen, base, former);
    }
    if let (Some(by), Some(path)) = (desk.file.other.clone(), desk.session.path()) {
        desk.dialog = Some(Dialog::Another { path: path.to_path_buf(), by });
        desk.session.only_look(true);
    } else if let Some(kept) = taken_up {
        desk.keep_anew(Some(kept).filter(|kept| desk.keep_path().as_ref() == Some(kept)));
    } else {
        desk.offer_recovery();
    }
    if let Some(file) = outside.filter(|_| desk.dialog.is_none()) {
        desk.dialog = Some(Dialog::Allow(AllowAsk { file }));
    }
}

/// Takes the plan over from a window that was closed; else says that it is still open there.
pub fn work_here(desk: &mut Desk, ctx: &Context) -> Result<String, String> {
    let Some(path) = desk.session.path().map(Path::to_path_buf) else { return Ok(String::new()) };
    match on_file::reach(&path) {
        Ok(_free) => {
            open(desk, &path, ctx);
            Ok(String::new())
        }
        Err(by) => Err(format!("It is still open in {by}.")),
    }
}

/// What another program did to the file, in one sentence.
pub fn change_words(path: &Path, change: &Change) -> String {
    let name = apply::file_name(path);
    match change {
        Change::Written(when) => format!("{name} was changed by another program at {when}."),
        Change::Gone => format!("{name} was taken away or renamed by another program; saving writes it again."),
    }
}
