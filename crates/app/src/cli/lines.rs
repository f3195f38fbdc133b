//! `drainwright lines`: adds lines from a GeoJSON file to a plan.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::{CliError, say};
use job::ground;
use job::joining::Reach;
use job::lines_in::add_lines;

const EXAMPLE: &str = "Properties of a line: name; kind (main, submain, lateral, old tile); size (\"4 in\", \"100 mm\"; a bare number \
under 40 is inches, else mm); pins ([[station, invert], …] in meters, levels to hold); material (clay, concrete, plastic, metal); pattern (targeted, parallel, interceptor); for old tile \
evidence (suspected, seen, proved) and condition (good, fair, poor).\n\nExample:\n  drainwright lines block.drain laterals.geojson";

/// Arguments of `lines`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Lines {
    /// Plan file; it is saved again, its former state kept as a backup.
    plan: PathBuf,
    /// GeoJSON, KML or shapefile with the lines.
    file: PathBuf,
    /// `ground`: the numbers of the file are the ground's own, in its unit, not degrees.
    #[arg(long, value_name = "ground", value_parser = ["ground"])]
    crs: Option<String>,
    /// How near an end must lie to a line to join it, meters.
    #[arg(long, value_name = "METERS", default_value_t = Reach::FROM_FILE.line_m, value_parser = near)]
    join_within: f64,
}

/// Reads the distance within which ends are joined.
fn near(text: &str) -> Result<f64, String> {
    let metres = text.parse().ok().filter(|metres| (0.0..=100.0).contains(metres));
    metres.ok_or_else(|| format!("'{text}' is no distance from 0 to 100 meters"))
}

/// Adds the lines and saves the plan.
pub fn run(lines: &Lines) -> Result<ExitCode, CliError> {
    let mut open = super::open_to(&lines.plan, true)?;
    let plane = ground::plane(&open.plan);
    let read = exchange::read_lines_file(&lines.file, Some(&plane), lines.crs.is_some())
        .map_err(|error| CliError::file(&lines.file, error))?;
    read.1.iter().for_each(|note| say(format_args!("{}: {note}", lines.file.display())));
    if read.0.is_empty() {
        return Err(CliError::Argument(format!(
            "{}: found no line, expected LineString features",
            lines.file.display()
        )));
    }
    let reach = Reach { line_m: lines.join_within, ..Reach::FROM_FILE };
    let ground = open.land.ground.as_deref();
    let told =
        add_lines(&mut open.plan, ground, read.0, reach).map_err(|error| CliError::file(&lines.file, error))?;
    told.iter().for_each(say);
    open.source.save(&open.plan)?;
    Ok(ExitCode::SUCCESS)
}
