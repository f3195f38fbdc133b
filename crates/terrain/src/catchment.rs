//! The land that sheds water to a place.

use measure::Point;

use crate::cells::neighbours;
use crate::way::cells_along;
use crate::{Grid, Water};

/// The land that drains through a place or across a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Catchment {
    /// Its cells, row by row from the north, ascending.
    pub cells: Vec<u32>,
    /// Its area, square metres.
    pub area_m2: f64,
}

impl Water {
    /// The land that drains through the cell at a place, or through any cell a line crosses, those cells included.
    /// `None` where the line meets no ground.
    pub fn catchment(&self, grid: &Grid, line: &[Point]) -> Option<Catchment> {
        let mut cells: Vec<u32> = Vec::new();
        let mut inside = vec![false; self.directions().len()];
        for cell in cells_along(grid, line).into_iter().filter(|_| self.fits(grid)) {
            if !std::mem::replace(&mut inside[cell], true) {
                cells.push(cell as u32);
            }
        }
        let mut next = 0;
        while let Some(&cell) = cells.get(next) {
            next += 1;
            for (_, n) in neighbours(self.size(), cell as usize) {
                if !inside[n] && self.next(n) == Some(cell as usize) {
                    inside[n] = true;
                    cells.push(n as u32);
                }
            }
        }
        cells.sort_unstable();
        let area_m2 = cells.len() as f64 * grid.cell_area_m2();
        (!cells.is_empty()).then_some(Catchment { cells, area_m2 })
    }
}

impl Water {
    /// Centre of the cell with most cells uphill, at most so many cells from a place; the first one from the north-west
    /// where several have as many. `None` where no ground is near.
    pub fn wettest_near(&self, grid: &Grid, at: Point, reach: usize) -> Option<Point> {
        let (col, row) = grid.cell_at(at).filter(|_| self.fits(grid))?;
        let rows = row.saturating_sub(reach)..(row + reach + 1).min(grid.rows());
        let cols = col.saturating_sub(reach)..(col + reach + 1).min(grid.cols());
        let cells = rows.flat_map(|r| cols.clone().map(move |c| (c, r)));
        let uphill = |&(c, r): &(usize, usize)| self.cells_uphill()[r * grid.cols() + c];
        let wettest = cells.reduce(|best, next| if uphill(&next) > uphill(&best) { next } else { best })?;
        (uphill(&wettest) > 0).then(|| grid.centre(wettest.0, wettest.1))
    }

    /// The lowest way up from a place, through cell centres: always to the neighbour with most cells uphill that drains here, as
    /// long as so much land lies above it, square metres; the first by direction where several have as much. Empty where no
    /// ground is.
    pub fn way_up(&self, grid: &Grid, at: Point, least_m2: f64) -> Vec<Point> {
        let Some((col, row)) = grid.cell_at(at).filter(|_| self.fits(grid)) else { return Vec::new() };
        let least = (least_m2 / grid.cell_area_m2()).max(1.0);
        let uphill = |cell: usize| self.cells_uphill()[cell];
        let above = |&cell: &usize| {
            let others = neighbours(self.size(), cell).map(|(_, other)| other);
            let sheds = others.filter(|&other| self.next(other) == Some(cell) && f64::from(uphill(other)) >= least);
            sheds.reduce(|best, next| if uphill(next) > uphill(best) { next } else { best })
        };
        let start = Some(row * grid.cols() + col).filter(|&cell| uphill(cell) > 0);
        let cells = std::iter::successors(start, above).take(self.cells_uphill().len());
        cells.map(|cell| grid.centre(cell % grid.cols(), cell / grid.cols())).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A gutter down the middle of 7 × 5 cells that falls to the south.
    fn gutter() -> Grid {
        let level = |cell: usize| ((cell % 7) as f32 - 3.0).abs() + 0.1 * (4 - cell / 7) as f32;
        Grid::new((7, 5), (0.0, 5.0), (1.0, 1.0), (0..35).map(level).collect()).unwrap()
    }

    #[test]
    fn a_place_has_as_much_land_as_cells_drain_through_it() {
        let grid = gutter();
        let water = Water::of(&grid);
        for cell in 0..35 {
            let at = grid.centre(cell % 7, cell / 7);
            let catchment = water.catchment(&grid, &[at]).unwrap();
            assert_eq!(catchment.cells.len(), water.cells_uphill()[cell] as usize, "cell {cell}");
            assert_eq!(Some(catchment.area_m2), water.uphill_area_m2(&grid, at));
        }
    }

    #[test]
    fn the_wettest_cell_near_is_in_the_gutter() {
        let grid = gutter();
        let water = Water::of(&grid);
        assert_eq!(water.wettest_near(&grid, grid.centre(1, 2), 2), Some(grid.centre(3, 4)));
        assert_eq!(water.wettest_near(&grid, grid.centre(1, 0), 1), Some(grid.centre(2, 0)));
        assert_eq!(water.wettest_near(&grid, Point::new(-9.0, 0.0), 2), None);
    }

    /// Up the gutter from its foot to its head, where either side is three cells of land; less land is followed out to the side.
    #[test]
    fn the_way_up_keeps_to_the_gutter() {
        let grid = gutter();
        let water = Water::of(&grid);
        let way = water.way_up(&grid, grid.centre(3, 4), 4.0);
        assert_eq!(way, [4, 3, 2, 1, 0].map(|row| grid.centre(3, row)));
        let farther = water.way_up(&grid, grid.centre(3, 4), 2.0);
        assert_eq!((&farther[..5], &farther[5..]), (&way[..], &[grid.centre(4, 0), grid.centre(5, 0)][..]));
        assert!(water.way_up(&grid, Point::new(-9.0, 0.0), 2.0).is_empty());
    }

    #[test]
    fn a_line_across_gathers_all_that_crosses_it() {
        let grid = gutter();
        let water = Water::of(&grid);
        let line = [Point::new(0.5, 0.5), Point::new(6.5, 0.5)];
        let across = water.catchment(&grid, &line).unwrap();
        // Border cells may leave the grid on their own; all that stays inside crosses the lowest row.
        let inside = (0..35).filter(|cell| (1..6).contains(&(cell % 7)) && cell / 7 > 0).count();
        assert!(across.cells.len() >= inside, "{} of {inside}", across.cells.len());
        assert_eq!(water.catchment(&grid, &[Point::new(-5.0, 2.0)]), None);
        assert_eq!(water.catchment(&grid, &[]), None);
    }
}
