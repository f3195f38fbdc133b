//! What is typed instead of clicked: places by coordinates, length and bearing; prices by size; stretches of other pipe.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{self, press};
use app::desk::Desk;
use app::tools::Tool;
use app::view::{Selection, Stage};
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Session;
use land::Land;
use measure::{FOOT_M, INCH_M, Point, Units};
use plan::{Goods, Line, LineKind, Plan};

/// An empty plan without ground, in feet.
fn empty() -> Harness<'static, Desk> {
    hand::on_desk(Session::new(Plan::new("Typed", Units::Feet), None, Land::without_ground()), 1280.0, 1200.0)
}

/// A main due north, 200 ft long, chosen.
fn with_main() -> Harness<'static, Desk> {
    let mut plan = Plan::new("Typed", Units::Feet);
    let (id, edit) = plan::add_line(&plan, Line::new("M1", LineKind::Main, vec![feet(0.0, 0.0), feet(0.0, 200.0)]));
    plan.apply(&edit).unwrap();
    let mut harness = hand::on_desk(Session::new(plan, None, Land::without_ground()), 1280.0, 1600.0);
    harness.state_mut().view.selection = Selection::of(id);
    harness.run_steps(3);
    harness
}

fn feet(east: f64, north: f64) -> Point {
    Point::new(east * FOOT_M, north * FOOT_M)
}

/// Types into a field and keeps it with Enter.
fn enter(harness: &mut Harness<'_, Desk>, field: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, field).focus();
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    harness.event(egui::Event::Text(text.into()));
    harness.run_steps(2);
    press(harness, Key::Enter);
}

fn pick(harness: &mut Harness<'_, Desk>, list: &str, word: &str) {
    harness.get_by_role_and_label(Role::ComboBox, list).click();
    harness.run_steps(3);
    harness.get_by_role_and_label(Role::Button, word).click();
    harness.run_steps(3);
}

fn near(one: Point, other: Point) -> bool {
    measure::distance(one, other) < 0.002
}

/// A field of 400 by 300 ft is typed as a surveyor reads it out: 43,560 square feet to the acre, 2.75 acres.
#[test]
fn a_boundary_is_typed_as_a_traverse_and_shows_its_area() {
    let mut harness = empty();
    harness.state_mut().tool = Tool::of(app::command::ToolKind::Boundary);
    harness.run_steps(2);
    enter(&mut harness, "First point", "1000, 2000");
    for leg in ["400 ft N0E", "300 ft N90°E", "400 ft at 180"] {
        enter(&mut harness, "Next point", leg);
    }
    assert!(harness.query_all_by_label_contains("area 2.75 ac").next().is_some());
    harness.get_by_label("End here").click();
    harness.run_steps(4);
    let ring = harness.state().session.plan().field.clone().unwrap().ring;
    let corners = [feet(1000.0, 2000.0), feet(1000.0, 2400.0), feet(1300.0, 2400.0), feet(1300.0, 2000.0)];
    assert!(ring.iter().zip(corners).all(|(one, other)| near(*one, other)), "{ring:?}");
    assert_eq!(harness.state().view.selection, Selection::Field);
    harness.get_by_label("2.75 ac");
}

/// A place that cannot be read stays with its reason, and nothing is drawn; Escape takes both away.
#[test]
fn a_place_that_cannot_be_read_is_told() {
    let mut harness = empty();
    harness.state_mut().tool = Tool::of(app::command::ToolKind::Line(LineKind::Main));
    harness.run_steps(2);
    enter(&mut harness, "First point", "over there");
    harness.get_by_label_contains("'over there' is not a place");
    assert!(harness.state().tool.points().is_empty());
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label_contains("is not a place").is_none());
    enter(&mut harness, "First point", "20 N35E");
    harness.get_by_label_contains("lead on from a place");
}

/// Main, outlet, ditch and mark are drawn by what is typed alone.
#[test]
fn line_outlet_ditch_and_mark_are_typed() {
    let mut harness = empty();
    harness.state_mut().tool = Tool::of(app::command::ToolKind::Outlet);
    harness.run_steps(2);
    enter(&mut harness, "First point", "E 10  N 20");
    let outlet = harness.state().session.plan().outlets.values().next().cloned().unwrap();
    assert!(near(outlet.at, feet(10.0, 20.0)));
    harness.state_mut().tool = Tool::of(app::command::ToolKind::Line(LineKind::Main));
    harness.run_steps(2);
    enter(&mut harness, "First point", "10, 20");
    enter(&mut harness, "Next point", "+30, 40");
    harness.get_by_label_contains("2 points at 40.00, 60.00, 50 ft");
    harness.get_by_label("End here").click();
    harness.run_steps(4);
    let plan = harness.state().session.plan();
    let main = plan.lines.values().next().unwrap();
    assert!((main.length_m() - 50.0 * FOOT_M).abs() < 1e-6);
    assert_eq!(main.joins, plan::Joins::Outlet(*plan.outlets.keys().next().unwrap()));
    harness.state_mut().tool = Tool::of(app::command::ToolKind::Watercourse(plan::WatercourseKind::Ditch));
    harness.run_steps(2);
    enter(&mut harness, "First point", "M1 0+25 left 5");
    enter(&mut harness, "Next point", "10 at 90");
    harness.get_by_label("End here").click();
    harness.run_steps(4);
    let ditch = harness.state().session.plan().watercourses.values().next().cloned().unwrap();
    // Half way along 10, 20 to 40, 60, and 5 ft to the left of it: (25, 40) less 5 times (4, -3) / 5.
    assert!(near(ditch.points[0], feet(21.0, 43.0)), "{:?}", ditch.points);
    let trees = plan::LandmarkKind::Trees { species: String::new(), thirsty: false };
    harness.state_mut().tool = Tool::Mark(app::tools::DrawMark::new(trees, app::view::DrawnAs::Place));
    harness.run_steps(2);
    enter(&mut harness, "First point", "5, 5");
    let mark = harness.state().session.plan().landmarks.values().next().cloned().unwrap();
    assert!(near(mark.outline.points()[0], feet(5.0, 5.0)));
}

/// A chosen bend is moved by what is typed, one undo step; its neighbours stay.
#[test]
fn a_chosen_bend_is_moved_by_coordinates() {
    let mut harness = with_main();
    let id = harness.state().session.plan().line_named("M1").unwrap();
    harness.state_mut().view.selection = Selection::Bend(id, 1);
    harness.run_steps(3);
    enter(&mut harness, "Bend 2 at", "100 ft N90E");
    let points = harness.state().session.plan().lines[&id].points.clone();
    assert!(near(points[1], feet(100.0, 0.0)) && near(points[0], feet(0.0, 0.0)), "{points:?}");
    harness.state_mut().session.undo();
    harness.run_steps(2);
    harness.get_by_label("Coordinates, lengths and bearings").click();
    harness.run_steps(20);
    harness.get_by_label("on 200.0 ft N0°00'E");
    enter(&mut harness, "Bend 1", "0, 50");
    assert!(near(harness.state().session.plan().lines[&id].points[0], feet(0.0, 50.0)));
}

/// A stretch from station to station gets its size from the list of stock sizes.
#[test]
fn a_stretch_is_laid_in_a_size_from_stock() {
    let mut harness = with_main();
    let id = harness.state().session.plan().line_named("M1").unwrap();
    harness.get_by_label("Pipe, envelope, backfill").click();
    harness.run_steps(20);
    enter(&mut harness, "From station", "0+50");
    enter(&mut harness, "To station", "9+50");
    harness.get_by_label("a station up to 2+00");
    press(&mut harness, Key::Escape);
    enter(&mut harness, "To station", "1+50");
    pick(&mut harness, "Size of the stretch", "8 in");
    harness.get_by_label("Lay it from 0+50 to 1+50").click();
    harness.run_steps(4);
    let stretch = harness.state().session.plan().lines[&id].stretches[0];
    let station = |m: f64| (m / FOOT_M).round();
    assert_eq!((station(stretch.from_m), station(stretch.to_m)), (50.0, 150.0));
    assert!((stretch.size_m.unwrap() - 8.0 * INCH_M).abs() < 1e-9);
}

/// A column pasted into the first size goes on into the sizes below; an empty price is taken away, a missing one told.
#[test]
fn prices_are_typed_by_size() {
    let mut harness = with_main();
    harness.state_mut().view.selection = Selection::Nothing;
    harness.state_mut().view.stage = Stage::Dig;
    harness.run_steps(4);
    harness.get_by_label_contains("no price and count as nothing in the sums");
    enter(&mut harness, "perforated pipe 3 in", "0.55 0.75 $1.10");
    let price = |harness: &Harness<'_, Desk>, inches: f64| {
        let row =
            harness.state().session.plan().price_list.row(Goods::Perforated, Some(inches * INCH_M), None).copied();
        row.map(|row| (row.price * FOOT_M * 100.0).round() / 100.0)
    };
    assert_eq!([3.0, 4.0, 5.0, 6.0].map(|inches| price(&harness, inches)), [Some(0.55), Some(0.75), Some(1.1), None]);
    // With an empty cell, with words, or longer than the sizes below: no price lands on a size it was not meant for.
    for column in ["1 2  4", "1 2 n/a 4", "12.50 per 100 ft", "1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20"] {
        enter(&mut harness, "perforated pipe 3 in", column);
        assert_eq!(
            [3.0, 4.0, 5.0, 6.0].map(|inches| price(&harness, inches)),
            [Some(0.55), Some(0.75), Some(1.1), None]
        );
        press(&mut harness, Key::Escape);
    }
    enter(&mut harness, "perforated pipe 4 in, roll", "250");
    let row = *harness.state().session.plan().price_list.row(Goods::Perforated, Some(4.0 * INCH_M), None).unwrap();
    assert!((row.pack_m.unwrap() - 250.0 * FOOT_M).abs() < 1e-9);
    enter(&mut harness, "perforated pipe 5 in", "cheap");
    harness.get_by_label("'cheap' is no price such as 12.50");
    press(&mut harness, Key::Escape);
    enter(&mut harness, "perforated pipe 3 in", " ");
    assert_eq!(price(&harness, 3.0), None);
    enter(&mut harness, "end cap 6 in", "4.00");
    let cap = harness.state().session.plan().price_list.rows.iter().find(|row| row.goods == Goods::Cap).copied();
    assert_eq!(cap.map(|row| row.price), Some(4.0));
    assert_eq!(harness.state().session.history().undo_label(), Some("Change the price list"));
}
