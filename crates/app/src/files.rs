//! Opening and saving: plan, ground and demo fields together.

use std::path::{Path, PathBuf};

use exchange::{FileError, PlanLock, Seen};
use plan::Plan;

use crate::cli::CliError;
use crate::demo;
use crate::jobs::Progress;
use crate::land;
use crate::on_file;
use crate::salvage::{self, Spare};
use crate::session::Session;

/// A demo field, ready to work on; it has no file yet.
pub fn demo_session(plan: Result<Plan, FileError>) -> Result<Session, CliError> {
    let plan = plan.map_err(|error| CliError::Argument(format!("the demo field: {error}")))?;
    let land = land::open_plan(&plan, None, &Progress::default());
    let land = land.map_err(|error| CliError::Argument(format!("the demo field's ground: {error}")))?;
    Ok(Session::new(plan, None, land))
}

/// A plan file with its ground. A ground that cannot be read is told, not fatal: the plan opens without it.
pub struct Opened {
    /// The session.
    pub session: Session,
    /// What should be told.
    pub told: Option<String>,
    /// What the plan file held when it was read.
    pub seen: Option<Seen>,
    /// The plan that was in it.
    pub base: Option<Plan>,
    /// The kept work or backup that the plan was taken up from.
    pub taken_up: Option<PathBuf>,
}

/// A plan file that cannot be read, and what lies beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Damaged {
    /// The file.
    pub path: PathBuf,
    /// Why it cannot be read.
    pub why: String,
    /// Backup and autosave, as far as they are there.
    pub spares: Vec<Spare>,
}

/// What came of opening a plan file.
pub enum Landing {
    /// The plan.
    Plan(Box<Opened>),
    /// It cannot be read.
    Damaged(Damaged),
}

impl From<Opened> for Landing {
    fn from(opened: Opened) -> Self {
        Self::Plan(Box::new(opened))
    }
}

/// Opens a plan file; where it cannot be read, tells what could stand in for it.
pub fn land(path: &Path, progress: &Progress) -> Result<Landing, FileError> {
    match open(path, progress) {
        Ok(opened) => Ok(opened.into()),
        Err(FileError::Stopped) => Err(FileError::Stopped),
        Err(error) => {
            let (path, why) = (path.to_path_buf(), error.to_string());
            Ok(Landing::Damaged(Damaged { spares: salvage::beside(&path), path, why }))
        }
    }
}

/// Opens a plan file.
pub fn open(path: &Path, progress: &Progress) -> Result<Opened, FileError> {
    let (mut plan, seen) = exchange::read_plan_seen(path)?;
    name_whole(&mut plan, path);
    let base = Some(plan.clone());
    let opened = opened(plan, Some(path.to_path_buf()), progress)?;
    Ok(Opened { seen: Some(seen), base, ..opened })
}

/// Reads a plan file as it is while it is open: its ground has a whole path.
pub fn read_whole(path: &Path) -> Result<Plan, FileError> {
    let mut plan = exchange::read_plan(path)?;
    name_whole(&mut plan, path);
    Ok(plan)
}

/// While a plan is open its ground has a whole path, so that the plan may be saved anywhere.
pub fn name_whole(plan: &mut Plan, path: &Path) {
    for file in files_of(plan) {
        let beside = path.with_file_name(&file);
        if let Some(whole) = std::path::absolute(beside).ok().filter(|whole| whole.exists()) {
            *file = whole.to_string_lossy().into_owned();
        }
    }
}

/// The ground's file and those of the survey beside it.
fn files_of(plan: &mut Plan) -> impl Iterator<Item = &mut String> {
    let ground = plan.ground.iter_mut().map(|ground| &mut ground.file);
    ground.chain(plan.survey.files.iter_mut().map(|file| &mut file.file))
}

/// A ground file's path as a plan file keeps it: relative where it lies beside or below the plan, whole elsewhere.
pub fn beside(file: &Path, plan: &Path) -> String {
    let whole = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let folder = plan.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let (file, folder) = (whole(file), whole(folder));
    file.strip_prefix(&folder).unwrap_or(&file).to_string_lossy().into_owned()
}

/// So many windows keep work on plans without a file at once.
const MOST_WINDOWS: usize = 20;

/// Files that lie beside a ground file and belong to it.
const COMPANIONS: [&str; 5] = ["prj", "shx", "dbf", "cpg", "tfw"];

/// Names the plan's ground and levels as lying beside it and answers them with their companions, so that a folder is
/// whole; what cannot be read keeps its path. `home` is where relative paths count from.
pub fn gathered(plan: &mut Plan, home: Option<&Path>) -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<(String, Vec<u8>)> = Vec::new();
    for (i, file) in files_of(plan).enumerate() {
        let path = home.map_or_else(|| PathBuf::from(&*file), |home| home.join(&*file));
        let built_in = || demo::ground_bytes(file).or(demo::level_bytes(file)).map(<[u8]>::to_vec);
        let Some(bytes) = std::fs::read(&path).ok().or_else(built_in) else { continue };
        let own = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let name = if all.iter().any(|(other, _)| *other == own) { format!("{i}-{own}") } else { own };
        let beside = COMPANIONS.iter().filter_map(|ending| {
            let bytes = std::fs::read(path.with_extension(ending)).ok()?;
            Some((Path::new(&name).with_extension(ending).to_string_lossy().into_owned(), bytes))
        });
        all.extend(beside);
        all.push((name.clone(), bytes));
        *file = name;
    }
    all
}

fn opened(plan: Plan, path: Option<PathBuf>, progress: &Progress) -> Result<Opened, FileError> {
    let (land, told) = match land::open_plan(&plan, path.as_deref().and_then(Path::parent), progress) {
        Err(FileError::Stopped) => return Err(FileError::Stopped),
        Ok(land) => (land, None),
        Err(error) => (None, Some(format!("The plan is open, its ground is not. {error}"))),
    };
    Ok(Opened { session: Session::new(plan, path, land), told, seen: None, base: None, taken_up: None })
}

/// Opens kept work or a backup, which belongs to the plan file at `path` if it has one.
pub fn take_up(kept: &Path, path: Option<PathBuf>, progress: &Progress) -> Result<Opened, FileError> {
    let plan = read_whole(kept)?;
    let seen = path.as_deref().map(Seen::at).transpose()?.flatten();
    let base = path.as_deref().and_then(|path| read_whole(path).ok());
    let mut opened = opened(plan, path, progress)?;
    opened.session.mark_unsaved();
    let back = format!("What was kept in {} is back. Save it to keep it.", kept.display());
    let told = opened.told.or(Some(back));
    Ok(Opened { told, seen, base, taken_up: Some(kept.to_path_buf()), ..opened })
}

/// Saves a plan, and answers by what the file is known now; ground and levels of a demo field are written beside it, so
/// that the folder is complete. What is no plan that can be read is no backup either: it is put aside under a name of its
/// own, and the backup stays.
pub fn save(plan: &Plan, path: &Path) -> Result<Seen, FileError> {
    let ground = plan.ground.iter().filter_map(|ground| Some((&ground.file, demo::ground_bytes(&ground.file)?)));
    let levels = plan.survey.files.iter().filter_map(|file| Some((&file.file, demo::level_bytes(&file.file)?)));
    for (name, bytes) in ground.chain(levels) {
        let beside = path.with_file_name(name);
        if !beside.exists() {
            exchange::replace_file(&beside, bytes, false)?;
        }
    }
    let mut written = plan.clone();
    for file in files_of(&mut written).filter(|file| Path::new(file).is_absolute()) {
        *file = beside(Path::new(&file), path);
    }
    let text = exchange::plan_text(&written)?;
    let is_damaged = path.exists() && exchange::read_plan(path).is_err();
    if is_damaged {
        let cannot = |source| FileError::Write { path: path.display().to_string(), source };
        std::fs::copy(path, damaged_path(path)).map_err(cannot)?;
    }
    exchange::replace_file(path, text.as_bytes(), !is_damaged)?;
    Ok(Seen::of(text.as_bytes()))
}

/// True where both name one file.
pub fn is_same(one: &Path, other: &Path) -> bool {
    one == other || one.canonicalize().ok().zip(other.canonicalize().ok()).is_some_and(|(a, b)| a == b)
}

/// Where a plan file that cannot be read is put aside: `block.drain.damaged`, then with a number.
pub fn damaged_path(path: &Path) -> PathBuf {
    let named = |end: &str| {
        let mut name = path.as_os_str().to_owned();
        name.push(end);
        PathBuf::from(name)
    };
    let numbered = (2..).map(|n| named(&format!(".damaged-{n}")));
    std::iter::once(named(".damaged")).chain(numbered).find(|path| !path.exists()).unwrap_or_default()
}

/// A free name beside a plan for another of its states: `block-mine.drain`, then with a number.
pub fn free_beside(path: &Path, what: &str) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let named = |end: String| path.with_file_name(format!("{stem}-{what}{end}.{}", exchange::PLAN_EXTENSION));
    let numbered = (2..).map(|n| named(format!("-{n}")));
    std::iter::once(named(String::new())).chain(numbered).find(|path| !path.exists()).unwrap_or_default()
}

/// Where work on a plan without a file is kept until it is saved: a place that no other window uses, one with work of
/// last time first.
pub fn unsaved_slot() -> Option<(PathBuf, PlanLock)> {
    let folders = directories::ProjectDirs::from("", "", "drainwright")?;
    // A folder that cannot be made shows when work is to be kept there.
    let _ = std::fs::create_dir_all(folders.data_local_dir());
    slot_in(folders.data_local_dir())
}

fn slot_in(folder: &Path) -> Option<(PathBuf, PlanLock)> {
    let name = |n: usize| if n == 1 { "unsaved.drain".into() } else { format!("unsaved-{n}.drain") };
    let mut slots: Vec<PathBuf> = (1..=MOST_WINDOWS).map(|n| folder.join(name(n))).collect();
    slots.sort_by_key(|path| !path.exists());
    slots.into_iter().find_map(|path| on_file::reach(&path).ok().map(|lock| (path, lock)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Work on plans without a file: no window uses another's place, and work of last time is met first.
    #[test]
    fn no_window_keeps_work_where_another_does() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("unsaved-3.drain"), "work of last time").unwrap();
        let slots: Vec<_> = (0..3).filter_map(|_| slot_in(folder.path())).collect();
        let names: Vec<String> = slots.iter().map(|(path, _)| crate::apply::file_name(path)).collect();
        assert_eq!(names, ["unsaved-3.drain", "unsaved.drain", "unsaved-2.drain"]);
    }

    #[test]
    fn a_name_beside_is_one_that_is_free() {
        let folder = tempfile::tempdir().unwrap();
        let plan = folder.path().join("block.drain");
        assert_eq!(free_beside(&plan, "mine"), folder.path().join("block-mine.drain"));
        std::fs::write(folder.path().join("block-mine.drain"), "").unwrap();
        assert_eq!(free_beside(&plan, "mine"), folder.path().join("block-mine-2.drain"));
        std::fs::write(folder.path().join("block.drain.damaged"), "").unwrap();
        assert_eq!(damaged_path(&plan), folder.path().join("block.drain.damaged-2"));
    }
}
