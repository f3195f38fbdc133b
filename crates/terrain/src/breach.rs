//! Cutting through what holds water back: banks and roads that in truth have a culvert.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use crate::cells::neighbours;
use crate::{Grid, Water};

/// How far a cut may go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreachLimits {
    /// Deepest cut below the ground, metres.
    pub most_cut_m: f64,
    /// Longest way a cut may take, cells.
    pub most_cells: usize,
}

impl Grid {
    /// The surface on which water is routed, with a way cut from the bottom of every hollow to lower ground where one
    /// exists within the limits; the other hollows stay. No cell is raised.
    ///
    /// Of all ways the one with the least sum of cuts is taken: J. B. Lindsay and K. Dhun, "Modelling surface drainage
    /// patterns in altered landscapes using LiDAR", International Journal of Geographical Information Science 29
    /// (2015). The lowest bottoms come first, and the way is level: filling finds nothing to fill on it.
    pub fn breached(&self, limits: BreachLimits) -> Grid {
        let mut bottoms = bottoms(self);
        bottoms.sort_by(|a, b| self.levels()[*a].total_cmp(&self.levels()[*b]).then(a.cmp(b)));
        let mut cut = self.clone();
        for bottom in bottoms {
            let level = cut.levels()[bottom];
            for cell in way_out(&cut, bottom, limits) {
                cut.lower(cell, level);
            }
        }
        cut
    }
}

/// The lowest cells of hollows: those under water when the hollows are full, without a lower neighbour.
fn bottoms(grid: &Grid) -> Vec<usize> {
    let water = Water::of(grid);
    let levels = grid.levels();
    let under_water = (0..levels.len()).filter(|&cell| water.filled()[cell] > levels[cell]);
    under_water.filter(|&cell| around(grid, cell).all(|n| levels[n] >= levels[cell])).collect()
}

fn around(grid: &Grid, cell: usize) -> impl Iterator<Item = usize> {
    neighbours((grid.cols(), grid.rows()), cell).map(|(_, n)| n)
}

/// True where water leaves the grid or the known ground.
fn is_outlet(grid: &Grid, cell: usize) -> bool {
    around(grid, cell).filter(|&n| !grid.levels()[n].is_nan()).count() < 8
}

/// What is known of a cell on the way: the sum of cuts so far, the cells so far, and the cell before.
#[derive(Clone, Copy)]
struct Reached {
    cuts_m: f64,
    cells: usize,
    from: usize,
}

/// The cells of the cheapest way from a bottom to lower ground or an outlet, without the bottom; empty when there is
/// none within the limits.
fn way_out(grid: &Grid, bottom: usize, limits: BreachLimits) -> Vec<usize> {
    let level = f64::from(grid.levels()[bottom]);
    let start = Reached { cuts_m: 0.0, cells: 0, from: bottom };
    let mut reached = BTreeMap::from([(bottom, start)]);
    // Sums of cuts are not negative, so their bits sort as they do.
    let mut queue = BinaryHeap::from([Reverse((0u64, bottom))]);
    while let Some(Reverse((key, cell))) = queue.pop() {
        let here = reached[&cell];
        if key != here.cuts_m.to_bits() {
            continue;
        }
        let lower = f64::from(grid.levels()[cell]) < level;
        if cell != bottom && (lower || is_outlet(grid, cell)) {
            return trace(&reached, bottom, cell);
        }
        for n in around(grid, cell).filter(|_| here.cells < limits.most_cells) {
            let cut_m = (f64::from(grid.levels()[n]) - level).max(0.0);
            let next = Reached { cuts_m: here.cuts_m + cut_m, cells: here.cells + 1, from: cell };
            // A cut into missing ground is not a number, and no such cut is small enough.
            if cut_m <= limits.most_cut_m && reached.get(&n).is_none_or(|known| next.cuts_m < known.cuts_m) {
                reached.insert(n, next);
                queue.push(Reverse((next.cuts_m.to_bits(), n)));
            }
        }
    }
    Vec::new()
}

fn trace(reached: &BTreeMap<usize, Reached>, bottom: usize, end: usize) -> Vec<usize> {
    let before = |cell: &usize| reached.get(cell).map(|reached| reached.from).filter(|from| *from != bottom);
    std::iter::successors(Some(end), before).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ground that falls to the east between walls, with a bank of 1 m across it three columns wide.
    fn banked() -> Grid {
        let level = |cell: usize| {
            let (col, row) = (cell % 20, cell / 20);
            let bank = if (9..12).contains(&col) { 1.0 } else { 0.0 };
            let wall = if row == 0 || row == 8 || col == 0 { 2.0 } else { 0.0 };
            10.0 - 0.05 * col as f32 + bank + wall
        };
        Grid::new((20, 9), (0.0, 9.0), (1.0, 1.0), (0..180).map(level).collect()).unwrap()
    }

    /// A hollow of one cell behind a bank that is lower at one place.
    #[test]
    fn the_cheapest_way_is_cut_and_nothing_is_left_to_fill() {
        let mut levels = vec![10.0f32; 49];
        levels[24] = 5.0;
        levels[26] = 7.0;
        levels[25] = 8.0;
        levels[27] = 9.0;
        let grid = Grid::new((7, 7), (0.0, 7.0), (1.0, 1.0), levels).unwrap();
        let cut = grid.breached(BreachLimits { most_cut_m: 10.0, most_cells: 10 });
        let lowered: Vec<usize> = (0..49).filter(|&cell| cut.levels()[cell] < grid.levels()[cell]).collect();
        assert_eq!(lowered, [25, 26, 27], "east through the lower ground to the border");
        assert_eq!(Water::of(&cut).filled(), cut.levels());
    }

    #[test]
    fn limits_hold() {
        let grid = banked();
        let shallow = grid.breached(BreachLimits { most_cut_m: 0.5, most_cells: 50 });
        let most = |cut: &Grid| {
            let pairs = grid.levels().iter().zip(cut.levels());
            pairs.map(|(ground, bed)| ground - bed).fold(0.0, f32::max)
        };
        assert!(most(&shallow) <= 0.5);
        let deep = grid.breached(BreachLimits { most_cut_m: 3.0, most_cells: 50 });
        assert!(most(&deep) > 0.5 && most(&deep) <= 3.0);
        assert_eq!(grid.breached(BreachLimits { most_cut_m: 3.0, most_cells: 0 }), grid);
    }

    #[test]
    fn no_cell_is_raised_and_gaps_stay() {
        let mut levels = banked().levels().to_vec();
        levels[70] = f32::NAN;
        let grid = Grid::new((20, 9), (0.0, 9.0), (1.0, 1.0), levels).unwrap();
        let cut = grid.breached(BreachLimits { most_cut_m: 3.0, most_cells: 50 });
        for (ground, bed) in grid.levels().iter().zip(cut.levels()) {
            assert!(bed <= ground || (ground.is_nan() && bed.is_nan()));
        }
    }
}
