//! A regular grid of ground levels, row by row from the north-west corner.

use measure::Point;

/// Cells a grid may hold; the door refuses more (4 bytes a cell: 1.6 GB).
pub const MOST_CELLS: u64 = 400_000_000;

/// Why a grid cannot be made from what was given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GridError {
    /// No cells, or more than [`MOST_CELLS`].
    #[error("a grid of {cols} × {rows} cells; expected at least 2 × 2 and at most {MOST_CELLS} cells in all")]
    Size {
        /// Columns asked for.
        cols: usize,
        /// Rows asked for.
        rows: usize,
    },
    /// The values do not fill the cells.
    #[error("{found} levels for {expected} cells")]
    Count {
        /// Levels given.
        found: usize,
        /// Cells to fill.
        expected: usize,
    },
    /// Cell size or corner is not a usable number.
    #[error(
        "cell {cell_x_m} × {cell_y_m} m at corner ({west_m}, {north_m}); expected finite numbers and a cell above 0"
    )]
    Place {
        /// Cell width, metres.
        cell_x_m: f64,
        /// Cell height, metres.
        cell_y_m: f64,
        /// West edge, metres.
        west_m: f64,
        /// North edge, metres.
        north_m: f64,
    },
    /// Every cell is missing.
    #[error("no cell holds a level: nothing but missing values")]
    Empty,
}

/// A rectangle of cells: columns `col..col + cols`, rows `row..row + rows`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    /// First column.
    pub col: usize,
    /// First row.
    pub row: usize,
    /// Number of columns.
    pub cols: usize,
    /// Number of rows.
    pub rows: usize,
}

impl Window {
    /// The least window that holds this one and another.
    pub fn around_both(self, other: Self) -> Self {
        let (col, row) = (self.col.min(other.col), self.row.min(other.row));
        let (right, bottom) =
            ((self.col + self.cols).max(other.col + other.cols), (self.row + self.rows).max(other.row + other.rows));
        Self { col, row, cols: right - col, rows: bottom - row }
    }
}

/// Ground levels in metres at the centres of equal cells, north row first. Missing cells are `NaN`.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    cols: usize,
    rows: usize,
    west_m: f64,
    north_m: f64,
    cell_x_m: f64,
    cell_y_m: f64,
    levels: Vec<f32>,
}

impl Grid {
    /// A grid from its outer north-west corner, cell size and levels (row by row from the north, infinite = missing).
    pub fn new(
        (cols, rows): (usize, usize),
        (west_m, north_m): (f64, f64),
        (cell_x_m, cell_y_m): (f64, f64),
        mut levels: Vec<f32>,
    ) -> Result<Self, GridError> {
        let cells = (cols as u64).saturating_mul(rows as u64);
        if cols < 2 || rows < 2 || cells > MOST_CELLS {
            return Err(GridError::Size { cols, rows });
        }
        if levels.len() as u64 != cells {
            return Err(GridError::Count { found: levels.len(), expected: cols * rows });
        }
        let usable = |v: f64| v.is_finite() && v.abs() < 1e9;
        let placed = usable(west_m) && usable(north_m) && usable(cell_x_m) && usable(cell_y_m);
        if !placed || cell_x_m <= 0.0 || cell_y_m <= 0.0 {
            return Err(GridError::Place { cell_x_m, cell_y_m, west_m, north_m });
        }
        for level in &mut levels {
            if !level.is_finite() {
                *level = f32::NAN;
            }
        }
        if levels.iter().all(|level| level.is_nan()) {
            return Err(GridError::Empty);
        }
        Ok(Self { cols, rows, west_m, north_m, cell_x_m, cell_y_m, levels })
    }

    /// Number of columns.
    pub fn cols(&self) -> usize {
        self.cols
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Width and height of a cell, metres.
    pub fn cell_m(&self) -> (f64, f64) {
        (self.cell_x_m, self.cell_y_m)
    }

    /// Area of a cell, square metres.
    pub fn cell_area_m2(&self) -> f64 {
        self.cell_x_m * self.cell_y_m
    }

    /// South-west and north-east corners of the whole grid (outer cell edges).
    pub fn extent(&self) -> (Point, Point) {
        let east = self.west_m + self.cell_x_m * self.cols as f64;
        let south = self.north_m - self.cell_y_m * self.rows as f64;
        (Point::new(self.west_m, south), Point::new(east, self.north_m))
    }

    /// All levels, row by row from the north.
    pub fn levels(&self) -> &[f32] {
        &self.levels
    }

    /// The level stored in a cell; `NaN` where missing. Panics outside the grid, as slices do.
    pub fn level(&self, col: usize, row: usize) -> f32 {
        self.levels[row * self.cols + col]
    }

    /// Lowers a cell to a level; missing ground stays missing.
    pub(crate) fn lower(&mut self, cell: usize, level: f32) {
        let ground = &mut self.levels[cell];
        if level < *ground {
            *ground = level;
        }
    }

    /// Centre of a cell.
    pub fn centre(&self, col: usize, row: usize) -> Point {
        self.place(col as f64, row as f64)
    }

    /// The place at fractional cell-centre coordinates: (0, 0) is the centre of the north-west cell.
    pub fn place(&self, col: f64, row: f64) -> Point {
        Point::new(self.west_m + (col + 0.5) * self.cell_x_m, self.north_m - (row + 0.5) * self.cell_y_m)
    }

    /// Fractional cell-centre coordinates of a place (the reverse of [`Grid::place`]); may lie outside the grid.
    pub fn cell_coordinates(&self, at: Point) -> (f64, f64) {
        ((at.x - self.west_m) / self.cell_x_m - 0.5, (self.north_m - at.y) / self.cell_y_m - 0.5)
    }

    /// The cell that holds a place, `None` outside.
    pub fn cell_at(&self, at: Point) -> Option<(usize, usize)> {
        let (u, v) = self.cell_coordinates(at);
        let (col, row) = ((u + 0.5).floor(), (v + 0.5).floor());
        let inside = col >= 0.0 && row >= 0.0 && col < self.cols as f64 && row < self.rows as f64;
        inside.then_some((col as usize, row as usize))
    }

    /// Ground level at a place by bilinear interpolation between the four nearest cell centres, metres.
    ///
    /// In the half cell along the outer edge the nearest centres count alone. `None` outside the grid and where a
    /// centre that carries weight is missing. (Formula: [BILINEAR].)
    pub fn elevation(&self, at: Point) -> Option<f64> {
        let (u, v) = self.cell_coordinates(at);
        let square = self.square_at((u, v))?;
        let weights = square.weights((u, v));
        let carrying = square.levels.iter().zip(weights).filter(|(_, weight)| *weight > 0.0);
        let sum: f64 = carrying.map(|(z, weight)| z * weight).sum();
        sum.is_finite().then_some(sum)
    }

    /// The four cell centres round a place in cell-centre coordinates; `None` outside the grid.
    fn square_at(&self, (u, v): (f64, f64)) -> Option<Square> {
        let last = ((self.cols - 1) as f64, (self.rows - 1) as f64);
        if !(u >= -0.5 && v >= -0.5 && u <= last.0 + 0.5 && v <= last.1 + 0.5) {
            return None;
        }
        let lower = |at: f64, last: f64| at.clamp(0.0, last).floor().min(last - 1.0);
        let (col, row) = (lower(u, last.0), lower(v, last.1));
        let level = |right: usize, down: usize| self.level(col as usize + right, row as usize + down) as f64;
        Some(Square { col, row, levels: [level(0, 0), level(1, 0), level(0, 1), level(1, 1)] })
    }

    /// The surface over a straight way that leads through one square, in cell-centre coordinates: its level at a place, and
    /// how it goes on from there with the distance: slope and bend (see [`crate::Piece`]). `middle` is a place in the square;
    /// `None` where a centre that carries weight there is missing.
    pub(crate) fn along(
        &self,
        middle: (f64, f64),
        from: (f64, f64),
        (du, dv): (f64, f64),
    ) -> Option<(f64, f64, f64)> {
        let square = self.square_at(middle)?;
        // Beyond the outermost centres the level no longer changes that way.
        let flat = |at: f64, low: f64| at < low || at > low + 1.0;
        let du = if flat(middle.0, square.col) { 0.0 } else { du };
        let dv = if flat(middle.1, square.row) { 0.0 } else { dv };
        let known = square.weights(middle).iter().zip(square.levels).all(|(weight, z)| *weight == 0.0 || !z.is_nan());
        let [nw, ne, sw, se] = square.levels;
        // A missing centre carries no weight anywhere on the way, so any level will do for it.
        let or = |z: f64, instead: f64| if z.is_nan() { instead } else { z };
        let nw = or(nw, or(ne, or(sw, se)));
        let (ne, sw) = (or(ne, nw), or(sw, nw));
        let se = or(se, ne + sw - nw);
        let (east, south, twist) = (ne - nw, sw - nw, nw - ne - sw + se);
        let (fu, fv) = square.shares(from);
        let level_m = nw + east * fu + south * fv + twist * fu * fv;
        known.then_some((level_m, (east + twist * fv) * du + (south + twist * fu) * dv, twist * du * dv))
    }

    /// The part of the grid inside a window, as a grid of its own; the window is cut to the grid.
    pub fn crop(&self, window: Window) -> Result<Self, GridError> {
        let (col, row) = (window.col.min(self.cols), window.row.min(self.rows));
        let (cols, rows) = (window.cols.min(self.cols - col), window.rows.min(self.rows - row));
        let rows_of = (row..row + rows).map(|r| &self.levels[r * self.cols + col..r * self.cols + col + cols]);
        let levels = rows_of.flatten().copied().collect();
        let corner = (self.west_m + col as f64 * self.cell_x_m, self.north_m - row as f64 * self.cell_y_m);
        Self::new((cols, rows), corner, (self.cell_x_m, self.cell_y_m), levels)
    }
}

/// Four neighbouring cell centres: north-west, north-east, south-west, south-east.
struct Square {
    col: f64,
    row: f64,
    levels: [f64; 4],
}

impl Square {
    /// How far a place lies from the western to the eastern centres and from the northern to the southern ones, 0 to 1.
    fn shares(&self, (u, v): (f64, f64)) -> (f64, f64) {
        ((u - self.col).clamp(0.0, 1.0), (v - self.row).clamp(0.0, 1.0))
    }

    /// What each centre weighs at a place.
    fn weights(&self, at: (f64, f64)) -> [f64; 4] {
        let (fu, fv) = self.shares(at);
        [(1.0 - fu) * (1.0 - fv), fu * (1.0 - fv), (1.0 - fu) * fv, fu * fv]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(cols: usize, rows: usize, levels: &[f32]) -> Grid {
        Grid::new((cols, rows), (100.0, 200.0), (10.0, 10.0), levels.to_vec()).unwrap()
    }

    /// The worked example of [BILINEAR], 146.1.
    #[test]
    fn bilinear_example_of_the_handbook() {
        let g = grid(2, 2, &[91.0, 210.0, 162.0, 95.0]);
        let level = g.elevation(g.place(0.5, 0.2)).unwrap();
        assert!((level - 146.1).abs() < 1e-9, "{level}");
    }

    /// A quiz question whose source was not kept tells swapped axes apart (35.14 against 38.14).
    #[test]
    fn bilinear_axes_are_not_swapped() {
        let g = grid(2, 2, &[46.0, 24.0, 34.0, 45.0]);
        let (a, b) = (g.elevation(g.place(0.6, 0.3)).unwrap(), g.elevation(g.place(0.3, 0.6)).unwrap());
        assert!((a - 35.14).abs() < 1e-9 || (b - 35.14).abs() < 1e-9, "{a} {b}");
    }

    #[test]
    fn edges_hold_and_missing_ground_stays_missing() {
        let g = grid(3, 2, &[1.0, 2.0, f32::NAN, 1.0, 2.0, 3.0]);
        assert_eq!(g.elevation(Point::new(100.0, 200.0)), Some(1.0));
        assert_eq!(g.elevation(Point::new(99.9, 200.0)), None);
        assert_eq!(g.elevation(Point::new(122.0, 194.0)), None);
        assert_eq!(g.elevation(g.centre(1, 0)), Some(2.0));
        assert_eq!(g.elevation(g.centre(2, 1)), Some(3.0));
    }

    #[test]
    fn bad_grids_are_refused() {
        let new = |size, cell, n: usize| Grid::new(size, (0.0, 0.0), cell, vec![1.0; n]);
        assert!(matches!(new((0, 5), (1.0, 1.0), 0), Err(GridError::Size { .. })));
        assert!(matches!(new((2, 2), (1.0, 1.0), 3), Err(GridError::Count { .. })));
        assert!(matches!(new((2, 2), (0.0, 1.0), 4), Err(GridError::Place { .. })));
        assert!(new((usize::MAX, 2), (1.0, 1.0), 0).is_err());
        let missing = Grid::new((2, 2), (0.0, 0.0), (1.0, 1.0), vec![f32::INFINITY; 4]);
        assert_eq!(missing, Err(GridError::Empty));
    }

    #[test]
    fn a_crop_keeps_its_place() {
        let g = grid(3, 3, &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]);
        let part = g.crop(Window { col: 1, row: 1, cols: 9, rows: 9 }).unwrap();
        assert_eq!(part.levels(), &[5.0, 6.0, 8.0, 9.0]);
        assert_eq!(part.centre(0, 0), g.centre(1, 1));
    }
}
