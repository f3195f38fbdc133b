//! The window as a hand works it.

use app::desk::{Desk, Habits};
use app::wish::Wish;
use egui::{Key, Pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Session;
use measure::Point;

/// A plan on the desk, in a window so large; work that is long for a frame is done at once.
pub fn on_desk(session: Session, width: f32, height: f32) -> Harness<'static, Desk> {
    opened(Desk::new(session, Habits { beside: false, ..Habits::default() }), width, height)
}

/// A desk in a window so large.
pub fn opened(desk: Desk, width: f32, height: f32) -> Harness<'static, Desk> {
    let mut harness = Harness::builder()
        .with_size(egui::vec2(width, height))
        .with_max_steps(60)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
    harness.run_steps(4);
    harness
}

/// The first demo field on the desk, in a window so high.
pub fn demo(height: f32) -> Harness<'static, Desk> {
    let session = job::files::demo_session(job::demo::first_plan()).expect("the demo field");
    on_desk(session, 1280.0, height)
}

/// Where a place of the plan is on the screen.
pub fn screen(harness: &Harness<'_, Desk>, at: Point) -> Pos2 {
    let rect = harness.get_by_label("Map").rect();
    app::canvas::Lens { camera: harness.state().view.camera, rect }.to_screen(at)
}

/// Clicks on a place of the plan.
pub fn click(harness: &mut Harness<'_, Desk>, at: Point) {
    let at = screen(harness, at);
    harness.hover_at(at);
    harness.run_steps(1);
    harness.drag_at(at);
    harness.run_steps(1);
    harness.drop_at(at);
    // Longer than a double click, so that the next click is one of its own.
    harness.run_steps(30);
}

/// Presses a key.
pub fn press(harness: &mut Harness<'_, Desk>, key: Key) {
    harness.key_press(key);
    harness.run_steps(3);
}

/// Clicks on what has a label.
pub fn push(harness: &mut Harness<'_, Desk>, label: &str) {
    harness.get_by_label(label).click();
    harness.run_steps(4);
}

/// Asks the desk for something, as a panel does.
pub fn ask(harness: &mut Harness<'_, Desk>, wish: Wish) {
    let ctx = harness.ctx.clone();
    app::apply::carry_out(harness.state_mut(), wish, &ctx);
    harness.run_steps(4);
}

/// True where some label on the screen has a text in it.
pub fn says(harness: &Harness<'_, Desk>, text: &str) -> bool {
    harness.query_all_by_label_contains(text).next().is_some()
}
