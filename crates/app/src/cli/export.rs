//! `drainwright export`: the plan, its stakes, or contours and swales of its ground, in an open format.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use super::sheets::Unread;
use super::{CliError, Over, say};
use job::Worked;
use job::ground::{plane, threads};
use job::handing::{self, PaperWish};
use land::Land;

const EXAMPLE: &str = "Example:\n  drainwright export block.drain --to geojson -o block.geojson\n  \
drainwright export block.drain --to geojson --what ground --every 1ft -o contours.geojson\n  \
drainwright export block.drain --to landxml -o block.xml";

/// Arguments of `export`.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLE)]
pub struct Export {
    /// Plan file.
    plan: PathBuf,
    /// Format: csv, geojson (RFC 7946, degrees), kml, gpx, dxf or landxml.
    #[arg(long, value_name = "FORMAT", value_parser = ["csv", "geojson", "kml", "gpx", "dxf", "landxml"])]
    to: String,
    /// What of it as GeoJSON: plan (lines, joints, outlets, field, ditches, culverts), stakes, or ground (contours and
    /// swales). The other formats hold stakes and lines.
    #[arg(long, value_name = "WHAT", value_parser = ["plan", "stakes", "ground"], default_value = "plan")]
    what: String,
    /// Difference between two contours (1ft, 0.25m); one that suits the relief without it.
    #[arg(long, value_name = "HEIGHT")]
    every: Option<String>,
    /// File to write; standard output without it.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    unread: Unread,
    #[command(flatten)]
    over: Over,
}

/// Writes the file.
pub fn run(export: &Export) -> Result<ExitCode, CliError> {
    let open = super::open(&export.plan)?;
    export.output.iter().try_for_each(|output| export.over.spare((&open.plan, &export.plan), output))?;
    let worked = super::work_out(&open);
    let all_the_same = export.unread.signature(&open.plan)?;
    let wish = PaperWish { all_the_same, ..PaperWish::default() };
    handing::may_tell(&worked, &wish)?;
    let land = &worked.land;
    let stakes = || handing::stakes_signed(&worked, wish.all_the_same.as_ref());
    let file = |error| CliError::file(&export.plan, error);
    let text = match (export.to.as_str(), export.what.as_str()) {
        ("csv", _) => stakes().csv(),
        ("dxf", _) => stakes().dxf(),
        ("landxml", _) => stakes().landxml(),
        ("kml", _) => placed(land).map(|_| stakes())?.kml().map_err(file)?,
        ("gpx", _) => placed(land).map(|_| stakes())?.gpx().map_err(file)?,
        (_, "ground") => ground(export, placed(land)?, &worked)?,
        (_, "stakes") => placed(land).map(|_| stakes())?.geojson().map_err(file)?,
        _ => {
            let notices = handing::notices(&worked);
            exchange::plan_geojson(
                &worked.plan,
                &worked.design,
                &notices,
                &placed(land).map(|_| plane(&worked.plan))?,
            )
            .map_err(file)?
        }
    };
    match &export.output {
        Some(path) => {
            exchange::replace_file(path, text.as_bytes(), false).map_err(|error| CliError::file(path, error))?;
            say(format_args!("Written: {}", path.display()));
        }
        // A stream has no mark of its letters.
        None => say(text.trim_start_matches(exchange::BYTE_ORDER_MARK).trim_end()),
    }
    Ok(ExitCode::SUCCESS)
}

/// The land, without which nothing has a place on the earth.
fn placed(land: &Land) -> Result<&Land, CliError> {
    Some(land).filter(|land| land.ground.is_some()).ok_or_else(|| {
        CliError::Argument("no ground is read, so the plan's coordinates have no place on the earth".into())
    })
}

fn ground(export: &Export, land: &Land, worked: &Worked) -> Result<String, CliError> {
    let units = worked.plan.title.units;
    let interval = export.every.as_deref().map(|text| measure::parse_length(text, units)).transpose();
    let interval_m = interval.map_err(|error| CliError::Argument(format!("--every: {error}")))?;
    if interval_m.is_some_and(|interval_m| interval_m < 0.001) {
        return Err(CliError::Argument("--every: contours lie at least a millimeter apart".into()));
    }
    let contours = land.contours(interval_m, units.length_unit(), threads());
    let contours = contours.as_ref().map_or(&[][..], |contours| &contours.lines);
    exchange::ground_geojson(&worked.plan, contours, &land.swales, &plane(&worked.plan))
        .map_err(|error| CliError::file(&export.plan, error))
}
