//! The plan file: JSON with a version number, SI units, coordinate system and datum stated.
//!
//! A save never endangers what is on disk: the new text goes to a temporary file in the same folder, is synced, and
//! takes the old file's name in one step; the old file stays as `NAME.bak`.

use std::fs::{self, File};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use plan::Plan;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::FileError;

/// Version written today. Older files are brought up by [`UPGRADES`]; newer ones are refused.
pub const PLAN_VERSION: u64 = 5;

/// Extension of plan files.
pub const PLAN_EXTENSION: &str = "drain";

/// Largest plan file that is read, bytes.
const LARGEST: u64 = 200 << 20;

const FORMAT: &str = "drainwright plan";
const UNITS: &str = "metres, grades as ratios; coordinates are those of the ground's system times its unit";

/// Steps from version n to n + 1, oldest first. Each changes the JSON of the plan in place.
const UPGRADES: [fn(&mut Value); 4] = [with_survey_book, with_roughness_by_wall, with_landmarks, with_staking];

/// Version 2 holds what is known of the survey; programs of version 1 would drop its corrections without a word.
fn with_survey_book(plan: &mut Value) {
    if let Some(plan) = plan.as_object_mut() {
        plan.entry("survey").or_insert_with(|| Value::Object(serde_json::Map::new()));
    }
}

/// Version 3 keeps a roughness for each wall and size; the one that older plans had was that of small corrugated pipe.
fn with_roughness_by_wall(plan: &mut Value) {
    let criteria = plan.get_mut("criteria").and_then(Value::as_object_mut);
    if let Some((criteria, n)) = criteria.and_then(|criteria| criteria.remove("roughness_n").map(|n| (criteria, n))) {
        criteria.insert("roughness".into(), serde_json::json!({ "corrugated_to_8_in": n }));
    }
}

/// Version 4 holds marks on the land, prices, findings left and sheets issued; programs of version 3 would drop them
/// without a word.
fn with_landmarks(plan: &mut Value) {
    if let Some(plan) = plan.as_object_mut() {
        plan.entry("landmarks").or_insert_with(|| Value::Object(serde_json::Map::new()));
    }
}

/// Version 5 keeps the way from stake to stake, which older programs took from the unit of display; theirs are kept.
fn with_staking(plan: &mut Value) {
    let is_metric = plan.pointer("/title/units").and_then(Value::as_str) == Some("metric");
    let staking_m = if is_metric { 15.0 } else { 50.0 * measure::FOOT_M };
    if let Some(plan) = plan.as_object_mut() {
        let criteria = plan.entry("criteria").or_insert_with(|| Value::Object(serde_json::Map::new()));
        criteria.as_object_mut().into_iter().for_each(|criteria| {
            criteria.entry("staking_m").or_insert(serde_json::json!(staking_m));
        });
    }
}

#[derive(Serialize)]
struct Written<'a> {
    format: &'static str,
    version: u64,
    units: &'static str,
    crs: &'a str,
    datum: &'a str,
    caution: &'static str,
    plan: &'a Plan,
}

#[derive(Deserialize)]
struct Read {
    format: String,
    version: u64,
    plan: Value,
}

/// The text of a plan file; the same plan gives the same bytes.
pub fn plan_text(plan: &Plan) -> Result<String, FileError> {
    let ground = plan.ground.as_ref();
    let written = Written {
        format: FORMAT,
        version: PLAN_VERSION,
        units: UNITS,
        crs: ground.map_or("not stated", |g| &g.crs),
        datum: ground.filter(|g| !g.datum.is_empty()).map_or("not stated", |g| &g.datum),
        caution: plan::CAUTION,
        plan,
    };
    let mut text = serde_json::to_string_pretty(&written)
        .map_err(|error| FileError::malformed("the plan", error.to_string(), "numbers that JSON can hold"))?;
    text.push('\n');
    Ok(text)
}

/// Reads the text of a plan file of any version up to [`PLAN_VERSION`].
pub fn plan_from_text(text: &str) -> Result<Plan, FileError> {
    let read: Read = serde_json::from_str(text).map_err(json_error)?;
    if read.format != FORMAT {
        return Err(FileError::malformed("member 'format'", read.format, FORMAT));
    }
    let first = PLAN_VERSION - UPGRADES.len() as u64;
    if !(first..=PLAN_VERSION).contains(&read.version) {
        let expected = format!("a plan of version {first} to {PLAN_VERSION}");
        return Err(FileError::Unsupported { found: format!("version {}", read.version), expected });
    }
    let mut value = read.plan;
    for upgrade in &UPGRADES[(read.version - first) as usize..] {
        upgrade(&mut value);
    }
    let plan: Plan = serde_json::from_value(value)
        .map_err(|error| FileError::malformed("member 'plan'", error.to_string(), "the parts of a plan"))?;
    plan.validate().map_err(|error| FileError::malformed(error.place, error.found, error.expected))?;
    Ok(plan)
}

fn json_error(error: serde_json::Error) -> FileError {
    let place = format!("line {}, column {}", error.line(), error.column());
    FileError::malformed(place, error.to_string(), "a plan file in JSON")
}

/// Reads a plan file.
pub fn read_plan(path: &Path) -> Result<Plan, FileError> {
    plan_from_text(&plan_file_text(path)?)
}

/// The text of a file that may be a plan.
pub(crate) fn plan_file_text(path: &Path) -> Result<String, FileError> {
    let size = fs::metadata(path).map_err(|e| cannot_read(path, e))?.len();
    if size > LARGEST {
        return Err(FileError::TooLarge { found: format!("{size} bytes"), limit: format!("{LARGEST} bytes") });
    }
    fs::read_to_string(path).map_err(|e| cannot_read(path, e))
}

fn cannot_read(path: &Path, source: std::io::Error) -> FileError {
    FileError::Io { path: path.display().to_string(), source }
}

/// Saves a plan; the file that was there stays as its backup.
pub fn save_plan(plan: &Plan, path: &Path) -> Result<(), FileError> {
    let text = plan_text(plan)?;
    replace_file(path, text.as_bytes(), true)
}

/// The backup of a plan file.
pub fn backup_path(path: &Path) -> PathBuf {
    with_suffix(path, ".bak")
}

/// Where unsaved work on a plan file is kept until it is saved.
pub fn autosave_path(path: &Path) -> PathBuf {
    with_suffix(path, ".autosave")
}

fn with_suffix(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

/// Writes a whole file in one step: temporary file, sync, rename. With `keep_old` the former file becomes `NAME.bak`.
pub fn replace_file(path: &Path, bytes: &[u8], keep_old: bool) -> Result<(), FileError> {
    // The process number keeps two programs that save at once from writing into each other's temporary file.
    let fresh = with_suffix(path, &format!(".{}.tmp", std::process::id()));
    let done = write_synced(&fresh, bytes)
        .and_then(|()| if keep_old { keep_backup(path) } else { Ok(()) })
        .and_then(|()| fs::rename(&fresh, path))
        .and_then(|()| sync_folder(path));
    done.map_err(|error| {
        // Best effort: the save has failed already and that is what is told.
        let _ = fs::remove_file(&fresh);
        FileError::Write { path: path.display().to_string(), source: error }
    })
}

fn write_synced(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = File::create(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Gives the present file a second name, `NAME.bak`, in one step, so that at no moment either is missing.
fn keep_backup(path: &Path) -> std::io::Result<()> {
    let backup = backup_path(path);
    let step = with_suffix(&backup, &format!(".{}.tmp", std::process::id()));
    // A killed save of a process of the same number may have left the step as a second name of the plan itself:
    // copying onto it would empty the plan.
    remove_if_there(&step)?;
    let linked = fs::hard_link(path, &step).or_else(|error| match error.kind() {
        ErrorKind::NotFound => Err(error),
        // Some file systems have no hard links.
        _ => fs::copy(path, &step).map(|_| ()),
    });
    match linked {
        // Where both are names of one file already, the rename does nothing and leaves the step.
        Ok(()) => fs::rename(&step, &backup).and_then(|()| remove_if_there(&step)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error),
    }
}

fn remove_if_there(path: &Path) -> std::io::Result<()> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

/// Makes the rename itself durable where the system can.
fn sync_folder(path: &Path) -> std::io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::{Point, Units};
    use plan::{Line, LineKind};

    fn sketch() -> Plan {
        let mut plan = Plan::new("Sketch", Units::Feet);
        let line = Line::new("L1", LineKind::Lateral, vec![Point::new(0.1, 0.2), Point::new(33.3, 44.4)]);
        let (_, edit) = plan::add_line(&plan, line);
        plan.apply(&edit).unwrap();
        plan
    }

    #[test]
    fn a_plan_comes_back_as_it_was() {
        let text = plan_text(&sketch()).unwrap();
        assert_eq!(plan_from_text(&text).unwrap(), sketch());
        assert_eq!(plan_text(&plan_from_text(&text).unwrap()).unwrap(), text);
    }

    /// What pipe is made of is kept where it was entered, and is no part of a file where it was not.
    #[test]
    fn the_material_of_new_pipe_is_kept() {
        let plain = plan_text(&sketch()).unwrap();
        assert!(!plain.contains("material"));
        let mut plan = sketch();
        plan.lines.values_mut().for_each(|line| line.bed.material = plan::Material::Metal);
        let text = plan_text(&plan).unwrap();
        assert!(text.contains("\"material\": \"metal\""));
        assert_eq!(plan_from_text(&text).unwrap(), plan);
    }

    /// A file as version 1 wrote it.
    #[test]
    fn the_first_version_opens_forever() {
        let plan = plan_from_text(include_str!("../tests/plans/version-1.drain")).unwrap();
        assert_eq!((plan.title.name.as_str(), plan.lines.len(), plan.survey.is_empty()), ("Larkmoor Bench", 5, true));
        assert!(plan_text(&plan).unwrap().contains("\"version\": 5"));
    }

    /// A file as version 2 wrote it, with the one roughness it had changed by hand.
    #[test]
    fn the_second_version_opens_forever() {
        let plan = plan_from_text(include_str!("../tests/plans/version-2.drain")).unwrap();
        assert_eq!((plan.title.name.as_str(), plan.lines.len()), ("Larkmoor Bench", 5));
        assert_eq!(plan.criteria.roughness.corrugated_to_8_in, 0.016);
        assert_eq!(plan.criteria.roughness.smooth, plan::Roughness::default().smooth);
    }

    /// A file as version 3 wrote it.
    #[test]
    fn the_third_version_opens_forever() {
        let plan = plan_from_text(include_str!("../tests/plans/version-3.drain")).unwrap();
        assert_eq!((plan.title.name.as_str(), plan.lines.len(), plan.landmarks.len()), ("Larkmoor Bench", 5, 0));
        assert!(plan.outlets.values().all(|outlet| outlet.guard && outlet.rigid), "new outlets have them");
    }

    /// A file as version 4 wrote it: stakes as far apart as its unit made them then.
    #[test]
    fn the_fourth_version_opens_forever() {
        let text = include_str!("../tests/plans/version-4.drain");
        let plan = plan_from_text(text).unwrap();
        assert!(text.contains("\"version\": 4"));
        assert_eq!((plan.title.name.as_str(), plan.lines.len(), plan.landmarks.len()), ("Larkmoor Bench", 5, 5));
        assert_eq!(plan.criteria.staking_m, plan_from_text(&plan_text(&plan).unwrap()).unwrap().criteria.staking_m);
    }

    #[test]
    fn foreign_future_and_broken_files_are_told_apart() {
        let text = plan_text(&sketch()).unwrap();
        let foreign = text.replace(FORMAT, "soup recipe");
        assert!(plan_from_text(&foreign).unwrap_err().to_string().contains("soup recipe"));
        let future = text.replace("\"version\": 5", "\"version\": 99");
        assert!(matches!(plan_from_text(&future), Err(FileError::Unsupported { .. })));
        let cut = &text[..text.len() / 2];
        assert!(plan_from_text(cut).unwrap_err().to_string().contains("line"));
        let nowhere = text.replace("33.3", "1e300");
        assert!(plan_from_text(&nowhere).unwrap_err().to_string().contains("line L1"));
    }

    #[test]
    fn saving_keeps_the_former_file_as_backup() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.drain");
        let first = sketch();
        save_plan(&first, &path).unwrap();
        let mut second = first.clone();
        second.title.name = "Second".into();
        save_plan(&second, &path).unwrap();
        assert_eq!(read_plan(&path).unwrap(), second);
        assert_eq!(read_plan(&backup_path(&path)).unwrap(), first);
        let names = fs::read_dir(folder.path()).unwrap().count();
        assert_eq!(names, 2, "temporary files stay behind");
    }

    /// A kill between linking and renaming leaves the step as a second name of the plan; a later process may have the
    /// same number. What is met there must not be written into.
    #[test]
    fn a_step_left_by_a_killed_save_harms_neither_plan_nor_backup() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.drain");
        save_plan(&Plan::new("First", Units::Metric), &path).unwrap();
        let step = with_suffix(&backup_path(&path), &format!(".{}.tmp", std::process::id()));
        fs::hard_link(&path, &step).unwrap();
        save_plan(&Plan::new("Second", Units::Metric), &path).unwrap();
        assert_eq!(read_plan(&path).unwrap().title.name, "Second");
        assert_eq!(read_plan(&backup_path(&path)).unwrap().title.name, "First");
        assert!(!step.exists());
    }

    /// A kill before the last rename leaves plan and backup as one file; renaming a file onto itself does nothing.
    #[test]
    fn a_backup_that_is_the_plan_itself_leaves_no_step_behind() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.drain");
        save_plan(&Plan::new("First", Units::Metric), &path).unwrap();
        fs::hard_link(&path, backup_path(&path)).unwrap();
        save_plan(&Plan::new("Second", Units::Metric), &path).unwrap();
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2, "a temporary file stays behind");
        assert_eq!(read_plan(&backup_path(&path)).unwrap().title.name, "First");
    }

    #[test]
    fn a_folder_that_is_not_there_is_named() {
        let error = save_plan(&sketch(), Path::new("/nowhere/at/all/a.drain")).unwrap_err();
        assert!(error.to_string().contains("/nowhere/at/all/a.drain"));
    }
}
