//! Filling every hollow to its spill level.
//!
//! The filled surface is what a very high water table over all the ground sinks to when water may leave over the border.
//! Sweeps down and up the rows let it sink as far as water falls along them, which settles all but a few cells, and a
//! queue that takes the lowest first sees to the rest: the morphological reconstruction of L. Vincent, "Morphological
//! grayscale reconstruction in image analysis: applications and efficient algorithms", IEEE Transactions on Image
//! Processing 2 (1993), with the queue of the Priority-Flood (Barnes, Lehman and Mulla, "Priority-Flood: an optimal
//! depression-filling and watershed-labeling algorithm", Computers & Geosciences 62, 2014) in place of the plain one,
//! so that no cell is settled twice however hollows are nested.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::Grid;
use crate::cells::{level_of, rank, steps};
use crate::parallel::{band_cells, each, map};

/// Sweeps over each half of the rows before the queue; measured: two leave twelve times as much to the queue, and more
/// than four take longer than what they leave less.
const SWEEPS: usize = 4;

/// Ground with every hollow filled to its spill level, metres; `NaN` on missing ground.
///
/// Water leaves over the border and beside missing ground; no hollow is filled above such cells. The answer is the same
/// with any number of threads.
pub fn fill(grid: &Grid, threads: usize) -> Vec<f32> {
    let size @ (cols, rows) = (grid.cols(), grid.rows());
    let mut table = vec![0.0; cols * rows];
    let middle = rows / 2 * cols;
    let (upper, lower) = table.split_at_mut(middle);
    let (upper_ground, lower_ground) = grid.levels().split_at(middle);
    let mut halves = [
        Half { cols, level: upper, ground: upper_ground, is_upper: true },
        Half { cols, level: lower, ground: lower_ground, is_upper: false },
    ];
    for sweep in 0..SWEEPS {
        let edges = [halves[1].level[..cols].to_vec(), halves[0].level[middle - cols..].to_vec()];
        each(halves.iter_mut().zip(edges), threads, |(half, edge)| half.sweep(sweep, &edge));
    }
    let band = band_cells(size, threads);
    let parts = map((cols * rows).div_ceil(band), threads, |k| sinking(cols, &table, grid.levels(), k * band, band));
    sink(cols, &mut table, grid.levels(), parts.into_iter().flatten().collect());
    each(table.chunks_mut(band).zip(grid.levels().chunks(band)), threads, |(table, ground)| {
        for (level, z) in table.iter_mut().zip(ground) {
            *level = if z.is_nan() { f32::NAN } else { *level };
        }
    });
    table
}

/// Half of the rows: swept from the border to the middle and back.
struct Half<'a> {
    cols: usize,
    level: &'a mut [f32],
    ground: &'a [f32],
    is_upper: bool,
}

impl Half<'_> {
    /// An even sweep comes from the border, an odd one from the middle, where the other half's row lies.
    fn sweep(&mut self, number: usize, edge: &[f32]) {
        if number == 0 {
            self.start();
        }
        let from_border = number.is_multiple_of(2);
        let rows = self.level.chunks_exact_mut(self.cols).zip(self.ground.chunks_exact(self.cols));
        match (from_border, self.is_upper) {
            (true, true) => sweep(rows, None, false),
            (true, false) => sweep(rows.rev(), None, true),
            (false, true) => sweep(rows.rev(), Some(edge), true),
            (false, false) => sweep(rows, Some(edge), false),
        }
    }

    /// Water as high as can be, but at the ground along the border and below everything where ground is missing.
    fn start(&mut self) {
        let (cols, last) = (self.cols, (self.level.len() / self.cols).saturating_sub(1));
        for (k, (row, ground)) in self.level.chunks_exact_mut(cols).zip(self.ground.chunks_exact(cols)).enumerate() {
            let is_border = k == if self.is_upper { 0 } else { last };
            for (col, (level, z)) in row.iter_mut().zip(ground).enumerate() {
                let high = if is_border || col == 0 || col + 1 == cols { *z } else { f32::INFINITY };
                *level = if z.is_nan() { f32::NEG_INFINITY } else { high };
            }
        }
    }
}

/// Takes rows in turn, each after the one before it; without an edge the first row is the border and stays.
fn sweep<'a>(mut rows: impl Iterator<Item = (&'a mut [f32], &'a [f32])>, edge: Option<&'a [f32]>, leftward: bool) {
    let Some(mut before) = edge.or_else(|| rows.next().map(|(row, _)| &*row)) else { return };
    let mut inflow = vec![0.0; before.len()];
    for (row, ground) in rows {
        sink_row(before, row, ground, &mut inflow, leftward);
        before = row;
    }
}

/// Lets a row sink to the row before it and along itself.
fn sink_row(before: &[f32], row: &mut [f32], ground: &[f32], inflow: &mut [f32], leftward: bool) {
    let last = row.len() - 1;
    let lowest = before.windows(3).map(|three| low(low(three[0], three[1]), three[2]));
    for ((inflow, lowest), here) in inflow[1..].iter_mut().zip(lowest).zip(&row[1..]) {
        *inflow = low(lowest, *here);
    }
    let mut beside = if leftward { row[last] } else { row[0] };
    let mut step = |((level, z), inflow): ((&mut f32, &f32), &f32)| {
        beside = high(*z, low(*inflow, beside));
        *level = beside;
    };
    let cells = row[1..last].iter_mut().zip(&ground[1..last]).zip(&inflow[1..last]);
    if leftward { cells.rev().for_each(&mut step) } else { cells.for_each(&mut step) }
}

/// The lower of two, the second where the first is not a number: one instruction, unlike `f32::min`.
fn low(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

/// The higher of two, the second where the first is not a number.
fn high(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

/// Cells of a band that may still sink, with the level they sink to first.
fn sinking(cols: usize, table: &[f32], ground: &[f32], first: usize, count: usize) -> Vec<Reverse<u64>> {
    let mut found = Vec::new();
    let mut lowest = vec![0.0; cols];
    let inner = first.max(cols)..(first + count).min(table.len() - cols);
    for start in inner.step_by(cols) {
        lowest.fill(f32::INFINITY);
        for row in [start - cols, start, start + cols].map(|start| &table[start..start + cols]) {
            for (lowest, three) in lowest[1..].iter_mut().zip(row.windows(3)) {
                *lowest = low(low(low(three[0], three[1]), three[2]), *lowest);
            }
        }
        for cell in start + 1..start + cols - 1 {
            let level = high(ground[cell], lowest[cell - start]);
            if level < table[cell] {
                found.push(rank(level, cell));
            }
        }
    }
    found
}

/// Lets cells sink, the lowest first, and those around them after them; answers the cells that did.
pub(crate) fn sink(cols: usize, table: &mut [f32], ground: &[f32], first: Vec<Reverse<u64>>) -> Vec<u32> {
    let steps = steps(cols);
    let mut queue = BinaryHeap::from(first);
    let mut sunk: Vec<u32> = Vec::new();
    while let Some(Reverse(entry)) = queue.pop() {
        let (level, cell) = (level_of(entry), entry as u32);
        if level >= table[cell as usize] {
            continue;
        }
        table[cell as usize] = level;
        // What lies under water sinks to the same level at once.
        let mut next = sunk.len();
        sunk.push(cell);
        while let Some(&cell) = sunk.get(next) {
            next += 1;
            for n in steps.map(|step| (cell as usize).wrapping_add_signed(step)) {
                let there = high(ground[n], level);
                if there < table[n] && there == level {
                    table[n] = level;
                    sunk.push(n as u32);
                } else if there < table[n] {
                    queue.push(rank(there, n));
                }
            }
        }
    }
    sunk
}
