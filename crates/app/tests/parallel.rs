//! Parallel laterals in the window: taken off a main, turned, spaced, laid and taken back.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{self, click, press, screen};
use app::command::ToolKind;
use app::desk::Desk;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Session;
use land::{Land, Laying};
use measure::{FOOT_M, Point, Units};
use plan::{
    Field, Joins, Landmark, LandmarkId, LandmarkKind, Line, LineId, LineKind, Outlet, OutletId, Outline, Pattern,
    Plan, Rows,
};
use terrain::{Grid, Ground};

/// A plane that falls to the south, 300 × 200 m.
fn land() -> Land {
    let levels = (0..100).flat_map(|row| (0..150).map(move |_| 100.0 + 0.01 * (200 - 2 * row) as f32));
    let grid = Grid::new((150, 100), (0.0, 200.0), (2.0, 2.0), levels.collect()).unwrap();
    Land::of(Ground::from_grid(grid), measure::LengthUnit::Metre, &Laying::PLAIN).unwrap()
}

/// A field of 240 × 140 m over a main along its south side; rows 9 ft apart that run north, where wanted.
fn plan(units: Units, rows: bool) -> Plan {
    let mut plan = Plan::new("Ellowby \"Block\"", units);
    let ring = [(30.0, 30.0), (30.0, 170.0), (270.0, 170.0), (270.0, 30.0)].map(|(x, y)| Point::new(x, y)).to_vec();
    plan.outlets.insert(OutletId(1), Outlet::new("O1", Point::new(20.0, 35.0), 98.0));
    let mut main = Line::new("M1", LineKind::Main, vec![Point::new(20.0, 35.0), Point::new(265.0, 35.0)]);
    main.joins = Joins::Outlet(OutletId(1));
    plan.lines.insert(LineId(2), main);
    if rows {
        let block = Landmark {
            name: "B1".into(),
            kind: LandmarkKind::Rows(Rows::default()),
            outline: Outline::Around(ring.clone()),
            note: String::new(),
        };
        plan.landmarks.insert(LandmarkId(3), block);
    }
    plan.field = Some(Field { ring, holes: Vec::new() });
    plan.next_id = 4;
    plan
}

fn harness(plan: Plan) -> Harness<'static, Desk> {
    hand::on_desk(Session::new(plan, None, land()), 1280.0, 860.0)
}

fn drag(harness: &mut Harness<'_, Desk>, from: (f64, f64), to: (f64, f64)) {
    let [from, to] = [from, to].map(|(x, y)| screen(harness, Point::new(x, y)));
    harness.hover_at(from);
    harness.run_steps(1);
    harness.drag_at(from);
    harness.run_steps(1);
    for share in [0.3, 0.7, 1.0] {
        harness.hover_at(from + (to - from) * share);
        harness.run_steps(1);
    }
    harness.drop_at(to);
    harness.run_steps(2);
}

fn laterals(harness: &Harness<'_, Desk>) -> usize {
    let lines = harness.state().session.plan().lines.values();
    lines.filter(|line| line.pattern == Pattern::Parallel && line.joins == Joins::Line(LineId(2))).count()
}

/// The key takes the tool, a click the main; fields and a drag change spacing and bearing, Enter lays them, one undo takes
/// them back. In feet without rows, in metres with rows.
#[test]
fn a_grid_is_laid_in_one_step() {
    for (units, rows) in [(Units::Feet, false), (Units::Metric, true)] {
        let mut harness = harness(plan(units, rows));
        press(&mut harness, Key::G);
        assert_eq!(harness.state().tool.kind(), ToolKind::Parallel);
        click(&mut harness, Point::new(150.0, 35.0));
        let spacing_m = harness.state().view.grid.as_ref().unwrap().spacing_m;
        assert_eq!(laterals(&harness), 0, "only shown");
        assert!(harness.state().session.in_gesture());
        // The first lateral beside the one through the click, drawn twice as far off.
        drag(&mut harness, (150.0 + spacing_m, 100.0), (150.0 + 0.5 * spacing_m, 100.0));
        let grid = harness.state().view.grid.clone().unwrap();
        assert!(grid.spacing_m < 0.8 * spacing_m, "{} from {spacing_m}", grid.spacing_m);
        let count = grid.spacing_m / (9.0 * FOOT_M);
        assert!(!rows || (count - count.round()).abs() < 1e-9, "whole rows: {count}");
        press(&mut harness, Key::Enter);
        let laid = laterals(&harness);
        assert!(laid > 5, "{laid}");
        assert!(harness.state().view.grid.is_none() && !harness.state().session.in_gesture());
        harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        harness.run_steps(3);
        assert_eq!(laterals(&harness), 0, "one step back");
    }
}

/// A drag from the main turns them; the card tells their number; Escape leaves no trace.
#[test]
fn laterals_turn_under_the_hand_and_escape_leaves_no_trace() {
    let mut harness = harness(plan(Units::Feet, false));
    let before = harness.state().session.plan().clone();
    press(&mut harness, Key::G);
    harness.get_by_label("Off M1").click();
    harness.run_steps(3);
    drag(&mut harness, (140.0, 35.0), (190.0, 35.0 + 50.0 * 3.0f64.sqrt()));
    let bearing_deg = harness.state().view.grid.as_ref().unwrap().bearing_deg;
    assert!((bearing_deg - 30.0).abs() <= 1.0 && bearing_deg.fract() == 0.0, "{bearing_deg}");
    harness.get_by_label_contains(" of pipe, ");
    harness.get_by_label("To both sides of the main").click();
    harness.run_steps(3);
    assert!(harness.state().view.grid.as_ref().unwrap().both_sides);
    press(&mut harness, Key::Escape);
    assert!(harness.state().view.grid.is_none());
    assert_eq!(*harness.state().session.plan(), before);
    assert!(!harness.state().session.in_gesture());
    press(&mut harness, Key::Escape);
    assert_eq!(harness.state().tool.kind(), ToolKind::Select);
}

/// Another tool taken while a grid is shown drops it; what makes no grid is told in the card and cannot be laid.
#[test]
fn a_grid_that_was_not_laid_is_dropped() {
    let mut harness = harness(plan(Units::Feet, false));
    press(&mut harness, Key::G);
    harness.get_by_label("Off M1").click();
    harness.run_steps(3);
    harness.get_by_label("Turn round").click();
    harness.run_steps(3);
    harness.get_by_label_contains("no lateral fits between the main and the edge");
    press(&mut harness, Key::Enter);
    assert_eq!(laterals(&harness), 0);
    press(&mut harness, Key::G);
    harness.get_by_label("Off M1").click();
    harness.run_steps(3);
    press(&mut harness, Key::V);
    assert!(harness.state().view.grid.is_none() && !harness.state().session.in_gesture());
}
