//! What is written never destroys what was there, and what a plan names is read only from where it may be.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]
#![cfg(target_os = "linux")]

use std::collections::BTreeMap;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use crate::common::{demo, drainwright, refused, told};

fn fine(folder: &Path, arguments: &[&str]) -> String {
    let output = drainwright(folder, arguments);
    assert!(output.status.success(), "{arguments:?}: {}", told(&output));
    told(&output)
}

/// Every file below a folder with its bytes.
fn all(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap()) {
        match entry.file_type().unwrap().is_dir() {
            true => found.extend(all(&entry.path())),
            false => drop(found.insert(entry.path(), std::fs::read(entry.path()).unwrap_or_default())),
        }
    }
    found
}

/// Every command that writes an output which is no plan, and every one that writes a plan elsewhere.
const PAPERS: [&[&str]; 3] =
    [&["sheets", "a.drain"], &["picture", "a.drain", "--width", "400"], &["export", "a.drain", "--to", "csv"]];
const PLANS: [&[&str]; 4] = [
    &["grade", "a.drain"],
    &["fix", "a.drain", "1"],
    &["survey", "a.drain"],
    &["new", "--ground", "larkmoor-bench.asc", "--horizontal-unit", "ft"],
];

/// No output takes the place of a backup, of kept work, of ground or what lies beside it, or of another plan's ground,
/// whatever it is called there, also where replacing was said; and no paper that of a plan.
#[test]
fn what_must_stay_is_never_replaced() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    let write = |name: &str, text: &str| std::fs::write(at.join(name), text).unwrap();
    std::fs::copy(at.join("a.drain"), at.join("a.drain.bak.1")).unwrap();
    std::fs::copy(at.join("a.drain"), at.join("plan of another name.pdf")).unwrap();
    let plan = std::fs::read_to_string(at.join("a.drain")).unwrap();
    write("newer.txt", &plan.replace("\"version\": 5", "\"version\": 99"));
    write("cut.txt", &plan[..plan.len() / 2]);
    write("damaged.drain", "");
    write("b.drain", &plan.replace("larkmoor-bench.asc", "other.asc"));
    std::fs::copy(at.join("larkmoor-bench.asc"), at.join("other.asc")).unwrap();
    write("larkmoor-bench.PRJ", "PROJCS");
    write("larkmoor-bench.asc.aux.xml", "<x/>");
    std::fs::hard_link(at.join("larkmoor-bench.asc"), at.join("hard.png")).unwrap();
    symlink("larkmoor-bench-levels.csv", at.join("soft.csv")).unwrap();
    std::fs::hard_link(at.join("a.drain"), at.join("hard.pdf")).unwrap();
    symlink("a.drain.bak", at.join("to-backup.pdf")).unwrap();
    let before = all(at);
    let ground = [
        "larkmoor-bench.asc",
        "larkmoor-bench.PRJ",
        "larkmoor-bench.asc.aux.xml",
        "hard.png",
        "other.asc",
        "soft.csv",
    ];
    let kept = ["a.drain.bak", "a.drain.bak.1", "x.AUTOSAVE", "to-backup.pdf"];
    let plans = ["a.drain", "plan of another name.pdf", "newer.txt", "cut.txt", "damaged.drain", "hard.pdf"];
    for command in PAPERS {
        for output in ground.iter().chain(&kept).chain(&plans) {
            let why = refused(at, &[command, &["-o", output, "--replace"]].concat());
            assert!(why.contains("expected another name to write to"), "{command:?} {output}: {why}");
        }
    }
    for command in PLANS {
        for output in ground.iter().chain(&kept) {
            // What `new` is given is its ground, and no other file of the plan beside it.
            let why = refused(at, &[command, &["-o", output, "--replace"]].concat());
            assert!(why.contains("expected another name to write to"), "{command:?} {output}: {why}");
        }
    }
    assert!(all(at) == before, "something was written");
}

/// A file that is there already is replaced only where that is said; the refusal tells its size and the option.
#[test]
fn a_file_that_is_there_is_replaced_only_when_told_so() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    for command in PAPERS.iter().chain(&PLANS) {
        std::fs::write(at.join("theirs"), "a letter").unwrap();
        let with = [command, &["-o", "theirs"][..]].concat();
        let why = refused(at, &with);
        assert!(why.contains("theirs: found a file of that name already (8 bytes, changed 2"), "{why}");
        assert!(why.trim_end().ends_with("or --replace to replace it"), "{why}");
        assert_eq!(std::fs::read(at.join("theirs")).unwrap(), b"a letter");
        fine(at, &[&with[..], &["--replace"]].concat());
        assert_ne!(std::fs::read(at.join("theirs")).unwrap(), b"a letter", "{command:?}");
    }
}

/// A plan that another replaces is kept as its backup, and stays whatever is saved there after it; the plan that is worked
/// on needs no word.
#[test]
fn a_plan_that_is_replaced_is_kept() {
    let folder = demo("larkmoor-bench");
    let at = folder.path();
    let read = |name: &str| std::fs::read(at.join(name)).unwrap();
    let (first, new) = (read("a.drain"), [PLANS[3], &["-o", "a.drain"]].concat());
    assert!(refused(at, &new).contains("--replace"));
    fine(at, &[&new[..], &["--replace"]].concat());
    assert_eq!(read("a.drain.bak"), first);
    fine(at, &[&new[..], &["--replace", "--name", "Another"]].concat());
    fine(at, &["water", "a.drain", "--ditch", "203100,96000 203150,96050"]);
    fine(at, &["water", "a.drain", "--ditch", "203100,96100 203150,96150"]);
    assert_eq!(read("a.drain.bak.1"), first);
    // The same saved again leaves the backup alone; the plan itself is no other file.
    std::fs::write(at.join("a.drain"), &first).unwrap();
    fine(at, &["grade", "a.drain", "-o", "a.drain"]);
    fine(at, &["grade", "./a.drain", "-o", "a.drain"]);
    assert_eq!(read("a.drain.bak"), first);
}

const ALL_THE_SAME: [&str; 4] = ["--all-the-same", "--by", "A. Marsh", "--because=mended"];

fn hand_over(folder: &str) -> Vec<&str> {
    [&["handover", "a.drain", "-o", folder], &ALL_THE_SAME[..]].concat()
}

fn run(folder: &Path, program: &str, arguments: &[&str]) -> Output {
    Command::new(program).args(arguments).current_dir(folder).output().unwrap()
}

/// Ground and levels may be called like the program's own files and like each other: none is lost. The plan in the folder
/// opens from there, on another machine too, and checks the same; every file is as its checksum says.
#[test]
fn the_folder_holds_all_and_opens_elsewhere() {
    let folder = demo("saltern-flat");
    let at = folder.path();
    let levels = std::fs::read_to_string(at.join("saltern-flat-levels.csv")).unwrap();
    std::fs::create_dir(at.join("deep")).unwrap();
    std::fs::write(at.join("deep/saltern-flat-levels.csv"), levels.replace("level", "again")).unwrap();
    std::fs::rename(at.join("saltern-flat.asc"), at.join("stakes.csv.asc")).unwrap();
    std::fs::rename(at.join("stakes.csv.asc"), at.join("sheets.asc")).unwrap();
    std::fs::rename(at.join("saltern-flat-levels.csv"), at.join("stakes.csv")).unwrap();
    std::fs::copy(at.join("deep/saltern-flat-levels.csv"), at.join("deep/stakes.csv")).unwrap();
    let plan = std::fs::read_to_string(at.join("a.drain")).unwrap();
    let plan = plan.replace("saltern-flat.asc", "sheets.asc").replace("saltern-flat-levels.csv", "stakes.csv");
    std::fs::write(at.join("a.drain"), plan).unwrap();
    fine(at, &["survey", "a.drain", "--add", "second=deep/stakes.csv"]);
    let checked = fine(at, &["survey", "a.drain"]);
    fine(at, &hand_over("out"));
    let checks = run(&at.join("out"), "sha256sum", &["--strict", "-c", "SHA256SUMS"]);
    assert!(checks.status.success(), "{}", told(&checks));
    assert_eq!(told(&checks).matches(": OK").count(), all(&at.join("out")).len() - 1);
    let read = |name: &str| std::fs::read(at.join(name)).unwrap();
    for (own, handed) in [
        ("sheets.asc", "out/ground/sheets.asc"),
        ("stakes.csv", "out/ground/stakes.csv"),
        ("deep/stakes.csv", "out/ground/2/stakes.csv"),
    ] {
        assert_eq!(read(own), read(handed), "{handed}");
    }
    assert!(String::from_utf8(read("out/stakes.csv")).unwrap().contains("station"));
    let note = String::from_utf8(read("out/READ-ME-FIRST.txt")).unwrap();
    let sum = |name: &str| {
        let sums = String::from_utf8(read("out/SHA256SUMS")).unwrap();
        sums.lines().find_map(|line| line.strip_suffix(name).map(|sum| sum.trim().to_string())).unwrap()
    };
    let of_sheets = format!(
        "{} bytes, SHA-256 {}",
        measure::thousands(read("out/sheets.pdf").len() as f64, 0),
        sum("sheets.pdf")
    );
    assert!(note.contains(&of_sheets) && note.contains("sha256sum -c SHA256SUMS"), "{note}");

    let elsewhere = tempfile::tempdir().unwrap();
    assert!(run(at, "cp", &["-r", "out", &elsewhere.path().display().to_string()]).status.success());
    let there = elsewhere.path().join("out");
    std::fs::rename(at.join("sheets.asc"), at.join("gone.asc")).unwrap();
    assert_eq!(fine(&there, &["survey", "plan.drain"]), checked);
    let before = all(&there);
    fine(&there, &["takeoff", "plan.drain"]);
    assert!(all(&there) == before, "looking changes nothing");
}

/// A folder in which anything lies that no hand-over put there is refused, and told what; so is one in which work goes on.
#[test]
fn a_folder_with_anything_of_anothers_is_left_alone() {
    let folder = demo("saltern-flat");
    let at = folder.path();
    let before = all(at);
    let parent = at.parent().unwrap().display().to_string();
    for output in [".", "..", &parent, &at.display().to_string(), "/"] {
        let why = refused(at, &hand_over(output));
        assert!(why.contains("the folder to hand over: found the folder "), "{output}: {why}");
    }
    for output in ["a.drain", "/dev/full"] {
        assert!(refused(at, &hand_over(output)).contains("expected a folder, or a name that is free"));
    }
    assert!(all(at) == before);
    std::fs::create_dir_all(at.join("full/deep")).unwrap();
    std::fs::write(at.join("full/deep/photo.jpg"), "a photo").unwrap();
    let why = refused(at, &hand_over("full"));
    assert!(why.contains("found deep/photo.jpg, expected a new or an empty folder"), "{why}");

    // An empty folder is fine, and a former hand-over; what is stale is gone.
    std::fs::create_dir(at.join("out")).unwrap();
    fine(at, &hand_over("out"));
    std::fs::rename(at.join("saltern-flat.asc"), at.join("newer.asc")).unwrap();
    let plan = std::fs::read_to_string(at.join("a.drain")).unwrap();
    std::fs::write(at.join("a.drain"), plan.replace("saltern-flat.asc", "newer.asc")).unwrap();
    assert!(fine(at, &hand_over("out")).contains("in place of the former hand-over"));
    assert!(at.join("out/ground/newer.asc").exists() && !at.join("out/ground/saltern-flat.asc").exists());
    // Work that somebody did in it is not replaced, nor a note laid beside it.
    std::fs::write(at.join("out/stakes.csv"), "changed on site").unwrap();
    std::fs::write(at.join("out/plan.drain.autosave"), "work").unwrap();
    let before = all(&at.join("out"));
    let why = refused(at, &hand_over("out"));
    assert!(
        why.contains("plan.drain.autosave, which no hand-over put there; stakes.csv, which was changed since"),
        "{why}"
    );
    assert!(all(&at.join("out")) == before);
    // A folder from which the plan is made, though a hand-over wrote it.
    std::fs::remove_file(at.join("out/plan.drain.autosave")).unwrap();
    let plan = std::fs::read_to_string(at.join("a.drain")).unwrap();
    std::fs::write(at.join("a.drain"), plan.replace("newer.asc", "out/ground/newer.asc")).unwrap();
    assert!(refused(at, &hand_over("out")).contains("found the folder of ground/newer.asc, from which it is made"));
    assert!(
        std::fs::read_dir(at).unwrap().all(|entry| !entry.unwrap().file_name().to_string_lossy().ends_with(".tmp"))
    );
}

/// A plan as its sender may have made it: its ground named so.
fn naming(at: &Path, ground: &str) {
    let plan = std::fs::read_to_string(at.join("plan.txt")).unwrap();
    std::fs::write(at.join("a.drain"), plan.replace("saltern-flat.asc", ground)).unwrap();
}

/// What leads out of the plan's folder, or is no file, is refused in words, at once.
#[test]
fn a_plan_is_read_only_with_what_lies_beside_it() {
    let (outer, folder) = (tempfile::tempdir().unwrap(), demo("saltern-flat"));
    let at = outer.path().join("job");
    std::fs::rename(folder.path(), &at).unwrap();
    std::fs::copy(at.join("a.drain"), at.join("plan.txt")).unwrap();
    let secret = outer.path().join("secret.asc");
    std::fs::rename(at.join("saltern-flat.asc"), &secret).unwrap();
    symlink(&secret, at.join("link.asc")).unwrap();
    std::fs::create_dir(at.join("folder.asc")).unwrap();
    assert!(run(&at, "mkfifo", &["pipe.asc"]).status.success());
    let whole = secret.canonicalize().unwrap().display().to_string();
    let outside = "nobody chose on this machine";
    for (ground, words) in [
        ("../secret.asc", outside),
        ("folder.asc/../../secret.asc", outside),
        (&whole, outside),
        ("link.asc", outside),
        ("/dev/zero", "found a device, expected a file"),
        ("pipe.asc", "found a pipe, expected a file"),
        ("folder.asc", "found a folder, expected a file"),
    ] {
        naming(&at, ground);
        // What is not read blocks, and is not in the folder that goes out by somebody's name all the same.
        let by_name = hand_over("out");
        for (command, code) in
            [(&["check", "a.drain"][..], 1), (&["grade", "a.drain", "-o", "b.drain"], 2), (&by_name, 0)]
        {
            let output = drainwright(&at, command);
            let why = told(&output);
            assert_eq!(output.status.code(), Some(code), "{ground}: {why}");
            assert!(
                why.contains(&format!("the plan names {ground}: found ")) && why.contains(words),
                "{ground}: {why}"
            );
        }
        let handed = all(&at.join("out"));
        assert!(handed.keys().all(|path| !path.ends_with("secret.asc") && !path.ends_with("link.asc")), "{ground}");
        assert!(handed.values().all(|bytes| *bytes != std::fs::read(&secret).unwrap()), "{ground}");
        std::fs::remove_dir_all(at.join("out")).unwrap();
    }
    // So is what lies beside the ground and is read with it.
    std::fs::copy(&secret, at.join("own.asc")).unwrap();
    symlink(&secret, at.join("own.prj")).unwrap();
    naming(&at, "own.asc");
    let why = told(&drainwright(&at, &["check", "a.drain"]));
    assert!(why.contains("own.prj: found a link that leads out of the plan's folder"), "{why}");
    std::fs::remove_file(at.join("own.prj")).unwrap();
    let status = drainwright(&at, &["check", "a.drain"]).status.code();
    assert!(status.is_some_and(|status| status < 2), "inside is fine");
    // A survey file is left out with the reason, and is not handed over.
    let plan = std::fs::read_to_string(at.join("a.drain")).unwrap();
    std::fs::write(at.join("a.drain"), plan.replace("saltern-flat-levels.csv", "../levels.csv")).unwrap();
    std::fs::rename(at.join("saltern-flat-levels.csv"), outer.path().join("levels.csv")).unwrap();
    let survey = fine(&at, &["survey", "a.drain"]);
    assert!(survey.contains("../levels.csv is left out: the plan names ../levels.csv: found a way out"), "{survey}");
    fine(&at, &hand_over("out"));
    let handed = all(&at.join("out"));
    assert!(handed.keys().all(|path| !path.ends_with("levels.csv")), "{:?}", handed.keys());
    let plan = std::fs::read_to_string(at.join("out/plan.drain")).unwrap();
    assert!(plan.contains("\"levels.csv\"") && !plan.contains("../levels.csv"), "the way to it stays here");
}

/// A plan opened and saved by a link in another folder is read with what lies beside the plan itself, and the link stays.
#[test]
fn a_plan_is_worked_on_through_a_link() {
    let (folder, links) = (demo("saltern-flat"), tempfile::tempdir().unwrap());
    let before = std::fs::read(folder.path().join("a.drain")).unwrap();
    symlink(folder.path().join("a.drain"), links.path().join("l.drain")).unwrap();
    fine(links.path(), &["accept", "l.drain", "1", "--by", "A. Marsh", "--because", "as wanted"]);
    fine(links.path(), &["grade", "l.drain", "-o", "l.drain"]);
    assert!(std::fs::symlink_metadata(links.path().join("l.drain")).unwrap().is_symlink());
    assert_eq!(std::fs::read_dir(links.path()).unwrap().count(), 1);
    let plan = exchange::read_plan(&folder.path().join("a.drain")).unwrap();
    assert_eq!(plan.ground.unwrap().file, "saltern-flat.asc");
    assert_ne!(std::fs::read(folder.path().join("a.drain")).unwrap(), before);
    assert!(folder.path().join("a.drain.bak").exists());
}

/// Ground that lies elsewhere is read where it was brought in on this machine, or where that is said once by the command
/// that the refusal prints; on another machine neither counts.
#[test]
fn ground_elsewhere_is_read_where_it_was_chosen() {
    let (outer, folder) = (tempfile::tempdir().unwrap(), demo("saltern-flat"));
    let at = folder.path();
    let elsewhere = outer.path().join("it's here.asc");
    std::fs::rename(at.join("saltern-flat.asc"), &elsewhere).unwrap();
    let home = |name: &str, arguments: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_drainwright"));
        command.args(arguments).current_dir(at).env("XDG_DATA_HOME", outer.path().join(name)).output().unwrap()
    };
    let file = elsewhere.canonicalize().unwrap().display().to_string();
    let new = ["new", "--ground", &file, "--horizontal-unit", "m", "-o", "b.drain"];
    let made = home("mine", &new);
    assert!(made.status.success(), "{}", told(&made));
    assert!(home("mine", &["water", "b.drain"]).status.success());
    let theirs = home("theirs", &["water", "b.drain"]);
    assert_eq!(theirs.status.code(), Some(2));
    let command = told(&theirs)
        .split("from there: drainwright ")
        .nth(1)
        .unwrap()
        .lines()
        .next()
        .unwrap()
        .trim()
        .replace("PLAN", "b.drain");
    let script = format!("\"$0\" {command}");
    let allowed = Command::new("sh")
        .args(["-c", &script, env!("CARGO_BIN_EXE_drainwright")])
        .current_dir(at)
        .env("XDG_DATA_HOME", outer.path().join("theirs"))
        .output()
        .unwrap();
    assert!(allowed.status.success() && told(&allowed).contains("Read: "), "{script}: {}", told(&allowed));
    assert!(home("theirs", &["water", "b.drain"]).status.success());
    // Only what the plan names, and only a file.
    let other = home("theirs", &["allow", "b.drain", "a.drain"]);
    assert!(told(&other).contains("found a file that the plan does not name"), "{}", told(&other));
    // Where nothing can be remembered the plan works in this run.
    std::fs::write(outer.path().join("no folder"), "").unwrap();
    let unkept = home("no folder", &["new", "--ground", &file, "--horizontal-unit", "m", "-o", "c.drain"]);
    assert!(unkept.status.success(), "{}", told(&unkept));
}

/// What cannot be written ends with 2 and leaves all as it was: no such folder, a file in place of one, a full disk.
#[test]
fn a_failed_write_is_told_and_harms_nothing() {
    let folder = demo("saltern-flat");
    let at = folder.path();
    std::fs::write(at.join("file"), "").unwrap();
    std::fs::write(at.join("old.pdf"), "the former sheets").unwrap();
    let before = all(at);
    for output in ["nowhere/x", "file/x", "/dev/full", "/proc/x"] {
        for command in PAPERS {
            let why = refused(at, &[command, &["-o", output]].concat());
            assert!(why.starts_with("drainwright: ") && why.contains(output), "{output}: {why}");
        }
    }
    for output in ["file/x", "/proc/x"] {
        assert!(refused(at, &hand_over(output)).contains("cannot write"), "{output}");
    }
    // No file may grow beyond so many blocks: as on a disk that is full before the file is whole.
    for command in
        ["sheets a.drain -o old.pdf --replace", "handover a.drain -o out --all-the-same --by A --because b"]
    {
        let script = format!("trap '' XFSZ; ulimit -f 16; exec \"$0\" {command}");
        let full = run(at, "sh", &["-c", &script, env!("CARGO_BIN_EXE_drainwright")]);
        assert_eq!(full.status.code(), Some(2), "{}", told(&full));
        assert!(told(&full).contains("cannot write"), "{}", told(&full));
    }
    assert!(all(at) == before, "{:?}", all(at).keys());
    // Nobody need hear it.
    let full = |out: &str| {
        let script = format!("exec \"$0\" {out}");
        run(at, "sh", &["-c", &script, env!("CARGO_BIN_EXE_drainwright")]).status.code()
    };
    assert_eq!(full("check nowhere.drain 2>/dev/full"), Some(2));
    assert_eq!(full("--help >/dev/full"), Some(2));
    assert_eq!(full("export a.drain --to csv >/dev/full"), Some(2));
}
