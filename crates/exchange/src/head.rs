//! What an elevation grid is, told without reading a level: for choosing the part to read.

use std::path::Path;

use measure::{LengthUnit, Point, extent};

use crate::ground::{Beside, Kind, beside_of, kind_of_file};
use crate::source::FileSource;
use crate::{Crs, FileError, ReadOptions, ascii_grid, geotiff};

/// Size and place of a grid in a file.
#[derive(Debug, Clone, PartialEq)]
pub struct GridHead {
    /// Columns.
    pub cols: usize,
    /// Rows.
    pub rows: usize,
    /// West, south, east and north edge, in the file's own coordinates and unit.
    pub extent: [f64; 4],
    /// The coordinate system; `None` for unnamed local coordinates.
    pub crs: Option<Crs>,
    /// The unit of the file's coordinates; degrees count as they stand.
    pub unit: LengthUnit,
    /// False where nobody has said what the unit is.
    pub unit_is_known: bool,
}

/// Looks at the grid in a GeoTIFF or ASCII grid; `None` for other files.
pub fn look_at_grid(path: &Path, options: &ReadOptions) -> Result<Option<GridHead>, FileError> {
    let source = FileSource::open(path)?;
    let beside: Beside = beside_of(path);
    let options = ReadOptions { most_cells: u64::MAX, crop_to: None, ..options.clone() };
    let settled = match kind_of_file(&source, path)? {
        Kind::GeoTiff => geotiff::look(&source, &beside, &options)?,
        Kind::AsciiGrid => ascii_grid::look(&source, &beside, &options)?,
        _ => return Ok(None),
    };
    Ok(Some(settled.head()))
}

impl GridHead {
    /// The rectangle, in the file's own coordinates, that holds `ring` and a margin round it. The ring is in metres of the
    /// system `of`; where either system is unnamed its numbers are taken as the file's.
    pub fn around(&self, ring: &[Point], of: Option<&Crs>, margin_m: f64) -> Result<[f64; 4], FileError> {
        let corners = extent(ring.iter().copied());
        let (low, high) = corners.ok_or_else(|| FileError::malformed("the field", "no corner", "a ring"))?;
        let low = Point::new(low.x - margin_m, low.y - margin_m);
        let high = Point::new(high.x + margin_m, high.y + margin_m);
        let middle = measure::along(low, high, 0.5);
        // Straight edges bend between two systems; their middles stand for the bulge.
        let around = [low.x, middle.x, high.x].map(|x| [low.y, middle.y, high.y].map(|y| Point::new(x, y)));
        let places: Result<Vec<Point>, FileError> =
            around.into_iter().flatten().map(|place| self.in_file(place, of)).collect();
        let (low, high) = extent(places?).unwrap_or((low, high));
        Ok([low.x, low.y, high.x, high.y])
    }

    /// A place, metres of the system `of`, in the numbers of the file.
    fn in_file(&self, at: Point, of: Option<&Crs>) -> Result<Point, FileError> {
        let at = match (of, &self.crs) {
            (Some(from), Some(to)) if from != to => {
                let (lon, lat) = from.to_lon_lat(at)?;
                to.from_lon_lat(lon, lat)?
            }
            _ => at,
        };
        let unit_m = if self.crs.as_ref().is_some_and(Crs::is_degrees) { 1.0 } else { self.unit.metres() };
        Ok(Point::new(at.x / unit_m, at.y / unit_m))
    }

    /// A plane of true lengths in which a boundary can be held against this grid: its own, or the UTM zone of its middle.
    /// `None` where the middle has no place on the earth.
    pub fn plane(&self) -> Option<Crs> {
        let Some(crs) = &self.crs else { return Some(Crs::local_in(self.unit)) };
        if !crs.is_degrees() && !crs.is_world_map() {
            return Some(crs.clone());
        }
        let unit_m = if crs.is_degrees() { 1.0 } else { self.unit.metres() };
        let [west, south, east, north] = self.extent.map(|edge| edge * unit_m);
        let (lon, lat) = crs.to_lon_lat(Point::new((west + east) / 2.0, (south + north) / 2.0)).ok()?;
        Some(crs.utm_beside(lon, lat))
    }
}
