//! Work longer than a frame: named, with progress and cancel, several at once and never the same twice. Each piece runs on its
//! own thread and is polled once a frame; what is dropped is stopped.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

use egui::Context;
use job::Progress;

/// Work is shown once it has lasted so long: what is done at once does not flash.
const SHOWN_AFTER: Duration = Duration::from_millis(120);

/// A job on its own thread; dropped, it is stopped.
pub struct Job<T> {
    /// How far it has come.
    pub progress: Progress,
    result: Receiver<T>,
}

impl<T: Send + 'static> Job<T> {
    /// Starts a job; the window is woken when it is done.
    pub fn start(ctx: &Context, work: impl FnOnce(&Progress) -> T + Send + 'static) -> Self {
        let (send, result) = channel();
        let (ctx, progress) = (ctx.clone(), Progress::default());
        let told = progress.clone();
        std::thread::spawn(move || {
            // Nobody listens to a job that was cancelled; its result is dropped.
            let _ = send.send(work(&told));
            // A job that died is noticed when nothing can come any more.
            drop(send);
            ctx.request_repaint();
        });
        Self { progress, result }
    }

    /// Does the work at once, on the thread that asks.
    pub fn at_once(ctx: &Context, work: impl FnOnce(&Progress) -> T) -> Self {
        let (send, result) = channel();
        let progress = Progress::default();
        // Its receiver is here.
        let _ = send.send(work(&progress));
        ctx.request_repaint();
        Self { progress, result }
    }

    /// Waits for the result; `None` when the job died without one.
    pub fn wait(self) -> Option<T> {
        self.result.recv().ok()
    }

    /// The result once it is there; `Err` when the job died without one.
    pub fn poll(&self) -> Option<Result<T, ()>> {
        match self.result.try_recv() {
            Ok(result) => Some(Ok(result)),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => Some(Err(())),
        }
    }
}

impl<T> Drop for Job<T> {
    fn drop(&mut self) {
        self.progress.stop();
    }
}

/// What a piece of work is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A file dialog of the system.
    AskPath,
    /// Looking what a file would be written over.
    Look,
    /// Opening a plan.
    Open,
    /// Looking for work that was not saved.
    Recover,
    /// Comparing the plan with its file.
    Compare,
    /// Reading ground.
    Ground,
    /// Laying the ground with the plan's corrections.
    Relay,
    /// Reading something into the plan.
    Read,
    /// Working out how the land dries.
    Dry,
    /// Working out how sure the plan is.
    Sure,
    /// Saving the plan.
    Save,
    /// Writing something of the plan.
    Write,
    /// Working out a rain on the land.
    Rain,
    /// Showing a folder in another program.
    Show,
    /// Making contours.
    Contours,
    /// Making pages to look at.
    Preview,
    /// Reading the picture under the plan.
    Backdrop,
    /// Looking for first layouts.
    Propose,
}

impl Kind {
    /// True where only the newest is wanted: a plan has one ground, and one plan is open.
    const fn is_alone(self) -> bool {
        matches!(self, Self::Open | Self::Recover | Self::Ground)
    }

    /// True where it is meant for the plan on the desk, and not for another; what is being written or shown goes on.
    pub const fn belongs_to_plan(self) -> bool {
        !matches!(self, Self::Write | Self::Show)
    }
}

/// What is to be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// What it is.
    pub kind: Kind,
    /// What it is called, for the person.
    pub name: String,
    /// The file that it reads or writes.
    pub file: Option<PathBuf>,
}

impl Task {
    /// A task without a file.
    pub fn new(kind: Kind, name: impl Into<String>) -> Self {
        Self { kind, name: name.into(), file: None }
    }

    /// A task on a file.
    pub fn on(kind: Kind, name: impl Into<String>, file: &Path) -> Self {
        Self { file: Some(file.to_path_buf()), ..Self::new(kind, name) }
    }

    /// True for the same thing done to the same file.
    fn is_same(&self, other: &Self) -> bool {
        let is_same_file = match (&self.file, &other.file) {
            (Some(one), Some(other)) => {
                std::path::absolute(one).ok() == std::path::absolute(other).ok()
                    || job::sparing::is_itself(one, other)
            }
            (one, other) => one.is_none() && other.is_none(),
        };
        self.kind == other.kind && is_same_file
    }
}

/// What is done on the desk with what came of a task: it hears for which revision of the plan the task was begun.
pub type Done<D> = Box<dyn FnOnce(&mut D, u64, &Context) + Send>;

/// What came of a task, or why nothing did.
pub type Outcome<D> = Result<Done<D>, String>;

struct Running<D> {
    id: u64,
    task: Task,
    /// Revision of the plan that it was begun for.
    revision: u64,
    since: Instant,
    job: Job<Outcome<D>>,
}

/// A task that came to its end.
pub struct Finished<D> {
    /// The task.
    pub task: Task,
    /// Revision of the plan that it was begun for.
    pub revision: u64,
    /// What came of it.
    pub outcome: Outcome<D>,
}

/// A task that runs, as it is shown.
#[derive(Clone, Copy)]
pub struct Shown<'a> {
    /// By what it is cancelled.
    pub id: u64,
    /// What it is called.
    pub name: &'a str,
    /// How far it has come.
    pub progress: &'a Progress,
}

/// The tasks that run beside the window.
pub struct Jobs<D> {
    running: Vec<Running<D>>,
    last: u64,
    /// False where each is done at once, so that nothing hangs on time.
    beside: bool,
}

impl<D: 'static> Jobs<D> {
    /// No tasks yet; `beside` is false where each is to be done at once.
    pub fn new(beside: bool) -> Self {
        Self { running: Vec::new(), last: 0, beside }
    }

    /// Begins a task for a revision of the plan; false where the very same is under way already.
    pub fn start(
        &mut self,
        task: Task,
        revision: u64,
        ctx: &Context,
        work: impl FnOnce(&Progress) -> Outcome<D> + Send + 'static,
    ) -> bool {
        if self.running.iter().any(|running| running.task.is_same(&task)) {
            return false;
        }
        if task.kind.is_alone() {
            self.stop(|other| other.kind == task.kind);
        }
        let job = if self.beside { Job::start(ctx, work) } else { Job::at_once(ctx, work) };
        self.last += 1;
        self.running.push(Running { id: self.last, task, revision, since: Instant::now(), job });
        true
    }

    /// The tasks that ended, in the order in which they were begun.
    pub fn finished(&mut self) -> Vec<Finished<D>> {
        let mut finished = Vec::new();
        let mut going = Vec::new();
        for running in self.running.drain(..) {
            match running.job.poll() {
                None => going.push(running),
                Some(outcome) => {
                    let Running { task, revision, .. } = running;
                    let outcome = outcome.unwrap_or_else(|()| Err(format!("{} failed.", task.name)));
                    finished.push(Finished { task, revision, outcome });
                }
            }
        }
        self.running = going;
        finished
    }

    /// The tasks that have run for a moment.
    pub fn shown(&self) -> Vec<Shown<'_>> {
        let long = self.running.iter().filter(|running| running.since.elapsed() >= SHOWN_AFTER);
        long.map(|running| Shown { id: running.id, name: &running.task.name, progress: &running.job.progress })
            .collect()
    }

    /// Gives a task up; what it was, if it still ran.
    pub fn cancel(&mut self, id: u64) -> Option<Task> {
        let place = self.running.iter().position(|running| running.id == id)?;
        Some(self.running.remove(place).task)
    }

    /// Gives up all tasks that `unwanted` names.
    pub fn stop(&mut self, unwanted: impl Fn(&Task) -> bool) {
        self.running.retain(|running| !unwanted(&running.task));
    }

    /// True while a task of a kind runs.
    pub fn runs(&self, kind: Kind) -> bool {
        self.running.iter().any(|running| running.task.kind == kind)
    }

    /// True where nothing runs.
    pub fn is_empty(&self) -> bool {
        self.running.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn task(kind: Kind, file: &str) -> Task {
        Task::on(kind, format!("task on {file}"), Path::new(file))
    }

    /// A task that ends when it is told to, or is stopped.
    fn waiting(progress: &Progress) -> Outcome<Vec<u64>> {
        while progress.tell(0.5) {
            std::thread::sleep(Duration::from_millis(1));
        }
        Err("stopped".into())
    }

    fn noted() -> Outcome<Vec<u64>> {
        Ok(Box::new(|seen: &mut Vec<u64>, revision, _: &Context| seen.push(revision)))
    }

    fn take(jobs: &mut Jobs<Vec<u64>>, ctx: &Context, until: usize) -> Vec<u64> {
        let mut seen = Vec::new();
        for _ in 0..2_000 {
            for finished in jobs.finished() {
                if let Ok(done) = finished.outcome {
                    done(&mut seen, finished.revision, ctx);
                }
            }
            if seen.len() >= until {
                break;
            }
            std::thread::sleep(Duration::from_millis(1));
        }
        seen
    }

    #[test]
    fn the_same_task_is_not_begun_twice_and_others_run_beside_it() {
        let (ctx, mut jobs) = (Context::default(), Jobs::new(true));
        assert!(jobs.start(task(Kind::Write, "a.pdf"), 1, &ctx, waiting));
        assert!(!jobs.start(task(Kind::Write, "./a.pdf"), 2, &ctx, waiting), "by whatever name");
        assert!(jobs.start(task(Kind::Write, "b.pdf"), 3, &ctx, |_| noted()));
        assert!(jobs.start(Task::new(Kind::AskPath, "Open plan"), 4, &ctx, |_| noted()));
        assert!(
            !jobs.start(Task::new(Kind::AskPath, "Save plan"), 4, &ctx, |_| noted()) || !jobs.runs(Kind::AskPath)
        );
        let mut seen = take(&mut jobs, &ctx, 2);
        seen.sort_unstable();
        assert!(seen.starts_with(&[3, 4]), "each with the revision it was begun for: {seen:?}");
        assert!(jobs.runs(Kind::Write), "the first goes on");
    }

    #[test]
    fn each_is_cancelled_by_itself() {
        let (ctx, mut jobs) = (Context::default(), Jobs::new(true));
        jobs.start(task(Kind::Write, "a.pdf"), 1, &ctx, waiting);
        jobs.start(task(Kind::Read, "marks.csv"), 1, &ctx, waiting);
        std::thread::sleep(SHOWN_AFTER);
        let names: Vec<(u64, String)> = jobs.shown().iter().map(|shown| (shown.id, shown.name.to_string())).collect();
        assert_eq!(
            names.iter().map(|(_, name)| &name[..]).collect::<Vec<_>>(),
            ["task on a.pdf", "task on marks.csv"]
        );
        assert_eq!(jobs.cancel(names[1].0).map(|task| task.kind), Some(Kind::Read));
        assert!(jobs.runs(Kind::Write) && !jobs.runs(Kind::Read) && jobs.cancel(names[1].0).is_none());
    }

    /// A second ground takes the place of the first; leaving the plan gives up all but what is being written.
    #[test]
    fn of_some_only_the_newest_is_wanted() {
        let (ctx, mut jobs) = (Context::default(), Jobs::new(true));
        jobs.start(task(Kind::Ground, "a.tif"), 1, &ctx, waiting);
        jobs.start(task(Kind::Ground, "b.tif"), 1, &ctx, waiting);
        jobs.start(task(Kind::Write, "a.pdf"), 1, &ctx, waiting);
        assert_eq!(jobs.running.iter().filter(|running| running.task.kind == Kind::Ground).count(), 1);
        jobs.stop(|task| task.kind.belongs_to_plan());
        assert!(jobs.runs(Kind::Write) && !jobs.runs(Kind::Ground));
    }

    #[test]
    fn what_is_done_at_once_is_there_at_the_next_look() {
        let (ctx, mut jobs) = (Context::default(), Jobs::new(false));
        jobs.start(task(Kind::Read, "a.csv"), 7, &ctx, |_| noted());
        let mut seen = Vec::new();
        jobs.finished().into_iter().filter_map(|f| Some((f.outcome.ok()?, f.revision))).for_each(
            |(done, revision)| {
                done(&mut seen, revision, &ctx);
            },
        );
        assert!(jobs.is_empty());
        assert_eq!(seen, [7]);
    }

    #[test]
    fn one_that_dies_is_told_by_its_name() {
        let (ctx, mut jobs) = (Context::default(), Jobs::<Vec<u64>>::new(true));
        jobs.start(task(Kind::Read, "a.csv"), 1, &ctx, |_| panic!("as it is meant to"));
        let ended = (0..2_000).find_map(|_| {
            std::thread::sleep(Duration::from_millis(1));
            jobs.finished().pop()
        });
        assert_eq!(ended.unwrap().outcome.err().as_deref(), Some("task on a.csv failed."));
    }
}
