//! Threads of accumulated flow, cell by cell, parted into the stretches that are worth a line.

use crate::Water;
use crate::cells::neighbours;

/// Cells uphill below which a thread means nothing, whatever is asked for.
const LEAST_CELLS: f64 = 20.0;
/// A thread shorter than so many cells, with nothing joining it, is a stub.
const STUB: usize = 6;
/// Squared distance in cells within which two threads run side by side: a little over three cells.
const BESIDE: isize = 13;
/// Cells that a thread may run beside a larger one, as they do above a confluence.
const RUN: usize = 15;
/// Cells by which a thread may part from a larger one and still count as beside it.
const GAP: usize = 5;
const NOBODY: u32 = u32::MAX;

/// A piece of a thread that is drawn as one line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Stretch {
    /// Cells from the top down.
    pub cells: Vec<u32>,
    /// The earlier stretch it runs into, and the cell near which it does.
    pub joins: Option<(usize, u32)>,
}

/// A thread from its head down to where it leaves the ground or meets a larger one.
struct Thread {
    cells: Vec<u32>,
    /// The thread it runs into and the cell of the confluence.
    into: Option<(usize, u32)>,
}

/// Stretches with at least so many cells uphill, the largest first, so that each joins only earlier ones.
pub(crate) fn stretches(water: &Water, least_cells: f64) -> Vec<Stretch> {
    let mut threads = without_stubs(threads(water, least_cells.max(LEAST_CELLS)));
    let rank =
        |thread: &Thread| thread.cells.last().map(|&cell| (water.cells_uphill()[cell as usize], NOBODY - cell));
    threads.sort_by_key(|thread| std::cmp::Reverse(rank(thread)));
    let mut map = Map { size: water.size(), nearest: vec![NOBODY; water.directions().len()] };
    let mut found = Vec::new();
    for thread in threads {
        for stretch in map.part(&thread) {
            map.mark(&stretch.cells, found.len() as u32);
            found.push(stretch);
        }
    }
    found
}

/// Follows every thread up from its lower end; at a confluence the inflow with most cells uphill goes on.
fn threads(water: &Water, least_cells: f64) -> Vec<Thread> {
    let wet = |cell: usize| water.cells_uphill()[cell] as f64 >= least_cells;
    let ends = (0..water.directions().len()).filter(|&cell| wet(cell) && water.next(cell).is_none());
    let mut starts: Vec<(usize, Option<(usize, u32)>)> = ends.map(|cell| (cell, None)).collect();
    let mut threads = Vec::new();
    let mut next = 0;
    while let Some(&(start, into)) = starts.get(next) {
        next += 1;
        let mut cells = vec![start as u32];
        let mut cell = start;
        while let Some((main, others)) = inflows(water, cell, &wet).split_first() {
            starts.extend(others.iter().map(|&other| (other, Some((threads.len(), cell as u32)))));
            cells.push(*main as u32);
            cell = *main;
        }
        cells.reverse();
        threads.push(Thread { cells, into });
    }
    threads
}

/// Neighbours of a thread's cell that belong to threads and drain into it, the largest first.
fn inflows(water: &Water, cell: usize, wet: &impl Fn(usize) -> bool) -> Vec<usize> {
    let around = neighbours(water.size(), cell).map(|(_, n)| n);
    let mut inflows: Vec<usize> = around.filter(|&n| wet(n) && water.next(n) == Some(cell)).collect();
    inflows.sort_by_key(|&n| (std::cmp::Reverse(water.cells_uphill()[n]), n));
    inflows
}

/// Leaves out short threads that nothing worth drawing joins. A thread comes before those that join it.
fn without_stubs(threads: Vec<Thread>) -> Vec<Thread> {
    let mut joined = vec![false; threads.len()];
    let mut kept: Vec<Thread> = Vec::new();
    for (k, thread) in threads.into_iter().enumerate().rev() {
        if thread.cells.len() >= STUB || joined[k] {
            if let Some((into, _)) = thread.into {
                joined[into] = true;
            }
            kept.push(thread);
        }
    }
    kept
}

/// Which stretch lies on or beside each cell.
struct Map {
    size: (usize, usize),
    nearest: Vec<u32>,
}

impl Map {
    /// The parts of a thread that do not run beside a stretch found earlier.
    fn part(&self, thread: &Thread) -> Vec<Stretch> {
        let cells = &thread.cells;
        let beside: Vec<bool> = cells.iter().map(|&cell| self.nearest[cell as usize] != NOBODY).collect();
        let free = free_ranges(&beside);
        let whole = free.len() == 1 && free[0].len() == cells.len();
        let long = free.into_iter().filter(|range| whole || range.len() >= STUB);
        long.map(|range| {
            let end = cells.get(range.end).copied().or(thread.into.map(|(_, cell)| cell));
            Stretch { joins: end.and_then(|cell| self.at(cell)), cells: cells[range].to_vec() }
        })
        .collect()
    }

    fn at(&self, cell: u32) -> Option<(usize, u32)> {
        let line = self.nearest[cell as usize];
        (line != NOBODY).then_some((line as usize, cell))
    }

    /// Claims a stretch's own cells and those beside it that nobody has claimed.
    fn mark(&mut self, cells: &[u32], line: u32) {
        for &cell in cells {
            for n in self.disc(cell as usize) {
                if self.nearest[n] == NOBODY {
                    self.nearest[n] = line;
                }
            }
        }
        for &cell in cells {
            self.nearest[cell as usize] = line;
        }
    }

    fn disc(&self, cell: usize) -> impl Iterator<Item = usize> + use<> {
        let (cols, rows) = self.size;
        let (col, row) = (cell % cols, cell / cols);
        let box_of = (-3..=3isize).flat_map(|south| (-3..=3isize).map(move |east| (east, south)));
        box_of.filter(|(east, south)| east * east + south * south <= BESIDE).filter_map(move |(east, south)| {
            let (c, r) = (col.checked_add_signed(east)?, row.checked_add_signed(south)?);
            (c < cols && r < rows).then_some(r * cols + c)
        })
    }
}

/// Ranges of a thread outside its long runs beside another; short gaps in a run belong to it.
fn free_ranges(beside: &[bool]) -> Vec<std::ops::Range<usize>> {
    let mut ranges = Vec::new();
    let mut start = 0;
    for run in runs(beside).into_iter().filter(|run| run.len() > RUN) {
        ranges.push(start..run.start);
        start = run.end;
    }
    ranges.push(start..beside.len());
    ranges.retain(|range| !range.is_empty());
    ranges
}

/// Runs of cells beside another thread, joined over gaps of up to [`GAP`] cells.
fn runs(beside: &[bool]) -> Vec<std::ops::Range<usize>> {
    let mut runs: Vec<std::ops::Range<usize>> = Vec::new();
    for k in (0..beside.len()).filter(|&k| beside[k]) {
        match runs.last_mut() {
            Some(run) if k - run.end <= GAP => run.end = k + 1,
            _ => runs.push(k..k + 1),
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_long_runs_beside_another_are_cut_out() {
        let flags = |parts: &[(bool, usize)]| -> Vec<bool> {
            parts.iter().flat_map(|&(flag, count)| vec![flag; count]).collect()
        };
        let free = |parts: &[(bool, usize)]| -> Vec<(usize, usize)> {
            free_ranges(&flags(parts)).iter().map(|range| (range.start, range.end)).collect()
        };
        assert_eq!(free(&[(false, 30), (true, 9)]), [(0, 39)]);
        assert_eq!(free(&[(false, 30), (true, 20)]), [(0, 30)]);
        assert_eq!(free(&[(false, 8), (true, 9), (false, 3), (true, 9), (false, 9)]), [(0, 8), (29, 38)]);
        assert_eq!(free(&[(true, 40)]), []);
    }
}
