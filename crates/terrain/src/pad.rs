//! The frame of missing ground put round a grid, so that no neighbour ever lies outside.

use crate::Grid;

/// Steps to the eight neighbours as (columns east, rows south), in the order of the direction codes 1, 2, 4 … 128.
pub(crate) const STEPS: [(isize, isize); 8] = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)];

/// Layout of a grid with a frame one cell wide.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pad {
    /// Columns without the frame.
    pub cols: usize,
    /// Rows without the frame.
    pub rows: usize,
    /// Index distance to each of the eight neighbours.
    pub steps: [isize; 8],
}

impl Pad {
    /// The layout for a grid.
    pub fn of(grid: &Grid) -> Self {
        let stride = grid.cols() as isize + 2;
        Self { cols: grid.cols(), rows: grid.rows(), steps: STEPS.map(|(east, south)| south * stride + east) }
    }

    /// Cells with the frame.
    pub fn len(&self) -> usize {
        (self.cols + 2) * (self.rows + 2)
    }

    /// The neighbour of an inner cell in direction number `k`, 0 to 7.
    pub fn step(&self, cell: usize, k: usize) -> usize {
        cell.wrapping_add_signed(self.steps[k])
    }

    /// The eight neighbours of an inner cell.
    pub fn around(&self, cell: usize) -> [usize; 8] {
        self.steps.map(|step| cell.wrapping_add_signed(step))
    }

    /// All inner cells, row by row.
    pub fn inner(&self) -> impl Iterator<Item = usize> + use<> {
        let (cols, stride) = (self.cols, self.cols + 2);
        (1..=self.rows).flat_map(move |row| row * stride + 1..row * stride + 1 + cols)
    }

    /// The grid's levels inside a frame of `NaN`.
    pub fn spread(&self, grid: &Grid) -> Vec<f32> {
        let mut framed = vec![f32::NAN; self.len()];
        let rows = framed.chunks_exact_mut(self.cols + 2).skip(1);
        for (to, from) in rows.zip(grid.levels().chunks_exact(self.cols)) {
            to[1..=self.cols].copy_from_slice(from);
        }
        framed
    }

    /// Takes the frame off again, in place.
    pub fn strip<T: Copy>(&self, framed: &mut Vec<T>) {
        let stride = self.cols + 2;
        for row in 0..self.rows {
            let start = (row + 1) * stride + 1;
            framed.copy_within(start..start + self.cols, row * self.cols);
        }
        framed.truncate(self.cols * self.rows);
        framed.shrink_to_fit();
    }
}
