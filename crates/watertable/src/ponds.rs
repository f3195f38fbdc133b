//! Water that stands on the surface: it runs on down the land, soaks in where there is room, fills hollows and spills.
//!
//! It runs as fast as that: within a step it is where the land leads it ([judgement]: hours, beside days of drying).

use crate::Field;

/// Water on the surface on its way.
#[derive(Debug, Clone, Default)]
pub(crate) struct Ponds {
    /// What comes to each cell from uphill, metres of water.
    coming_m: Vec<f64>,
    /// True for cells that are full and that water ran on to: what they lose comes again as long as it does.
    pub fed: Vec<bool>,
}

impl Ponds {
    pub fn new(field: &Field) -> Self {
        Self { coming_m: vec![0.0; field.len()], fed: vec![false; field.len()] }
    }

    /// Lets what stands on the surface run on; answers what left, metres of water over one cell.
    pub fn run_on(&mut self, field: &Field, heads_m: &mut [f64]) -> f64 {
        self.fed.fill(false);
        if !field.land().any(|cell| heads_m[cell] > field.surface_m[cell]) {
            return 0.0;
        }
        let over_land = &field.over_land;
        let mut left_m = 0.0;
        for &cell in &over_land.order {
            let here = cell as usize;
            let coming_m = std::mem::take(&mut self.coming_m[here]);
            heads_m[here] = field.risen_m(here, heads_m[here], coming_m);
            let goes_on_m = match over_land.hollow_of[here] {
                None => skim(field, heads_m, here),
                Some(id) if over_land.hollows[id as usize].last == cell => level(field, heads_m, id as usize),
                Some(_) => 0.0,
            };
            self.fed[here] = coming_m > 0.0 && heads_m[here] >= field.surface_m[here];
            match over_land.next[here] {
                Some(next) => self.coming_m[next as usize] += goes_on_m,
                None => left_m += goes_on_m,
            }
        }
        left_m
    }
}

/// Takes what stands on a cell, metres of water.
fn skim(field: &Field, heads_m: &mut [f64], cell: usize) -> f64 {
    let stands_m = (heads_m[cell] - field.surface_m[cell]).max(0.0);
    heads_m[cell] -= stands_m;
    stands_m
}

/// Levels the water that stands in a hollow; answers what is too much for it, metres of water over one cell.
fn level(field: &Field, heads_m: &mut [f64], id: usize) -> f64 {
    let hollow = &field.over_land.hollows[id];
    let stands_m: f64 = hollow.cells.iter().map(|&cell| skim(field, heads_m, cell as usize)).sum();
    if stands_m <= 0.0 {
        return 0.0;
    }
    let level_m = level_of(field, &hollow.cells, stands_m).min(hollow.spills_m);
    let mut rest_m = stands_m;
    for &cell in &hollow.cells {
        let cell = cell as usize;
        let deep_m = (level_m - field.surface_m[cell]).max(0.0);
        heads_m[cell] = field.risen_m(cell, heads_m[cell], deep_m);
        rest_m -= deep_m;
    }
    if level_m < hollow.spills_m {
        // Rounding: none of it is lost.
        let lowest = hollow.cells[0] as usize;
        heads_m[lowest] = field.risen_m(lowest, heads_m[lowest], rest_m);
        return 0.0;
    }
    rest_m
}

/// The level at which so much water stands over cells that lie in order of their surface, metres.
fn level_of(field: &Field, cells: &[u32], water_m: f64) -> f64 {
    let surface = |index: usize| cells.get(index).map_or(f64::INFINITY, |&cell| field.surface_m[cell as usize]);
    let mut sum_m = water_m;
    for count in 1..=cells.len() {
        sum_m += surface(count - 1);
        let level_m = sum_m / count as f64;
        if level_m <= surface(count) {
            return level_m;
        }
    }
    f64::INFINITY
}
