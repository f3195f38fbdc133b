//! Water after a small change is what it is from scratch.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use proptest::prelude::*;
use terrain::{Grid, Water, WaterWay, WayKind, Window};

/// Levels with plateaus, pits and, rarely, missing cells.
fn levels(count: usize) -> impl Strategy<Value = Vec<f32>> {
    let level = prop_oneof![16 => (0..12i32).prop_map(|z| z as f32 * 0.25), 6 => -5.0..5.0f32, 1 => Just(f32::NAN)];
    prop::collection::vec(level, count)
}

/// A ground, the same with the cells of a window changed, and the window.
fn edits() -> impl Strategy<Value = (Grid, Grid, Window)> {
    (2..16usize, 2..16usize).prop_flat_map(|(cols, rows)| {
        let window = (0..cols, 0..rows, 1..6usize, 1..6usize);
        (levels(cols * rows), window, levels(25)).prop_filter_map(
            "all missing",
            move |(ground, (col, row, w, h), new)| {
                let window = Window { col, row, cols: w, rows: h };
                let mut changed = ground.clone();
                for r in row..(row + h).min(rows) {
                    for c in col..(col + w).min(cols) {
                        let (cell, new) = (r * cols + c, new[(r - row) * 5 + c - col]);
                        changed[cell] = if changed[cell].is_nan() || new.is_nan() { changed[cell] } else { new };
                    }
                }
                let grid = |levels| Grid::new((cols, rows), (0.0, 0.0), (1.0, 1.0), levels).ok();
                Some((grid(ground)?, grid(changed)?, window))
            },
        )
    })
}

fn same(a: &Water, b: &Water) -> bool {
    let level = |(a, b): (&f32, &f32)| a == b || a.is_nan() && b.is_nan();
    a.filled().iter().zip(b.filled()).all(level)
        && a.directions() == b.directions()
        && a.cells_uphill() == b.cells_uphill()
}

proptest! {
    #[test]
    fn a_change_is_followed_exactly((before, now, window) in edits()) {
        let water = Water::of(&before);
        let (after, scratch) = (water.after(&before, &now, window), Water::of(&now));
        prop_assert_eq!(after.directions(), scratch.directions());
        prop_assert!(same(&after, &scratch), "{:?} {:?}", after, scratch);
        prop_assert!(same(&after.after(&now, &before, window), &water));
    }
}

#[test]
fn ground_that_appears_or_goes_missing_is_followed_too() {
    let mut levels: Vec<f32> = (0..48).map(|k| (k * 7 % 11) as f32).collect();
    let grid = |levels: &[f32]| Grid::new((8, 6), (0.0, 0.0), (1.0, 1.0), levels.to_vec()).unwrap();
    let before = grid(&levels);
    levels[19] = f32::NAN;
    let now = grid(&levels);
    let window = Window { col: 3, row: 2, cols: 1, rows: 1 };
    assert!(same(&Water::of(&before).after(&before, &now, window), &Water::of(&now)));
    assert!(same(&Water::of(&now).after(&now, &before, window), &Water::of(&before)));
}

#[test]
fn a_culvert_is_followed_on_rolling_ground() {
    let level = |cell: usize| {
        let (x, y) = ((cell % 400) as f64, (cell / 400) as f64);
        let rough = (cell * 7919 % 10_007) as f64 * 5e-6;
        let bank = if (200.0..204.0).contains(&y) { 1.5 } else { 0.0 };
        (100.0 - 0.01 * y + 3.0 * (x / 97.0 + y / 210.0).sin() + bank + rough) as f32
    };
    let grid = Grid::new((400, 400), (0.0, 400.0), (1.0, 1.0), (0..160_000).map(level).collect()).unwrap();
    let water = Water::of(&grid);
    let culvert = WaterWay { kind: WayKind::Culvert, points: vec![grid.centre(150, 195), grid.centre(155, 210)] };
    let window = culvert.window(&grid).unwrap();
    let cut = grid.burned(&[culvert]);
    let after = water.after(&grid, &cut, window);
    assert!(same(&after, &Water::of(&cut)) && !same(&after, &water));
    assert!(same(&after.after(&cut, &grid, window), &water));
}
