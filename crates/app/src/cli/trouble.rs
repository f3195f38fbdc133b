//! `drainwright trouble`: from a wet spot, which line is likely to blame, why, and where to dig first.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use measure::Point;

use super::{CliError, say, say_json};
use job::{ground, trouble};

const EXAMPLE: &str = "Example:\n  drainwright trouble block.drain --at 451200.5,4640310.2";

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
    /// Print JSON, lengths in metres.
    #[arg(long)]
    json: bool,
}

/// Tells who is to blame.
pub fn run(command: &TroubleVerb) -> Result<ExitCode, CliError> {
    let open = super::open(&command.plan)?;
    let across = ground::plane(&open.plan).unit().metres();
    let [x, y]: [f64; 2] =
        super::numbers(&command.at).filter(|numbers: &[f64; 2]| numbers.iter().all(|n| n.is_finite())).ok_or_else(
            || CliError::Argument(format!("--at: found '{}', expected easting and northing as E,N", command.at)),
        )?;
    let worked = super::work_out(&open);
    let found = record::trouble(&worked.plan, &worked.design, &worked.land, Point::new(x * across, y * across));
    if command.json {
        say_json(&trouble::json(&found))?;
    } else {
        trouble::lines(&worked.plan, &found, MOST_TOLD).iter().for_each(say);
    }
    Ok(ExitCode::SUCCESS)
}
