//! Saves the open plan, never over what another wrote, and takes plans up: a file, kept work, a backup.

use std::path::{Path, PathBuf};
use std::time::Duration;

use egui::Context;
use exchange::{FileError, PlanLock, Seen};
use plan::Plan;

use crate::canvas::SnapIndex;
use crate::desk::{Desk, then};
use crate::jobs::{Kind, Task};
use crate::panels::changed::ChangedAsk;
use crate::panels::dialog::{AllowAsk, Dialog};
use crate::tools::Tool;
use crate::view::{Layers, View};
use crate::wish::FileWish;
use job::Progress;
use job::Session;
use job::clock;
use job::files::{self, Landing, Opened};
use job::on_file::{self, OnFile};
use job::words::file_name;

/// How long the window waits for a command that is changing the plan: no longer than a hand waits for an answer.
const PATIENCE: Duration = Duration::from_secs(2);

/// How it is told that one's own plan was kept beside another's.
const KEPT_AS: &str = "Yours is kept as";

/// Settles what was asked about the plan's file.
pub fn settle(desk: &mut Desk, wish: FileWish, ctx: &Context) {
    match wish {
        FileWish::KeepBoth(path) => keep_both(desk, &path, ctx),
        FileWish::TakeTheirs(path) => take_theirs(desk, &path, ctx),
        FileWish::WriteOver(path) => write_over(desk, &path, ctx),
        FileWish::Compare(path) => compare(desk, &path, ctx),
        FileWish::WorkHere => work_here(desk, ctx),
        FileWish::Recover { kept, plan } => recover(desk, &kept, plan, ctx),
        FileWish::ThrowAway(kept) => throw_away(desk, &kept),
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
    desk.receiving = None;
    desk.trying = None;
    // What belongs to the person and not to the plan stays.
    let View { dark, signature, layers, legend, panels, .. } = std::mem::take(&mut desk.view);
    let layers = Layers::recalled(&layers.remembered());
    desk.view = View { dark, signature, layers, legend, panels, ..View::default() };
    desk.tool = Tool::default();
    desk.snaps = SnapIndex::default();
}

/// Saves the plan to its own file; false where it has none that it may be saved to.
pub fn save(desk: &mut Desk, ctx: &Context) -> bool {
    let own = desk.session.path().filter(|_| desk.file.other.is_none()).map(Path::to_path_buf);
    own.iter().for_each(|path| save_as(desk, path, ctx));
    own.is_some()
}

/// Saves the plan; where another wrote the file since, asks instead.
pub fn save_as(desk: &mut Desk, path: &Path, ctx: &Context) {
    name_after(desk, path);
    let saving = Saving::of(desk, path);
    let seen = desk.file.seen.filter(|_| saving.is_own);
    begin(desk, Saving { seen, ..saving }, format!("Saved {}", path.display()), ctx);
}

/// A plan that nobody named takes the name of its file.
fn name_after(desk: &mut Desk, path: &Path) {
    let title = desk.session.plan().title.clone();
    let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).filter(|stem| !stem.is_empty());
    if let Some(name) = stem.filter(|_| title.name == files::UNNAMED) {
        // Where another window works on the plan nothing is changed here, and that was told.
        let _ = desk.session.edit(&plan::set_title("Name the plan after its file", plan::Title { name, ..title }));
    }
}

/// Saves the plan under a free name beside its file and goes on with that; what the other wrote stays.
fn keep_both(desk: &mut Desk, path: &Path, ctx: &Context) {
    let mine = files::free_beside(path, "mine");
    let told = format!("Saved {}; {} stays as the other wrote it.", mine.display(), path.display());
    begin(desk, Saving::of(desk, &mine), told, ctx);
}

/// Saves over what the other wrote, which stays as the backup.
fn write_over(desk: &mut Desk, path: &Path, ctx: &Context) {
    begin(desk, Saving::of(desk, path), format!("Saved {}", path.display()), ctx);
}

/// A plan on its way to a file.
struct Saving {
    plan: Plan,
    path: PathBuf,
    /// What the file must still hold; whatever is there is written over where this is not known.
    seen: Option<Seen>,
    /// The plan that was in it then.
    base: Option<Plan>,
    /// True for the file of the open plan.
    is_own: bool,
    /// True where this window holds it already.
    is_held: bool,
}

/// What came of saving.
enum Saved {
    /// It is written; the lock of a file that was not open here before.
    Written(Seen, Option<PlanLock>),
    /// Another wrote the file.
    Changed(ChangedAsk),
}

impl Saving {
    /// The open plan on its way to a file, over whatever is there.
    fn of(desk: &Desk, path: &Path) -> Self {
        let is_own = desk.session.path().is_some_and(|own| job::sparing::is_itself(own, path));
        Self {
            plan: desk.session.plan().clone(),
            path: path.to_path_buf(),
            seen: None,
            base: desk.file.base.clone(),
            is_own,
            is_held: is_own && desk.file.other.is_none(),
        }
    }

    /// Writes the plan; nobody else changes the file meanwhile.
    fn run(&self) -> Result<Saved, String> {
        let words = |error: FileError| error.to_string();
        let _lock = PlanLock::wait(&self.path, &clock::who("a window that saves"), PATIENCE).map_err(words)?;
        match self.seen.map(|seen| seen.still_at(&self.path)) {
            Some(Err(FileError::Changed { .. })) => {
                let ask = ChangedAsk::of(&self.plan, self.base.as_ref(), &self.path, false);
                return Ok(Saved::Changed(ask));
            }
            Some(unchanged) => unchanged.map_err(words)?,
            None => {}
        }
        let window = if self.is_held { None } else { Some(reach(&self.path)?) };
        // What lies there and is another's is kept under a number too.
        let save = if self.is_own { files::save } else { files::save_over };
        Ok(Saved::Written(save(&self.plan, &self.path).map_err(words)?, window))
    }
}

/// Saves beside the window.
fn begin(desk: &mut Desk, saving: Saving, told: String, ctx: &Context) {
    let task = Task::on(Kind::Save, format!("Saving {}", file_name(&saving.path)), &saving.path);
    desk.begin(task, ctx, move |_| {
        let saved = saving.run().map_err(|error| format!("The plan is not saved. {error}"))?;
        Ok(then(move |desk, revision, _| match saved {
            Saved::Written(seen, window) => written(desk, saving, revision, (seen, window), told),
            Saved::Changed(ask) => desk.ask(Dialog::Changed(Box::new(ask))),
        }))
    });
}

/// Notes that the plan was saved as it stood then.
fn written(desk: &mut Desk, saving: Saving, revision: u64, (seen, window): (Seen, Option<PlanLock>), told: String) {
    desk.session.saved_as(saving.path.clone(), revision);
    desk.file.written(&saving.path, (seen, &saving.plan), window);
    match desk.session.history().is_unsaved() {
        true => desk.drop_kept(),
        false => desk.forget_kept(),
    }
    desk.told = Some(told);
}

fn reach(path: &Path) -> Result<PlanLock, String> {
    on_file::reach(path).map_err(|by| format!("{} is open in {by}. Save under another name.", path.display()))
}

/// Reads the file anew; what is unsaved here is kept beside it first.
fn take_theirs(desk: &mut Desk, path: &Path, ctx: &Context) {
    let mine = Some(desk.session.plan().clone()).filter(|_| desk.session.history().is_unsaved());
    let (file, task) = (path.to_path_buf(), Task::on(Kind::Open, format!("Opening {}", file_name(path)), path));
    desk.begin(task, ctx, move |progress| {
        let kept = mine.map(|plan| keep_beside(&plan, &file)).transpose()?;
        let landing = files::land(&file, progress).map_err(|error| error.to_string())?;
        Ok(then(move |desk, _, ctx| {
            desk.forget_kept();
            desk.told = kept;
            lay(desk, landing, ctx);
        }))
    });
}

/// Keeps a plan beside its file; what is told of it.
fn keep_beside(plan: &Plan, file: &Path) -> Result<String, String> {
    let mine = files::free_beside(file, "mine");
    files::save(plan, &mine).map_err(|error| error.to_string())?;
    Ok(format!("{KEPT_AS} {}.", mine.display()))
}

/// Opens a plan file beside the window.
pub fn open(desk: &mut Desk, path: &Path, ctx: &Context) {
    let file = path.to_path_buf();
    let land = move |progress: &Progress| files::land(&file, progress);
    opening(desk, Task::on(Kind::Open, format!("Opening {}", file_name(path)), path), land, ctx);
}

/// Takes up kept work or a backup of the plan at `path`.
fn recover(desk: &mut Desk, kept: &Path, path: Option<PathBuf>, ctx: &Context) {
    let task = Task::on(Kind::Open, "Recovering kept work", kept);
    let kept = kept.to_path_buf();
    opening(desk, task, move |progress| files::recover(&kept, path, progress).map(Landing::from), ctx);
}

fn opening(
    desk: &mut Desk,
    task: Task,
    land: impl FnOnce(&Progress) -> Result<Landing, FileError> + Send + 'static,
    ctx: &Context,
) {
    desk.begin(task, ctx, move |progress| {
        let landing = land(progress).map_err(|error| error.to_string())?;
        Ok(then(move |desk, revision, ctx| {
            if matches!(landing, Landing::Plan(_)) {
                tell_what_is_left(desk, revision);
            }
            lay(desk, landing, ctx);
        }))
    });
}

/// Tells where work is kept that was begun on the open plan while another was being opened.
fn tell_what_is_left(desk: &mut Desk, revision: u64) {
    let history = desk.session.history();
    if history.is_unsaved()
        && history.revision() != revision
        && let Some(path) = desk.keep_path()
    {
        desk.told = Some(format!("{KEPT_AS} {}.", path.display()));
    }
}

/// Shows what differs between the plan and its file.
fn compare(desk: &mut Desk, path: &Path, ctx: &Context) {
    let (here, base, file) = (desk.session.plan().clone(), desk.file.base.clone(), path.to_path_buf());
    let task = Task::on(Kind::Compare, format!("Comparing {}", file_name(path)), path);
    desk.begin(task, ctx, move |_| {
        let ask = ChangedAsk::of(&here, base.as_ref(), &file, true);
        Ok(then(move |desk, _, _| desk.ask(Dialog::Changed(Box::new(ask)))))
    });
}

/// Deletes kept work.
fn throw_away(desk: &mut Desk, kept: &Path) {
    if let Err(error) = std::fs::remove_file(kept) {
        desk.told = Some(format!("{} could not be deleted: {error}", kept.display()));
    }
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
    let told = [desk.told.take().filter(|told| told.starts_with(KEPT_AS)), told];
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
fn work_here(desk: &mut Desk, ctx: &Context) {
    let Some(path) = desk.session.path().map(Path::to_path_buf) else { return };
    match on_file::reach(&path) {
        Ok(_free) => open(desk, &path, ctx),
        Err(by) => desk.ask(Dialog::Trouble(format!("It is still open in {by}."))),
    }
}
