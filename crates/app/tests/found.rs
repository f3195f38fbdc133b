//! Old tile found in the trench, as a person enters it: by the command, and in the window beside the trench.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::Path;
use std::time::Duration;

use crate::common::{demo, drainwright, told};
use app::desk::{Desk, Habits};
use app::view::Stage;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::Session;
use serde_json::Value;

const FIND: [&str; 20] = [
    "--line",
    "M1",
    "--station",
    "3+00",
    "--invert",
    "330.9",
    "--size",
    "4 in",
    "--material",
    "clay",
    "--falls",
    "from left",
    "--running",
    "5 gal in 22 s",
    "--condition",
    "good",
    "--upstream",
    "2 ac",
    "--by",
    "R. \"Rob\" Wren",
];

fn done(folder: &Path, arguments: &[&str]) -> String {
    let output = drainwright(folder, arguments);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn found(folder: &Path, more: &[&str]) -> String {
    done(folder, &[&["found", "a.drain"], &FIND[..], &["--on", "2031-04-02"], more].concat())
}

/// The choices as text and for machines, one chosen and saved, decided once more from the record.
#[test]
fn weighed_chosen_and_decided_again() {
    let folder = demo("larkmoor-bench");
    let text = found(folder.path(), &[]);
    for says in
        ["Tie in and stop here", "Cross and keep apart", "Replace", "Bypass", "Plug", "13.6 gpm", plan::CAUTION]
    {
        assert!(text.contains(says), "{says}\n{text}");
    }
    std::fs::write(folder.path().join("cut \"1\".jpg"), b"photo").unwrap();
    let chosen = ["--photo", "cut \"1\".jpg", "--choose", "plug", "-o", "b.drain", "--json"];
    let json: Value = serde_json::from_str(&found(folder.path(), &chosen)).unwrap();
    assert!((json["today_m3s"].as_f64().unwrap() - 5.0 * 0.003785411784 / 22.0).abs() < 1e-9);
    let saved = exchange::read_plan(&folder.path().join("b.drain")).unwrap();
    let find = &saved.record.finds[0];
    assert_eq!(find.decided.as_ref().unwrap().what, plan::Decision::Plug);
    assert_eq!((find.taken.by.as_str(), find.taken.at.as_str()), ("R. \"Rob\" Wren", "2031-04-02"));
    assert_eq!(
        (saved.record.photos[0].file.as_str(), saved.record.photos[0].of == find.key),
        ("cut \"1\".jpg", true)
    );
    let check = told(&drainwright(folder.path(), &["check", "b.drain"]));
    assert!(check.contains("plug-live-tile") || check.contains("is to be plugged, but it runs"), "{check}");
    done(folder.path(), &["found", "b.drain", "--find", &find.key, "--choose", "bridge", "-o", "b.drain"]);
    let again = exchange::read_plan(&folder.path().join("b.drain")).unwrap();
    assert_eq!(again.record.finds.len(), 1);
    assert_eq!(again.record.finds[0].decided.as_ref().unwrap().what, plan::Decision::Bridge);
    assert_eq!(again.lines.len(), saved.lines.len());
}

/// What cannot be used is told with field, found and expected, and nothing is written.
#[test]
fn what_cannot_be_read() {
    let folder = demo("larkmoor-bench");
    for (arguments, says) in [
        (&["--line", "M9", "--station", "1+00"][..], "Line: found 'M9', expected one of: "),
        (&["--line", "M1", "--station", "99+00"], "expected a station up to"),
        (&["--at", "0,0"], "Place: found no planned line there"),
        (&["--find", "x"], "--find: found 'x'"),
    ] {
        let by = ["--by", "R. Wren", "--on", "2031-04-02", "-o", "c.drain"];
        let output = drainwright(folder.path(), &[&["found", "a.drain"], arguments, &by].concat());
        assert_eq!(output.status.code(), Some(2));
        assert!(told(&output).contains(says), "{says}\n{}", told(&output));
    }
    assert!(!folder.path().join("c.drain").exists());
}

fn harness() -> Harness<'static, Desk> {
    let plan = job::demo::first_plan().unwrap();
    let session: Session = job::files::demo_session(Ok(plan)).unwrap();
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1280.0, 860.0))
        .with_max_steps(40)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), Desk::new(session, Habits::default()));
    harness.state_mut().view.stage = Stage::Lines;
    harness.run_steps(4);
    harness
}

fn enter(harness: &mut Harness<'static, Desk>, field: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, field).focus();
    harness.run_steps(2);
    harness.get_by_role_and_label(Role::TextInput, field).type_text(text);
    harness.run_steps(2);
}

/// Waits for what is weighed beside the window.
fn wait_for(harness: &mut Harness<'static, Desk>, label: &str) {
    // A busy machine weighs slowly.
    for _ in 0..6_000 {
        harness.run_steps(2);
        if harness.query_by_label(label).is_some() && harness.state().weigher.as_ref().is_some_and(|w| !w.answer().1)
        {
            harness.run_steps(2);
            return;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("no {label}: {:?}", harness.state().dialog);
}

/// The form by its labels, the choices under it, one chosen: one undo step.
#[test]
fn entered_beside_the_trench() {
    let mut harness = harness();
    harness.get_by_label("Old tile found…").click();
    harness.run_steps(3);
    harness.get_by_label("Line").click();
    harness.run_steps(3);
    // The map says its name too; the list lies over it.
    harness.get_all_by_label("M1").last().unwrap().click();
    harness.run_steps(3);
    for (field, text) in [
        ("Station", "3+00"),
        ("Invert", "330.9"),
        ("Size", "4 in"),
        ("Falls toward", "from left"),
        ("Running", "5 gal in 22 s"),
        ("Land above", "2 ac"),
        ("Who", "R. Wren"),
    ] {
        enter(&mut harness, field, text);
    }
    wait_for(&mut harness, "Choose: Plug");
    for choice in ["Tie in and stop here", "Cross and keep apart", "Replace", "Bypass", "Plug"] {
        assert!(harness.query_by_label(&format!("Choose: {choice}")).is_some(), "{choice}");
    }
    let before = harness.state().session.plan().clone();
    harness.get_by_label("Choose: Cross and keep apart").click();
    harness.run_steps(4);
    let plan = harness.state().session.plan();
    assert_eq!(plan.record.finds[0].decided.as_ref().unwrap().what, plan::Decision::Bridge);
    assert_eq!(plan.lines.len(), before.lines.len() + 1);
    assert!(harness.query_by_label_contains("Found at 3+00 of M1: bridge").is_some());
    harness.state_mut().session.undo();
    let after = harness.state().session.plan();
    assert!(after.lines == before.lines && after.record.is_empty());
}

/// From the foot of the swale that L1 lies in the likely course goes up it; the trench of M1 is where to look. Drawn with -o.
#[test]
fn the_likely_course_from_an_outlet() {
    let folder = demo("larkmoor-bench");
    let from = ["found", "a.drain", "--likely-from", "203164,96040", "--shown", "outlet"];
    let text = done(folder.path(), &[&from[..], &["-o", "b.drain"]].concat());
    assert!(text.contains("1. along the low ground, ") && text.contains("the trench of M1 crosses it at "), "{text}");
    let json: Value = serde_json::from_str(&done(folder.path(), &[&from[..], &["--json"]].concat())).unwrap();
    let course = &json["courses"][0];
    assert_eq!(course["points_m"].as_array().unwrap().len(), course["aside_m"].as_array().unwrap().len());
    let plan = exchange::read_plan(&folder.path().join("b.drain")).unwrap();
    let drawn = plan.lines.values().last().unwrap();
    let plan::LineKind::OldTile(tile) = drawn.kind else { panic!("no old tile") };
    assert!(tile.clues.outlet && tile.aside_m.unwrap() > 1.0 && tile.evidence == plan::Evidence::Suspected);
    let refused = drainwright(folder.path(), &["found", "a.drain", "--likely-from", "north"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(told(&refused).contains("--likely-from: found 'north', expected easting,northing"), "{}", told(&refused));
}

/// A click where an old line shows itself proposes its course; it is drawn only when that is wanted.
#[test]
fn a_likely_course_is_seen_before_it_is_drawn() {
    let mut harness = harness();
    harness.get_by_label("Likely tile").click();
    harness.run_steps(3);
    let at = measure::Point::new(203_164.0, 96_070.0);
    let rect = harness.get_by_label("Map").rect();
    let at = app::canvas::Lens { camera: harness.state().view.camera, rect }.to_screen(at);
    harness.hover_at(at);
    harness.run_steps(1);
    harness.drag_at(at);
    harness.run_steps(1);
    harness.drop_at(at);
    harness.run_steps(4);
    let before = harness.state().session.plan().lines.len();
    assert!(harness.query_by_label_contains("as suspected: along the low ground").is_some());
    harness.get_by_label("Do it").click();
    harness.run_steps(4);
    let lines = &harness.state().session.plan().lines;
    assert_eq!(lines.len(), before + 1);
    assert!(lines.values().last().unwrap().kind.is_old());
}
