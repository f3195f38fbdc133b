//! Where bytes come from: a file, read piece by piece, or memory.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use crate::FileError;

/// Bytes that can be read from any place, by several threads.
pub(crate) trait Source: Sync {
    /// How many bytes there are.
    fn length(&self) -> u64;
    /// Fills `into` from byte `at`.
    fn read_at(&self, at: u64, into: &mut [u8]) -> Result<(), FileError>;

    /// A part of the bytes; `None` where it does not lie inside them.
    fn part(&self, at: u64, length: u64) -> Result<Option<Vec<u8>>, FileError> {
        if at.checked_add(length).is_none_or(|end| end > self.length()) {
            return Ok(None);
        }
        let mut part = vec![0; length as usize];
        self.read_at(at, &mut part)?;
        Ok(Some(part))
    }
}

impl Source for &[u8] {
    fn length(&self) -> u64 {
        self.len() as u64
    }

    fn read_at(&self, at: u64, into: &mut [u8]) -> Result<(), FileError> {
        let start = usize::try_from(at).unwrap_or(usize::MAX);
        let part = start.checked_add(into.len()).and_then(|end| self.get(start..end));
        into.copy_from_slice(part.ok_or_else(|| ends_early(at))?);
        Ok(())
    }
}

/// An open file.
pub(crate) struct FileSource {
    path: String,
    length: u64,
    file: Mutex<File>,
}

impl FileSource {
    /// Opens a file.
    pub fn open(path: &Path) -> Result<Self, FileError> {
        let failed = |source| FileError::Io { path: path.display().to_string(), source };
        // Looked at before it is opened: whoever opens a pipe waits for its writer.
        if let Some(what) = crate::no_file(&std::fs::metadata(path).map_err(failed)?) {
            return Err(FileError::malformed("the file", what, "a file"));
        }
        let file = File::open(path).map_err(failed)?;
        let length = file.metadata().map_err(failed)?.len();
        Ok(Self { path: path.display().to_string(), length, file: Mutex::new(file) })
    }
}

impl Source for FileSource {
    fn length(&self) -> u64 {
        self.length
    }

    fn read_at(&self, at: u64, into: &mut [u8]) -> Result<(), FileError> {
        // Every use seeks first, so a thread that died in here leaves nothing half done.
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        let read = file.seek(SeekFrom::Start(at)).and_then(|_| file.read_exact(into));
        read.map_err(|source| FileError::Io { path: self.path.clone(), source })
    }
}

fn ends_early(at: u64) -> FileError {
    FileError::malformed(format!("byte {at}"), "a file that ends too early", "a whole file")
}
