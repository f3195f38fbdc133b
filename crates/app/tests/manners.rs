//! Manners of fields, panels and dialogs: what is typed is kept whole or not at all, and what was asked for is shown.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use app::desk::{Desk, Habits};
use app::view::{Selection, Stage};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use plan::LineId;

/// The first demo field on the desk.
fn demo() -> Harness<'static, Desk> {
    let session = job::files::demo_session(job::demo::first_plan()).unwrap();
    let mut harness = Harness::builder().with_size(egui::vec2(1280.0, 860.0)).with_max_steps(60).build_ui_state(
        |ui, desk: &mut Desk| desk.show(ui),
        Desk::new(session, Habits { beside: false, ..Habits::default() }),
    );
    harness.run_steps(4);
    harness
}

fn named(harness: &Harness<'_, Desk>, name: &str) -> LineId {
    harness.state().session.plan().line_named(name).unwrap()
}

fn press(harness: &mut Harness<'_, Desk>, key: Key) {
    harness.key_press(key);
    harness.run_steps(3);
}

fn type_text(harness: &mut Harness<'_, Desk>, text: &str) {
    harness.event(egui::Event::Text(text.into()));
    harness.run_steps(2);
}

/// A line is chosen, and its card's field for the name has the focus.
fn in_name_of_l1() -> Harness<'static, Desk> {
    let mut harness = demo();
    let id = named(&harness, "L1");
    harness.state_mut().view.selection = Selection::of(id);
    harness.run_steps(2);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "Name").focus();
    harness.run_steps(2);
    harness
}

/// Enter takes what was typed and stays, its text selected: what is typed next takes its place, and neither Ctrl+A nor Delete
/// reaches the map.
#[test]
fn enter_takes_what_was_typed_and_stays() {
    let mut harness = in_name_of_l1();
    let (id, count) = (named(&harness, "L1"), harness.state().session.plan().lines.len());
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    type_text(&mut harness, "West swale");
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().session.plan().lines[&id].name, "West swale");
    type_text(&mut harness, "East");
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    press(&mut harness, Key::Delete);
    type_text(&mut harness, "Middle");
    press(&mut harness, Key::Enter);
    let plan = harness.state().session.plan();
    assert_eq!((plan.lines[&id].name.as_str(), plan.lines.len()), ("Middle", count));
}

/// Escape puts back what stood there, also after an entry that was refused; the reason stands under the field till then.
#[test]
fn escape_puts_back_what_stood_there() {
    let mut harness = in_name_of_l1();
    let id = named(&harness, "L1");
    type_text(&mut harness, "other");
    press(&mut harness, Key::Escape);
    assert_eq!(harness.state().session.plan().lines[&id].name, "L1");
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "Name").focus();
    harness.run_steps(2);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    type_text(&mut harness, "   ");
    press(&mut harness, Key::Enter);
    assert!(harness.query_by_label("a name of 1 to 60 letters").is_some(), "told under the field");
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("a name of 1 to 60 letters").is_none(), "gone with Escape");
    assert_eq!(harness.state().session.plan().lines[&id].name, "L1");
}

/// Tab goes on to the next field and selects its text.
#[test]
fn tab_selects_the_text_of_the_next_field() {
    let mut harness = demo();
    let outlet = *harness.state().session.plan().outlets.keys().next().unwrap();
    harness.state_mut().view.selection = Selection::of(outlet);
    harness.run_steps(2);
    harness.get_by_role_and_label(egui::accesskit::Role::TextInput, "Name").focus();
    harness.run_steps(2);
    press(&mut harness, Key::Tab);
    type_text(&mut harness, "199.50");
    press(&mut harness, Key::Enter);
    let invert_m = harness.state().session.plan().outlets[&outlet].invert_m;
    assert!((invert_m - 199.5 * 0.3048).abs() < 1e-9, "{}", invert_m / 0.3048);
}

/// Every line is deleted only after a question, and one Undo brings them back.
#[test]
fn deleting_everything_asks() {
    let mut harness = demo();
    let count = harness.state().session.plan().lines.len();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    press(&mut harness, Key::Delete);
    assert_eq!(harness.state().session.plan().lines.len(), count);
    press(&mut harness, Key::Escape);
    assert_eq!(harness.state().session.plan().lines.len(), count);
    press(&mut harness, Key::Delete);
    harness.get_by_label(&format!("Delete all {count} lines")).click();
    harness.run_steps(3);
    assert!(harness.state().session.plan().lines.is_empty());
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    harness.run_steps(3);
    assert_eq!(harness.state().session.plan().lines.len(), count);
}

/// A stage that is chosen shows, whatever was selected.
#[test]
fn a_stage_shows_whatever_was_selected() {
    let mut harness = in_name_of_l1();
    harness.get_by_label("4  Dig").click();
    harness.run_steps(3);
    assert_eq!((harness.state().view.stage, harness.state().view.selection), (Stage::Dig, Selection::Nothing));
}

/// A finding that is clicked shows its fix at the top of the card, over the card of its line.
#[test]
fn a_clicked_finding_shows_its_fix() {
    let mut harness = demo();
    let finding = harness.state().session.worked().findings[0].clone();
    harness.get_by_label_contains("Mark 1: ").click();
    harness.run_steps(6);
    assert_eq!(harness.state().view.selection.line(), finding.about().and_then(|id| id.line()));
    let map = harness.get_by_label("Map").rect();
    let remedy = harness.get_all_by_label("See it first").next().unwrap().rect();
    assert!(remedy.min.x > map.max.x && remedy.max.y < 480.0, "in sight beside the map: {remedy:?}");
}

/// A remedy that is seen first stands beside the map, and its line is in the profile; who leaves it is where he was.
#[test]
fn a_remedy_is_seen_beside_the_map() {
    let mut harness = demo();
    harness.get_by_label_contains("Mark 1: ").click();
    harness.run_steps(6);
    let chosen = harness.state().view.selection;
    harness.get_all_by_label("See it first").next().unwrap().click();
    harness.run_steps(4);
    assert!(harness.state().session.in_gesture());
    let map = harness.get_by_label("Map").rect();
    let button = harness.get_by_label("Do it").rect();
    assert!(button.min.x > map.max.x, "the map is free: {button:?} {map:?}");
    harness.get_by_label("Leave as is").click();
    harness.run_steps(4);
    assert_eq!(harness.state().view.selection, chosen);
    assert!(!harness.state().session.in_gesture());
}

/// The panel keeps its width whatever card it shows.
#[test]
fn the_panel_keeps_its_width() {
    let mut harness = demo();
    let edge = |harness: &Harness<'_, Desk>| harness.get_by_label("Map").rect().max.x;
    let before = edge(&harness);
    let ids: Vec<LineId> = harness.state().session.plan().lines.keys().copied().collect();
    for id in ids {
        harness.state_mut().view.selection = Selection::of(id);
        harness.run_steps(3);
        assert_eq!(edge(&harness), before, "{id:?}");
    }
    for stage in Stage::ALL {
        harness.state_mut().view.selection = Selection::Nothing;
        harness.state_mut().view.stage = stage;
        harness.run_steps(3);
        assert_eq!(edge(&harness), before, "{stage:?}");
    }
}
