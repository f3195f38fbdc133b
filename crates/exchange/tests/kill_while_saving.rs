//! A saving program may be killed at any moment: the plan file is whole every time.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use measure::{Point, Units};
use plan::{Line, LineKind, Plan};

const CHILD: &str = "DRAINWRIGHT_TEST_SAVE_TO";

/// A plan with so many bends that writing it takes a while.
fn plan(name: &str, bends: usize) -> Plan {
    let mut plan = Plan::new(name, Units::Metric);
    let points = (0..bends).map(|i| Point::new(i as f64 * 1.5, (i as f64 * 0.7).sin())).collect();
    plan.apply(&plan::add_line(&plan, Line::new("L1", LineKind::Lateral, points)).1).unwrap();
    plan
}

fn both() -> [Plan; 2] {
    [plan("First", 2000), plan("Second", 3000)]
}

/// The file by which the child tells that it is about to save.
fn started(path: &Path) -> PathBuf {
    path.with_extension("started")
}

const FOLDER_CHILD: &str = "DRAINWRIGHT_TEST_WRITE_FOLDER";

/// The files of one folder or the other: all of them tell which.
fn folder_of(which: u8) -> Vec<(String, Vec<u8>)> {
    let count = 5 + usize::from(which) * 3;
    (0..count).map(|i| (format!("ground/{i}/file"), vec![which; 40_000])).collect()
}

/// The child: writes one folder and the other in turn until it is killed. Alone it does nothing.
#[test]
fn writes_folders_for_ever_when_asked() {
    let Some(path) = std::env::var_os(FOLDER_CHILD).map(PathBuf::from) else { return };
    let folders = [0, 1].map(folder_of);
    std::fs::write(started(&path), "").unwrap();
    loop {
        for files in &folders {
            let files: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (name.as_str(), &bytes[..])).collect();
            exchange::replace_folder(&path, &files).unwrap();
        }
    }
}

/// True for a folder that holds just the files of one of the two.
fn is_one(path: &Path) -> bool {
    let count = std::fs::read_dir(path.join("ground")).map_or(0, Iterator::count);
    [0, 1].map(folder_of).iter().any(|files| {
        files.len() == count
            && files.iter().all(|(name, bytes)| std::fs::read(path.join(name)).ok().as_ref() == Some(bytes))
    })
}

/// Old or new and never a mixture, at any moment; what a kill leaves beside it the next run removes.
#[test]
fn a_hundred_kills_never_mix_a_folder() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("out");
    for kill in 0..100u64 {
        let mut child = working_child("writes_folders_for_ever_when_asked", FOLDER_CHILD, &path);
        std::thread::sleep(Duration::from_micros(1000 + (kill * 7919) % 29_000));
        child.kill().unwrap();
        child.wait().unwrap();
        if cfg!(target_os = "linux") {
            assert!(!path.exists() || is_one(&path), "after kill {kill}");
        }
        exchange::tidy_folder(&path);
        assert!(!path.exists() || is_one(&path), "tidied after kill {kill}");
        let beside = std::fs::read_dir(folder.path()).unwrap().count();
        assert!(beside <= 1, "strays after kill {kill}");
    }
    assert!(path.exists(), "no child wrote to the end");
}

/// The child: saves one plan and the other in turn until it is killed. Alone it does nothing.
#[test]
fn saves_for_ever_when_asked() {
    let Some(path) = std::env::var_os(CHILD).map(PathBuf::from) else { return };
    let plans = both();
    std::fs::write(started(&path), "").unwrap();
    loop {
        for plan in &plans {
            exchange::save_plan(plan, &path).unwrap();
        }
    }
}

fn is_whole(path: &Path) -> bool {
    exchange::read_plan(path).is_ok_and(|plan| both().contains(&plan))
}

/// A child that saves already, however slow the machine is at starting it.
fn saving_child(path: &Path) -> Child {
    working_child("saves_for_ever_when_asked", CHILD, path)
}

fn working_child(test: &str, variable: &str, path: &Path) -> Child {
    let child = Command::new(std::env::current_exe().unwrap())
        .args([test, "--exact"])
        .env(variable, path)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let begun = Instant::now();
    while std::fs::remove_file(started(path)).is_err() {
        assert!(begun.elapsed() < Duration::from_secs(30), "the child never came to save");
        std::thread::sleep(Duration::from_micros(200));
    }
    child
}

#[test]
fn a_hundred_kills_never_cost_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("field.drain");
    exchange::save_plan(&both()[0], &path).unwrap();
    for kill in 0..100u64 {
        let mut child = saving_child(&path);
        // 1 to 30 ms, in an order that looks like none.
        std::thread::sleep(Duration::from_micros(1000 + (kill * 7919) % 29_000));
        child.kill().unwrap();
        child.wait().unwrap();
        assert!(is_whole(&path), "after kill {kill}");
        let backup = exchange::backup_path(&path);
        assert!(!backup.exists() || is_whole(&backup), "the backup after kill {kill}");
    }
    assert!(exchange::backup_path(&path).exists(), "no child saved to the end");
}
