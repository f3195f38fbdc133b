//! The window by its accessible labels: draw, drag, undo, open a bad file, click a finding.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{click, opened, screen};
use app::desk::{Desk, Habits};
use app::tools::Tool;
use app::view::Selection;
use egui::{Key, Modifiers, Pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Progress;
use job::Session;
use land::{Land, Laying};
use measure::{LengthUnit, Point, Units};
use plan::{Joins, LineKind, ObjectId, Outlet, Plan, Signature};
use terrain::{Grid, Ground};

/// A plane that falls to the south, 300 × 200 m.
fn land() -> Land {
    let levels =
        (0..100).flat_map(|row| (0..150).map(move |col| 100.0 + 0.03 * (200 - 2 * row) as f32 + 0.001 * col as f32));
    let grid = Grid::new((150, 100), (0.0, 200.0), (2.0, 2.0), levels.collect()).unwrap();
    let ground = Ground::from_grid(grid);
    Land::of(ground, measure::LengthUnit::Metre, &Laying::PLAIN).unwrap()
}

fn harness(plan: Plan) -> Harness<'static, Desk> {
    harness_with(plan, Habits::default())
}

fn harness_with(plan: Plan, habits: Habits) -> Harness<'static, Desk> {
    let desk = Desk::new(Session::new(plan, None, land()), habits);
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 860.0))
        .with_max_steps(40)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
    harness.run_steps(4);
    harness
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

/// A command and a tool are found by a word, from the same tables as the menus; what cannot be used now is not offered.
#[test]
fn a_command_is_found_by_a_word() {
    let mut harness = harness(with_outlet());
    let find = |harness: &mut Harness<'_, Desk>, text: &str| {
        harness.key_press_modifiers(Modifiers::COMMAND, Key::K);
        harness.run_steps(4);
        harness.get_by_label("Type what you want to do").type_text(text);
        harness.run_steps(2);
    };
    find(&mut harness, "meters");
    assert!(harness.query_by_label_contains("Feet or meters").is_some());
    press(&mut harness, Key::Enter);
    assert!(harness.state().session.plan().title.units.is_metric() && harness.state().dialog.is_none());
    find(&mut harness, "lateral swale");
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().tool.kind().name(), "Lateral");
    find(&mut harness, "hand over");
    assert!(harness.query_by_label("No command is called that.").is_some(), "there is no line yet");
    press(&mut harness, Key::Escape);
    assert!(harness.state().dialog.is_none());
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
    assert!(harness.state().session.worked().design.lines[&lateral].reaches_outlet);
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
    assert_eq!(harness.state().view.selection, Selection::of(main));
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
    let before = harness.state().session.land().water.clone().unwrap();
    harness.get_by_label("Ditch").click();
    harness.run_steps(2);
    click(&mut harness, p(60.0, 150.0));
    click(&mut harness, p(240.0, 150.0));
    press(&mut harness, Key::Enter);
    let (id, ditch) =
        harness.state().session.plan().watercourses.iter().next().map(|(i, d)| (*i, d.clone())).unwrap();
    assert_eq!((ditch.name.as_str(), ditch.points.len()), ("D1", 2));
    assert_eq!(harness.state().view.selection, Selection::of(id));
    let water = harness.state().session.land().water.clone().unwrap();
    assert_eq!(harness.state().session.land().watercourses, std::slice::from_ref(&ditch));
    let way = terrain::WaterWay { kind: terrain::WayKind::Ditch, points: ditch.points.clone() };
    let anew = terrain::Water::of(&land().grid().unwrap().burned(&[way]));
    assert_eq!(water.cells_uphill(), anew.cells_uphill(), "what is followed is what is worked out anew");
    harness.get_by_label("Delete ditch").click();
    harness.run_steps(2);
    assert!(harness.state().session.plan().watercourses.is_empty());
    assert!(std::sync::Arc::ptr_eq(&before, harness.state().session.land().water.as_ref().unwrap()));
    harness.state_mut().session.undo();
    assert_eq!(harness.state().session.plan().watercourses[&id], ditch);
}

/// The words inside a rectangle of the screen, with the room each takes; numbers alone stand in signs.
fn words_in(harness: &Harness<Desk>, within: egui::Rect) -> Vec<(String, egui::Rect)> {
    fn texts(shape: &egui::Shape, all: &mut Vec<(String, egui::Rect)>) {
        match shape {
            egui::Shape::Text(text) => all.push((text.galley.text().into(), shape.visual_bounding_rect())),
            egui::Shape::Vec(shapes) => shapes.iter().for_each(|shape| texts(shape, all)),
            _ => {}
        }
    }
    let mut all = Vec::new();
    harness.output().shapes.iter().for_each(|clipped| texts(&clipped.shape, &mut all));
    let is_word = |text: &str| text.chars().any(char::is_alphabetic);
    all.retain(|(text, rect)| within.contains_rect(*rect) && is_word(text));
    all
}

/// On the map of each demo field and in the profile of each of its lines no words lie on others.
#[test]
fn no_words_on_the_screen_lie_on_others() {
    for plan in [job::demo::first_plan(), job::demo::second_plan()] {
        let session = job::files::demo_session(plan).unwrap();
        let names: Vec<String> = session.plan().lines.values().map(|line| line.name.clone()).collect();
        let mut harness = Harness::builder()
            .with_size(egui::vec2(1280.0, 860.0))
            .with_max_steps(40)
            .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), Desk::new(session, Habits::default()));
        harness.run_steps(4);
        for name in names {
            harness.get_by_label(&format!("Line {name}")).click();
            harness.run_steps(3);
            for label in ["Map".to_string(), format!("Profile of {name}")] {
                let rect = harness.get_by_label(&label).rect();
                let words = words_in(&harness, rect);
                assert!(!words.is_empty(), "{label}");
                for (i, (text, rect)) in words.iter().enumerate() {
                    let on = words[..i].iter().find(|(_, other)| other.shrink(0.5).intersects(rect.shrink(0.5)));
                    assert!(on.is_none(), "{label}: {text:?} lies on {on:?}");
                }
            }
        }
    }
}

/// The profile in the window shows what the line passes, as the one on paper does: the water line at its level, the lane, and
/// nothing that it does not meet.
#[test]
fn the_profile_shows_what_the_line_passes() {
    let mut harness = harness(with_main());
    let plan = harness.state().session.plan().clone();
    let main = plan.line_named("M1").unwrap();
    let middle = measure::point_at(&plan.lines[&main].points, plan.lines[&main].length_m() / 2.0).unwrap();
    let across = |off_m: f64| {
        let at = |x: f64, y: f64| Point::new(middle.x + off_m + x, middle.y + y);
        plan::Outline::Along(vec![at(-20.0, 60.0), at(20.0, -60.0), at(-20.0, -60.0), at(20.0, 60.0)])
    };
    let water = plan::Utility { carries: plan::Carries::Water, depth_m: Some(0.6), ..plan::Utility::default() };
    for (name, off_m, kind) in
        [("W7", 0.0, plan::LandmarkKind::Utility(water)), ("far off", 5000.0, plan::LandmarkKind::Hedge)]
    {
        let mark = plan::Landmark { name: name.into(), kind, outline: across(off_m), note: String::new() };
        let (_, edit) = plan::add_landmark(harness.state().session.plan(), mark);
        harness.state_mut().session.edit(&edit).unwrap();
    }
    harness.get_by_label("Line M1").click();
    harness.run_steps(3);
    let profile = harness.get_by_label("Profile of M1").rect();
    let written: Vec<String> = words_in(&harness, profile).into_iter().map(|(text, _)| text).collect();
    assert!(written.iter().any(|text| text == "water line W7"), "{written:?}");
    assert!(!written.iter().any(|text| text == "hedge far off"), "{written:?}");
}

/// A station of the profile pulled down: while the button is down the design follows, let go it is one locked level, and
/// undo brings the former line back to the last digit.
#[test]
fn a_grade_break_is_pulled_and_everything_follows() {
    let mut harness = harness(with_main());
    harness.get_by_label("3  Grade").click();
    harness.run_steps(2);
    harness.get_by_label("Line M1").click();
    harness.run_steps(3);
    let main = harness.state().session.plan().line_named("M1").unwrap();
    let before = harness.state().session.worked().design.clone();
    let rect = harness.get_by_label("Profile of M1").rect();
    // The pipe's middle: found by pulling at the height where it is drawn.
    let grip = (0..40).map(|k| Pos2::new(rect.center().x, rect.top() + rect.height() * k as f32 / 40.0)).find(|at| {
        let to = *at + egui::vec2(0.0, 12.0);
        drag(&mut harness, *at, to);
        let is_pulled = !harness.state().session.plan().lines[&main].pins.is_empty();
        if is_pulled {
            harness.state_mut().session.undo();
            harness.run_steps(2);
        }
        is_pulled
    });
    let grip = grip.expect("the pipe can be taken hold of");
    assert_eq!(harness.state().session.worked().design, before);
    harness.hover_at(grip);
    harness.run_steps(1);
    harness.drag_at(grip);
    harness.run_steps(1);
    harness.hover_at(grip + egui::vec2(0.0, 8.0));
    harness.run_steps(1);
    harness.hover_at(grip + egui::vec2(0.0, 14.0));
    harness.run_steps(1);
    assert!(harness.state().session.in_gesture(), "the gesture shows before it is an edit");
    let during = &harness.state().session.worked().design;
    assert!(during.cost.dug != before.cost.dug && during.lines[&main].stations != before.lines[&main].stations);
    assert!(harness.state().session.plan().lines[&main].pins.is_empty());
    harness.drop_at(grip + egui::vec2(0.0, 14.0));
    harness.run_steps(2);
    assert_eq!(harness.state().session.plan().lines[&main].pins.len(), 1);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    harness.run_steps(2);
    assert_eq!(harness.state().session.worked().design, before);
}

/// The size follows the flow once that is chosen, and the brief's soil and water are fields of the stage.
#[test]
fn the_size_follows_the_flow() {
    let mut plan = with_main();
    let main = plan.line_named("M1").unwrap();
    plan.lines.get_mut(&main).unwrap().served = plan::Served::Area(120_000.0);
    let mut harness = harness(plan);
    harness.get_by_label("Line M1").click();
    harness.run_steps(3);
    assert!(harness.query_all_by_label_contains("% full").next().is_some(), "the card says how full it is");
    harness.get_by_label("Size").click();
    harness.run_steps(3);
    harness.get_by_label_contains("by its flow").click();
    harness.run_steps(3);
    assert_eq!(harness.state().session.plan().lines[&main].size_by, plan::SizeBy::Flow);
    // Tall enough that the whole card is in sight.
    harness.set_size(egui::vec2(1280.0, 1900.0));
    harness.run_steps(4);
    harness.get_by_label("Pipe, envelope, backfill").click();
    harness.run_steps(20);
    harness.get_by_label("Pipe is made of").click();
    harness.run_steps(4);
    harness.get_by_label("concrete").click();
    harness.run_steps(4);
    let made_of = |harness: &Harness<'_, Desk>| harness.state().session.plan().lines[&main].bed.material;
    assert_eq!(made_of(&harness), plan::Material::Concrete);
    harness.get_by_label("Pipe, envelope, backfill").click();
    harness.run_steps(20);
    harness.get_by_label("Vents, traps, inlets and boxes: 0").click();
    harness.run_steps(20);
    harness.get_by_label("Set a breather at").click();
    harness.run_steps(2);
    harness.get_by_label("Set a breather at").type_text("1+00");
    harness.run_steps(2);
    press(&mut harness, Key::Enter);
    harness.run_steps(3);
    assert_eq!(harness.state().session.plan().lines[&main].structures[0].kind, plan::StructureKind::Breather);
    let worked = &harness.state().session.worked().design.lines[&main];
    assert!(worked.fullest().unwrap().share() <= 1.0 + 1e-6);
    assert_eq!(harness.state().session.plan().lines[&main].size_by, plan::SizeBy::Flow);
    press(&mut harness, Key::Escape);
    harness.get_by_label("3  Grade").click();
    harness.run_steps(3);
    harness.get_by_label("Drainage coefficient");
    harness.get_by_label("Soil at the pipe");
    harness.get_by_label("Lock every level as it is").click();
    harness.run_steps(3);
    assert!(!harness.state().session.plan().lines[&main].pins.is_empty());
}

#[test]
fn a_drop_is_followed_until_escape() {
    let mut harness = harness(Plan::new("Test field", Units::Feet));
    press(&mut harness, Key::W);
    click(&mut harness, p(100.0, 60.0));
    assert!(measure::distance(harness.state().view.flow_path.unwrap(), p(100.0, 60.0)) < 0.5);
    press(&mut harness, Key::Escape);
    assert_eq!(harness.state().view.flow_path, None);
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
    let finding = harness.state().session.worked().findings[0].clone();
    assert_eq!(finding.slug, "adverse-grade", "{}", finding.title);
    harness.get_by_role_and_label(egui::Role::Button, &finding.title).click();
    harness.run_steps(3);
    assert_eq!(harness.state().view.selection, Selection::of(main));
    assert!(measure::distance(harness.state().view.camera.centre, finding.at) < 1e-9);
}

#[test]
fn a_figure_typed_for_one_line_never_lands_on_another() {
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
    harness.get_by_label("Roughness n").focus();
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.get_by_label("Roughness n").type_text("0.02");
    harness.run_steps(2);
    click(&mut harness, p(150.0, 100.0));
    let plan = harness.state().session.plan();
    let lateral = plan.line_named("L1").unwrap();
    assert_eq!(harness.state().view.selection, Selection::of(lateral));
    assert_eq!(plan.lines[&lateral].roughness_n, None);
    assert_eq!(plan.lines[&main].roughness_n, Some(0.02));
}

#[test]
fn a_figure_that_cannot_be_read_stays_with_its_reason() {
    let mut harness = harness(with_main());
    harness.get_by_label("Line M1").click();
    harness.run_steps(3);
    harness.get_by_label("Roughness n").focus();
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.get_by_label("Roughness n").type_text("wide");
    harness.run_steps(2);
    harness.key_press(Key::Enter);
    harness.run_steps(6);
    assert!(harness.query_by_label_contains("'wide' is no number such as 0.015").is_some());
}

#[test]
fn undoing_the_ground_brings_the_former_ground_back() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("high.asc");
    let rows = "500 501 502\n503 504 505\n506 507 508\n";
    std::fs::write(&path, format!("ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 10\n{rows}")).unwrap();
    let mut harness = harness(with_main());
    let level = |harness: &Harness<'_, Desk>| harness.state().session.ground().unwrap().elevation(p(15.0, 15.0));
    let before = level(&harness);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::G);
    harness.run_steps(3);
    harness.get_by_label("Path").type_text(&path.display().to_string());
    harness.run_steps(2);
    harness.get_by_label("Open").click();
    choose_unit(&mut harness, "Coordinates in meters");
    assert!(waits(&mut harness, |harness| harness.state().session.plan().ground.is_some()));
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
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    let first = here.path().join("a.drain");
    job::files::save(session.plan(), &first).unwrap();
    // A name of its own, so that the ground built into the program cannot stand in for it.
    let text = std::fs::read_to_string(&first).unwrap().replace("larkmoor-bench.asc", "own.asc");
    std::fs::rename(here.path().join("larkmoor-bench.asc"), here.path().join("own.asc")).unwrap();
    std::fs::write(&first, text).unwrap();
    let opened = job::files::open(&first, &Progress::default()).unwrap();
    assert!(opened.told.is_none());
    let second = there.path().join("b.drain");
    job::files::save(opened.session.plan(), &second).unwrap();
    let again = job::files::open(&second, &Progress::default()).unwrap();
    assert_eq!(again.told, None);
    assert!(again.session.ground().is_some());
    // Saved where the ground lies, the plan names it by its bare name.
    job::files::save(again.session.plan(), &first).unwrap();
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

/// Opens a ground file by its typed path; the work has begun.
fn open_ground(harness: &mut Harness<'_, Desk>, path: &std::path::Path) {
    harness.key_press_modifiers(Modifiers::COMMAND, Key::G);
    harness.run_steps(3);
    harness.get_by_label("Path").type_text(&path.display().to_string());
    harness.run_steps(2);
    harness.get_by_label("Open").click();
    harness.run_steps(2);
}

/// Steps until something holds; false when it does not within ten seconds.
fn waits(harness: &mut Harness<'_, Desk>, mut until: impl FnMut(&Harness<'_, Desk>) -> bool) -> bool {
    (0..1_000).any(|_| {
        std::thread::sleep(std::time::Duration::from_millis(10));
        harness.run_steps(1);
        until(harness)
    })
}

/// True once every finding has been tried.
fn all_tried(harness: &Harness<'_, Desk>) -> bool {
    let desk = harness.state();
    let findings = &desk.session.worked().findings;
    findings.iter().all(|finding| desk.known(finding).tried.is_some())
}

#[test]
fn long_reading_tells_its_step_and_can_be_cancelled() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("wide.asc");
    let rows = format!("{}\n", "101.25 ".repeat(1_200)).repeat(1_200);
    std::fs::write(&path, format!("ncols 1200\nnrows 1200\nxllcorner 0\nyllcorner 0\ncellsize 1\n{rows}")).unwrap();
    let mut harness = harness_with(with_main(), Habits { beside: true, ..Habits::default() });
    let before = harness.state().session.land().clone();
    open_ground(&mut harness, &path);
    assert!(waits(&mut harness, |harness| harness.query_by_label("Opening wide.asc").is_some()
        && harness.query_by_label_contains("reading").is_some()));
    harness.get_by_label("Cancel Opening wide.asc").click();
    // What is asked for is carried out at the end of a frame and seen in the next.
    harness.run_steps(3);
    assert!(harness.query_by_label_contains("Opening wide.asc").is_none());
    std::thread::sleep(std::time::Duration::from_millis(50));
    harness.run_steps(2);
    assert!(before.is_laid_as(harness.state().session.land()), "nothing was brought in");
    assert!(harness.state().dialog.is_none(), "and nothing is complained of");
}

/// A TIFF that announces 8192 × 8192 cells of 1 m and holds one tile of them, its levels 0 to 1, in the middle.
fn large_tiff() -> Vec<u8> {
    let (side, tile) = (8_192u32, 512u32);
    let pieces = (side / tile).pow(2);
    let stored = pieces / 2 + side / tile / 2;
    let tables = 8 + 2 + 11 * 12 + 4;
    let (scale, tie, data) = (tables + 8 * pieces, tables + 8 * pieces + 24, tables + 8 * pieces + 72);
    let short =
        |tag: u16, value: u16| [&tag.to_le_bytes()[..], &[3, 0, 1, 0, 0, 0], &value.to_le_bytes(), &[0, 0]].concat();
    let far = |tag: u16, kind: u8, count: u32, at: u32| {
        [&tag.to_le_bytes()[..], &[kind, 0], &count.to_le_bytes(), &at.to_le_bytes()].concat()
    };
    let mut bytes = [&b"II*\0"[..], &[8, 0, 0, 0, 11, 0]].concat();
    for (tag, value) in [(256, 8_192), (257, 8_192), (258, 32), (259, 1), (322, 512), (323, 512)] {
        bytes.extend(short(tag, value));
    }
    bytes.extend(far(324, 4, pieces, tables));
    bytes.extend(far(325, 4, pieces, tables + 4 * pieces));
    bytes.extend(short(339, 3));
    bytes.extend([far(33550, 12, 3, scale), far(33922, 12, 6, tie), vec![0; 4]].concat());
    for value in [data, tile * tile * 4] {
        bytes.extend((0..pieces).flat_map(|piece| if piece == stored { value } else { 0 }.to_le_bytes()));
    }
    bytes.extend([1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 1_000.0, 9_192.0, 0.0].iter().flat_map(|v: &f64| v.to_le_bytes()));
    let cells = tile * tile;
    bytes.extend((0..cells).flat_map(|cell| (cell as f32 / cells as f32).to_le_bytes()));
    bytes
}

/// Answers the question in what unit the coordinates of a local ground are.
fn choose_unit(harness: &mut Harness<'_, Desk>, unit: &str) {
    assert!(waits(harness, |harness| harness.query_by_label("In what unit are the coordinates?").is_some()));
    // The dialog finds its place first.
    harness.run_steps(3);
    harness.get_by_label(unit).click();
    harness.run_steps(3);
    harness.get_by_label("Read the ground").click();
    harness.run_steps(3);
}

/// A local ASCII grid says nothing of its unit: it is asked for, and plan, map and pointer are in it.
#[test]
fn the_unit_of_a_local_grid_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("local.asc");
    let row = |row: i32| (0..30).map(|col| format!("{} ", 400 + row + col)).collect::<String>();
    let rows: Vec<String> = (0..20).map(row).collect();
    let head = "ncols 30\nnrows 20\nxllcorner 6000\nyllcorner 9000\ncellsize 10\n";
    std::fs::write(&path, head.to_string() + &rows.join("\n")).unwrap();
    let mut harness = harness(Plan::new("Test field", Units::Metric));
    open_ground(&mut harness, &path);
    assert!(waits(&mut harness, |harness| harness.query_by_label("In what unit are the coordinates?").is_some()));
    harness.get_by_label("Read the ground").click();
    harness.run_steps(5);
    assert!(harness.state().session.plan().ground.is_none(), "nothing is read before a unit is chosen");
    choose_unit(&mut harness, "Coordinates in US survey feet");
    assert!(waits(&mut harness, |harness| harness.state().session.plan().ground.is_some()));
    let plan = harness.state().session.plan();
    let ground = plan.ground.clone().unwrap();
    assert_eq!((ground.horizontal_unit, ground.vertical_unit), (LengthUnit::SurveyFoot, LengthUnit::SurveyFoot));
    let (low, high) = harness.state().session.land().grid().unwrap().extent();
    let feet = [low.x, low.y, high.x, high.y].map(|metres| metres / LengthUnit::SurveyFoot.metres());
    assert!(feet.iter().zip([6000.0, 9000.0, 6300.0, 9200.0]).all(|(a, b)| (a - b).abs() < 1e-6), "{feet:?}");
}

#[test]
fn of_a_large_grid_a_part_is_asked_for_and_the_plan_keeps_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("large.tif");
    std::fs::write(&path, large_tiff()).unwrap();
    let mut harness = harness(Plan::new("Test field", Units::Metric));
    open_ground(&mut harness, &path);
    choose_unit(&mut harness, "Coordinates in meters");
    assert!(waits(&mut harness, |harness| harness.query_by_label("A large grid: which part of it?").is_some()));
    assert!(harness.query_by_label_contains("8,192 × 8,192 cells").is_some());
    assert!(harness.query_by_label("2,000 × 2,000 cells").is_some(), "the middle is offered");
    harness.get_by_label("Read this part").click();
    assert!(waits(&mut harness, |harness| harness.state().session.plan().ground.is_some()));
    let part = harness.state().session.plan().ground.clone().unwrap().part;
    assert_eq!(part, Some([4_096.0, 4_096.0, 6_096.0, 6_096.0]));
    let grid = harness.state().session.land().grid().unwrap();
    assert!((2_000..2_004).contains(&grid.cols()) && (2_000..2_004).contains(&grid.rows()));
}

/// One shot in twenty-eight on a level field of 400 is 5 ft high: too many to decide on one by one.
#[test]
fn many_shots_that_stick_out_are_left_out_by_one_button() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("levels.csv");
    let high = |i: usize| if i % 7 == 3 && (i / 20).is_multiple_of(2) { 5.0 } else { 0.0 };
    let row = |i: usize| format!("{i},{},{},{}\n", i % 20 * 50, i / 20 * 50, 100.0 + high(i));
    std::fs::write(&path, format!("name,x,y,z\n{}", (0..400).map(row).collect::<String>())).unwrap();
    let mut harness = harness(Plan::new("Test field", Units::Feet));
    open_ground(&mut harness, &path);
    // The table does not say in what unit its coordinates are, so nothing is read before somebody does.
    harness.get_by_label("Read points").click();
    harness.run_steps(3);
    assert!(harness.query_by_label("Survey points: what is what?").is_some());
    harness.get_by_label("Coordinates in meters").click();
    harness.run_steps(3);
    harness.get_by_label("Read points").click();
    assert!(waits(&mut harness, |harness| harness.state().session.plan().ground.is_some()));
    let sticking = harness.state().session.land().survey.as_ref().unwrap().outliers.len();
    assert!(sticking > 20, "{sticking}");
    harness.state_mut().view.signature =
        Signature { by: "R. Wren".into(), on: "2031-04-02".into(), ..Signature::default() };
    harness.run_steps(3);
    let button = format!("and {} more", sticking - 1);
    assert!(waits(&mut harness, |harness| harness.query_by_label_contains(&button).is_some()));
    harness.get_by_label_contains(&button).click();
    harness.run_steps(3);
    let plan = harness.state().session.plan();
    assert_eq!(plan.survey.corrections.len(), sticking);
    assert!(plan.survey.corrections.iter().all(|correction| correction.signed.by == "R. Wren"));
    assert!(harness.state().session.land().survey.as_ref().unwrap().outliers.is_empty());
}

/// The first demo field on the desk.
fn demo() -> Harness<'static, Desk> {
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    opened(Desk::new(session, Habits::default()), 1280.0, 1400.0)
}

fn push(harness: &mut Harness<'_, Desk>, label: &str) {
    harness.get_by_label(label).scroll_to_me();
    harness.run_steps(6);
    harness.get_by_label(label).click();
    harness.run_steps(4);
}

/// A finding is left with name, day and reason, and taken up again; both are one undo step.
#[test]
fn a_finding_is_accepted_by_name() {
    let mut harness = demo();
    assert!(waits(&mut harness, all_tried));
    harness.run_steps(2);
    harness.get_all_by_label("Accept it, because …").next().unwrap().click();
    harness.run_steps(4);
    harness.state_mut().view.signature =
        Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "releveled".into() };
    harness.run_steps(2);
    push(&mut harness, "Accept it");
    let left = harness.state().session.worked().findings[0].accepted.clone();
    assert_eq!(left.map(|left| left.signed.because), Some("releveled".into()));
    push(&mut harness, "Reopen it");
    assert!(harness.state().session.worked().findings[0].accepted.is_none());
    harness.state_mut().session.undo();
    assert!(harness.state().session.worked().findings[0].accepted.is_some());
}

/// A fix is looked at first: the plan is as it was until "Do it".
#[test]
fn a_fix_is_seen_before_it_is_made() {
    let mut harness = demo();
    assert!(waits(&mut harness, all_tried));
    harness.run_steps(2);
    harness.get_all_by_label("See it first").next().unwrap().click();
    harness.run_steps(4);
    assert!(harness.state().session.in_gesture());
    assert_eq!(harness.state().session.history().undo_label(), None);
    push(&mut harness, "Keep it as it is");
    assert!(!harness.state().session.in_gesture());
    // Nothing was changed, but the plan was shown otherwise: what clears it is tried anew.
    assert!(waits(&mut harness, all_tried));
    harness.run_steps(2);
    harness.get_all_by_label("See it first").next().unwrap().click();
    harness.run_steps(4);
    push(&mut harness, "Do it");
    assert!(harness.state().session.history().undo_label().is_some());
}

/// A mark is drawn as a course, gets its card, and the checks read it.
#[test]
fn a_utility_is_marked_and_found() {
    let mut harness = harness(with_main());
    harness.state_mut().tool = Tool::Mark(app::tools::DrawMark::new(
        plan::LandmarkKind::Utility(plan::Utility::default()),
        app::view::DrawnAs::Course,
    ));
    harness.run_steps(2);
    click(&mut harness, Point::new(150.0, 20.0));
    click(&mut harness, Point::new(150.0, 80.0));
    harness.key_press(Key::Enter);
    harness.run_steps(6);
    assert_eq!(harness.state().session.plan().landmarks.len(), 1);
    assert!(matches!(harness.state().view.selection, Selection::Object(ObjectId::Landmark(_))));
    harness.get_by_label("Locate ticket");
    let findings = &harness.state().session.worked().findings;
    assert!(findings.iter().any(|f| f.check == 64 || f.also.iter().any(|(check, _)| *check == 64)));
    push(&mut harness, "Delete mark");
    assert!(harness.state().session.plan().landmarks.is_empty());
}

/// Owner, date and ticket are entered by their labels, each an undo step of its own; what is no date stays in its field.
#[test]
fn the_title_block_is_entered() {
    let mut harness = demo();
    harness.state_mut().view.stage = app::view::Stage::Dig;
    harness.run_steps(4);
    push(&mut harness, "Title block");
    let mut enter = |label: &str, text: &str| {
        let field = || harness.get_by_role_and_label(egui::accesskit::Role::TextInput, label);
        field().scroll_to_me();
        harness.run_steps(6);
        harness.get_by_role_and_label(egui::accesskit::Role::TextInput, label).focus();
        harness.run_steps(2);
        harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::A);
        harness.get_by_role_and_label(egui::accesskit::Role::TextInput, label).type_text(text);
        harness.run_steps(2);
        harness.key_press(Key::Enter);
        harness.run_steps(4);
        harness.state().session.history().undo_label().map(str::to_string)
    };
    assert_eq!(enter("Owner", "Marsh Farm").as_deref(), Some("Change owner"));
    assert_eq!(enter("Locate ticket of the site", "2031-17").as_deref(), Some("Change locate ticket of the site"));
    assert_eq!(enter("Ticket holds until", "2031-04-20").as_deref(), Some("Change the last day of the ticket"));
    assert_eq!(enter("Ticket holds until", "next week").as_deref(), Some("Change the last day of the ticket"));
    let session = &mut harness.state_mut().session;
    let block = &session.plan().title.block;
    assert_eq!((block.owner.as_str(), block.ticket.as_str()), ("Marsh Farm", "2031-17"));
    assert_eq!(block.ticket_until.as_deref(), Some("2031-04-20"));
    (0..3).for_each(|_| drop(session.undo()));
    assert!(session.plan().title.block.is_empty());
}

/// A layout is put aside, the plan changes, and the two stand side by side.
#[test]
fn layouts_stand_side_by_side() {
    let mut harness = demo();
    harness.state_mut().view.stage = app::view::Stage::Dig;
    harness.state_mut().view.layout_name = "as drawn".into();
    harness.run_steps(4);
    push(&mut harness, "Put aside");
    let session = &mut harness.state_mut().session;
    let l3 = session.plan().line_named("L3").unwrap();
    let edit = plan::remove_line(session.plan(), l3).unwrap();
    session.edit(&edit).unwrap();
    harness.run_steps(4);
    harness.get_by_label("as it is now");
    push(&mut harness, "Take as drawn");
    assert!(harness.state().session.plan().line_named("L3").is_some());
    assert_eq!(harness.state().session.history().undo_label(), Some("Take the layout as drawn"));
}

/// From the Dig card to the folder: a path is typed, the folder is written beside the window.
#[test]
fn the_folder_is_handed_over() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = demo();
    harness.state_mut().view.stage = app::view::Stage::Dig;
    harness.run_steps(4);
    // One finding is to be fixed: nothing leaves until somebody answers for it.
    push(&mut harness, "Hand over…");
    let Some(app::panels::dialog::Dialog::Trouble(text)) = &harness.state().dialog else {
        panic!("it was not refused")
    };
    assert!(text.contains("1 finding blocks digging") && text.contains("L3 1+50 to 1+75"), "{text}");
    push(&mut harness, "OK");
    harness.state_mut().view.all_the_same = true;
    harness.state_mut().view.signature = signed("levels are mended on the day");
    push(&mut harness, "Hand over…");
    let path = folder.path().join("hand-over");
    harness.get_by_label("Path").type_text(&path.display().to_string());
    harness.run_steps(2);
    push(&mut harness, "Write");
    for _ in 0..600 {
        harness.run_steps(1);
        if harness.state().jobs.is_empty() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    assert!(path.join("sheets.pdf").exists() && path.join("READ-ME-FIRST.txt").exists());
    assert!(harness.state().told.as_deref().is_some_and(|told| told.starts_with("Written")));
}

fn signed(because: &str) -> Signature {
    Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: because.into() }
}

/// On the Dig card: sheets are not issued while a finding is to be fixed; all the same, by name, they are.
#[test]
fn sheets_are_issued_all_the_same_only_by_name() {
    let mut harness = demo();
    harness.state_mut().view.stage = app::view::Stage::Dig;
    harness.run_steps(4);
    push(&mut harness, "Issue revision A");
    harness.get_by_label("Not issued while these are to be fixed:");
    harness.state_mut().view.signature = signed("levels are mended on the day");
    harness.run_steps(2);
    push(&mut harness, "Issue all the same A");
    assert!(harness.state().session.plan().revisions.is_empty(), "the box is not ticked");
    push(&mut harness, "All the same, by my name: it stands on every sheet concerned");
    push(&mut harness, "Issue all the same A");
    let revision = harness.state().session.plan().revisions[0].clone();
    assert_eq!((revision.letter.as_str(), revision.signed.by.as_str()), ("A", "A. Marsh"));
    assert_eq!((revision.open.len(), revision.open[0].place.as_str()), (1, "L3 1+50 to 1+75"));
    assert_eq!(harness.state().session.history().undo_label(), Some("Issue revision A all the same"));
    harness.get_by_label("Revision A ALL THE SAME, A. Marsh, 2031-04-02");
    // What was answered for once is not asked again, and holds for these sheets only.
    assert!(!harness.state().view.all_the_same);
    push(&mut harness, "Hand over…");
    harness.get_by_label("Path");
}

/// A limit is changed with a reason; the log keeps who did it.
#[test]
fn a_limit_is_changed_with_a_reason() {
    let mut harness = demo();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::L);
    harness.run_steps(4);
    harness.state_mut().view.signature =
        Signature { by: "A. Marsh".into(), on: "2031-04-02".into(), because: "county code".into() };
    harness.run_steps(2);
    let field = harness.get_by_label("Least cover in mineral soil");
    field.focus();
    harness.run_steps(1);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(1);
    harness.get_by_label("Least cover in mineral soil").type_text("2.10 ft");
    harness.run_steps(2);
    push(&mut harness, "Change 1 limit");
    let plan = harness.state().session.plan();
    assert_eq!(plan.limit_log.len(), 1);
    assert!((plan.criteria.least_cover_m - 2.1 * measure::FOOT_M).abs() < 1e-9);
}

/// What grades a line may have is told when it is looked at, and one click keeps the steepest from end to end.
#[test]
fn one_click_gives_a_line_one_grade() {
    let mut harness = harness(with_main());
    harness.set_size(egui::vec2(1280.0, 1600.0));
    let id = *harness.state().session.plan().lines.keys().next().unwrap();
    harness.state_mut().view.selection = Selection::of(id);
    harness.run_steps(3);
    push(&mut harness, "One grade from end to end");
    harness.run_steps(20);
    assert!(harness.query_by_label_contains("may have one grade from end to end").is_some());
    let steepest = harness.get_by_label_contains("Steepest: ");
    steepest.click();
    harness.run_steps(3);
    let derived = harness.state().session.worked();
    let worked = &derived.design.lines[&id];
    assert_eq!(worked.reaches.len(), 1);
    let held = &derived.plan.lines[&id].reaches;
    assert!(
        matches!(held[..], [plan::Reach { hold: plan::Hold::Grade(grade), .. }] if (grade - worked.reaches[0].grade).abs() < 1e-9)
    );
    assert!(derived.design.clashes.is_empty());
}

/// Whatever is chosen, its card is as wide as before: the map does not jump, and nothing is cut off.
#[test]
fn no_card_is_wider_than_another() {
    let mut plan = with_main();
    let old =
        plan::Line::new("T1", LineKind::OldTile(plan::OldTile::default()), vec![p(60.0, 90.0), p(120.0, 150.0)]);
    plan.apply(&plan::add_line(&plan, old).1).unwrap();
    for kind in plan::LandmarkKind::all() {
        let outline = plan::Outline::At(p(100.0, 100.0));
        let mark = plan::Landmark { name: kind.word().into(), kind: kind.clone(), outline, note: String::new() };
        let (_, edit) = plan::add_landmark(&plan, mark);
        // Some kinds are lines or areas; their cards have the same fields.
        let _ = plan.apply(&edit);
    }
    let all: Vec<Selection> = plan.objects().map(Selection::Object).collect();
    let mut wider = Vec::new();
    for selection in all {
        // A card that was too wide once stays so: each has a window of its own.
        let mut harness = harness(plan.clone());
        let width = |harness: &Harness<'_, Desk>| harness.get_by_label("Map").rect().width();
        let before = width(&harness);
        harness.state_mut().view.selection = selection;
        harness.run_steps(4);
        let now = width(&harness);
        if now < before - 1.0 {
            wider.push(format!("{selection:?} by {}", before - now));
        }
    }
    assert!(wider.is_empty(), "{wider:?}");
}

/// A change of size is pulled along its line on the map, snapped nowhere, and taken back as one step.
#[test]
fn a_size_change_is_pulled_along_its_line() {
    let mut plan = with_main();
    let id = plan.line_named("M1").unwrap();
    let length_m = plan.lines[&id].length_m();
    let (from_m, size_m) = (length_m * 0.5, 4.0 * measure::INCH_M);
    plan.apply(&plan::set_size(&plan, id, (from_m, length_m), size_m).unwrap()).unwrap();
    let mut harness = harness(plan);
    let points = harness.state().session.plan().lines[&id].points.clone();
    let at = |share: f64| measure::point_at(&points, length_m * share).unwrap();
    let (from, to) = (screen(&harness, at(0.5)), screen(&harness, at(0.7)));
    drag(&mut harness, from, to);
    let laid = harness.state().session.plan().lines[&id].stretches[0];
    assert!((laid.from_m - length_m * 0.7).abs() < length_m * 0.02, "{laid:?}");
    assert_eq!(laid.size_m, Some(size_m));
    let worked = &harness.state().session.worked().design.lines[&id];
    let station = worked.stations.iter().find(|station| station.step_m != 0.0).unwrap();
    assert!((station.station_m - laid.from_m).abs() < 1e-3);
    assert!((station.step_m - (worked.pipe_at(0.0).size_m - size_m)).abs() < 1e-9, "crowns are level");
    harness.state_mut().session.undo();
    assert_eq!(harness.state().session.plan().lines[&id].stretches[0].from_m, from_m);
}
