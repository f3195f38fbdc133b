//! Writing a whole file in one step, so that at no moment what was there is lost.
//!
//! The new bytes go to a temporary file in the same folder, are synced, and take the old file's name in one step. A link
//! stays a link: what it points to is replaced, in that folder. Mode and, where the system allows it, owner stay.

use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::FileError;

/// Age from which a temporary file is no longer being written, whoever made it (own choice).
const STALE_AFTER: Duration = Duration::from_secs(24 * 3600);

/// Links that are followed one after another (own choice; systems stop at 40).
const MOST_LINKS: usize = 40;

/// What becomes of the file that was there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Former {
    /// It is given up.
    Dropped,
    /// It is the former state of what is written: it becomes `NAME.bak`.
    Own,
    /// It is something else: it becomes `NAME.bak`, and gets a numbered name that no later save takes.
    Anothers,
}

/// The backup of a file: its state before the last save that changed it. It lies where the file itself lies, also when
/// `path` is a link.
pub fn backup_path(path: &Path) -> PathBuf {
    with_suffix(&real_path(path).unwrap_or_else(|_| path.to_path_buf()), ".bak")
}

/// Where unsaved work on a plan file is kept until it is saved.
pub fn autosave_path(path: &Path) -> PathBuf {
    with_suffix(&real_path(path).unwrap_or_else(|_| path.to_path_buf()), ".autosave")
}

pub(crate) fn with_suffix(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

/// Writes a whole file in one step. With `keep_old` the former file becomes `NAME.bak`, unless it holds the same bytes.
pub fn replace_file(path: &Path, bytes: &[u8], keep_old: bool) -> Result<(), FileError> {
    replace(path, bytes, if keep_old { Former::Own } else { Former::Dropped })
}

/// Writes a whole file where something else lies, which is kept as `NAME.bak`; so that no later save of the new file
/// takes it away, it is kept under a numbered name (`NAME.bak.1`) too, and so is its own backup.
pub fn replace_anothers(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    replace(path, bytes, Former::Anothers)
}

fn replace(path: &Path, bytes: &[u8], former: Former) -> Result<(), FileError> {
    let done = real_path(path).and_then(|target| write_over(&target, bytes, former));
    done.map_err(|source| FileError::Write { path: path.display().to_string(), source })
}

/// Where a file really lies: links are followed, also to what is not there yet.
pub fn real_path(path: &Path) -> io::Result<PathBuf> {
    let mut at = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        match fs::read_link(&at) {
            Ok(to) => at = at.parent().unwrap_or(Path::new("")).join(to),
            Err(_) => return Ok(at),
        }
    }
    Err(io::Error::other("links that point to each other"))
}

/// What is there in place of a file, in words; `None` for a file.
pub fn no_file(there: &Metadata) -> Option<&'static str> {
    match there.file_type() {
        kind if kind.is_file() => None,
        kind if kind.is_dir() => Some("a folder"),
        kind => Some(special(kind)),
    }
}

#[cfg(unix)]
fn special(kind: fs::FileType) -> &'static str {
    use std::os::unix::fs::FileTypeExt;
    if kind.is_fifo() { "a pipe" } else { "a device" }
}

#[cfg(not(unix))]
fn special(_: fs::FileType) -> &'static str {
    "a device"
}

fn write_over(target: &Path, bytes: &[u8], former: Former) -> io::Result<()> {
    let old = present(target)?;
    tidy(target);
    let fresh = step_of(target);
    let keeps = former != Former::Dropped && !holds(target, bytes);
    let done = write_fresh(&fresh, bytes, old.as_ref())
        .and_then(|()| if keeps { keep_backup(target, former, old.is_some()) } else { Ok(()) })
        .and_then(|()| fs::rename(&fresh, target))
        .and_then(|()| sync_folder(target));
    if done.is_err() {
        // Best effort: the save has failed already and that is what is told.
        let _ = fs::remove_file(&fresh);
    }
    done
}

/// The file that would be replaced; what is no file, or is marked read-only, is not.
fn present(target: &Path) -> io::Result<Option<Metadata>> {
    let there = match fs::metadata(target) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        there => there?,
    };
    if let Some(what) = no_file(&there) {
        return Err(io::Error::other(format!("found {what}, expected a file or a name that is free")));
    }
    if there.permissions().readonly() {
        return Err(io::Error::new(ErrorKind::PermissionDenied, "the file that is there is marked read-only"));
    }
    Ok(Some(there))
}

fn holds(path: &Path, bytes: &[u8]) -> bool {
    let as_long = fs::metadata(path).is_ok_and(|there| there.len() == bytes.len() as u64);
    as_long && fs::read(path).is_ok_and(|there| there == bytes)
}

/// The temporary file; the process number keeps two programs that save at once from writing into each other's.
fn step_of(path: &Path) -> PathBuf {
    with_suffix(path, &format!(".{}.tmp", std::process::id()))
}

/// Writes bytes to a file that is made for them, with mode and owner of the old one, down to the disk.
fn write_fresh(path: &Path, bytes: &[u8], old: Option<&Metadata>) -> io::Result<()> {
    remove_if_there(path)?;
    let mut open = OpenOptions::new();
    open.write(true).create_new(true);
    #[cfg(unix)]
    if old.is_some() {
        // Until it has the old one's mode nobody else reads it.
        std::os::unix::fs::OpenOptionsExt::mode(&mut open, 0o600);
    }
    let mut file = open.open(path)?;
    file.write_all(bytes)?;
    if let Some(old) = old {
        keep_owner(&file, old);
        file.set_permissions(old.permissions())?;
    }
    file.sync_all()
}

/// Gives a file the owner and the group of the old one, as far as the system lets.
#[cfg(unix)]
fn keep_owner(file: &File, old: &Metadata) {
    use std::os::unix::fs::{MetadataExt, fchown};
    if fchown(file, Some(old.uid()), Some(old.gid())).is_err() {
        // Only the superuser gives files away; a group one belongs to may be kept.
        let _ = fchown(file, None, Some(old.gid()));
    }
}

#[cfg(not(unix))]
fn keep_owner(_: &File, _: &Metadata) {}

/// Gives the present file a second name, `NAME.bak`, in one step, so that at no moment either is missing. A backup that
/// is not the former state of this file gets a numbered name before it is replaced.
fn keep_backup(target: &Path, former: Former, is_there: bool) -> io::Result<()> {
    let backup = with_suffix(target, ".bak");
    if former == Former::Anothers || !is_there {
        number(&backup)?;
    }
    if !is_there {
        return Ok(());
    }
    let step = step_of(&backup);
    // A killed save of a process of the same number may have left the step as a second name of the plan itself:
    // copying onto it would empty the plan.
    remove_if_there(&step)?;
    link_or_copy(target, &step)?;
    // Where both are names of one file already, the rename does nothing and leaves the step.
    fs::rename(&step, &backup).and_then(|()| remove_if_there(&step))?;
    if former == Former::Anothers { number(&backup) } else { Ok(()) }
}

/// Gives a backup a numbered name beside its own, unless it has one already.
fn number(backup: &Path) -> io::Result<()> {
    let Ok(bytes) = fs::read(backup) else { return Ok(()) };
    let names = (1..).map(|n| with_suffix(backup, &format!(".{n}")));
    for name in names {
        if fs::symlink_metadata(&name).is_err() {
            return link_or_copy(backup, &name);
        }
        if holds(&name, &bytes) {
            break;
        }
    }
    Ok(())
}

/// A second name for a file; a copy of it where the file system has none.
fn link_or_copy(from: &Path, to: &Path) -> io::Result<()> {
    fs::hard_link(from, to).or_else(|_| fs::copy(from, to).and_then(|_| File::open(to)?.sync_all()))
}

fn remove_if_there(path: &Path) -> io::Result<()> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

/// The folder a path lies in.
pub(crate) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Makes the rename itself durable where the system can.
pub(crate) fn sync_folder(path: &Path) -> io::Result<()> {
    if cfg!(unix) { File::open(folder_of(path))?.sync_all() } else { Ok(()) }
}

/// Removes temporary files that killed saves of this file left behind. What cannot be removed stays: it harms nothing.
fn tidy(target: &Path) {
    for (path, number) in strays(target, &["", ".bak"], ".tmp") {
        if fs::symlink_metadata(&path).is_ok_and(|there| there.is_file()) && is_stale(&path, number) {
            let _ = fs::remove_file(&path);
        }
    }
}

/// What lies beside a path and is called like it, one of the middles, a process number and an ending; with the number.
pub(crate) fn strays(path: &Path, middles: &[&str], ending: &str) -> Vec<(PathBuf, u32)> {
    let Some(name) = path.file_name() else { return Vec::new() };
    let number = |other: &std::ffi::OsStr| {
        let rest = other.as_encoded_bytes().strip_prefix(name.as_encoded_bytes())?;
        let rest = std::str::from_utf8(rest).ok()?.strip_suffix(ending)?;
        let digits = middles.iter().filter_map(|middle| rest.strip_prefix(middle)?.strip_prefix('.'));
        digits
            .filter(|digits| digits.bytes().all(|byte| byte.is_ascii_digit()))
            .find_map(|digits| digits.parse().ok())
    };
    let entries = fs::read_dir(folder_of(path)).into_iter().flatten().flatten();
    entries.filter_map(|entry| Some((entry.path(), number(&entry.file_name())?))).collect()
}

/// True for what no living process is at: the one of that number has ended, or the file is older than a day.
pub(crate) fn is_stale(path: &Path, number: u32) -> bool {
    let changed = fs::symlink_metadata(path).and_then(|there| there.modified());
    let is_old = changed.is_ok_and(|at| at.elapsed().is_ok_and(|age| age > STALE_AFTER));
    is_old || !is_alive(number)
}

#[cfg(unix)]
fn is_alive(number: u32) -> bool {
    let process = i32::try_from(number).ok().and_then(rustix::process::Pid::from_raw);
    process.is_some_and(|process| rustix::process::test_kill_process(process) != Err(rustix::io::Errno::SRCH))
}

/// Where that cannot be asked, age decides.
#[cfg(not(unix))]
fn is_alive(_: u32) -> bool {
    true
}
