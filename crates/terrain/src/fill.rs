//! Filling every hollow to its spill level: Priority-Flood.
//!
//! After Barnes, Lehman and Mulla, "Priority-Flood: an optimal depression-filling and watershed-labeling algorithm",
//! Computers & Geosciences 62 (2014), with two plain lists beside the queue: one for cells at the flood level, one for
//! cells on the way up, which keep their level whatever happens below them and so need no queue.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::pad::Pad;

struct Flood<'a> {
    pad: Pad,
    level: &'a mut [f32],
    seen: Vec<bool>,
    shore: BinaryHeap<Reverse<u64>>,
    pool: Vec<u32>,
    climb: Vec<u32>,
}

/// Raises the framed levels in place until every cell can drain to missing ground or the frame.
pub(crate) fn fill(pad: Pad, level: &mut [f32]) {
    let mut flood = Flood {
        pad,
        seen: level.iter().map(|z| z.is_nan()).collect(),
        level,
        shore: BinaryHeap::new(),
        pool: Vec::new(),
        climb: Vec::new(),
    };
    flood.start_at_outlets();
    while let Some(Reverse(entry)) = flood.shore.pop() {
        flood.enter(entry as u32 as usize);
        flood.settle();
    }
}

/// A whole number that sorts as the level does, with the cell below it to break ties.
fn rank(level: f32, cell: usize) -> Reverse<u64> {
    let bits = level.to_bits();
    let sortable = if bits >> 31 == 1 { !bits } else { bits | 0x8000_0000 };
    Reverse((sortable as u64) << 32 | cell as u64)
}

impl Flood<'_> {
    /// Outlets are the cells beside missing ground; with the frame that includes the grid's border.
    fn start_at_outlets(&mut self) {
        let outlets: Vec<usize> = self
            .pad
            .inner()
            .filter(|&cell| !self.seen[cell] && self.pad.around(cell).iter().any(|&n| self.level[n].is_nan()))
            .collect();
        for &cell in &outlets {
            self.seen[cell] = true;
        }
        self.shore = outlets.into_iter().map(|cell| rank(self.level[cell], cell)).collect();
    }

    /// Floods from a cell whose turn it is: lower neighbours fill to its level, higher ones start a climb.
    fn enter(&mut self, cell: usize) {
        let flood = self.level[cell];
        for n in self.pad.around(cell) {
            if self.seen[n] {
                continue;
            }
            self.seen[n] = true;
            if self.level[n] <= flood {
                self.level[n] = flood;
                self.pool.push(n as u32);
            } else {
                self.climb.push(n as u32);
            }
        }
    }

    /// Goes on uphill from a cell that keeps its own level. True if it borders lower ground not reached yet.
    fn ascend(&mut self, cell: usize) -> bool {
        let here = self.level[cell];
        let mut borders_lower = false;
        for n in self.pad.around(cell) {
            if self.seen[n] {
                continue;
            }
            if self.level[n] >= here {
                self.seen[n] = true;
                self.climb.push(n as u32);
            } else {
                borders_lower = true;
            }
        }
        borders_lower
    }

    /// Floods the pool, then climbs from its shore in the order reached.
    fn settle(&mut self) {
        while let Some(cell) = self.pool.pop() {
            self.enter(cell as usize);
        }
        let (mut next, mut waiting) = (0, 0);
        while next < self.climb.len() {
            let cell = self.climb[next];
            next += 1;
            if self.ascend(cell as usize) {
                self.climb[waiting] = cell;
                waiting += 1;
            }
        }
        self.climb.truncate(waiting);
        self.queue_shore();
    }

    /// Of the cells left in the climb those that still border ground not reached wait for the flood at their level.
    fn queue_shore(&mut self) {
        for &cell in &self.climb {
            let cell = cell as usize;
            if self.pad.around(cell).iter().any(|&n| !self.seen[n]) {
                self.shore.push(rank(self.level[cell], cell));
            }
        }
        self.climb.clear();
    }
}
