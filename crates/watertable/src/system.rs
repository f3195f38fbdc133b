//! One implicit step as a system of equations: `own · x − Σ face · (x of the neighbour − x) = right`, solved by conjugate
//! gradients that a V-cycle leads.

use crate::board::{BLACK, Board, Both, Faces, RED};
use crate::multigrid::Multigrid;

/// Cycles after which a system is left as it is; they go down by a factor of five or more each.
const MOST_CYCLES: usize = 60;

/// A system on a grid, and the room to solve it in. Cells without own part and faces are none: their answer is 0.
#[derive(Debug, Clone)]
pub struct System {
    pub(crate) board: Board,
    pub(crate) faces: Faces<f64>,
    /// What a cell itself adds to the diagonal: storage and sinks.
    pub(crate) own: Both<f64>,
    pub(crate) right: Both<f64>,
    /// The answer; what stands in it before is where the search begins.
    pub(crate) found: Both<f64>,
    /// What the answer leaves of the right side.
    pub(crate) left: Both<f64>,
    multigrid: Multigrid,
    diagonal: Both<f64>,
    way: Both<f64>,
    applied: Both<f64>,
}

/// A system as it stands row by row.
#[derive(Debug, Clone, Default)]
pub struct Equations {
    /// Columns of the grid.
    pub cols: usize,
    /// Faces between each cell and the one east of it, and the one south of it; 0 where there is none.
    pub faces: [Vec<f64>; 2],
    /// What each cell itself adds to the diagonal.
    pub own: Vec<f64>,
    /// The right side.
    pub right: Vec<f64>,
    /// Where the search begins.
    pub begin: Vec<f64>,
}

impl System {
    /// A system to be solved.
    pub fn of(equations: &Equations) -> Self {
        let mut system = Self::new(equations.cols, equations.own.len() / equations.cols);
        let board = system.board;
        system.faces.gather(board, &equations.faces);
        board.gather(&equations.own, &mut system.own);
        board.gather(&equations.right, &mut system.right);
        board.gather(&equations.begin, &mut system.found);
        system.settle();
        system
    }

    /// The answer row by row.
    pub fn answer(&self) -> Vec<f64> {
        let mut values = vec![0.0; self.board.cols * self.board.rows];
        self.board.spread(&self.found, &mut values);
        values
    }

    pub(crate) fn new(cols: usize, rows: usize) -> Self {
        let board = Board::new(cols, rows);
        Self {
            board,
            faces: Faces::new(board),
            own: board.zeros(),
            right: board.zeros(),
            found: board.zeros(),
            left: board.zeros(),
            multigrid: Multigrid::new(board),
            diagonal: board.zeros(),
            way: board.zeros(),
            applied: board.zeros(),
        }
    }

    /// Takes up changed faces and own parts.
    pub(crate) fn settle(&mut self) {
        let finest = &mut self.multigrid.levels[0];
        let pairs = [
            (&mut finest.faces.beside, &self.faces.beside),
            (&mut finest.faces.far, &self.faces.far),
            (&mut finest.faces.north, &self.faces.north),
            (&mut finest.faces.south, &self.faces.south),
        ];
        for (single, double) in pairs {
            narrow(double, single);
        }
        for colour in [RED, BLACK] {
            narrow(&self.own[colour], &mut finest.own[colour]);
            for row in 0..self.board.rows {
                let faces = self.faces.of(self.board, colour, row);
                let range = self.board.row(row);
                let own = &self.own[colour][range.clone()];
                for (k, diagonal) in self.diagonal[colour][range].iter_mut().enumerate() {
                    *diagonal = own[k] + faces[0][k] + faces[1][k] + (faces[2][k] + faces[3][k]);
                }
            }
        }
        self.multigrid.settle();
    }

    /// Solves until what is left is so small a share of the right side, both as roots of sums of squares. Answers the cycles
    /// it took.
    pub fn solve(&mut self, share: f64) -> usize {
        let enough = share * share * square(&self.right);
        self.begin();
        let mut before = f64::INFINITY;
        for cycle in 0..MOST_CYCLES {
            if square(&self.left) <= enough {
                return cycle;
            }
            let led = self.lead();
            self.turn(led / before);
            before = led;
            let along = self.apply();
            self.advance(led / along);
        }
        MOST_CYCLES
    }

    /// What the answer so far leaves of the right side.
    fn begin(&mut self) {
        for colour in [RED, BLACK] {
            self.way[colour].copy_from_slice(&self.found[colour]);
        }
        self.apply();
        for colour in [RED, BLACK] {
            let left = self.left[colour].iter_mut().zip(&self.right[colour]).zip(&self.applied[colour]);
            left.for_each(|((left, right), applied)| *left = right - applied);
        }
    }

    /// Asks the V-cycle where to go; answers how much of what is left lies that way.
    fn lead(&mut self) -> f64 {
        let finest = &mut self.multigrid.levels[0];
        for colour in [RED, BLACK] {
            narrow(&self.left[colour], &mut finest.right[colour]);
        }
        self.multigrid.cycle();
        let led = &self.multigrid.levels[0].found;
        [RED, BLACK].iter().map(|&c| dot_mixed(&self.left[c], &led[c])).sum()
    }

    /// The new way: where the cycle leads, and some of the old one.
    fn turn(&mut self, keeps: f64) {
        let led = &self.multigrid.levels[0].found;
        for colour in [RED, BLACK] {
            let ways = self.way[colour].iter_mut().zip(&led[colour]);
            if keeps == 0.0 {
                ways.for_each(|(way, led)| *way = f64::from(*led));
            } else {
                ways.for_each(|(way, led)| *way = f64::from(*led) + keeps * *way);
            }
        }
    }

    /// Puts the way into the equations; answers the product of the two.
    fn apply(&mut self) -> f64 {
        let mut product = 0.0;
        for colour in [RED, BLACK] {
            for row in 0..self.board.rows {
                let range = self.board.row(row);
                let applied = &mut self.applied[colour][range.clone()];
                self.faces.pull(self.board, colour, row, &self.way[1 - colour], applied);
                let way = &self.way[colour][range.clone()];
                let cells = applied.iter_mut().zip(way).zip(&self.diagonal[colour][range]);
                cells.for_each(|((applied, way), diagonal)| *applied = diagonal * way - *applied);
                product += dot(applied, way);
            }
        }
        product
    }

    fn advance(&mut self, far: f64) {
        for colour in [RED, BLACK] {
            let found = self.found[colour].iter_mut().zip(&self.way[colour]);
            found.for_each(|(found, way)| *found += far * way);
            let left = self.left[colour].iter_mut().zip(&self.applied[colour]);
            left.for_each(|(left, applied)| *left -= far * applied);
        }
    }
}

fn narrow(double: &[f64], single: &mut [f32]) {
    single.iter_mut().zip(double).for_each(|(single, double)| *single = *double as f32);
}

fn square(both: &Both<f64>) -> f64 {
    both.iter().map(|values| dot(values, values)).sum()
}

/// Sum of products, in eight running sums so that it can be worked out side by side.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (a, a_rest) = a.as_chunks::<8>();
    let (b, b_rest) = b.as_chunks::<8>();
    let mut sums = [0.0; 8];
    for (a, b) in a.iter().zip(b) {
        for k in 0..8 {
            sums[k] += a[k] * b[k];
        }
    }
    let rest: f64 = a_rest.iter().zip(b_rest).map(|(a, b)| a * b).sum();
    sums.iter().sum::<f64>() + rest
}

/// The same with single precision on one side.
fn dot_mixed(a: &[f64], b: &[f32]) -> f64 {
    let (a, a_rest) = a.as_chunks::<8>();
    let (b, b_rest) = b.as_chunks::<8>();
    let mut sums = [0.0; 8];
    for (a, b) in a.iter().zip(b) {
        for k in 0..8 {
            sums[k] += a[k] * f64::from(b[k]);
        }
    }
    let rest: f64 = a_rest.iter().zip(b_rest).map(|(a, b)| a * f64::from(*b)).sum();
    sums.iter().sum::<f64>() + rest
}

#[cfg(test)]
mod tests;
