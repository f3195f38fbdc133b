//! The window by its accessible labels: draw, drag, undo, open a bad file, click a finding.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use app::desk::{Desk, Habits};
use app::land::Land;
use app::session::Session;
use app::tools::Tool;
use app::view::Selection;
use egui::{Key, Modifiers, Pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use exchange::Crs;
use measure::{Point, Units};
use plan::{Joins, LineKind, Outlet, Plan};
use terrain::{Grid, Ground};

/// A plane that falls to the south, 300 × 200 m.
fn land() -> Land {
    let levels =
        (0..100).flat_map(|row| (0..150).map(move |col| 100.0 + 0.03 * (200 - 2 * row) as f32 + 0.001 * col as f32));
    let grid = Grid::new((150, 100), (0.0, 200.0), (2.0, 2.0), levels.collect()).unwrap();
    Land::of(Ground::from_grid(grid), Crs::parse("local").unwrap(), Vec::new())
}

fn harness(plan: Plan) -> Harness<'static, Desk> {
    let desk = Desk::new(Session::new(plan, None, Some(land())), Habits::default());
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 860.0))
        .with_max_steps(40)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
    harness.run_steps(4);
    harness
}

/// Where a place of the plan is on the screen.
fn screen(harness: &Harness<'_, Desk>, at: Point) -> Pos2 {
    let rect = harness.get_by_label("Map").rect();
    app::canvas::Lens { camera: harness.state().view.camera, rect }.to_screen(at)
}

fn click(harness: &mut Harness<'_, Desk>, at: Point) {
    let at = screen(harness, at);
    harness.hover_at(at);
    harness.run_steps(1);
    harness.drag_at(at);
    harness.run_steps(1);
    harness.drop_at(at);
    // Longer than a double click, so that the next click is one of its own.
    harness.run_steps(30);
}

fn drag(harness: &mut Harness<'_, Desk>, from: Pos2, to: Pos2) {
    harness.hover_at(from);
    harness.run_steps(1);
    harness.drag_at(from);
    harness.run_steps(1);
    harness.hover_at(from + (to - from) * 0.5);
    harness.run_steps(1);
    harness.hover_at(to);
    harness.run_steps(1);
    harness.drop_at(to);
    harness.run_steps(2);
}

fn press(harness: &mut Harness<'_, Desk>, key: Key) {
    harness.key_press(key);
    harness.run_steps(2);
}

fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

fn with_outlet() -> Plan {
    let mut plan = Plan::new("Test field", Units::Feet);
    plan.apply(&plan::place_outlet(&plan, Outlet::new("O1", p(20.0, 10.0), 99.3)).1).unwrap();
    plan
}

fn with_main() -> Plan {
    let mut plan = with_outlet();
    let outlet = *plan.outlets.keys().next().unwrap();
    let main = plan::Line {
        joins: Joins::Outlet(outlet),
        ..plan::Line::new("M1", LineKind::Main, vec![p(20.0, 10.0), p(150.0, 30.0), p(270.0, 40.0)])
    };
    plan.apply(&plan::add_line(&plan, main).1).unwrap();
    plan
}

#[test]
fn a_boundary_is_drawn_corner_by_corner() {
    let mut harness = harness(Plan::new("Test field", Units::Feet));
    harness.get_by_label("Boundary").click();
    harness.run_steps(2);
    for at in [p(30.0, 30.0), p(270.0, 30.0), p(270.0, 170.0), p(30.0, 170.0)] {
        click(&mut harness, at);
    }
    press(&mut harness, Key::Enter);
    let field = harness.state().session.plan().field.clone().expect("a boundary");
    assert_eq!(field.ring.len(), 4);
    assert!(measure::distance(field.ring[2], p(270.0, 170.0)) < 0.5);
    assert_eq!(harness.state().session.history().undo_label(), Some("Draw the boundary"));
}

#[test]
fn an_outlet_a_main_and_a_lateral_are_drawn_and_join() {
    let mut harness = harness(Plan::new("Test field", Units::Feet));
    harness.get_by_label("Outlet").click();
    harness.run_steps(2);
    click(&mut harness, p(20.0, 10.0));
    assert_eq!(harness.state().session.plan().outlets.len(), 1);
    press(&mut harness, Key::M);
    for at in [p(20.0, 10.0), p(150.0, 30.0), p(270.0, 40.0)] {
        click(&mut harness, at);
    }
    press(&mut harness, Key::Enter);
    press(&mut harness, Key::L);
    click(&mut harness, p(150.0, 30.0));
    click(&mut harness, p(150.0, 150.0));
    press(&mut harness, Key::Enter);
    let plan = harness.state().session.plan();
    let (main, lateral) = (plan.line_named("M1").unwrap(), plan.line_named("L1").unwrap());
    assert!(matches!(plan.lines[&main].joins, Joins::Outlet(_)));
    assert_eq!(plan.lines[&lateral].joins, Joins::Line(main));
    assert!(harness.state().session.derived().design.lines[&lateral].reaches_outlet);
}

#[test]
fn escape_leaves_no_trace_and_backspace_takes_a_point_back() {
    let mut harness = harness(with_main());
    let before = harness.state().session.plan().clone();
    press(&mut harness, Key::L);
    click(&mut harness, p(60.0, 60.0));
    click(&mut harness, p(90.0, 120.0));
    press(&mut harness, Key::Backspace);
    assert_eq!(harness.state().tool.sketch().path.len(), 2, "one click and the pointer");
    press(&mut harness, Key::Escape);
    press(&mut harness, Key::Escape);
    assert!(matches!(harness.state().tool, Tool::Select(_)));
    assert_eq!(harness.state().session.plan(), &before);
    assert!(!harness.state().session.history().is_unsaved());
}

#[test]
fn a_dragged_bend_changes_the_length_and_undo_takes_it_back() {
    let mut harness = harness(with_main());
    harness.get_by_label("Line M1").click();
    harness.run_steps(3);
    let main = harness.state().session.plan().line_named("M1").unwrap();
    assert_eq!(harness.state().view.selection, Selection::Line(main));
    let before = harness.state().session.plan().lines[&main].length_m();
    let from = harness.get_by_label("Bend 2 of M1").rect().center();
    let to = screen(&harness, p(150.0, 120.0));
    drag(&mut harness, from, to);
    let after = harness.state().session.plan().lines[&main].length_m();
    assert!(after > before + 50.0, "{before} then {after}");
    let shown = Units::Feet.length(after);
    assert!(harness.query_all_by_label(&shown).next().is_some(), "the card shows {shown}");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    harness.run_steps(2);
    assert_eq!(harness.state().session.plan().lines[&main].length_m(), before);
    harness.get_by_label("Redo").click();
    harness.run_steps(2);
    assert_eq!(harness.state().session.plan().lines[&main].length_m(), after);
}

/// Drawn by keys and clicks, renamed in its card, taken back by undo; the runoff follows each time.
#[test]
fn a_ditch_is_drawn_and_the_runoff_follows() {
    let mut harness = harness(Plan::new("Test field", Units::Feet));
    let before = harness.state().session.runoff().unwrap().clone();
    harness.get_by_label("Ditch").click();
    harness.run_steps(2);
    click(&mut harness, p(60.0, 150.0));
    click(&mut harness, p(240.0, 150.0));
    press(&mut harness, Key::Enter);
    let (id, ditch) =
        harness.state().session.plan().watercourses.iter().next().map(|(i, d)| (*i, d.clone())).unwrap();
    assert_eq!((ditch.name.as_str(), ditch.points.len()), ("D1", 2));
    assert_eq!(harness.state().view.selection, Selection::Watercourse(id));
    assert!(harness.state().session.runoff().unwrap().honours([&ditch].into_iter()));
    harness.get_by_label("Delete ditch").click();
    harness.run_steps(2);
    assert!(harness.state().session.plan().watercourses.is_empty());
    assert!(std::sync::Arc::ptr_eq(&before, harness.state().session.runoff().unwrap()));
    harness.state_mut().session.undo();
    assert_eq!(harness.state().session.plan().watercourses[&id], ditch);
}

#[test]
fn a_drop_is_followed_until_escape() {
    let mut harness = harness(Plan::new("Test field", Units::Feet));
    press(&mut harness, Key::W);
    click(&mut harness, p(100.0, 60.0));
    assert!(measure::distance(harness.state().view.drop.unwrap(), p(100.0, 60.0)) < 0.5);
    press(&mut harness, Key::Escape);
    assert_eq!(harness.state().view.drop, None);
    assert!(harness.state().session.history().undo_label().is_none(), "a look is no edit");
}

#[test]
fn a_section_shows_the_ground_and_escape_puts_it_away() {
    let mut harness = harness(Plan::new("Test field", Units::Feet));
    press(&mut harness, Key::P);
    click(&mut harness, p(60.0, 50.0));
    click(&mut harness, p(60.0, 150.0));
    press(&mut harness, Key::Enter);
    assert!((measure::path_length(&harness.state().view.section) - 100.0).abs() < 1.0);
    harness.get_by_label("Profile of the section");
    press(&mut harness, Key::Escape);
    harness.run_steps(2);
    assert!(harness.query_by_label("Profile of the section").is_none());
    assert!(harness.state().session.history().undo_label().is_none(), "a look is no edit");
}

#[test]
fn a_bad_file_is_told_with_place_found_and_expected() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bad.asc");
    std::fs::write(&path, "ncols 3\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3\n4 five 6\n").unwrap();
    let mut harness = harness(with_main());
    let before = harness.state().session.plan().clone();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::G);
    harness.run_steps(3);
    harness.get_by_label("Path").type_text(&path.display().to_string());
    harness.run_steps(2);
    harness.get_by_label("Open").click();
    let seen = (0..200).any(|_| {
        std::thread::sleep(std::time::Duration::from_millis(10));
        harness.run_steps(1);
        harness.query_by_label_contains("five").is_some()
    });
    assert!(seen, "the error names what was found");
    assert!(harness.query_by_label_contains("line 7").is_some(), "the error names the place");
    assert_eq!(harness.state().session.plan(), &before);
}

#[test]
fn a_clicked_finding_selects_its_line_and_goes_there() {
    let mut plan = with_main();
    let main = plan.line_named("M1").unwrap();
    plan.apply(&plan::set_pin(&plan, main, 150.0, Some((98.5, true))).unwrap()).unwrap();
    let mut harness = harness(plan);
    let finding = harness.state().session.derived().findings[0].clone();
    assert_eq!(finding.slug, "adverse-grade", "{}", finding.title);
    harness.get_by_role_and_label(egui::Role::Button, &finding.title).click();
    harness.run_steps(3);
    assert_eq!(harness.state().view.selection, Selection::Line(main));
    assert!(measure::distance(harness.state().view.camera.centre, finding.at) < 1e-9);
}

#[test]
fn a_size_typed_for_one_line_never_lands_on_another() {
    let mut plan = with_main();
    let main = plan.line_named("M1").unwrap();
    let lateral = plan::Line {
        joins: Joins::Line(main),
        ..plan::Line::new("L1", LineKind::Lateral, vec![p(150.0, 30.0), p(150.0, 150.0)])
    };
    plan.apply(&plan::add_line(&plan, lateral).1).unwrap();
    let mut harness = harness(plan);
    harness.get_by_label("Line M1").click();
    harness.run_steps(3);
    harness.get_by_label("Size").focus();
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.get_by_label("Size").type_text("8 in");
    harness.run_steps(2);
    click(&mut harness, p(150.0, 100.0));
    let plan = harness.state().session.plan();
    let lateral = plan.line_named("L1").unwrap();
    assert_eq!(harness.state().view.selection, Selection::Line(lateral));
    assert_eq!(Units::Feet.pipe(plan.lines[&lateral].size_m), "4 in");
    assert_eq!(Units::Feet.pipe(plan.lines[&main].size_m), "8 in");
}

#[test]
fn a_figure_that_cannot_be_read_stays_with_its_reason() {
    let mut harness = harness(with_main());
    harness.get_by_label("Line M1").click();
    harness.run_steps(3);
    harness.get_by_label("Size").focus();
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.get_by_label("Size").type_text("wide");
    harness.run_steps(2);
    harness.key_press(Key::Enter);
    harness.run_steps(6);
    assert!(harness.query_by_label_contains("'wide' is not a pipe size").is_some());
}

#[test]
fn undoing_the_ground_brings_the_former_ground_back() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("high.asc");
    let rows = "500 501 502\n503 504 505\n506 507 508\n";
    std::fs::write(&path, format!("ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 10\n{rows}")).unwrap();
    let mut harness = harness(with_main());
    let level = |harness: &Harness<'_, Desk>| harness.state().session.land().unwrap().ground.elevation(p(15.0, 15.0));
    let before = level(&harness);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::G);
    harness.run_steps(3);
    harness.get_by_label("Path").type_text(&path.display().to_string());
    harness.run_steps(2);
    harness.get_by_label("Open").click();
    for _ in 0..200 {
        std::thread::sleep(std::time::Duration::from_millis(5));
        harness.run_steps(1);
        if harness.state().session.plan().ground.is_some() {
            break;
        }
    }
    assert_eq!(level(&harness), Some(504.0));
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    harness.run_steps(2);
    assert_eq!(harness.state().session.plan().ground, None);
    assert_eq!(level(&harness), before);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Y);
    harness.run_steps(2);
    assert_eq!(level(&harness), Some(504.0));
}

#[test]
fn a_plan_saved_in_another_folder_still_finds_its_ground() {
    let (here, there) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let session = app::files::demo_session(app::demo::first_plan()).unwrap();
    let first = here.path().join("a.drain");
    app::files::save(session.plan(), &first).unwrap();
    // A name of its own, so that the ground built into the program cannot stand in for it.
    let text = std::fs::read_to_string(&first).unwrap().replace("larkmoor-bench.asc", "own.asc");
    std::fs::rename(here.path().join("larkmoor-bench.asc"), here.path().join("own.asc")).unwrap();
    std::fs::write(&first, text).unwrap();
    let opened = app::files::open(&first).unwrap();
    assert!(opened.told.is_none());
    let second = there.path().join("b.drain");
    app::files::save(opened.session.plan(), &second).unwrap();
    let again = app::files::open(&second).unwrap();
    assert_eq!(again.told, None);
    assert!(again.session.land().is_some());
    // Saved where the ground lies, the plan names it by its bare name.
    app::files::save(again.session.plan(), &first).unwrap();
    assert_eq!(exchange::read_plan(&first).unwrap().ground.unwrap().file, "own.asc");
}

#[test]
fn every_stage_and_theme_shows_without_a_nameless_widget() {
    let mut harness = harness(with_main());
    for _ in 0..2 {
        for stage in ["1  Ground", "2  Lines", "3  Grade", "4  Dig"] {
            harness.get_by_label(stage).click();
            harness.run_steps(2);
        }
        harness.key_press_modifiers(Modifiers::COMMAND, Key::D);
        harness.key_press_modifiers(Modifiers::COMMAND, Key::U);
        harness.run_steps(2);
    }
}
