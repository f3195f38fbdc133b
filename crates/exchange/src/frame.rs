//! Where a grid lies, which part of it is wanted, and how that part becomes ground.

use measure::{LengthUnit, Point};
use terrain::{Grid, GridError, Window};

use crate::error::span;
use crate::ground::{Ask, Stated};
use crate::samples::Tally;
use crate::{Crs, FileError, GridHead, GroundFile, ReadOptions, reproject};
use terrain::Surface;

/// A grid's place in the numbers of its file, north row and west column first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    /// Columns and rows.
    pub size: (usize, usize),
    /// Outer north-west corner.
    pub corner: (f64, f64),
    /// Cell width and height, above 0.
    pub cell: (f64, f64),
}

impl Frame {
    /// West, south, east and north edge.
    fn edges(&self) -> [f64; 4] {
        let (west, north) = self.corner;
        [west, north - self.size.1 as f64 * self.cell.1, west + self.size.0 as f64 * self.cell.0, north]
    }

    /// The cells that the caller wants: all of them, or those whose centres lie in or next to the rectangle.
    pub fn wanted(&self, options: &ReadOptions) -> Result<Window, FileError> {
        let (cols, rows) = self.size;
        let window = match options.crop_to {
            None => Window { col: 0, row: 0, cols, rows },
            Some(rectangle) => self.window(rectangle)?,
        };
        if window.cols as u64 * window.rows as u64 > options.most_cells {
            let Window { cols, rows, .. } = window;
            let extent = self.part(window).edges();
            return Err(FileError::TooManyCells { cols, rows, extent, limit: options.most_cells });
        }
        Ok(window)
    }

    fn window(&self, [west, south, east, north]: [f64; 4]) -> Result<Window, FileError> {
        let along = |from: f64, to: f64, cell: f64, count: usize| {
            let first = (from / cell - 0.5).floor().clamp(0.0, count as f64);
            let end = ((to / cell - 0.5).ceil() + 1.0).clamp(0.0, count as f64);
            (first as usize, (end - first).max(0.0) as usize)
        };
        let (col, cols) = along(west - self.corner.0, east - self.corner.0, self.cell.0, self.size.0);
        let (row, rows) = along(self.corner.1 - north, self.corner.1 - south, self.cell.1, self.size.1);
        if cols == 0 || rows == 0 {
            let expected = format!("a rectangle that overlaps the grid, {}", span(&self.edges()));
            return Err(FileError::unclear("no ground in the rectangle asked for", expected));
        }
        Ok(Window { col, row, cols, rows })
    }

    fn part(&self, window: Window) -> Self {
        let corner =
            (self.corner.0 + window.col as f64 * self.cell.0, self.corner.1 - window.row as f64 * self.cell.1);
        Self { size: (window.cols, window.rows), corner, cell: self.cell }
    }

    /// Whether the whole grid lies within the range of longitude and latitude.
    fn looks_like_degrees(&self) -> bool {
        let [west, south, east, north] = self.edges();
        west >= -360.0 && east <= 360.0 && south >= -90.5 && north <= 90.5
    }
}

/// A grid whose system, units and part are settled before a level is read.
#[derive(Debug)]
pub(crate) struct Settled {
    /// What the file says.
    pub stated: Stated,
    /// The part to read, in cells of the file's grid, north row and west column first.
    pub window: Window,
    /// Metres of a unit of level.
    pub vertical_m: f64,
    part: Frame,
    horizontal: LengthUnit,
}

impl Settled {
    /// Settles what can be settled without the levels.
    pub fn of(frame: Frame, mut stated: Stated, options: &ReadOptions) -> Result<Self, FileError> {
        let window = frame.wanted(options)?;
        stated.settle_crs(options);
        let degrees = stated.crs.as_ref().is_some_and(Crs::is_degrees);
        if degrees && !frame.looks_like_degrees() {
            stated.check_place(Point::new(frame.corner.0, frame.corner.1));
            stated.note("the coordinates are taken as local ones");
            stated.crs = None;
        }
        let horizontal = stated.settle_unit(options);
        let vertical_m = stated.settle_vertical(horizontal, options).metres();
        if window.cols < frame.size.0 || window.rows < frame.size.1 {
            let (cols, rows) = frame.size;
            stated.note(format!("{} × {} of {cols} × {rows} cells were read, as asked", window.cols, window.rows));
        }
        Ok(Self { stated, window, vertical_m, part: frame.part(window), horizontal })
    }

    /// What the part is.
    pub fn head(self) -> GridHead {
        let (cols, rows) = self.part.size;
        let unit_is_known = self.stated.crs.is_some() || !self.stated.asks.contains(&Ask::HorizontalUnit);
        let (extent, unit) = (self.part.edges(), self.horizontal);
        GridHead { cols, rows, extent, crs: self.stated.crs, unit, unit_is_known }
    }

    /// The ground, from the levels of the part in metres.
    pub fn finish(mut self, levels: Vec<f32>, tally: Tally, options: &ReadOptions) -> Result<GroundFile, FileError> {
        tally.tell(&mut self.stated);
        let grid = self.placed(levels, options)?;
        Ok(self.stated.finish(Surface::Grid(grid), self.horizontal))
    }

    fn placed(&mut self, levels: Vec<f32>, options: &ReadOptions) -> Result<Grid, FileError> {
        let curved = self.stated.crs.clone().filter(|crs| crs.is_degrees() || crs.is_world_map());
        let unit_m = self.horizontal.metres();
        let scale = |(x, y): (f64, f64)| (x * unit_m, y * unit_m);
        let Frame { size, corner, cell } = self.part;
        let grid = Grid::new(size, scale(corner), scale(cell), levels).map_err(grid_error)?;
        let Some(crs) = curved else {
            self.stated.check_place(grid.place(grid.cols() as f64 / 2.0, grid.rows() as f64 / 2.0));
            return Ok(grid);
        };
        let (grid, to) = reproject::to_utm(&grid, &crs, options.most_cells)?;
        self.stated.note(format!(
            "{} is no plane of true meters: the grid was resampled (bilinear) to {}, cells of {:.3} m",
            crs.name(),
            to.name(),
            grid.cell_m().0
        ));
        self.stated.crs = Some(to);
        Ok(grid)
    }
}

/// A grid that cannot be, in the words of a file.
pub(crate) fn grid_error(error: GridError) -> FileError {
    let expected = match error {
        GridError::Size { .. } => "a grid of at least 2 × 2 cells",
        GridError::Count { .. } => "one value for each cell",
        GridError::Place { .. } => "finite coordinates and cells larger than nothing",
        GridError::Empty => "at least one cell with a level",
    };
    FileError::malformed("the grid", error.to_string(), expected)
}
