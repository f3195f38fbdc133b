//! `drainwright picture`: map and profiles as a PNG, without a display.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;

use super::{CliError, Over, say};
use crate::picture::{self, Sheet};
use job::Session;
use job::files;

const EXAMPLE: &str = "Example:\n  drainwright picture block.drain -o block.png --width 1600 --dark";

/// Arguments of `picture`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Picture {
    /// Plan file.
    plan: PathBuf,
    /// PNG file to write.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    #[command(flatten)]
    over: Over,
    /// Width in points; the file has two pixels a point.
    #[arg(long, default_value_t = 1200, value_parser = clap::value_parser!(u32).range(400..=4000))]
    width: u32,
    /// Dark paper.
    #[arg(long)]
    dark: bool,
}

/// Draws and writes the picture.
pub fn run(picture: &Picture) -> Result<ExitCode, CliError> {
    let open = super::open(&picture.plan)?;
    picture.over.spare((&open.plan, &picture.plan), &picture.output)?;
    let session = Session::new(open.plan, Some(picture.plan.clone()), open.land);
    write(&session, &picture.output, Sheet { width: picture.width as f32, dark: picture.dark })?;
    Ok(ExitCode::SUCCESS)
}

/// Draws the demo field into the folder for temporary files.
pub fn demo() -> Result<(), CliError> {
    let session = files::demo_session(job::demo::first_plan()).map_err(CliError::demo)?;
    write(&session, &std::env::temp_dir().join("drainwright-demo.png"), Sheet { width: 1200.0, dark: false })
}

fn write(session: &Session, path: &Path, sheet: Sheet) -> Result<(), CliError> {
    let png =
        picture::draw(session, sheet).map_err(|error| CliError::Argument(format!("{}: {error}", path.display())))?;
    exchange::replace_file(path, &png, false).map_err(|error| CliError::file(path, error))?;
    say(format_args!("Picture: {}", path.display()));
    Ok(())
}
