//! The shape of the ground to look at: shade and contours.

use measure::LengthUnit;
use terrain::{Contour, Grid, Ground};

/// Contours at one interval.
#[derive(Debug)]
pub struct Contours {
    /// Difference between two levels, metres.
    pub interval_m: f64,
    /// The contours.
    pub lines: Vec<Contour>,
    /// All their lengths together, metres.
    pub length_m: f64,
}

impl Contours {
    /// Contours of ground at an interval, metres.
    pub(crate) fn of(ground: &Ground, interval_m: f64, threads: usize) -> Self {
        let lines = terrain::contours(ground.grid(), interval_m, threads);
        let length_m = lines.iter().map(|line| measure::path_length(&line.points)).sum();
        Self { interval_m, lines, length_m }
    }
}

/// An interval that suits a relief, metres, in whole steps of a unit.
pub(crate) fn interval_m(relief_m: f64, unit: LengthUnit) -> f64 {
    terrain::interval_for(relief_m, unit.metres())
}

/// Shade of every cell, 1 to 255; 0 where there is no ground. Light from the north-west at 45°, as maps have it; soft
/// ground needs its relief drawn larger to be seen.
pub(crate) fn shade(grid: &Grid, threads: usize) -> Vec<u8> {
    terrain::hillshade(grid, 315.0, 45.0, 4.0, threads)
}

/// Highest less lowest ground, metres.
pub(crate) fn relief_m(grid: &Grid) -> f64 {
    let levels = grid.levels().iter().filter(|level| level.is_finite());
    let (low, high) = levels.fold((f32::MAX, f32::MIN), |(low, high), z| (low.min(*z), high.max(*z)));
    (high - low).max(0.0) as f64
}
