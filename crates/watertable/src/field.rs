//! A field as its water table sees it: cells with ground, soil, tight layer and drains, and the way of water over them.

use terrain::Water;

use crate::Drain;
use crate::section::DRY_FROM_M;

/// Least wet thickness that carries water, metres.
const THINNEST_M: f64 = 1e-3;

/// A field in square cells, row by row from the north. Figures of cells that are not its land count for nothing, but are
/// finite, their porosity above 0.
#[derive(Debug, Clone, Default)]
pub struct Field {
    /// Columns.
    pub cols: usize,
    /// Rows.
    pub rows: usize,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// West edge, metres.
    pub west_m: f64,
    /// North edge, metres.
    pub north_m: f64,
    /// True for cells that are land.
    pub is_land: Vec<bool>,
    /// Level of the ground, metres.
    pub surface_m: Vec<f64>,
    /// Level of the tight layer, metres.
    pub base_m: Vec<f64>,
    /// Saturated conductivity, m/s.
    pub conductivity_ms: Vec<f64>,
    /// Share of the volume that drains.
    pub porosity: Vec<f64>,
    /// Drains, in order of cell.
    pub drains: Vec<Drain>,
    /// Where water on the surface goes.
    pub over_land: OverLand,
}

/// The way of water over a field's cells.
#[derive(Debug, Clone, Default)]
pub struct OverLand {
    /// The cell that water goes to next; `None` where it leaves.
    pub next: Vec<Option<u32>>,
    /// Cells from uphill to downhill.
    pub order: Vec<u32>,
    /// Hollows in which water stands before it spills.
    pub hollows: Vec<Hollow>,
    /// The hollow that a cell lies in.
    pub hollow_of: Vec<Option<u32>>,
}

/// Cells that stand under water together.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Hollow {
    /// Its cells, the lowest first.
    pub cells: Vec<u32>,
    /// Level at which it spills, metres.
    pub spills_m: f64,
    /// The last of its cells on the way of water: it spills where that one leads.
    pub last: u32,
}

impl Field {
    /// Number of cells.
    pub fn len(&self) -> usize {
        self.surface_m.len()
    }

    /// True where there are no cells.
    pub fn is_empty(&self) -> bool {
        self.surface_m.is_empty()
    }

    /// Area of a cell, square metres.
    pub fn cell_m2(&self) -> f64 {
        self.cell_m * self.cell_m
    }

    /// Water that drains, and that stands on the surface, at given levels of the table, cubic metres.
    pub fn holds_m3(&self, heads_m: &[f64]) -> f64 {
        let holds = |cell: usize| {
            let (head, surface, base) = (heads_m[cell], self.surface_m[cell], self.base_m[cell]);
            self.porosity[cell] * (head.min(surface) - base) + (head - surface).max(0.0)
        };
        self.land().map(holds).sum::<f64>() * self.cell_m2()
    }

    /// The level in a cell after so much water came, metres of water: soil fills up to the surface, then water stands on it.
    pub fn risen_m(&self, cell: usize, head_m: f64, water_m: f64) -> f64 {
        let (surface_m, porosity) = (self.surface_m[cell], self.porosity[cell]);
        // From the surface: water that stands counts whole, water missing in the soil counts by its pores.
        let over_m = (head_m - surface_m) * if head_m > surface_m { 1.0 } else { porosity } + water_m;
        surface_m + over_m / if over_m > 0.0 { 1.0 } else { porosity }
    }

    /// The share of what the air would take that it gets from a cell, and how that grows with the level, 1/m.
    pub(crate) fn evaporates(&self, cell: usize, head_m: f64) -> (f64, f64) {
        let surface_m = self.surface_m[cell];
        let reach_m = DRY_FROM_M.min(surface_m - self.base_m[cell]);
        let share = 1.0 - (surface_m - head_m) / reach_m;
        (share.clamp(0.0, 1.0), if share > 0.0 && share < 1.0 { 1.0 / reach_m } else { 0.0 })
    }

    /// Wet thickness of a cell, metres.
    pub(crate) fn wet_m(&self, cell: usize, head_m: f64) -> f64 {
        (head_m.min(self.surface_m[cell]) - self.base_m[cell]).max(THINNEST_M)
    }

    /// Cells that are land.
    pub fn land(&self) -> impl Iterator<Item = usize> {
        (0..self.len()).filter(|&cell| self.is_land[cell])
    }
}

impl OverLand {
    /// Follows the way of water over the cells of the same grid.
    pub fn of(water: &Water, surface_m: &[f64], cols: usize) -> Self {
        let next: Vec<Option<u32>> = (0..surface_m.len()).map(|cell| water.next(cell).map(|c| c as u32)).collect();
        let uphill = water.cells_uphill();
        let mut order: Vec<u32> = (0..surface_m.len() as u32).filter(|&cell| uphill[cell as usize] > 0).collect();
        // What drains through a cell grows with every step downhill.
        order.sort_by_key(|&cell| (uphill[cell as usize], cell));
        let filled = water.filled();
        let is_wet = |cell: usize| f64::from(filled[cell]) > surface_m[cell];
        let mut found = Self { next, order, hollows: Vec::new(), hollow_of: vec![None; surface_m.len()] };
        for cell in 0..surface_m.len() {
            if is_wet(cell) && found.hollow_of[cell].is_none() {
                found.flood(cell, cols, &is_wet);
            }
        }
        found.describe(filled, surface_m);
        found
    }

    /// Nothing runs on: whatever stands on the surface stays there.
    pub fn nowhere(cells: usize) -> Self {
        Self { next: vec![None; cells], order: Vec::new(), hollows: Vec::new(), hollow_of: vec![None; cells] }
    }

    /// Marks the cells that stand under water together with one.
    fn flood(&mut self, start: usize, cols: usize, is_wet: &impl Fn(usize) -> bool) {
        let id = self.hollows.len() as u32;
        let mut cells = vec![start as u32];
        self.hollow_of[start] = Some(id);
        let mut seen = 0;
        while seen < cells.len() {
            for near in around(cells[seen] as usize, cols, self.next.len()) {
                if is_wet(near) && self.hollow_of[near].is_none() {
                    self.hollow_of[near] = Some(id);
                    cells.push(near as u32);
                }
            }
            seen += 1;
        }
        self.hollows.push(Hollow { cells, ..Hollow::default() });
    }

    fn describe(&mut self, filled: &[f32], surface_m: &[f64]) {
        for hollow in &mut self.hollows {
            hollow.cells.sort_by(|&a, &b| surface_m[a as usize].total_cmp(&surface_m[b as usize]).then(a.cmp(&b)));
            hollow.spills_m = f64::from(filled[hollow.cells[0] as usize]);
        }
        for &cell in &self.order {
            if let Some(id) = self.hollow_of[cell as usize] {
                self.hollows[id as usize].last = cell;
            }
        }
    }
}

/// The up to eight cells round one.
fn around(cell: usize, cols: usize, cells: usize) -> impl Iterator<Item = usize> {
    let (col, row) = (cell % cols, cell / cols);
    let rows = row.saturating_sub(1)..(row + 2).min(cells / cols);
    let beside = col.saturating_sub(1)..(col + 2).min(cols);
    rows.flat_map(move |row| beside.clone().map(move |col| row * cols + col)).filter(move |&near| near != cell)
}
