//! Whole courses: drawn on, split, joined into one, moved, doubled. What stands on a line stays in its place on the ground.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use measure::{Point, Units, distance, nearest_on, point_at};
use plan::{Edit, End, Joins, Line, LineId, LineKind, Outlet, Pin, Plan, SizeBy, Stretch, Wall};
use proptest::prelude::*;

fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// A main of 200 m with two laterals; a level, a stretch of solid pipe and a smaller size on it.
fn sketch() -> Plan {
    let mut plan = Plan::new("Sketch", Units::Feet);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", p(0.0, 0.0), 99.0));
    plan.apply(&edit).unwrap();
    let mut add = |line: Line| {
        let (id, edit) = plan::add_line(&plan, line);
        plan.apply(&edit).unwrap();
        id
    };
    let points = vec![p(0.0, 0.0), p(100.0, 0.0), p(200.0, 0.0)];
    let main = add(Line {
        joins: Joins::Outlet(outlet),
        pins: vec![
            Pin { station_m: 30.0, invert_m: 99.5, straight: false },
            Pin { station_m: 150.0, invert_m: 101.0, straight: true },
        ],
        stretches: vec![
            Stretch { from_m: 0.0, to_m: 6.0, solid: true, ..Stretch::default() },
            Stretch { from_m: 90.0, to_m: 200.0, size_m: Some(0.1016), ..Stretch::default() },
        ],
        ..Line::new("M1", LineKind::Main, points)
    });
    let lateral = |name, x| Line {
        joins: Joins::Line(main),
        ..Line::new(name, LineKind::Lateral, vec![p(x, 0.0), p(x, 80.0)])
    };
    add(lateral("L1", 50.0));
    add(lateral("L2", 150.0));
    plan
}

fn id(plan: &Plan, name: &str) -> LineId {
    plan.line_named(name).unwrap()
}

/// Makes an edit, and holds that it can be taken back without a trace.
fn made(plan: &Plan, edit: &Edit) -> Plan {
    let mut after = plan.clone();
    let back = after.apply(edit).unwrap();
    let mut before = after.clone();
    before.apply(&back).unwrap();
    before.next_id = plan.next_id;
    assert_eq!(before, *plan);
    after
}

/// Where the pins of all lines stand on the ground, with their levels.
fn pins(plan: &Plan) -> Vec<(i64, i64, i64)> {
    let of = |line: &Line| -> Vec<_> {
        let place = |pin: &Pin| point_at(&line.points, pin.station_m).map(|at| (at, pin.invert_m));
        line.pins
            .iter()
            .filter_map(place)
            .map(|(at, m)| ((at.x * 1e3).round() as i64, (at.y * 1e3).round() as i64, (m * 1e3) as i64))
            .collect()
    };
    let mut all: Vec<_> = plan.lines.values().flat_map(of).collect();
    all.sort_unstable();
    all
}

#[test]
fn a_line_is_drawn_on_from_either_end() {
    let plan = sketch();
    let up = plan::extend(&plan, id(&plan, "L1"), End::Upper, &[p(50.0, 80.0), p(60.0, 120.0)]).unwrap();
    let after = made(&plan, &up);
    assert_eq!(after.lines[&id(&plan, "L1")].points.last(), Some(&p(60.0, 120.0)));
    assert_eq!(after.lines[&id(&plan, "L1")].points.len(), 3);
    let down = plan::extend(&plan, id(&plan, "M1"), End::Lower, &[p(-10.0, 0.0), p(-20.0, -5.0)]).unwrap();
    let after = made(&plan, &down);
    let main = &after.lines[&id(&plan, "M1")];
    assert_eq!((main.points[0], main.points[1], main.joins), (p(-20.0, -5.0), p(-10.0, 0.0), Joins::Nothing));
    assert_eq!(pins(&after), pins(&plan));
    assert!(plan::extend(&plan, id(&plan, "L1"), End::Upper, &[p(50.0, 80.0)]).is_none(), "leads nowhere");
}

/// Split and made one again a line is what it was, but for the bend where it was split.
#[test]
fn a_line_is_split_and_made_one_again() {
    let plan = sketch();
    let main = id(&plan, "M1");
    let (above, edit) = plan::split(&plan, main, 120.0).unwrap();
    let halves = made(&plan, &edit);
    assert_eq!((halves.lines[&main].length_m(), halves.lines[&above].length_m()), (120.0, 80.0));
    assert_eq!(halves.lines[&above].joins, Joins::Line(main));
    assert_eq!(halves.lines[&id(&plan, "L2")].joins, Joins::Line(above), "its branch goes along");
    assert_eq!(halves.lines[&id(&plan, "L1")].joins, Joins::Line(main));
    assert_eq!(halves.lines[&above].stretches[0].from_m, 0.0);
    assert_eq!(pins(&halves), pins(&plan));
    let one = made(&halves, &plan::unite(&halves, main, above).unwrap());
    assert_eq!(one.lines.len(), plan.lines.len());
    assert_eq!(one.lines[&id(&plan, "L2")].joins, Joins::Line(main));
    assert_eq!(pins(&one), pins(&plan));
    let solid = |line: &Line| line.stretches.iter().filter(|s| s.solid).map(|s| s.to_m - s.from_m).sum::<f64>();
    assert_eq!(solid(&one.lines[&main]), solid(&plan.lines[&main]));
    let small =
        one.lines[&main].stretches.iter().filter(|s| s.size_m.is_some()).map(|s| s.to_m - s.from_m).sum::<f64>();
    assert!((small - 110.0).abs() < 1e-9, "{small}");
    assert!(plan::split(&plan, main, 0.1).is_none() && plan::split(&plan, main, f64::NAN).is_none());
    assert!(plan::unite(&plan, main, id(&plan, "L1")).is_none(), "it comes in from the side");
}

/// The pipe of the upper part stays what it was.
#[test]
fn two_sizes_made_one_line_keep_their_pipe() {
    let mut plan = sketch();
    let main = id(&plan, "M1");
    let (above, edit) = plan::split(&plan, main, 60.0).unwrap();
    plan.apply(&edit).unwrap();
    let upper = plan.lines.get_mut(&above).unwrap();
    (upper.size_m, upper.size_by, upper.wall) = (0.0762, SizeBy::Hand, Wall::Smooth);
    upper.stretches.clear();
    let one = made(&plan, &plan::unite(&plan, main, above).unwrap());
    let laid = one.lines[&main].stretches.iter().find(|s| s.size_m.is_some()).unwrap();
    assert_eq!((laid.from_m, laid.to_m, laid.size_m, laid.wall), (60.0, 200.0, Some(0.0762), Some(Wall::Smooth)));
}

#[test]
fn a_moved_line_stays_on_its_main_and_takes_its_branches_along() {
    let plan = sketch();
    let after = made(&plan, &plan::shift(&plan, id(&plan, "L1"), (10.0, 25.0)).unwrap());
    let lateral = &after.lines[&id(&plan, "L1")];
    assert_eq!((lateral.points[0], lateral.points[1]), (p(60.0, 0.0), p(60.0, 105.0)));
    let after = made(&plan, &plan::shift(&plan, id(&plan, "M1"), (0.0, 10.0)).unwrap());
    assert_eq!(after.lines[&id(&plan, "M1")].points, [p(0.0, 0.0), p(100.0, 10.0), p(200.0, 10.0)]);
    for name in ["L1", "L2"] {
        let foot = after.lines[&id(&plan, name)].points[0];
        assert!(nearest_on(&after.lines[&id(&plan, "M1")].points, foot).unwrap().2 < 1e-9, "{name}");
    }
}

#[test]
fn a_doubled_line_joins_the_main_it_reaches() {
    let plan = sketch();
    let (copy, edit) = plan::double(&plan, id(&plan, "L1"), (20.0, 0.0)).unwrap();
    let after = made(&plan, &edit);
    assert_eq!(
        (after.lines[&copy].points[0], after.lines[&copy].joins),
        (p(70.0, 0.0), Joins::Line(id(&plan, "M1")))
    );
    assert_eq!(after.lines[&copy].name, "L3");
    let (copy, edit) = plan::double(&plan, id(&plan, "L1"), (0.0, 30.0)).unwrap();
    assert_eq!(made(&plan, &edit).lines[&copy].joins, Joins::Nothing);
}

#[test]
fn several_lines_are_changed_alike() {
    let plan = sketch();
    let ids = [id(&plan, "L1"), id(&plan, "L2"), LineId(99)];
    let edit = plan::set_lines(&plan, "Change the size", ids, |line| line.size_m = 0.1524).unwrap();
    assert_eq!(edit.label, "Change the size of 2 lines");
    let after = made(&plan, &edit);
    assert!(["L1", "L2"].iter().all(|name| after.lines[&id(&plan, name)].size_m == 0.1524));
    assert!(
        plan::set_lines(&after, "Change the size", ids, |line| line.size_m = 0.1524).is_none(),
        "nothing changes"
    );
}

proptest! {
    /// Wherever a main is split: nothing on it moves on the ground, both parts together are as long as it was, and the
    /// branches still lie on what they join.
    #[test]
    fn nothing_moves_on_the_ground(at_m in 0.4..199.6f64) {
        let plan = sketch();
        let main = id(&plan, "M1");
        let (above, edit) = plan::split(&plan, main, at_m).unwrap();
        let after = made(&plan, &edit);
        prop_assert!((after.lines[&main].length_m() + after.lines[&above].length_m() - 200.0).abs() < 1e-9);
        prop_assert_eq!(pins(&after), pins(&plan));
        for line in after.lines.values() {
            if let Joins::Line(other) = line.joins {
                let (_, foot, _) = nearest_on(&after.lines[&other].points, line.points[0]).unwrap();
                prop_assert!(distance(foot, line.points[0]) < 1e-9);
            }
        }
        let one = made(&after, &plan::unite(&after, main, above).unwrap());
        prop_assert_eq!(pins(&one), pins(&plan));
    }
}
