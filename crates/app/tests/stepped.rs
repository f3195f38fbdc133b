//! How a line is sized, on its card: one size by its flow, stepping up with it, or a size from stock.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use crate::hand::{self, press};
use app::desk::Desk;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use plan::{LineId, Plan, Served, SizeBy};

/// The first demo field, whose laterals bring much water.
fn wet() -> (Plan, LineId) {
    let mut plan = job::demo::first_plan().unwrap();
    let main = plan.line_named("M1").unwrap();
    for line in plan.lines.values_mut().filter(|line| line.joins == plan::Joins::Line(main)) {
        line.served = Served::Area(60_000.0);
    }
    (plan, main)
}

fn wet_demo() -> (Harness<'static, Desk>, LineId) {
    let (plan, main) = wet();
    (hand::on_desk(job::files::demo_session(Ok(plan)).unwrap(), 1280.0, 1300.0), main)
}

/// The same with a main that steps up from 5 in to 8 in.
fn stepping() -> Plan {
    let (mut plan, main) = wet();
    plan.lines.get_mut(&main).unwrap().size_by = SizeBy::FlowInSteps;
    plan
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

/// Where a main steps up it is told on the map and in the profile: which size goes over into which, at the station of the change.
#[test]
fn map_and_profile_tell_where_the_size_changes() {
    let plan = stepping();
    let session = job::files::demo_session(Ok(plan)).unwrap();
    let (plan, design) = (session.plan(), &session.worked().design);
    let main = plan.line_named("M1").unwrap();
    let changes = design.lines[&main].changes();
    let words: Vec<String> = changes.iter().map(|pair| drawing::change_words(pair, plan.title.units)).collect();
    assert_eq!(words, ["8 in to 6 in", "6 in to 5 in"]);
    let is_change = |role| matches!(role, drawing::Role::Reducer(_));
    let labels = drawing::MapOf::new(plan, design).labels(&[drawing::Layer::Lines]);
    let on_map: Vec<&String> = labels.iter().filter(|label| is_change(label.role)).map(|label| &label.name).collect();
    assert_eq!(on_map, [&words[0], &words[1]]);
    let profile = drawing::profile(plan, design, main, drawing::Parts::default()).unwrap();
    let signs = profile.scene.items.iter().filter(|item| is_change(item.role));
    let in_profile: Vec<(f64, &str)> = signs
        .filter_map(|item| match item.form {
            drawing::Form::Sign(at, _) => Some((at.x, item.says.as_str())),
            _ => None,
        })
        .collect();
    let expected: Vec<(f64, &str)> =
        changes.iter().zip(&words).map(|([_, above], words)| (above.from_m, words.as_str())).collect();
    assert_eq!(in_profile, expected);
}

/// On paper each change has its detail with both inverts, and the cut sheet tells to which invert the pipe goes up, after the
/// tee that stands below it.
#[test]
fn the_crew_reads_which_reducer_at_what_invert() {
    let session = job::files::demo_session(Ok(stepping())).unwrap();
    let (plan, design) = (session.plan(), &session.worked().design);
    let main = plan.line_named("M1").unwrap();
    let units = plan.title.units;
    let sheet = takeoff::cut_sheet(plan, design, main, &[]).unwrap();
    let row = sheet.rows.iter().find(|row| row.here.iter().any(|text| text.contains("8 in to 6 in"))).unwrap();
    let above = units.level(design.lines[&main].at(row.station_m).unwrap().invert_above_m().unwrap());
    let (tee, reducer) = (&row.here[0], &row.here[1]);
    assert!(tee.starts_with("TEE 8 in × 4 in"), "{tee}");
    assert!(reducer.starts_with("REDUCER 8 in to 6 in") && reducer.ends_with(&format!(" to {above}")), "{reducer}");
}

/// By hand from the pipe of M1 (8 in sticks of 20 ft, else rolls of 100 ft) and 2067 ft of laterals in rolls of 250 ft: 505 ft
/// of 8 in are 26 sticks with 25 splices, and a coupler to the outlet stick; of 6 in there are three stretches in line with
/// two couplers between, one splice in the perforated 197.7 ft and one in the heavy 26.2 ft; 118 ft of 5 in take one.
#[test]
fn couplers_are_counted_in_the_size_of_their_pipe() {
    let session = job::files::demo_session(Ok(stepping())).unwrap();
    let estimate = session.worked().estimate();
    let inches = |size_m: Option<f64>| (size_m.unwrap() / measure::INCH_M).round() as i32;
    let of = |goods: plan::Goods| -> Vec<(i32, f64)> {
        let items = estimate.items.iter().filter(|item| item.goods == goods);
        items.map(|item| (inches(item.size_m), item.needed)).collect()
    };
    assert_eq!(of(plan::Goods::Coupler), [(4, 7.0), (5, 1.0), (6, 4.0), (8, 26.0)]);
    assert_eq!(of(plan::Goods::Reducer), [(6, 1.0), (8, 1.0)]);
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
    let changes = job::grading::changes(&worked.design.lines[&main], worked.plan.title.units);
    assert!(changes[0].contains(" at ") && hand::says(&harness, &changes.join("; ")), "{changes:?}");
    harness.get_by_label("Size").click();
    harness.run_steps(4);
    assert!(harness.query_all_by_label_contains(&format!("{words}, stepping up")).next().is_some(), "{words}");
    press(&mut harness, Key::Escape);
    harness.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    harness.run_steps(3);
    assert_eq!((size_by(&harness, main), sizes(&harness, main).len()), (SizeBy::Flow, 1));
}
