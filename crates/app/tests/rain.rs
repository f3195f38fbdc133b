//! Rain on the map, by its accessible labels: poured, moved on step by step, a pond, a spill; it belongs to no plan.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{push, screen};
use app::desk::{Desk, Habits};
use app::tools::Tool;
use app::view::Stage;
use drawing::rain::Ponds;
use drawing::{Form, Role};
use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Session;
use job::{demo, files};
use lesson::Topic;
use measure::Point;

fn lesson() -> Harness<'static, Desk> {
    let session = files::demo_session(demo::first_plan()).unwrap();
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 1400.0))
        .with_max_steps(40)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), Desk::new(session, Habits::default()));
    harness.state_mut().view.stage = Stage::Lesson;
    harness.run_steps(4);
    harness
}

/// The roles of what is seen of the rain now.
fn seen(desk: &Desk) -> Vec<Role> {
    let (rain, time_s) = desk.view.shower.falling().unwrap();
    let mut ponds = Ponds::default();
    rain.fill(&mut ponds, time_s);
    let all = (Point::new(-1e9, -1e9), Point::new(1e9, 1e9));
    rain.scene(&ponds, time_s, all).items.iter().map(|item| item.role).collect()
}

/// Cells under water now.
fn under_water(desk: &Desk) -> usize {
    let (rain, time_s) = desk.view.shower.falling().unwrap();
    let mut ponds = Ponds::default();
    rain.fill(&mut ponds, time_s);
    let all = (Point::new(-1e9, -1e9), Point::new(1e9, 1e9));
    let scene = rain.scene(&ponds, time_s, all);
    let cells = scene.items.iter().map(|item| if let Form::Cells(_, cells) = &item.form { cells.len() } else { 0 });
    cells.sum()
}

#[test]
fn rain_gathers_fills_the_hollow_and_spills() {
    let mut harness = lesson();
    let revision = harness.state().session.history().revision();
    push(&mut harness, "Let it rain");
    push(&mut harness, "Hold");
    // From here the clock moves by steps alone.
    harness.state_mut().view.shower.clock.as_mut().unwrap().time_s = 0.0;
    for _ in 0..6 {
        push(&mut harness, "5 min on");
    }
    let half = under_water(harness.state());
    assert!(half > 0, "after half an hour water stands in the hollow");
    assert!(seen(harness.state()).iter().any(|role| matches!(role, Role::Running(_))));
    assert!(seen(harness.state()).contains(&Role::RainDrop));
    harness.get_by_label_contains("1 hollow filling; the first spills after 0:");
    for _ in 0..6 {
        push(&mut harness, "5 min on");
    }
    assert!(under_water(harness.state()) > half);
    // A place near the foot of the first swale: what passes there is told.
    let foot = wettest(harness.state()).pop().unwrap();
    harness.state_mut().view.flow_path = Some(foot);
    harness.run_steps(4);
    harness.get_by_label_contains("Where you clicked");
    harness.get_by_label_contains("1 of 1 hollow full and spilling, the first after 0:");
    assert!(!seen(harness.state()).contains(&Role::RainDrop), "it rains for an hour");
    push(&mut harness, "Dry again");
    assert!(harness.state().view.shower.falling().is_none());
    assert_eq!(harness.state().session.history().revision(), revision, "nothing of it is in the plan");
}

/// The clock runs while it plays, and the window asks for pictures only then.
#[test]
fn keys_play_and_hold() {
    let mut harness = lesson();
    harness.key_press(Key::R);
    harness.run_steps(6);
    let first_s = harness.state().view.shower.clock.unwrap().time_s;
    harness.run_steps(6);
    let later_s = harness.state().view.shower.clock.unwrap().time_s;
    assert!(later_s > first_s && first_s > 0.0, "{first_s} {later_s}");
    harness.key_press(Key::R);
    harness.run_steps(2);
    let held = harness.state().view.shower.clock;
    harness.run();
    assert_eq!(harness.state().view.shower.clock, held);
    harness.key_press(Key::Period);
    harness.run_steps(2);
    assert!(harness.state().view.shower.clock.unwrap().time_s > held.unwrap().time_s);
}

/// A wetter rain runs off more; without ground the card says what is missing.
#[test]
fn another_rain_is_worked_out_anew() {
    let mut harness = lesson();
    push(&mut harness, "5 min on");
    harness.get_by_label_contains("Of 1.20 in about 0.50 in run off");
    harness.state_mut().view.shower.rainfall.depth_m = 0.0762;
    harness.run_steps(6);
    // 3 in at curve number 91: S 0.98901 in, Q 2.8022² / 3.7912 = 2.0712 in (TR-55, equations 2-3 and 2-4, by hand).
    harness.get_by_label_contains("Of 3.00 in about 2.07 in run off");
    let rain = harness.state().view.shower.rain.clone().unwrap();
    assert_eq!(rain.rainfall().depth_m, 0.0762);
    harness.state_mut().session =
        Session::new(plan::Plan::new("Bare", measure::Units::Feet), None, land::Land::default());
    harness.run_steps(4);
    harness.get_by_label_contains("Rain needs ground to fall on");
}

/// Where a place of the plan is on the screen.
/// Pulls along a path on the map.
fn pull(harness: &mut Harness<'_, Desk>, path: &[Point]) {
    let path: Vec<egui::Pos2> = path.iter().map(|at| screen(harness, *at)).collect();
    harness.hover_at(path[0]);
    harness.run_steps(1);
    harness.drag_at(path[0]);
    harness.run_steps(1);
    for at in &path[1..] {
        harness.hover_at(*at);
        harness.run_steps(1);
    }
    harness.drop_at(path[path.len() - 1]);
    harness.run_steps(2);
}

fn guessing() -> Harness<'static, Desk> {
    let mut harness = lesson();
    harness.state_mut().view.lesson.open(Topic::GuessFirst);
    harness.run_steps(2);
    push(&mut harness, "Draw");
    harness
}

/// The wettest swale that lies in the field, as far as it does.
fn wettest(desk: &Desk) -> Vec<Point> {
    let ring = &desk.session.plan().field.as_ref().unwrap().ring;
    let inside = desk.session.land().swales.iter().map(|swale| {
        swale.points.iter().copied().filter(|at| measure::ring_holds(ring, *at)).collect::<Vec<Point>>()
    });
    inside.max_by(|a, b| measure::path_length(a).total_cmp(&measure::path_length(b))).unwrap()
}

#[test]
fn a_guess_along_the_swale_is_scored_and_leaves_no_trace_in_the_plan() {
    let mut harness = guessing();
    let revision = harness.state().session.history().revision();
    assert!(harness.state().view.is_guessing(), "nothing on the map tells the answer");
    let camera = harness.state().view.camera;
    let swale = wettest(harness.state());
    pull(&mut harness, &swale);
    assert_eq!(harness.state().view.camera, camera, "the map stays while a stroke is drawn");
    assert_eq!(harness.state().view.guess.strokes.len(), 1);
    push(&mut harness, "See");
    let guessed = harness.state().view.guess.seen.unwrap();
    assert!(guessed.found > 0.3 && guessed.astray < 0.05, "{guessed:?}");
    harness.get_by_label(&format!("{} points of 100", guessed.points()));
    harness.get_by_label_contains("of the swales found, the wetter ones counting more");
    assert!(!harness.state().view.is_guessing());
    assert_eq!(harness.state().session.history().revision(), revision);
    push(&mut harness, "Start over");
    assert!(harness.state().view.guess.strokes.is_empty() && harness.state().view.is_guessing());
}

#[test]
fn strokes_are_taken_back_and_escape_leaves() {
    let mut harness = guessing();
    let swale = wettest(harness.state());
    pull(&mut harness, &swale);
    pull(&mut harness, &swale[..swale.len() / 2]);
    harness.key_press(Key::Backspace);
    harness.run_steps(2);
    assert_eq!(harness.state().view.guess.strokes.len(), 1);
    // Half a stroke, given up.
    let from = screen(&harness, swale[0]);
    harness.hover_at(from);
    harness.run_steps(1);
    harness.drag_at(from);
    harness.run_steps(1);
    harness.hover_at(from + egui::vec2(60.0, 60.0));
    harness.run_steps(1);
    harness.key_press(Key::Escape);
    harness.run_steps(1);
    harness.drop_at(from + egui::vec2(60.0, 60.0));
    harness.run_steps(2);
    assert_eq!(harness.state().view.guess.strokes.len(), 1);
    harness.key_press(Key::Escape);
    harness.run_steps(2);
    assert!(matches!(harness.state().tool, Tool::Select(_)));
}
