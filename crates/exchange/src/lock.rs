//! One hand at a time on a plan. Beside it lies a small file that the system locks for whoever is at work: a lock ends
//! with the process that holds it, however that ends, so none is ever left over.
//!
//! Where no such file can be made or locked (a folder that is read only, a network drive without locks) nothing is held,
//! and only the comparison of contents ([`crate::Seen`]) keeps one from writing over another.

use std::ffi::OsString;
use std::fs::{self, File, TryLockError};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use crate::FileError;

/// How long a command waits for another that is changing the same plan (judgement).
pub const PATIENCE: Duration = Duration::from_secs(10);

/// How often it looks whether the other is done.
const LOOK_EVERY: Duration = Duration::from_millis(25);

/// What a lock is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grip {
    /// The plan is being read, changed and written.
    Change,
    /// The plan is open in a window.
    Window,
}

impl Grip {
    const fn ending(self) -> &'static str {
        match self {
            Self::Change => "lock",
            Self::Window => "window",
        }
    }
}

/// A lock that is held until it is dropped.
#[derive(Debug)]
pub struct PlanLock {
    /// The file and where it lies; `None` where nothing can be locked.
    held: Option<(File, PathBuf)>,
}

/// What came of reaching for a lock.
#[derive(Debug)]
pub enum Taken {
    /// It is ours.
    Ours(PlanLock),
    /// Somebody else has it: who, as they wrote it.
    Theirs(String),
}

impl PlanLock {
    /// Reaches for the lock of a plan once; `who` is what others are told.
    pub fn take(plan: &Path, grip: Grip, who: &str) -> Taken {
        let at = lock_path(plan, grip);
        loop {
            match reach(&at, who) {
                Ok(Some(taken)) => return taken,
                // Its holder took the file away between opening and locking it.
                Ok(None) => continue,
                Err(_) => return Taken::Ours(Self { held: None }),
            }
        }
    }

    /// Waits for the lock of a plan that is to be changed; an error that names the other where that takes too long.
    pub fn wait(plan: &Path, who: &str, patience: Duration) -> Result<Self, FileError> {
        let began = Instant::now();
        loop {
            match Self::take(plan, Grip::Change, who) {
                Taken::Ours(lock) => return Ok(lock),
                Taken::Theirs(by) if began.elapsed() >= patience => {
                    return Err(FileError::Busy { path: plan.display().to_string(), by });
                }
                Taken::Theirs(_) => std::thread::sleep(LOOK_EVERY),
            }
        }
    }
}

impl Drop for PlanLock {
    fn drop(&mut self) {
        if let Some((_, at)) = self.held.take().filter(|_| cfg!(unix)) {
            // The lock is still held here, so that nobody else's file is taken away; one that stays does no harm.
            let _ = fs::remove_file(at);
        }
    }
}

/// Where the lock of a plan lies: beside the file itself, whatever name leads there.
fn lock_path(plan: &Path, grip: Grip) -> PathBuf {
    let whole = fs::canonicalize(plan).unwrap_or_else(|_| plan.to_path_buf());
    let mut name = OsString::from(".");
    name.push(whole.file_name().unwrap_or_default());
    name.push(".");
    name.push(grip.ending());
    whole.with_file_name(name)
}

/// Opens and locks; `None` where the file was taken away meanwhile.
fn reach(at: &Path, who: &str) -> io::Result<Option<Taken>> {
    let mut file = open(at)?;
    match file.try_lock() {
        Ok(()) if !is_still_at(&file, at) => Ok(None),
        Ok(()) => {
            // Who holds it is a courtesy: the lock holds without.
            let _ = file.set_len(0).and_then(|()| file.write_all(who.as_bytes()));
            Ok(Some(Taken::Ours(PlanLock { held: Some((file, at.to_path_buf())) })))
        }
        Err(TryLockError::WouldBlock) => Ok(Some(Taken::Theirs(holder(&mut file)))),
        Err(TryLockError::Error(error)) => Err(error),
    }
}

fn open(at: &Path) -> io::Result<File> {
    // What a link leads to is no lock of ours, and would be emptied.
    if fs::symlink_metadata(at).is_ok_and(|found| !found.is_file()) {
        return Err(ErrorKind::AlreadyExists.into());
    }
    let made = File::options().read(true).write(true).create(true).truncate(false).open(at);
    // Another user's file can be locked without being written.
    made.or_else(|error| if error.kind() == ErrorKind::PermissionDenied { File::open(at) } else { Err(error) })
}

/// Who holds it, as far as can be read.
fn holder(file: &mut File) -> String {
    let mut text = String::new();
    let read = file.take(200).read_to_string(&mut text);
    let told = read.is_ok() && !text.trim().is_empty();
    if told { text.trim().replace(char::is_control, " ") } else { "another program".into() }
}

#[cfg(unix)]
fn is_still_at(file: &File, at: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let same = |a: fs::Metadata, b: fs::Metadata| (a.dev(), a.ino()) == (b.dev(), b.ino());
    file.metadata().ok().zip(fs::metadata(at).ok()).is_some_and(|(a, b)| same(a, b))
}

/// Elsewhere lock files stay where they are.
#[cfg(not(unix))]
fn is_still_at(_: &File, _: &Path) -> bool {
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ours(taken: Taken) -> PlanLock {
        match taken {
            Taken::Ours(lock) => lock,
            Taken::Theirs(by) => panic!("held by {by}"),
        }
    }

    #[test]
    fn a_plan_has_one_holder_who_is_named_and_leaves_nothing_behind() {
        let folder = tempfile::tempdir().unwrap();
        let plan = folder.path().join("a.drain");
        let first = ours(PlanLock::take(&plan, Grip::Change, "lines, process 7"));
        let second = PlanLock::take(&plan, Grip::Change, "fix");
        assert!(matches!(&second, Taken::Theirs(by) if by == "lines, process 7"), "{second:?}");
        let error = PlanLock::wait(&plan, "fix", Duration::from_millis(60)).unwrap_err().to_string();
        assert!(error.contains("a.drain is being changed by lines, process 7"), "{error}");
        ours(PlanLock::take(&plan, Grip::Window, "a window"));
        drop(first);
        drop(ours(PlanLock::take(&plan, Grip::Change, "fix")));
        if cfg!(unix) {
            assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0, "a lock file stays behind");
        }
    }

    /// A file that a killed process left is nobody's lock.
    #[test]
    fn what_a_killed_process_left_holds_nobody_up() {
        let folder = tempfile::tempdir().unwrap();
        let plan = folder.path().join("a.drain");
        fs::write(folder.path().join(".a.drain.lock"), "lines, process 7, long dead").unwrap();
        let held = ours(PlanLock::take(&plan, Grip::Change, "fix"));
        assert_eq!(fs::read_to_string(folder.path().join(".a.drain.lock")).unwrap(), "fix");
        drop(held);
    }

    /// Takers that come and go at once: never two at a time.
    #[test]
    fn many_takers_are_never_two_at_a_time() {
        let folder = tempfile::tempdir().unwrap();
        let plan = folder.path().join("a.drain");
        let inside = std::sync::atomic::AtomicUsize::new(0);
        std::thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    for _ in 0..50 {
                        let lock = PlanLock::wait(&plan, "a thread", Duration::from_secs(60)).unwrap();
                        assert_eq!(inside.fetch_add(1, std::sync::atomic::Ordering::SeqCst), 0, "two at a time");
                        assert_eq!(inside.fetch_sub(1, std::sync::atomic::Ordering::SeqCst), 1);
                        drop(lock);
                    }
                });
            }
        });
    }

    #[cfg(unix)]
    #[test]
    fn a_link_in_the_place_of_a_lock_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let (plan, precious) = (folder.path().join("a.drain"), folder.path().join("precious"));
        fs::write(&precious, "kept").unwrap();
        std::os::unix::fs::symlink(&precious, folder.path().join(".a.drain.lock")).unwrap();
        drop(ours(PlanLock::take(&plan, Grip::Change, "fix")));
        assert_eq!(fs::read_to_string(&precious).unwrap(), "kept");
    }

    /// Two names of one plan have one lock.
    #[cfg(unix)]
    #[test]
    fn a_plan_under_another_name_is_the_same_plan() {
        let folder = tempfile::tempdir().unwrap();
        let (plan, link) = (folder.path().join("a.drain"), folder.path().join("b.drain"));
        fs::write(&plan, "a plan").unwrap();
        std::os::unix::fs::symlink(&plan, &link).unwrap();
        let held = ours(PlanLock::take(&plan, Grip::Window, "the first window"));
        assert!(matches!(PlanLock::take(&link, Grip::Window, "the second"), Taken::Theirs(_)));
        drop(held);
    }
}
