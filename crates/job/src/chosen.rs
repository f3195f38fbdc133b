//! Which files a plan is read with: those in its folder and below, and those that a person chose on this machine.
//!
//! A plan comes by mail as well as from one's own hand. What it names elsewhere is not opened because it says so: only
//! because somebody brought that very file in here, or said once that it may be read.

use std::collections::BTreeSet;
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, OnceLock, PoisonError};

use exchange::FileError;

/// Files that are remembered, the latest ones (own choice).
const MOST: usize = 500;

/// The list, once the program has said where it is kept; without it what is chosen holds for this run.
static LIST: OnceLock<PathBuf> = OnceLock::new();
/// What was chosen in this run.
static RUN: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

/// Keeps what is chosen in a folder of the user's, from run to run.
pub fn keep_in(folder: &Path) {
    // Said once, at the start.
    let _ = LIST.set(folder.join("chosen-files.txt"));
}

/// Notes that a person chose this file on this machine. Where the list cannot be written it holds for this run.
pub fn remember(file: &Path) {
    let Some(real) = for_this_run(file) else { return };
    if let Some(list) = LIST.get() {
        // What cannot be kept is asked for again next time; nothing is lost.
        let _ = note(list, &real);
    }
}

/// Notes it for as long as the program runs.
pub fn for_this_run(file: &Path) -> Option<PathBuf> {
    let real = fs::canonicalize(file).ok()?;
    RUN.lock().unwrap_or_else(PoisonError::into_inner).insert(real.clone());
    Some(real)
}

/// Adds a line to the list. Lines are added and not the list rewritten, so that two runs at once lose none.
fn note(list: &Path, real: &Path) -> std::io::Result<()> {
    let Some(text) = real.to_str() else { return Ok(()) };
    let known = listed(list);
    if known.last().is_some_and(|last| last == real) {
        return Ok(());
    }
    if let Some(folder) = list.parent() {
        fs::create_dir_all(folder)?;
    }
    if known.len() >= 2 * MOST {
        let latest = latest(known).iter().filter_map(|path| path.to_str()).map(line).collect::<String>();
        exchange::replace_file(list, latest.as_bytes(), false).map_err(std::io::Error::other)?;
    }
    OpenOptions::new().append(true).create(true).open(list)?.write_all(line(text).as_bytes())
}

/// A path as a line: a JSON string, whatever is in it.
fn line(text: &str) -> String {
    format!("{}\n", serde_json::Value::from(text))
}

fn listed(list: &Path) -> Vec<PathBuf> {
    let text = fs::read_to_string(list).unwrap_or_default();
    text.lines().filter_map(|line| serde_json::from_str::<PathBuf>(line).ok()).collect()
}

/// The latest ones, oldest first, each once.
fn latest(listed: Vec<PathBuf>) -> Vec<PathBuf> {
    let mut seen = BTreeSet::new();
    let mut latest: Vec<PathBuf> = listed.into_iter().rev().filter(|path| seen.insert(path.clone())).collect();
    latest.truncate(MOST);
    latest.reverse();
    latest
}

/// True for a file that a person chose.
pub fn was_chosen(file: &Path) -> bool {
    fs::canonicalize(file).is_ok_and(|real| is_chosen(&real))
}

/// True for a file that a person chose, by its real path.
fn is_chosen(real: &Path) -> bool {
    RUN.lock().unwrap_or_else(PoisonError::into_inner).contains(real)
        || LIST.get().is_some_and(|list| latest(listed(list)).iter().any(|path| path == real))
}

/// The folder of a plan file, from which the files that it names count; of a link that of the plan itself.
pub fn home(plan: &Path) -> PathBuf {
    let real = exchange::real_path(plan).unwrap_or_else(|_| plan.to_path_buf());
    real.parent().map(Path::to_path_buf).unwrap_or_default()
}

/// Where a file lies that a plan names; `home` is the plan's folder, `None` for a plan without a file. Refused where it leads out of that folder and nobody
/// chose it on this machine, and where it is no file. What is not there is told by who reads it.
pub fn may_read(file: &str, home: Option<&Path>) -> Result<PathBuf, FileError> {
    let is_at_home = home.is_some() || !Path::new(file).is_absolute();
    let path = home.map_or_else(|| PathBuf::from(file), |home| home.join(file));
    let home = home.filter(|home| !home.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Ok(there) = fs::metadata(&path) else { return Ok(path) };
    let refused =
        |found: &str, expected: String| FileError::Outside { file: file.into(), found: found.into(), expected };
    if let Some(what) = exchange::no_file(&there) {
        return Err(refused(what, "a file".into()));
    }
    let real = canonical(&path)?;
    let inside = canonical(home)?;
    let is_fine = |real: &Path| is_at_home && real.starts_with(&inside) || is_chosen(real);
    if !is_fine(&real) {
        return Err(refused(how_it_leaves(file, &path), in_words(&real)));
    }
    // What lies beside it is read with it.
    let astray = companions(&path).into_iter().find(|beside| {
        let beside = fs::canonicalize(beside);
        beside.is_ok_and(|beside| beside.parent() != real.parent() && !is_fine(&beside))
    });
    match astray {
        Some(beside) => Err(FileError::Outside {
            file: beside.to_string_lossy().into_owned(),
            found: "a link that leads out of the plan's folder".into(),
            expected: "the file itself beside the ground".into(),
        }),
        None => Ok(path),
    }
}

fn canonical(path: &Path) -> Result<PathBuf, FileError> {
    fs::canonicalize(path).map_err(|source| FileError::Io { path: path.display().to_string(), source })
}

fn how_it_leaves(file: &str, path: &Path) -> &'static str {
    if Path::new(file).is_absolute() {
        return "a place outside the plan's folder that nobody chose on this machine";
    }
    if fs::symlink_metadata(path).is_ok_and(|there| there.is_symlink()) {
        return "a link that leads out of the plan's folder, to a file that nobody chose on this machine";
    }
    "a way out of the plan's folder, to a file that nobody chose on this machine"
}

/// What is to be done, with the command as it may be typed.
fn in_words(real: &Path) -> String {
    let text = real.to_string_lossy();
    let is_plain = text.chars().all(|c| c.is_ascii_alphanumeric() || "/._-+:".contains(c));
    let text = if is_plain { text.into_owned() } else { format!("'{}'", text.replace('\'', "'\\''")) };
    format!(
        "a file in the plan's folder or below it: copy it there and name it so; or, if you know that file, say once that it \
         may be read from there: drainwright allow PLAN {text}"
    )
}

/// Endings of files that lie beside a ground file, are called like it, and belong to it; world files beside them.
const COMPANIONS: [&str; 4] = ["prj", "shx", "dbf", "cpg"];
/// What is added to the whole name of such a file.
const ADDED: [&str; 2] = ["aux.xml", "ovr"];

/// The files that belong to a ground file, as far as they are there.
pub fn companions(path: &Path) -> Vec<PathBuf> {
    let of = |ending: &str| {
        let added = path.file_name().map(|name| path.with_file_name(format!("{}.{ending}", name.to_string_lossy())));
        if ADDED.contains(&ending) { added } else { Some(path.with_extension(ending)) }
    };
    let all = COMPANIONS.iter().chain(&exchange::WORLD_ENDINGS).chain(&ADDED);
    let endings = all.flat_map(|ending| [ending.to_string(), ending.to_uppercase()]);
    endings.filter_map(|ending| of(&ending)).filter(|beside| beside != path && beside.is_file()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The list keeps the latest, each once, also names with a line feed.
    #[test]
    fn the_list_is_bounded() {
        let folder = tempfile::tempdir().unwrap();
        let list = folder.path().join("deep/list.txt");
        for i in 0..1200 {
            note(&list, Path::new(&format!("/a/{i}.tif"))).unwrap();
            note(&list, Path::new("/b/two\nlines.tif")).unwrap();
        }
        let known = latest(listed(&list));
        assert!(listed(&list).len() <= 2 * MOST && known.len() == MOST, "{} {}", listed(&list).len(), known.len());
        assert!(known.contains(&PathBuf::from("/b/two\nlines.tif")) && known.contains(&PathBuf::from("/a/1199.tif")));
        assert!(!known.contains(&PathBuf::from("/a/1.tif")));
    }
}
