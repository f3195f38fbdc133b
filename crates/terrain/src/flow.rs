//! Where water goes from each cell (D8).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::Grid;
use crate::cells::{neighbours, rank, steps};
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
/// the order above. Through a filled hollow water keeps to its bed: seen from the way out the cells are reached lowest
/// ground first, over level ground nearest first, and each drains to where it was reached from (after Jenson and
/// Domingue, "Extracting topographic structure from digital elevation data for geographic information system analysis",
/// Photogrammetric Engineering and Remote Sensing 54, 1988, and Metz, Mitasova and Harmon, "Efficient extraction of
/// drainage networks from massive, radar-based elevation models with least cost path search", Hydrology and Earth System
/// Sciences 15, 2011).
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

    /// Brings codes up to date in cells and in the flats beside them; answers all cells it looked at.
    pub fn redirect(&self, codes: &mut [u8], mut cells: Vec<usize>) -> Vec<usize> {
        for &cell in &cells {
            codes[cell] = self.steepest(cell);
        }
        let beside = cells.iter().flat_map(|&cell| neighbours(self.size, cell).map(|(_, n)| n).chain([cell]));
        let mut flats: Vec<usize> = beside.filter(|&cell| self.reopens(codes, cell)).collect();
        let mut next = 0;
        while let Some(&cell) = flats.get(next) {
            next += 1;
            let beside = neighbours(self.size, cell).map(|(_, n)| n).filter(|&n| self.filled[n] == self.filled[cell]);
            flats.extend(beside.filter(|&n| self.reopens(codes, n)));
        }
        let mut open = Flats::new(self, 0, codes, LEFT);
        flats.iter().for_each(|&cell| open.drain_from(cell));
        cells.append(&mut flats);
        cells
    }

    /// Opens a cell of a flat again; false if it is no such cell or open already.
    fn reopens(&self, codes: &mut [u8], cell: usize) -> bool {
        let reopens = codes[cell] != LEFT && self.steepest(cell) == OPEN;
        if reopens {
            codes[cell] = LEFT;
        }
        reopens
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
    flat: Vec<u32>,
    /// Cells at the level of the flat in the order reached: first its low edge.
    shore: Vec<u32>,
    /// Cells reached below the level, the lowest ground first.
    bed: BinaryHeap<Reverse<u64>>,
}

impl<'a> Flats<'a> {
    fn new(land: &'a Land, first: usize, codes: &'a mut [u8], open: u8) -> Self {
        let (flat, shore, bed) = (Vec::new(), Vec::new(), BinaryHeap::new());
        Self { land, first, codes, open, steps: steps(land.size.0), flat, shore, bed }
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
        if !self.gather(start) {
            return false;
        }
        self.shore.sort_unstable();
        self.shore.dedup();
        let (edge, mut next) = (self.shore.len(), 0);
        while let Some(&cell) = self.shore.get(next) {
            self.reach_from(cell as usize, next < edge);
            next += 1;
            while let Some(Reverse(entry)) = self.bed.pop() {
                self.reach_from(entry as u32 as usize, false);
            }
        }
        true
    }

    /// Finds the cells of a flat and its low edge. False if it may go on beyond what is at hand.
    fn gather(&mut self, start: usize) -> bool {
        let level = self.land.filled[start];
        let (mut next, mut is_whole) = (0, true);
        self.shore.clear();
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
                if *code == GATHERED || self.land.filled[n] != level {
                    continue;
                } else if *code == self.open {
                    *code = GATHERED;
                    self.flat.push(n as u32);
                } else {
                    self.shore.push(n as u32);
                }
            }
        }
        is_whole
    }

    fn reach_from(&mut self, cell: usize, is_edge: bool) {
        if is_edge {
            neighbours(self.land.size, cell).for_each(|(k, n)| self.reach(k, n));
        } else {
            for (k, step) in self.steps.into_iter().enumerate() {
                self.reach(k, cell.wrapping_add_signed(step));
            }
        }
    }

    fn reach(&mut self, k: usize, cell: usize) {
        let Some(code) = self.codes.get_mut(cell.wrapping_sub(self.first)).filter(|code| **code == GATHERED) else {
            return;
        };
        *code = 1 << ((k + 4) % 8);
        let ground = self.land.ground[cell];
        if ground < self.land.filled[cell] {
            self.bed.push(rank(ground, cell));
        } else {
            self.shore.push(cell as u32);
        }
    }
}
