//! Keeps unsaved work on disk: what is drawn, what is being dragged and what is half drawn, whatever the person does.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use plan::{Change, Edit, Plan};

use crate::desk::{Desk, InHand, Keeping, Waiting, Writing, then};
use crate::jobs::{Job, Kind, Task};
use crate::panels::changed::RecoverAsk;
use crate::panels::dialog::Dialog;
use crate::tools::{Hand, Touch};
use crate::wish::Wish;
use job::Progress;
use job::files;
use job::salvage::{Kind as Kept, Spare};

/// How long after the last change unsaved work is kept on disk.
const AFTER: Duration = Duration::from_secs(2);

/// How long unsaved work waits at most, while changes go on without a pause.
const AT_MOST: Duration = Duration::from_secs(5);

/// Why work was not kept where that died without a word.
const UNKNOWN: &str = "the writing failed";

/// How often the window looks whether something is to be kept.
const LOOK_EVERY: Duration = Duration::from_millis(500);

impl Desk {
    /// Where unsaved work is kept.
    pub fn keep_path(&self) -> Option<PathBuf> {
        match self.session.path() {
            Some(path) => Some(exchange::autosave_path(path)),
            None => self.habits.unsaved.clone(),
        }
    }

    /// Work that is not saved, if there is any.
    fn in_hand(&self) -> Option<InHand> {
        // A remedy that is only looked at is nobody's work.
        let is_look = matches!(self.dialog, Some(Dialog::Fix(_)));
        let gesture = self.session.gesture_in_hand().filter(|_| !is_look).cloned();
        let sketch = self.sketched();
        let any = self.session.history().is_unsaved() || gesture.is_some() || sketch.is_some();
        any.then(|| InHand { revision: self.session.history().revision(), gesture, sketch })
    }

    /// What the tool in hand would make of what is half drawn.
    fn sketched(&self) -> Option<Edit> {
        if self.tool.sketch().path.len() < 2 {
            return None;
        }
        let hand = Hand::on(&self.session, &self.view, &self.snaps, egui::Modifiers::NONE);
        let wishes = self.tool.clone().touch(Touch::Enter, &hand);
        let edit = wishes.into_iter().find_map(|wish| if let Wish::Edit(edit) = wish { Some(edit) } else { None });
        // A boundary that is half drawn anew does not take the place of the whole one.
        let replaces = |edit: &Edit| edit.changes.iter().any(|change| matches!(change, Change::Field(_)));
        edit.filter(|edit| self.session.plan().field.is_none() || !replaces(edit))
    }

    /// Keeps unsaved work on disk a moment after the last change, and every few seconds while changes go on.
    pub(crate) fn keep(&mut self, ctx: &egui::Context) {
        if self.is_writing() {
            return;
        }
        let Some(work) = self.in_hand() else {
            // What was dragged was let go without a trace, or everything is saved.
            self.keeping.waiting = None;
            self.drop_kept();
            self.tell_owed(self.session.history().revision());
            return;
        };
        if self.keeping.kept.as_ref() == Some(&work) {
            self.keeping.waiting = None;
            return;
        }
        let now = Instant::now();
        let begun = || Waiting { work: work.clone(), first: now, last: now };
        let waiting = self.keeping.waiting.get_or_insert_with(begun);
        if waiting.work != work {
            waiting.work = work.clone();
            waiting.last = now;
        }
        if waiting.last.elapsed() >= AFTER || waiting.first.elapsed() >= AT_MOST || self.keeping.owed.is_some() {
            self.keeping.waiting = None;
            self.write_kept(work, ctx);
        }
        ctx.request_repaint_after(LOOK_EVERY);
    }

    /// Keeps what is in hand before the plan leaves the desk.
    pub(crate) fn keep_now(&mut self) {
        self.wait_for_kept();
        if let Some(work) = self.in_hand().filter(|work| self.keeping.kept.as_ref() != Some(work)) {
            let done = self.keep_path().map(|path| (write(&self.work_to_keep(&work, &path), &path), path));
            done.into_iter().for_each(|(done, path)| self.was_kept(work.clone(), path, done));
        }
    }

    /// Tells what was owed once the plan is on the disk as it was at a revision.
    fn tell_owed(&mut self, revision: u64) {
        if let Some((_, words)) = self.keeping.owed.take_if(|(owed, _)| *owed <= revision) {
            self.told = Some(words);
        }
    }

    /// Begins to write work beside the window.
    fn write_kept(&mut self, work: InHand, ctx: &egui::Context) {
        let Some(path) = self.keep_path() else { return };
        let (to_keep, file) = (self.work_to_keep(&work, &path), path.clone());
        let write = move |_: &Progress| write(&to_keep, &file);
        let job = if self.habits.beside { Job::start(ctx, write) } else { Job::at_once(ctx, write) };
        self.keeping.writing = Some(Writing { work, path, job });
    }

    fn work_to_keep(&self, work: &InHand, path: &Path) -> ToKeep {
        let is_ours = self.keeping.ours.as_deref() == Some(path);
        let aside = (!is_ours).then(|| self.session.path().unwrap_or(path).to_path_buf());
        ToKeep {
            plan: self.session.plan().clone(),
            gesture: work.gesture.clone(),
            sketch: work.sketch.clone(),
            aside,
        }
    }

    /// Looks whether what is being written is there; true while it is not.
    fn is_writing(&mut self) -> bool {
        match self.keeping.writing.take() {
            None => false,
            Some(writing) => match writing.job.poll() {
                None => {
                    self.keeping.writing = Some(writing);
                    true
                }
                Some(done) => {
                    self.was_kept(writing.work, writing.path, done.unwrap_or_else(|()| Err(UNKNOWN.into())));
                    false
                }
            },
        }
    }

    /// Waits until what is being written is there: only then can it be taken away or written over.
    fn wait_for_kept(&mut self) {
        if let Some(Writing { work, path, job }) = self.keeping.writing.take() {
            let done = job.wait().unwrap_or_else(|| Err(UNKNOWN.into()));
            self.was_kept(work, path, done);
        }
    }

    fn was_kept(&mut self, work: InHand, path: PathBuf, done: Result<Option<PathBuf>, String>) {
        match done {
            Ok(aside) => {
                if let Some(aside) = aside {
                    self.told = Some(format!("The former autosave is kept as {}.", aside.display()));
                }
                self.keeping.ours = Some(path);
                self.tell_owed(work.revision);
                self.keeping.kept = Some(work);
            }
            Err(why) => self.told = Some(format!("Unsaved work could not be kept at {}: {why}", path.display())),
        }
    }

    /// Forgets kept work once it is saved or given up.
    pub fn forget_kept(&mut self) {
        self.drop_kept();
        self.keeping.kept = self.in_hand();
    }

    /// Takes away what this window kept.
    pub(crate) fn drop_kept(&mut self) {
        self.wait_for_kept();
        self.keeping.kept = None;
        if let Some(path) = self.keeping.ours.take() {
            // It may be gone already.
            let _ = std::fs::remove_file(path);
        }
    }

    /// Begins anew with another plan; `taken_up` is kept work that it comes from.
    pub(crate) fn keep_anew(&mut self, taken_up: Option<PathBuf>) {
        self.keeping = Keeping { ours: taken_up, slot: self.keeping.slot.take(), ..Keeping::default() };
    }

    /// Offers work that was not saved last time, whether the plan file is older or newer; it is read beside the window.
    pub fn offer_recovery(&mut self, ctx: &egui::Context) {
        let Some(path) = self.keep_path().filter(|path| self.keeping.ours.as_ref() != Some(path)) else { return };
        let (plan, has_file) = (self.session.plan().clone(), self.session.path().is_some());
        let task = Task::on(Kind::Recover, "Looking for unsaved work", &path);
        self.begin(task, ctx, move |_| {
            let found = Spare::at(Kept::Autosave, path.clone()).map(|spare| offered(spare, &plan, has_file));
            Ok(then(move |desk, _, _| desk.offer(found, path)))
        });
    }

    /// Takes up what was found at the place for unsaved work.
    fn offer(&mut self, found: Option<Offered>, path: PathBuf) {
        // Work that this window kept there meanwhile is its own.
        if self.keep_path().as_ref() != Some(&path) || self.keeping.ours.as_ref() == Some(&path) {
            return;
        }
        match found {
            None => {}
            Some(Offered::Same) => self.keeping.ours = Some(path),
            Some(Offered::Other(ask)) => self.ask(Dialog::Recover(ask)),
            Some(Offered::Unread(why)) => self.told = Some(why),
        }
    }
}

/// What was found at the place for unsaved work.
enum Offered {
    /// The plan as it was opened.
    Same,
    /// Other work.
    Other(Box<RecoverAsk>),
    /// Nothing that can be read; what is told of it.
    Unread(String),
}

fn offered(spare: Spare, plan: &Plan, has_file: bool) -> Offered {
    match files::read_whole(&spare.path) {
        Ok(kept) if kept == *plan => Offered::Same,
        Ok(kept) => Offered::Other(Box::new(RecoverAsk::of(spare, &kept, plan, has_file))),
        Err(why) => {
            Offered::Unread(format!("The autosave cannot be read ({why}); it stays as {}.", spare.path.display()))
        }
    }
}

/// Work on its way to disk.
struct ToKeep {
    plan: Plan,
    gesture: Option<Edit>,
    sketch: Option<Edit>,
    /// By what name kept work that is not this window's is put aside, so that it is not written over; `None` where it is.
    aside: Option<PathBuf>,
}

/// Writes work; the name that former work was given.
fn write(work: &ToKeep, path: &Path) -> Result<Option<PathBuf>, String> {
    let words = |error: std::io::Error| error.to_string();
    let aside = work.aside.as_deref().filter(|_| path.exists()).map(|name| files::free_beside(name, "autosave"));
    aside.iter().try_for_each(|aside| std::fs::rename(path, aside)).map_err(words)?;
    path.parent().map_or(Ok(()), std::fs::create_dir_all).map_err(words)?;
    let edits = work.gesture.iter().chain(&work.sketch);
    let plan = edits.fold(work.plan.clone(), |plan, edit| plan.with(edit));
    let text = exchange::plan_text(&plan).map_err(|error| error.to_string())?;
    exchange::replace_file(path, text.as_bytes(), false).map_err(|error| error.to_string())?;
    Ok(aside)
}
