//! What holds on any ground.

#![allow(clippy::unwrap_used)] // helpers of tests, outside the test functions themselves

use measure::{Point, nearest_on};
use proptest::prelude::*;
use terrain::{Contour, Grid, Ground, Shot, Water, cell_for_shots, contours, interval_for, swales};

/// Small grids with plateaus, pits and missing cells.
fn grids() -> impl Strategy<Value = Grid> {
    (2..14usize, 2..14usize).prop_flat_map(|(cols, rows)| {
        let level =
            prop_oneof![8 => (0..12i32).prop_map(|z| z as f32 * 0.25), 3 => -5.0..5.0f32, 1 => Just(f32::NAN)];
        prop::collection::vec(level, cols * rows).prop_filter_map("all missing", move |levels| {
            Grid::new((cols, rows), (100.0, 900.0), (2.0, 3.0), levels).ok()
        })
    })
}

fn cells(grid: &Grid) -> impl Iterator<Item = (usize, usize, usize)> + use<> {
    let cols = grid.cols();
    (0..cols * grid.rows()).map(move |cell| (cell, cell % cols, cell / cols))
}

fn present(grid: &Grid) -> usize {
    grid.levels().iter().filter(|z| !z.is_nan()).count()
}

/// Filling by the book: lower every cell from above until nothing changes (Planchon and Darboux 2001).
fn fill_slowly(grid: &Grid) -> Vec<f32> {
    let (cols, rows) = (grid.cols() as i64, grid.rows() as i64);
    let ground = |col: i64, row: i64| {
        let inside = (0..cols).contains(&col) && (0..rows).contains(&row);
        if inside { grid.level(col as usize, row as usize) } else { f32::NAN }
    };
    let mut filled: Vec<f32> = grid.levels().iter().map(|z| if z.is_nan() { *z } else { f32::INFINITY }).collect();
    loop {
        let before = filled.clone();
        for (cell, col, row) in cells(grid) {
            for step in (0..9).filter(|step| *step != 4) {
                let (c, r) = (col as i64 + step % 3 - 1, row as i64 + step / 3 - 1);
                let water = if ground(c, r).is_nan() { f32::NEG_INFINITY } else { filled[(r * cols + c) as usize] };
                if !filled[cell].is_nan() {
                    filled[cell] = filled[cell].min(water.max(grid.levels()[cell]));
                }
            }
        }
        if filled.iter().zip(&before).all(|(a, b)| a == b || a.is_nan()) {
            return filled;
        }
    }
}

/// A straight piece of a contour: number of its level, start and end.
type Side = (i64, [f64; 2], [f64; 2]);

fn sort(mut sides: Vec<Side>) -> Vec<Side> {
    sides.retain(|(_, from, to)| from != to);
    sides.sort_by(|a, b| a.partial_cmp(b).unwrap());
    sides
}

/// The straight pieces of contours, in an order of their own.
fn sorted_sides(lines: &[Contour], interval_m: f64) -> Vec<Side> {
    let number = |line: &Contour| (line.level_m / interval_m).round() as i64;
    let of_line = |line: &Contour| {
        let sides = line.points.windows(2).map(|w| (number(line), [w[0].x, w[0].y], [w[1].x, w[1].y]));
        sides.collect::<Vec<_>>()
    };
    sort(lines.iter().flat_map(of_line).collect())
}

/// Marching squares by the book: every level asked of every square, going round each with the higher ground to the
/// right of a piece (Lorensen and Cline 1987 in the plane; a saddle is decided by the mean of its corners).
fn pieces_slowly(grid: &Grid, interval_m: f64) -> Vec<Side> {
    let mut sides = Vec::new();
    for (_, col, row) in cells(grid).filter(|(_, col, row)| col + 1 < grid.cols() && row + 1 < grid.rows()) {
        let corners = [(col, row), (col + 1, row), (col + 1, row + 1), (col, row + 1)];
        let z = corners.map(|(c, r)| grid.level(c, r) as f64);
        if z.iter().any(|z| z.is_nan()) {
            continue;
        }
        for number in (-6.0 / interval_m) as i64..=(6.0 / interval_m) as i64 {
            let level_m = number as f64 * interval_m;
            let above = |k: usize| z[k % 4] >= level_m;
            let middle_above = z.iter().sum::<f64>() / 4.0 >= level_m;
            let at = |side: usize| {
                // From its west or north end, as rounding has it.
                let (a, b) = [(0, 1), (1, 2), (3, 2), (0, 3)][side];
                let share = ((level_m - z[a]) / (z[b] - z[a])).clamp(0.0, 1.0);
                let mix = |a: usize, b: usize| a as f64 + share * (b as f64 - a as f64);
                let at = grid.place(mix(corners[a].0, corners[b].0), mix(corners[a].1, corners[b].1));
                [at.x, at.y]
            };
            // Going round clockwise, a piece starts where the ground falls below the level; it ends on the next side
            // where it rises again if the middle is above, else on the one before.
            for side in (0..4).filter(|&side| above(side) && !above(side + 1)) {
                let turn = if middle_above { 1 } else { 3 };
                let round = (1..4).map(|steps| (side + steps * turn) % 4);
                let end = round.into_iter().find(|&end| !above(end) && above(end + 1)).unwrap();
                sides.push((number, at(side), at(end)));
            }
        }
    }
    sort(sides)
}

proptest! {
    #[test]
    fn filling_agrees_with_the_slow_way(grid in grids()) {
        let water = Water::of(&grid);
        for (fast, slow) in water.filled().iter().zip(fill_slowly(&grid)) {
            prop_assert!(*fast == slow || (fast.is_nan() && slow.is_nan()), "{} {}", fast, slow);
        }
    }

    #[test]
    fn any_number_of_threads_finds_the_same(grid in grids(), threads in 2..6usize) {
        let (one, more) = (Water::of(&grid), Water::with_threads(&grid, threads));
        let bits = |water: &Water| water.filled().iter().map(|z| z.to_bits()).collect::<Vec<u32>>();
        prop_assert_eq!(bits(&one), bits(&more));
        prop_assert_eq!(one.directions(), more.directions());
        prop_assert_eq!(one.cells_uphill(), more.cells_uphill());
    }

    #[test]
    fn every_drop_leaves_without_climbing_and_all_arrive(grid in grids()) {
        let water = Water::of(&grid);
        for (cell, col, row) in cells(&grid).filter(|&(cell, _, _)| !grid.levels()[cell].is_nan()) {
            let path = water.path_from(&grid, grid.centre(col, row));
            prop_assert!(!path.is_empty() && path.len() <= present(&grid));
            let ends: Vec<usize> = path.iter().map(|&at| grid.cell_at(at).map(|(c, r)| r * grid.cols() + c).unwrap()).collect();
            prop_assert!(ends.windows(2).all(|w| water.filled()[w[1]] <= water.filled()[w[0]]));
            prop_assert_eq!(water.directions()[*ends.last().unwrap()], 0);
            prop_assert!(water.cells_uphill()[cell] >= 1);
        }
        let leaving = cells(&grid).filter(|&(cell, _, _)| water.directions()[cell] == 0);
        let arrived: u32 = leaving.map(|(cell, _, _)| water.cells_uphill()[cell]).sum();
        prop_assert_eq!(arrived as usize, present(&grid));
    }

    #[test]
    fn hollows_hold_what_filling_added(grid in grids()) {
        let water = Water::of(&grid);
        let added: f64 = water.filled().iter().zip(grid.levels()).filter(|(a, _)| !a.is_nan()).map(|(a, b)| *a as f64 - *b as f64).sum();
        let held: f64 = water.depressions(&grid, 0.0, 0.0).iter().map(|hollow| hollow.volume_m3).sum();
        prop_assert!((added * grid.cell_area_m2() - held).abs() < 1e-6);
        for hollow in water.depressions(&grid, 0.5, 7.0) {
            prop_assert!(hollow.depth_m >= 0.5 && hollow.area_m2 >= 7.0);
            prop_assert!((grid.elevation(hollow.spill).unwrap_or(hollow.spill_level_m) - hollow.spill_level_m).abs() < 1e-6);
        }
    }

    #[test]
    fn contour_corners_lie_at_their_level(grid in grids(), interval_m in 0.05..2.0f64) {
        let lines = contours(&grid, interval_m, 1);
        prop_assert!(lines.windows(2).all(|w| w[0].level_m <= w[1].level_m));
        for line in &lines {
            prop_assert_eq!(line.closed, line.points.len() > 2 && line.points.first() == line.points.last());
            for &at in &line.points {
                let (u, v) = grid.cell_coordinates(at);
                prop_assert!((u - u.round()).abs() < 1e-9 || (v - v.round()).abs() < 1e-9, "off the edges: {} {}", u, v);
                if let Some(level_m) = grid.elevation(at) {
                    prop_assert!((level_m - line.level_m).abs() < 1e-6, "{} at level {}", level_m, line.level_m);
                }
            }
        }
        prop_assert_eq!(contours(&grid, interval_m, 3), lines);
    }

    #[test]
    fn contours_are_the_pieces_of_every_square(grid in grids(), interval_m in prop_oneof![0.2..2.0f64, Just(0.25), Just(0.5)]) {
        prop_assert_eq!(sorted_sides(&contours(&grid, interval_m, 2), interval_m), pieces_slowly(&grid, interval_m));
    }

    #[test]
    fn intervals_give_a_readable_number_of_lines(relief_m in 0.5..3000.0f64, feet in any::<bool>()) {
        let unit_m = if feet { 0.3048 } else { 1.0 };
        let count = relief_m / interval_for(relief_m, unit_m);
        prop_assert!((15.9..=40.1).contains(&count), "{}", count);
    }

    #[test]
    fn no_shots_panic(raw in prop::collection::vec((-30..30i32, -30..30i32, -5.0..5.0f64), 0..40), cell_m in 0.3..9.0f64) {
        let shot = |&(x, y, level_m): &(i32, i32, f64)| Shot { at: Point::new(x as f64, y as f64), level_m };
        let shots: Vec<Shot> = raw.iter().map(shot).collect();
        prop_assert!(cell_for_shots(&shots) > 0.0);
        if let Ok(ground) = Ground::from_shots(&shots, cell_m) {
            let (low, high) = shots.iter().fold((9.0f64, -9.0f64), |(a, b), s| (a.min(s.level_m), b.max(s.level_m)));
            let levels = ground.grid().levels().iter().filter(|z| !z.is_nan());
            prop_assert!(levels.map(|&z| z as f64).all(|z| z >= low - 1e-6 && z <= high + 1e-6));
            prop_assert!(shots.iter().all(|s| ground.elevation(s.at).is_some()));
        }
    }
}

/// A rolling surface with draws in it.
fn rolling(cols: usize, rows: usize) -> Grid {
    let level = |cell: usize| {
        let (x, y) = ((cell % cols) as f64, (cell / cols) as f64);
        let noise = ((cell * 7919) % 1013) as f64 * 2e-5;
        (100.0 - 0.02 * y + 1.5 * (x / 37.0 + y / 90.0).sin() + 0.8 * (x / 61.0 - y / 45.0).cos() + noise) as f32
    };
    Grid::new((cols, rows), (5e5, 5e6), (2.0, 2.0), (0..cols * rows).map(level).collect()).unwrap()
}

fn turn(a: Point, b: Point, c: Point) -> f64 {
    let turned = measure::bearing(b, c) - measure::bearing(a, b);
    (turned + 540.0).rem_euclid(360.0) - 180.0
}

#[test]
fn swales_follow_the_water_without_stair_steps() {
    let grid = rolling(300, 260);
    let water = Water::of(&grid);
    let least_m2 = 4000.0;
    let found = swales(&grid, &water, least_m2);
    assert!(found.len() > 5, "{}", found.len());
    for swale in &found {
        assert!(swale.points.len() >= 2 && swale.points.len() == swale.area_m2.len());
        assert!(swale.area_m2.windows(2).all(|w| w[0] <= w[1]) && swale.area_m2[0] >= least_m2);
        let sharp = |w: &[Point]| {
            measure::distance(w[1], w[2]) < 4.0 && turn(w[0], w[1], w[2]) * turn(w[1], w[2], w[3]) < -900.0
        };
        assert!(!swale.points.windows(4).any(sharp), "a stair-step in {:?}", swale.points);
        for &at in &swale.points {
            assert!(thread_near(&grid, &water, at, least_m2), "no thread within two cells of {at:?}");
        }
    }
    assert_eq!(swales(&grid, &water, least_m2), found);
}

fn thread_near(grid: &Grid, water: &Water, at: Point, least_m2: f64) -> bool {
    let offsets = (-5..=5).flat_map(|x| (-5..=5).map(move |y| Point::new(x as f64 * 2.0, y as f64 * 2.0)));
    offsets.into_iter().any(|by| {
        let cell = grid.cell_at(Point::new(at.x + by.x, at.y + by.y));
        cell.is_some_and(|(col, row)| {
            let centre = grid.centre(col, row);
            measure::distance(centre, at) <= 4.0
                && water.uphill_area_m2(grid, centre).is_some_and(|area| area >= least_m2)
        })
    })
}

#[test]
fn swales_join_and_have_no_twins() {
    let grid = rolling(300, 260);
    let water = Water::of(&grid);
    let found = swales(&grid, &water, 2000.0);
    let (mut joined, (low, high)) = (0, grid.extent());
    for (k, swale) in found.iter().enumerate() {
        let end = *swale.points.last().unwrap();
        let on_another = found[..k].iter().any(|other| nearest_on(&other.points, end).unwrap().2 < 1e-6);
        let edge_m = (end.x - low.x).min(high.x - end.x).min(end.y - low.y).min(high.y - end.y);
        assert!(on_another || edge_m < 2.0, "swale {k} ends nowhere, at {end:?}");
        joined += usize::from(on_another);
        for other in &found[..k] {
            assert!(beside(&swale.points, &other.points, 6.0) <= 40.0, "swale {k} has a twin");
        }
    }
    assert!(joined > 3, "{joined}");
}

/// Length of a line within a distance of another, metres.
fn beside(line: &[Point], other: &[Point], within_m: f64) -> f64 {
    let length_m = measure::path_length(line);
    let stations = (0..length_m as usize).filter_map(|m| measure::point_at(line, m as f64));
    stations.filter(|&at| nearest_on(other, at).unwrap().2 < within_m).count() as f64
}

#[test]
fn hostile_requests_end_quickly_and_empty() {
    let spikes: Vec<f32> = (0..10_000).map(|cell| if cell % 2 == 0 { 0.0 } else { 19_000.0 }).collect();
    let grid = Grid::new((100, 100), (0.0, 0.0), (1.0, 1.0), spikes).unwrap();
    for interval_m in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-300, 0.5, 1.0] {
        assert!(contours(&grid, interval_m, 1).is_empty(), "{interval_m}");
    }
    let water = Water::of(&grid);
    let smaller = grid.crop(terrain::Window { col: 0, row: 0, cols: 5, rows: 5 }).unwrap();
    assert!(water.path_from(&smaller, Point::new(1.0, -1.0)).is_empty());
    assert!(water.depressions(&smaller, 0.0, 0.0).is_empty() && swales(&smaller, &water, 0.0).is_empty());
    for least_m2 in [0.0, f64::NAN, f64::INFINITY, -1.0] {
        swales(&grid, &water, least_m2);
    }
}
