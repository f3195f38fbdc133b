//! `drainwright handover`: the folder that is handed over.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::sheets::PaperArgs;
use super::{CliError, say};
use crate::handing;

const EXAMPLE: &str = "Example:\n  drainwright handover block.drain -o block-handover";

/// Arguments of `handover`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Handover {
    /// Plan file.
    plan: PathBuf,
    /// Folder to write into; made where it is not there.
    #[arg(short, long, value_name = "FOLDER")]
    output: PathBuf,
    #[command(flatten)]
    paper: PaperArgs,
}

/// Writes the folder.
pub fn run(handover: &Handover) -> Result<ExitCode, CliError> {
    let open = super::open(&handover.plan)?;
    let derived = super::work_out(&open);
    let wish = handover.paper.wish(&derived)?;
    let files = handing::folder(&derived, open.land.as_ref(), handover.plan.parent(), &wish, &|_, _| true)
        .map_err(|error| CliError::Argument(error.to_string()))?;
    handing::write_folder(&files, &handover.output).map_err(|error| CliError::file(&handover.output, error))?;
    for file in &files {
        say(format_args!("{:<24} {}", file.name, file.what));
    }
    say(format_args!("Written: {}", handover.output.display()));
    Ok(ExitCode::SUCCESS)
}
