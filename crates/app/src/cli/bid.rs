//! `drainwright bid`: the schedule of items that contractors price.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::sheets::{PaperArgs, Unread};
use super::{CliError, Over, say};
use job::{bidding, handing};

const EXAMPLE: &str =
    "Example:\n  drainwright bid block.drain -o block-bid.pdf\n  drainwright bid block.drain -o block-bid.csv";

/// Arguments of `bid`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Bid {
    /// Plan file.
    plan: PathBuf,
    /// File to write: a PDF to be filled in by hand, or a CSV for a spreadsheet, by its ending.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    #[command(flatten)]
    paper: PaperArgs,
    #[command(flatten)]
    unread: Unread,
    #[command(flatten)]
    over: Over,
}

/// Writes the file.
pub fn run(bid: &Bid) -> Result<ExitCode, CliError> {
    let ending = bid.output.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    let is_paper = match ending.as_deref() {
        Some("pdf") => true,
        Some("csv") => false,
        _ => {
            let found = bid.output.display();
            return Err(CliError::Argument(format!(
                "-o: found '{found}', expected a name that ends in .pdf or .csv"
            )));
        }
    };
    let open = super::open(&bid.plan)?;
    bid.over.spare((&open.plan, &bid.plan), &bid.output)?;
    let worked = super::work_out(&open);
    let mut wish = bid.paper.wish(&worked)?;
    wish.all_the_same = bid.unread.signature(&open.plan)?;
    handing::may_tell(&worked, &wish)?;
    let bytes = match is_paper {
        true => bidding::pdf(&worked, &wish).map_err(|error| CliError::Argument(error.to_string()))?,
        false => bidding::csv(&worked).into(),
    };
    exchange::replace_file(&bid.output, &bytes, false).map_err(|error| CliError::file(&bid.output, error))?;
    say(format_args!("Written: {}", bid.output.display()));
    Ok(ExitCode::SUCCESS)
}
