//! What a drain takes out of the soil round it.

/// Least resistance of the last way into a drain, as a length of soil, metres: a drain on the tight layer is as good as open.
const LEAST_WAY_M: f64 = 0.005;

/// A piece of drain in one cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drain {
    /// The cell.
    pub cell: usize,
    /// Level at which water runs into it: its invert, metres.
    pub level_m: f64,
    /// Length in the cell, metres.
    pub length_m: f64,
    /// How hard the last way into it is.
    pub entry: Entry,
}

impl Drain {
    /// What the piece takes from a table at a level, m³/s, and how that grows with the level, m²/s.
    pub(crate) fn takes(&self, head_m: f64) -> (f64, f64) {
        let (takes, grows) = self.entry.takes(head_m - self.level_m);
        (takes * self.length_m, grows * self.length_m)
    }
}

/// The last way into a drain, over which the lines of flow come together: what a cell is too wide to show.
///
/// The conductance is such that between even drains the steady table is that of Hooghoudt with the closed-form equivalent
/// depth ([ILRI16], chapter 8), whatever its height: level flow over the real base gives `(D + h)² − (D + h₀)² = q L² / 4 K`
/// with `h₀` over the drain itself, Hooghoudt `h² + 2 d h = q L² / 4 K`; both hold where `h = h₀ (h₀ + 2 D) / 2 (D − d)`.
/// A table that stands flat has no such arch; beyond one that reaches the surface the conductance grows no more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    /// Saturated conductivity, m/s.
    conductivity_ms: f64,
    /// From the drain to the tight layer, metres.
    below_m: f64,
    /// Equivalent depth, metres.
    depth_m: f64,
    /// From drain to drain, metres.
    spacing_m: f64,
    /// From the drain to the surface, metres.
    cover_m: f64,
}

impl Entry {
    /// The way into a drain of a radius, `below_m` over the tight layer and `cover_m` under the surface, its neighbours
    /// `spacing_m` off; metres and m/s, all above 0.
    pub fn new(conductivity_ms: f64, below_m: f64, cover_m: f64, spacing_m: f64, radius_m: f64) -> Self {
        let below_m = below_m.max(radius_m);
        let closed = hydraulics::equivalent_depth_m(below_m, spacing_m, radius_m);
        let open = 1.0 / (1.0 / below_m + 8.0 * LEAST_WAY_M / spacing_m);
        Self { conductivity_ms, below_m, depth_m: closed.min(open), spacing_m, cover_m }
    }

    /// What a metre of drain takes for a table so high over it, m²/s, and how fast that grows with the height, m/s. Below the
    /// drain both go on as a straight line, which a step in time may need; nothing runs out of a drain.
    pub fn takes(&self, height_m: f64) -> (f64, f64) {
        let slack_m = self.below_m - self.depth_m;
        // Small heights: 8 K D d / L (D − d) a metre of height.
        let eased = 8.0 * self.conductivity_ms * self.below_m * self.depth_m / (self.spacing_m * slack_m);
        if height_m <= 0.0 {
            return (eased * height_m, eased);
        }
        let arch_m = height_m * (height_m + 2.0 * self.below_m) / (2.0 * slack_m);
        let ease = 4.0 * self.conductivity_ms / self.spacing_m;
        let grows = (height_m + self.below_m) / slack_m;
        if arch_m <= self.cover_m {
            return (ease * arch_m * (arch_m + 2.0 * self.depth_m), ease * 2.0 * (arch_m + self.depth_m) * grows);
        }
        let most = ease * (self.cover_m + 2.0 * self.depth_m);
        (most * arch_m, most * grows)
    }
}
