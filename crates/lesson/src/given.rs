//! What the exercises are worked out with: invented, and round in the units of the class.

use hydraulics::{EFFECTIVE_RADIUS_M, Soil};
use measure::{DAY_S, FOOT_M, INCH_M, SQUARE_M_PER_ACRE, SQUARE_M_PER_HECTARE, Units};

use crate::grade::{Dip, GRADES, Pipe};

/// The figures of the exercises.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    /// The units of the class.
    pub units: Units,
    /// The pipe.
    pub pipe: Pipe,
    /// Water above field capacity, metres.
    pub water_m: f64,
    /// Drainable porosities: tight, open.
    pub porosity: [f64; 2],
    /// Drainage coefficients, m/s: the lower, the usual one for fruit.
    pub coefficient_ms: [f64; 2],
    /// Conductivity of the clay loam of the grid, m/s.
    pub conductivity_ms: f64,
    /// Depth of the drains, metres.
    pub depth_m: f64,
    /// Depth of the tight layer, metres.
    pub tight_m: f64,
    /// Depth of the water table that is wanted midway, metres.
    pub wanted_m: f64,
    /// Width of a row of vines, metres.
    pub row_m: f64,
    /// Land above a swale, and of a whole block, square metres.
    pub land_m2: [f64; 2],
    /// Two contours lie so far over each other and apart, metres.
    pub contours_m: (f64, f64),
    /// Rain that runs off, metres.
    pub rain_m: f64,
    /// Length of a lateral, metres.
    pub lateral_m: f64,
    /// How far the middle of a pipe sank, and half the length of that dip, metres.
    pub sunk_m: (f64, f64),
}

impl Given {
    /// The figures for a class that measures so.
    pub fn of(units: Units) -> Self {
        if units.is_metric() { Self::metric(units) } else { Self::feet(units) }
    }

    fn feet(units: Units) -> Self {
        let inch_a_day = INCH_M / DAY_S;
        Self {
            units,
            pipe: Pipe { inside_m: 4.0 * INCH_M, coefficient_ms: inch_a_day / 2.0 },
            water_m: 1.2 * INCH_M,
            porosity: [0.05, 0.12],
            coefficient_ms: [inch_a_day * 0.375, inch_a_day * 0.5],
            conductivity_ms: 0.694 * FOOT_M / DAY_S,
            depth_m: 3.5 * FOOT_M,
            tight_m: 6.0 * FOOT_M,
            wanted_m: 1.5 * FOOT_M,
            row_m: 9.0 * FOOT_M,
            land_m2: [1.7 * SQUARE_M_PER_ACRE, 5.6 * SQUARE_M_PER_ACRE],
            contours_m: (FOOT_M, 40.0 * FOOT_M),
            rain_m: INCH_M,
            lateral_m: 500.0 * FOOT_M,
            sunk_m: (INCH_M, 10.0 * FOOT_M),
        }
    }

    fn metric(units: Units) -> Self {
        let millimetre_a_day = 0.001 / DAY_S;
        Self {
            units,
            pipe: Pipe { inside_m: 0.1, coefficient_ms: 12.5 * millimetre_a_day },
            water_m: 0.03,
            porosity: [0.05, 0.12],
            coefficient_ms: [9.5 * millimetre_a_day, 12.5 * millimetre_a_day],
            conductivity_ms: 0.21 / DAY_S,
            depth_m: 1.05,
            tight_m: 1.8,
            wanted_m: 0.45,
            row_m: 2.75,
            land_m2: [0.7 * SQUARE_M_PER_HECTARE, 2.3 * SQUARE_M_PER_HECTARE],
            contours_m: (0.5, 20.0),
            rain_m: 0.025,
            lateral_m: 150.0,
            sunk_m: (0.025, 3.0),
        }
    }

    /// The soil round the drains of the grid, with a conductivity so many times that of the exercise.
    pub fn soil(self, times: f64) -> Soil {
        let conductivity_ms = self.conductivity_ms * times;
        Soil::even(conductivity_ms, self.tight_m - self.depth_m, EFFECTIVE_RADIUS_M)
    }

    /// The pipe that sank.
    pub fn dip(self) -> Dip {
        Dip { grade: GRADES[0], sunk_m: self.sunk_m.0, half_m: self.sunk_m.1 }
    }

    /// Height of the wanted water table over the drains, metres.
    pub fn arch_m(self) -> f64 {
        self.depth_m - self.wanted_m
    }
}
