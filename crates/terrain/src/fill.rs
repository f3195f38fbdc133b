//! Filling every hollow to its spill level.
//!
//! Only hollows are flooded, not the whole ground: water rises from each pit over the lowest cells around it first, as
//! in the Priority-Flood of Barnes, Lehman and Mulla ("Priority-Flood: an optimal depression-filling and
//! watershed-labeling algorithm", Computers & Geosciences 62, 2014), until it finds a way down. If that way ends in
//! ground that is known to drain, the hollow is full. If it ends in another pit, the hollow waits until that one has
//! either spilled or risen to the same level, when the two become one. Each cell of a hollow and of its rim is so
//! looked at about once, and the rest of the ground only in one plain pass over the rows that finds the pits.
//!
//! Threads fill bands of rows for themselves, as if water could leave over the cuts between them. What they find is
//! never too high (as in Barnes, "Parallel Priority-Flood depression filling for trillion cell digital elevation models
//! on desktops or clusters", Computers & Geosciences 96, 2016); flooding again from the pits left in the rows along the
//! cuts makes it exact.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::Grid;
use crate::cells::{lowest_around, rank, steps};
use crate::parallel::{band_cells, each};

/// Ground with every hollow filled to its spill level, metres; `NaN` on missing ground.
///
/// Water leaves over the border and beside missing ground; no hollow is filled above such cells. The answer is the same
/// with any number of threads.
pub fn fill(grid: &Grid, threads: usize) -> Vec<f32> {
    let size @ (cols, rows) = (grid.cols(), grid.rows());
    let band = band_cells(size, threads);
    let (mut level, mut owner) = (vec![0.0; cols * rows], vec![0; cols * rows]);
    let mut used = vec![0; (cols * rows).div_ceil(band)];
    let parts = level.chunks_mut(band).zip(owner.chunks_mut(band)).zip(grid.levels().chunks(band)).zip(&mut used);
    each(parts, threads, |(((level, owner), ground), used)| {
        level.copy_from_slice(ground);
        let mut basins = Basins::new(cols, level, owner, 0);
        basins.drain_rows();
        *used = basins.next;
    });
    let mut basins = Basins::new(cols, &mut level, &mut owner, used.into_iter().max().unwrap_or(0));
    for cut in (band..cols * rows).step_by(band) {
        (cut - cols..cut + cols).for_each(|cell| basins.drain(cell));
    }
    level
}

/// A flood that rises from a pit.
#[derive(Default)]
struct Flood {
    /// Number of its first cell's owner; floods above it on the stack have larger ones.
    id: u32,
    level: f32,
    /// Cells it may rise over next, by [`rank`].
    shore: BinaryHeap<Reverse<u64>>,
    pool: Vec<u32>,
}

/// Whose a cell is.
enum Owner {
    Nobody,
    /// Known to drain at its level.
    Settled,
    /// A flood on the stack.
    Flood(usize),
}

/// Hollows being filled. The border of the cells given counts as drained.
pub(crate) struct Basins<'a> {
    steps: [isize; 8],
    cols: usize,
    level: &'a mut [f32],
    owner: &'a mut [u32],
    /// Owners up to this number are of the past and mean nobody.
    past: u32,
    next: u32,
    /// Each waits for the one after it; the last is rising.
    stack: Vec<Flood>,
    spare: Vec<Flood>,
    way: Vec<u32>,
    /// Cells that were raised, where that is asked for.
    pub raised: Option<Vec<u32>>,
}

impl<'a> Basins<'a> {
    /// Floods to be on rows of `cols` cells.
    pub fn new(cols: usize, level: &'a mut [f32], owner: &'a mut [u32], past: u32) -> Self {
        let border = past + 1;
        let last = owner.len().saturating_sub(cols);
        owner[..cols].fill(border);
        owner[last..].fill(border);
        for row in owner.chunks_exact_mut(cols) {
            (row[0], row[cols - 1]) = (border, border);
        }
        let (stack, spare, way) = (Vec::new(), Vec::new(), Vec::new());
        Self { steps: steps(cols), cols, level, owner, past, next: past + 2, stack, spare, way, raised: None }
    }

    /// Fills every hollow.
    fn drain_rows(&mut self) {
        let (cols, mut pits) = (self.cols, Vec::new());
        for start in (cols..self.level.len().saturating_sub(cols)).step_by(cols) {
            find_pits(&self.level[start - cols..start + 2 * cols], &mut pits);
            for &col in &pits {
                self.drain(start + col as usize);
            }
        }
    }

    /// Makes a cell drain if it does not yet.
    pub fn drain(&mut self, cell: usize) {
        if self.level[cell].is_nan() || !matches!(self.owner(cell), Owner::Nobody) {
            return;
        }
        if lowest_around(self.level, &self.steps, cell).is_some() {
            return;
        }
        self.begin(cell);
        while let Some(Reverse(entry)) = self.stack.last_mut().and_then(|flood| flood.shore.pop()) {
            self.rise_over(entry as u32 as usize);
        }
        // Only ground without a border could leave a flood with nowhere to go.
        self.settle();
    }

    fn owner(&self, cell: usize) -> Owner {
        let id = self.owner[cell];
        if id <= self.past {
            return Owner::Nobody;
        }
        match self.stack.iter().rposition(|flood| flood.id <= id) {
            Some(flood) => Owner::Flood(flood),
            None => Owner::Settled,
        }
    }

    fn begin(&mut self, cell: usize) {
        let mut flood = self.spare.pop().unwrap_or_default();
        (flood.id, flood.level) = (self.next, self.level[cell]);
        flood.shore.push(rank(flood.level, cell));
        self.owner[cell] = flood.id;
        self.next += 1;
        self.stack.push(flood);
    }

    /// The rising flood takes the lowest cell of its shore.
    fn rise_over(&mut self, cell: usize) {
        let top = self.stack.len() - 1;
        self.stack[top].level = self.stack[top].level.max(self.level[cell]);
        match self.owner(cell) {
            Owner::Flood(flood) if flood == top => self.spread_from(cell),
            Owner::Flood(flood) => self.merge_down_to(flood),
            _ => self.settle(),
        }
    }

    /// Takes the neighbours of a flooded cell into the shore, unless one of them leads the water away.
    fn spread_from(&mut self, cell: usize) {
        let Some(flood) = self.stack.last_mut() else { return };
        let (mut lower, mut least) = (None, flood.level);
        for step in self.steps {
            let n = cell.wrapping_add_signed(step);
            let (there, id) = (self.level[n], self.owner[n]);
            if there.is_nan() {
                return self.settle();
            } else if id >= flood.id {
                continue;
            } else if there < flood.level {
                if there < least {
                    (lower, least) = (Some(n), there);
                }
            } else {
                if id <= self.past {
                    self.owner[n] = flood.id;
                }
                flood.shore.push(rank(there, n));
            }
        }
        match lower {
            None => flood.pool.push(cell as u32),
            Some(n) => {
                // Should the water below rise up to here, this cell has its other neighbours still to give.
                flood.shore.push(rank(flood.level, cell));
                self.follow(n);
            }
        }
    }

    /// Follows the way down from where a flood spills, to ground that drains or to another pit.
    fn follow(&mut self, start: usize) {
        self.way.clear();
        let mut cell = start;
        while !matches!(self.owner(cell), Owner::Settled) {
            self.way.push(cell as u32);
            match lowest_around(self.level, &self.steps, cell) {
                Some(lower) if self.level[lower].is_nan() => break,
                Some(lower) => cell = lower,
                None => return self.begin(cell),
            }
        }
        for &cell in &self.way {
            self.owner[cell as usize] = self.past + 1;
        }
        self.settle();
    }

    /// Floods that have met become one.
    fn merge_down_to(&mut self, keep: usize) {
        while self.stack.len() > keep + 1 {
            let Some(mut upper) = self.stack.pop() else { return };
            let lower = &mut self.stack[keep];
            if upper.shore.len() > lower.shore.len() {
                std::mem::swap(&mut upper.shore, &mut lower.shore);
            }
            if upper.pool.len() > lower.pool.len() {
                std::mem::swap(&mut upper.pool, &mut lower.pool);
            }
            lower.level = lower.level.max(upper.level);
            lower.shore.append(&mut upper.shore);
            lower.pool.append(&mut upper.pool);
            self.spare.push(upper);
        }
    }

    /// The rising flood has found its way out, and with it all that wait for it.
    fn settle(&mut self) {
        for mut flood in self.stack.drain(..) {
            for cell in flood.pool.drain(..) {
                if self.level[cell as usize] < flood.level {
                    self.level[cell as usize] = flood.level;
                    if let Some(raised) = &mut self.raised {
                        raised.push(cell);
                    }
                }
            }
            flood.shore.clear();
            self.spare.push(flood);
        }
    }
}

/// Columns of the middle one of three rows with nothing lower around them; its ends are left out.
fn find_pits(rows: &[f32], pits: &mut Vec<u32>) {
    let cols = rows.len() / 3;
    let inner = cols.saturating_sub(2);
    let at = |row: usize, col: usize| &rows[row * cols + col..row * cols + col + inner];
    let around = [at(0, 0), at(0, 1), at(0, 2), at(1, 0), at(1, 2), at(2, 0), at(2, 1), at(2, 2)];
    let here = at(1, 1);
    pits.clear();
    // Blocks small enough for the nearest cache, in a form that compilers turn into vector instructions.
    const BLOCK: usize = 64;
    for start in (0..inner).step_by(BLOCK) {
        let block = start..(start + BLOCK).min(inner);
        let mut low = [f32::INFINITY; BLOCK];
        for row in around {
            for (low, &there) in low.iter_mut().zip(&row[block.clone()]) {
                *low = if there < *low { there } else { *low };
            }
        }
        let is_pit = here[block].iter().zip(&low).enumerate().filter(|(_, (here, low))| here <= low);
        pits.extend(is_pit.map(|(k, _)| (start + k + 1) as u32));
    }
}
