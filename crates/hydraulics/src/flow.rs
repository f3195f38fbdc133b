//! How water stands in a pipe that is not just full, and what friction takes.

use std::f64::consts::PI;
use std::sync::OnceLock;

use crate::pipe::{full_capacity_m3s, full_velocity_ms};

/// By how much more a line carries, at the same head, when its flow grows evenly from nothing at the upper end, where
/// friction goes with the square of the flow: the head lost is a third, so √3 ([computed]).
pub const EVEN_INFLOW_ROUGH: f64 = 1.732_050_807_568_877_2;

/// The same for a technically smooth pipe, where friction goes with the flow to the power 1.75: 2.75^(1/1.75)
/// ([computed]).
pub const EVEN_INFLOW_SMOOTH: f64 = 1.7825727105669447;

/// Depth, in diameters, at which a pipe carries most: 1.0757 times as much as full ([computed] from [HEC22]).
const MOST_DEPTH: f64 = 0.938;

/// Discharge and velocity of a pipe in which water stands `depth` diameters deep, as shares of those of the full pipe
/// (Manning with one n for all depths, [HEC22]).
pub fn part_full(depth: f64) -> (f64, f64) {
    let depth = depth.clamp(0.0, 1.0);
    if depth == 0.0 {
        return (0.0, 0.0);
    }
    let angle = 2.0 * (1.0 - 2.0 * depth).acos();
    let area = (angle - angle.sin()) / (2.0 * PI);
    let radius = (angle - angle.sin()) / angle;
    let velocity = radius.powf(2.0 / 3.0);
    (area * velocity, velocity)
}

/// Depth of water in diameters at which a pipe carries that share of its full discharge; 1 where it cannot but under
/// pressure. Between 1 and 1.0757 of the full discharge a pipe may run free at two depths; the lower is meant. Within
/// 1e-5 of a diameter, from a table.
pub fn normal_depth(share: f64) -> f64 {
    const STEPS: usize = 512;
    static SHARES: OnceLock<Vec<f64>> = OnceLock::new();
    let depth = |i: usize| MOST_DEPTH * i as f64 / STEPS as f64;
    let shares = SHARES.get_or_init(|| (0..=STEPS).map(|i| part_full(depth(i)).0).collect());
    if share <= 0.0 {
        return 0.0;
    }
    if share.is_nan() {
        // No flow over no capacity: nothing passes.
        return 1.0;
    }
    match shares.partition_point(|s| *s < share) {
        i if i > STEPS => 1.0,
        i => {
            let i = i.max(1);
            let part = (share - shares[i - 1]) / (shares[i] - shares[i - 1]);
            depth(i - 1) + (depth(i) - depth(i - 1)) * part
        }
    }
}

/// Mean velocity of a discharge in a pipe at a grade, m/s: at its normal depth, or full under pressure.
pub fn velocity_ms(n: f64, inside_m: f64, grade: f64, discharge_m3s: f64) -> f64 {
    let full_m3s = full_capacity_m3s(n, inside_m, grade);
    if discharge_m3s <= 0.0 {
        0.0
    } else if discharge_m3s < full_m3s {
        part_full(normal_depth(discharge_m3s / full_m3s)).1 * full_velocity_ms(n, inside_m, grade)
    } else {
        discharge_m3s / (PI * inside_m * inside_m / 4.0)
    }
}

/// Head lost to friction in a full pipe as a ratio to its length (Manning, [HEC22], solved for S).
pub fn friction_grade(n: f64, inside_m: f64, discharge_m3s: f64) -> f64 {
    let at_one = full_capacity_m3s(n, inside_m, 1.0);
    (discharge_m3s / at_one).powi(2)
}

/// Inside diameter of the pipe that just carries a discharge full, metres (the same solved for D).
pub fn diameter_for(n: f64, grade: f64, discharge_m3s: f64) -> f64 {
    (discharge_m3s / full_capacity_m3s(n, 1.0, grade)).powf(3.0 / 8.0)
}

/// Discharge of land under a drainage coefficient, m³/s.
pub fn drainage_m3s(area_m2: f64, coefficient_ms: f64) -> f64 {
    area_m2 * coefficient_ms
}
