//! The arch of the water table between two drains, day by day.

use crate::Strip;

/// Depth from which the soil no longer loses water of its table to the air, metres: evaporation falls to nothing over it in
/// proportion to the depth ([judgement]).
pub const DRY_FROM_M: f64 = 1.5;

/// Places of the water table from drain to drain in an answer, both drains included.
pub const PLACES: usize = 81;

/// How far a step may be off, metres.
const STEP_OFF_M: f64 = 2e-4;

/// A section across two drains in one soil. Depths are below the surface; SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// From drain to drain, metres.
    pub spacing_m: f64,
    /// Depth of the drains, metres.
    pub drain_depth_m: f64,
    /// Depth of the tight layer, metres; at the drains or below.
    pub tight_depth_m: f64,
    /// Effective radius of the drains, metres.
    pub radius_m: f64,
    /// Saturated conductivity, m/s.
    pub conductivity_ms: f64,
    /// Drainable porosity: water a layer of soil gives up when the table falls through it, a ratio.
    pub porosity: f64,
}

/// The weather of one day, spread evenly over it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Weather {
    /// Rain, metres.
    pub rain_m: f64,
    /// What the air would take from a wet surface, metres.
    pub evaporation_m: f64,
}

/// Depth of the water table below the surface at [`PLACES`] even places from drain to drain, metres: at the start, then at
/// the end of each day. It starts level at `start_depth_m`.
///
/// Flow is level above a base at the equivalent depth ([ILRI16], chapter 8), which stands for the longer way round a drain;
/// the steady table is therefore Hooghoudt's. Water that rises above the surface runs off.
pub fn between_drains(section: &Section, start_depth_m: f64, days: &[Weather]) -> Vec<Vec<f64>> {
    let mut strip = Strip::of(section, PLACES / 2, start_depth_m);
    let mut found = vec![strip.depths_m()];
    for day in days {
        strip.pass_day(*day, STEP_OFF_M);
        found.push(strip.depths_m());
    }
    found
}
