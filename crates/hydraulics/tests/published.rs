//! Pipe flow against printed and computed values; where a value is in feet it was made with k = 1.486 for 1.48592,
//! hence 1e-4 relative beside half the last printed digit.

use hydraulics::{
    EVEN_INFLOW_ROUGH, EVEN_INFLOW_SMOOTH, diameter_for, drainage_m3s, friction_grade, full_capacity_m3s,
    full_velocity_ms, grade_for_velocity, normal_depth, old_capacity, part_full, velocity_ms,
};

const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;
const CFS: f64 = FOOT * FOOT * FOOT;
const GPM: f64 = CFS / 448.831;
const ACRE: f64 = 43_560.0 * FOOT * FOOT;
const IN_DAY: f64 = INCH / 86_400.0;

fn near(found: f64, printed: f64, half_digit: f64, what: &str) {
    assert!((found - printed).abs() <= 1e-4 * printed.abs() + half_digit, "{what}: {found}, printed {printed}");
}

/// Section 1.1: the closed forms in SI, Q = 0.31169/n d^(8/3) √S and d = 51.72 (Dc A n)^0.375 S^-0.1875 in mm, mm/day, ha.
#[test]
fn closed_forms() {
    for (n, d, s) in [(0.015f64, 0.1f64, 0.002f64), (0.012, 0.3, 0.0005), (0.02, 0.38, 0.01)] {
        near(full_capacity_m3s(n, d, s), 0.31169 / n * d.powf(8.0 / 3.0) * s.sqrt(), 0.0, "capacity");
    }
    for (dc, ha, n, s) in [(12.7f64, 2.0f64, 0.015f64, 0.002f64), (9.525, 24.0, 0.012, 0.0015)] {
        let flow = drainage_m3s(ha * 1e4, dc / 1000.0 / 86_400.0);
        near(
            diameter_for(n, s, flow) * 1000.0,
            51.7206 * (dc * ha * n).powf(0.375) * s.powf(-0.1875),
            0.0,
            "diameter",
        );
    }
}

/// Section 1.1: part-full flow, and the greatest discharge and speed (1.0757 at y/D 0.938, 1.1400 at 0.813).
#[test]
fn part_full_pipe() {
    for (depth, flow, speed) in [
        (0.10, 0.0209, 0.4012),
        (0.25, 0.1370, 0.7007),
        (0.50, 0.5000, 1.0000),
        (0.75, 0.9119, 1.1335),
        (0.90, 1.0658, 1.1243),
        (0.938, 1.0757, 1.1118),
    ] {
        let (q, v) = part_full(depth);
        assert!((q - flow).abs() < 6e-5, "y/D {depth}: Q share {q}");
        assert!(depth == 0.938 || (v - speed).abs() < 6e-5, "y/D {depth}: V share {v}");
        assert!((normal_depth(q) - depth).abs() < 2e-4, "depth for {q}: {}", normal_depth(q));
    }
    let fastest = (0..=1000).map(|i| part_full(f64::from(i) / 1000.0).1).fold(0.0, f64::max);
    assert!((fastest - 1.1400).abs() < 6e-5 && (part_full(0.813).1 - fastest).abs() < 1e-5);
    assert_eq!((normal_depth(0.0), normal_depth(1.2)), (0.0, 1.0));
    assert_eq!((part_full(0.0), part_full(1.0)), ((0.0, 0.0), (1.0, 1.0)));
}

/// Section 1.4: every row of the capacity check points.
#[test]
fn capacity_check_points() {
    for (inches, n, percent, cfs, gpm, fps, acres_3_8, acres_1_2) in [
        (3.0, 0.015, 0.10, 0.0242, 10.9, 0.493, 1.54, 1.15),
        (4.0, 0.015, 0.10, 0.0522, 23.4, 0.598, 3.31, 2.48),
        (4.0, 0.015, 0.20, 0.0738, 33.1, 0.845, 4.68, 3.51),
        (4.0, 0.015, 0.50, 0.1166, 52.3, 1.336, 7.40, 5.55),
        (5.0, 0.015, 0.20, 0.1337, 60.0, 0.981, 8.49, 6.37),
        (6.0, 0.015, 0.10, 0.1538, 69.0, 0.783, 9.76, 7.32),
        (6.0, 0.015, 0.50, 0.3439, 154.3, 1.751, 21.83, 16.37),
        (8.0, 0.015, 0.10, 0.3312, 148.6, 0.949, 21.02, 15.77),
        (8.0, 0.015, 0.20, 0.4684, 210.2, 1.342, 29.73, 22.30),
        (10.0, 0.017, 0.10, 0.5298, 237.8, 0.971, 33.63, 25.22),
        (12.0, 0.017, 0.10, 0.8616, 386.7, 1.097, 54.68, 41.01),
        (12.0, 0.017, 0.50, 1.9265, 864.7, 2.453, 122.28, 91.71),
        (15.0, 0.020, 0.10, 1.3278, 596.0, 1.082, 84.28, 63.21),
    ] {
        let (d, s) = (inches * INCH, percent / 100.0);
        let (q, v) = (full_capacity_m3s(n, d, s), full_velocity_ms(n, d, s));
        let what = format!("{inches} in at {percent} %");
        near(q / CFS, cfs, 5e-5, &what);
        near(q / GPM, gpm, 0.05, &what);
        near(v / FOOT, fps, 5e-4, &what);
        near(q / (0.375 * IN_DAY) / ACRE, acres_3_8, 5e-3, &what);
        near(q / (0.5 * IN_DAY) / ACRE, acres_1_2, 5e-3, &what);
    }
    for (inches, percent, cfs) in [(4.0, 0.5, 0.1458), (8.0, 0.1, 0.4140), (12.0, 0.1, 1.2205), (15.0, 0.5, 4.9481)] {
        near(full_capacity_m3s(0.012, inches * INCH, percent / 100.0) / CFS, cfs, 5e-5, "smooth");
    }
    // SI rows, n = 0.016: diameter in mm, grade in percent, L/s.
    for (mm, percent, litres) in [
        (65.0, 0.2, 0.595),
        (80.0, 0.1, 0.732),
        (100.0, 0.2, 1.877),
        (125.0, 0.2, 3.403),
        (160.0, 0.5, 10.393),
        (200.0, 0.1, 8.427),
    ] {
        near(full_capacity_m3s(0.016, mm / 1000.0, percent / 100.0) * 1000.0, litres, 5e-4, "SI row");
    }
}

/// Section 1.4, published selections and own checks: a contractor's chart (0.5 %, 2 L/s: 4 in), a textbook of about 1915
/// (6 in at 0.25 %: 12 to 20 ac), sizing of 60 ac, length of lateral.
#[test]
fn published_selections() {
    let litres = |inches: f64, n: f64| full_capacity_m3s(n, inches * INCH, 0.005) * 1000.0;
    near(litres(3.0, 0.015), 1.53, 5e-3, "3 in");
    near(litres(4.0, 0.015), 3.30, 5e-3, "4 in");
    near(litres(4.0, 0.017), 2.91, 5e-3, "4 in, rougher");
    assert!(litres(3.0, 0.015) < 2.0 && litres(4.0, 0.017) > 2.0);
    let acres = |inches: f64, day: f64| full_capacity_m3s(0.013, inches * INCH, 0.0025) / (day * IN_DAY) / ACRE;
    near(acres(6.0, 0.375), 17.8, 0.05, "6 in at 3/8");
    near(acres(6.0, 0.5), 13.4, 0.05, "6 in at 1/2");
    near(acres(8.0, 0.375), 38.3, 0.05, "8 in at 3/8");
    assert!((12.0..=20.0).contains(&acres(6.0, 0.375)) && (12.0..=20.0).contains(&acres(6.0, 0.5)));
    let flow = drainage_m3s(60.0 * ACRE, 0.375 * IN_DAY);
    near(flow / CFS, 0.9453, 5e-5, "60 ac");
    near(diameter_for(0.012, 0.0015, flow) / INCH, 10.105, 5e-4, "smooth");
    near(diameter_for(0.015, 0.0015, flow) / INCH, 10.987, 5e-4, "corrugated");
    let served = full_capacity_m3s(0.015, 4.0 * INCH, 0.001) / (0.375 * IN_DAY);
    for (spacing, length) in [(50.0, 2884.0), (40.0, 3605.0), (80.0, 1803.0)] {
        near(served / FOOT / FOOT / spacing, length, 0.5, "length of lateral");
    }
}

/// Section 1.4: flow that grows evenly. The factors, and the metric forms of FAO 62 (22 and 38 d^2.667 S^0.5 for
/// corrugated pipe of n 1/70; 50 and 89 for technically smooth pipe after Blasius with a = 0.40 at 10 °C).
#[test]
fn evenly_growing_flow() {
    assert!((EVEN_INFLOW_ROUGH - 3f64.sqrt()).abs() < 1e-12);
    assert!((EVEN_INFLOW_SMOOTH - 2.75f64.powf(1.0 / 1.75)).abs() < 1e-12);
    let corrugated = full_capacity_m3s(1.0 / 70.0, 1.0, 1.0);
    near(corrugated, 21.82, 5e-3, "22");
    near(corrugated * EVEN_INFLOW_ROUGH, 37.79, 5e-3, "38");
    let blasius = |a: f64, nu: f64| {
        let pi = std::f64::consts::PI;
        (pi * pi * 9.80665 / (8.0 * a) * (4.0 / (nu * pi)).powf(0.25)).powf(1.0 / 1.75)
    };
    for (a, nu, transport, even) in [
        (0.40, 1.31e-6, 50.3, 89.7),
        (0.40, 1.0e-6, 52.3, 93.2),
        (0.3164, 1.31e-6, 57.5, 102.5),
        (0.77, 1.31e-6, 34.6, 61.7),
    ] {
        near(blasius(a, nu), transport, 0.05, "transport");
        near(blasius(a, nu) * EVEN_INFLOW_SMOOTH, even, 0.06, "even inflow");
    }
}

/// Section 1.5: least grades in percent at 0.5 and 1.4 ft/s for tile (n 0.013) and tubing (n 0.015), and the bulletin's
/// printed table within 0.006 points.
#[test]
fn least_grades() {
    let percent = |n: f64, inches: f64, fps: f64| 100.0 * grade_for_velocity(n, inches * INCH, fps * FOOT);
    for (inches, row) in [
        (3.0, [0.077, 0.103, 0.605, 0.805]),
        (4.0, [0.053, 0.070, 0.412, 0.549]),
        (5.0, [0.039, 0.052, 0.306, 0.407]),
        (6.0, [0.031, 0.041, 0.240, 0.320]),
        (8.0, [0.021, 0.028, 0.164, 0.218]),
        (10.0, [0.015, 0.021, 0.121, 0.162]),
        (12.0, [0.012, 0.016, 0.095, 0.127]),
    ] {
        let cases = [(0.013, 0.5), (0.015, 0.5), (0.013, 1.4), (0.015, 1.4)];
        for ((n, fps), printed) in cases.into_iter().zip(row) {
            near(percent(n, inches, fps), printed, 5.5e-4, "least grade");
        }
    }
    for (inches, row) in [
        (3.0, [0.08, 0.10, 0.60, 0.81]),
        (4.0, [0.05, 0.07, 0.41, 0.55]),
        (5.0, [0.04, 0.05, 0.30, 0.41]),
        (6.0, [0.03, 0.04, 0.24, 0.32]),
    ] {
        let cases = [(0.013, 0.5), (0.015, 0.5), (0.013, 1.4), (0.015, 1.4)];
        for ((n, fps), printed) in cases.into_iter().zip(row) {
            assert!((percent(n, inches, fps) - printed).abs() <= 0.0065, "{inches} in, n {n}, {fps} ft/s");
        }
    }
}

/// A class hour on grade: 4 in at five grades.
#[test]
fn what_grade_does() {
    for (percent, cfs, fps, acres) in [
        (0.1, 0.052, 0.60, 2.5),
        (0.2, 0.074, 0.85, 3.5),
        (0.5, 0.117, 1.34, 5.6),
        (1.0, 0.165, 1.89, 7.9),
        (2.0, 0.233, 2.67, 11.1),
    ] {
        let q = full_capacity_m3s(0.015, 4.0 * INCH, percent / 100.0);
        near(q / CFS, cfs, 5e-4, "flow");
        near(full_velocity_ms(0.015, 4.0 * INCH, percent / 100.0) / FOOT, fps, 6e-3, "speed");
        near(q / (0.5 * IN_DAY) / ACRE, acres, 0.06, "acres");
    }
}

/// Friction, normal depth and speed agree with each other, and the range of an old tile lies round its plain capacity.
#[test]
fn the_formulas_agree() {
    let (n, d, s) = (0.015, 0.15, 0.003);
    let q = full_capacity_m3s(n, d, s);
    assert!((friction_grade(n, d, q) - s).abs() < 1e-12);
    assert!((velocity_ms(n, d, s, q) - full_velocity_ms(n, d, s)).abs() < 1e-9);
    assert!(
        (velocity_ms(n, d, s, q / 2.0) - full_velocity_ms(n, d, s)).abs() < 1e-4,
        "half full runs as fast as full"
    );
    let range = old_capacity(d, s, (0.011, 0.015), (0.0, 0.5));
    assert!((range.most_m3s - full_capacity_m3s(0.011, d, s)).abs() < 1e-12);
    // Half full of silt: half the area; the wetted edge is half the round and the chord.
    let radius = (0.5f64 / (0.5 + 1.0 / std::f64::consts::PI)).powf(2.0 / 3.0);
    assert!((range.least_m3s - q * 0.5 * radius).abs() < 1e-12);
    assert_eq!(old_capacity(d, s, (0.011, 0.015), (0.0, 1.0)).least_m3s, 0.0);
}
