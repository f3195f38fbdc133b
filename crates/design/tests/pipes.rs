//! Pipe that changes along a line: levels at reducers, limits of each part, what each part carries.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use design::{LineDesign, work_out};
use measure::{INCH_M, Point, Units};
use plan::{Joins, Line, LineId, LineKind, Outlet, Plan, SizeBy, Stretch, Wall};
use proptest::prelude::*;
use terrain::{Grid, Ground};

/// Ground that rises 0.5 m in 100 m toward the east, with a swell in it.
fn ground() -> Ground {
    let level = |i: usize| {
        let x = (i % 220) as f64 * 2.0 + 1.0;
        (101.0 + 0.005 * x + 0.15 * (x / 35.0).sin()) as f32
    };
    Ground::from_grid(Grid::new((220, 20), (-10.0, 20.0), (2.0, 2.0), (0..220 * 20).map(level).collect()).unwrap())
}

/// A main of 400 m in 8 in with stretches of its own, from an outlet at 99.6 m.
fn worked(stretches: &[Stretch]) -> (Plan, LineDesign) {
    let mut plan = Plan::new("Steps", Units::Metric);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", Point::new(0.0, 0.0), 99.6));
    plan.apply(&edit).unwrap();
    let points = vec![Point::new(0.0, 0.0), Point::new(400.0, 0.0)];
    let line = Line {
        joins: Joins::Outlet(outlet),
        size_m: 8.0 * INCH_M,
        size_by: SizeBy::Hand,
        stretches: stretches.to_vec(),
        ..Line::new("M1", LineKind::Main, points)
    };
    let (id, edit) = plan::add_line(&plan, line);
    plan.apply(&edit).unwrap();
    let mut design = work_out(&plan, &land::Land::from(ground()));
    let worked = design.lines.remove(&id).unwrap();
    (plan, worked)
}

fn sized(from_m: f64, to_m: f64, inches: f64) -> Stretch {
    Stretch { from_m, to_m, size_m: Some(inches * INCH_M), ..Stretch::default() }
}

/// Crowns are level at a reducer: the invert of the smaller pipe lies higher by the difference of the inside diameters
/// ([EFH14]: matching crowns), and each part keeps its own limits.
#[test]
fn crowns_are_level_at_a_reducer() {
    let (plan, worked) = worked(&[sized(150.0, 300.0, 6.0), sized(300.0, 400.0, 4.0)]);
    let sizes: Vec<f64> = worked.bodies().map(|body| (body.size_m / INCH_M).round()).collect();
    assert_eq!(sizes, [8.0, 6.0, 4.0]);
    for station_m in [150.0, 300.0] {
        let at = worked.at(station_m).unwrap();
        let crown = |invert_m: f64, pipe: &design::Pipe| invert_m + pipe.size_m;
        let below_m = crown(at.invert_m.unwrap(), worked.pipe_at(station_m));
        let above_m = crown(at.invert_above_m().unwrap(), worked.pipe_above(station_m));
        assert!((below_m - above_m).abs() < 1e-9, "{station_m}: {below_m} {above_m}");
        assert!((at.step_m - 2.0 * INCH_M).abs() < 1e-9);
    }
    holds_its_limits(&plan, &worked);
}

/// An eccentric reducer keeps the inverts level.
#[test]
fn inverts_are_level_at_an_eccentric_reducer() {
    let eccentric = Stretch { inverts_level: true, ..sized(200.0, 400.0, 5.0) };
    let (plan, worked) = worked(&[eccentric]);
    assert_eq!(worked.at(200.0).unwrap().step_m, 0.0);
    assert!((worked.pipe_at(300.0).size_m - 5.0 * INCH_M).abs() < 1e-12);
    holds_its_limits(&plan, &worked);
}

/// A stretch in the line's own size and wall changes no level.
#[test]
fn a_stretch_of_the_same_pipe_changes_nothing() {
    let plain = worked(&[]).1;
    let same = worked(&[sized(0.0, 400.0, 8.0)]).1;
    let inverts = |worked: &LineDesign| worked.stations.iter().map(|s| s.invert_m).collect::<Vec<_>>();
    assert_eq!(inverts(&plain), inverts(&same));
}

/// Roughness and thickness come from size and wall together.
#[test]
fn each_part_has_the_roughness_and_body_of_its_size_and_wall() {
    let smooth = Stretch { wall: Some(Wall::Smooth), ..sized(100.0, 200.0, 12.0) };
    let rigid = Stretch { wall: Some(Wall::Rigid), ..sized(200.0, 300.0, 4.0) };
    let (plan, worked) = worked(&[smooth, rigid]);
    let at = |station_m: f64| *worked.pipe_at(station_m);
    assert_eq!([at(50.0).n, at(150.0).n, at(250.0).n], [0.015, 0.012, 0.012]);
    assert_eq!(plan.criteria.roughness.of(Wall::Corrugated, 12.0 * INCH_M), 0.017);
    assert!(at(250.0).wall_m() < at(350.0).wall_m() / 2.0);
    // SDR 35: a wall of a thirty-fifth of the outside diameter (ASTM D3034).
    assert!((at(250.0).outside_m() / at(250.0).wall_m() - 35.0).abs() < 1e-9);
}

/// What a part carries is that of its own pipe: the smaller one is the fuller.
#[test]
fn the_smaller_pipe_is_the_fuller_one() {
    let (_, worked) = worked(&[sized(50.0, 400.0, 4.0)]);
    let full = worked.fullest().unwrap();
    let pipe = worked.above(full.index);
    assert!((pipe.size_m - 4.0 * INCH_M).abs() < 1e-12);
    assert_eq!(full.capacity_m3s, pipe.full_capacity_m3s(full.grade));
}

/// Every reach at least as steep as its own pipe asks, cover and reach of the machine held by every part all along.
fn holds_its_limits(plan: &Plan, worked: &LineDesign) {
    let criteria = &plan.criteria;
    for i in 0..worked.stations.len() - 1 {
        let least = worked.above(i).grade_for_velocity(criteria.clean_velocity_ms);
        assert!(worked.grade(i).unwrap() >= least - 1e-9, "{i}");
    }
    assert!(worked.cover_under(worked.outlet_pipe_m, criteria.least_cover_m - 1e-6).is_empty());
    assert!(worked.trench_over(criteria.machine_reach_m + 1e-6, criteria.bedding_m).is_empty());
    let least = worked.least_cover().unwrap();
    let there = worked.cover_m(&worked.at(least.station_m).unwrap()).unwrap();
    assert!(there + 1e-9 >= least.value_m && there <= least.value_m + 8.0 * INCH_M);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

    /// Whatever sizes follow each other, the guide has no step, the limits of each part hold, and the parts cover the line.
    #[test]
    fn any_sizes_hold_their_limits(
        cuts in proptest::collection::vec((20.0..380.0f64, 3usize..9), 0..5),
        eccentric in any::<bool>(),
    ) {
        let mut ends: Vec<(f64, usize)> = cuts;
        ends.sort_by(|a, b| a.0.total_cmp(&b.0));
        let next = ends.iter().skip(1).map(|(m, _)| *m).chain([400.0]);
        let stretches: Vec<Stretch> = ends.iter().zip(next).filter(|((from, _), to)| to - from > 0.01).map(|((from, inches), to)| {
            Stretch { inverts_level: eccentric, ..sized(*from, to, *inches as f64) }
        }).collect();
        let (_, worked) = worked(&stretches);
        prop_assert_eq!(worked.pipe[0].from_m, 0.0);
        prop_assert_eq!(worked.pipe.last().unwrap().to_m, worked.length_m);
        prop_assert!(worked.pipe.windows(2).all(|pair| pair[0].to_m == pair[1].from_m));
        for pair in worked.pipe.windows(2) {
            let step_m = pair[1].over_guide_m - pair[0].over_guide_m;
            let wanted_m = if eccentric { 0.0 } else { pair[0].size_m - pair[1].size_m };
            prop_assert!((step_m - wanted_m).abs() < 1e-12);
            prop_assert!((worked.at(pair[1].from_m).unwrap().step_m - step_m).abs() < 1e-12);
        }
        for i in 0..worked.stations.len() - 1 {
            prop_assert!(worked.grade(i).unwrap() > 0.0);
        }
    }
}

/// A branch enters in the upper half of the pipe that lies at its joint, not of the line's lowest.
#[test]
fn a_branch_meets_the_pipe_at_its_joint() {
    let mut plan = worked(&[sized(150.0, 400.0, 5.0)]).0;
    let main = LineId(2);
    assert!(plan.lines.contains_key(&main), "{:?}", plan.lines.keys());
    let lateral = Line {
        joins: Joins::Line(main),
        ..Line::new("L1", LineKind::Lateral, vec![Point::new(250.0, 0.0), Point::new(250.0, 15.0)])
    };
    plan.apply(&plan::add_line(&plan, lateral).1).unwrap();
    let design = work_out(&plan, &land::Land::from(ground()));
    let joint = design.joints[0];
    assert_eq!(joint.sizes_m(&design), Some((5.0 * INCH_M, 4.0 * INCH_M)));
    let (centre_m, branch_m) = (joint.main_centre_m.unwrap(), joint.branch_invert_m.unwrap());
    assert!((centre_m - joint.main_invert_m.unwrap() - 2.5 * INCH_M).abs() < 1e-9);
    assert!(branch_m >= centre_m - 1e-9 && branch_m <= joint.main_invert_m.unwrap() + 1.0 * INCH_M + 2.5 * INCH_M);
}
