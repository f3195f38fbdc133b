//! `drainwright handover`: the folder that is handed over.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::sheets::{PaperArgs, Signed};
use super::{CliError, say};
use job::handing::{self, HandingError};
use job::{chosen, parcel};

const EXAMPLE: &str = "Example:\n  drainwright handover block.drain -o block-handover\n\n\
Exit status: 0 written, 1 nothing is handed over because something blocks digging, 2 unusable input.";

/// Arguments of `handover`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Handover {
    /// Plan file.
    plan: PathBuf,
    /// Folder to write; made where it is not there. It is new, empty, or a former hand-over that nobody has changed or added
    /// to, which is replaced whole.
    #[arg(short, long, value_name = "FOLDER")]
    output: PathBuf,
    #[command(flatten)]
    paper: PaperArgs,
    /// Hand over though findings are to be fixed, which the name and the reason answer for; it stands on the sheets and in
    /// the note. Not asked where the sheets in force were issued so.
    #[arg(long)]
    all_the_same: bool,
    #[command(flatten)]
    signed: Signed,
}

/// Writes the folder.
pub fn run(handover: &Handover) -> Result<ExitCode, CliError> {
    let open = super::open(&handover.plan)?;
    let at = |error| CliError::file(&handover.output, error);
    parcel::place(&handover.output, &open.plan, Some(&handover.plan)).map_err(at)?;
    let worked = super::work_out(&open);
    let mut wish = handover.paper.wish(&worked)?;
    if handover.all_the_same {
        wish.all_the_same = Some(handover.signed.signature(&open.plan)?);
    }
    let home = chosen::home(&handover.plan);
    let files = handing::folder(&worked, Some(&home), &wish, &|_, _| true);
    let files = files.map_err(|error| match error {
        HandingError::HeldBack(held_back) => CliError::HeldBack(held_back),
        error => CliError::Argument(error.to_string()),
    })?;
    // Looked at again: working out takes its time.
    let place = parcel::place(&handover.output, &open.plan, Some(&handover.plan)).map_err(at)?;
    parcel::write(&place, &files).map_err(at)?;
    let wide = handing::widest(&files);
    for file in &files {
        say(format_args!("{:<wide$}  {}", file.name, file.what));
    }
    handing::no_dig_lines(&worked).iter().for_each(say);
    let replaced = if place.is_former { ", in place of the former hand-over" } else { "" };
    say(format_args!("Written: {}{replaced}", handover.output.display()));
    Ok(ExitCode::SUCCESS)
}
