//! Which part of a large grid is read: a rectangle, or a boundary with a margin.

use std::path::{Path, PathBuf};

use clap::Args;
use exchange::ReadOptions;
use measure::Units;

use super::CliError;

/// Arguments that choose a part.
#[derive(Debug, Args)]
pub struct Part {
    /// Read only this rectangle of a grid: west, south, east and north edge in the file's own coordinates.
    #[arg(long, value_name = "W,S,E,N", value_parser = edges, allow_hyphen_values = true)]
    crop: Option<[f64; 4]>,
    /// Read only the part of a grid round the polygon of this file.
    #[arg(long, value_name = "FIELD", conflicts_with = "crop")]
    around: Option<PathBuf>,
    /// How far beyond the polygon of --around: 50 m, 160 ft.
    #[arg(long, value_name = "LENGTH", default_value = "50 m", value_parser = length)]
    margin: f64,
}

fn edges(text: &str) -> Result<[f64; 4], String> {
    let edges = super::numbers(text).filter(|[west, south, east, north]| west < east && south < north);
    edges.ok_or_else(|| {
        format!("'{text}' is not west,south,east,north; expected for instance 203000,96000,203800,96600")
    })
}

fn length(text: &str) -> Result<f64, String> {
    measure::parse_length(text, Units::Metric).map_err(|error| error.to_string())
}

impl Part {
    /// The edges of the part, in the file's own coordinates; `None` for the whole.
    pub fn edges(
        &self,
        ground: &Path,
        options: &ReadOptions,
        own_numbers: bool,
    ) -> Result<Option<[f64; 4]>, CliError> {
        let Some(field) = &self.around else { return Ok(self.crop) };
        let head = exchange::look_at_grid(ground, options).map_err(|error| CliError::file(ground, error))?;
        let head = head
            .ok_or_else(|| CliError::Argument("--around chooses a part of a grid, and the ground is none".into()))?;
        let plane = head.plane();
        let boundary = exchange::read_boundary_file(field, plane.as_ref(), own_numbers);
        let boundary = boundary.map_err(|error| CliError::file(field, error))?;
        let ring: Vec<_> = boundary.rings.into_iter().flatten().collect();
        let edges = head.around(&ring, plane.as_ref(), self.margin);
        edges.map(Some).map_err(|error| CliError::file(field, error))
    }
}
