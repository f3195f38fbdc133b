//! Other equations of steady flow to drains, beside Hooghoudt's: what they say and where they hold. All lengths in metres.

use std::f64::consts::PI;

use crate::hooghoudt::{Soil, widest_m};

/// Spacing by the ellipse equation, and by Donnan's: flow above a tight layer so far below the drain ([NEH624], chapter 4,
/// equation 4-8, p. 63–66). With the equivalent depth for the true one it is the modified ellipse.
pub fn ellipse_spacing_m(conductivity_ms: f64, tight_below_m: f64, arch_m: f64, discharge_ms: f64) -> f64 {
    (4.0 * conductivity_ms * (arch_m * arch_m + 2.0 * tight_below_m * arch_m) / discharge_ms).sqrt()
}

/// Kirkham's F for drains of a spacing and radius over a tight layer (1958; the series as a collection of formulas has it).
pub fn kirkham_factor(tight_below_m: f64, spacing_m: f64, radius_m: f64) -> f64 {
    let coth_less_1 = |x: f64| 2.0 / ((2.0 * x).exp() - 1.0);
    let term = |n: u32| {
        let turn = f64::from(n) * PI;
        let sign = if n.is_multiple_of(2) { 1.0 } else { -1.0 };
        ((2.0 * turn * radius_m / spacing_m).cos() - sign) / f64::from(n)
            * coth_less_1(2.0 * turn * tight_below_m / spacing_m)
    };
    // Terms fall as exp(−4πnD/L): past this nothing is left of them, however thin the layer.
    let most = (3.0 * spacing_m / tight_below_m).ceil().clamp(40.0, 20_000.0) as u32;
    ((spacing_m / (PI * radius_m)).ln() + (1..=most).map(term).sum::<f64>()) / PI
}

/// Height of the water table midway by Kirkham for steady rain, metres. `whole` counts the flow above the drains in
/// by the factor 1/(1 − q/K) (after Wesseling, 1964: [memory]); without it this is what Hooghoudt gives for flow below them.
pub fn kirkham_arch_m(soil: Soil, discharge_ms: f64, spacing_m: f64, whole: bool) -> f64 {
    let rate = discharge_ms / soil.below_ms;
    let above = if whole { 1.0 / (1.0 - rate) } else { 1.0 };
    rate * spacing_m * above * kirkham_factor(soil.tight_below_m, spacing_m, soil.radius_m)
}

/// Spacing by Kirkham for a soil of one conductivity, metres; `None` on the tight layer itself, and for more rain than the
/// soil lets through.
pub fn kirkham_spacing_m(soil: Soil, discharge_ms: f64, wanted_arch_m: f64) -> Option<f64> {
    let holds = soil.tight_below_m > 0.0 && discharge_ms < soil.below_ms;
    let arch = |spacing_m: f64| kirkham_arch_m(soil, discharge_ms, spacing_m, true);
    holds.then(|| widest_m(8.0 * soil.radius_m, |spacing_m| arch(spacing_m) < wanted_arch_m)).flatten()
}

/// Flow to drains under water that stands on the surface, as a depth in time, m/s: Kirkham's solution for a soil of one
/// conductivity. The drain is given by its depth **below the surface**; with its height over the tight layer in that place,
/// as one open code has it, the flow comes out a fifth too small (held against a fine grid, [computed]).
pub fn ponded_ms(
    conductivity_ms: f64,
    ponding_m: f64,
    drain_depth_m: f64,
    tight_depth_m: f64,
    radius_m: f64,
    spacing_m: f64,
) -> f64 {
    let head_m = ponding_m + drain_depth_m - radius_m;
    4.0 * PI * conductivity_ms * head_m
        / (ponded_factor(drain_depth_m, tight_depth_m, radius_m, spacing_m) * spacing_m)
}

/// g of that solution.
pub fn ponded_factor(drain_depth_m: f64, tight_depth_m: f64, radius_m: f64, spacing_m: f64) -> f64 {
    let turn = PI / (2.0 * tight_depth_m);
    let (near, far) = (radius_m * turn, (2.0 * drain_depth_m - radius_m) * turn);
    let own = ((far / 2.0).tan() / (near / 2.0).tan()).ln();
    let neighbour = |m: u32| {
        let wide = (f64::from(m) * spacing_m * turn).cosh();
        ((wide + near.cos()) / (wide - near.cos()) * (wide - far.cos()) / (wide + far.cos())).ln()
    };
    // Neighbours' shares fall as exp(−mπL/2h); past 700 cosh leaves the range of numbers and the share is nothing.
    let counted = (1..=2_000u32).take_while(|m| f64::from(*m) * spacing_m * turn < 700.0);
    2.0 * own + 2.0 * counted.map(neighbour).sum::<f64>()
}

/// A soil in two layers, the drain in the upper one, for Ernst ([ILRI16], equation 8.17 to 8.23, p. 270–272).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ernst {
    /// Conductivity of the upper layer, m/s.
    pub upper_ms: f64,
    /// Conductivity of the lower layer, m/s.
    pub lower_ms: f64,
    /// Thickness of the upper layer below the drain, metres.
    pub upper_below_m: f64,
    /// Thickness of the lower layer, metres.
    pub lower_m: f64,
    /// Wetted perimeter of the drain, metres.
    pub perimeter_m: f64,
    /// Geometry factor of the radial flow: see [`ernst_geometry`].
    pub geometry: f64,
}

/// Geometry factor where it is known: 1 for a lower layer under a tenth as pervious as the upper one, 4 above fifty times;
/// between it depends on the thicknesses too (table 8.2 of [ILRI16], not at hand). One layer is 1.
pub fn ernst_geometry(upper_ms: f64, lower_ms: f64) -> Option<f64> {
    match lower_ms / upper_ms {
        ratio if ratio < 0.1 || (ratio - 1.0).abs() < 1e-9 => Some(1.0),
        ratio if ratio > 50.0 => Some(4.0),
        _ => None,
    }
}

impl Ernst {
    /// Heads lost by vertical, horizontal and radial flow at an arch of the water table, metres.
    pub fn losses_m(self, discharge_ms: f64, spacing_m: f64, arch_m: f64) -> [f64; 3] {
        let through = self.lower_ms * self.lower_m + self.upper_ms * (self.upper_below_m + arch_m / 2.0);
        [
            discharge_ms * arch_m / self.upper_ms,
            discharge_ms * spacing_m * spacing_m / (8.0 * through),
            discharge_ms * spacing_m / (PI * self.upper_ms)
                * (self.geometry * self.upper_below_m / self.perimeter_m).ln(),
        ]
    }

    /// Spacing at which the losses make up the wanted arch, metres.
    pub fn spacing_m(self, discharge_ms: f64, wanted_arch_m: f64) -> Option<f64> {
        let lost = |spacing_m: f64| self.losses_m(discharge_ms, spacing_m, wanted_arch_m).iter().sum::<f64>();
        widest_m(self.perimeter_m, |spacing_m| lost(spacing_m) < wanted_arch_m)
    }
}
