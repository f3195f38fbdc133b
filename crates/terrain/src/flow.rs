//! Where water goes from each cell (D8).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::Grid;
use crate::cells::{neighbours, sortable, steps};
use crate::parallel::{band_cells, each};

/// Marks a cell whose way out is not known yet; direction codes have one bit set.
const OPEN: u8 = 255;
/// An open cell of a flat that reaches beyond its band.
const LEFT: u8 = 254;
/// A cell of the flat in hand.
const GATHERED: u8 = 253;

/// Direction codes on a filled surface (see [`fill`](crate::fill())): E 1, SE 2, S 4, SW 8, W 16, NW 32, N 64, NE 128; 0
/// leaves the grid or is missing.
///
/// Steepest drop over distance to one of eight neighbours (O'Callaghan and Mark, "The extraction of drainage networks
/// from digital elevation data", Computer Vision, Graphics, and Image Processing 28, 1984); of equal ones the first in
/// the order above. Through a filled hollow and over flat ground water keeps to the lowest ground: seen from the way
/// out the cells are reached lowest first, of equal ones the nearest first, and each drains to where it was reached
/// from (after Jenson and Domingue 1988 and Metz, Mitasova and Harmon, "Efficient extraction of drainage networks from
/// massive, radar-based elevation models with least cost path search", Hydrology and Earth System Sciences 15, 2011).
pub fn flow_directions(grid: &Grid, filled: &[f32], threads: usize) -> Vec<u8> {
    let mut codes = vec![0; filled.len()];
    if filled.len() != grid.levels().len() {
        return codes;
    }
    let land = Land::new(grid, filled);
    let band = band_cells(land.size, threads);
    let mut left = vec![Vec::new(); codes.len().div_ceil(band)];
    each(codes.chunks_mut(band).zip(&mut left).enumerate(), threads, |(k, (codes, left))| {
        land.steepest_rows(k * band / grid.cols(), codes);
        *left = Flats::new(&land, k * band, codes, OPEN).drain();
    });
    let mut flats = Flats::new(&land, 0, &mut codes, LEFT);
    left.into_iter().flatten().for_each(|cell| flats.drain_from(cell));
    codes
}

/// What directions are read from.
pub(crate) struct Land<'a> {
    size: (usize, usize),
    ground: &'a [f32],
    filled: &'a [f32],
    /// One over the distance to each neighbour.
    nearness: [f32; 8],
}

impl<'a> Land<'a> {
    pub fn new(grid: &'a Grid, filled: &'a [f32]) -> Self {
        let (x_m, y_m) = grid.cell_m();
        let diagonal = x_m.hypot(y_m);
        let away_m = [x_m, diagonal, y_m, diagonal, x_m, diagonal, y_m, diagonal];
        let nearness = away_m.map(|away_m| (1.0 / away_m) as f32);
        Self { size: (grid.cols(), grid.rows()), ground: grid.levels(), filled, nearness }
    }

    /// The code of one cell, [`OPEN`] where nothing is lower.
    pub fn steepest(&self, cell: usize) -> u8 {
        let here = self.filled[cell];
        let (mut code, mut most, mut known) = (OPEN, 0.0, 0);
        for (k, n) in neighbours(self.size, cell) {
            let there = self.filled[n];
            known += usize::from(!there.is_nan());
            let fall = (here - there) * self.nearness[k];
            if fall > most {
                (code, most) = (1 << k, fall);
            }
        }
        let leaves = code == OPEN && known < 8;
        if here.is_nan() || leaves { 0 } else { code }
    }

    /// The codes of whole rows from one on.
    fn steepest_rows(&self, first: usize, codes: &mut [u8]) {
        let (cols, rows) = self.size;
        for (row, codes) in (first..).zip(codes.chunks_mut(cols)) {
            let is_inside = row > 0 && row + 1 < rows && cols > 2;
            if is_inside {
                let rows = &self.filled[(row - 1) * cols..(row + 2) * cols];
                steepest_inside(rows, &self.nearness, &mut codes[1..cols - 1]);
            }
            for col in (0..cols).step_by(if is_inside { cols - 1 } else { 1 }) {
                codes[col] = self.steepest(row * cols + col);
            }
        }
    }
}

/// Codes along the middle one of three rows without its ends, as [`Land::steepest`] gives them.
fn steepest_inside(rows: &[f32], nearness: &[f32; 8], codes: &mut [u8]) {
    let (cols, inner) = (rows.len() / 3, codes.len());
    let at = |row: usize, col: usize| &rows[row * cols + col..row * cols + col + inner];
    let around = [at(1, 2), at(2, 2), at(2, 1), at(2, 0), at(1, 0), at(0, 0), at(0, 1), at(0, 2)];
    // Blocks small enough for the nearest cache, in a form that compilers turn into vector instructions.
    const BLOCK: usize = 128;
    for (part, codes) in codes.chunks_mut(BLOCK).enumerate() {
        let block = part * BLOCK..part * BLOCK + codes.len();
        let here = &at(1, 1)[block.clone()];
        let (mut best, mut most, mut missing) = ([0u32; BLOCK], [0f32; BLOCK], [0u32; BLOCK]);
        for (row, (k, near)) in around.iter().zip(nearness.iter().enumerate()) {
            let there = here.iter().zip(&row[block.clone()]);
            for (((best, most), missing), (here, there)) in
                best.iter_mut().zip(&mut most).zip(&mut missing).zip(there)
            {
                let fall = (here - there) * near;
                *best = if fall > *most { 1 << k } else { *best };
                *most = if fall > *most { fall } else { *most };
                *missing |= u32::from(there.is_nan() | here.is_nan());
            }
        }
        for ((code, best), missing) in codes.iter_mut().zip(best).zip(missing) {
            *code = if best | missing == 0 { OPEN } else { best as u8 };
        }
    }
}

/// Leads the open cells of flats to their low edges, in the rows whose codes are at hand.
pub(crate) struct Flats<'a> {
    land: &'a Land<'a>,
    /// Index of the first cell at hand.
    first: usize,
    codes: &'a mut [u8],
    open: u8,
    steps: [isize; 8],
    /// Cells reached but not left yet: lowest ground, then fewest steps from the way out, then smallest index.
    queue: BinaryHeap<Reverse<(u32, u32, u32)>>,
    flat: Vec<u32>,
}

impl<'a> Flats<'a> {
    fn new(land: &'a Land, first: usize, codes: &'a mut [u8], open: u8) -> Self {
        Self { land, first, codes, open, steps: steps(land.size.0), queue: BinaryHeap::new(), flat: Vec::new() }
    }

    /// Drains the flats that lie wholly at hand; answers a cell of each of the others.
    fn drain(&mut self) -> Vec<usize> {
        let mut left = Vec::new();
        for k in 0..self.codes.len() {
            if self.codes[k] == self.open && !self.try_drain(self.first + k) {
                self.flat.iter().for_each(|&cell| self.codes[cell as usize - self.first] = LEFT);
                left.push(self.first + k);
            }
        }
        left
    }

    /// Drains the flat of a cell unless that is done.
    fn drain_from(&mut self, cell: usize) {
        if self.codes[cell - self.first] == self.open {
            self.try_drain(cell);
        }
    }

    fn try_drain(&mut self, start: usize) -> bool {
        let is_whole = self.gather(start);
        if is_whole {
            while let Some(Reverse((_, away, cell))) = self.queue.pop() {
                self.reach_from(cell as usize, away + 1);
            }
        }
        self.queue.clear();
        is_whole
    }

    /// Finds the cells of a flat and queues its low edge. False if it may go on beyond what is at hand.
    fn gather(&mut self, start: usize) -> bool {
        let level = self.land.filled[start];
        let (mut next, mut is_whole) = (0, true);
        self.flat.clear();
        self.flat.push(start as u32);
        self.codes[start - self.first] = GATHERED;
        while let Some(&cell) = self.flat.get(next) {
            next += 1;
            // The border drains by itself, so that every cell of a flat has eight neighbours.
            for n in self.steps.map(|step| (cell as usize).wrapping_add_signed(step)) {
                let Some(code) = self.codes.get_mut(n.wrapping_sub(self.first)) else {
                    is_whole = false;
                    continue;
                };
                if *code == self.open && self.land.filled[n] == level {
                    *code = GATHERED;
                    self.flat.push(n as u32);
                } else if *code != GATHERED && self.land.filled[n] == level {
                    self.queue.push(Reverse((sortable(level), 0, n as u32)));
                }
            }
        }
        is_whole
    }

    fn reach_from(&mut self, cell: usize, away: u32) {
        if away > 1 {
            for (k, step) in self.steps.into_iter().enumerate() {
                self.reach(k, cell.wrapping_add_signed(step), away);
            }
        } else {
            neighbours(self.land.size, cell).for_each(|(k, n)| self.reach(k, n, away));
        }
    }

    fn reach(&mut self, k: usize, cell: usize, away: u32) {
        if let Some(code) = self.codes.get_mut(cell.wrapping_sub(self.first)).filter(|code| **code == GATHERED) {
            *code = 1 << ((k + 4) % 8);
            self.queue.push(Reverse((sortable(self.land.ground[cell]), away, cell as u32)));
        }
    }
}
