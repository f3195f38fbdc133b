//! A plan on the command line: read with its ground, and written again only where nothing of another's is lost.

use std::path::{Path, PathBuf};

use exchange::{FileError, PATIENCE, PlanLock, Seen};
use plan::{Edit, Plan};

use super::{CliError, complain};
use job::Progress;
use job::ground;
use job::salvage;
use job::sparing::is_itself;
use job::{chosen, clock, files};
use land::Land;

/// A plan file with its land.
pub struct OpenPlan {
    /// The plan.
    pub plan: Plan,
    /// The land it lies on.
    pub land: Land,
    /// Where it comes from.
    pub source: Source,
}

/// The file that a plan comes from, as it was read.
pub struct Source {
    path: PathBuf,
    seen: Seen,
    /// Held from reading to writing.
    lock: Option<PlanLock>,
}

/// Opens a plan to look at it.
pub fn open(path: &Path) -> Result<OpenPlan, CliError> {
    open_with(path, None)
}

/// Opens a plan; where it is to be changed nobody else changes it until that is done.
pub fn open_to(path: &Path, change: bool) -> Result<OpenPlan, CliError> {
    let lock = change.then(|| lock(path)).transpose()?;
    open_with(path, lock)
}

fn open_with(path: &Path, lock: Option<PlanLock>) -> Result<OpenPlan, CliError> {
    let (plan, seen) = files::read_plan_seen(path).map_err(|error| unread(path, error))?;
    files::unknown_notes(&plan).iter().for_each(|note| complain(format_args!("{}: {note}", path.display())));
    let land = land_of(&plan, path);
    Ok(OpenPlan { plan, land, source: Source { path: path.to_path_buf(), seen, lock } })
}

/// The ground that a plan names. Ground or levels that cannot be read are told on standard error, with what that does.
fn land_of(plan: &Plan, path: &Path) -> Land {
    let file = plan.ground.as_ref().map(|reference| PathBuf::from(&reference.file)).unwrap_or_default();
    let land = ground::open_plan(plan, Some(&chosen::home(path)), &Progress::default());
    let land = land.unwrap_or_else(|error| {
        complain(format_args!("{}\n{}", CliError::file(&file, error), ground::WITHOUT_GROUND));
        Land::without_ground()
    });
    for left_out in &land.left_out {
        complain(format_args!("{}\n{}", left_out.why, ground::WITHOUT_LEVELS));
    }
    land
}

/// Why a plan could not be read, and what lies beside it.
fn unread(path: &Path, error: FileError) -> CliError {
    CliError::Argument(format!("{}{}", CliError::file(path, error), salvage::advice(path)))
}

/// Holds a plan file, so that nobody else writes it.
pub fn lock(path: &Path) -> Result<PlanLock, CliError> {
    PlanLock::wait(path, &clock::who("another command"), PATIENCE).map_err(|error| CliError::file(path, error))
}

/// Makes an edit in a plan file and saves it, held from reading to writing; answers the plan as it is then.
pub fn change(path: &Path, edit: impl FnOnce(&Plan) -> Result<Option<Edit>, CliError>) -> Result<Plan, CliError> {
    let lock = Some(lock(path)?);
    let (mut plan, seen) = files::read_plan_seen(path).map_err(|error| unread(path, error))?;
    if let Some(edit) = edit(&plan)? {
        plan.apply(&edit)?;
        Source { path: path.to_path_buf(), seen, lock }.save(&plan)?;
    }
    Ok(plan)
}

impl Source {
    /// The file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Saves a plan over the file it was read from.
    pub fn save(&self, plan: &Plan) -> Result<(), CliError> {
        self.write(&self.path, || exchange::save_plan(plan, &self.path))
    }

    /// Writes a plan where nobody else is writing, and over the file it was read from only while that is as it was.
    pub fn write(&self, to: &Path, write: impl FnOnce() -> Result<(), FileError>) -> Result<(), CliError> {
        let own = is_itself(&self.path, to);
        let _lock = if own && self.lock.is_some() { None } else { Some(lock(to)?) };
        let free = if own { self.seen.still_at(to) } else { Ok(()) };
        free.and_then(|()| write()).map_err(|error| CliError::file(to, error))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A program that heeds no lock writes between reading and saving: its work stays.
    #[test]
    fn what_another_wrote_since_is_not_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.drain");
        let plan = Plan::new("First", measure::Units::Feet);
        exchange::save_plan(&plan, &path).unwrap();
        let open = open_to(&path, true).unwrap_or_else(|error| panic!("{error}"));
        let theirs = Plan::new("Theirs", measure::Units::Feet);
        std::fs::write(&path, exchange::plan_text(&theirs).unwrap()).unwrap();
        let error = open.source.save(&open.plan).unwrap_err().to_string();
        assert!(error.contains("a.drain was changed by another program since it was read"), "{error}");
        assert_eq!(exchange::read_plan(&path).unwrap(), theirs);
        let elsewhere = folder.path().join("b.drain");
        open.source.write(&elsewhere, || exchange::save_plan(&open.plan, &elsewhere)).unwrap();
        assert_eq!(exchange::read_plan(&elsewhere).unwrap(), plan);
    }

    /// Opening to look waits for nobody; opening to change does, and what is held ends with it.
    #[test]
    fn only_those_who_change_a_plan_wait_for_each_other() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.drain");
        exchange::save_plan(&Plan::new("First", measure::Units::Feet), &path).unwrap();
        let held = open_to(&path, true).unwrap_or_else(|error| panic!("{error}"));
        assert!(open(&path).is_ok());
        assert!(matches!(PlanLock::take(&path, exchange::Grip::Change, "me"), exchange::Taken::Theirs(_)));
        drop(held);
        assert!(matches!(PlanLock::take(&path, exchange::Grip::Change, "me"), exchange::Taken::Ours(_)));
    }
}
