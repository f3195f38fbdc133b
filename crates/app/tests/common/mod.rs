//! The program as a person runs it in a folder.

use std::path::Path;
use std::process::{Command, Output};

/// Runs it.
pub fn drainwright(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_drainwright"))
        .args(arguments)
        .current_dir(folder)
        // What was chosen is remembered here, and not in the home of whoever runs the tests.
        .env("XDG_DATA_HOME", env!("CARGO_TARGET_TMPDIR"))
        .output()
        .expect("the program runs")
}

/// All it said.
pub fn told(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// What it said on its usual channel where all went well.
pub fn fine(folder: &Path, arguments: &[&str]) -> String {
    let output = drainwright(folder, arguments);
    assert!(output.status.success(), "{arguments:?}: {}", told(&output));
    String::from_utf8(output.stdout).unwrap()
}

/// Why it could not use its arguments or the plan.
pub fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = drainwright(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", told(&output));
    String::from_utf8(output.stderr).unwrap()
}

/// A folder with a demo field, its plan as `a.drain`.
pub fn demo(name: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-fields");
    for ending in [".drain", ".asc", "-levels.csv"] {
        let file = format!("{name}{ending}");
        if from.join(&file).exists() {
            std::fs::copy(from.join(&file), folder.path().join(&file)).unwrap();
        }
    }
    std::fs::rename(folder.path().join(format!("{name}.drain")), folder.path().join("a.drain")).unwrap();
    folder
}
