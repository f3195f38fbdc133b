//! Water that comes sideways down a slope to an interceptor: two ways to judge it.

use measure::{CFS_M3S, FOOT_M};

/// A cubic foot a second to 1,000 ft of interceptor, m²/s.
const CFS_PER_1000_FT: f64 = CFS_M3S / (1_000.0 * FOOT_M);

/// Inflow to a length of interceptor by Darcy, m²/s: all that moves through soil of a saturated thickness down a slope.
pub fn darcy_inflow_m2s(conductivity_ms: f64, slope: f64, thickness_m: f64) -> f64 {
    conductivity_ms * slope * thickness_m
}

/// The least and the most that a handbook gives for a texture, m²/s: cubic feet a second to 1,000 ft of interceptor, more by
/// a tenth from 2 % of slope, a fifth from 5 %, three tenths from 12 % ([EFH14], from memory, unverified).
pub fn handbook_inflow_m2s(soil: Seeping, slope: f64) -> (f64, f64) {
    let (least, most) = match soil {
        Seeping::CoarseSand => (0.15, 1.00),
        Seeping::SandyLoam => (0.07, 0.25),
        Seeping::SiltLoam => (0.04, 0.10),
        Seeping::Clay => (0.02, 0.20),
    };
    let steeper = [(0.12, 1.3), (0.05, 1.2), (0.02, 1.1)];
    let raised = steeper.into_iter().find(|(from, _)| slope >= *from).map_or(1.0, |(_, raised)| raised);
    (least * raised * CFS_PER_1000_FT, most * raised * CFS_PER_1000_FT)
}

/// The textures for which the handbook tells an inflow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seeping {
    /// Coarse sand and gravel.
    CoarseSand,
    /// Sandy loam.
    SandyLoam,
    /// Silt loam.
    SiltLoam,
    /// Clay and clay loam.
    Clay,
}
