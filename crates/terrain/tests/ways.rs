//! Culverts and ditches: where water goes with them, and that the ground stays as it is.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use measure::Point;
use proptest::prelude::*;
use terrain::{Grid, Water, WaterWay, WayKind};

/// A slope to the south of 2 %, cells of one metre, changed by a function of column and row.
fn slope(cols: usize, rows: usize, change: impl Fn(usize, usize) -> f64) -> Grid {
    let level = |cell: usize| {
        let (col, row) = (cell % cols, cell / cols);
        (50.0 - 0.02 * row as f64 + change(col, row)) as f32
    };
    Grid::new((cols, rows), (0.0, rows as f64), (1.0, 1.0), (0..cols * rows).map(level).collect()).unwrap()
}

fn way(kind: WayKind, grid: &Grid, ends: &[(usize, usize)]) -> WaterWay {
    WaterWay { kind, points: ends.iter().map(|&(col, row)| grid.centre(col, row)).collect() }
}

/// A valley down the middle with a bank of one metre across it in rows 20 to 23.
fn banked() -> Grid {
    slope(41, 60, |col, row| {
        let valley = 0.05 * (col as f64 - 20.0).abs();
        if (20..24).contains(&row) { 2.0 } else { valley }
    })
}

#[test]
fn a_culvert_passes_the_water_of_the_valley_below_the_bank() {
    let grid = banked();
    let before = Water::of(&grid);
    let pool = before.depressions(&grid, 0.3, 50.0);
    assert_eq!(pool.len(), 1);
    for ends in [[(20, 18), (20, 26)], [(20, 26), (20, 18)]] {
        let routed = grid.burned(&[way(WayKind::Culvert, &grid, &ends)]);
        let water = Water::of(&routed);
        assert!(water.depressions(&routed, 0.05, 1.0).is_empty());
        let below = water.uphill_area_m2(&grid, grid.centre(20, 26)).unwrap();
        let above = water.uphill_area_m2(&grid, grid.centre(20, 18)).unwrap();
        assert!(above > 500.0 && below > above, "{above} {below}");
    }
    assert_eq!(grid, banked());
}

#[test]
fn an_end_on_the_slope_of_the_bank_still_drains_its_foot() {
    let grid = banked();
    let routed = grid.burned(&[way(WayKind::Culvert, &grid, &[(20, 20), (20, 23)])]);
    assert!(Water::of(&routed).depressions(&routed, 0.05, 1.0).is_empty());
}

#[test]
fn water_that_reaches_a_ditch_runs_along_it() {
    // The ditch runs across the slope at one row in eight, then down it; the slope's water leaves at its lower end.
    let grid = slope(60, 60, |col, row| (col * 7919 + row * 104_729) as f64 % 13.0 * 1e-3);
    let ditch = way(WayKind::Ditch, &grid, &[(5, 20), (53, 26), (53, 36)]);
    let water = Water::of(&grid.burned(std::slice::from_ref(&ditch)));
    let caught = water.uphill_area_m2(&grid, grid.centre(53, 35)).unwrap();
    let above = (5..=53).map(|col| 20.0 + (col - 5) as f64 / 8.0).sum::<f64>();
    assert!(caught > 0.9 * above, "{caught} of {above}");
    let path = water.path_from(&grid, grid.centre(20, 5));
    assert!(path.iter().any(|&at| measure::distance(at, grid.centre(53, 35)) < 2.0));
}

#[test]
fn a_ditch_leads_through_a_rise() {
    let grid = banked();
    let routed = grid.burned(&[way(WayKind::Ditch, &grid, &[(20, 17), (20, 27)])]);
    assert!(Water::of(&routed).depressions(&routed, 0.05, 1.0).is_empty());
}

proptest! {
    #[test]
    fn ways_only_lower_and_only_within_their_window(
        raw in prop::collection::vec((-30.0..70.0f64, -30.0..70.0f64), 0..6),
        levels in prop::collection::vec(prop_oneof![8 => -5.0..5.0f32, 1 => Just(f32::NAN)], 20 * 20),
        kind in prop_oneof![Just(WayKind::Culvert), Just(WayKind::Ditch)],
    ) {
        let mut levels = levels;
        levels[7] = 1.0;
        let grid = Grid::new((20, 20), (0.0, 40.0), (2.0, 2.0), levels).unwrap();
        let way = WaterWay { kind, points: raw.iter().map(|&(x, y)| Point::new(x, y)).collect() };
        let cut = grid.burned(std::slice::from_ref(&way));
        let window = way.window(&grid);
        for (cell, (&now, &was)) in cut.levels().iter().zip(grid.levels()).enumerate() {
            let (col, row) = (cell % 20, cell / 20);
            let inside = window.is_some_and(|w| (w.col..w.col + w.cols).contains(&col) && (w.row..w.row + w.rows).contains(&row));
            prop_assert!(now <= was && inside || now == was || now.is_nan() && was.is_nan());
        }
    }
}

#[test]
fn odd_ways_do_no_harm() {
    let grid = banked();
    let far =
        [Point::new(-1e300, 1e300), Point::new(f64::NAN, 0.0), Point::new(1e300, -1e300), Point::new(20.0, 20.0)];
    for kind in [WayKind::Culvert, WayKind::Ditch] {
        for count in 0..=far.len() {
            grid.burned(&[WaterWay { kind, points: far[..count].to_vec() }]);
        }
    }
}
