//! A grid drawn over triangles.

use std::ops::Range;

use measure::Point;
use robust::Coord;

use crate::grid::MOST_CELLS;
use crate::natural::Neighbours;
use crate::tin::Tin;
use crate::{Grid, GridError, Interpolation, parallel};

/// Triangles drawn at a stretch; fixed, so that the grid does not hang on the number of threads.
const FACES_A_PART: u32 = 1 << 14;
/// Cells by which a centre may lie outside a triangle for want of precision.
const SLACK: f64 = 1e-9;

/// An empty grid laid over a surface, its corner on a multiple of the cell.
pub(crate) struct Raster {
    cols: usize,
    rows: usize,
    corner: Point,
    cell_m: f64,
}

/// A corner of a triangle: column and row in cells from the first centre, and level in metres.
type Corner = [f64; 3];

impl Raster {
    /// The grid that holds a box.
    pub fn over((low, high): (Point, Point), cell_m: f64) -> Result<Self, GridError> {
        let corner = Point::new((low.x / cell_m).floor() * cell_m, (high.y / cell_m).ceil() * cell_m);
        if !(cell_m > 0.0 && cell_m < 1e9 && corner.is_finite()) {
            return Err(GridError::Place { cell_x_m: cell_m, cell_y_m: cell_m, west_m: low.x, north_m: high.y });
        }
        let count = |length_m: f64| ((length_m / cell_m).ceil() as usize).max(2);
        let (cols, rows) = (count(high.x - corner.x), count(corner.y - low.y));
        if (cols as u64).saturating_mul(rows as u64) > MOST_CELLS {
            return Err(GridError::Size { cols, rows });
        }
        Ok(Self { cols, rows, corner, cell_m })
    }

    /// The surface's level at every centre; missing in its holes and outside. `threads` do not change the result.
    pub fn draw(&self, tin: &Tin, how: Interpolation, threads: usize) -> Result<Grid, GridError> {
        let mut levels = vec![f32::NAN; self.cols * self.rows];
        let count = tin.faces().div_ceil(FACES_A_PART);
        for drawn in parallel::map(count as usize, threads, |part| self.part(tin, how, part as u32)) {
            drawn.into_iter().for_each(|(cell, level_m)| levels[cell as usize] = level_m);
        }
        Grid::new((self.cols, self.rows), (self.corner.x, self.corner.y), (self.cell_m, self.cell_m), levels)
    }

    /// Cells of one part of the triangles, and their levels.
    fn part(&self, tin: &Tin, how: Interpolation, part: u32) -> Vec<(u32, f32)> {
        let west_north = tin.relative(self.corner);
        let faces = part * FACES_A_PART..((part + 1) * FACES_A_PART).min(tin.faces());
        let (mut drawn, mut neighbours) = (Vec::new(), Neighbours::default());
        for face in faces.filter(|&face| tin.is_ground(3 * face)) {
            let corners = tin.corners(face).map(|(at, level_m)| {
                let (col, row) =
                    ((at.x - west_north.x) / self.cell_m - 0.5, (west_north.y - at.y) / self.cell_m - 0.5);
                [col, row, level_m]
            });
            let [a, b, c] = corners;
            let (cols, rows) = (between([a[0], b[0], c[0]], self.cols), between([a[1], b[1], c[1]], self.rows));
            // Of many shots to a cell, most triangles hold no centre.
            if cols.is_empty() || rows.is_empty() {
                continue;
            }
            let plane = Plane::of(corners);
            self.cells(rows, corners, |col, row| {
                let linear_m = plane.level(col as f64, row as f64);
                let level_m = match how {
                    Interpolation::Linear => linear_m,
                    Interpolation::NaturalNeighbour => {
                        let (east, south) = ((col as f64 + 0.5) * self.cell_m, (row as f64 + 0.5) * self.cell_m);
                        let at = Coord { x: west_north.x + east, y: west_north.y - south };
                        neighbours.level(tin, 3 * face, at).unwrap_or(linear_m)
                    }
                };
                drawn.push(((row * self.cols + col) as u32, level_m as f32));
            });
        }
        drawn
    }

    /// Calls `draw` with the column and row of every cell in some rows whose centre lies in a triangle.
    fn cells(&self, rows: Range<usize>, corners: [Corner; 3], mut draw: impl FnMut(usize, usize)) {
        for row in rows {
            for col in between(crossings(corners, row as f64), self.cols) {
                draw(col, row);
            }
        }
    }
}

/// The level in a triangle as a function of column and row.
struct Plane {
    from: Corner,
    per_col: f64,
    per_row: f64,
    least_m: f64,
    most_m: f64,
}

impl Plane {
    fn of([a, b, c]: [Corner; 3]) -> Self {
        let [[bx, by, bz], [cx, cy, cz]] = [b, c].map(|corner| [0, 1, 2].map(|k| corner[k] - a[k]));
        let share = 1.0 / (bx * cy - by * cx);
        Self {
            from: a,
            per_col: (bz * cy - cz * by) * share,
            per_row: (cz * bx - bz * cx) * share,
            least_m: a[2].min(b[2]).min(c[2]),
            most_m: a[2].max(b[2]).max(c[2]),
        }
    }

    /// Never beyond the corners' levels, however thin the triangle.
    fn level(&self, col: f64, row: f64) -> f64 {
        let [from_col, from_row, from_m] = self.from;
        let level_m = from_m + self.per_col * (col - from_col) + self.per_row * (row - from_row);
        level_m.max(self.least_m).min(self.most_m)
    }
}

/// Whole numbers from the least to the greatest of some coordinates, below `count`; `NaN` ones do not count.
fn between([a, b, c]: [f64; 3], count: usize) -> Range<usize> {
    // With nothing but `NaN` the range is from infinity, and so empty.
    let low = f64::INFINITY.min(a).min(b).min(c) - SLACK;
    let high = f64::NEG_INFINITY.max(a).max(b).max(c) + SLACK;
    // Casts cut off towards zero and stop at the ends of the type's range.
    let first = low as usize + usize::from(low > low as usize as f64);
    let end = if high < 0.0 { 0 } else { (high as usize).saturating_add(1).min(count) };
    first..end
}

/// Where a row of cell centres crosses the three sides of a triangle; `NaN` for a side it misses.
fn crossings([a, b, c]: [Corner; 3], row: f64) -> [f64; 3] {
    let crossing = |[u0, v0, _]: Corner, [u1, v1, _]: Corner| {
        let share = (row - v0) / (v1 - v0);
        if (-SLACK..=1.0 + SLACK).contains(&share) { u0 + (u1 - u0) * share } else { f64::NAN }
    };
    [crossing(a, b), crossing(b, c), crossing(c, a)]
}
