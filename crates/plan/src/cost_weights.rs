//! Cost weights of the grade lines: digging by depth, pipe by size, and what a missed preference costs.

use measure::{FOOT_M, INCH_M, Units};
use serde::{Deserialize, Serialize};

/// Weight of digging from a depth down.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct DigWeight {
    /// Depth of the invert from which it holds, metres.
    pub from_m: f64,
    /// Price of each metre of depth for each metre of line.
    pub per_m2: f64,
}

/// Weight of pipe of one size.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PipeWeight {
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Price of a metre.
    pub per_m: f64,
}

/// Weights by which grade lines and sizes are chosen. The start values are invented, in no currency: what counts is how
/// they stand to each other. A job puts its own in their place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct CostWeights {
    /// Digging by depth, from the surface down; each dearer than the one above it.
    pub digging: Vec<DigWeight>,
    /// Stocked pipe, smallest first.
    pub pipe: Vec<PipeWeight>,
    /// Price of each metre that the invert lies above the wanted depth, for each metre of line.
    pub missing_depth_per_m2: f64,
    /// Price of each metre of rise that is missing to the grade of 1.4 ft/s where that is preferred.
    pub missing_rise_per_m: f64,
    /// Share by which a line that is easy to dig may cost more than the cheapest one.
    pub margin: f64,
}

impl Default for CostWeights {
    fn default() -> Self {
        let band = |feet: f64, per_m2: f64| DigWeight { from_m: feet * FOOT_M, per_m2 };
        let pipe = |inches: f64, per_foot: f64| PipeWeight { size_m: inches * INCH_M, per_m: per_foot / FOOT_M };
        Self {
            digging: vec![band(0.0, 4.0), band(5.0, 10.0), band(7.0, 25.0)],
            pipe: vec![
                pipe(3.0, 0.55),
                pipe(4.0, 0.75),
                pipe(5.0, 1.10),
                pipe(6.0, 1.60),
                pipe(8.0, 2.90),
                pipe(10.0, 5.0),
                pipe(12.0, 7.0),
                pipe(15.0, 11.0),
            ],
            missing_depth_per_m2: 6.0,
            missing_rise_per_m: 50.0,
            margin: 0.03,
        }
    }
}

impl CostWeights {
    /// The weights that a job of those units starts with.
    pub fn of(units: Units) -> Self {
        if !units.is_metric() {
            return Self::default();
        }
        let band = |from_m: f64, per_m2: f64| DigWeight { from_m, per_m2 };
        let pipe = |mm: f64, per_m: f64| PipeWeight { size_m: mm / 1000.0, per_m };
        Self {
            digging: vec![band(0.0, 4.0), band(1.5, 10.0), band(2.1, 25.0)],
            pipe: vec![
                pipe(75.0, 1.80),
                pipe(100.0, 2.50),
                pipe(125.0, 3.60),
                pipe(150.0, 5.25),
                pipe(200.0, 9.50),
                pipe(250.0, 16.50),
                pipe(300.0, 23.0),
                pipe(375.0, 36.0),
            ],
            ..Self::default()
        }
    }

    /// Price of a metre of pipe of a size: that of the smallest stocked size that is not smaller, or of the largest.
    pub fn pipe_per_m(&self, size_m: f64) -> f64 {
        let stocked = self.pipe.iter().find(|price| price.size_m >= size_m - 1e-4).or(self.pipe.last());
        stocked.map_or(0.0, |price| price.per_m)
    }

    /// Stocked sizes, metres, smallest first.
    pub fn sizes_m(&self) -> impl DoubleEndedIterator<Item = f64> + Clone + '_ {
        self.pipe.iter().map(|pipe| pipe.size_m)
    }

    /// The next larger stocked size, metres; `None` above the largest.
    pub fn next_larger(&self, size_m: f64) -> Option<f64> {
        self.sizes_m().find(|stocked_m| *stocked_m > size_m * 1.001)
    }

    /// Price of digging a metre of line to a depth.
    pub fn digging_per_m(&self, depth_m: f64) -> f64 {
        let ends = self.digging.iter().skip(1).map(|band| band.from_m).chain([f64::INFINITY]);
        let band = |(band, end): (&DigWeight, f64)| band.per_m2 * (depth_m.min(end) - band.from_m).max(0.0);
        self.digging.iter().zip(ends).map(band).sum()
    }
}
