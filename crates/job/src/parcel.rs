//! The folder that is handed over, as it lies on disk: what it may be written over, and by what it is known again.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use exchange::FileError;
use plan::Plan;
use sha2::{Digest, Sha256};

use crate::handing::Handed;
use crate::sparing;

/// The note that explains every file.
pub const NOTE: &str = "READ-ME-FIRST.txt";
/// The checksums of every other file, in the form that `sha256sum -c` reads.
pub const SUMS: &str = "SHA256SUMS";
/// The plan in the folder.
pub const PLAN: &str = "plan.drain";

/// Names that are told one by one (own choice).
const MOST_NAMED: usize = 6;

/// The SHA-256 checksum of a file, in hexadecimal digits.
pub fn checksum(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The file of checksums.
pub fn sums(files: &[Handed]) -> String {
    files.iter().map(|file| format!("{}  {}\n", checksum(&file.bytes), file.name)).collect()
}

/// A folder that may be written.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    folder: PathBuf,
    /// True where a former hand-over lies there, which is replaced whole.
    pub is_former: bool,
}

/// Looks whether a folder may be written: it is new, empty, or a former hand-over that nobody has changed or added to;
/// refused in words otherwise. `file` is the plan file.
pub fn place(folder: &Path, plan: &Plan, file: Option<&Path>) -> Result<Place, FileError> {
    let written = exchange::real_path(folder).unwrap_or_else(|_| folder.to_path_buf());
    exchange::tidy_folder(&written);
    let Ok(there) = fs::metadata(&written) else {
        return match written.file_name() {
            Some(_) => Ok(Place { folder: written, is_former: false }),
            None => Err(refused("a folder that is not there", "a name for it")),
        };
    };
    if !there.is_dir() {
        return Err(refused(exchange::no_file(&there).unwrap_or("a file"), "a folder, or a name that is free"));
    }
    let real =
        fs::canonicalize(&written).map_err(|source| FileError::Io { path: folder.display().to_string(), source })?;
    spare_whole(&real, plan, file)?;
    let names = names_in(&real, Path::new(""))
        .map_err(|source| FileError::Io { path: folder.display().to_string(), source })?;
    let foreign = foreign(&real, &names);
    match foreign.is_empty() {
        true => Ok(Place { folder: real, is_former: !names.is_empty() }),
        false => Err(refused(
            &listed(&foreign),
            "a new or an empty folder, or a former hand-over just as it was written; nothing is replaced",
        )),
    }
}

fn refused(found: &str, expected: &str) -> FileError {
    FileError::Malformed { place: "the folder to hand over".into(), found: found.into(), expected: expected.into() }
}

/// A folder is replaced whole: it must not be one that work goes on in, nor hold what the plan is made from.
fn spare_whole(real: &Path, plan: &Plan, file: Option<&Path>) -> Result<(), FileError> {
    let own = sparing::own_files(plan, file);
    let held = own.iter().filter_map(|own| fs::canonicalize(own).ok()).find(|own| own.starts_with(real));
    if let Some(held) = held {
        let held = held.strip_prefix(real).unwrap_or(&held).display().to_string();
        return Err(refused(&format!("the folder of {held}, from which it is made"), "a folder of its own"));
    }
    match std::env::current_dir().and_then(fs::canonicalize) {
        Ok(here) if here.starts_with(real) => {
            Err(refused("the folder in which the program was started, or one above it", "a folder of its own"))
        }
        _ => Ok(()),
    }
}

/// Every file below a folder, by its name from there; links and whatever else is no folder count as files.
pub(crate) fn names_in(root: &Path, below: &Path) -> std::io::Result<Vec<PathBuf>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(root.join(below))? {
        let entry = entry?;
        let name = below.join(entry.file_name());
        match entry.file_type()?.is_dir() {
            true => names.extend(names_in(root, &name)?),
            false => names.push(name),
        }
    }
    names.sort();
    Ok(names)
}

/// What in a folder is not just as a hand-over left it, in words.
fn foreign(root: &Path, names: &[PathBuf]) -> Vec<String> {
    let text = fs::read_to_string(root.join(SUMS)).unwrap_or_default();
    let sums: BTreeMap<&str, &str> =
        text.lines().filter_map(|line| line.split_once("  ").map(|(s, n)| (n, s))).collect();
    let is_ours = sums.contains_key(NOTE) && sums.contains_key(PLAN);
    let trouble = |name: &PathBuf| {
        let shown = name.display().to_string();
        if !is_ours {
            return Some(shown);
        }
        let sum = match name.to_str() {
            Some(SUMS) => return None,
            text => text.and_then(|text| sums.get(text)),
        };
        let Some(sum) = sum else { return Some(format!("{shown}, which no hand-over put there")) };
        let path = root.join(name);
        let is_file = fs::symlink_metadata(&path).is_ok_and(|there| there.is_file());
        let is_same = is_file && fs::read(&path).is_ok_and(|bytes| checksum(&bytes) == **sum);
        (!is_same).then(|| format!("{shown}, which was changed since"))
    };
    names.iter().filter_map(trouble).collect()
}

/// The first few of a list in words.
fn listed(all: &[String]) -> String {
    let more = all.len().saturating_sub(MOST_NAMED);
    let shown = all[..all.len() - more].join("; ");
    if more > 0 { format!("{shown}; and {more} more") } else { shown }
}

/// Writes the folder whole, in place of what may be replaced.
pub fn write(place: &Place, files: &[Handed]) -> Result<(), FileError> {
    let files: Vec<(&str, &[u8])> = files.iter().map(|file| (file.name.as_str(), &file.bytes[..])).collect();
    exchange::replace_folder(&place.folder, &files)
}
