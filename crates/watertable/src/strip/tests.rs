use super::*;
use crate::between_drains;

/// The soil of the reference's third Hooghoudt example with its spacing.
fn section() -> Section {
    Section {
        spacing_m: 23.827,
        drain_depth_m: 1.2,
        tight_depth_m: 2.4,
        radius_m: 0.05,
        conductivity_ms: 1.2 / DAY_S,
        porosity: 0.06,
    }
}

/// [ILRI16] equation 8.3 with the closed-form equivalent depth (values of `hydraulics`): at the discharge for which the
/// spacing was worked out, the table stands 0.60 m over the drains midway.
#[test]
fn the_steady_table_is_hooghoudts() {
    let days = vec![Weather { rain_m: 0.0127, evaporation_m: 0.0 }; 400];
    let depths = between_drains(&section(), 1.0, &days);
    let midway = depths[400][40];
    assert!((1.2 - midway - 0.60).abs() < 1e-4, "{midway}");
}

/// The error of a smooth stretch of time falls with the third power of the step.
#[test]
fn steps_are_of_third_order() {
    let wet = Weather { rain_m: 0.005, evaporation_m: 0.004 };
    let after = |steps: usize| {
        let mut strip = Strip::of(&section(), 40, 0.3);
        strip.pass_day(wet, 1e-6);
        for _ in 0..steps {
            strip.try_step(wet, DAY_S / steps as f64);
            strip.take_step();
        }
        strip.heads_m
    };
    let truth = after(512);
    let off = |steps| after(steps).iter().zip(&truth).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    let (coarse, fine) = (off(8), off(16));
    assert!(coarse / fine > 6.5, "{coarse:e} {fine:e}");
}
