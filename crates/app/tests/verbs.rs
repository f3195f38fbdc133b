//! What a planner does with lines that are there: several chosen, changed together, moved, split, drawn on.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{self, press, screen};
use app::desk::Desk;
use app::view::Selection;
use egui::{Event, Key, Modifiers, PointerButton, Pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use measure::{FOOT_M, INCH_M, Point};
use plan::{LineId, SizeBy};

/// The first demo field on the desk.
fn demo() -> Harness<'static, Desk> {
    hand::demo(1300.0)
}

fn id(harness: &Harness<'_, Desk>, name: &str) -> LineId {
    harness.state().session.plan().line_named(name).unwrap()
}

/// A place on a line between its bends.
fn on(harness: &Harness<'_, Desk>, name: &str, share: f64) -> Point {
    let line = &harness.state().session.plan().lines[&id(harness, name)];
    measure::point_at(&line.points, line.length_m() * share).unwrap()
}

fn click(harness: &mut Harness<'_, Desk>, at: Pos2, button: PointerButton, modifiers: Modifiers) {
    harness.event(Event::PointerMoved(at));
    harness.run_steps(1);
    for pressed in [true, false] {
        harness.event_modifiers(Event::PointerButton { pos: at, button, pressed, modifiers }, modifiers);
        harness.run_steps(1);
    }
    harness.run_steps(30);
}

/// Shift and a click choose several; the card changes their size together, one undo takes it back.
#[test]
fn several_lines_are_chosen_and_changed() {
    let mut harness = demo();
    let (one, other) = (id(&harness, "L1"), id(&harness, "L2"));
    for name in ["L1", "L2"] {
        let at = screen(&harness, on(&harness, name, 0.63));
        click(&mut harness, at, PointerButton::Primary, Modifiers::SHIFT);
    }
    assert_eq!(harness.state().view.selection, Selection::Lines);
    assert_eq!(harness.state().view.several, [one, other].into());
    harness.get_by_label("2 lines");
    harness.get_by_label("Size").click();
    harness.run_steps(4);
    harness.get_by_label("6 in").click();
    harness.run_steps(4);
    let plan = harness.state().session.plan();
    assert!([one, other].iter().all(|id| {
        let line = &plan.lines[id];
        (line.size_m - 6.0 * INCH_M).abs() < 1e-9 && line.size_by == SizeBy::Hand
    }));
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    harness.run_steps(3);
    assert!((harness.state().session.plan().lines[&one].size_m - 6.0 * INCH_M).abs() > 1e-3);
}

/// A box drawn in the open chooses what it reaches; the arrow keys then move it, a foot at a time.
#[test]
fn a_box_chooses_and_arrows_move() {
    let mut harness = demo();
    let rect = harness.get_by_label("Map").rect();
    let (from, to) = (rect.left_top() + egui::vec2(4.0, 4.0), rect.right_bottom() - egui::vec2(4.0, 4.0));
    for (event, at) in [(Some(true), from), (None, from + (to - from) * 0.5), (None, to), (Some(false), to)] {
        harness.event(Event::PointerMoved(at));
        harness.run_steps(1);
        if let Some(pressed) = event {
            harness.event(Event::PointerButton {
                pos: at,
                button: PointerButton::Primary,
                pressed,
                modifiers: Modifiers::NONE,
            });
            harness.run_steps(1);
        }
    }
    harness.run_steps(3);
    let count = harness.state().session.plan().lines.len();
    assert_eq!(harness.state().view.several.len(), count);
    let one = id(&harness, "L1");
    harness.state_mut().view.selection = Selection::of(one);
    harness.get_by_label("Map").focus();
    harness.run_steps(2);
    let before = harness.state().session.plan().lines[&one].points.clone();
    press(&mut harness, Key::ArrowRight);
    let after = harness.state().session.plan().lines[&one].points.clone();
    assert!((after[1].x - before[1].x - FOOT_M).abs() < 1e-9 && after[1].y == before[1].y);
    assert_eq!(harness.state().session.history().undo_label(), Some("Move L1"));
}

/// The right button shows what can be done with a line; it is split there. The card offers the same without it.
#[test]
fn a_line_is_split_from_the_menu() {
    let mut harness = demo();
    let (main, count) = (id(&harness, "M1"), harness.state().session.plan().lines.len());
    let length_m = harness.state().session.plan().lines[&main].length_m();
    let at = screen(&harness, on(&harness, "M1", 0.65));
    click(&mut harness, at, PointerButton::Secondary, Modifiers::NONE);
    assert_eq!(harness.state().view.selection, Selection::of(main));
    harness.get_by_label("Split here").click();
    harness.run_steps(4);
    let plan = harness.state().session.plan();
    assert_eq!(plan.lines.len(), count + 1);
    assert!((plan.lines[&main].length_m() - 0.65 * length_m).abs() < 2.0);
    harness.get_by_label("More").click();
    harness.run_steps(4);
    harness.get_by_label("Make one with the line above").click();
    harness.run_steps(4);
    assert_eq!(harness.state().session.plan().lines.len(), count);
}

/// A line is drawn on from its upper end; Backspace keeps that end, Escape leaves no trace.
#[test]
fn a_line_is_drawn_on() {
    let mut harness = demo();
    let one = id(&harness, "L1");
    harness.state_mut().view.selection = Selection::of(one);
    harness.run_steps(2);
    let before = harness.state().session.plan().lines[&one].points.clone();
    let draw_on = |harness: &mut Harness<'_, Desk>| {
        harness.get_by_label("More").click();
        harness.run_steps(4);
        harness.get_by_label("Draw on from the upper end").click();
        harness.run_steps(4);
    };
    draw_on(&mut harness);
    press(&mut harness, Key::Backspace);
    press(&mut harness, Key::Escape);
    assert_eq!(harness.state().session.plan().lines[&one].points, before);
    draw_on(&mut harness);
    let end = *before.last().unwrap();
    let at = screen(&harness, Point::new(end.x + 5.0, end.y + 12.0));
    click(&mut harness, at, PointerButton::Primary, Modifiers::NONE);
    press(&mut harness, Key::Enter);
    let after = &harness.state().session.plan().lines[&one].points;
    assert_eq!((after.len(), &after[..before.len()]), (before.len() + 1, &before[..]));
    assert_eq!(harness.state().session.history().undo_label(), Some("Draw L1 on"));
}
