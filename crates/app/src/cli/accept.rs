//! `drainwright accept`: accepts a finding as it is, by name and with a reason.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::sheets::Signed;
use super::{CliError, say};

const EXAMPLE: &str =
    "Example:\n  drainwright accept block.drain 26@O1 --by \"A. Marsh\" --because \"the creek is cleaned next week\"";

/// Arguments of `accept`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Accept {
    /// Plan file; it is saved again, its former state kept as a backup.
    plan: PathBuf,
    /// Key of the finding that `check` prints, or its number on the punch list.
    key: String,
    /// Reopen it instead: take back that it was accepted.
    #[arg(long)]
    reopen: bool,
    #[command(flatten)]
    signed: Signed,
}

/// Accepts or reopens the finding and saves the plan.
pub fn run(accept: &Accept) -> Result<ExitCode, CliError> {
    let mut open = super::open_to(&accept.plan, true)?;
    let worked = super::work_out(&open);
    let finding = super::finding_of(&worked.findings, &accept.key, open.plan.title.units)?;
    let edit = match accept.reopen {
        true => {
            let accepted = finding.accepted.as_ref();
            let accepted =
                accepted.ok_or_else(|| CliError::Argument(format!("finding {} was not accepted", accept.key)))?;
            plan::reopen(&open.plan, accepted)
        }
        false => plan::accept(&open.plan, finding.acceptance(&accept.signed.signature(&open.plan)?)),
    };
    open.plan.apply(&edit)?;
    open.source.save(&open.plan)?;
    say(format_args!("{}", edit.label));
    say(format_args!("  {}", finding.message));
    Ok(ExitCode::SUCCESS)
}
