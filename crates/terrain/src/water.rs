//! What rain does on the ground: filled surface, flow directions, area uphill.

use measure::Point;

use crate::cells::STEPS;
use crate::{Grid, fill, flow_accumulation, flow_directions};

/// The way of water over a grid, one entry a cell, row by row from the north.
///
/// Cells on the border and beside missing ground are outlets: water may leave there, and no hollow is filled above
/// them.
#[derive(Debug, Clone)]
pub struct Water {
    cols: usize,
    rows: usize,
    pub(crate) filled: Vec<f32>,
    pub(crate) directions: Vec<u8>,
    pub(crate) uphill: Vec<u32>,
}

impl Water {
    /// Works out the way of water over a grid in one thread.
    pub fn of(grid: &Grid) -> Self {
        Self::with_threads(grid, 1)
    }

    /// Works out the way of water over a grid; the answer is the same with any number of threads.
    pub fn with_threads(grid: &Grid, threads: usize) -> Self {
        let (cols, rows) = (grid.cols(), grid.rows());
        let filled = fill(grid, threads);
        let directions = flow_directions(grid, &filled, threads);
        let uphill = flow_accumulation((cols, rows), &filled, &directions, threads);
        Self { cols, rows, filled, directions, uphill }
    }

    /// Ground with every hollow filled to its spill level, metres; `NaN` on missing ground.
    pub fn filled(&self) -> &[f32] {
        &self.filled
    }

    /// Direction code of each cell: E 1, SE 2, S 4, SW 8, W 16, NW 32, N 64, NE 128; 0 leaves the grid or is missing.
    pub fn directions(&self) -> &[u8] {
        &self.directions
    }

    /// Number of cells that drain through each cell, itself included; 0 on missing ground.
    pub fn cells_uphill(&self) -> &[u32] {
        &self.uphill
    }

    /// Area that drains through the cell at a place, square metres. `None` outside and on missing ground.
    pub fn uphill_area_m2(&self, grid: &Grid, at: Point) -> Option<f64> {
        let cells = self.uphill[self.index_at(grid, at)?];
        (cells > 0).then(|| cells as f64 * grid.cell_area_m2())
    }

    /// The way of a drop from a place to where it leaves the grid, through cell centres. Empty where no ground is.
    pub fn path_from(&self, grid: &Grid, at: Point) -> Vec<Point> {
        let start = self.index_at(grid, at).filter(|&cell| self.uphill[cell] > 0);
        let cells = std::iter::successors(start, |&cell| self.next(cell)).skip(1);
        let centres = cells.map(|cell| grid.centre(cell % self.cols, cell / self.cols));
        start.map(|_| at).into_iter().chain(centres).collect()
    }

    /// Columns and rows of the grid this was worked out for.
    pub(crate) fn size(&self) -> (usize, usize) {
        (self.cols, self.rows)
    }

    /// True if a grid has the size this was worked out for; anything else gets empty answers.
    pub(crate) fn fits(&self, grid: &Grid) -> bool {
        self.size() == (grid.cols(), grid.rows())
    }

    /// The cell that water goes to next, by its place in [`Water::directions`]; `None` where it leaves.
    pub fn next(&self, cell: usize) -> Option<usize> {
        let code = self.directions[cell];
        let (east, south) = *STEPS.get(code.trailing_zeros() as usize)?;
        Some(cell.wrapping_add_signed(south * self.cols as isize + east))
    }

    fn index_at(&self, grid: &Grid, at: Point) -> Option<usize> {
        let (col, row) = grid.cell_at(at).filter(|_| self.fits(grid))?;
        Some(row * self.cols + col)
    }
}
