//! The way of water after a change of the ground that touches a small area: only what the change reaches is worked out.

use std::cmp::Reverse;

use crate::accumulate::inflows_of;
use crate::cells::{neighbours, rank};
use crate::fill::sink;
use crate::flow::Land;
use crate::{Grid, Water, Window};

impl Water {
    /// The way of water over `now`, a ground that differs from the `before` that this was worked out for only inside a
    /// window: exactly what [`Water::of`] finds, in time that goes with what the change reaches.
    ///
    /// Where ground has gone missing or appeared, or the grids do not fit, everything is worked out anew.
    pub fn after(&self, before: &Grid, now: &Grid, window: Window) -> Water {
        match self.fits(before) && self.fits(now) {
            true => self.rerouted(before, now, window).unwrap_or_else(|| Water::of(now)),
            false => Water::of(now),
        }
    }

    fn rerouted(&self, before: &Grid, now: &Grid, window: Window) -> Option<Water> {
        let (was, is) = (before.levels(), now.levels());
        let changed: Vec<usize> =
            cells_of(now, window).filter(|&cell| was[cell].to_bits() != is[cell].to_bits()).collect();
        if changed.iter().any(|&cell| was[cell].is_nan() || is[cell].is_nan()) {
            return None;
        }
        let mut water = self.clone();
        let refilled = water.refill(now, &changed);
        let touched: Vec<usize> =
            refilled.into_iter().filter(|&cell| water.filled[cell] != self.filled[cell]).chain(changed).collect();
        let turned = water.redirect(now, &touched, &self.directions);
        water.recount(&turned, self);
        Some(water)
    }

    /// Brings the filled surface up to date; answers the cells whose level may have changed.
    fn refill(&mut self, now: &Grid, changed: &[usize]) -> Vec<usize> {
        let (size, ground) = (self.size(), now.levels());
        for &cell in changed {
            self.filled[cell] = if self.is_border(cell) { ground[cell] } else { self.filled[cell] };
        }
        let mut touched = self.dam_up(ground, changed);
        touched.extend(changed);
        let first = self.with_neighbours(&touched).into_iter().filter_map(|cell| {
            let level = self.sinks_to(ground, cell);
            (level < self.filled[cell]).then(|| rank(level, cell))
        });
        let first: Vec<Reverse<u64>> = first.collect();
        touched.extend(sink(size.0, &mut self.filled, ground, first).into_iter().map(|cell| cell as usize));
        touched
    }

    /// Raises the level of raised cells and of all above them to what still drains the old way: never too low.
    fn dam_up(&mut self, ground: &[f32], changed: &[usize]) -> Vec<usize> {
        let mut raised: Vec<usize> = changed.to_vec();
        for &cell in changed {
            self.filled[cell] = self.filled[cell].max(ground[cell]);
        }
        let mut next = 0;
        while let Some(&cell) = raised.get(next) {
            next += 1;
            for n in inflows_of(self.size(), &self.directions, cell) {
                if self.filled[n] < self.filled[cell] && !self.is_border(n) {
                    self.filled[n] = self.filled[cell];
                    raised.push(n);
                }
            }
        }
        raised
    }

    /// Cells and those next to them, ascending, each once.
    fn with_neighbours(&self, cells: &[usize]) -> Vec<usize> {
        let about = |&cell: &usize| neighbours(self.size(), cell).map(|(_, n)| n).chain([cell]);
        let mut all: Vec<usize> = cells.iter().flat_map(about).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The level to which a cell can sink in view of its neighbours.
    fn sinks_to(&self, ground: &[f32], cell: usize) -> f32 {
        let levels = neighbours(self.size(), cell).map(|(_, n)| self.filled[n]);
        let (low, known) = levels.filter(|z| !z.is_nan()).fold((f32::INFINITY, 0), |(low, k), z| (low.min(z), k + 1));
        if known < 8 { ground[cell] } else { low.max(ground[cell]) }
    }

    fn is_border(&self, cell: usize) -> bool {
        neighbours(self.size(), cell).count() < 8
    }

    /// Brings the directions up to date; answers the cells that drain elsewhere than before.
    fn redirect(&mut self, now: &Grid, touched: &[usize], before: &[u8]) -> Vec<usize> {
        let about = self.with_neighbours(touched);
        let mut turned = Land::new(now, &self.filled).redirect(&mut self.directions, about);
        turned.retain(|&cell| self.directions[cell] != before[cell]);
        turned
    }

    /// Counts anew the cells uphill of those below cells that turned, on their old way as on their new one.
    fn recount(&mut self, turned: &[usize], before: &Water) {
        let mut waiting = vec![0u8; self.directions.len()];
        let mut below: Vec<usize> = Vec::new();
        for start in turned.iter().flat_map(|&cell| [before.next(cell), self.next(cell)]).flatten() {
            let mut cell = Some(start);
            while let Some(here) = cell.filter(|&cell| waiting[cell] == 0) {
                waiting[here] = 1;
                below.push(here);
                cell = self.next(here);
            }
        }
        // One more than the inflows to wait for, so that cells elsewhere stay apart.
        for next in below.iter().filter_map(|&cell| self.next(cell)) {
            waiting[next] += 1;
        }
        let mut ready: Vec<usize> = below.iter().copied().filter(|&cell| waiting[cell] == 1).collect();
        while let Some(cell) = ready.pop() {
            let inflows = inflows_of(self.size(), &self.directions, cell);
            self.uphill[cell] = 1 + inflows.map(|n| self.uphill[n]).sum::<u32>();
            if let Some(next) = self.next(cell) {
                waiting[next] -= 1;
                if waiting[next] == 1 {
                    ready.push(next);
                }
            }
        }
    }
}

/// The cells of a window, as far as it lies on the grid.
fn cells_of(grid: &Grid, window: Window) -> impl Iterator<Item = usize> {
    let (cols, rows) = (grid.cols(), grid.rows());
    let end = |start: usize, count: usize, most: usize| start.saturating_add(count).min(most);
    let (last_col, last_row) = (end(window.col, window.cols, cols), end(window.row, window.rows, rows));
    (window.row..last_row).flat_map(move |row| (window.col..last_col).map(move |col| row * cols + col))
}
