//! What a plan file held when it was read: by its content, not by its date, which a copy or a sync may keep or change.

use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::ErrorKind;
use std::path::Path;

use plan::Plan;

use crate::FileError;
use crate::plan_file::{plan_file_text, plan_from_text};

/// The content of a file, told from any other by its length and a hash. Holds within one run of the program only.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seen {
    bytes: usize,
    hash: u64,
}

impl Seen {
    /// What these bytes are known by.
    pub fn of(bytes: &[u8]) -> Self {
        let mut hasher = DefaultHasher::new();
        bytes.hash(&mut hasher);
        Self { bytes: bytes.len(), hash: hasher.finish() }
    }

    /// What a file holds now; `None` where there is none.
    pub fn at(path: &Path) -> Result<Option<Self>, FileError> {
        match fs::read(path) {
            Ok(bytes) => Ok(Some(Self::of(&bytes))),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
            Err(source) => Err(FileError::Io { path: path.display().to_string(), source }),
        }
    }

    /// Refuses where a file holds something else by now; one that is gone holds nothing that could be lost.
    pub fn still_at(self, path: &Path) -> Result<(), FileError> {
        match Self::at(path)? {
            Some(now) if now != self => Err(FileError::Changed { path: path.display().to_string() }),
            _ => Ok(()),
        }
    }
}

/// Reads a plan file, and what it held.
pub fn read_plan_seen(path: &Path) -> Result<(Plan, Seen), FileError> {
    let text = plan_file_text(path)?;
    Ok((plan_from_text(&text)?, Seen::of(text.as_bytes())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_known_by_what_it_holds_and_not_by_its_date() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.drain");
        let plan = Plan::new("Sketch", measure::Units::Feet);
        crate::save_plan(&plan, &path).unwrap();
        let (read, seen) = read_plan_seen(&path).unwrap();
        assert_eq!(read, plan);
        let (text, date) = (fs::read(&path).unwrap(), fs::metadata(&path).unwrap().modified().unwrap());
        fs::write(&path, &text).unwrap();
        seen.still_at(&path).unwrap();
        fs::write(&path, String::from_utf8(text).unwrap().replace("Sketch", "Scetch")).unwrap();
        fs::File::options().write(true).open(&path).unwrap().set_modified(date).unwrap();
        let error = seen.still_at(&path).unwrap_err();
        assert!(matches!(error, FileError::Changed { .. }), "{error}");
        fs::remove_file(&path).unwrap();
        seen.still_at(&path).unwrap();
    }
}
