//! Grids in degrees, or on a world map, brought to true metres; grids brought from one plane to another.

use measure::{Point, extent};
use terrain::Grid;

use crate::frame::grid_error;
use crate::{Crs, FileError};

/// Widest grid that is brought to one UTM zone, degrees of longitude (a zone is 6° wide).
const WIDEST_DEG: f64 = 6.0;
/// Cells between two places that are transformed exactly; between them the position is interpolated. At 16 cells of
/// 30 m the error is the sagitta of 480 m on the earth's curve, 5 mm in position (own calculation).
const KNOT_CELLS: usize = 16;

/// The grid, whose coordinates are those of `from`, resampled in the UTM zone of its middle.
pub(crate) fn to_utm(grid: &Grid, from: &Crs, most_cells: u64) -> Result<(Grid, Crs), FileError> {
    let edge = edge(grid, from)?;
    let (low, high) = extent(edge.iter().copied()).ok_or_else(no_edge)?;
    if high.x - low.x > WIDEST_DEG {
        let found = format!("a grid {:.1} degrees of longitude wide in {}", high.x - low.x, from.name());
        return Err(FileError::unsupported(found, "a grid in meters or feet, or one of at most 6 degrees"));
    }
    let to = from.utm_beside((low.x + high.x) / 2.0, (low.y + high.y) / 2.0);
    Ok((into(grid, from, &to, most_cells)?, to))
}

/// The grid, whose coordinates are those of `from`, resampled in another system.
pub(crate) fn into(grid: &Grid, from: &Crs, to: &Crs, most_cells: u64) -> Result<Grid, FileError> {
    let places: Result<Vec<Point>, _> = edge(grid, from)?.iter().map(|p| to.from_lon_lat(p.x, p.y)).collect();
    let (low, high) = extent(places?).ok_or_else(no_edge)?;
    let cell_m = cell_size(grid, from, to)?;
    let count = |length_m: f64| (length_m / cell_m).ceil().clamp(1.0, 1e9) as usize;
    let size = (count(high.x - low.x), count(high.y - low.y));
    if size.0 as u64 * size.1 as u64 > most_cells {
        let found = format!("{} × {} cells of {cell_m:.3} m", size.0, size.1);
        return Err(FileError::too_large(found, format!("{most_cells} cells")));
    }
    let levels = resample(grid, from, to, size, (low.x, high.y), cell_m)?;
    Grid::new(size, (low.x, high.y), (cell_m, cell_m), levels).map_err(grid_error)
}

fn no_edge() -> FileError {
    FileError::malformed("the grid", "no cells", "a grid")
}

/// Longitudes and latitudes along the outer edge of the grid.
fn edge(grid: &Grid, from: &Crs) -> Result<Vec<Point>, FileError> {
    const STEPS: usize = 20;
    let (low, high) = grid.extent();
    let sides = [(low.x, low.y, high.x, low.y), (high.x, low.y, high.x, high.y)];
    let sides = sides.into_iter().chain([(high.x, high.y, low.x, high.y), (low.x, high.y, low.x, low.y)]);
    let mut edge = Vec::with_capacity(4 * STEPS);
    for (x0, y0, x1, y1) in sides {
        for step in 0..STEPS {
            let t = step as f64 / STEPS as f64;
            let (lon, lat) = from.to_lon_lat(Point::new(x0 + (x1 - x0) * t, y0 + (y1 - y0) * t))?;
            edge.push(Point::new(lon, lat));
        }
    }
    Ok(edge)
}

/// The smaller side of the middle cell in true metres, so that no detail is lost.
fn cell_size(grid: &Grid, from: &Crs, to: &Crs) -> Result<f64, FileError> {
    let (col, row) = (grid.cols() as f64 / 2.0, grid.rows() as f64 / 2.0);
    let at = |col, row| -> Result<Point, FileError> {
        let (lon, lat) = from.to_lon_lat(grid.place(col, row))?;
        Ok(to.from_lon_lat(lon, lat)?)
    };
    let (here, east, south) = (at(col, row)?, at(col + 1.0, row)?, at(col, row + 1.0)?);
    let cell_m = measure::distance(here, east).min(measure::distance(here, south));
    if cell_m > 1e-3 {
        Ok(cell_m)
    } else {
        Err(FileError::malformed("the grid", format!("cells of {cell_m} m"), "cells of at least a millimeter"))
    }
}

fn resample(
    grid: &Grid,
    from: &Crs,
    to: &Crs,
    (cols, rows): (usize, usize),
    (west_m, north_m): (f64, f64),
    cell_m: f64,
) -> Result<Vec<f32>, FileError> {
    let source = |col: usize, row: usize| -> Result<Point, FileError> {
        let at = Point::new(west_m + (col as f64 + 0.5) * cell_m, north_m - (row as f64 + 0.5) * cell_m);
        let (lon, lat) = to.to_lon_lat(at)?;
        Ok(from.from_lon_lat(lon, lat)?)
    };
    let mut levels = Vec::with_capacity(cols * rows);
    for row in 0..rows {
        let mut left = source(0, row)?;
        for start in (0..cols).step_by(KNOT_CELLS) {
            let right = source(start + KNOT_CELLS, row)?;
            for step in 0..KNOT_CELLS.min(cols - start) {
                let at = measure::along(left, right, step as f64 / KNOT_CELLS as f64);
                levels.push(grid.elevation(at).map_or(f32::NAN, |level| level as f32));
            }
            left = right;
        }
    }
    Ok(levels)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A plane that rises 1 m for 0.001° of latitude comes out at the same level at the same longitude and latitude.
    #[test]
    fn levels_stay_at_their_longitude_and_latitude() {
        let from = Crs::from_epsg(4326).unwrap();
        let (cols, rows, step) = (60, 40, 1e-4);
        let levels = (0..cols * rows).map(|i| 50.0 - (i / cols) as f32 * 0.1).collect();
        let grid = Grid::new((cols, rows), (-93.6, 42.0), (step, step), levels).unwrap();
        let (out, to) = to_utm(&grid, &from, 1_000_000).unwrap();
        assert_eq!(to.name(), "EPSG:32615");
        let at = to.from_lon_lat(-93.5971, 41.998_03).unwrap();
        let expected = grid.elevation(Point::new(-93.5971, 41.998_03)).unwrap();
        assert!((out.elevation(at).unwrap() - expected).abs() < 1e-3);
    }

    #[test]
    fn a_continent_is_refused_and_so_are_too_many_cells() {
        let from = Crs::from_epsg(4326).unwrap();
        let grid = Grid::new((2, 2), (-120.0, 48.0), (20.0, 9.0), vec![1.0; 4]).unwrap();
        assert!(matches!(to_utm(&grid, &from, 1_000_000), Err(FileError::Unsupported { .. })));
        let grid = Grid::new((40, 40), (-93.6, 42.0), (0.001, 0.001), vec![1.0; 1600]).unwrap();
        assert!(matches!(to_utm(&grid, &from, 100), Err(FileError::TooLarge { .. })));
    }
}
