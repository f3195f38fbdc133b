//! Drain spacing by Hooghoudt with the closed-form equivalent depth.
//!
//! [ILRI16], chapter 8: equation 8.3 to 8.7 (p. 264–266), closed form 8.9 to 8.13 (p. 268), after
//! van der Molen and Wesseling (1991). No spacing formula is better than about 25 % in the field.

use std::f64::consts::PI;

/// Effective radius of 4-in corrugated tubing without envelope, metres: 0.0167 ft (usually quoted as 0.0051 m; from
/// memory).
pub const EFFECTIVE_RADIUS_M: f64 = 0.0167 * 0.3048;

/// How far a spacing formula may be off in the field, as a share of the spacing (two field studies, as [ILRI16] and a
/// paper of 1988 are quoted).
pub const FORMULA_OFF: f64 = 0.25;

/// Widest spacing that is looked for, metres.
pub const WIDEST_M: f64 = 1_000.0;

/// The soil round a drain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Soil {
    /// Saturated conductivity above the level of the drain, m/s.
    pub above_ms: f64,
    /// Saturated conductivity below it, m/s.
    pub below_ms: f64,
    /// Depth of the tight layer below the drain, metres; 0 where the drain lies on it.
    pub tight_below_m: f64,
    /// Effective radius of the drain, metres.
    pub radius_m: f64,
}

impl Soil {
    /// One soil above and below the drain.
    pub const fn even(conductivity_ms: f64, tight_below_m: f64, radius_m: f64) -> Self {
        Self { above_ms: conductivity_ms, below_ms: conductivity_ms, tight_below_m, radius_m }
    }

    fn is_sound(&self) -> bool {
        let above_0 = [self.above_ms, self.below_ms, self.radius_m];
        above_0.iter().all(|number| *number > 0.0 && number.is_finite())
            && (0.0..f64::INFINITY).contains(&self.tight_below_m)
    }
}

/// Equivalent depth of flow below drains of a spacing, metres. All lengths must be above 0; on the layer itself it is 0.
pub fn equivalent_depth_m(tight_below_m: f64, spacing_m: f64, radius_m: f64) -> f64 {
    if tight_below_m <= 0.0 {
        return 0.0;
    }
    let x = 2.0 * PI * tight_below_m / spacing_m;
    let depth_m = PI * spacing_m / 8.0 / ((spacing_m / (PI * radius_m)).ln() + convergence(x));
    depth_m.clamp(0.0, tight_below_m)
}

/// F(x) of the closed form.
fn convergence(x: f64) -> f64 {
    let series = |n: i32| {
        let part = (-2.0 * f64::from(n) * x).exp();
        4.0 * part / (f64::from(n) * (1.0 - part))
    };
    // The switch of the source; both branches meet there to 5e-9.
    if x > 0.5 {
        (0..40).map(|k| series(2 * k + 1)).sum::<f64>()
    } else {
        PI * PI / (4.0 * x) + (x / (2.0 * PI)).ln()
    }
}

/// Equivalent depth by Moody's formulas, metres, as a comparison ([USBR], section 5-5, by notes that quote it; its last
/// term is 2 (D/L)²).
pub fn moody_depth_m(tight_below_m: f64, spacing_m: f64, radius_m: f64) -> f64 {
    let ratio = tight_below_m / spacing_m;
    if ratio > 0.3 {
        return PI * spacing_m / (8.0 * ((spacing_m / radius_m).ln() - 1.15));
    }
    let alpha = 3.55 - 1.6 * ratio + 2.0 * ratio * ratio;
    tight_below_m / (1.0 + ratio * (8.0 / PI * (tight_below_m / radius_m).ln() - alpha))
}

/// Height of the water table over the drains midway between them at a steady discharge, metres.
pub fn arch_m(soil: Soil, discharge_ms: f64, spacing_m: f64) -> f64 {
    arch_over_m(soil, equivalent_depth_m(soil.tight_below_m, spacing_m, soil.radius_m), discharge_ms, spacing_m)
}

/// The same for an equivalent depth that is known.
fn arch_over_m(soil: Soil, depth_m: f64, discharge_ms: f64, spacing_m: f64) -> f64 {
    // h² + 2 d Kb / Ka h = q L² / (4 Ka)
    let d = depth_m * soil.below_ms / soil.above_ms;
    (d * d + discharge_ms * spacing_m * spacing_m / (4.0 * soil.above_ms)).sqrt() - d
}

/// Discharge at which the water table stands `arch_m` over the drains midway, m/s. With the water table at the surface this
/// is the drainage intensity.
pub fn discharge_ms(soil: Soil, arch_m: f64, spacing_m: f64) -> f64 {
    let d = equivalent_depth_m(soil.tight_below_m, spacing_m, soil.radius_m);
    (8.0 * soil.below_ms * d * arch_m + 4.0 * soil.above_ms * arch_m * arch_m) / (spacing_m * spacing_m)
}

/// The spacing at which the water table stands `arch_m` over the drains midway at a steady discharge, metres; `None` where
/// there is no such spacing up to a kilometre.
pub fn spacing_m(soil: Soil, discharge_ms: f64, wanted_arch_m: f64) -> Option<f64> {
    spacing_by(soil, discharge_ms, wanted_arch_m, equivalent_depth_m)
}

/// The same with Moody's equivalent depth.
pub fn moody_spacing_m(soil: Soil, discharge_ms: f64, wanted_arch_m: f64) -> Option<f64> {
    spacing_by(soil, discharge_ms, wanted_arch_m, moody_depth_m)
}

fn spacing_by(
    soil: Soil,
    discharge_ms: f64,
    wanted_arch_m: f64,
    depth: impl Fn(f64, f64, f64) -> f64,
) -> Option<f64> {
    let is_asked = discharge_ms > 0.0 && discharge_ms.is_finite() && wanted_arch_m > 0.0;
    let arch = |spacing_m: f64| {
        arch_over_m(soil, depth(soil.tight_below_m, spacing_m, soil.radius_m), discharge_ms, spacing_m)
    };
    if !is_asked || !soil.is_sound() {
        return None;
    }
    widest_m(4.0 * soil.radius_m, |spacing_m| arch(spacing_m) < wanted_arch_m)
}

/// The widest spacing from a least one up that passes a trial which narrow ones pass and wide ones do not, metres: the range
/// is halved until it is known to the last digit.
pub(crate) fn widest_m(least_m: f64, passes: impl Fn(f64) -> bool) -> Option<f64> {
    let (mut near_m, mut far_m) = (least_m, WIDEST_M);
    if passes(far_m) || !passes(near_m) {
        return None;
    }
    for _ in 0..100 {
        let middle_m = (near_m + far_m) / 2.0;
        if passes(middle_m) {
            near_m = middle_m;
        } else {
            far_m = middle_m;
        }
    }
    Some((near_m + far_m) / 2.0)
}
