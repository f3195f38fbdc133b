//! How much a reading may use, who watches it and may stop it.

use std::ops::ControlFlow;

use crate::FileError;

/// Threads, and a watcher who is told how far the work has come and may stop it.
#[derive(Clone, Copy)]
pub struct Effort<'a> {
    /// How many threads may be used, at least one. The answer is the same with any number.
    pub threads: usize,
    /// Told, from any of the threads, the share that is done, 0 to 1; its `Break` stops the work, which then answers
    /// [`FileError::Stopped`].
    pub watch: &'a (dyn Fn(f64) -> ControlFlow<()> + Sync),
}

impl Effort<'_> {
    /// One thread, watched by nobody.
    pub const PLAIN: Effort<'static> = Effort { threads: 1, watch: &|_| ControlFlow::Continue(()) };

    /// Tells how much is done.
    pub(crate) fn at(&self, share: f64) -> Result<(), FileError> {
        match (self.watch)(share.clamp(0.0, 1.0)) {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(FileError::Stopped),
        }
    }

    /// Runs the same work in as many threads as may be used and are of use, at most `most`.
    pub(crate) fn spread<T: Send>(&self, most: usize, work: impl Fn() -> T + Sync) -> Vec<T> {
        std::thread::scope(|scope| {
            let others: Vec<_> = (1..self.threads.min(most)).map(|_| scope.spawn(&work)).collect();
            let mut results = vec![work()];
            results.extend(others.into_iter().map(|thread| match thread.join() {
                Ok(result) => result,
                Err(panic) => std::panic::resume_unwind(panic),
            }));
            results
        })
    }
}
