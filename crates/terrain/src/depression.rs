//! Closed hollows: where water stands until it spills.

use measure::Point;

use crate::cells::neighbours;
use crate::{Grid, Water};

/// A closed hollow, as far as it fills before it spills.
#[derive(Debug, Clone, PartialEq)]
pub struct Depression {
    /// Its lowest place.
    pub deepest: Point,
    /// Where it spills.
    pub spill: Point,
    /// Level at which it spills, metres.
    pub spill_level_m: f64,
    /// Greatest depth of water, metres.
    pub depth_m: f64,
    /// Area under water when full, square metres.
    pub area_m2: f64,
    /// Water held when full, cubic metres.
    pub volume_m3: f64,
    /// Cells under water when full, row by row from the north, ascending.
    pub cells: Vec<u32>,
}

impl Water {
    /// Hollows at least so deep and so large, the one that holds most first.
    pub fn depressions(&self, grid: &Grid, least_depth_m: f64, least_area_m2: f64) -> Vec<Depression> {
        if !self.fits(grid) {
            return Vec::new();
        }
        // Rough ground has a pool in every dozen cells; only those asked for are worth a description.
        let deep = |&cell: &u32| depth(grid, self, cell as usize) >= least_depth_m;
        let wide = |cells: &[u32]| cells.len() as f64 * grid.cell_area_m2() >= least_area_m2;
        let mut found = Vec::new();
        each_pool(grid, self, |cells| {
            if wide(cells) && cells.iter().any(deep) {
                found.push(describe(grid, self, cells.to_vec()));
            }
        });
        found.sort_by(|a, b| b.volume_m3.total_cmp(&a.volume_m3).then(a.cells.cmp(&b.cells)));
        found
    }
}

fn depth(grid: &Grid, water: &Water, cell: usize) -> f64 {
    water.filled()[cell] as f64 - grid.levels()[cell] as f64
}

/// Calls `visit` with the connected cells under water of every pool. Pools that touch have one level, so touching is
/// enough.
fn each_pool(grid: &Grid, water: &Water, mut visit: impl FnMut(&[u32])) {
    let is_wet = |cell: usize| water.filled()[cell] > grid.levels()[cell];
    let mut seen = vec![false; grid.levels().len()];
    let mut pool: Vec<u32> = Vec::new();
    for start in 0..seen.len() {
        if seen[start] || !is_wet(start) {
            continue;
        }
        seen[start] = true;
        pool.clear();
        pool.push(start as u32);
        let mut next = 0;
        while let Some(&cell) = pool.get(next) {
            next += 1;
            for (_, n) in neighbours(water.size(), cell as usize) {
                if !seen[n] && is_wet(n) {
                    seen[n] = true;
                    pool.push(n as u32);
                }
            }
        }
        visit(&pool);
    }
}

fn describe(grid: &Grid, water: &Water, mut cells: Vec<u32>) -> Depression {
    cells.sort_unstable();
    let depth_of = |&cell: &u32| depth(grid, water, cell as usize);
    let deepest = cells.iter().copied().reduce(|a, b| if depth_of(&b) > depth_of(&a) { b } else { a }).unwrap_or(0);
    let spill = spill(grid, water, deepest as usize);
    let centre = |cell: usize| grid.centre(cell % grid.cols(), cell / grid.cols());
    Depression {
        deepest: centre(deepest as usize),
        spill: centre(spill),
        spill_level_m: water.filled()[deepest as usize] as f64,
        depth_m: depth_of(&deepest),
        area_m2: cells.len() as f64 * grid.cell_area_m2(),
        volume_m3: cells.iter().map(depth_of).sum::<f64>() * grid.cell_area_m2(),
        cells,
    }
}

/// The first cell on the way out of a pool that is not under water.
fn spill(grid: &Grid, water: &Water, start: usize) -> usize {
    let mut way = std::iter::successors(Some(start), |&cell| water.next(cell));
    way.find(|&cell| depth(grid, water, cell) <= 0.0).unwrap_or(start)
}
