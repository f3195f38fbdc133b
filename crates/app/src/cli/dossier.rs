//! `drainwright dossier`: the folder that tells what lies in the ground, for whoever digs there later.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::handover::write_whole;
use super::sheets::{PaperArgs, Unread};
use super::{CliError, say};
use job::dossier;
use sheets::Tongue;

const EXAMPLE: &str = "It is a record and nothing to dig by. Read it back with: drainwright new --dossier FOLDER -o PLAN\n\n\
Example:\n  drainwright dossier block.drain -o block-dossier\n\n\
Exit status: 0 written, 1 ground that the plan names was not read and nobody answers for that, 2 unusable input.";

/// Arguments of `dossier`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Dossier {
    /// Plan file.
    plan: PathBuf,
    /// Folder to write; made where it is not there. It is new, empty, or a former dossier that nobody has changed or added to,
    /// which is replaced whole.
    #[arg(short, long, value_name = "FOLDER")]
    output: PathBuf,
    #[command(flatten)]
    paper: PaperArgs,
    #[command(flatten)]
    unread: Unread,
}

/// Writes the folder.
pub fn run(command: &Dossier) -> Result<ExitCode, CliError> {
    let open = super::open(&command.plan)?;
    let written = write_whole(
        &open,
        (&command.plan, &command.output),
        (&command.paper, Tongue::default(), command.unread.answered()),
        dossier::folder,
    )?;
    dossier::photo_trouble_of(&written.files, &open.plan).iter().for_each(say);
    let replaced = if written.is_former { ", in place of the former one" } else { "" };
    say(format_args!("Written: {}{replaced}", command.output.display()));
    Ok(ExitCode::SUCCESS)
}
