//! Writing a whole folder in one step: a kill at any moment leaves the old one or the new one, never a mixture.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::FileError;
use crate::replace::{folder_of, is_stale, strays, sync_folder, with_suffix};

/// Ending of a folder that is being written, or was replaced and is being removed.
const NEW: &str = ".new.tmp";
/// Ending of a folder that was put aside while the new one takes its name.
const OLD: &str = ".old.tmp";

/// Writes files into a folder that takes the place of what is there, whole. Names may lead into folders of their own
/// (`ground/a.asc`). The caller has looked whether what is there may go.
pub fn replace_folder(folder: &Path, files: &[(&str, &[u8])]) -> Result<(), FileError> {
    tidy_folder(folder);
    let fresh = with_suffix(folder, &format!(".{}{NEW}", std::process::id()));
    let done = write_all(&fresh, files, folder).and_then(|()| put_in_place(&fresh, folder, swap));
    let done = done.and_then(|()| sync_folder(folder));
    // Either what could not be put in place, or the former folder, which changed names with the new one. What cannot be
    // removed now the next run removes.
    let _ = remove_all(&fresh);
    done.map_err(|source| FileError::Write { path: folder.display().to_string(), source })
}

/// Brings back a folder that a killed run had put aside, and removes what killed runs left behind.
pub fn tidy_folder(folder: &Path) {
    let stale = |ending| strays(folder, &[""], ending).into_iter().filter(|(path, number)| is_stale(path, *number));
    for (aside, _) in stale(OLD) {
        // Best effort, like all of it: what stays harms nothing.
        let _ = if folder.exists() { fs::remove_dir_all(&aside) } else { fs::rename(&aside, folder) };
    }
    for (half, _) in stale(NEW) {
        let _ = fs::remove_dir_all(&half);
    }
}

fn remove_all(folder: &Path) -> io::Result<()> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

/// Writes every file down to the disk.
fn write_all(fresh: &Path, files: &[(&str, &[u8])], like: &Path) -> io::Result<()> {
    remove_all(fresh)?;
    fs::create_dir_all(folder_of(fresh))?;
    fs::create_dir(fresh)?;
    let mut folders: Vec<PathBuf> = Vec::new();
    for (name, bytes) in files {
        let path = fresh.join(name);
        fs::create_dir_all(folder_of(&path))?;
        let mut file = fs::File::create_new(&path)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        folders.push(path);
    }
    folders.dedup_by(|a, b| a.parent() == b.parent());
    folders.iter().try_for_each(|path| sync_folder(path))?;
    match fs::metadata(like) {
        Ok(there) => fs::set_permissions(fresh, there.permissions()),
        Err(_) => Ok(()),
    }
}

/// The new folder takes the name of the old one, which takes the new one's where the system can swap names.
fn put_in_place(fresh: &Path, folder: &Path, swap: fn(&Path, &Path) -> io::Result<()>) -> io::Result<()> {
    if fs::symlink_metadata(folder).is_err() {
        return fs::rename(fresh, folder);
    }
    if swap(fresh, folder).is_ok() {
        return Ok(());
    }
    let aside = with_suffix(folder, &format!(".{}{OLD}", std::process::id()));
    fs::rename(folder, &aside)?;
    if let Err(error) = fs::rename(fresh, folder) {
        fs::rename(&aside, folder)?;
        return Err(error);
    }
    let _ = remove_all(&aside);
    Ok(())
}

#[cfg(target_os = "linux")]
fn swap(a: &Path, b: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE)?)
}

#[cfg(not(target_os = "linux"))]
fn swap(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the system swaps no names, two renames do; a new folder that is not there leaves the old one in its place.
    #[test]
    fn without_a_swap_two_renames_do() {
        let folder = tempfile::tempdir().unwrap();
        let (fresh, out) = (folder.path().join("fresh"), folder.path().join("out"));
        let no_swap = |_: &Path, _: &Path| Err(io::ErrorKind::Unsupported.into());
        fs::create_dir(&out).unwrap();
        fs::write(out.join("old"), "").unwrap();
        assert!(put_in_place(&fresh, &out, no_swap).is_err());
        assert!(out.join("old").exists());
        fs::create_dir(&fresh).unwrap();
        fs::write(fresh.join("new"), "").unwrap();
        put_in_place(&fresh, &out, no_swap).unwrap();
        assert!(out.join("new").exists() && !out.join("old").exists());
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
