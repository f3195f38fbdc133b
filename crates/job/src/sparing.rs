//! What an output may be written over: never a plan, a backup, kept work or ground; another file where that is said.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use plan::Plan;

use crate::chosen;

/// Plans in a folder whose ground is looked for (own choice).
const MOST_PLANS: usize = 200;

/// A file that is there already and may be replaced by who says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Met {
    /// Where it is.
    pub path: PathBuf,
    bytes: u64,
    changed: Option<SystemTime>,
}

impl Met {
    /// Its size and the time of its last change.
    pub fn words(&self) -> String {
        let bytes = format!("{} bytes", measure::thousands(self.bytes as f64, 0));
        let since = self.changed.and_then(|at| at.duration_since(UNIX_EPOCH).ok());
        since.map_or(bytes.clone(), |since| format!("{bytes}, changed {} UTC", day_and_time(since.as_secs())))
    }
}

/// Day and time of so many seconds after the beginning of 1970: "2031-04-02 13:04".
fn day_and_time(seconds: u64) -> String {
    let (mut days, minutes) = (seconds / 86_400, seconds % 86_400 / 60);
    let is_leap = |year: u64| year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let mut year = 1970;
    while days >= 365 + u64::from(is_leap(year)) {
        days -= 365 + u64::from(is_leap(year));
        year += 1;
    }
    let mut month = 0;
    let lengths = [31, 28 + u64::from(is_leap(year)), 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    while days >= lengths[month] {
        days -= lengths[month];
        month += 1;
    }
    format!("{year}-{:02}-{:02} {:02}:{:02}", month + 1, days + 1, minutes / 60, minutes % 60)
}

/// The files that a plan names, as it names them.
pub fn named_files(plan: &Plan) -> impl Iterator<Item = &str> {
    let ground = plan.ground.iter().map(|ground| ground.file.as_str());
    let survey = plan.survey.files.iter().map(|file| file.file.as_str());
    ground.chain(survey).chain(plan.backdrop.iter().map(|backdrop| backdrop.file.as_str()))
}

/// The plan file, every file that the plan is made from, and the photos of its record.
pub fn own_files(plan: &Plan, file: Option<&Path>) -> Vec<PathBuf> {
    let home = file.map(chosen::home).unwrap_or_default();
    let of = |name: &str| home.join(name);
    let photos = plan.record.photos.iter().map(|photo| photo.file.as_str());
    named_files(plan).chain(photos).map(of).chain(file.map(Path::to_path_buf)).collect()
}

/// What an output would be written over; `own` is what it comes from. Refused, in words, where that must never go:
/// `makes_plan` is true for the output that is a plan itself, and keeps a plan that it replaces.
pub fn look(output: &Path, own: &[PathBuf], makes_plan: bool) -> Result<Option<Met>, String> {
    let never = |what: &str| Err(format!("{}: found {what}, expected another name to write to", output.display()));
    let real = exchange::real_path(output).unwrap_or_else(|_| output.to_path_buf());
    if let Some(what) = kept(output).or(kept(&real)) {
        return never(what);
    }
    let folder = folder_of(&real);
    if !folder.is_dir() {
        let folder = folder.display();
        return Err(format!("{}: found no folder {folder}, expected one that is there", output.display()));
    }
    let Ok(there) = fs::metadata(output) else { return Ok(None) };
    if let Some(what) = exchange::no_file(&there) {
        return never(what);
    }
    if !makes_plan && exchange::is_plan(output) {
        return never("a plan");
    }
    let belongs =
        |file: &PathBuf| is_same(file, output) || chosen::companions(file).iter().any(|f| is_same(f, output));
    if own.iter().any(belongs) {
        return never("a file that the plan is made from");
    }
    if neighbours(&real).iter().any(belongs) {
        return never("a file that another plan in its folder is made from");
    }
    Ok(Some(Met { path: output.to_path_buf(), bytes: there.len(), changed: there.modified().ok() }))
}

/// What a file is kept for, by its name.
fn kept(path: &Path) -> Option<&'static str> {
    let name = path.file_name()?.to_string_lossy().to_lowercase();
    let unnumbered = name.rsplit_once('.').filter(|(_, number)| number.parse::<u32>().is_ok()).map(|(name, _)| name);
    if name.ends_with(".bak") || unnumbered.is_some_and(|name| name.ends_with(".bak")) {
        return Some("the name of a backup");
    }
    name.ends_with(".autosave").then_some("the name of unsaved work that is kept")
}

/// True where an output is the very file that was read, there or not, also through a link.
pub fn is_itself(file: &Path, output: &Path) -> bool {
    let both = fs::canonicalize(file).ok().zip(fs::canonicalize(output).ok());
    file == output || both.is_some_and(|(file, output)| file == output)
}

/// True for two names of one file, hard links too.
pub fn is_same(a: &Path, b: &Path) -> bool {
    let both = fs::canonicalize(a).ok().zip(fs::canonicalize(b).ok());
    both.is_some_and(|(a, b)| a == b || is_linked(&a, &b))
}

#[cfg(unix)]
fn is_linked(a: &Path, b: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let of = |path: &Path| fs::metadata(path).ok().map(|there| (there.dev(), there.ino()));
    of(a).is_some_and(|a| of(b) == Some(a))
}

#[cfg(not(unix))]
fn is_linked(_: &Path, _: &Path) -> bool {
    false
}

fn folder_of(file: &Path) -> &Path {
    file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// What the plans in the folder of a file are made from.
fn neighbours(file: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder_of(file)).into_iter().flatten().flatten().map(|entry| entry.path());
    let is_called = |path: &PathBuf| path.extension().is_some_and(|ending| ending == exchange::PLAN_EXTENSION);
    let plans = entries.filter(|path| is_called(path) && path.is_file()).take(MOST_PLANS);
    let made_from = |path: PathBuf| {
        let plan = exchange::read_plan(&path).ok()?;
        let mut own = own_files(&plan, Some(&path));
        // The plan itself is told as a plan.
        own.pop();
        Some(own)
    };
    plans.filter_map(made_from).flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Held against `date -u -d @SECONDS`.
    #[test]
    fn days_are_those_of_the_calendar() {
        let days = [0, 951_782_399, 951_868_800, 1_932_901_440, 4_107_542_399].map(day_and_time);
        let wanted =
            ["1970-01-01 00:00", "2000-02-28 23:59", "2000-03-01 00:00", "2031-04-02 13:04", "2100-02-28 23:59"];
        assert_eq!(days, wanted);
    }
}
