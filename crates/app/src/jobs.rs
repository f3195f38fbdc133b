//! Work longer than a frame: named, polled once a frame, stopped when nobody wants it any more.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::sync::{Arc, Mutex, PoisonError};

use exchange::{Effort, FileError};

/// How far a piece of work has come, and whether it is still wanted. Copies tell of the same work.
#[derive(Clone, Default)]
pub struct Progress(Arc<Shared>);

#[derive(Default)]
struct Shared {
    step: Mutex<&'static str>,
    thousandths: AtomicU32,
    stopped: AtomicBool,
}

impl Progress {
    /// Begins a step; an error when the work was given up.
    pub fn step(&self, name: &'static str) -> Result<(), FileError> {
        *self.0.step.lock().unwrap_or_else(PoisonError::into_inner) = name;
        self.0.thousandths.store(0, Ordering::Relaxed);
        if self.0.stopped.load(Ordering::Relaxed) { Err(FileError::Stopped) } else { Ok(()) }
    }

    /// Tells how much of the step is done, 0 to 1.
    fn at(&self, share: f64) -> ControlFlow<()> {
        self.0.thousandths.fetch_max((share * 1000.0) as u32, Ordering::Relaxed);
        if self.0.stopped.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }

    /// Tells how much of the step is done, 0 to 1; false when the work was given up.
    pub fn tell(&self, share: f64) -> bool {
        self.at(share).is_continue()
    }

    /// Runs work that can tell how far it has come, with so many threads.
    pub fn watch<T>(&self, threads: usize, work: impl FnOnce(&Effort) -> T) -> T {
        work(&Effort { threads, watch: &|share| self.at(share) })
    }

    /// The step at work, and how much of it is done where it can tell.
    pub fn shown(&self) -> (&'static str, Option<f32>) {
        let step = *self.0.step.lock().unwrap_or_else(PoisonError::into_inner);
        let done = self.0.thousandths.load(Ordering::Relaxed);
        (step, (done > 0).then_some(done as f32 / 1000.0))
    }

    /// Gives the work up.
    pub fn stop(&self) {
        self.0.stopped.store(true, Ordering::Relaxed);
    }
}

/// A job on its own thread; dropped, it is stopped.
pub struct Job<T> {
    /// What is being done, for the person.
    pub name: String,
    /// How far it has come.
    pub progress: Progress,
    result: Receiver<T>,
}

impl<T: Send + 'static> Job<T> {
    /// Starts a job; the window is woken when it is done.
    pub fn start(
        name: impl Into<String>,
        ctx: &egui::Context,
        work: impl FnOnce(&Progress) -> T + Send + 'static,
    ) -> Self {
        let (send, result) = channel();
        let (ctx, progress) = (ctx.clone(), Progress::default());
        let told = progress.clone();
        std::thread::spawn(move || {
            // Nobody listens to a job that was cancelled; its result is dropped.
            let _ = send.send(work(&told));
            ctx.request_repaint();
        });
        Self { name: name.into(), progress, result }
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
