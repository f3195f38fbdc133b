//! A folder as it is shown to who looks for a file.

use std::path::{Path, PathBuf};

use exchange::FileError;

/// Entries that are shown of one folder (own choice: nobody reads on).
pub const MOST_SHOWN: usize = 500;

/// A folder or a file in a folder.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Entry {
    /// False for a folder: folders come first.
    pub is_file: bool,
    /// Its name.
    pub name: String,
}

/// The folders in a folder, and its files with one of these endings; hidden ones are left out. By name, at most [`MOST_SHOWN`].
pub fn list(folder: &Path, endings: &[&str]) -> Result<Vec<Entry>, FileError> {
    let failed = |source| FileError::Io { path: folder.display().to_string(), source };
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(failed)?.flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let is_file = entry.path().is_file();
        let ending = Path::new(&name).extension().map(|ending| ending.to_string_lossy().to_lowercase());
        let is_wanted = !is_file || ending.is_some_and(|ending| endings.contains(&ending.as_str()));
        if is_wanted && !name.starts_with('.') {
            found.push(Entry { is_file, name });
        }
    }
    found.sort();
    found.truncate(MOST_SHOWN);
    Ok(found)
}

/// The folder to begin in: that of the plan, else the home of whoever works here, else where the program runs.
pub fn start(plan: Option<&Path>) -> PathBuf {
    let own = plan.and_then(Path::parent).filter(|folder| !folder.as_os_str().is_empty()).map(Path::to_path_buf);
    own.or_else(home).or_else(|| std::env::current_dir().ok()).unwrap_or_else(|| PathBuf::from("."))
}

/// The home of whoever works here.
pub fn home() -> Option<PathBuf> {
    directories::UserDirs::new().map(|dirs| dirs.home_dir().to_path_buf())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folders_come_first_and_only_what_may_be_read() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["b.drain", "A.DRAIN", "note.txt", ".hidden.drain"] {
            std::fs::write(folder.path().join(name), "").expect("a file");
        }
        std::fs::create_dir(folder.path().join("z fields")).expect("a folder");
        let names = |endings: &[&str]| -> Vec<String> {
            list(folder.path(), endings).expect("a list").into_iter().map(|entry| entry.name).collect()
        };
        assert_eq!(names(&["drain"]), ["z fields", "A.DRAIN", "b.drain"]);
        assert_eq!(names(&[]), ["z fields"]);
        assert!(list(&folder.path().join("none"), &[]).is_err());
    }
}
