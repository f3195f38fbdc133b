//! The cells of a grid as a chessboard: red cells and black ones apart, since each touches only cells of the other colour.
//!
//! Of the cells of a row every second is red. Cell `k` of either colour stands beside cell `k` of the other; its other
//! neighbour in the row is one to the west or to the east of that. North and south it meets cell `k` of the other colour.

use std::ops::{Add, Mul};

/// Numbers of single or double precision.
pub(crate) trait Real: Copy + Default + Add<Output = Self> + Mul<Output = Self> {}

impl Real for f32 {}
impl Real for f64 {}

/// Red and black.
pub(crate) type Both<F> = [Vec<F>; 2];

pub(crate) const RED: usize = 0;
pub(crate) const BLACK: usize = 1;

/// How the cells of a grid lie in memory: rows of half the columns with an empty cell at both ends and an empty row above and
/// below, for each colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Board {
    pub cols: usize,
    pub rows: usize,
    /// Cells of one colour in a row; the last is empty in every second row where the columns are odd.
    pub half: usize,
    stride: usize,
}

impl Board {
    pub fn new(cols: usize, rows: usize) -> Self {
        let half = cols.div_ceil(2);
        Self { cols, rows, half, stride: half + 2 }
    }

    /// Cells of one colour, the empty ones counted.
    pub fn len(self) -> usize {
        (self.rows + 2) * self.stride
    }

    pub fn zeros<F: Real>(self) -> Both<F> {
        [vec![F::default(); self.len()], vec![F::default(); self.len()]]
    }

    /// Colour and index of a cell.
    pub fn place(self, col: usize, row: usize) -> (usize, usize) {
        ((col + row) % 2, self.start(row) + col / 2)
    }

    /// Index of the first cell of a row.
    pub fn start(self, row: usize) -> usize {
        (row + 1) * self.stride + 1
    }

    /// The cells of a row in one colour.
    pub fn row(self, row: usize) -> std::ops::Range<usize> {
        self.start(row)..self.start(row) + self.half
    }

    /// Lays values that stand row by row out on the board.
    pub fn gather(self, values: &[f64], both: &mut Both<f64>) {
        for (row, values) in values.chunks(self.cols).enumerate() {
            for (colour, cells) in both.iter_mut().enumerate() {
                let of_colour = values.iter().skip((row + colour) % 2).step_by(2);
                cells[self.row(row)].iter_mut().zip(of_colour).for_each(|(cell, value)| *cell = *value);
            }
        }
    }

    /// Brings values on the board back to rows.
    pub fn spread(self, both: &Both<f64>, values: &mut [f64]) {
        for (row, values) in values.chunks_mut(self.cols).enumerate() {
            for (colour, cells) in both.iter().enumerate() {
                let of_colour = values.iter_mut().skip((row + colour) % 2).step_by(2);
                of_colour.zip(&cells[self.row(row)]).for_each(|(value, cell)| *value = *cell);
            }
        }
    }

    /// Where the neighbours of the cells of one colour in a row begin: beside, on the far side, north and south.
    fn neighbours(self, colour: usize, row: usize) -> [usize; 4] {
        let start = self.start(row);
        // Red lies west of its fellow in even rows, black in odd ones.
        let far = if (row + colour).is_multiple_of(2) { start - 1 } else { start + 1 };
        [start, far, start - self.stride, start + self.stride]
    }
}

fn row_of<F>(values: &[F], cols: usize, row: usize) -> &[F] {
    &values[row * cols..(row + 1) * cols]
}

/// What flows between neighbours for a difference in level of one, held by the red cell of each pair.
#[derive(Debug, Clone, Default)]
pub(crate) struct Faces<F> {
    pub beside: Vec<F>,
    pub far: Vec<F>,
    pub north: Vec<F>,
    pub south: Vec<F>,
}

impl<F: Real> Faces<F> {
    pub fn new(board: Board) -> Self {
        let zeros = || vec![F::default(); board.len()];
        Self { beside: zeros(), far: zeros(), north: zeros(), south: zeros() }
    }

    /// The faces of the cells of one colour in a row, in the order of [`Board::neighbours`].
    pub fn of(&self, board: Board, colour: usize, row: usize) -> [&[F]; 4] {
        if colour == RED {
            let range = board.row(row);
            return [&self.beside, &self.far, &self.north, &self.south].map(|face| &face[range.clone()]);
        }
        let [beside, far, north, south] = board.neighbours(colour, row).map(|start| start..start + board.half);
        // The face north of a black cell is the south one of the red cell there.
        [&self.beside[beside], &self.far[far], &self.south[north], &self.north[south]]
    }

    /// Takes the faces east and south of every cell, row by row.
    pub fn gather(&mut self, board: Board, [east, south]: &[Vec<F>; 2]) {
        let (east, south) = (|row: usize| row_of(east, board.cols, row), |row: usize| row_of(south, board.cols, row));
        for row in 0..board.rows {
            let (start, odd) = (board.start(row), row % 2);
            let beside = self.beside[start..].iter_mut().zip(east(row).iter().step_by(2));
            beside.for_each(|(face, value)| *face = *value);
            // The far side of the first red cell of an even row is outside.
            let far = self.far[start + 1 - odd..].iter_mut().zip(east(row).iter().skip(1).step_by(2));
            far.for_each(|(face, value)| *face = *value);
            let below = self.south[start..].iter_mut().zip(south(row).iter().skip(odd).step_by(2));
            below.for_each(|(face, value)| *face = *value);
            if row > 0 {
                let above = self.north[start..].iter_mut().zip(south(row - 1).iter().skip(odd).step_by(2));
                above.for_each(|(face, value)| *face = *value);
            }
        }
    }

    /// Sets the face east of a cell.
    pub fn set_east(&mut self, board: Board, col: usize, row: usize, face: F) {
        if col + 1 >= board.cols {
            return;
        }
        let (colour, at) = board.place(col, row);
        // Red in an even row: its fellow stands east; in an odd row the far one does. For black the other way round.
        match (colour, row % 2) {
            (RED, 0) => self.beside[at] = face,
            (RED, _) => self.far[at] = face,
            (_, 0) => self.far[at + 1] = face,
            _ => self.beside[at] = face,
        }
    }

    /// Sets the face south of a cell.
    pub fn set_south(&mut self, board: Board, col: usize, row: usize, face: F) {
        if row + 1 >= board.rows {
            return;
        }
        let (colour, at) = board.place(col, row);
        if colour == RED {
            self.south[at] = face;
        } else {
            let (_, below) = board.place(col, row + 1);
            self.north[below] = face;
        }
    }

    /// What the neighbours of the cells of one colour in a row weigh: the sum of their values times the faces.
    pub fn pull(&self, board: Board, colour: usize, row: usize, others: &[F], sums: &mut [F]) {
        let count = sums.len();
        let [f0, f1, f2, f3] = self.of(board, colour, row).map(|face| &face[..count]);
        let [v0, v1, v2, v3] = board.neighbours(colour, row).map(|start| &others[start..start + count]);
        for k in 0..count {
            sums[k] = f0[k] * v0[k] + f1[k] * v1[k] + (f2[k] * v2[k] + f3[k] * v3[k]);
        }
    }
}
