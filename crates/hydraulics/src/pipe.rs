//! A round pipe: its sizes, its wall, and what it carries when full.

const INCH_M: f64 = 0.0254;

/// Nominal inside diameters the trade stocks, inches (common practice, no source).
const STOCKED_INCHES: [f64; 8] = [3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0];

/// Nominal inside diameters the trade stocks, metres, smallest first.
pub fn stocked_sizes_m() -> [f64; 8] {
    STOCKED_INCHES.map(|inches| inches * INCH_M)
}

/// The next stocked size above `inside_m`; `None` past the largest.
pub fn next_size_up(inside_m: f64) -> Option<f64> {
    stocked_sizes_m().into_iter().find(|size| *size > inside_m * 1.001)
}

/// The body of a pipe, as shares of its inside diameter. A maker's figures beat it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Body {
    wall: f64,
    top: f64,
}

impl Body {
    /// Corrugated: a wall of 9 %, which gives 0.03 ft for 4 in, and a top 8 % over the inside, which gives 0.36 ft over the
    /// invert for 4 in, 0.54 for 6 in, 0.72 for 8 in ([judgement]).
    pub const CORRUGATED: Self = Self { wall: 0.09, top: 1.08 };
    /// Smooth and rigid: a wall of a thirty-fifth of the outside diameter, SDR 35 (ASTM D3034, from memory, unverified).
    pub const RIGID: Self = Self { wall: 1.0 / 33.0, top: 34.0 / 33.0 };

    /// Thickness of the wall, metres.
    pub fn wall_m(self, inside_m: f64) -> f64 {
        self.wall * inside_m
    }

    /// Height of the outside top above the invert, metres.
    pub fn top_above_invert_m(self, inside_m: f64) -> f64 {
        self.top * inside_m
    }

    /// Outside diameter, metres.
    pub fn outside_m(self, inside_m: f64) -> f64 {
        self.top_above_invert_m(inside_m) + self.wall_m(inside_m)
    }
}

/// Mean velocity of a full pipe, m/s, at a grade given as a ratio (Manning with k = 1, R = D/4, [HEC22]).
/// Zero for a level or adverse grade.
pub fn full_velocity_ms(n: f64, inside_m: f64, grade: f64) -> f64 {
    (inside_m / 4.0).powf(2.0 / 3.0) * grade.max(0.0).sqrt() / n
}

/// Discharge of a full pipe, m³/s (Manning, [HEC22]).
pub fn full_capacity_m3s(n: f64, inside_m: f64, grade: f64) -> f64 {
    full_velocity_ms(n, inside_m, grade) * std::f64::consts::PI * inside_m * inside_m / 4.0
}

/// The grade, as a ratio, at which a full pipe runs `velocity_ms` (Manning, [HEC22], solved for the grade).
pub fn grade_for_velocity(n: f64, inside_m: f64, velocity_ms: f64) -> f64 {
    (velocity_ms * n / (inside_m / 4.0).powf(2.0 / 3.0)).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOOT_M: f64 = 0.3048;

    /// Worked out from [HEC22] with n = 0.015 (k 1.486 there, hence 1e-4 relative and half a printed digit).
    #[test]
    fn capacity_check_points() {
        for (inches, percent, cfs, fps) in [
            (3.0, 0.1, 0.0242, 0.493),
            (4.0, 0.5, 0.1166, 1.336),
            (6.0, 0.5, 0.3439, 1.751),
            (8.0, 0.2, 0.4684, 1.342),
        ] {
            let q = full_capacity_m3s(0.015, inches * INCH_M, percent / 100.0) / FOOT_M.powi(3);
            let v = full_velocity_ms(0.015, inches * INCH_M, percent / 100.0) / FOOT_M;
            assert!((q - cfs).abs() < 1e-4 * cfs + 5e-5, "{inches} in: {q} cfs");
            assert!((v - fps).abs() < 1e-4 * fps + 5e-4, "{inches} in: {v} ft/s");
        }
    }

    /// Least grades in percent at 0.5 and 1.4 ft/s, tubing n = 0.015: worked out from [HEC22], as in [EXT-tab].
    #[test]
    fn least_grades_of_the_table() {
        for (inches, slow, fast) in
            [(3.0, 0.103, 0.805), (4.0, 0.070, 0.549), (5.0, 0.052, 0.407), (6.0, 0.041, 0.320), (8.0, 0.028, 0.218)]
        {
            let percent = |fps: f64| 100.0 * grade_for_velocity(0.015, inches * INCH_M, fps * FOOT_M);
            assert!((percent(0.5) - slow).abs() < 6e-4, "{inches} in");
            assert!((percent(1.4) - fast).abs() < 6e-4, "{inches} in");
        }
    }

    /// Tops of pipe and the 4-in outside diameter of the worked examples.
    #[test]
    fn the_body_of_a_pipe() {
        for (inches, top_ft) in [(4.0, 0.36), (6.0, 0.54), (8.0, 0.72)] {
            assert!((Body::CORRUGATED.top_above_invert_m(inches * INCH_M) / FOOT_M - top_ft).abs() < 1e-9);
        }
        assert!((Body::CORRUGATED.outside_m(4.0 * INCH_M) / FOOT_M - 0.39).abs() < 1e-9);
        assert!((Body::CORRUGATED.wall_m(4.0 * INCH_M) / FOOT_M - 0.03).abs() < 1e-9);
    }

    #[test]
    fn sizes_go_up_in_order() {
        assert_eq!(next_size_up(4.0 * INCH_M), Some(5.0 * INCH_M));
        assert_eq!(next_size_up(15.0 * INCH_M), None);
    }
}
