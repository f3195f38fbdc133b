//! What an old tile of which little is known can be trusted to carry.

use crate::pipe::full_capacity_m3s;

/// Roughness of clay and concrete tile, good and poor: 0.011 to 0.015 (concrete, [HEC22]; farm tile "good" 0.011 and
/// average 0.013 to 0.015, handbooks of the conservation service, [memory]).
pub const TILE_N: (f64, f64) = (0.011, 0.015);

/// Roughness of corrugated plastic, published range: 0.015 [EP480, memory] to 0.022 [HIGHWAY-N].
pub const OLD_PLASTIC_N: (f64, f64) = (0.015, 0.022);

/// Capacity of an old line between the worst and the best that may be true, m³/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CapacityRange {
    /// At the worst.
    pub least_m3s: f64,
    /// At the best.
    pub most_m3s: f64,
}

/// Capacity of an old pipe of a size and grade: `n` the roughness at its best and at its worst, `silt` the least and the
/// greatest share of its height that silt may fill. What is left above silt is taken as the pipe's area less the
/// segment the silt fills, at the full pipe's speed over the smaller hydraulic radius.
pub fn old_capacity(inside_m: f64, grade: f64, n: (f64, f64), silt: (f64, f64)) -> CapacityRange {
    CapacityRange {
        least_m3s: full_capacity_m3s(n.1, inside_m, grade) * open_share(silt.1),
        most_m3s: full_capacity_m3s(n.0, inside_m, grade) * open_share(silt.0),
    }
}

/// Share of the full discharge left to a pipe in which silt lies to a share of its height (Manning over the open part,
/// the silt's surface counted as wall).
fn open_share(silt: f64) -> f64 {
    let silt = silt.clamp(0.0, 1.0);
    let angle = 2.0 * (1.0 - 2.0 * silt).acos();
    let filled = (angle - angle.sin()) / (2.0 * std::f64::consts::PI);
    let chord = (angle / 2.0).sin() / std::f64::consts::PI;
    let wetted = 1.0 - angle / (2.0 * std::f64::consts::PI) + chord;
    let open = 1.0 - filled;
    if open <= 0.0 || wetted <= 0.0 { 0.0 } else { open * (open / wetted).powf(2.0 / 3.0) }
}
