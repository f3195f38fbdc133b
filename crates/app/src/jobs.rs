//! Work longer than a frame: named, polled once a frame, stopped when nobody wants it any more.

use std::sync::mpsc::{Receiver, TryRecvError, channel};

use job::Progress;

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
