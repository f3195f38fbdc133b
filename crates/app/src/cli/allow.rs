//! `drainwright allow`: which files a plan names, and that one which lies elsewhere may be read.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;

use super::{CliError, say};
use job::{chosen, sparing};

const EXAMPLE: &str = "A plan is read with the files in its folder and below it, and with those that were chosen on this machine: \
brought in by `new`, by `survey --add` or in the window, or named here. Without a file the command tells which files the plan names.\n\n\
Example:\n  drainwright allow block.drain\n  drainwright allow block.drain /surveys/lidar.tif";

/// Arguments of `allow`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Allow {
    /// Plan file.
    plan: PathBuf,
    /// A file that the plan names and that may be read from where it lies.
    file: Vec<PathBuf>,
}

/// Notes what may be read, then tells what the plan names.
pub fn run(allow: &Allow) -> Result<ExitCode, CliError> {
    let plan = exchange::read_plan(&allow.plan).map_err(|error| CliError::file(&allow.plan, error))?;
    let home = chosen::home(&allow.plan);
    let named: Vec<PathBuf> = sparing::named_files(&plan).map(|file| home.join(file)).collect();
    for file in &allow.file {
        note(file, &named)?;
    }
    for file in sparing::named_files(&plan) {
        say(match chosen::may_read(file, Some(&home)) {
            Err(error) => format!("Not read: {error}"),
            Ok(path) if path.is_file() => format!("Read: {}", path.display()),
            Ok(path) => format!("Not there: {}", path.display()),
        });
    }
    Ok(ExitCode::SUCCESS)
}

/// Only what the plan names is taken, and only files.
fn note(file: &Path, named: &[PathBuf]) -> Result<(), CliError> {
    if !named.iter().any(|other| sparing::is_same(other, file)) {
        let names: Vec<String> = named.iter().map(|path| path.display().to_string()).collect();
        let names = if names.is_empty() { "no file at all".into() } else { names.join(", ") };
        return Err(CliError::Argument(format!(
            "{}: found a file that the plan does not name, expected one of: {names}",
            file.display()
        )));
    }
    let there =
        std::fs::metadata(file).map_err(|error| CliError::Argument(format!("{}: {error}", file.display())))?;
    match exchange::no_file(&there) {
        Some(what) => Err(CliError::Argument(format!("{}: found {what}, expected a file", file.display()))),
        None => {
            chosen::remember(file);
            Ok(())
        }
    }
}
