//! Outlets: where they are placed, and what level they have once they were moved.

use crate::hand::{self, click, on_desk, press, screen};
use app::desk::Desk;
use app::view::Selection;
use egui::{Key, PointerButton};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Session;
use measure::{Point, Units};
use plan::{OutletId, Plan, Watercourse, WatercourseKind};

fn outlet(harness: &Harness<'_, Desk>) -> (OutletId, plan::Outlet) {
    let (id, outlet) = harness.state().session.plan().outlets.iter().next().unwrap();
    (*id, outlet.clone())
}

fn is_asked(harness: &Harness<'_, Desk>) -> bool {
    harness.query_by_label_contains("was moved").is_some()
}

/// Nudged by the arrows, the outlet asks its level: what it was, the ground then and now, and what it could be here.
#[test]
fn a_nudged_outlet_asks_its_level() {
    let mut harness = hand::demo(900.0);
    let (id, before) = outlet(&harness);
    harness.state_mut().view.selection = Selection::of(id);
    harness.run_steps(2);
    assert!(!is_asked(&harness));
    harness.get_by_label("Map").focus();
    harness.run_steps(2);
    (0..12).for_each(|_| press(&mut harness, Key::ArrowUp));
    let units = harness.state().session.plan().title.units;
    harness.get_by_label_contains("was moved 12 ft. Its invert");
    harness.get_by_label_contains("ground here");
    harness.get_by_label(&format!("Keep {} ft", units.level(before.invert_m))).click();
    harness.run_steps(3);
    assert!(!is_asked(&harness));
    assert_eq!(outlet(&harness).1.invert_m, before.invert_m);
}

/// Dragged away it asks, back where it stood by Undo it does not; another level is one step of its own.
#[test]
fn a_dragged_outlet_asks_until_it_is_back() {
    let mut harness = hand::demo(900.0);
    let (id, before) = outlet(&harness);
    let (from, to) =
        (screen(&harness, before.at), screen(&harness, Point::new(before.at.x + 9.0, before.at.y + 7.0)));
    for (at, pressed) in [(from, Some(true)), (from + (to - from) * 0.5, None), (to, None), (to, Some(false))] {
        harness.event(egui::Event::PointerMoved(at));
        harness.run_steps(1);
        if let Some(pressed) = pressed {
            let (button, modifiers) = (PointerButton::Primary, egui::Modifiers::NONE);
            harness.event(egui::Event::PointerButton { pos: at, button, pressed, modifiers });
        }
        harness.run_steps(2);
    }
    assert_ne!(outlet(&harness).1.at, before.at);
    assert!(is_asked(&harness));
    harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    harness.run_steps(3);
    assert_eq!(outlet(&harness).1.at, before.at);
    assert!(!is_asked(&harness));
    harness.key_press_modifiers(egui::Modifiers::COMMAND | egui::Modifiers::SHIFT, Key::Z);
    harness.run_steps(3);
    harness.get_by_label_contains("under the ground").click();
    harness.run_steps(3);
    let (_, after) = harness.state().session.plan().outlets.iter().find(|(other, _)| **other == id).unwrap();
    assert_ne!(after.invert_m, before.invert_m);
    assert_eq!((after.channel_bottom_m, after.low_water_m), (None, None), "measured where it stood");
    assert!(!is_asked(&harness));
}

/// Between a boundary and a ditch a few feet apart, an outlet is placed in the ditch.
#[test]
fn an_outlet_is_placed_in_the_channel() {
    let mut plan = Plan::new("Ditch", Units::Metric);
    let corners = [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)].map(|(x, y)| Point::new(x, y));
    plan.apply(&plan::set_field(Some(corners.to_vec()))).unwrap();
    let points = vec![Point::new(-1.5, 0.0), Point::new(-1.5, 100.0)];
    let ditch = Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points };
    plan.apply(&plan::add_watercourse(&plan, ditch).1).unwrap();
    let mut harness = on_desk(Session::new(plan, None, land::Land::without_ground()), 1280.0, 860.0);
    harness.get_by_label("Outlet").click();
    harness.run_steps(3);
    click(&mut harness, Point::new(-0.2, 50.0));
    let (_, placed) = outlet(&harness);
    assert!((placed.at.x + 1.5).abs() < 1e-6, "{:?}", placed.at);
    assert_eq!(placed.outlet_pipe_m, 6.0, "round in a metric job");
}
