//! The design against figures worked by hand in the trade's own examples, and its standing promises.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use design::{Design, LineDesign, Origin, work_out};
use measure::{FOOT_M, INCH_M, Point, Units};
use plan::{Joins, Line, LineId, LineKind, Outlet, OutletId, Pattern, Pin, Plan};
use proptest::prelude::*;
use terrain::{Grid, Ground, Shot};

fn p(x_ft: f64, y_ft: f64) -> Point {
    Point::new(x_ft * FOOT_M, y_ft * FOOT_M)
}

fn pin(station_ft: f64, invert_ft: f64) -> Pin {
    Pin { station_m: station_ft * FOOT_M, invert_m: invert_ft * FOOT_M, straight: true }
}

fn add(plan: &mut Plan, line: Line) -> LineId {
    let (id, edit) = plan::add_line(plan, line);
    plan.apply(&edit).unwrap();
    id
}

fn outlet(plan: &mut Plan, at: Point, invert_ft: f64) -> OutletId {
    let (id, edit) = plan::place_outlet(plan, Outlet::new("O1", at, invert_ft * FOOT_M));
    plan.apply(&edit).unwrap();
    id
}

fn invert_ft(line: &LineDesign, station_ft: f64) -> f64 {
    line.at(station_ft * FOOT_M).unwrap().invert_m.unwrap() / FOOT_M
}

fn close(found: f64, wanted: f64, what: &str) {
    assert!((found - wanted).abs() <= 0.005, "{what}: {found}, by hand {wanted}");
}

/// The worked cut sheet of Tannet Rise, line L2: inverts, depths, cover and cuts to 0.005 ft.
#[test]
fn worked_example_of_the_cut_sheet() {
    // Station, hub, invert, cut, ground, depth, cover, all in feet, as printed there.
    const ROWS: [[f64; 7]; 9] = [
        [0.0, 416.31, 412.61, 3.70, 415.92, 3.31, 2.95],
        [50.0, 416.47, 412.91, 3.56, 416.10, 3.19, 2.83],
        [100.0, 416.85, 413.21, 3.64, 416.42, 3.21, 2.85],
        [150.0, 416.71, 413.51, 3.20, 416.29, 2.78, 2.42],
        [200.0, 417.52, 413.81, 3.71, 417.05, 3.24, 2.88],
        [250.0, 418.08, 414.635, 3.445, 417.70, 3.065, 2.705],
        [300.0, 419.11, 415.46, 3.65, 418.62, 3.16, 2.80],
        [350.0, 419.98, 416.285, 3.695, 419.55, 3.265, 2.905],
        [400.0, 420.83, 417.11, 3.72, 420.40, 3.29, 2.93],
    ];
    // The centre-line levels as a survey, with a strip to either side so that the ground is a surface.
    let shots: Vec<Shot> = ROWS
        .iter()
        .flat_map(|row| [-30.0, 0.0, 30.0].map(|x| Shot { at: p(x, row[0]), level_m: row[4] * FOOT_M }))
        .chain([-30.0, 30.0].map(|x| Shot { at: p(x, -40.0), level_m: 415.9 * FOOT_M }))
        .collect();
    let ground = Ground::from_shots(&shots, 2.0).unwrap();
    let mut plan = Plan::new("Tannet Rise", Units::Feet);
    let o = outlet(&mut plan, p(-25.0, 0.0), 412.36);
    // The main lies level at 412.36 under the joint here; only its invert at the joint matters.
    let main_line = Line {
        joins: Joins::Outlet(o),
        size_m: 6.0 * INCH_M,
        pins: vec![pin(25.0, 412.36)],
        ..Line::new("M1", LineKind::Main, vec![p(-25.0, 0.0), p(0.0, 0.0), p(25.0, 0.0)])
    };
    let main = add(&mut plan, main_line);
    let l2 = Line {
        joins: Joins::Line(main),
        pins: vec![pin(200.0, 413.81), pin(400.0, 417.11)],
        ..Line::new("L2", LineKind::Lateral, vec![p(0.0, 0.0), p(0.0, 400.0)])
    };
    let l2 = add(&mut plan, l2);
    let design = work_out(&plan, &land::Land::from(&ground));
    let line = &design.lines[&l2];
    for [station, hub, invert, cut, ground_ft, depth, cover] in ROWS {
        let at = line.at(station * FOOT_M).unwrap();
        close(at.invert_m.unwrap() / FOOT_M, invert, "invert");
        close(hub - at.invert_m.unwrap() / FOOT_M, cut, "cut");
        close(at.ground_m.unwrap() / FOOT_M, ground_ft, "ground");
        close(at.depth_m().unwrap() / FOOT_M, depth, "depth");
        close(line.cover_m(&at).unwrap() / FOOT_M, cover, "cover");
    }
    let (least, _) = line.range(|s| line.cover_m(s)).unwrap();
    close(least / FOOT_M, 2.42, "least cover");
    // Down to the trench bottom: wall 0.03 ft below the invert; the deepest trench at the centre line is 3.34 ft at 0+00.
    let first = line.trench_depth_m(&line.stations[0], 0.0).unwrap() / FOOT_M;
    close(first, 3.34, "deepest trench");
    // Printed figures, half up after snapping (418.08 − 414.635 prints 3.45).
    assert_eq!(Units::Feet.number(418.08 * FOOT_M - line.at(250.0 * FOOT_M).unwrap().invert_m.unwrap(), 2), "3.45");
}

/// The worked example Quillmere Bench: inverts and lengths.
#[test]
fn scenario_of_the_first_sketch() {
    let mut plan = Plan::new("Quillmere Bench", Units::Feet);
    let o = outlet(&mut plan, p(0.0, 0.0), 96.40);
    let m = add(
        &mut plan,
        Line {
            joins: Joins::Outlet(o),
            pins: vec![pin(640.0, 96.40 + 0.0060 * 640.0)],
            ..Line::new("M", LineKind::Main, vec![p(0.0, 0.0), p(640.0, 0.0)])
        },
    );
    let mut lateral = |name: &str, from: f64, length: f64, grade: f64, start: f64| {
        let points =
            if name == "L3" { vec![p(640.0, 0.0), p(790.0, 0.0)] } else { vec![p(from, 0.0), p(from, length)] };
        let pins = vec![pin(length, start + grade * length)];
        add(&mut plan, Line { joins: Joins::Line(m), pins, ..Line::new(name, LineKind::Lateral, points) })
    };
    let l1 = lateral("L1", 180.0, 310.0, 0.022, 97.73);
    let l2 = lateral("L2", 430.0, 265.0, 0.030, 99.23);
    let l3 = lateral("L3", 640.0, 150.0, 0.018, 100.24);
    let design = work_out(&plan, &land::Land::default());
    for (station, invert) in [(180.0, 97.48), (430.0, 98.98), (640.0, 100.24)] {
        close(invert_ft(&design.lines[&m], station), invert, "main");
    }
    for (line, start, end, length) in
        [(l1, 97.73, 104.55, 310.0), (l2, 99.23, 107.18, 265.0), (l3, 100.24, 102.94, 150.0)]
    {
        let line = &design.lines[&line];
        close(invert_ft(line, 0.0), start, "start");
        close(invert_ft(line, length), end, "end");
        close(line.length_m / FOOT_M, length, "length");
    }
    let in_line: Vec<bool> = design.joints.iter().map(|joint| joint.in_line).collect();
    assert_eq!(in_line, [false, false, true]);
    let total: f64 = design.lines.values().map(|line| line.length_m / FOOT_M).sum();
    close(total, 1365.0, "all lines");
}

/// A sloping plane with a soft hollow, 400 × 400 m.
fn rolling() -> Ground {
    let level = |col: usize, row: usize| {
        let (x, y) = (col as f64 * 4.0, (99 - row) as f64 * 4.0);
        (100.0 + 0.012 * y + 0.004 * x - 0.8 * (-((x - 150.0) / 30.0).powi(2)).exp()) as f32
    };
    let levels = (0..100).flat_map(|row| (0..100).map(move |col| level(col, row))).collect();
    Ground::from_grid(Grid::new((100, 100), (0.0, 400.0), (4.0, 4.0), levels).unwrap())
}

/// A main along the foot and laterals uphill, added in the order given.
fn grid_of_laterals(order: &[usize]) -> (Plan, Vec<LineId>) {
    let mut plan = Plan::new("Grid", Units::Metric);
    let at = Point::new(10.0, 20.0);
    let (o, edit) = plan::place_outlet(&plan, Outlet::new("O1", at, 98.6));
    plan.apply(&edit).unwrap();
    let course = vec![at, Point::new(200.0, 30.0), Point::new(380.0, 24.0)];
    let main = add(&mut plan, Line { joins: Joins::Outlet(o), ..Line::new("M1", LineKind::Main, course.clone()) });
    let mut ids = vec![LineId(0); order.len()];
    for i in order {
        let foot = measure::point_at(&course, 40.0 + 30.0 * *i as f64).unwrap();
        let points = vec![foot, Point::new(foot.x + 3.0, 200.0), Point::new(foot.x - 8.0, 360.0)];
        let line = Line {
            joins: Joins::Line(main),
            pattern: Pattern::Parallel,
            ..Line::new(&format!("L{i}"), LineKind::Lateral, points)
        };
        ids[*i] = add(&mut plan, line);
    }
    (plan, ids)
}

fn by_name(plan: &Plan, design: &Design) -> Vec<(String, LineDesign)> {
    let mut lines: Vec<_> =
        design.lines.iter().map(|(id, line)| (plan.lines[id].name.clone(), line.clone())).collect();
    // Ids follow the order of drawing; what they bring does not.
    for inflow in lines.iter_mut().flat_map(|(_, line)| &mut line.inflows) {
        if let Origin::Branch(id) = &mut inflow.origin {
            *id = LineId(0);
        }
    }
    lines.sort_by(|a, b| a.0.cmp(&b.0));
    lines
}

#[test]
fn grade_and_cover_are_kept() {
    let (plan, _) = grid_of_laterals(&[0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
    let ground = rolling();
    let design = work_out(&plan, &land::Land::from(&ground));
    for (id, line) in &design.lines {
        let name = &plan.lines[id].name;
        for i in 0..line.stations.len() - 1 {
            assert!(line.grade(i).unwrap() >= line.least_grade - 1e-12, "{name} at {i}");
        }
        let buried = line.stations.iter().filter(|s| s.station_m >= line.outlet_pipe_m);
        for s in buried {
            assert!(
                line.cover_m(s).unwrap() >= plan.criteria.least_cover_m - 1e-9,
                "{name} at {}: cover {}, {:?}",
                s.station_m,
                line.cover_m(s).unwrap(),
                design.clashes
            );
        }
    }
    for joint in &design.joints {
        assert!((joint.branch_invert_m.unwrap() - joint.main_centre_m.unwrap()).abs() < 1e-9);
    }
}

/// 0.300 %, then 0.304 %, which prints the same, then 0.307 %, which does not, though it lies as near to the one before it;
/// 1.00 %; and where a line runs out over no ground, nothing.
#[test]
fn a_change_of_grade_is_one_that_prints() {
    let mut plan = Plan::new("Grades", Units::Feet);
    let joins = Joins::Outlet(outlet(&mut plan, p(0.0, 0.0), 100.0));
    let line = Line { joins, ..Line::new("M", LineKind::Main, vec![p(0.0, 0.0), p(400.0, 0.0)]) };
    let pins = vec![pin(100.0, 100.3), pin(200.0, 100.604), pin(300.0, 100.911), pin(400.0, 101.911)];
    let id = add(&mut plan, Line { pins, ..line });
    let design = work_out(&plan, &land::Land::default());
    let worked = &design.lines[&id];
    let at_ft = |i: usize| (worked.stations[i].station_m / FOOT_M).round();
    let parts: Vec<_> = worked.grades().iter().map(|part| (at_ft(part.from), at_ft(part.to))).collect();
    assert_eq!(parts, [(0.0, 200.0), (200.0, 300.0), (300.0, 400.0)]);
    close(worked.grades()[0].grade * 1e3, 3.02, "the mean of the two that print as one");
    let breaks: Vec<_> = worked.breaks().map(|change| (at_ft(change.index), change.above > change.below)).collect();
    assert_eq!(breaks, [(200.0, true), (300.0, true)]);

    let ground = rolling();
    let east_m = ground.grid().extent().1.x;
    let over = [east_m - 100.0, east_m + 200.0].map(|x| Point::new(x, 150.0));
    let id = add(&mut plan, Line::new("A", LineKind::Lateral, over.into()));
    let worked = &work_out(&plan, &land::Land::from(&ground)).lines[&id];
    assert!(worked.grades().iter().all(|part| worked.stations[part.to].station_m <= 100.0));
}

#[test]
fn a_ring_of_lines_is_found_and_still_worked_out() {
    let mut plan = Plan::new("Ring", Units::Metric);
    let square = [Point::new(0.0, 0.0), Point::new(100.0, 0.0), Point::new(100.0, 100.0), Point::new(0.0, 100.0)];
    let ids: Vec<LineId> = (0..4)
        .map(|i| add(&mut plan, Line::new(&format!("L{i}"), LineKind::Lateral, vec![square[i], square[(i + 1) % 4]])))
        .collect();
    for i in 0..4 {
        let edit = plan::join(&plan, ids[i], Joins::Line(ids[(i + 3) % 4])).unwrap();
        plan.apply(&edit).unwrap();
    }
    let design = work_out(&plan, &land::Land::from(rolling()));
    assert_eq!(design.loops.len(), 1);
    assert_eq!(design.loops[0].len(), 4);
    assert_eq!(design.loops[0][0], ids[0]);
    assert!(design.lines.values().all(|line| !line.reaches_outlet));
}

#[test]
fn crossings_are_found_and_joints_are_none() {
    let (mut plan, ids) = grid_of_laterals(&[0, 1, 2]);
    let across = vec![Point::new(60.0, 150.0), Point::new(160.0, 150.0)];
    let across = add(&mut plan, Line::new("X", LineKind::Lateral, across));
    let design = work_out(&plan, &land::Land::from(rolling()));
    let pairs: Vec<_> = design.crossings.iter().map(|c| (c.a, c.b)).collect();
    assert!(pairs.iter().all(|(a, b)| ids.contains(a) && *b == across), "{pairs:?}");
    assert!(!pairs.is_empty());
}

#[test]
fn old_tile_keeps_only_levels_that_were_measured() {
    let mut plan = Plan::new("Old", Units::Metric);
    let points = vec![Point::new(50.0, 50.0), Point::new(50.0, 250.0)];
    let mut old = Line::new("T1", LineKind::OldTile(plan::OldTile::default()), points);
    old.pins = [(50.0, 99.0), (150.0, 100.0)]
        .map(|(station_m, invert_m)| Pin { station_m, invert_m, straight: false })
        .into();
    let old = add(&mut plan, old);
    let tied = Line {
        joins: Joins::Line(old),
        ..Line::new("L1", LineKind::Lateral, vec![Point::new(50.0, 150.0), Point::new(90.0, 250.0)])
    };
    let tied = add(&mut plan, tied);
    let design = work_out(&plan, &land::Land::from(rolling()));
    let line = &design.lines[&old];
    assert_eq!(line.at(100.0).unwrap().invert_m, Some(99.5));
    assert_eq!(line.at(180.0).unwrap().invert_m, None);
    assert_eq!(design.lines[&tied].stations[0].invert_m, Some(99.5 + plan.lines[&old].size_m / 2.0));
}

/// Ground as far as x = 400 m. A line from there east over nothing has a level where the ground ends and none beyond; one
/// that is wholly off it has none, joined or not; a locked level or a grade held by hand carries on as far as it reaches.
#[test]
fn no_level_is_made_up_off_the_ground() {
    let ground = rolling();
    let east_m = ground.grid().extent().1.x;
    let line = |points: &[(f64, f64)]| {
        Line::new("A", LineKind::Lateral, points.iter().map(|(x, y)| Point::new(*x, *y)).collect())
    };
    let levels = |line: Line| -> Vec<(f64, bool)> {
        let mut plan = Plan::new("off", Units::Metric);
        let id = add(&mut plan, line);
        let worked = &work_out(&plan, &land::Land::from(&ground)).lines[&id];
        worked.stations.iter().map(|s| (s.station_m, s.invert_m.is_some())).collect()
    };
    let known_to_m = |levels: &[(f64, bool)]| levels.iter().filter(|s| s.1).map(|s| s.0).next_back();
    let leaves = line(&[(east_m - 100.0, 150.0), (east_m + 200.0, 150.0)]);
    let bare = levels(leaves.clone());
    assert!(bare[0].1 && known_to_m(&bare).is_some_and(|to_m| (99.0..=100.0).contains(&to_m)), "{bare:?}");
    assert!(levels(line(&[(east_m + 100.0, 150.0), (east_m + 200.0, 150.0)])).iter().all(|s| !s.1));
    let fixed = Line { pins: vec![Pin { station_m: 250.0, invert_m: 99.0, straight: false }], ..leaves.clone() };
    assert_eq!(known_to_m(&levels(fixed)), Some(250.0));
    let hold = plan::Reach { from_m: 50.0, to_m: 300.0, hold: plan::Hold::Grade(0.01) };
    assert_eq!(known_to_m(&levels(Line { reaches: vec![hold], ..leaves })), Some(300.0));
}

proptest! {
    /// Whatever the order in which lines were drawn, each comes out the same.
    #[test]
    fn the_order_of_drawing_does_not_matter(order in Just((0..10).collect::<Vec<usize>>()).prop_shuffle()) {
        let ground = rolling();
        let (plan, _) = grid_of_laterals(&[0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
        let (shuffled, _) = grid_of_laterals(&order);
        let (a, b) = (work_out(&plan, &land::Land::from(&ground)), work_out(&shuffled, &land::Land::from(&ground)));
        prop_assert_eq!(by_name(&plan, &a), by_name(&shuffled, &b));
        prop_assert_eq!(a.joints.len(), b.joints.len());
    }

    /// Any points, any pins: nothing panics, every level is finite, and there is one wherever there is ground.
    #[test]
    fn no_line_breaks_the_design(
        xy in prop::collection::vec((-100.0..500.0f64, -100.0..500.0f64), 2..8),
        pins in prop::collection::vec((0.0..400.0f64, 80.0..120.0f64, any::<bool>()), 0..5),
    ) {
        let (mut plan, _) = grid_of_laterals(&[0, 1, 2]);
        let points: Vec<Point> = xy.into_iter().map(|(x, y)| Point::new(x, y)).collect();
        let (id, edit) = plan::add_line(&plan, Line::new("Z", LineKind::Lateral, points));
        prop_assume!(plan.apply(&edit).is_ok());
        for (station_m, invert_m, straight) in pins {
            if let Some(edit) = plan::set_pin(&plan, id, station_m, Some((invert_m, straight))) {
                let _ = plan.apply(&edit);
            }
        }
        let design = work_out(&plan, &land::Land::from(rolling()));
        for s in &design.lines[&id].stations {
            prop_assert!(s.invert_m.is_none_or(f64::is_finite));
            prop_assert!(s.invert_m.is_some() || s.ground_m.is_none());
        }
        for pin in &plan.lines[&id].pins {
            let at = design.lines[&id].at(pin.station_m).unwrap();
            prop_assert!((at.invert_m.unwrap() - pin.invert_m).abs() < 1e-6);
        }
    }
}
