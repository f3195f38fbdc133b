//! What is written over, and what stays of it.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use exchange::{backup_path, read_plan, replace_file, replace_folder, save_plan, save_plan_over};
use measure::Units;
use plan::Plan;

fn plan(name: &str) -> Plan {
    Plan::new(name, Units::Metric)
}

fn title(path: &Path) -> String {
    read_plan(path).unwrap().title.name
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
    let mut names: Vec<String> = entries.map(|name| name.to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// A folder and a plan file in it, saved under these names one after another.
fn saved(titles: &[&str]) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.drain");
    titles.iter().for_each(|title| save_plan(&plan(title), &path).unwrap());
    (folder, path)
}

/// The number of a process that has ended.
fn ended() -> u32 {
    let mut child = Command::new("true").spawn().unwrap();
    child.wait().unwrap();
    child.id()
}

#[test]
fn saving_keeps_the_former_file_as_backup() {
    let (folder, path) = saved(&["First", "Second"]);
    assert_eq!((title(&path), title(&backup_path(&path))), ("Second".into(), "First".into()));
    assert_eq!(names(folder.path()), ["a.drain", "a.drain.bak"], "temporary files stay behind");
}

/// The backup is the plan before the last save that changed it.
#[test]
fn an_identical_save_leaves_the_backup_alone() {
    let (_folder, path) = saved(&["First", "Second", "Second", "Second"]);
    assert_eq!(title(&backup_path(&path)), "First");
}

/// A plan that another one replaces is never lost, however often the new one is saved after it; nor is its backup.
#[test]
fn what_is_anothers_is_kept_under_a_number() {
    let (folder, path) = saved(&["Before", "Theirs"]);
    save_plan_over(&plan("Mine"), &path).unwrap();
    assert_eq!(title(&backup_path(&path)), "Theirs");
    save_plan_over(&plan("Mine"), &path).unwrap();
    for name in ["Mine, changed", "Mine, changed again"] {
        save_plan(&plan(name), &path).unwrap();
    }
    assert_eq!(title(&backup_path(&path)), "Mine, changed");
    let kept: Vec<String> = ["a.drain.bak.1", "a.drain.bak.2"].map(|name| title(&folder.path().join(name))).into();
    assert_eq!(kept, ["Before", "Theirs"]);
    assert_eq!(names(folder.path()).len(), 4, "{:?}", names(folder.path()));
}

/// A backup without its plan belongs to no plan that is saved there later.
#[test]
fn a_backup_left_alone_is_not_lost_to_a_new_plan() {
    let (folder, path) = saved(&["Before", "Lost"]);
    fs::remove_file(&path).unwrap();
    ["New", "Newer", "Newest"].iter().for_each(|name| save_plan(&plan(name), &path).unwrap());
    assert_eq!(title(&folder.path().join("a.drain.bak.1")), "Before");
    assert_eq!(title(&backup_path(&path)), "Newer");
}

/// A kill between linking and renaming leaves the step as a second name of the plan; a later process may have the
/// same number. What is met there must not be written into.
#[test]
fn a_step_left_by_a_killed_save_harms_neither_plan_nor_backup() {
    let (folder, path) = saved(&["First"]);
    let step = folder.path().join(format!("a.drain.bak.{}.tmp", std::process::id()));
    fs::hard_link(&path, &step).unwrap();
    save_plan(&plan("Second"), &path).unwrap();
    assert_eq!((title(&path), title(&backup_path(&path))), ("Second".into(), "First".into()));
    assert!(!step.exists());
}

/// A kill before the last rename leaves plan and backup as one file; renaming a file onto itself does nothing.
#[test]
fn a_backup_that_is_the_plan_itself_leaves_no_step_behind() {
    let (folder, path) = saved(&["First"]);
    fs::hard_link(&path, backup_path(&path)).unwrap();
    save_plan(&plan("Second"), &path).unwrap();
    assert_eq!(names(folder.path()).len(), 2, "a temporary file stays behind");
    assert_eq!(title(&backup_path(&path)), "First");
}

/// What killed saves left behind goes with the next save of that file; what is being written, is another file's, or only
/// looks like it stays.
#[test]
fn strays_of_killed_saves_are_removed() {
    let (folder, path) = saved(&["First"]);
    let (dead, living) = (ended(), std::process::id());
    let stray = [format!("a.drain.{dead}.tmp"), format!("a.drain.bak.{dead}.tmp")];
    let parent = std::os::unix::process::parent_id();
    let others = [
        format!("a.drain.{parent}.tmp"),
        format!("b.drain.{dead}.tmp"),
        "a.drain.x.tmp".into(),
        format!("a.drain.{dead}.tmp.csv"),
    ];
    stray.iter().chain(&others).for_each(|name| fs::write(folder.path().join(name), "half").unwrap());
    let old = folder.path().join(format!("a.drain.bak.{parent}.tmp"));
    fs::write(&old, "half").unwrap();
    let days_ago = std::time::SystemTime::now() - std::time::Duration::from_secs(2 * 24 * 3600);
    fs::File::options().write(true).open(&old).unwrap().set_modified(days_ago).unwrap();
    save_plan(&plan("Second"), &path).unwrap();
    assert_ne!(living, parent);
    let mut wanted: Vec<String> = others.into_iter().chain(["a.drain".into(), "a.drain.bak".into()]).collect();
    wanted.sort();
    assert_eq!(names(folder.path()), wanted);
}

/// A link to a plan stays a link; the plan is replaced where it lies, and its backup lies there.
#[test]
fn a_link_stays_a_link() {
    let (folder, path) = saved(&["First"]);
    let elsewhere = tempfile::tempdir().unwrap();
    let link = elsewhere.path().join("link.drain");
    std::os::unix::fs::symlink(&path, &link).unwrap();
    save_plan(&plan("Second"), &link).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!((title(&path), title(&backup_path(&link))), ("Second".into(), "First".into()));
    assert_eq!((names(folder.path()).len(), names(elsewhere.path()).len()), (2, 1));
    let round = elsewhere.path().join("round");
    std::os::unix::fs::symlink(&round, &round).unwrap();
    assert!(replace_file(&round, b"x", false).unwrap_err().to_string().contains("point to each other"));
}

#[test]
fn mode_and_read_only_mark_are_heeded() {
    use std::os::unix::fs::PermissionsExt;
    let (_folder, path) = saved(&["First"]);
    let mode = |mode: u32| fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
    mode(0o640);
    save_plan(&plan("Second"), &path).unwrap();
    assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
    mode(0o440);
    let error = save_plan(&plan("Third"), &path).unwrap_err().to_string();
    assert!(error.contains("marked read-only"), "{error}");
    assert_eq!(title(&path), "Second");
}

/// A folder, a device and a pipe are told by what they are, at once, and stay.
#[test]
fn what_is_no_file_is_not_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("pipe");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    for (path, what) in [(folder.path(), "a folder"), (Path::new("/dev/full"), "a device"), (&pipe, "a pipe")] {
        let error = replace_file(path, b"x", false).unwrap_err().to_string();
        assert!(error.contains(&format!("found {what}, expected a file or a name that is free")), "{error}");
    }
    assert_eq!(names(folder.path()), ["pipe"]);
}

/// The folder is replaced whole: what is no longer in it is gone.
#[test]
fn a_folder_is_replaced_whole() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("deep/out");
    replace_folder(&out, &[("a.csv", b"1"), ("ground/g.asc", b"2"), ("old.csv", b"3")]).unwrap();
    replace_folder(&out, &[("a.csv", b"4"), ("ground/h.asc", b"5")]).unwrap();
    assert_eq!(
        (names(&out), names(&out.join("ground"))),
        (vec!["a.csv".into(), "ground".into()], vec!["h.asc".into()])
    );
    assert_eq!(fs::read(out.join("a.csv")).unwrap(), b"4");
    assert_eq!(names(&folder.path().join("deep")), ["out"]);
}

/// A kill between the two renames leaves the old folder aside: the next run brings it back before it replaces it.
#[test]
fn a_folder_put_aside_by_a_killed_run_comes_back() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let dead = ended();
    let aside = folder.path().join(format!("out.{dead}.old.tmp"));
    let half = folder.path().join(format!("out.{dead}.new.tmp"));
    [&aside, &half].iter().for_each(|path| fs::create_dir(path).unwrap());
    fs::write(aside.join("a.csv"), "whole").unwrap();
    exchange::tidy_folder(&out);
    assert_eq!(fs::read(out.join("a.csv")).unwrap(), b"whole");
    assert_eq!(names(folder.path()), ["out"]);
}
