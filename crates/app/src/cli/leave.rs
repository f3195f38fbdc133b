//! `drainwright leave`: leaves a finding as it is, by name and with a reason.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::sheets::Signed;
use super::{CliError, say};

const EXAMPLE: &str =
    "Example:\n  drainwright leave block.drain 26@O1 --by \"A. Marsh\" --because \"the creek is cleaned next week\"";

/// Arguments of `leave`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Leave {
    /// Plan file; it is saved again, its former state kept as a backup.
    plan: PathBuf,
    /// Key of the finding that `check` prints, or its number on the punch list.
    key: String,
    /// Take it up again instead.
    #[arg(long)]
    take_up: bool,
    #[command(flatten)]
    signed: Signed,
}

/// Leaves the finding and saves the plan.
pub fn run(leave: &Leave) -> Result<ExitCode, CliError> {
    let mut open = super::open_to(&leave.plan, true)?;
    let worked = super::work_out(&open);
    let finding = super::finding_of(&worked.findings, &leave.key, open.plan.title.units)?;
    let edit = match leave.take_up {
        true => {
            let left = finding.left.as_ref();
            let left = left.ok_or_else(|| CliError::Argument(format!("finding {} was not left", leave.key)))?;
            plan::take_up(&open.plan, left)
        }
        false => plan::leave(&open.plan, finding.waiver(&leave.signed.signature(&open.plan)?)),
    };
    open.plan.apply(&edit)?;
    open.source.save(&open.plan)?;
    say(format_args!("{}", edit.label));
    say(format_args!("  {}", finding.message));
    Ok(ExitCode::SUCCESS)
}
