//! Everything without a mouse: drawing, dragging, walking over what is on the map, and the list of all keys.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{self, press, screen};
use app::command::{COMMANDS, Command, HAND_KEYS, ToolKind, tools};
use app::desk::{Desk, Habits};
use app::view::Selection;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use job::settings::Settings;
use measure::Point;
use plan::{Joins, LineId};

fn demo() -> Harness<'static, Desk> {
    hand::demo(860.0)
}

fn with(harness: &mut Harness<'_, Desk>, modifiers: Modifiers, key: Key) {
    harness.key_press_modifiers(modifiers, key);
    harness.run_steps(3);
}

fn id(harness: &Harness<'_, Desk>, name: &str) -> LineId {
    harness.state().session.plan().line_named(name).unwrap()
}

/// Takes the pointer of the keyboard to a place of the plan by arrow keys alone, as near as they come.
fn go(harness: &mut Harness<'_, Desk>, to: Point) {
    for _ in 0..200 {
        let aim = harness.state().view.aim.map_or(harness.state().view.camera.centre, |aim| aim.at);
        let way = screen(harness, to) - screen(harness, aim);
        let key = match (way.x, way.y) {
            (x, y) if x.abs().max(y.abs()) <= 4.0 => return,
            (x, y) if x.abs() >= y.abs() => [Key::ArrowLeft, Key::ArrowRight][usize::from(x > 0.0)],
            (_, y) => [Key::ArrowUp, Key::ArrowDown][usize::from(y > 0.0)],
        };
        let far = way.x.abs().max(way.y.abs()) > 40.0;
        harness.key_press_modifiers(if far { Modifiers::SHIFT } else { Modifiers::NONE }, key);
        harness.run_steps(1);
    }
    panic!("the arrow keys do not come to {to:?}");
}

/// A lateral is drawn off the main, snapped to it as a click would be: Space places the first point, Enter the next where the
/// pointer was moved to, and Enter once more ends it.
#[test]
fn a_lateral_is_drawn_without_a_mouse() {
    let mut harness = demo();
    let (main, count) = (id(&harness, "M1"), harness.state().session.plan().lines.len());
    let line = &harness.state().session.plan().lines[&main];
    let on = measure::point_at(&line.points, line.length_m() * 0.3).unwrap();
    press(&mut harness, Key::L);
    go(&mut harness, on);
    press(&mut harness, Key::Space);
    go(&mut harness, Point::new(on.x + 15.0, on.y + 40.0));
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().session.plan().lines.len(), count, "one point more, and the line goes on");
    press(&mut harness, Key::Enter);
    let plan = harness.state().session.plan();
    assert_eq!(plan.lines.len(), count + 1);
    let (_, drawn) = plan.lines.last_key_value().unwrap();
    assert_eq!((drawn.joins, drawn.points.len()), (Joins::Line(main), 2));
    let foot = measure::nearest_on(&plan.lines[&main].points, drawn.points[0]).unwrap();
    assert!(foot.2 < 1e-6, "it begins {} m beside the main", foot.2);
}

/// Every tool that draws hears the arrow keys, Space, Backspace and Escape.
#[test]
fn every_tool_that_draws_hears_the_keys() {
    let mut harness = demo();
    let draws = |tool: &ToolKind| {
        matches!(tool, ToolKind::Boundary | ToolKind::Line(_) | ToolKind::Watercourse(_) | ToolKind::Section)
    };
    for (tool, key, _) in tools().into_iter().filter(|(tool, _, _)| draws(tool)) {
        press(&mut harness, key);
        assert_eq!(harness.state().tool.kind().name(), tool.name());
        for way in [Key::ArrowRight, Key::ArrowUp, Key::ArrowRight] {
            with(&mut harness, Modifiers::SHIFT, way);
            press(&mut harness, Key::Space);
        }
        let drawn = |harness: &Harness<'_, Desk>| harness.state().tool.sketch().path.len();
        assert_eq!(drawn(&harness), 4, "{}: three points and the pointer", tool.name());
        press(&mut harness, Key::Backspace);
        assert_eq!(drawn(&harness), 3, "{}: Backspace takes one back", tool.name());
        press(&mut harness, Key::Escape);
        assert!(drawn(&harness) <= 1, "{}: Escape leaves no trace", tool.name());
    }
    press(&mut harness, Key::O);
    with(&mut harness, Modifiers::SHIFT, Key::ArrowDown);
    let outlets = harness.state().session.plan().outlets.len();
    press(&mut harness, Key::Enter);
    assert_eq!(harness.state().session.plan().outlets.len(), outlets + 1);
    while harness.state().session.history().undo_label().is_some_and(|label| label.contains("outlet")) {
        with(&mut harness, Modifiers::COMMAND, Key::Z);
    }
    assert_eq!(harness.state().session.history().undo_label(), None, "nothing but the outlet was made");
}

/// Alt moves by a hair and holds snapping off; the map moves along where the pointer would leave it.
#[test]
fn the_pointer_goes_far_and_by_a_hair() {
    let mut harness = demo();
    press(&mut harness, Key::M);
    press(&mut harness, Key::ArrowRight);
    let scale = harness.state().view.camera.scale;
    let at = |harness: &Harness<'_, Desk>| harness.state().view.aim.unwrap().at.x;
    let begin = at(&harness);
    with(&mut harness, Modifiers::ALT, Key::ArrowRight);
    assert!(((at(&harness) - begin) * scale - 1.0).abs() < 1e-3);
    with(&mut harness, Modifiers::SHIFT, Key::ArrowLeft);
    assert!(((begin - at(&harness)) * scale - 47.0).abs() < 1e-3);
    for _ in 0..30 {
        with(&mut harness, Modifiers::SHIFT, Key::ArrowLeft);
    }
    let aim = harness.state().view.aim.unwrap().at;
    assert!(harness.get_by_label("Map").rect().contains(screen(&harness, aim)));
    for aside in [0.0, 20.0] {
        harness.hover_at(harness.get_by_label("Map").rect().center() + egui::vec2(aside, 0.0));
        harness.run_steps(2);
    }
    assert_eq!(harness.state().view.aim, None, "the mouse takes over");
}

/// With Select the first Space brings the pointer, Shift and Space take hold, arrow keys drag, Space lets go: one undo step.
#[test]
fn a_bend_is_dragged_without_a_mouse() {
    let mut harness = demo();
    let one = id(&harness, "L1");
    let before = harness.state().session.plan().lines[&one].points.clone();
    let end = *before.last().unwrap();
    press(&mut harness, Key::V);
    press(&mut harness, Key::Space);
    assert_eq!(harness.state().view.selection, Selection::Nothing);
    go(&mut harness, end);
    with(&mut harness, Modifiers::SHIFT, Key::Space);
    assert_eq!(harness.state().view.selection, Selection::Bend(one, before.len() - 1));
    go(&mut harness, Point::new(end.x - 20.0, end.y + 6.0));
    assert_eq!(harness.state().session.plan().lines[&one].points, before, "a gesture, not yet an edit");
    press(&mut harness, Key::Space);
    let after = *harness.state().session.plan().lines[&one].points.last().unwrap();
    assert!((after.x - end.x + 20.0).abs() < 8.0, "{end:?} to {after:?}");
    with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(harness.state().session.plan().lines[&one].points, before);
}

/// Tab walks over what is on the map, Enter chooses it, and the arrow keys then move it; the menu names what Undo takes back.
#[test]
fn tab_walks_over_the_map() {
    let mut harness = demo();
    press(&mut harness, Key::V);
    let mut walked = Vec::new();
    for _ in 0..60 {
        press(&mut harness, Key::Tab);
        let focused = harness.query_all(egui_kittest::kittest::By::new().predicate(|node| node.is_focused()));
        let name = focused.filter_map(|node| node.accesskit_node().label()).next().unwrap_or_default();
        let found = name == "Outlet O1";
        walked.push(name);
        if found {
            break;
        }
    }
    assert!(walked.iter().any(|name| name == "Line L1"), "{walked:?}");
    assert!(walked.iter().any(|name| name == "Field boundary"), "{walked:?}");
    assert_eq!(walked.last().unwrap(), "Outlet O1", "{walked:?}");
    press(&mut harness, Key::Enter);
    let outlet = *harness.state().session.plan().outlets.keys().next().unwrap();
    assert_eq!(harness.state().view.selection, Selection::of(outlet));
    let before = harness.state().session.plan().outlets[&outlet].at;
    press(&mut harness, Key::ArrowRight);
    let after = harness.state().session.plan().outlets[&outlet].at;
    assert!((after.x - before.x - measure::FOOT_M).abs() < 1e-9);
    let taken_back = harness.state().session.history().undo_label().unwrap().to_string();
    harness.get_by_label("Edit").click();
    harness.run_steps(6);
    harness.get_by_label_contains(&format!("Undo: {taken_back}"));
}

/// F1 lists every key there is, held against the tables of commands and tools.
#[test]
fn f1_lists_every_key() {
    let mut harness = demo();
    press(&mut harness, Key::F1);
    let stands = |text: &str| harness.query_all_by_label(text).next().is_some();
    for entry in COMMANDS.iter().filter(|entry| !entry.keys.is_empty()) {
        let keys: Vec<String> = entry.keys.iter().map(|key| harness.ctx.format_shortcut(key)).collect();
        assert!(stands(&keys.join(", ")) && stands(entry.label), "{}", entry.label);
    }
    for (tool, key, _) in tools() {
        assert!(stands(key.name()), "{}", tool.name());
    }
    for (keys, does) in HAND_KEYS {
        assert!(stands(keys) && stands(does), "{keys}");
    }
    for named in ["Enter", "Escape", "Backspace", "Alt", "Tab", "Ctrl++"] {
        assert!(HAND_KEYS.iter().any(|(keys, _)| keys.contains(named)), "{named}");
    }
}

/// Large makes everything half as large again, and once more as usual; the keys of the map zoom it about its middle.
#[test]
fn large_and_zoom_by_key() {
    let mut harness = demo();
    let large = COMMANDS.iter().find(|entry| entry.command == Command::Large).unwrap().keys[0];
    with(&mut harness, large.modifiers, large.logical_key);
    assert_eq!(harness.ctx.zoom_factor(), 1.5);
    with(&mut harness, large.modifiers, large.logical_key);
    assert_eq!(harness.ctx.zoom_factor(), 1.0);
    let before = harness.state().view.camera;
    press(&mut harness, Key::Plus);
    let near = harness.state().view.camera;
    assert!(near.scale > before.scale && measure::distance(near.centre, before.centre) < 1e-9);
    press(&mut harness, Key::Minus);
    assert!((harness.state().view.camera.scale - before.scale).abs() < 1e-9);
}

/// The card keeps the width that it was given, from one start to the next.
#[test]
fn panels_keep_their_size_from_start_to_start() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("settings.json");
    let open = || {
        let session = job::files::demo_session(job::demo::first_plan()).unwrap();
        let mut desk = Desk::new(session, Habits { settings: Some(place.clone()), ..Habits::default() });
        desk.settings = Settings::read(&place);
        desk.view.panels = desk.settings.panels;
        let mut harness = Harness::builder()
            .with_size(egui::vec2(1280.0, 860.0))
            .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
        harness.run_steps(4);
        harness
    };
    let mut harness = open();
    // The border is the card's: beside the map, not on it.
    let edge = harness.get_by_label("Map").rect().right_center() + egui::vec2(2.0, 0.0);
    harness.hover_at(edge);
    harness.run_steps(2);
    harness.drag_at(edge);
    harness.run_steps(2);
    let to = edge - egui::vec2(70.0, 0.0);
    harness.hover_at(to);
    harness.run_steps(2);
    harness.drop_at(to);
    harness.run_steps(4);
    let map = harness.get_by_label("Map").rect();
    assert!((map.right() - edge.x + 70.0).abs() < 6.0, "{} to {}", edge.x, map.right());
    let again = open();
    assert!((again.get_by_label("Map").rect().right() - map.right()).abs() < 1.0);
}
