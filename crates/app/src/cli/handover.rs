//! `drainwright handover`: the folder that is handed over.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;

use super::sheets::{CrewArgs, PaperArgs, Signed};
use super::{CliError, OpenPlan, say};
use job::handing::{self, Handed, HandingError, PaperWish};
use job::{Worked, chosen, parcel};
use sheets::Tongue;

const EXAMPLE: &str = "Example:\n  drainwright handover block.drain -o block-handover\n  \
drainwright handover block.drain -o block-handover --language spanish\n\n\
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
    #[command(flatten)]
    crew: CrewArgs,
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
    let answered = handover.all_the_same.then_some(&handover.signed);
    let tongue = handover.crew.language;
    let wanted = (&handover.paper, tongue, answered);
    let written = write_whole(&open, (&handover.plan, &handover.output), wanted, handing::folder)?;
    handing::no_dig_lines(&written.worked).iter().for_each(say);
    let replaced = if written.is_former { ", in place of the former hand-over" } else { "" };
    say(format_args!("Written: {}{replaced}", handover.output.display()));
    Ok(ExitCode::SUCCESS)
}

/// How the files of a folder are made of what follows from a plan.
type Made =
    fn(&Worked, Option<&Path>, &PaperWish, &dyn Fn(usize, usize) -> bool) -> Result<Vec<Handed>, HandingError>;

/// A folder that was written.
pub(super) struct Written {
    /// What follows from the plan.
    pub worked: Worked,
    /// The files.
    pub files: Vec<Handed>,
    /// True where it stands in place of a former one.
    pub is_former: bool,
}

/// Works a plan out, makes the files of a folder and writes it whole; each file is told. `answered` answers for what would
/// hold it back.
pub(super) fn write_whole(
    open: &OpenPlan,
    (plan, output): (&Path, &Path),
    (paper, tongue, answered): (&PaperArgs, Tongue, Option<&Signed>),
    made: Made,
) -> Result<Written, CliError> {
    let at = |error| CliError::file(output, error);
    parcel::place(output, &open.plan, Some(plan)).map_err(at)?;
    let worked = super::work_out(open);
    let mut wish = PaperWish { tongue, ..paper.wish(&worked)? };
    wish.all_the_same = answered.map(|signed| signed.signature(&open.plan)).transpose()?;
    let files = made(&worked, Some(&chosen::home(plan)), &wish, &|_, _| true);
    let files = files.map_err(|error| match error {
        HandingError::HeldBack(held_back) => CliError::HeldBack(held_back),
        error => CliError::Argument(error.to_string()),
    })?;
    // Looked at again: working out takes its time.
    let place = parcel::place(output, &open.plan, Some(plan)).map_err(at)?;
    parcel::write(&place, &files).map_err(at)?;
    let wide = handing::widest(&files);
    files.iter().for_each(|file| say(format_args!("{:<wide$}  {}", file.name, file.what)));
    Ok(Written { worked, files, is_former: place.is_former })
}
