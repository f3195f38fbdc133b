//! The V-cycle that makes conjugate gradients short: on ever coarser chessboards what is smooth becomes rough, and a sweep
//! over rough is quick.
//!
//! Cells are joined four by four. The coarse faces are half the sum of the fine ones, as on a grid of twice the cell size
//! (Wesseling, cell-centred multigrid, from memory), and levels are carried over unchanged. Single precision: it only leads
//! the way, the answer is held to double precision by the solver.

use crate::board::{BLACK, Board, Both, Faces, RED};

/// Sweeps over the coarsest board, there and back.
const LAST_SWEEPS: usize = 8;

/// One board of the cycle.
#[derive(Debug, Clone)]
pub(crate) struct Level {
    pub board: Board,
    pub faces: Faces<f32>,
    /// What a cell itself adds to the diagonal: storage and sinks.
    pub own: Both<f32>,
    /// One over the diagonal; 0 on cells that are none.
    inverse: Both<f32>,
    pub right: Both<f32>,
    pub found: Both<f32>,
    sums: Vec<f32>,
}

/// All boards, the finest first.
#[derive(Debug, Clone)]
pub(crate) struct Multigrid {
    pub levels: Vec<Level>,
}

impl Multigrid {
    pub fn new(board: Board) -> Self {
        let coarser = |board: &Board| {
            let goes_on = board.cols.min(board.rows) > 4;
            goes_on.then(|| Board::new(board.cols.div_ceil(2), board.rows.div_ceil(2)))
        };
        Self { levels: std::iter::successors(Some(board), coarser).map(Level::new).collect() }
    }

    /// Works the coarser boards out from the finest.
    pub fn settle(&mut self) {
        for index in 0..self.levels.len() {
            let (fine, coarse) = self.levels.split_at_mut(index + 1);
            fine[index].invert();
            if let Some(coarse) = coarse.first_mut() {
                coarse.join(&fine[index]);
            }
        }
    }

    /// One cycle from nothing: the finest level's `found` for its `right`.
    pub fn cycle(&mut self) {
        let last = self.levels.len() - 1;
        for index in 0..last {
            let (fine, coarse) = self.levels.split_at_mut(index + 1);
            fine[index].sweep_down(&mut coarse[0].right);
        }
        self.levels[last].solve_roughly();
        for index in (0..last).rev() {
            let (fine, coarse) = self.levels.split_at_mut(index + 1);
            fine[index].sweep_up(&coarse[0].found);
        }
    }
}

impl Level {
    fn new(board: Board) -> Self {
        Self {
            board,
            faces: Faces::new(board),
            own: board.zeros(),
            inverse: board.zeros(),
            right: board.zeros(),
            found: board.zeros(),
            sums: vec![0.0; board.half],
        }
    }

    fn invert(&mut self) {
        for colour in [RED, BLACK] {
            for row in 0..self.board.rows {
                let faces = self.faces.of(self.board, colour, row);
                let range = self.board.row(row);
                let own = &self.own[colour][range.clone()];
                for (k, inverse) in self.inverse[colour][range].iter_mut().enumerate() {
                    let diagonal = own[k] + faces[0][k] + faces[1][k] + (faces[2][k] + faces[3][k]);
                    *inverse = if diagonal > 0.0 { 1.0 / diagonal } else { 0.0 };
                }
            }
        }
    }

    /// Faces and own parts of a board from those of the next finer one.
    fn join(&mut self, fine: &Self) {
        for row in 0..self.board.rows {
            for col in 0..self.board.cols {
                let (colour, at) = self.board.place(col, row);
                self.own[colour][at] = four(fine.board, &fine.own, col, row);
                let east = fine.east_faces(col, row) / 2.0;
                let south = fine.south_faces(col, row) / 2.0;
                self.faces.set_east(self.board, col, row, east);
                self.faces.set_south(self.board, col, row, south);
            }
        }
    }

    /// Faces between the four cells of a coarse cell and those east of it.
    fn east_faces(&self, col: usize, row: usize) -> f32 {
        let (north, south) = (self.board.start(2 * row), self.board.start(2 * row + 1));
        let lower = if 2 * row + 1 < self.board.rows { self.faces.far[south + col] } else { 0.0 };
        self.faces.far[north + col + 1] + lower
    }

    /// Faces between the four cells of a coarse cell and those south of it.
    fn south_faces(&self, col: usize, row: usize) -> f32 {
        if 2 * row + 2 >= self.board.rows {
            return 0.0;
        }
        let (upper, lower) = (self.board.start(2 * row + 1), self.board.start(2 * row + 2));
        self.faces.south[upper + col] + self.faces.north[lower + col]
    }

    /// Red, then black from nothing; what is left, which is on red cells alone, is gathered on the coarser board.
    fn sweep_down(&mut self, coarse: &mut Both<f32>) {
        self.red_from_nothing();
        self.relax(BLACK);
        let joined = Board::new(self.board.cols.div_ceil(2), self.board.rows.div_ceil(2));
        let mut left = [vec![0.0; self.board.half], vec![0.0; self.board.half]];
        for row in 0..joined.rows {
            for (half, left) in left.iter_mut().enumerate() {
                left.fill(0.0);
                if 2 * row + half < self.board.rows {
                    self.faces.pull(self.board, RED, 2 * row + half, &self.found[BLACK], left);
                }
            }
            let [upper, lower] = &left;
            for colour in [RED, BLACK] {
                let first = (row + colour) % 2;
                let cells = coarse[colour][joined.row(row)].iter_mut();
                let sums = upper.iter().zip(lower).skip(first).step_by(2);
                cells.zip(sums).for_each(|(cell, (upper, lower))| *cell = upper + lower);
            }
        }
    }

    /// The coarse answer on top, then black, then red: the way down in reverse.
    fn sweep_up(&mut self, coarse: &Both<f32>) {
        let joined = Board::new(self.board.cols.div_ceil(2), self.board.rows.div_ceil(2));
        for row in 0..self.board.rows {
            let cells = &mut self.found[RED][self.board.row(row)];
            for colour in [RED, BLACK] {
                let first = (row / 2 + colour) % 2;
                let raised = coarse[colour][joined.row(row / 2)].iter();
                cells.iter_mut().skip(first).step_by(2).zip(raised).for_each(|(cell, rise)| *cell += rise);
            }
        }
        self.relax(BLACK);
        self.relax(RED);
    }

    fn solve_roughly(&mut self) {
        self.red_from_nothing();
        self.relax(BLACK);
        for _ in 0..LAST_SWEEPS {
            self.relax(RED);
            self.relax(BLACK);
        }
        for _ in 0..LAST_SWEEPS {
            self.relax(BLACK);
            self.relax(RED);
        }
    }

    fn red_from_nothing(&mut self) {
        let found = self.found[RED].iter_mut().zip(&self.right[RED]).zip(&self.inverse[RED]);
        found.for_each(|((found, right), inverse)| *found = right * inverse);
    }

    /// Solves every cell of one colour with the other held.
    fn relax(&mut self, colour: usize) {
        let (red, black) = self.found.split_at_mut(1);
        let (own, others) = if colour == RED { (&mut red[0], &black[0]) } else { (&mut black[0], &red[0]) };
        for row in 0..self.board.rows {
            self.faces.pull(self.board, colour, row, others, &mut self.sums);
            let range = self.board.row(row);
            let right = &self.right[colour][range.clone()];
            let inverse = &self.inverse[colour][range.clone()];
            let cells = own[range].iter_mut().zip(right).zip(inverse).zip(&self.sums);
            cells.for_each(|(((own, right), inverse), sum)| *own = (right + sum) * inverse);
        }
    }
}

/// The sum over the four fine cells of a coarse one.
fn four(fine: Board, values: &Both<f32>, col: usize, row: usize) -> f32 {
    let upper = fine.start(2 * row) + col;
    let sum = values[RED][upper] + values[BLACK][upper];
    if 2 * row + 1 >= fine.rows {
        return sum;
    }
    let lower = fine.start(2 * row + 1) + col;
    sum + values[RED][lower] + values[BLACK][lower]
}
