//! Drain spacing by Hooghoudt with the closed-form equivalent depth.
//!
//! [ILRI16], chapter 8: equation 8.3 to 8.7 (p. 264–266), closed form 8.9 to 8.13 (p. 268), after
//! van der Molen and Wesseling (1991). No spacing formula is better than about 25 % in the field.

use std::f64::consts::PI;

/// Effective radius of 4-in corrugated tubing without envelope, metres: 0.0167 ft (usually quoted as 0.0051 m; from
/// memory).
pub const EFFECTIVE_RADIUS_M: f64 = 0.0167 * 0.3048;

/// Widest spacing that is looked for, metres.
const WIDEST_M: f64 = 1_000.0;

/// The soil round a drain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Soil {
    /// Saturated conductivity above and below the drain, m/s.
    pub conductivity_ms: f64,
    /// Depth of the tight layer below the drain, metres.
    pub tight_below_m: f64,
    /// Effective radius of the drain, metres.
    pub radius_m: f64,
}

/// Equivalent depth of flow below drains of a spacing, metres. All lengths must be above 0.
pub fn equivalent_depth_m(tight_below_m: f64, spacing_m: f64, radius_m: f64) -> f64 {
    let x = 2.0 * PI * tight_below_m / spacing_m;
    let series = |n: i32| {
        let part = (-2.0 * f64::from(n) * x).exp();
        4.0 * part / (f64::from(n) * (1.0 - part))
    };
    // The switch of the source; both branches meet there to 5e-9.
    let f = if x > 0.5 {
        (0..40).map(|k| series(2 * k + 1)).sum::<f64>()
    } else {
        PI * PI / (4.0 * x) + (x / (2.0 * PI)).ln()
    };
    let depth_m = PI * spacing_m / 8.0 / ((spacing_m / (PI * radius_m)).ln() + f);
    depth_m.clamp(0.0, tight_below_m)
}

/// Height of the water table over the drains midway between them at a steady discharge, metres.
pub fn arch_m(soil: Soil, discharge_ms: f64, spacing_m: f64) -> f64 {
    let d = equivalent_depth_m(soil.tight_below_m, spacing_m, soil.radius_m);
    // h² + 2 d h = q L² / (4 K)
    (d * d + discharge_ms * spacing_m * spacing_m / (4.0 * soil.conductivity_ms)).sqrt() - d
}

/// The spacing at which the water table stands `arch_m` over the drains midway at a steady discharge, metres; `None` where
/// there is no such spacing up to a kilometre.
pub fn spacing_m(soil: Soil, discharge_ms: f64, wanted_arch_m: f64) -> Option<f64> {
    let sound = [soil.conductivity_ms, soil.tight_below_m, soil.radius_m, discharge_ms, wanted_arch_m];
    if !sound.iter().all(|number| *number > 0.0 && number.is_finite()) {
        return None;
    }
    // The arch grows with the spacing: halve the range until it is known to the last digit.
    let (mut near_m, mut far_m) = (4.0 * soil.radius_m, WIDEST_M);
    if arch_m(soil, discharge_ms, far_m) < wanted_arch_m || arch_m(soil, discharge_ms, near_m) > wanted_arch_m {
        return None;
    }
    for _ in 0..100 {
        let middle_m = (near_m + far_m) / 2.0;
        if arch_m(soil, discharge_ms, middle_m) < wanted_arch_m {
            near_m = middle_m;
        } else {
            far_m = middle_m;
        }
    }
    Some((near_m + far_m) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    const FOOT_M: f64 = 0.3048;

    const DAY_S: f64 = 86_400.0;

    /// Closed form of [ILRI16], worked out apart from this code: depth of base, spacing, radius and equivalent depth,
    /// metres.
    #[test]
    fn equivalent_depths_of_the_reference() {
        for (base, spacing, radius, depth) in [
            (1.0, 10.0, 0.1, 0.7723),
            (2.0, 20.0, 0.1, 1.3593),
            (5.0, 30.0, 0.1, 2.2995),
            (0.5, 5.0, 0.1, 0.4471),
            (5.0, 50.0, 0.1, 2.9331),
            (2.0, 20.0, 0.05, 1.2137),
            (10.0, 50.0, 0.1, 3.6206),
            (1.0, 10.0, 0.0051, 0.4872),
            (1.0, 150.0, 0.1, 0.981),
        ] {
            let found = equivalent_depth_m(base, spacing, radius);
            assert!((found - depth).abs() < 1e-3, "{base} {spacing} {radius}: {found}");
        }
    }

    /// Spacings iterated with it: q, K (m/d), h, D, r0 (m) and L (m).
    #[test]
    fn spacings_of_the_reference() {
        for (q, k, h, base, spacing) in [
            (0.0070, 0.80, 0.60, 2.0, 30.581),
            (0.0095, 0.50, 0.75, 1.5, 21.351),
            (0.0127, 1.20, 0.60, 1.2, 23.827),
            (0.0095, 0.12, 0.60, 1.0, 7.436),
            (0.0100, 1.20, 0.50, 3.0, 30.859),
        ] {
            let soil = Soil { conductivity_ms: k / DAY_S, tight_below_m: base, radius_m: 0.05 };
            let found = spacing_m(soil, q / DAY_S, h).unwrap_or(0.0);
            assert!((found - spacing).abs() < 1e-3, "{q} {k}: {found}");
        }
    }

    /// The worked example Ellowby Block: clay loam, drains at 3.5 ft, base at 6.0 ft, 3/8 in/day.
    #[test]
    fn a_grid_fitted_to_rows() {
        let soil = |k: f64| Soil {
            conductivity_ms: k * FOOT_M / DAY_S,
            tight_below_m: 2.5 * FOOT_M,
            radius_m: EFFECTIVE_RADIUS_M,
        };
        let q = 0.03125 * FOOT_M / DAY_S;
        let feet = |metres: f64| (metres / FOOT_M * 100.0).round() / 100.0;
        assert_eq!(spacing_m(soil(0.694), q, 2.0 * FOOT_M).map(feet), Some(28.90));
        assert_eq!(feet(equivalent_depth_m(2.5 * FOOT_M, 28.9 * FOOT_M, EFFECTIVE_RADIUS_M)), 1.35);
        assert_eq!(feet(arch_m(soil(0.694), q, 27.0 * FOOT_M)), 1.84);
        assert_eq!(feet(arch_m(soil(0.694), q, 36.0 * FOOT_M)), 2.61);
        assert_eq!(feet(3.5 * FOOT_M - arch_m(soil(1.388), q, 36.0 * FOOT_M)), 1.90);
    }

    #[test]
    fn no_spacing_where_there_is_none() {
        let tight = Soil { conductivity_ms: 1e-12, tight_below_m: 1.0, radius_m: 0.01 };
        assert_eq!(spacing_m(tight, 1e-6, 0.01), None);
        assert_eq!(spacing_m(Soil { tight_below_m: -1.0, ..tight }, 1e-8, 0.5), None);
    }
}
