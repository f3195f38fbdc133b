//! How the land dries: asked in the window by its labels, and as a command.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::common::{demo, drainwright, told};
use app::desk::{Desk, Habits};
use app::view::{Stage, Tint};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use job::{Progress, Session, ground};

/// The demo field on level ground, at the stage Dig.
fn harness() -> Harness<'static, Desk> {
    let plan = job::demo::second_plan().unwrap();
    let land = ground::open_plan(&plan, None, &Progress::default()).unwrap();
    let mut desk = Desk::new(Session::new(plan, None, land), Habits::default());
    desk.view.stage = Stage::Dig;
    let size = egui::vec2(1280.0, 3000.0);
    let mut harness = Harness::builder()
        .with_size(size)
        .with_max_steps(40)
        .build_ui_state(|ui, desk: &mut Desk| desk.show(ui), desk);
    harness.run_steps(4);
    harness
}

fn type_into(harness: &mut Harness<'_, Desk>, label: &str, text: &str) {
    let form = &mut harness.state_mut().view.drying;
    *(if label == "Rain" { &mut form.rain } else { &mut form.days }) = text.into();
    harness.run_steps(2);
    assert!(harness.query_by_label(label).is_some());
}

#[test]
fn the_window_tells_days_wet_and_tints_the_map() {
    let mut harness = harness();
    type_into(&mut harness, "Days", "none");
    assert!(harness.query_by_label_contains("Days: found 'none', expected 1 to 400").is_some());
    type_into(&mut harness, "Days", "1");
    type_into(&mut harness, "Rain", "20 mm");
    harness.get_by_label("Work out").click();
    harness.run_steps(6);
    let (revision, answer) = harness.state().view.drying.answer.clone().unwrap();
    assert_eq!(
        (answer.ask.cells, answer.cases.len()),
        (job::dry::CELLS, 2),
        "the fine look came after the rough one"
    );
    assert_eq!(revision, harness.state().session.history().revision());
    assert!(harness.query_all_by_label_contains("tractor after").count() >= 2);
    assert!(harness.query_by_label_contains("An estimate").is_some());
    harness.state_mut().view.layers.tint = Tint::DaysWet;
    harness.run_steps(2);
    assert!(harness.state().view.drying.map().is_some());
}

#[test]
fn the_command_tells_it_in_lines_and_for_programs() {
    let folder = demo("saltern-flat");
    std::fs::write(folder.path().join("may.csv"), "day,rain mm,evaporation mm\n1,30,0\n2,0,3\n").unwrap();
    let text = drainwright(folder.path(), &["dry", "a.drain", "--weather", "may.csv"]);
    assert!(text.status.success(), "{}", told(&text));
    for part in ["30 mm of rain, 2 days", "without drains", "as it is now", "An estimate", plan::CAUTION] {
        assert!(told(&text).contains(part), "{part}: {}", told(&text));
    }
    let json = drainwright(folder.path(), &["dry", "a.drain", "--rain", "1.2in", "--days", "1", "--json"]);
    let value: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert!((value["rain_m"].as_f64().unwrap() - 0.03048).abs() < 1e-9);
    for case in value["cases"].as_array().unwrap() {
        assert!(case["balance"]["off"].as_f64().unwrap() < 1e-8, "{case}");
    }
}

#[test]
fn what_cannot_be_used_is_told_with_its_place() {
    let folder = demo("saltern-flat");
    std::fs::write(folder.path().join("may.csv"), "day,rain mm\n1,lots\n").unwrap();
    for (arguments, parts) in [
        (vec!["--weather", "may.csv"], ["may.csv", "line 2, column rain mm", "'lots'"]),
        (vec!["--weather", "none.csv"], ["none.csv", "", ""]),
        (vec!["--rain", "wet"], ["--rain", "'wet'", "is not a length"]),
        (vec!["--rain", "9m"], ["--rain", "'9m'", "expected 0 to"]),
        (vec!["--rain", "30mm", "--days", "0"], ["days", "found 0", "expected 1 to 400"]),
        (vec!["--rain", "30mm", "--layout", "none"], ["'none'", "expected nothing", "put aside"]),
    ] {
        let output = drainwright(folder.path(), &[vec!["dry", "a.drain"], arguments].concat());
        assert_eq!(output.status.code(), Some(2), "{}", told(&output));
        assert!(parts.iter().all(|part| told(&output).contains(part)), "{parts:?}: {}", told(&output));
    }
}
