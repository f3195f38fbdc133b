//! What the window knows of its plan's file: what it held when it was read or written, whether another program has
//! written it since, and whether another window has it open.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::{Duration, SystemTime};

use exchange::{Grip, PlanLock, Seen, Taken};
use plan::Plan;

use crate::clock;

/// How often the file is looked at.
const LOOK_EVERY: Duration = Duration::from_secs(1);

/// What another program did to the file.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// It was written; when, in words.
    Written(String),
    /// It was taken away.
    Gone,
}

/// The file under the open plan.
#[derive(Debug, Default)]
pub struct OnFile {
    /// What it held when it was read or written here.
    pub seen: Option<Seen>,
    /// The plan that was in it then.
    pub base: Option<Plan>,
    /// Who has it open in another window; this one is then to look only.
    pub other: Option<String>,
    /// What another program did to it since.
    pub change: Option<Change>,
    window: Option<(PathBuf, PlanLock)>,
    watch: Option<Watch>,
}

/// Reaches for a plan as the one window that works on it; else who has it.
pub fn reach(path: &Path) -> Result<PlanLock, String> {
    match PlanLock::take(path, Grip::Window, &clock::who("another window")) {
        Taken::Ours(lock) => Ok(lock),
        Taken::Theirs(by) => Err(by),
    }
}

impl OnFile {
    /// The file at `path` as it was read; a lock that the window has on it already is kept.
    pub fn read(path: &Path, seen: Option<Seen>, base: Option<Plan>, former: Self) -> Self {
        let held = former.window.filter(|(at, _)| crate::sparing::is_itself(at, path));
        let (window, other) = match held.map_or_else(|| reach(path), |(_, lock)| Ok(lock)) {
            Ok(lock) => (Some((path.to_path_buf(), lock)), None),
            Err(by) => (None, Some(by)),
        };
        Self { seen, base, other, window, change: None, watch: None }
    }

    /// Notes that the plan was written there; `window` is the lock of a file that was not open here before.
    pub fn written(&mut self, path: &Path, (seen, plan): (Seen, &Plan), window: Option<PlanLock>) {
        self.seen = Some(seen);
        self.base = Some(plan.clone());
        self.other = None;
        self.change = None;
        if let Some(lock) = window {
            self.window = Some((path.to_path_buf(), lock));
        }
    }

    /// Looks at the file on a thread of its own, which wakes whoever draws, and notes what another program did to it.
    pub fn follow(&mut self, path: Option<&Path>, wake: impl Fn() + Send + 'static) {
        let Some(path) = path else {
            *self = Self::default();
            return;
        };
        if self.watch.as_ref().is_none_or(|watch| watch.path != path) {
            self.watch = Some(Watch::start(path, wake));
        }
        while let Some(found) = self.watch.as_ref().and_then(|watch| watch.found.try_recv().ok()) {
            self.note(found);
        }
    }

    fn note(&mut self, found: Found) {
        let Some(seen) = self.seen else { return };
        self.change = match found.seen {
            Some(now) if now == seen => None,
            Some(_) => Some(Change::Written(found.written.map_or("an unknown time".into(), clock::words))),
            None => Some(Change::Gone),
        };
    }
}

/// What is found at a file's place.
struct Found {
    seen: Option<Seen>,
    written: Option<SystemTime>,
}

/// A thread that looks at a file until it is dropped.
#[derive(Debug)]
struct Watch {
    path: PathBuf,
    found: Receiver<Found>,
    stop: Arc<AtomicBool>,
}

impl Watch {
    fn start(path: &Path, wake: impl Fn() + Send + 'static) -> Self {
        let (tell, found) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let (file, stopped) = (path.to_path_buf(), stop.clone());
        std::thread::spawn(move || watch(&file, &wake, &tell, &stopped));
        Self { path: path.to_path_buf(), found, stop }
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// Reads the file again whenever its date or length changes, and tells what it holds.
fn watch(path: &Path, wake: &impl Fn(), tell: &Sender<Found>, stopped: &AtomicBool) {
    let mut known = None;
    while !stopped.load(Ordering::Relaxed) {
        let stamp = path.metadata().map(|found| (found.modified().ok(), found.len())).ok();
        if known != Some(stamp) {
            // What cannot be read now is looked at again in a moment.
            if let Ok(seen) = Seen::at(path) {
                known = Some(stamp);
                if tell.send(Found { seen, written: stamp.and_then(|(written, _)| written) }).is_err() {
                    return;
                }
                wake();
            }
        }
        std::thread::sleep(LOOK_EVERY);
    }
}
