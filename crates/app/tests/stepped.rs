//! How a line is sized, on its card: one size by its flow, stepping up with it, or a size from stock.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{self, press};
use app::desk::Desk;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use plan::{LineId, Served, SizeBy};

/// The first demo field, whose laterals bring much water.
fn wet_demo() -> (Harness<'static, Desk>, LineId) {
    let mut plan = job::demo::first_plan().unwrap();
    let main = plan.line_named("M1").unwrap();
    for line in plan.lines.values_mut().filter(|line| line.joins == plan::Joins::Line(main)) {
        line.served = Served::Area(60_000.0);
    }
    (hand::on_desk(job::files::demo_session(Ok(plan)).unwrap(), 1280.0, 1300.0), main)
}

fn choose(harness: &mut Harness<'_, Desk>, words: &str) {
    harness.get_by_label("Size").click();
    harness.run_steps(4);
    harness.get_by_label_contains(words).click();
    harness.run_steps(4);
}

fn sizes(harness: &Harness<'_, Desk>, id: LineId) -> Vec<f64> {
    harness.state().session.worked().design.lines[&id].laid_sizes().iter().map(|laid| laid.size_m).collect()
}

fn size_by(harness: &Harness<'_, Desk>, id: LineId) -> SizeBy {
    harness.state().session.plan().lines[&id].size_by
}

/// The card lets a main step up with its flow, and says in which sizes; one undo takes it back.
#[test]
fn a_main_steps_up_and_goes_back_to_one_size() {
    let (mut harness, main) = wet_demo();
    harness.get_by_label("Line M1").click();
    harness.run_steps(3);
    choose(&mut harness, "by its flow, one size");
    assert_eq!((size_by(&harness, main), sizes(&harness, main).len()), (SizeBy::Flow, 1));
    choose(&mut harness, "stepping up with its flow");
    assert_eq!(size_by(&harness, main), SizeBy::FlowInSteps);
    let found = sizes(&harness, main);
    assert!(found.len() > 1 && found.is_sorted_by(|below, above| below > above), "{found:?}");
    let worked = harness.state().session.worked();
    let words = worked.design.lines[&main].size_words(worked.plan.title.units);
    assert!(words.contains(" in to "), "{words}");
    harness.get_by_label("Size").click();
    harness.run_steps(4);
    assert!(harness.query_all_by_label_contains(&format!("{words}, stepping up")).next().is_some(), "{words}");
    press(&mut harness, Key::Escape);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    harness.run_steps(3);
    assert_eq!((size_by(&harness, main), sizes(&harness, main).len()), (SizeBy::Flow, 1));
}
