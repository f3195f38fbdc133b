//! Every gesture can be taken back and done again, and what hangs on a moved part follows.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use measure::{Point, Units, distance, nearest_on};
use plan::{Edit, Field, History, Joins, Line, LineId, LineKind, Outlet, OutletId, Pin, Plan};
use proptest::prelude::*;

fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// A main along the low side with two laterals, one of them with a branch of its own.
fn sketch() -> Plan {
    let mut plan = Plan::new("Sketch", Units::Feet);
    let (outlet, edit) = plan::place_outlet(&plan, Outlet::new("O1", p(0.0, 0.0), 99.0));
    plan.apply(&edit).unwrap();
    let mut add = |name: &str, kind, points: Vec<Point>, joins| {
        let (id, edit) = plan::add_line(&plan, Line { joins, ..Line::new(name, kind, points) });
        plan.apply(&edit).unwrap();
        id
    };
    let main = add("M1", LineKind::Main, vec![p(0.0, 0.0), p(100.0, 0.0), p(200.0, 0.0)], Joins::Outlet(outlet));
    let l1 = add("L1", LineKind::Lateral, vec![p(50.0, 0.0), p(50.0, 80.0)], Joins::Line(main));
    add("L2", LineKind::Lateral, vec![p(150.0, 0.0), p(150.0, 90.0)], Joins::Line(main));
    add("L3", LineKind::Lateral, vec![p(50.0, 40.0), p(20.0, 60.0)], Joins::Line(l1));
    plan
}

fn line<'a>(plan: &'a Plan, name: &str) -> &'a Line {
    &plan.lines[&plan.line_named(name).unwrap()]
}

fn id(plan: &Plan, name: &str) -> LineId {
    plan.line_named(name).unwrap()
}

#[test]
fn joints_stay_on_a_main_whose_bend_is_dragged() {
    let mut plan = sketch();
    let edit = plan::move_point(&plan, id(&plan, "M1"), 1, p(100.0, -30.0)).unwrap();
    plan.apply(&edit).unwrap();
    for (branch, main) in [("L1", "M1"), ("L2", "M1"), ("L3", "L1")] {
        let end = line(&plan, branch).downstream_end().unwrap();
        let (_, _, away) = nearest_on(&line(&plan, main).points, end).unwrap();
        assert!(away < 1e-9, "{branch} lies {away} m off {main}");
    }
    assert_eq!(line(&plan, "L1").points[0], p(50.0, -15.0));
}

#[test]
fn a_moved_outlet_takes_the_end_of_its_main_along() {
    let mut plan = sketch();
    let outlet = *plan.outlets.keys().next().unwrap();
    let edit = plan::move_outlet(&plan, outlet, p(-10.0, 5.0)).unwrap();
    plan.apply(&edit).unwrap();
    assert_eq!(line(&plan, "M1").points[0], p(-10.0, 5.0));
}

#[test]
fn deleting_a_main_leaves_its_laterals_without_a_joint() {
    let mut plan = sketch();
    let edit = plan::remove_line(&plan, id(&plan, "M1")).unwrap();
    plan.apply(&edit).unwrap();
    assert_eq!(line(&plan, "L1").joins, Joins::Nothing);
    assert!(plan.line_named("M1").is_none());
}

#[test]
fn fixed_levels_keep_their_place_when_a_bend_is_added_or_moved() {
    let mut plan = sketch();
    let main = id(&plan, "M1");
    plan.apply(&plan::set_pin(&plan, main, 150.0, Some((100.0, true))).unwrap()).unwrap();
    plan.apply(&plan::insert_point(&plan, main, 1, p(60.0, 0.0)).unwrap()).unwrap();
    assert_eq!(line(&plan, "M1").pins, vec![Pin { station_m: 150.0, invert_m: 100.0, straight: true }]);
    let edit = plan::move_point(&plan, main, 2, p(200.0, 100.0)).unwrap();
    plan.apply(&edit).unwrap();
    let (pin, length_m) = (line(&plan, "M1").pins[0], line(&plan, "M1").length_m());
    assert!(pin.station_m > 150.0 && pin.station_m < length_m);
}

#[test]
fn reversing_twice_keeps_the_course_and_the_fixed_levels() {
    let mut plan = sketch();
    let l1 = id(&plan, "L1");
    plan.apply(&plan::set_pin(&plan, l1, 30.0, Some((100.0, false))).unwrap()).unwrap();
    let before = line(&plan, "L1").clone();
    plan.apply(&plan::reverse(&plan, l1).unwrap()).unwrap();
    assert_eq!(line(&plan, "L1").pins[0].station_m, 50.0);
    plan.apply(&plan::reverse(&plan, l1).unwrap()).unwrap();
    assert_eq!(line(&plan, "L1").points, before.points);
    assert_eq!(line(&plan, "L1").pins, before.pins);
}

#[test]
fn a_refused_edit_leaves_no_trace() {
    let plan = sketch();
    let mut tried = plan.clone();
    let bad = plan::move_point(&plan, id(&plan, "M1"), 1, p(f64::NAN, 0.0)).unwrap();
    let error = tried.apply(&bad).unwrap_err();
    assert!(error.to_string().contains("line M1"), "{error}");
    assert_eq!(tried, plan);
    let mut loose = line(&plan, "L1").clone();
    loose.joins = Joins::Outlet(OutletId(77));
    assert!(tried.apply(&plan::set_line("x", id(&plan, "L1"), loose)).is_err());
}

#[test]
fn ids_are_never_given_twice() {
    let mut history = History::new(sketch());
    let draw = |plan: &Plan| plan::add_line(plan, Line::new("L9", LineKind::Lateral, vec![p(0.0, 9.0), p(9.0, 9.0)]));
    let (first, edit) = draw(history.plan());
    history.apply(&edit).unwrap();
    history.undo();
    let (second, _) = draw(history.plan());
    assert_ne!(first, second);
}

/// One gesture of any kind, chosen by number; coordinates are free.
fn gesture(plan: &Plan, which: u8, pick: usize, at: Point, level_m: f64) -> Option<Edit> {
    let ids: Vec<LineId> = plan.lines.keys().copied().collect();
    let id = *ids.get(pick % ids.len().max(1))?;
    let points = plan.lines[&id].points.len();
    match which {
        0 => plan::move_point(plan, id, pick % points, at),
        1 => plan::insert_point(plan, id, pick % (points + 1), at),
        2 => plan::delete_point(plan, id, pick % points),
        3 => plan::reverse(plan, id),
        4 => plan::remove_line(plan, id),
        5 => plan::set_pin(plan, id, at.x.abs(), Some((level_m, pick.is_multiple_of(2)))),
        6 => Some(plan::add_line(plan, Line::new(&plan.free_name("L"), LineKind::Lateral, vec![at, p(1.0, 1.0)])).1),
        7 => plan::move_outlet(plan, *plan.outlets.keys().next()?, at),
        8 => plan::remove_outlet(plan, *plan.outlets.keys().next()?),
        9 => plan::join(plan, id, Joins::Line(*ids.get((pick + 1) % ids.len())?)),
        10 => Some(plan::set_field(Some(vec![at, p(0.0, 0.0), p(500.0, 1.0)]))),
        _ => plan::set_pin(plan, id, at.x.abs(), None),
    }
}

proptest! {
    /// Apply, undo all, redo all: the same plan each time, to the last digit.
    #[test]
    fn undo_and_redo_give_the_same_plan(
        steps in prop::collection::vec((0u8..12, 0usize..50, -300.0..300.0f64, -300.0..300.0f64, 90.0..110.0f64), 1..30)
    ) {
        let start = Plan { next_id: 1000, ..sketch() };
        let mut history = History::new(start.clone());
        let mut done = 0;
        for (which, pick, x, y, level_m) in steps {
            if let Some(edit) = gesture(history.plan(), which, pick, p(x, y), level_m) {
                done += usize::from(history.apply(&edit).is_ok());
            }
        }
        let end = history.plan().clone();
        end.validate().unwrap();
        for _ in 0..done { prop_assert!(history.undo().is_some()); }
        prop_assert!(history.undo().is_none());
        prop_assert_eq!(&Plan { next_id: 1000, ..history.plan().clone() }, &start);
        for _ in 0..done { prop_assert!(history.redo().is_some()); }
        prop_assert_eq!(history.plan(), &end);
    }

    /// Wherever a main's bend is dragged, its laterals stay on it.
    #[test]
    fn laterals_never_leave_their_main(x in -500.0..500.0f64, y in -500.0..500.0f64, bend in 0usize..3) {
        let mut plan = sketch();
        let edit = plan::move_point(&plan, id(&plan, "M1"), bend, p(x, y)).unwrap();
        prop_assume!(plan.apply(&edit).is_ok());
        for name in ["L1", "L2"] {
            let end = line(&plan, name).downstream_end().unwrap();
            let (_, foot, _) = nearest_on(&line(&plan, "M1").points, end).unwrap();
            prop_assert!(distance(foot, end) < 1e-6);
        }
    }
}

#[test]
fn a_field_needs_three_corners() {
    let mut plan = sketch();
    assert!(plan.apply(&plan::set_field(Some(vec![p(0.0, 0.0), p(1.0, 1.0)]))).is_err());
    plan.apply(&plan::set_field(Some(vec![p(0.0, 0.0), p(1.0, 1.0), p(0.0, 1.0)]))).unwrap();
    assert_eq!(plan.field.as_ref().map(|field: &Field| field.ring.len()), Some(3));
}
