//! The program as a person runs it in a folder.

use std::path::Path;
use std::process::{Command, Output};

/// Runs it.
pub fn drainwright(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_drainwright"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program runs")
}

/// All it said.
pub fn told(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}
