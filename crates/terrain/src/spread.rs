//! Water that spreads over a slope instead of keeping to one neighbour, and how wet the ground is for it.

use crate::cells::neighbours;
use crate::{Grid, Water, slope_ratio};

/// Flattest slope the wetness of ground is reckoned with: a millimetre in a metre, less than a grid can tell (own
/// choice).
const LEAST_SLOPE: f64 = 1e-3;

impl Water {
    /// Area uphill of every cell, square metres, when each shares its water among all lower neighbours by the slope to
    /// them times the length of contour that faces them; over flats the water follows the single direction. `NaN` on
    /// missing ground.
    ///
    /// P. Quinn, K. Beven, P. Chevallier and O. Planchon, "The prediction of hillslope flow paths for distributed
    /// hydrological modelling using digital terrain models", Hydrological Processes 5 (1991): half a cell's side of
    /// contour to a side, √2/4 of it to a corner.
    pub fn spread_area_m2(&self, grid: &Grid) -> Vec<f64> {
        if !self.fits(grid) {
            return Vec::new();
        }
        let spread = Spread { water: self, pull: pull(grid.cell_m()) };
        let missing = |cell: &usize| self.filled()[*cell].is_nan();
        let mut areas: Vec<f64> = (0..self.filled().len())
            .map(|cell| if missing(&cell) { f64::NAN } else { grid.cell_area_m2() })
            .collect();
        for cell in spread.downhill() {
            for (n, share) in spread.shares(cell) {
                areas[n] += share * areas[cell];
            }
        }
        areas
    }
}

/// Topographic wetness index of every cell, ln(a / tan β): a is the uphill area by [`Water::spread_area_m2`] over the
/// width of a cell, β the slope by Horn, no flatter than 0.001. `NaN` on missing ground.
///
/// After Beven and Kirkby, "A physically based, variable contributing area model of basin hydrology", Hydrological
/// Sciences Bulletin 24 (1979). Natural logarithm of metres.
pub fn wetness_index(grid: &Grid, water: &Water, threads: usize) -> Vec<f32> {
    let (x_m, y_m) = grid.cell_m();
    let width_m = (x_m * y_m).sqrt();
    let slopes = slope_ratio(grid, threads);
    let index = |(area_m2, slope): (f64, f32)| (area_m2 / width_m / f64::from(slope).max(LEAST_SLOPE)).ln() as f32;
    // The greater of a slope that is not a number and the least one is the least one; the area is missing with it.
    water.spread_area_m2(grid).into_iter().zip(slopes).map(index).collect()
}

/// Length of contour that faces each neighbour over the way to it, by direction number.
fn pull((x_m, y_m): (f64, f64)) -> [f64; 8] {
    let (east, south) = (0.5 * y_m / x_m, 0.5 * x_m / y_m);
    [east, 0.25, south, 0.25, east, 0.25, south, 0.25]
}

struct Spread<'a> {
    water: &'a Water,
    pull: [f64; 8],
}

impl Spread<'_> {
    /// Lower neighbours and the share each gets; the one the single direction names where none is lower.
    fn shares(&self, cell: usize) -> Vec<(usize, f64)> {
        let weights: Vec<(usize, f64)> = self.lower(cell).collect();
        let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
        if weights.is_empty() {
            return self.water.next(cell).map(|next| (next, 1.0)).into_iter().collect();
        }
        weights.into_iter().map(|(n, weight)| (n, weight / sum)).collect()
    }

    fn lower(&self, cell: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let filled = self.water.filled();
        neighbours(self.water.size(), cell).filter_map(move |(k, n)| {
            let fall_m = f64::from(filled[cell]) - f64::from(filled[n]);
            (fall_m > 0.0).then(|| (n, fall_m * self.pull[k]))
        })
    }

    /// Every cell with ground, none before one that sheds water to it.
    fn downhill(&self) -> Vec<usize> {
        let count = self.water.filled().len();
        let mut waiting = vec![0u8; count];
        for cell in 0..count {
            self.shares(cell).into_iter().for_each(|(n, _)| waiting[n] += 1);
        }
        let ground = |cell: &usize| !self.water.filled()[*cell].is_nan();
        let mut order: Vec<usize> = (0..count).filter(|cell| waiting[*cell] == 0).filter(ground).collect();
        let mut next = 0;
        while let Some(&cell) = order.get(next) {
            next += 1;
            for (n, _) in self.shares(cell) {
                waiting[n] -= 1;
                if waiting[n] == 0 {
                    order.push(n);
                }
            }
        }
        order
    }
}
