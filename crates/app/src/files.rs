//! Opening and saving: plan, ground and demo fields together.

use std::path::{Path, PathBuf};

use exchange::FileError;
use plan::Plan;

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
}

/// Opens a plan file.
pub fn open(path: &Path, progress: &Progress) -> Result<Opened, FileError> {
    let mut plan = exchange::read_plan(path)?;
    name_whole(&mut plan, path);
    opened(plan, Some(path.to_path_buf()), progress)
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

fn opened(plan: Plan, path: Option<PathBuf>, progress: &Progress) -> Result<Opened, FileError> {
    match land::open_plan(&plan, path.as_deref().and_then(Path::parent), progress) {
        Err(FileError::Stopped) => Err(FileError::Stopped),
        Ok(land) => Ok(Opened { session: Session::new(plan, path, land), told: None }),
        Err(error) => {
            let told = format!("The plan is open, its ground is not. {error}");
            Ok(Opened { session: Session::new(plan, path, None), told: Some(told) })
        }
    }
}

/// Opens work that a crash left behind, which belongs to the plan file at `path` if it has one.
pub fn take_up(kept: &Path, path: Option<PathBuf>, progress: &Progress) -> Result<Opened, FileError> {
    let mut opened = opened(exchange::read_plan(kept)?, path, progress)?;
    opened.session.mark_unsaved();
    opened.told = opened.told.or_else(|| Some("The work of last time is back. Save it to keep it.".into()));
    Ok(opened)
}

/// Saves a plan; ground and levels of a demo field are written beside it, so that the folder is complete.
pub fn save(plan: &Plan, path: &Path) -> Result<(), FileError> {
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
    exchange::save_plan(&written, path)
}

/// Where work on a plan without a file is kept until it is saved.
pub fn unsaved_path() -> Option<PathBuf> {
    let folders = directories::ProjectDirs::from("", "", "drainwright")?;
    Some(folders.data_local_dir().join("unsaved.drain"))
}
