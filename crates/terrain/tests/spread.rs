//! Water that spreads, against surtgis (`tests/reference/spread_values.py`), and what must hold of any sharing out.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use proptest::prelude::*;
use terrain::{Grid, Water, wetness_index};

const COLS: usize = 40;
const ROWS: usize = 30;

/// The tilted, rolling field of the script.
fn field() -> Grid {
    let level = |cell: usize| {
        let (col, row) = ((cell % COLS) as f64, (cell / COLS) as f64);
        let waves = 0.25 * (col / 5.0).sin() + 0.2 * (row / 4.0 + col / 9.0).cos();
        (50.0 - 0.11 * row - 0.07 * col + waves) as f32
    };
    Grid::new((COLS, ROWS), (0.0, ROWS as f64), (1.0, 1.0), (0..COLS * ROWS).map(level).collect()).unwrap()
}

/// The library counts the cells above each cell and not the cell itself, and takes 0.354 for √2/4.
#[test]
fn a_rolling_field_spreads_as_the_library_says() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/spread_values.json");
    let reference: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let grid = field();
    let water = Water::of(&grid);
    assert_eq!(water.filled(), grid.levels(), "the field has no hollow");
    let areas = water.spread_area_m2(&grid);
    let mut worst: f64 = 0.0;
    for (cell, area_m2) in areas.iter().enumerate() {
        let expected = 1.0 + reference["cells"][cell / COLS][cell % COLS].as_f64().unwrap();
        worst = worst.max((area_m2 - expected).abs() / expected);
    }
    assert!(worst < 1e-3, "off by {worst}");
}

/// Beven and Kirkby 1979: on a plane a column of cells gathers one cell a row, and the slope is the plane's.
#[test]
fn the_wetness_of_a_plane_is_a_logarithm_of_the_way() {
    let level = |cell: usize| 10.0 - 0.02 * 5.0 * (cell / 9) as f32;
    let grid = Grid::new((9, 12), (0.0, 60.0), (5.0, 5.0), (0..108).map(level).collect()).unwrap();
    let index = wetness_index(&grid, &Water::of(&grid), 1);
    let areas = Water::of(&grid).spread_area_m2(&grid);
    for cell in 0..108 {
        let expected = (areas[cell] / 5.0 / 0.02).ln();
        assert!((f64::from(index[cell]) - expected).abs() < 1e-3, "cell {cell}: {} for {expected}", index[cell]);
    }
    assert!(index[9 * 10 + 4] > index[9 * 2 + 4], "wetter further down");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    /// No water is lost or made: what leaves is what fell. Holes and flats included.
    #[test]
    fn water_is_kept(levels in proptest::collection::vec(prop_oneof![9 => (0..6u8).prop_map(f32::from), 1 => Just(f32::NAN)], 80)) {
        let grid = Grid::new((10, 8), (0.0, 8.0), (1.0, 1.0), levels).unwrap();
        let water = Water::of(&grid);
        let areas = water.spread_area_m2(&grid);
        let filled = water.filled();
        let known = filled.iter().filter(|z| !z.is_nan()).count() as f64;
        let lower = |cell: usize| {
            let (col, row) = ((cell % 10) as isize, (cell / 10) as isize);
            (-1..=1isize).flat_map(|r| (-1..=1isize).map(move |c| (col + c, row + r))).any(|(c, r)| {
                (0..10).contains(&c) && (0..8).contains(&r) && filled[(r * 10 + c) as usize] < filled[cell]
            })
        };
        let leaves = |cell: &usize| water.directions()[*cell] == 0 && !filled[*cell].is_nan() && !lower(*cell);
        let out: f64 = (0..80).filter(leaves).map(|cell| areas[cell]).sum();
        prop_assert!((out - known).abs() < 1e-9 * known.max(1.0), "{out} of {known}");
        prop_assert!(areas.iter().zip(filled).all(|(area, z)| area.is_nan() == z.is_nan()));
    }
}
