//! What flows between neighbouring cells at a given water table.

use crate::Field;

/// Conveyances between each cell and the one east of it, and the one south of it, m²/s a metre of difference.
#[derive(Debug, Clone, Default)]
pub(crate) struct Conveyance {
    /// Conductivity between the cells, m/s; 0 where either is no land.
    conductivity_ms: [Vec<f64>; 2],
    /// At the table that was looked at last.
    pub m2s: [Vec<f64>; 2],
    wet_m: Vec<f64>,
}

impl Conveyance {
    pub fn new(field: &Field) -> Self {
        let zeros = || vec![0.0; field.len()];
        Self {
            conductivity_ms: [between(field, 1), between(field, field.cols)],
            m2s: [zeros(), zeros()],
            wet_m: zeros(),
        }
    }

    /// Looks at a water table. Between two cells the wet thickness is the mean, but no more than twice that of the cell whose
    /// table is higher: it cannot give what it does not hold.
    pub fn look(&mut self, field: &Field, heads_m: &[f64]) {
        for (cell, wet_m) in self.wet_m.iter_mut().enumerate() {
            *wet_m = field.wet_m(cell, heads_m[cell]);
        }
        for ((conductivity_ms, m2s), step) in self.conductivity_ms.iter().zip(&mut self.m2s).zip([1, field.cols]) {
            let cells = self.wet_m.iter().zip(&self.wet_m[step..]);
            let levels = heads_m.iter().zip(&heads_m[step..]);
            let sides = m2s.iter_mut().zip(conductivity_ms).zip(cells).zip(levels);
            sides.for_each(|(((m2s, conductivity_ms), (one, other)), (of_one, of_other))| {
                let upper = if of_one > of_other { one } else { other };
                *m2s = conductivity_ms * ((one + other) / 2.0).min(2.0 * upper);
            });
        }
    }

    /// Adds what each cell gains from its neighbours, m³/s, at the table that was looked at.
    pub fn add_flows(&self, cols: usize, heads_m: &[f64], gains: &mut [f64]) {
        for (m2s, step) in self.m2s.iter().zip([1, cols]) {
            let levels = || heads_m.iter().zip(&heads_m[step..]);
            let giving = gains.iter_mut().zip(m2s).zip(levels());
            giving.for_each(|((gain, m2s), (one, other))| *gain += m2s * (other - one));
            let taking = gains[step..].iter_mut().zip(m2s).zip(levels());
            taking.for_each(|((gain, m2s), (one, other))| *gain -= m2s * (other - one));
        }
    }
}

/// Conductivity between each cell and the one so many places on, m/s: the harmonic mean; 0 where either is no land.
fn between(field: &Field, step: usize) -> Vec<f64> {
    let wraps = |cell: usize| step == 1 && (cell + 1).is_multiple_of(field.cols);
    let of = |cell: usize| {
        let other = cell + step;
        if other >= field.len() || wraps(cell) || !field.is_land[cell] || !field.is_land[other] {
            return 0.0;
        }
        let (one, two) = (field.conductivity_ms[cell], field.conductivity_ms[other]);
        2.0 * one * two / (one + two)
    };
    (0..field.len()).map(of).collect()
}
