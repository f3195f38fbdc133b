//! Opening and saving: plan, ground and demo fields together.

use std::path::{Path, PathBuf};

use exchange::FileError;
use plan::Plan;

use crate::chosen;
use crate::cli::CliError;
use crate::demo;
use crate::jobs::Progress;
use crate::land;
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
    /// The ground file, where it lies outside the plan's folder and nobody chose it on this machine.
    pub outside: Option<PathBuf>,
}

/// Opens a plan file.
pub fn open(path: &Path, progress: &Progress) -> Result<Opened, FileError> {
    opened(read_plan(path)?, Some(path.to_path_buf()), progress)
}

/// Reads a plan file; what is hidden in its texts is shown.
pub fn read_plan(path: &Path) -> Result<Plan, FileError> {
    exchange::plain_plan(exchange::read_plan(path)?)
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

/// The ground's file and those of the survey beside it.
fn files_of(plan: &mut Plan) -> impl Iterator<Item = &mut String> {
    let ground = plan.ground.iter_mut().map(|ground| &mut ground.file);
    ground.chain(plan.survey.files.iter_mut().map(|file| &mut file.file))
}

/// A ground file's path as a plan file keeps it: relative where it lies beside or below the plan, whole elsewhere.
pub fn beside(file: &Path, plan: &Path) -> Result<String, FileError> {
    let whole = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let home = chosen::home(plan);
    let folder = if home.as_os_str().is_empty() { Path::new(".") } else { &home };
    let (file, folder) = (whole(file), whole(folder));
    land::name_kept(file.strip_prefix(&folder).unwrap_or(&file))
}

/// Names the plan's ground and levels as lying in the folder `ground` beside it and answers them with their companions, so
/// that a folder is whole; what cannot or may not be read keeps its path. `home` is where relative paths count from.
pub fn gathered(plan: &mut Plan, home: Option<&Path>) -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<(String, Vec<u8>)> = Vec::new();
    let mut stems: Vec<String> = Vec::new();
    let mut known: Vec<(String, String)> = Vec::new();
    for file in files_of(plan) {
        if let Some((_, name)) = known.iter().find(|(other, _)| other == file) {
            file.clone_from(name);
            continue;
        }
        let Some(mut own) = read_whole(file, home) else { continue };
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
fn read_whole(file: &str, home: Option<&Path>) -> Option<Vec<(String, Vec<u8>)>> {
    let path = chosen::may_read(file, home).ok()?;
    let built_in = || demo::ground_bytes(file).or(demo::level_bytes(file)).map(<[u8]>::to_vec);
    let bytes = std::fs::read(&path).ok().or_else(built_in)?;
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
    let unknown = unknown_notes(&plan);
    let told = |ground: Option<String>| {
        let all: Vec<String> = ground.into_iter().chain(unknown.iter().map(|note| format!("{note}."))).collect();
        (!all.is_empty()).then(|| all.join(" "))
    };
    match land::open_plan(&plan, home.as_deref(), progress) {
        Err(FileError::Stopped) => Err(FileError::Stopped),
        Ok(land) => {
            let left_out = land.iter().flat_map(|land| &land.sources.left_out).next();
            let told = told(left_out.map(|left_out| format!("{}. {}", left_out.why, land::WITHOUT_LEVELS)));
            Ok(Opened { session: Session::new(plan, path, land), told, outside: None })
        }
        Err(error) => {
            let told = told(Some(format!("The plan is open, its ground is not: {error}. {}", land::WITHOUT_GROUND)));
            let home = home.unwrap_or_default();
            let ground = plan.ground.as_ref().map(|ground| home.join(&ground.file));
            let is_outside = matches!(error, FileError::Outside { .. });
            let outside = ground.filter(|file| is_outside && file.is_file());
            Ok(Opened { session: Session::new(plan, path, None), told, outside })
        }
    }
}

/// Opens work that a crash left behind, which belongs to the plan file at `path` if it has one.
pub fn take_up(kept: &Path, path: Option<PathBuf>, progress: &Progress) -> Result<Opened, FileError> {
    let mut opened = opened(read_plan(kept)?, path, progress)?;
    opened.session.mark_unsaved();
    opened.told = opened.told.or_else(|| Some("The work of last time is back. Save it to keep it.".into()));
    Ok(opened)
}

/// Saves a plan; ground and levels of a demo field are written beside it, so that the folder is complete.
pub fn save(plan: &Plan, path: &Path) -> Result<(), FileError> {
    exchange::save_plan(&placed(plan, path)?, path)
}

/// Saves a plan where another file may lie, which is kept.
pub fn save_over(plan: &Plan, path: &Path) -> Result<(), FileError> {
    exchange::save_plan_over(&placed(plan, path)?, path)
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

/// Where work on a plan without a file is kept until it is saved.
pub fn unsaved_path() -> Option<PathBuf> {
    Some(data_folder()?.join("unsaved.drain"))
}

/// The user's folder for what the program remembers.
pub fn data_folder() -> Option<PathBuf> {
    let folders = directories::ProjectDirs::from("", "", "drainwright")?;
    Some(folders.data_local_dir().to_path_buf())
}
