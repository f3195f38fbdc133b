//! The solver against a plain one, against finer grids and steps, and what must hold on any field.

mod common;

use common::{DAY_S, apart, parallel, pass, plain, section};
use proptest::prelude::*;
use watertable::{Field, OverLand, Season, Weather};

const DRY: Weather = Weather { rain_m: 0.0, evaporation_m: 0.0 };

/// The plain way: so many small explicit steps, cell by cell, as the equation stands. What rises above the surface stands.
fn plainly(field: &Field, heads_m: &mut [f64], weather: Weather, steps: usize) {
    let step_s = DAY_S / steps as f64;
    let wet = |cell: usize, head: f64| (head.min(field.surface_m[cell]) - field.base_m[cell]).max(1e-3);
    for _ in 0..steps {
        let before = heads_m.to_vec();
        let flow = |one: usize, other: usize| {
            let (k, l) = (field.conductivity_ms[one], field.conductivity_ms[other]);
            let (thick, thick_other) = (wet(one, before[one]), wet(other, before[other]));
            let upper = if before[one] > before[other] { thick } else { thick_other };
            let mean = (thick + thick_other) / 2.0;
            2.0 * k * l / (k + l) * mean.min(2.0 * upper) * (before[other] - before[one])
        };
        for cell in 0..field.len() {
            let (col, row) = (cell % field.cols, cell / field.cols);
            let mut gain = field.cell_m2() * weather.rain_m / DAY_S;
            let reach_m = 1.5_f64.min(field.surface_m[cell] - field.base_m[cell]);
            let share = 1.0 - (field.surface_m[cell] - before[cell]) / reach_m;
            gain -= field.cell_m2() * weather.evaporation_m / DAY_S * share.clamp(0.0, 1.0);
            gain += if col > 0 { flow(cell, cell - 1) } else { 0.0 };
            gain += if col + 1 < field.cols { flow(cell, cell + 1) } else { 0.0 };
            gain += if row > 0 { flow(cell, cell - field.cols) } else { 0.0 };
            gain += if row + 1 < field.rows { flow(cell, cell + field.cols) } else { 0.0 };
            for drain in field.drains.iter().filter(|drain| drain.cell == cell) {
                gain -= drain.length_m * drain.entry.takes((before[cell] - drain.level_m).max(0.0)).0;
            }
            heads_m[cell] = field.risen_m(cell, before[cell], gain * step_s / field.cell_m2());
        }
    }
}

/// A small field with everything in it: uneven soil, a slope, drains, rain to the surface, air.
fn uneven() -> Field {
    let mut field = parallel(&section(), (25, 9), 1.0, 12);
    field.drains.retain(|drain| drain.cell / 25 > 2);
    for cell in 0..field.len() {
        let (x, y) = ((cell % 25) as f64, (cell / 25) as f64);
        field.conductivity_ms[cell] *= 1.0 + 0.5 * (x / 7.0).sin() * (y / 3.0).cos();
        field.porosity[cell] = 0.06 + 0.02 * (y / 4.0).sin();
        field.surface_m[cell] = 0.01 * y;
        field.base_m[cell] = -2.4 + 0.005 * x;
    }
    field
}

#[test]
fn the_fast_way_is_as_right_as_the_plain_one() {
    let field = uneven();
    let days = [(0.0, 0.002), (0.06, 0.0), (0.0, 0.004), (0.0, 0.004)]
        .map(|(rain_m, evaporation_m)| Weather { rain_m, evaporation_m });
    let mut season = Season::at_depth(&field, 0.4, 1e-3);
    let mut usual = Season::at_depth(&field, 0.4, watertable::STEP_OFF_M);
    let mut judge: Vec<f64> = field.surface_m.iter().map(|surface| surface - 0.4).collect();
    for (number, day) in days.into_iter().enumerate() {
        pass(&mut season, &[day]);
        pass(&mut usual, &[day]);
        plainly(&field, &mut judge, day, 6_000);
        let off = (apart(&season.heads_m, &judge), apart(&usual.heads_m, &judge));
        assert!(off.0 < 1.5e-3 && off.1 < 1e-2, "day {}: {off:?}", number + 1);
    }
    assert!(judge.iter().zip(&field.surface_m).all(|(head, surface)| head < surface), "it dried again");
}

/// A table that stands in one wave over closed land levels out by exp(−π² K D t / S L²): the error falls with the square of
/// the cell.
#[test]
fn the_error_falls_with_the_square_of_the_cell() {
    let section = section();
    let off = |cols: usize| {
        let cell_m = 24.0 / cols as f64;
        let field = plain(&section, (cols, 2), cell_m);
        let wave = |cell: usize| (std::f64::consts::PI * ((cell % cols) as f64 + 0.5) / cols as f64).cos();
        let heads = (0..field.len()).map(|cell| -1.0 + 1e-4 * wave(cell)).collect();
        let mut season = Season::new(&field, heads, 1e-9);
        pass(&mut season, &[DRY]);
        let rate = (std::f64::consts::PI / 24.0).powi(2) * section.conductivity_ms * 1.4 / section.porosity;
        let exact: Vec<f64> = (0..field.len()).map(|cell| -1.0 + 1e-4 * wave(cell) * (-rate * DAY_S).exp()).collect();
        apart(&season.heads_m, &exact)
    };
    let found = [6, 12, 24].map(off);
    println!("cells 4, 2, 1 m: errors {found:?}");
    assert!(found[0] / found[1] > 3.7 && found[1] / found[2] > 3.5, "{found:?}");
}

/// The error of a smooth stretch of time falls with the square of the step: as the allowance, which is of first order, asks.
#[test]
fn a_smaller_allowance_makes_a_smaller_error() {
    let field = uneven();
    let after = |off_m: f64| {
        let mut season = Season::at_depth(&field, 0.3, off_m);
        pass(&mut season, &[DRY; 3]);
        season.heads_m
    };
    let truth = after(1e-5);
    let found = [2e-2, 2e-3, 2e-4].map(|off_m| apart(&after(off_m), &truth));
    println!("allowed 20, 2, 0.2 mm: errors {found:?}");
    assert!(found[0] < 5e-3 && found[1] < found[0] / 4.0 && found[2] < found[1] / 4.0, "{found:?}");
}

/// Ground that rolls, with the way of water over it.
fn rolling(seed: &[f64]) -> Field {
    let mut field = parallel(&section(), (24, 16), 2.0, 6);
    for cell in 0..field.len() {
        let (x, y) = ((cell % 24) as f64, (cell / 24) as f64);
        let level = 0.03 * y + 0.3 * seed[0] * (x / 3.0 + seed[1]).sin() * (y / 4.0).cos();
        field.surface_m[cell] = f64::from(level as f32);
        field.base_m[cell] = level - 1.5 - seed[2];
        field.conductivity_ms[cell] = (0.05 + 3.0 * seed[3]) / DAY_S * (1.0 + 0.5 * (x / 5.0).cos());
        field.porosity[cell] = 0.02 + 0.1 * seed[4];
    }
    for drain in &mut field.drains {
        drain.level_m = field.surface_m[drain.cell] - 1.0;
    }
    let levels = field.surface_m.iter().map(|level| *level as f32).collect();
    let grid = terrain::Grid::new((24, 16), (0.0, 32.0), (2.0, 2.0), levels).expect("a sound grid");
    field.over_land = OverLand::of(&terrain::Water::of(&grid), &field.surface_m, 24);
    field
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_water_is_lost_or_made_and_drains_raise_no_table(
        seed in proptest::collection::vec(0.0..1.0_f64, 5),
        days in proptest::collection::vec((0.0..0.06_f64, 0.0..0.006_f64), 1..5),
        start_depth_m in 0.0..1.2_f64,
    ) {
        let drained = rolling(&seed);
        let bare = Field { drains: Vec::new(), ..drained.clone() };
        let days: Vec<Weather> =
            days.into_iter().map(|(rain_m, evaporation_m)| Weather { rain_m, evaporation_m }).collect();
        let mut with = Season::at_depth(&drained, start_depth_m, 2e-3);
        let mut without = Season::at_depth(&bare, start_depth_m, 2e-3);
        for day in &days {
            pass(&mut with, std::slice::from_ref(day));
            pass(&mut without, std::slice::from_ref(day));
            prop_assert!(with.balance().off() < 1e-8, "{:?}", with.balance());
            prop_assert!(without.balance().off() < 1e-8, "{:?}", without.balance());
            prop_assert!(with.balance().drained_m3 > -1e-6);
            let raised = with.heads_m.iter().zip(&without.heads_m).map(|(a, b)| a - b).fold(0.0, f64::max);
            prop_assert!(raised < 0.01, "raised by {raised}");
        }
    }
}
