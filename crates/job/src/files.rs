//! Opening and saving: plan, ground and demo fields together.

use std::path::{Path, PathBuf};

use exchange::{FileError, PlanLock, Seen};
use land::Land;
use plan::{Photo, Plan};

use crate::chosen;
use crate::demo;
use crate::on_file;
use crate::photos::{self, PhotoState};
use crate::salvage::{self, Spare};
use crate::{Progress, Session, ground};

/// The name of a plan that nobody named.
pub const UNNAMED: &str = "Unnamed";

/// A demo field, ready to work on; it has no file yet.
pub fn demo_session(plan: Result<Plan, FileError>) -> Result<Session, FileError> {
    let plan = plan?;
    let land = ground::open_plan(&plan, None, &Progress::default())?;
    Ok(Session::new(plan, None, land))
}

/// A plan file with its ground. A ground that cannot be read is told, not fatal: the plan opens without it.
pub struct Opened {
    /// The session.
    pub session: Session,
    /// What should be told.
    pub told: Option<String>,
    /// The ground file, where it lies outside the plan's folder and nobody chose it on this machine.
    pub outside: Option<PathBuf>,
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
    let (mut plan, seen) = read_plan_seen(path)?;
    name_whole(&mut plan, path);
    let base = Some(plan.clone());
    let opened = opened(plan, Some(path.to_path_buf()), progress)?;
    Ok(Opened { seen: Some(seen), base, ..opened })
}

/// Reads a plan file, and what it held; what is hidden in its texts is shown.
pub fn read_plan_seen(path: &Path) -> Result<(Plan, Seen), FileError> {
    let (plan, seen) = exchange::read_plan_seen(path)?;
    Ok((exchange::plain_plan(plan)?, seen))
}

/// The plan of that alone.
pub fn read_plan(path: &Path) -> Result<Plan, FileError> {
    read_plan_seen(path).map(|(plan, _)| plan)
}

/// Reads a plan file as it is while it is open: its ground has a whole path.
pub fn read_whole(path: &Path) -> Result<Plan, FileError> {
    let mut plan = read_plan(path)?;
    name_whole(&mut plan, path);
    Ok(plan)
}

/// While a plan is open its ground has a whole path, so that the plan may be saved anywhere; what may not be read keeps
/// its name.
pub fn name_whole(plan: &mut Plan, path: &Path) {
    let home = chosen::home(path);
    for file in files_of(plan) {
        let Ok(beside) = chosen::may_read(file, Some(&home)) else { continue };
        let whole = std::path::absolute(beside).ok().filter(|whole| whole.exists());
        if let Some(name) = whole.as_deref().and_then(Path::to_str) {
            *file = name.into();
            // Whoever saves the plan elsewhere names it from there.
            chosen::for_this_run(Path::new(name));
        }
    }
}

/// The ground's file, those of the survey beside it and the picture under the plan.
fn files_of(plan: &mut Plan) -> impl Iterator<Item = &mut String> {
    let ground = plan.ground.iter_mut().map(|ground| &mut ground.file);
    let survey = plan.survey.files.iter_mut().map(|file| &mut file.file);
    ground.chain(survey).chain(plan.backdrop.iter_mut().map(|backdrop| &mut backdrop.file))
}

/// A ground file's path as a plan file keeps it: relative where it lies beside or below the plan, whole elsewhere.
pub fn beside(file: &Path, plan: &Path) -> Result<String, FileError> {
    let whole = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let home = chosen::home(plan);
    let folder = if home.as_os_str().is_empty() { Path::new(".") } else { &home };
    let (file, folder) = (whole(file), whole(folder));
    ground::name_kept(file.strip_prefix(&folder).unwrap_or(&file))
}

/// So many windows keep work on plans without a file at once.
const MOST_WINDOWS: usize = 20;

/// Names the plan's ground and levels as lying in the folder `ground` beside it and answers them with their companions, so
/// that a folder is whole; what cannot or may not be read keeps its bare name. `home` is where relative paths count from.
pub fn gathered(plan: &mut Plan, home: Option<&Path>) -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<(String, Vec<u8>)> = Vec::new();
    let mut stems: Vec<String> = Vec::new();
    let mut known: Vec<(String, String)> = Vec::new();
    for file in files_of(plan) {
        if let Some((_, name)) = known.iter().find(|(other, _)| other == file) {
            file.clone_from(name);
            continue;
        }
        let Some(mut own) = with_companions(file, home) else {
            // Where it lies on this machine is nobody's business.
            *file = plan::bare_name(file).into();
            continue;
        };
        // Batches are called after their file: one of the same name lies in a folder of its own and keeps its name.
        let stem = Path::new(&own[0].0).file_stem().unwrap_or_default().to_string_lossy().to_lowercase();
        let count = 1 + stems.iter().filter(|other| **other == stem).count();
        let folder = if count == 1 { "ground/".into() } else { format!("ground/{count}/") };
        own.iter_mut().for_each(|(name, _)| name.insert_str(0, &folder));
        known.push((file.clone(), own[0].0.clone()));
        file.clone_from(&own[0].0);
        stems.push(stem);
        all.append(&mut own);
    }
    all
}

/// A file that is written, by its name.
pub type NamedFile = (String, Vec<u8>);

/// Names the record's photos as lying in the folder `photos` beside the plan, and answers them with their state and the
/// files by name; a photo that cannot or may not be read keeps its bare name.
pub fn gathered_photos(plan: &mut Plan, home: Option<&Path>) -> (Vec<(Photo, PhotoState)>, Vec<NamedFile>) {
    let mut files: Vec<NamedFile> = Vec::new();
    let mut told = Vec::new();
    for photo in &mut plan.record.photos {
        let (state, bytes) = photos::found(photo, home);
        photo.file = bytes
            .as_ref()
            .map_or_else(|| plan::bare_name(&photo.file).into(), |bytes| photo_name(&photo.file, bytes, &files));
        told.push((photo.clone(), state));
        let Some(bytes) = bytes else { continue };
        if !files.iter().any(|(name, _)| *name == photo.file) {
            files.push((photo.file.clone(), bytes));
        }
    }
    (told, files)
}

/// A name in the folder of photos that no other photo has.
fn photo_name(file: &str, bytes: &[u8], taken: &[NamedFile]) -> String {
    let bare: String =
        plan::bare_name(file).chars().map(|c| if measure::is_hidden(c) || c == '\\' { '_' } else { c }).collect();
    let names = (1..).map(|k| if k == 1 { format!("photos/{bare}") } else { format!("photos/{k}/{bare}") });
    let is_free = |name: &String| {
        let other = taken.iter().find(|(other, _)| other.to_lowercase() == name.to_lowercase());
        other.is_none_or(|(other, held)| other == name && held == bytes)
    };
    names.into_iter().find(is_free).unwrap_or_default()
}

/// Most unknown members of a plan that are told one by one.
const MOST_TOLD: usize = 20;

/// What should be known of members of a plan's file that are not known.
pub fn unknown_notes(plan: &Plan) -> Vec<String> {
    let mut notes: Vec<String> = plan.unknown.iter().take(MOST_TOLD).map(plan::Unknown::words).collect();
    if let Some(more) = plan.unknown.len().checked_sub(MOST_TOLD).filter(|more| *more > 0) {
        notes.push(format!("{more} more members of the file are not known and are kept as they are"));
    }
    notes
}

/// A file that a plan names, with its companions, by their bare names, itself first.
fn with_companions(file: &str, home: Option<&Path>) -> Option<Vec<(String, Vec<u8>)>> {
    let path = chosen::may_read(file, home).ok()?;
    let built_in = || demo::ground_bytes(file).or(demo::level_bytes(file)).map(<[u8]>::to_vec);
    let bytes = exchange::read_bytes(&path).ok().or_else(built_in)?;
    let named = |path: &Path| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        name.chars().map(|c| if c.is_control() || c == '\\' { '_' } else { c }).collect::<String>()
    };
    let companions = chosen::companions(&path);
    let read = companions.iter().filter_map(|beside| Some((named(beside), std::fs::read(beside).ok()?)));
    Some(std::iter::once((named(&path), bytes)).chain(read).collect())
}

/// A plan with its ground, as it is opened from `path`.
pub fn opened(mut plan: Plan, path: Option<PathBuf>, progress: &Progress) -> Result<Opened, FileError> {
    path.iter().for_each(|path| name_whole(&mut plan, path));
    let home = path.as_deref().map(chosen::home);
    let land = match ground::open_plan(&plan, home.as_deref(), progress) {
        Err(FileError::Stopped) => return Err(FileError::Stopped),
        land => land,
    };
    let left_out = land.iter().flat_map(|land| &land.left_out).next();
    let lacking = match &land {
        Err(error) => Some(format!("The plan is open, its ground is not: {error}. {}", ground::WITHOUT_GROUND)),
        Ok(_) => left_out.map(|left_out| format!("{}. {}", left_out.why, ground::WITHOUT_LEVELS)),
    };
    let unknown = unknown_notes(&plan).into_iter().map(|note| format!("{note}."));
    let told = lacking.into_iter().chain(unknown).reduce(|all, more| format!("{all} {more}"));
    let is_outside = matches!(land, Err(FileError::Outside { .. }));
    let ground = plan.ground.as_ref().map(|ground| home.unwrap_or_default().join(&ground.file));
    let outside = ground.filter(|file| is_outside && file.is_file());
    let session = Session::new(plan, path, land.unwrap_or_else(|_| Land::without_ground()));
    Ok(Opened { session, told, outside, seen: None, base: None, taken_up: None })
}

/// Opens kept work or a backup, which belongs to the plan file at `path` if it has one.
pub fn recover(kept: &Path, path: Option<PathBuf>, progress: &Progress) -> Result<Opened, FileError> {
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
    write(plan, path, |text| exchange::replace_file(path, text, true))
}

/// Saves a plan where another file may lie, which is kept.
pub fn save_over(plan: &Plan, path: &Path) -> Result<Seen, FileError> {
    write(plan, path, |text| exchange::replace_anothers(path, text))
}

fn write(plan: &Plan, path: &Path, replace: impl FnOnce(&[u8]) -> Result<(), FileError>) -> Result<Seen, FileError> {
    let text = exchange::plan_text(&placed(plan, path)?)?;
    if path.exists() && exchange::read_plan(path).is_err() {
        let cannot = |source| FileError::Write { path: path.display().to_string(), source };
        std::fs::copy(path, damaged_path(path)).map_err(cannot)?;
        exchange::replace_file(path, text.as_bytes(), false)?;
    } else {
        replace(text.as_bytes())?;
    }
    Ok(Seen::of(text.as_bytes()))
}

/// The plan as it names its files from `path`, with those of a demo field written there.
fn placed(plan: &Plan, path: &Path) -> Result<Plan, FileError> {
    let ground = plan.ground.iter().filter_map(|ground| Some((&ground.file, demo::ground_bytes(&ground.file)?)));
    let levels = plan.survey.files.iter().filter_map(|file| Some((&file.file, demo::level_bytes(&file.file)?)));
    for (name, bytes) in ground.chain(levels) {
        let beside = chosen::home(path).join(name);
        if !beside.exists() {
            exchange::replace_file(&beside, bytes, false)?;
        }
    }
    let mut written = plan.clone();
    for file in files_of(&mut written).filter(|file| Path::new(file).is_absolute()) {
        let was_chosen = chosen::was_chosen(Path::new(&file));
        *file = beside(Path::new(&file), path)?;
        if was_chosen && Path::new(&file).is_absolute() {
            chosen::remember(Path::new(&file));
        }
    }
    Ok(written)
}

/// The user's folder for what the program remembers.
pub fn data_folder() -> Option<PathBuf> {
    let folders = directories::ProjectDirs::from("", "", "drainwright")?;
    Some(folders.data_local_dir().to_path_buf())
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
    let folder = data_folder()?;
    // A folder that cannot be made shows when work is to be kept there.
    let _ = std::fs::create_dir_all(&folder);
    slot_in(&folder)
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
        let names: Vec<String> =
            slots.iter().map(|(path, _)| path.file_name().unwrap().to_string_lossy().into_owned()).collect();
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
