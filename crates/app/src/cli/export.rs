//! `drainwright export`: lines, joints, outlets and field in an open format.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::{CliError, say};

const EXAMPLE: &str = "Example:\n  drainwright export block.drain --to geojson -o block.geojson";

/// Arguments of `export`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Export {
    /// Plan file.
    plan: PathBuf,
    /// Format: geojson (RFC 7946, degrees).
    #[arg(long, value_name = "FORMAT", value_parser = ["geojson"])]
    to: String,
    /// File to write; standard output without it.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Writes the file.
pub fn run(export: &Export) -> Result<ExitCode, CliError> {
    let open = super::open(&export.plan)?;
    let Some(land) = &open.land else {
        return Err(CliError::Argument(
            "the plan names no ground, so its coordinates have no place on the earth".into(),
        ));
    };
    let derived = super::work_out(&open);
    let text = exchange::plan_geojson(&derived.plan, &derived.design, &land.crs)
        .map_err(|error| CliError::file(&export.plan, error))?;
    match &export.output {
        Some(path) => {
            exchange::replace_file(path, text.as_bytes(), false).map_err(|error| CliError::file(path, error))?;
            say(format_args!("Written: {}", path.display()));
        }
        None => say(text.trim_end()),
    }
    Ok(ExitCode::SUCCESS)
}
