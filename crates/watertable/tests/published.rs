//! The water table between drains against published formulas, each within its own validity.

mod common;

use std::f64::consts::PI;

use common::{DAY_S, apart, pass, section};
use hydraulics::equivalent_depth_m;
use watertable::{PLACES, Season, Section, Strip, Weather, between_drains};

fn rain(rain_m: f64) -> Weather {
    Weather { rain_m, evaporation_m: 0.0 }
}

/// [ILRI16] equation 8.3 with the closed-form equivalent depth, worked out apart from this project: q and K (m/d), h, D and
/// r0 (m), L (m). At that spacing and discharge the steady table stands h over the drains midway.
const HOOGHOUDT: [(f64, f64, f64, f64, f64, f64); 5] = [
    (0.0070, 0.80, 0.60, 2.0, 0.05, 30.581),
    (0.0095, 0.50, 0.75, 1.5, 0.05, 21.351),
    (0.0127, 1.20, 0.60, 1.2, 0.05, 23.827),
    (0.0095, 0.12, 0.60, 1.0, 0.05, 7.436),
    (0.0100, 1.20, 0.50, 3.0, 0.05, 30.859),
];

/// The section of such a row, drains at 1.2 m.
fn hooghoudts(k: f64, below_m: f64, radius_m: f64, spacing_m: f64) -> Section {
    Section {
        spacing_m,
        drain_depth_m: 1.2,
        tight_depth_m: 1.2 + below_m,
        radius_m,
        conductivity_ms: k / DAY_S,
        porosity: 0.04,
    }
}

#[test]
fn the_steady_table_is_hooghoudts() {
    for (q, k, arch, below, radius_m, spacing_m) in HOOGHOUDT {
        let section = hooghoudts(k, below, radius_m, spacing_m);
        let depths = between_drains(&section, 1.0, &vec![rain(q); 300]);
        let found = 1.2 - depths[300][PLACES / 2];
        assert!((found - arch).abs() < 1e-4, "{spacing_m}: {found} for {arch}");
    }
}

/// The same on a grid over the real base, where the last way into the drain carries what the cells do not show.
#[test]
fn the_steady_table_of_a_field_is_hooghoudts() {
    for (q, k, arch, below, radius_m, spacing_m) in HOOGHOUDT {
        let section = hooghoudts(k, below, radius_m, spacing_m);
        // Twelve cells from drain to drain, and a drain on either edge that stands for half of one.
        let field = common::parallel(&section, (5 * 12 + 1, 3), spacing_m / 12.0, 12);
        let mut season = Season::at_depth(&field, 1.0, 2e-3);
        pass(&mut season, &vec![rain(q); 300]);
        let found = 1.2 - season.depth_m(61 + 30);
        assert!((found - arch).abs() < 5e-3, "{spacing_m}: {found} for {arch}");
    }
}

/// Kirkham (1958) as tabled by Toksöz and Kirkham (1961): K 0.8 m/d, D 2 m, r0 0.05 m, L 20 m gives h = q L / K · 2.059774. It holds
/// for an arch that is low beside the depth of flow: at a hundredth of 7 mm/d.
#[test]
fn a_low_arch_is_kirkhams() {
    let section = Section {
        spacing_m: 20.0,
        drain_depth_m: 1.0,
        tight_depth_m: 3.0,
        radius_m: 0.05,
        conductivity_ms: 0.8 / DAY_S,
        porosity: 0.05,
    };
    let depths = between_drains(&section, 0.99, &vec![rain(7e-5); 400]);
    let found = 1.0 - depths[400][PLACES / 2];
    let kirkham = 7e-5 * 20.0 / 0.8 * 2.059774;
    assert!((found / kirkham - 1.0).abs() < 3e-3, "{found} for {kirkham}");
}

/// The linear equation `S ∂h/∂t = K D ∂²h/∂x²` between drains that start under a level table (Carslaw and Jaeger; its first
/// term is Glover's): `h = 4 h₀ / π · Σ sin(n π x / L) / n · exp(−n² α t)`, n odd, α = π² K D / S L². A table that stands low
/// beside the depth of flow follows it.
#[test]
fn a_low_table_falls_as_the_linear_equation_has_it() {
    let section = section();
    let (depth_m, start_m) = (20.0, 0.01);
    let mut strip = Strip::over(&section, 60, depth_m, section.drain_depth_m - start_m);
    let alpha = PI * PI * section.conductivity_ms * depth_m / (section.porosity * section.spacing_m.powi(2));
    for day in 1..=3 {
        strip.pass_day(Weather::default(), 1e-7);
        let exact = |place: usize| {
            let x = place as f64 / 120.0;
            let term = |n: f64| (n * PI * x).sin() / n * (-n * n * alpha * f64::from(day) * DAY_S).exp();
            4.0 * start_m / PI * (0..50).map(|k| term(f64::from(2 * k + 1))).sum::<f64>()
        };
        let found: Vec<f64> = strip.heads_m.iter().map(|head| head - depth_m).collect();
        let wanted: Vec<f64> = (0..=60).map(exact).collect();
        let off = apart(&found, &wanted);
        assert!(off < 1.5e-3 * start_m, "day {day}: {off:e}");
    }
}

/// Glover–Dumm ([ILRI16] equations 8.28–8.33): 1.27 of the height falls by exp(−α t) once α t is above 0.2, with the
/// equivalent depth as the depth of flow. It leaves the arch's own thickness out, so the table falls no slower than that
/// and, for an arch a quarter of the depth, no more than a quarter faster.
#[test]
fn the_table_falls_as_glover_and_dumm_have_it() {
    let section = Section { tight_depth_m: 6.2, spacing_m: 60.0, ..section() };
    let depth_m = equivalent_depth_m(5.0, 60.0, 0.05);
    let start_m = depth_m / 4.0;
    let alpha = PI * PI * section.conductivity_ms * depth_m / (section.porosity * section.spacing_m.powi(2));
    let days = 12;
    let depths = between_drains(&section, section.drain_depth_m - start_m, &vec![Weather::default(); days]);
    for (day, depths) in depths.iter().enumerate().skip(1) {
        let time = alpha * day as f64 * DAY_S;
        if time < 0.2 {
            continue;
        }
        let found_m = section.drain_depth_m - depths[PLACES / 2];
        let glover = |faster: f64| 1.27 * start_m * (-time * faster).exp();
        assert!(found_m < glover(1.0) * 1.01 && found_m > glover(1.25) * 0.99, "day {day}: {found_m}");
    }
}
