//! Names from outside that hold what a terminal, a drawing or an eye would obey, and file names that are no text.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::ffi::OsStr;
use std::path::Path;
use std::process::{Command, Output};

/// Red letters, a window title, a form feed, a line of its own, turned writing, a sign of no width.
const ODD: &str = "A\u{1b}[31m\u{1b}]0;x\u{7}\u{c}\n0\nSECTION\u{202e}\u{200b}\u{9b}2J";

fn run(folder: &Path, arguments: &[&OsStr]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_drainwright")).current_dir(folder).args(arguments).output().unwrap()
}

fn words(text: &str) -> Vec<&OsStr> {
    text.split(' ').map(OsStr::new).collect()
}

fn is_odd(c: char) -> bool {
    (c.is_control() && c != '\n') || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}')
}

/// The first demo field, every name and word in it odd.
fn odd_plan(folder: &Path) {
    let mut plan = job::demo::first_plan().unwrap();
    plan.title.name = format!("{ODD} job");
    plan.lines.values_mut().for_each(|line| line.name = format!("{ODD}{}", line.name));
    plan.outlets.values_mut().for_each(|outlet| outlet.name = format!("{ODD}{}", outlet.name));
    for mark in plan.landmarks.values_mut() {
        (mark.name, mark.note) = (format!("{ODD}{}", mark.name), ODD.into());
    }
    job::files::save(&plan, &folder.join("a.drain")).unwrap();
    let text = std::fs::read_to_string(folder.join("a.drain")).unwrap();
    assert!(text.contains("\\u001b[31m"), "the file holds what it was given");
}

#[test]
fn no_output_obeys_a_name() {
    let folder = tempfile::tempdir().unwrap();
    odd_plan(folder.path());
    for command in [
        "check a.drain",
        "check a.drain --json",
        "grade a.drain",
        "grade a.drain --json",
        "takeoff a.drain",
        "takeoff a.drain --json",
        "survey a.drain",
        "survey a.drain --json",
        "water a.drain --at 0,0",
        "fix a.drain 1 --list",
        "export a.drain --to csv",
        "export a.drain --to dxf",
        "export a.drain --to kml",
        "export a.drain --to gpx",
        "export a.drain --to landxml",
        "export a.drain --to geojson",
        "export a.drain --to csv --what stakes",
        "export a.drain --to dxf --what stakes",
        "export a.drain --to landxml --what stakes",
    ] {
        let output = run(folder.path(), &words(command));
        for (bytes, place) in [(output.stdout, "stdout"), (output.stderr, "stderr")] {
            let text = String::from_utf8(bytes).unwrap();
            assert!(!text.contains(is_odd), "{command}, {place}: {text:?}");
            assert!(
                !text.contains("\nSECTION\u{202e}") && !text.contains("\nSECTION\\u"),
                "{command}, {place}: {text}"
            );
            if command.contains("--json") && place == "stdout" {
                serde_json::from_str::<serde_json::Value>(&text).unwrap();
            }
        }
    }
}

#[test]
fn no_page_and_no_file_of_the_folder_obeys_a_name() {
    let folder = tempfile::tempdir().unwrap();
    odd_plan(folder.path());
    let signed =
        ["handover", "a.drain", "-o", "out", "--all-the-same", "--by", "B", "--because", ODD, "--date", "2026-05-01"];
    let output = run(folder.path(), &signed.map(OsStr::new));
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let mut seen = 0;
    for entry in std::fs::read_dir(folder.path().join("out")).unwrap().map(Result::unwrap) {
        let name = entry.file_name().into_string().unwrap();
        assert!(!name.contains(is_odd), "{name:?}");
        let ending = name.rsplit('.').next().unwrap().to_string();
        if ["csv", "dxf", "kml", "gpx", "xml", "geojson", "txt", "md"].contains(&ending.as_str()) {
            seen += 1;
            let text = std::fs::read_to_string(entry.path()).unwrap();
            // A data collector wants both signs at the end of a line.
            let text = text.replace("\r\n", "\n");
            assert!(!text.contains(is_odd), "{name}: {:?}", text.lines().find(|line| line.contains(is_odd)));
        }
    }
    assert!(seen > 5, "{seen} files of text");
}

#[test]
fn arguments_and_files_are_shown_in_messages() {
    let folder = tempfile::tempdir().unwrap();
    let missing = run(folder.path(), &[OsStr::new("check"), OsStr::new("no\u{1b}[2Jplan.drain")]);
    let told = String::from_utf8(missing.stderr).unwrap();
    assert!(!told.contains(is_odd) && told.contains("no\\u{1b}[2Jplan.drain"), "{told:?}");
    let wrong =
        run(folder.path(), &[OsStr::new("export"), OsStr::new("a"), OsStr::new("--to"), OsStr::new("\u{1b}[31m")]);
    let told = String::from_utf8(wrong.stderr).unwrap();
    assert!(wrong.status.code() == Some(2) && !told.contains(is_odd), "{told:?}");
    let rows = (0..9).map(|i| format!("A\u{1b}[31m{i},{},{},{},B\u{7}\n", (i % 3) * 20, (i / 3) * 20, 30 + i));
    std::fs::write(folder.path().join("p\u{1b}[31m.csv"), format!("p,x,y,z,batch\n{}", rows.collect::<String>()))
        .unwrap();
    let new = ["new", "--ground", "p\u{1b}[31m.csv", "--horizontal-unit", "m", "--name", ODD, "-o", "a.drain"];
    let new = run(folder.path(), &new.map(OsStr::new));
    assert!(new.status.success(), "{}", String::from_utf8_lossy(&new.stderr));
    let told = String::from_utf8(new.stdout).unwrap();
    assert!(!told.contains(is_odd) && told.contains("Batch B\\u{7}: 9 shots"), "{told:?}");
    // The file is found again by its own name.
    let again = run(folder.path(), &words("survey a.drain"));
    assert!(String::from_utf8(again.stdout).unwrap().contains("Batch B\\u{7}: 9 shots"));
}

/// A ground file whose name is no text makes no plan that cannot be opened again; a folder or a plan of such a name is no
/// matter, since the plan does not name them.
#[cfg(target_os = "linux")]
#[test]
fn file_names_that_are_no_text() {
    use std::os::unix::ffi::OsStrExt;

    let folder = tempfile::tempdir().unwrap();
    let odd = |name: &[u8]| OsStr::from_bytes(name).to_os_string();
    let rows: String = (0..9).map(|i| format!("{i},{},{},{}\n", (i % 3) * 20, (i / 3) * 20, 30 + i)).collect();
    let inner = folder.path().join(odd(b"f\xff"));
    std::fs::create_dir(&inner).unwrap();
    for path in [folder.path().join(odd(b"g\xe9.csv")), inner.join("g.csv")] {
        std::fs::write(path, format!("p,x,y,z\n{rows}")).unwrap();
    }
    let new = |home: &Path, ground: &OsStr, more: &[&OsStr], plan: &OsStr| {
        let start = ["new", "--horizontal-unit", "m", "--ground"].map(OsStr::new);
        run(home, &[&start, &[ground][..], more, &[OsStr::new("-o"), plan]].concat())
    };
    let refused = new(folder.path(), &odd(b"g\xe9.csv"), &[], OsStr::new("a.drain"));
    let told = String::from_utf8(refused.stderr).unwrap();
    assert!(refused.status.code() == Some(2) && told.contains("a file name that is no text (UTF-8)"), "{told}");
    assert!(!folder.path().join("a.drain").exists());
    let lidar = [OsStr::new("--lidar"), &odd(b"g\xe9.csv")].map(OsStr::to_os_string);
    let lidar: Vec<&OsStr> = lidar.iter().map(AsRef::as_ref).collect();
    std::fs::copy(inner.join("g.csv"), folder.path().join("g.csv")).unwrap();
    let refused = new(folder.path(), OsStr::new("g.csv"), &lidar, OsStr::new("a.drain"));
    let told = String::from_utf8(refused.stderr).unwrap();
    assert!(refused.status.code() == Some(2) && told.contains("no text (UTF-8)"), "{told}");
    let plan = odd(b"p\xff.drain");
    assert!(new(&inner, OsStr::new("g.csv"), &[], &plan).status.success());
    let survey = run(&inner, &[OsStr::new("survey"), &plan]);
    assert!(String::from_utf8(survey.stdout).unwrap().contains("9 shots"));
    let opened = job::files::open(&inner.join(&plan), &job::Progress::default()).unwrap();
    assert!(opened.told.is_none() && opened.session.ground().is_some(), "{:?}", opened.told);
}

#[test]
fn numbers_that_no_field_has_are_refused_at_the_door() {
    let folder = tempfile::tempdir().unwrap();
    let rows: String = (0..9).map(|i| format!("{i},{},{},{}\n", (i % 3) * 20, (i / 3) * 20, 30 + i)).collect();
    std::fs::write(folder.path().join("g.csv"), format!("p,x,y,z\n{rows}")).unwrap();
    let new =
        |more: &str| run(folder.path(), &words(&format!("new --ground g.csv --horizontal-unit m -o a.drain {more}")));
    for more in [
        "--outlet 1e308,1e308,30",
        "--outlet nan,0,30",
        "--outlet 0,0,inf",
        "--outlet 0,0,-1e308",
        "--outlet 0,0,30 --low-water nan",
        "--outlet 0,0,30 --channel-bottom=1e308",
    ] {
        let output = new(more);
        let told = String::from_utf8(output.stderr).unwrap();
        assert!(
            output.status.code() == Some(2) && told.contains("found") && told.contains("expected"),
            "{more}: {told}"
        );
        assert!(!folder.path().join("a.drain").exists(), "{more}");
    }
    assert!(new("--outlet -0,1e-320,30").status.success());
    assert_eq!(run(folder.path(), &words("check a.drain")).status.code(), Some(0));
}
