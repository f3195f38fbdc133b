//! How far a piece of work has come.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use exchange::{Effort, FileError};
use land::{LandError, Laying};

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

    /// Runs work on the land, which tells what it begins, with so many threads.
    pub fn lay<T>(&self, threads: usize, work: impl FnOnce(&Laying) -> Result<T, LandError>) -> Result<T, FileError> {
        let step = |name: &'static str| match self.step(name) {
            Ok(()) => ControlFlow::Continue(()),
            Err(_) => ControlFlow::Break(()),
        };
        work(&Laying { threads, step: &step }).map_err(no_land)
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

/// Why no land was laid, as of a file.
fn no_land(error: LandError) -> FileError {
    let (place, expected) = match &error {
        LandError::Stopped => return FileError::Stopped,
        LandError::NoSurface(_) => ("the survey points", "points that make a surface"),
        LandError::NoGrid(_) => ("the lidar", "a grid"),
    };
    FileError::Malformed { place: place.into(), found: error.to_string(), expected: expected.into() }
}
