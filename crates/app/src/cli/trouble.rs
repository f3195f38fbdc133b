//! `drainwright trouble`: from a wet spot, which line is likely to blame, why, and where to dig first.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::{CliError, say, say_json};
use job::trouble;

const EXAMPLE: &str = "Example:\n  drainwright trouble block.drain --at 203164.5,96040.2";

/// Suspects that are told (own choice).
const MOST_TOLD: usize = 4;

/// Arguments of `trouble`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct TroubleVerb {
    /// Plan file.
    plan: PathBuf,
    /// The wet spot: easting and northing, in the ground's coordinate system and unit.
    #[arg(long, value_name = "E,N", allow_hyphen_values = true)]
    at: String,
    /// Print JSON, lengths in meters.
    #[arg(long)]
    json: bool,
}

/// Tells who is to blame.
pub fn run(command: &TroubleVerb) -> Result<ExitCode, CliError> {
    let open = super::open(&command.plan)?;
    let at = super::place(&open.plan, &command.at).map_err(|why| CliError::Argument(format!("--at: {why}")))?;
    let worked = super::work_out(&open);
    let found = record::trouble(&worked.plan, &worked.design, &worked.land, at);
    if command.json {
        say_json(&trouble::json(&found))?;
    } else {
        trouble::lines(&worked.plan, &found, MOST_TOLD).iter().for_each(say);
    }
    Ok(ExitCode::SUCCESS)
}
