//! Rain that runs off in time, held against cases that can be worked out by hand, and against drops that are carried one by
//! one.

#![allow(clippy::unwrap_used)] // helpers of tests, outside the test functions themselves

use std::ops::ControlFlow;

use measure::Point;
use proptest::prelude::*;
use terrain::{Flood, Grid, Pace, Runoff, Storm, Water};

/// One pace everywhere: 1 m/s at a slope of 1.
const EVEN: Pace = Pace { land_ms: 1.0, gathered_ms: 1.0, gathered_from_m2: f64::INFINITY };

fn grid((cols, rows): (usize, usize), level: impl Fn(f64, f64) -> f64) -> Grid {
    let levels = (0..cols * rows).map(|cell| level((cell % cols) as f64, (cell / cols) as f64) as f32);
    Grid::new((cols, rows), (0.0, rows as f64), (1.0, 1.0), levels.collect()).unwrap()
}

/// Ground with its water and how it runs off, with every hollow that is at least a millimetre deep.
struct Case {
    grid: Grid,
    water: Water,
    runoff: Runoff,
}

impl Case {
    fn new(grid: Grid, watched: &[(Point, f64)]) -> Self {
        let water = Water::of(&grid);
        let hollows = water.depressions(&grid, 1e-3, 0.0);
        let tell = |_| ControlFlow::Continue(());
        let ControlFlow::Continue(runoff) = Runoff::of((&grid, &water), &hollows, &EVEN, watched, &tell) else {
            panic!("nobody gave it up")
        };
        Self { grid, water, runoff }
    }

    /// Rain of a steady rate, m/s.
    fn under(&self, rate_ms: f64, lasts_s: f64, step_s: f64) -> Flood {
        let steps = (lasts_s / step_s).round() as usize;
        self.runoff.under(Storm { step_s, excess_m: (0..=steps).map(|k| rate_ms * k as f64 * step_s).collect() })
    }

    fn balance(&self, flood: &Flood) -> f64 {
        let end_s = flood.lasts_s();
        let gone_m3 = flood.left_m3(end_s) + flood.stands_m3(&self.runoff, end_s);
        (gone_m3 - flood.shed_m3(end_s)) / flood.shed_m3(end_s)
    }
}

/// A strip that falls evenly to the south at 1 in 100, on a channel that nothing reaches from the side: a drop runs 0.1 m/s.
/// What arrives grows with the land that has had time to, evenly, and stands once all of it has: the rising limb of a plane
/// under pure translation, `q(t) = i v t` up to `i L` (own check, no published source).
#[test]
fn a_plane_rises_as_its_land_arrives() {
    // Ribs keep each column to itself; the one in the middle is looked at.
    let plane = grid((5, 101), |x, y| 10.0 - 0.01 * y + if x == 2.0 { 0.0 } else { 5.0 + 0.01 * (x - 2.0).abs() });
    let foot = plane.centre(2, 99);
    let case = Case::new(plane, &[]);
    assert!(case.runoff.hollows().is_empty());
    let flood = case.under(1e-5, 3000.0, 10.0);
    let come = flood.arrived_m3(&case.runoff, (&case.grid, &case.water), foot);
    let flow = |time_s: usize| (come[time_s / 10] - come[time_s / 10 - 1]) / 10.0;
    let steady = flow(3000);
    for time_s in [200, 400, 600, 800] {
        let share = flow(time_s) / steady;
        assert!((share - time_s as f64 / 990.0).abs() < 0.02, "{time_s} s: {share}");
    }
    assert!((flow(1100) / steady - 1.0).abs() < 1e-9, "all land has arrived after 990 s");
    // After the rain it falls as it rose.
    let falling = (come[3500 / 10] - come[3500 / 10 - 1]) / 10.0 / steady;
    assert!((falling - (1.0 - 500.0 / 990.0)).abs() < 0.02, "{falling}");
}

/// A valley whose sides are 20 m wide at 4 % and whose bed falls at 1 %: from the ridge to the bed 20 m at 0.2 m/s, along the
/// bed 60 m at 0.1 m/s. All land has arrived after 100 s + 600 s, not before.
#[test]
fn a_valley_is_whole_when_its_farthest_corner_has_arrived() {
    let valley = grid((41, 62), |x, y| 20.0 + 0.04 * (x - 20.0).abs() - 0.01 * y);
    // Cells of the sides fall along the bed by 1 % and across by 4 %: across wins.
    let foot = valley.centre(20, 60);
    let case = Case::new(valley, &[(foot, 41.0 * 61.0)]);
    let flood = case.under(1e-5, 2000.0, 1.0);
    let steady = flood.flow_m3s(&case.runoff, 0, 1500.0);
    let area_m2 = steady / 1e-5;
    assert!((area_m2 - 41.0 * 61.0).abs() < 1e-6, "{area_m2}");
    assert!(flood.flow_m3s(&case.runoff, 0, 650.0) < 0.999 * steady);
    assert!(flood.flow_m3s(&case.runoff, 0, 705.0) > 0.999 * steady);
    let come = flood.arrived_m3(&case.runoff, (&case.grid, &case.water), foot);
    assert!(
        (come[1501] - come[1499] - 2.0 * steady).abs() < 1e-9 * steady,
        "any place answers as a watched one does"
    );
}

/// A square pit, 10 × 10 cells and 0.2 m deep, in a tray that sheds everything into it. It holds 20 m³; 0.01 m/h on 400 m² is
/// 4 m³/h: full after 5 h, half full at half of it, and the water stands 0.1 m deep then.
#[test]
fn a_pit_is_full_when_volume_over_inflow_says() {
    let tray = grid((22, 22), |x, y| {
        let (in_x, in_y) = ((6.0..16.0).contains(&x), (6.0..16.0).contains(&y));
        let edge = x == 0.0 || y == 0.0 || x == 21.0 || y == 21.0;
        if in_x && in_y {
            9.8
        } else if edge {
            11.0
        } else {
            10.0
        }
    });
    // A gap in the rim, at the level of the tray.
    let mut levels = tray.levels().to_vec();
    levels[22 * 10] = 10.0;
    let tray = Grid::new((22, 22), (0.0, 22.0), (1.0, 1.0), levels).unwrap();
    let case = Case::new(tray, &[]);
    assert_eq!(case.runoff.hollows().len(), 1);
    assert!((case.runoff.hollows()[0].holds_m3() - 20.0).abs() < 1e-4);
    let flood = case.under(0.01 / 3600.0, 10.0 * 3600.0, 60.0);
    let depth = |hour: f64| flood.pools(&case.runoff, 0, hour * 3600.0)[0].level_m - f64::from(9.8f32);
    let full_h = flood.full_s(0).unwrap() / 3600.0;
    // What lies about the gap sheds to it at once.
    let to_pit = flood.pools(&case.runoff, 0, 3600.0)[0].volume_m3 / 0.01;
    assert!((300.0..=400.0).contains(&to_pit), "{to_pit}");
    assert!((full_h - 20.0 / (0.01 * to_pit)).abs() < 0.2, "{full_h} of {to_pit}");
    assert!((depth(full_h / 2.0) - 0.1).abs() < 0.005, "{}", depth(full_h / 2.0));
    assert_eq!(flood.pools(&case.runoff, 0, 9.0 * 3600.0)[0].level_m, f64::from(10.0f32));
    assert!(case.balance(&flood).abs() < 1e-12);
}

/// Two pits in one hollow, of 9 and 27 cells, parted by a saddle at 9.5 that lies under the rim at 10: the small one has more
/// land, fills, spills into the other, and both rise as one from the saddle on.
fn twins() -> Grid {
    grid((17, 9), |x, y| {
        let small = (1.0..4.0).contains(&x) && (3.0..6.0).contains(&y);
        let large = (10.0..15.0).contains(&x) && (2.0..7.0).contains(&y);
        let saddle = (4.0..10.0).contains(&x) && y == 4.0;
        match (small, large, saddle) {
            (true, ..) => 9.0,
            (_, true, _) => 9.0,
            (.., true) => 9.5,
            _ if x == 16.0 || y == 0.0 || y == 8.0 || x == 0.0 => 10.0,
            _ => 10.0,
        }
    })
}

#[test]
fn hollows_inside_a_hollow_fill_spill_and_join() {
    let case = Case::new(twins(), &[]);
    let hollow = &case.runoff.hollows()[0];
    let (small_m3, large_m3) = (9.0 * 0.5, 25.0 * 0.5);
    let all_m3 = 9.0 + 25.0 + 6.0 * 0.5;
    assert!((hollow.holds_m3() - all_m3).abs() < 1e-4, "{}", hollow.holds_m3());
    let standing = |arrived: [f64; 2]| {
        let mut pools: Vec<(usize, f64)> =
            hollow.pools(&arrived).iter().map(|pool| (hollow.under(&[*pool]).len(), pool.volume_m3)).collect();
        pools.sort_by(|a, b| a.partial_cmp(b).unwrap());
        pools
    };
    let close = |found: Vec<(usize, f64)>, expected: &[(usize, f64)]| {
        let same = found.iter().zip(expected).all(|(a, b)| a.0 == b.0 && (a.1 - b.1).abs() < 1e-4);
        assert!(same && found.len() == expected.len(), "{found:?} for {expected:?}");
    };
    // Which end part is which is told by what stands where.
    let first_is_small = standing([1.0, 0.0])[0].0 == 9;
    let order = |small: f64, large: f64| if first_is_small { [small, large] } else { [large, small] };
    close(standing(order(4.0, 0.0)), &[(9, 4.0)]);
    close(standing(order(6.0, 0.0)), &[(9, small_m3), (25, 1.5)]);
    close(standing(order(0.0, large_m3 + 2.0)), &[(9, 2.0), (25, large_m3)]);
    close(standing(order(10.0, 10.0)), &[(40, 20.0)]);
    close(standing(order(0.0, 99.0)), &[(40, all_m3)]);
}

/// A pit above another: the lower one gets its own land's water, then what the upper lets go.
#[test]
fn what_spills_goes_on_into_the_next() {
    let steps = grid((9, 31), |x, y| {
        let pit = (2.0..7.0).contains(&x) && ((5.0..10.0).contains(&y) || (18.0..23.0).contains(&y));
        30.0 - 0.1 * y + 0.5 * (x - 4.0).abs() - if pit { 1.5 } else { 0.0 }
    });
    let case = Case::new(steps, &[]);
    assert_eq!(case.runoff.hollows().len(), 2);
    let flood = case.under(2e-5, 200_000.0, 500.0);
    let full: Vec<f64> = (0..2).map(|k| flood.full_s(k).unwrap()).collect();
    let end_s = flood.lasts_s();
    assert!(full.iter().all(|full| (1.0..200_000.0).contains(full)), "{full:?}");
    let held: f64 = case.runoff.hollows().iter().map(|hollow| hollow.holds_m3()).sum();
    assert!((flood.stands_m3(&case.runoff, end_s) - held).abs() < 1e-6);
    assert!(case.balance(&flood).abs() < 1e-12);
}

#[test]
fn a_drop_is_where_its_time_says() {
    let plane = grid((5, 51), |x, y| 10.0 - 0.01 * y + 0.5 * (x - 2.0).abs());
    let case = Case::new(plane, &[]);
    let course = case.runoff.course(&case.grid, &case.water, case.grid.centre(2, 10), 1000);
    assert_eq!((course.points.len(), course.points[0]), (41, case.grid.centre(2, 10)));
    assert!((course.after_s[20] - 200.0).abs() < 0.1, "20 m at 0.1 m/s: {}", course.after_s[20]);
    assert!(case.runoff.course(&case.grid, &case.water, Point::new(-9.0, 0.0), 1000).points.is_empty());
}

/// Small grids with plateaus, pits and missing cells.
fn grids() -> impl Strategy<Value = Grid> {
    (3..14usize, 3..14usize).prop_flat_map(|(cols, rows)| {
        let level =
            prop_oneof![8 => (0..12i32).prop_map(|z| z as f32 * 0.25), 3 => -5.0..5.0f32, 1 => Just(f32::NAN)];
        prop::collection::vec(level, cols * rows).prop_filter_map("all missing", move |levels| {
            Grid::new((cols, rows), (100.0, 900.0), (2.0, 3.0), levels).ok()
        })
    })
}

proptest! {
    /// Rain = left + standing once all has come to rest, and at no moment more than has run off.
    #[test]
    fn no_water_is_lost_or_made(grid in grids(), watched in prop::collection::vec((100.0..128.0f64, 858.0..900.0f64), 0..6)) {
        let watched: Vec<(Point, f64)> = watched.into_iter().map(|(x, y)| (Point::new(x, y), 60.0)).collect();
        let case = Case::new(grid, &watched);
        let storm = Storm::over(&case.runoff, 3600.0, |time_s| 1e-5 * time_s);
        let flood = case.runoff.under(storm);
        prop_assert!(case.balance(&flood).abs() < 1e-9, "{}", case.balance(&flood));
        for part in 0..20 {
            let time_s = flood.lasts_s() * f64::from(part) / 20.0;
            let (stands, shed) = (flood.stands_m3(&case.runoff, time_s), flood.shed_m3(time_s));
            prop_assert!(flood.left_m3(time_s) + stands <= shed * (1.0 + 1e-9) + 1e-12);
            let pools: f64 = (0..case.runoff.hollows().len())
                .flat_map(|k| flood.pools(&case.runoff, k, time_s)).map(|pool| pool.volume_m3).sum();
            prop_assert!((pools - stands).abs() < 1e-6 * (1.0 + stands), "{pools} {stands}");
        }
    }

    /// What a pool covers holds its volume: cell by cell, level less ground.
    #[test]
    fn the_level_of_a_pool_holds_its_volume(grid in grids(), share in 0.05..1.0f64) {
        let case = Case::new(grid, &[]);
        for hollow in case.runoff.hollows() {
            let arrived = [hollow.holds_m3() * share];
            for pool in hollow.pools(&arrived) {
                let depth = |cell: &u32| pool.level_m - f64::from(case.grid.levels()[*cell as usize]);
                let held: f64 = hollow.under(&[pool]).iter().map(depth).sum::<f64>() * case.grid.cell_area_m2();
                prop_assert!((held - pool.volume_m3).abs() < 1e-6 * (1.0 + held), "{held} {}", pool.volume_m3);
                prop_assert!(hollow.under(&[pool]).iter().all(|cell| depth(cell) >= -1e-9));
            }
        }
    }

    /// The same as drops carried cell by cell: each cell sheds its water every step, and it is told where it is.
    #[test]
    fn arrivals_are_those_of_drops_carried_one_by_one(grid in grids()) {
        let case = Case::new(grid, &[]);
        prop_assume!(case.runoff.hollows().is_empty());
        let flood = case.under(1e-5, 600.0, 5.0);
        let cells = 0..case.grid.cols() * case.grid.rows();
        for time_s in [50.0, 300.0, 600.0] {
            let gone: f64 = cells.clone().filter_map(|cell| case.runoff.to_edge_s(cell)).map(|way_s| {
                let rained_s: f64 = f64::min(time_s - (way_s / 5.0).round() * 5.0, 600.0);
                1e-5 * rained_s.max(0.0) * case.grid.cell_area_m2()
            }).sum();
            prop_assert!((gone - flood.left_m3(time_s)).abs() < 1e-9 * (1.0 + gone));
        }
    }
}
